/* Connections, changes, audit and derived rows, against databases of their own. */
#include "rooms.h"

#include <sqlite3.h>
#include <string.h>

#include "base/text.h"
#include "folder.h"
#include "store/account.h"
#include "store/change.h"
#include "store/component.h"
#include "store/data_dir.h"
#include "store/ensemble.h"
#include "store/inspection.h"
#include "store/member.h"
#include "store/photo.h"
#include "store/setting.h"
#include "store/station.h"

static char folder[] = "/tmp/pegwarden-store-XXXXXX";
static char database[100];
static struct store *store;
static struct signing_key key;
static struct arena arena;

static void raw(const char *sql) {
	sqlite3 *db;
	ck_assert_int_eq(sqlite3_open(database, &db), SQLITE_OK);
	char *message = NULL;
	ck_assert_msg(sqlite3_exec(db, sql, NULL, NULL, &message) == SQLITE_OK, "%s: %s", sql,
		      message);
	sqlite3_close(db);
}

/* A part in an inspection, with a photo. */
static enum err fill_photo(struct store *st, int64_t component, int64_t member, struct fault *f) {
	static const unsigned char bytes[] = "of a picture", small[] = "of a small one";
	struct inspection_start start = {.kind = "advanced",
					 .inspector = member,
					 .started_at = "2026-11-26T09:00:00Z",
					 .inspected_on = "2026-11-26"};
	struct picture whole = {bytes, sizeof bytes, 4, 3}, other = {small, sizeof small, 2, 1};
	char hash[PHOTO_HASH_SIZE], small_hash[PHOTO_HASH_SIZE];
	int64_t id;
	photo_hash(&whole, hash);
	photo_hash(&other, small_hash);
	enum err err = inspection_insert(st, &start, &id, f);
	struct photo_row photo = {.component = component,
				  .inspection = id,
				  .recorded_by = member,
				  .recorded_at = "2026-11-26T09:05:00Z",
				  .picture = &whole,
				  .small = &other,
				  .hash = hash,
				  .small_hash = small_hash};
	if (err == ERR_OK) err = inspection_part_insert(st, id, component, 1, 0, f);
	if (err == ERR_OK) err = photo_insert(st, &photo, &id, f);
	return err;
}

static enum err fill(struct change *c, struct store *st) {
	int64_t station = 0, member = 0, ensemble = 0, component;
	struct station_row s = {.code = "ST1", .name = "One", .active = true};
	struct member_row m = {.badge = "7",
			       .family_name = "B",
			       .given_name = "A",
			       .status = "active",
			       .structural = true};
	struct ensemble_row e = {
	    .code = "E1", .hazard = "structural", .line = "primary", .active = true};
	enum err err = station_save(st, &s, &arena, &station, &c->fault);
	m.station = e.station = station;
	if (err == ERR_OK) err = member_save(st, &m, &arena, &member, &c->fault);
	e.member = member;
	if (err == ERR_OK) err = ensemble_save(st, &e, &ensemble, &c->fault);
	struct component_row p = {.tag = "T1",
				  .kind = "hood",
				  .hazard = "structural",
				  .made = "2024-02",
				  .in_service_on = "2024-05-01",
				  .ensemble = ensemble,
				  .station = station,
				  .cost_cents = -1};
	if (err == ERR_OK) err = component_save(st, &p, &arena, &component, &c->fault);
	if (err == ERR_OK) err = fill_photo(st, component, member, &c->fault);
	return err;
}

static enum err change_with(enum err (*apply)(struct change *, struct store *), struct fault *f) {
	struct change c = {.apply = apply, .author = {0, "system", "test", 1795651200}};
	enum err err = store_change(store, &key, &c);
	*f = c.fault;
	return err;
}

static void open_store(void) {
	struct fault f = {0};
	char path[100];
	folder_make(folder);
	store = folder_open(folder);
	snprintf(database, sizeof database, "%s/pegwarden.db", folder);
	snprintf(path, sizeof path, "%s/signing.key", folder);
	arena_init(&arena, 100000000);
	ck_assert_int_eq(signing_key_create(&key, path, &f), ERR_OK);
	ck_assert_msg(change_with(fill, &f) == ERR_OK, "%s", f.message);
}

