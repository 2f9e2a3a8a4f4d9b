#include "store/setting.h"

#include <string.h>

#include "base/limits.h"
#include "base/text.h"
#include "rules/pin.h"
#include "store/handbook.h"
#include "store/settle.h"

SQL(setting_by_name, "SELECT id, name, value, reason, version FROM setting WHERE name = ?1");
SQL_SCAN(settings_all, "SELECT name, value, reason FROM setting ORDER BY name");
/* Each change of a setting counts one up, and none is ever taken away. */
SQL_SCAN(settings_version, "SELECT coalesce(sum(version), 0) + 1 FROM setting");
SQL(setting_upsert, "INSERT INTO setting (name, value, reason) VALUES (?1, ?2, ?3)"
		    " ON CONFLICT (name) DO UPDATE SET value = excluded.value,"
		    " reason = excluded.reason, version = version + 1"
		    " WHERE value <> excluded.value OR reason IS NOT excluded.reason");

enum err setting_get(struct store *st, const char *name, struct arena *a, struct doc **row,
		     struct fault *f) {
	return store_one(st, &setting_by_name, a, row, f, "t", name);
}

enum err setting_list(struct store *st, struct arena *a, struct doc *list, struct fault *f) {
	return store_list(st, &settings_all, a, list, f, "");
}

enum err setting_version(struct store *st, int64_t *version, struct fault *f) {
	return store_number(st, &settings_version, 1, version, f, "");
}

enum err setting_put(struct store *st, const char *name, const char *value, const char *reason,
		     struct fault *f) {
	return store_run(st, &setting_upsert, f, "ttt", name, value, reason);
}

static bool is_mail_url(const char *value) {
	return text_starts(value, "smtp://") || text_starts(value, "smtps://");
}

static bool is_web_address(const char *value) {
	bool starts = text_starts(value, "https://") || text_starts(value, "http://");
	return starts && !strpbrk(value, " ?#") && value[strlen(value) - 1] != '/';
}

static bool is_zone(const char *value) { return instant_day_in_zone(0, value) != DAY_NONE; }

static bool is_percent(const char *value) {
	int64_t percent;
	return text_to_int(value, 1, 100, &percent);
}

static bool is_yes_or_no(const char *value) {
	return strcmp(value, "yes") == 0 || strcmp(value, "no") == 0;
}

static bool is_lock_minutes(const char *value) {
	int64_t minutes;
	return text_to_int(value, 1, PIN_LOCK_MINUTES_MAX, &minutes);
}

static bool is_day(const char *value) { return day_parse(value) != DAY_NONE; }

static bool is_any(const char *value) {
	(void)value;
	return true;
}

/* The settings that are not rules of the program: their values, and what is said when
 * they are none. Empty is right where a setting may be missing. */
static const struct plain {
	const char *name;
	bool (*is_right)(const char *value);
	bool needed;
	const char *words;
} plain[] = {
    {"department", is_any, true, "Say the department's name."},
    {"time_zone", is_zone, true, "There is no such time zone; say it like America/Chicago."},
    {"public_address", is_web_address, false,
     "The address is like https://gear.example.org, with no slash at its end."},
    {"officer_email", text_is_email, false, "A mail address is like name@example.org."},
    {"mail_url", is_mail_url, false, "The mail server is smtp://HOST:PORT or smtps://HOST:PORT."},
    {"repair_share_percent", is_percent, false, "Give a whole percentage from 1 to 100."},
    {"verified_organization", is_yes_or_no, false, "Say yes or no."},
    {"tablet_lock_minutes", is_lock_minutes, false, "Give whole minutes from 1 to 60."},
    {"own_rules_name", is_any, false, "Any name will do."},
    {"risk_reviewed_on", is_day, false, "Give a day like 2026-03-15."},
    {"mail_from", text_is_email, false, "A mail address is like name@example.org."},
};

static const struct plain *find_plain(const char *name) {
	for (size_t i = 0; i < sizeof plain / sizeof *plain; i++)
		if (strcmp(plain[i].name, name) == 0) return &plain[i];
	return NULL;
}

enum err setting_text(struct store *st, const char *name, const char *absent, struct arena *a,
		      const char **value, struct fault *f) {
	struct doc *row = NULL;
	*value = absent;
	if (!find_plain(name))
		return fault_set(f, ERR_NOT_FOUND, name, "There is no setting called %s.", name);
	enum err err = setting_get(st, name, a, &row, f);
	if (err == ERR_OK && row && !text_empty(doc_text(row, "value")))
		*value = doc_text(row, "value");
	return err;
}

enum err rules_change(struct store *st, const struct settings *asked, enum adjustments choice,
		      const char *reason, struct fault *f) {
	const struct handbook *hb;
	struct settings stored;
	struct amendment am;
	struct arena a;
	arena_init(&a, LIMIT_ARENA_BYTES_MAX);
	enum err err = store_handbook(st, &hb, f);
	if (err == ERR_OK) err = settings_load(st, &a, &stored, f);
	if (err == ERR_OK) err = amendment_make(&am, hb, &stored, asked, choice, reason, &a, f);
	for (size_t i = 0; err == ERR_OK && i < am.store.count; i++)
		err =
		    setting_put(st, am.store.setting[i].name, am.store.setting[i].value, reason, f);
	arena_clear(&a);
	/* What follows in this change is judged by the rules as they are then. */
	if (err == ERR_OK) store_forget_settings(st);
	return err;
}

enum err rules_try(struct store *st, const struct settings *asked, enum adjustments choice,
		   const char *reason, struct arena *a, struct program **next, struct fault *f) {
	const struct handbook *hb;
	struct settings stored;
	struct amendment *am = arena_new(a, struct amendment);
	if (!am) return fault_set(f, ERR_MEMORY, NULL, "There is no memory left.");
	enum err err = store_handbook(st, &hb, f);
	if (err == ERR_OK) err = settings_load(st, a, &stored, f);
	if (err == ERR_OK) err = amendment_make(am, hb, &stored, asked, choice, reason, a, f);
	*next = err == ERR_OK ? &am->next : NULL;
	return err;
}

enum err setting_change(struct store *st, const char *name, const char *value, const char *reason,
			struct fault *f) {
	const struct plain *p = find_plain(name);
	if (!text_is_utf8(value, strlen(value)) || !text_is_clean(value, false))
		return fault_set(f, ERR_INVALID, name, "The value must be one line of text.");
	if (p && (*value ? !p->is_right(value) : p->needed))
		return fault_set(f, ERR_INVALID, name, "%s", p->words);
	if (p) return setting_put(st, name, value, reason, f);
	struct program_setting one = {name, value};
	return rules_change(st, &(struct settings){&one, 1}, ADJUSTMENTS_UNASKED, reason, f);
}
