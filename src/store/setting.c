#include "store/setting.h"

#include <string.h>

#include "base/text.h"
#include "store/handbook.h"

SQL(setting_by_name, "SELECT id, name, value, reason, version FROM setting WHERE name = ?1");
SQL(setting_upsert, "INSERT INTO setting (name, value, reason) VALUES (?1, ?2, ?3)"
		    " ON CONFLICT (name) DO UPDATE SET value = excluded.value,"
		    " reason = excluded.reason, version = version + 1"
		    " WHERE value <> excluded.value OR reason IS NOT excluded.reason");

enum err setting_get(struct store *st, const char *name, struct arena *a, struct doc **row,
		     struct fault *f) {
	return store_one(st, &setting_by_name, a, row, f, "t", name);
}

enum err setting_text(struct store *st, const char *name, const char *absent, struct arena *a,
		      const char **value, struct fault *f) {
	struct doc *row = NULL;
	*value = absent;
	enum err err = setting_get(st, name, a, &row, f);
	if (err == ERR_OK && row) *value = doc_text(row, "value");
	return err;
}

enum err setting_put(struct store *st, const char *name, const char *value, const char *reason,
		     struct fault *f) {
	return store_run(st, &setting_upsert, f, "ttt", name, value, reason);
}

static bool is_plain_name(const char *name) {
	static const char *const plain[] = {"department", "officer_email", "mail_url", "mail_from",
					    "public_address"};
	for (size_t i = 0; i < sizeof plain / sizeof *plain; i++)
		if (strcmp(plain[i], name) == 0) return true;
	return false;
}

static enum err check_rule(struct store *st, const char *name, const char *value,
			   const char *reason, struct fault *f) {
	const struct program *p;
	enum program_effect effect = PROGRAM_SAME;
	enum err err = store_program(st, &p, f);
	if (err != ERR_OK) return err;
	if (!program_owns(p, name))
		return fault_set(f, ERR_INVALID, "name", "There is no setting called %s.", name);
	err = program_compare(p, name, value, &effect, f);
	if (err == ERR_OK && effect == PROGRAM_LOOSER && text_empty(reason))
		err = fault_set(
		    f, ERR_INVALID, "reason",
		    "This is looser than the rule set says. Give the reason; it is recorded.");
	return err;
}

enum err setting_change(struct store *st, const char *name, const char *value, const char *reason,
			struct fault *f) {
	enum err err = ERR_OK;
	if (!text_is_utf8(value, strlen(value)) || !text_is_clean(value, false) || !*value)
		return fault_set(f, ERR_INVALID, "value", "The value must be one line of text.");
	if (strcmp(name, "time_zone") == 0) {
		if (instant_day_in_zone(0, value) == DAY_NONE)
			return fault_set(f, ERR_INVALID, "value",
					 "%s is no time zone; say it like "
					 "America/Chicago.",
					 value);
	} else if (strcmp(name, "mail_url") == 0 && !text_starts(value, "smtp://") &&
		   !text_starts(value, "smtps://")) {
		return fault_set(f, ERR_INVALID, "value",
				 "The mail address is smtp://HOST:PORT or "
				 "smtps://HOST:PORT.");
	} else if (!is_plain_name(name)) {
		err = check_rule(st, name, value, reason, f);
	}
	return err == ERR_OK ? setting_put(st, name, value, reason, f) : err;
}