static void close_store(void) {
	store_close(store);
	arena_clear(&arena);
	folder_remove(folder);
}

static enum err verify(struct fault *f) {
	*f = (struct fault){0};
	return store_verify(store, key.public_key, NULL, NULL, f);
}

/* An index serves every statement that does not say it reads a whole table. The program is linked
 * whole into this one: a statement that nothing here calls is on the list, too. */
START_TEST(every_statement_has_its_plan) {
	const struct sql *sql;
	size_t count = 0;
	for (; (sql = store_statement_at(count)) != NULL; count++) {
		if (text_starts(sql->name, "test_")) continue; /* meant to be refused, below */
		struct fault f = {0};
		struct doc *plan = doc_list(&arena);
		ck_assert_msg(store_explain(store, sql, &arena, plan, &f) == ERR_OK, "%s: %s",
			      sql->name, f.message);
		for (const struct doc *line = plan->first; line && !sql->scan; line = line->next)
			ck_assert_msg(!text_starts(line->text, "SCAN") ||
					  strstr(line->text, "CONSTANT ROW") ||
					  strstr(line->text, "VIRTUAL TABLE") ||
					  strstr(line->text, "USING COVERING INDEX"),
				      "%s: %s", sql->name, line->text);
	}
	ck_assert_int_gt(count, 500);
}
END_TEST

/* A row that another replaces is gone too, and neither the authorizer nor the hook hears of it. */
START_TEST(no_statement_replaces_rows) {
	const struct sql *sql;
	for (size_t i = 0; (sql = store_statement_at(i)) != NULL; i++) {
		ck_assert_msg(!strcasestr(sql->text, "OR REPLACE"), "%s", sql->name);
		ck_assert_msg(!strcasestr(sql->text, "REPLACE INTO"), "%s", sql->name);
	}
}
END_TEST

START_TEST(what_is_written_verifies_and_is_as_computed) {
	struct fault f;
	int64_t differences = -1;
	ck_assert_msg(verify(&f) == ERR_OK, "%s", f.message);
	ck_assert_int_eq(store_rebuild(store, false, &differences, &f), ERR_OK);
	ck_assert_int_eq(differences, 0);
	raw("UPDATE duty SET due_on = '2099-01-01' WHERE duty = 'retirement'");
	ck_assert_int_eq(store_rebuild(store, false, &differences, &f), ERR_OK);
	ck_assert_int_eq(differences, 1);
	ck_assert_int_eq(store_rebuild(store, true, &differences, &f), ERR_OK);
	ck_assert_int_eq(store_rebuild(store, false, &differences, &f), ERR_OK);
	ck_assert_int_eq(differences, 0);
}
END_TEST

static enum err half(struct change *c, struct store *st) {
	int64_t id;
	struct station_row s = {.code = "ST2", .name = "Two", .active = true};
	enum err err = station_save(st, &s, &arena, &id, &c->fault);
	return err == ERR_OK ? fault_set(&c->fault, ERR_CONFLICT, NULL, "no further") : err;
}

START_TEST(a_failed_change_leaves_nothing) {
	struct fault f = {0};
	int64_t id = -1;
	ck_assert_int_eq(change_with(half, &f), ERR_CONFLICT);
	ck_assert_int_eq(station_by_code(store, "ST2", &id, &f), ERR_OK);
	ck_assert_int_eq(id, 0);
	ck_assert_int_eq(verify(&f), ERR_OK);
}
END_TEST

SQL(test_delete, "DELETE FROM station WHERE id = ?1");
SQL(test_drop, "DELETE FROM photo_content WHERE id = ?1");
SQL(test_repaint, "UPDATE photo_content SET bytes = x'00' WHERE id = ?1");
SQL(test_forge, "UPDATE audit_entry SET actor = 'x' WHERE seq = ?1");

static enum err delete_station(struct change *c, struct store *st) {
	return store_run(st, &test_delete, &c->fault, "i", (int64_t)1);
}

static enum err forge_entry(struct change *c, struct store *st) {
	return store_run(st, &test_forge, &c->fault, "i", (int64_t)1);
}

static enum err drop_picture(struct change *c, struct store *st) {
	return store_run(st, &test_drop, &c->fault, "i", (int64_t)1);
}

static enum err repaint_picture(struct change *c, struct store *st) {
	return store_run(st, &test_repaint, &c->fault, "i", (int64_t)1);
}

START_TEST(facts_and_entries_cannot_be_taken_away) {
	struct fault f = {0};
	ck_assert_int_ne(change_with(drop_picture, &f), ERR_OK);
	ck_assert_int_ne(change_with(repaint_picture, &f), ERR_OK);
	ck_assert_int_ne(change_with(delete_station, &f), ERR_OK);
	ck_assert_int_ne(change_with(forge_entry, &f), ERR_OK);
	ck_assert_int_eq(verify(&f), ERR_OK);
}
END_TEST

static enum err set_zone(struct change *c, struct store *st) {
	return setting_put(st, "time_zone", "UTC", NULL, &c->fault);
}

static enum err rename_station(struct change *c, struct store *st) {
	int64_t id;
	struct station_row s = {.id = 1, .code = "ST1", .name = "Renamed", .active = true};
	return station_save(st, &s, &arena, &id, &c->fault);
}

/* Each is one way to cheat; verify must notice. */
static const char *const tampering[] = {
    "UPDATE audit_entry SET actor = 'somebody else' WHERE seq = 1",
    "UPDATE audit_entry SET action = 'nothing' WHERE seq = 1",
    "UPDATE audit_entry SET records = replace(records, 'One', 'Two') WHERE seq = 1",
    "UPDATE audit_entry SET at = '2020-01-01T00:00:00Z' WHERE seq = 2",
    "PRAGMA foreign_keys = OFF; DELETE FROM audit_entry WHERE seq = 2",
    "PRAGMA foreign_keys = OFF; DELETE FROM audit_entry WHERE seq = (SELECT max(seq) FROM "
    "audit_entry)",
    "UPDATE audit_entry SET signature = replace(signature, '1', '2') WHERE seq = 3",
    "UPDATE audit_entry SET seq = 99 WHERE seq = 1",
    "UPDATE station SET name = 'Elsewhere' WHERE id = 1",
    "UPDATE component SET retired_on = NULL, made = '2030-01' WHERE id = 1",
    "PRAGMA foreign_keys = OFF; DELETE FROM component WHERE id = 1",
    "INSERT INTO station (code, name, search_key) VALUES ('X', 'x', 'x')",
    "UPDATE photo_content SET bytes = x'00' WHERE id = 1",
    "UPDATE photo_content SET bytes = x'00' WHERE id = 2",
    "UPDATE photo SET content = small",
    "UPDATE photo SET small = content",
    "UPDATE photo SET component_id = 2 WHERE id = 1",
    "PRAGMA foreign_keys = OFF; DELETE FROM photo_content WHERE id = 2",
    "PRAGMA foreign_keys = OFF; DELETE FROM photo WHERE id = 1",
    ("INSERT INTO audit_entry SELECT seq + 1, at, actor, account_id, action, records, hash, hash, "
     "signature"
     " FROM audit_entry ORDER BY seq DESC LIMIT 1"),
};

START_TEST(verify_notices_tampering) {
	struct fault f = {0};
	ck_assert_int_eq(change_with(set_zone, &f), ERR_OK);
	ck_assert_int_eq(change_with(rename_station, &f), ERR_OK);
	ck_assert_msg(verify(&f) == ERR_OK, "%s", f.message);
	raw(tampering[_i]);
	ck_assert_msg(verify(&f) == ERR_CORRUPT, "not noticed: %s", tampering[_i]);
	ck_assert(f.message[0]);
}
END_TEST

START_TEST(an_edited_migration_is_noticed) {
	struct fault f = {0};
	raw("UPDATE migration SET hash = 'x' WHERE number = 1");
	struct store *again;
	store_close(store);
	store = NULL;
	ck_assert_int_eq(
	    store_open(&again, folder, PEGWARDEN_SRCDIR "/migrations", STORE_WRITE, &f),
	    ERR_CORRUPT);
	f = (struct fault){0};
	ck_assert_int_eq(store_open(&store, folder, NULL, STORE_READ, &f), ERR_OK);
}
END_TEST

/* --- accounts and settings -------------------------------------------------------- */

static int64_t account[2], member[2];

static enum err two_accounts(struct change *c, struct store *st) {
	struct member_row m = {
	    .badge = "8", .family_name = "D", .given_name = "C", .station = 1, .status = "active"};
	enum err err = member_by_badge(st, "7", &member[0], &c->fault);
	if (err == ERR_OK) err = member_save(st, &m, &arena, &member[1], &c->fault);
	if (err == ERR_OK)
		err = account_put(st, member[0], "administrator", NULL, &account[0], &c->fault);
	if (err == ERR_OK)
		err = account_put(st, member[1], "officer", NULL, &account[1], &c->fault);
	return err;
}

/* What must not happen to account 0 while it is the only administrator. */
static enum err demote(struct change *c, struct store *st) {
	return account_change(st, account[0], "officer", true, &c->fault);
}
static enum err shut(struct change *c, struct store *st) {
	return account_change(st, account[0], "administrator", false, &c->fault);
}
static enum err put_lower(struct change *c, struct store *st) {
	int64_t id;
	return account_put(st, member[0], "member", NULL, &id, &c->fault);
}
static enum err leave(struct change *c, struct store *st) {
	int64_t id;
	struct member_row m = {.id = member[0],
			       .badge = "7",
			       .family_name = "B",
			       .given_name = "A",
			       .station = 1,
			       .status = "left"};
	return member_save(st, &m, &arena, &id, &c->fault);
}
static enum err promote_second(struct change *c, struct store *st) {
	return account_change(st, account[1], "administrator", true, &c->fault);
}
static enum err promote_second_shut(struct change *c, struct store *st) {
	return account_change(st, account[1], "administrator", false, &c->fault);
}

static const struct {
	enum err (*apply)(struct change *, struct store *);
	const char *field;
} loss[] = {{demote, "role"}, {shut, "active"}, {put_lower, "role"}, {leave, "status"}};

START_TEST(the_last_administrator_stays) {
	struct fault f = {0};
	ck_assert_int_eq(change_with(two_accounts, &f), ERR_OK);
	ck_assert_int_eq(change_with(loss[_i].apply, &f), ERR_INVALID);
	ck_assert_str_eq(f.field, loss[_i].field);
	/* A second one whose account is closed cannot let anybody in. */
	ck_assert_int_eq(change_with(promote_second_shut, &f), ERR_OK);
	ck_assert_int_eq(change_with(loss[_i].apply, &f), ERR_INVALID);
	ck_assert_int_eq(change_with(promote_second, &f), ERR_OK);
	ck_assert_msg(change_with(loss[_i].apply, &f) == ERR_OK, "%s", f.message);
	ck_assert_int_eq(verify(&f), ERR_OK);
}
END_TEST

START_TEST(passwords_are_made_and_hold) {
	struct fault f = {0};
	char hash[PASSWORD_HASH_SIZE];
	const char *one = password_new(&arena, PASSWORD_GROUPS),
		   *other = password_new(&arena, PASSWORD_GROUPS);
	ck_assert_int_eq(strlen(one), 19);
	ck_assert_int_eq(strspn(one, "23456789abcdefghjkmnpqrstuvwxyz-"), 19);
	ck_assert_str_ne(one, other);
	ck_assert_int_eq(password_hash(one, true, hash, &f), ERR_OK);
	ck_assert(password_holds(one, hash));
	ck_assert(!password_holds(other, hash));
	ck_assert(!password_holds(one, NULL));
}
END_TEST

static const struct {
	const char *name, *value, *reason, *field; /* field NULL: is taken */
} setting_case[] = {
    {"department", "Brackwater", NULL, NULL},
    {"department", "", NULL, "department"},
    {"time_zone", "Mars/Olympus", NULL, "time_zone"},
    {"time_zone", "", NULL, "time_zone"},
    {"officer_email", "officer@example.org", NULL, NULL},
    {"officer_email", "", NULL, NULL},
    {"officer_email", "officer", NULL, "officer_email"},
    {"mail_url", "http://example.org", NULL, "mail_url"},
    {"public_address", "https://example.org", NULL, NULL},
    {"public_address", "https://example.org/", NULL, "public_address"},
    {"advanced_inspection_first_months", "6", NULL, NULL},
    {"advanced_inspection_first_months", "", NULL, NULL},
    {"advanced_inspection_first_months", "18", NULL, "reason"},
    {"advanced_inspection_first_months", "18", "Agreed.", NULL},
    {"advanced_inspection_first_months", "0", NULL, "advanced_inspection_first_months"},
    {"no_such_setting", "1", NULL, "no_such_setting"},
};

static size_t setting_at;
static enum err change_setting(struct change *c, struct store *st) {
	return setting_change(st, setting_case[setting_at].name, setting_case[setting_at].value,
			      setting_case[setting_at].reason, &c->fault);
}

START_TEST(settings_are_checked_and_read_back) {
	struct fault f = {0};
	const char *field = setting_case[_i].field;
	struct doc *row;
	int64_t before, after;
	setting_at = (size_t)_i;
	ck_assert_int_eq(setting_version(store, &before, &f), ERR_OK);
	ck_assert_int_eq(change_with(change_setting, &f), field ? ERR_INVALID : ERR_OK);
	if (field) ck_assert_str_eq(f.field, field);
	f = (struct fault){0};
	ck_assert_int_eq(setting_version(store, &after, &f), ERR_OK);
	ck_assert_int_eq(after > before, !field);
	ck_assert_int_eq(setting_get(store, setting_case[_i].name, &arena, &row, &f), ERR_OK);
	const char *value = row ? doc_text(row, "value") : "";
	ck_assert_str_eq(value, field ? "" : setting_case[_i].value);
	ck_assert_int_eq(verify(&f), ERR_OK);
}
END_TEST

START_TEST(a_setting_is_read_by_its_name) {
	struct fault f = {0};
	const char *value;
	ck_assert_int_eq(setting_text(store, "mail_from", "absent", &arena, &value, &f), ERR_OK);
	ck_assert_str_eq(value, "absent");
	setting_at = 0;
	ck_assert_int_eq(change_with(change_setting, &f), ERR_OK);
	ck_assert_int_eq(setting_text(store, "department", "absent", &arena, &value, &f), ERR_OK);
	ck_assert_str_eq(value, "Brackwater");
	ck_assert_int_eq(setting_text(store, "departement", "absent", &arena, &value, &f),
			 ERR_NOT_FOUND);
}
END_TEST

Suite *store_suite(void) {
	Suite *s = suite_create("store");
	TCase *t = tcase_create("store");
	tcase_set_timeout(t, 60);
	tcase_add_checked_fixture(t, open_store, close_store);
	tcase_add_test(t, every_statement_has_its_plan);
	tcase_add_test(t, no_statement_replaces_rows);
	tcase_add_test(t, what_is_written_verifies_and_is_as_computed);
	tcase_add_test(t, a_failed_change_leaves_nothing);
	tcase_add_test(t, facts_and_entries_cannot_be_taken_away);
	tcase_add_loop_test(t, verify_notices_tampering, 0,
			    (int)(sizeof tampering / sizeof *tampering));
	tcase_add_test(t, an_edited_migration_is_noticed);
	tcase_add_loop_test(t, the_last_administrator_stays, 0, sizeof loss / sizeof *loss);
	tcase_add_test(t, passwords_are_made_and_hold);
	tcase_add_loop_test(t, settings_are_checked_and_read_back, 0,
			    sizeof setting_case / sizeof *setting_case);
	tcase_add_test(t, a_setting_is_read_by_its_name);
	suite_add_tcase(s, t);
	return s;
}
