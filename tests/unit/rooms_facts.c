/* The facts that rules decide on, from rows as people leave them: out of order, late. */
#include "rooms.h"

#include <sqlite3.h>
#include <string.h>
#include <unistd.h>

#include "base/limits.h"
#include "folder.h"
#include "store/change.h"
#include "store/component.h"
#include "store/facts.h"
#include "store/handbook.h"

static char folder[] = "/tmp/pegwarden-facts-XXXXXX";
static struct store *store;
static sqlite3 *beside; /* a connection of the test's own, for rows nobody would type */
static struct arena arena;
static int count; /* parts so far */

static void raw(const char *sql) {
	char *message = NULL;
	ck_assert_msg(sqlite3_exec(beside, sql, NULL, NULL, &message) == SQLITE_OK, "%s: %s", sql,
		      message);
}

static void open_store(void) {
	char path[100];
	folder_make(folder);
	store = folder_open(folder);
	arena_init(&arena, LIMIT_ARENA_BYTES_MAX);
	snprintf(path, sizeof path, "%s/pegwarden.db", folder);
	ck_assert_int_eq(sqlite3_open(path, &beside), SQLITE_OK);
	raw("INSERT INTO station (id, code, name, search_key) VALUES (1, 'S1', 'One', 'one');"
	    "INSERT INTO member (id, badge, family_name, given_name, search_key, station_id)"
	    " VALUES (1, '7', 'B', 'A', 'a b', 1);"
	    "INSERT INTO component (id, tag, kind, hazard, search_key, station_id)"
	    " VALUES (1, 'T1', 'coat_shell', 'structural', 't1', 1);");
	count = 0;
}

static void close_store(void) {
	sqlite3_close(beside);
	store_close(store);
	arena_clear(&arena);
	folder_remove(folder);
}

/* A signed part, recorded after those before it. answer: of clean, model and size. */
static void part(const char *kind, const char *on, const char *answer, const char *conclusion,
		 bool brought_in) {
	int id = ++count;
	raw(arena_printf(
	    &arena,
	    "INSERT INTO inspection (id, kind, inspector_id, started_at, inspected_on, state,"
	    " signed_at) VALUES (%d, '%s', 1, '', '%s', 'signed', '');"
	    "INSERT INTO inspection_part (id, component_id, inspection_id, kind, inspected_on,"
	    " signed, inspector_name, checklist_id, clean, model_agrees, size_agrees,"
	    " conclusion) VALUES ((1 << 20) + %d, 1, %d, '%s', '%s', 1, 'A', %s, '%s', '%s',"
	    " '%s', '%s')",
	    id, kind, on, id, id, kind, on, brought_in ? "NULL" : "1", answer, answer, answer,
	    conclusion));
}

static struct component_facts facts(void) {
	struct component_facts c;
	struct fault f = {0};
	const struct handbook *hb;
	ck_assert_int_eq(store_handbook(store, &hb, &f), ERR_OK);
	ck_assert_msg(facts_of_component(store, hb, 1, &arena, &c, &f) == ERR_OK, "%s", f.message);
	return c;
}

START_TEST(the_latest_look_decides) {
	part("advanced", "2025-03-01", "no", "clean_first", false);
	struct component_facts c = facts();
	ck_assert_int_eq(c.not_clean_on, day_parse("2025-03-01"));
	ck_assert_int_eq(c.model_disagrees_on, day_parse("2025-03-01"));
	ck_assert_int_eq(c.size_disagrees_on, day_parse("2025-03-01"));
	ck_assert_int_eq(c.inspected_on[INSPECTION_ADVANCED], DAY_NONE); /* it was not done */
	/* An older one that is recorded late changes nothing. */
	part("advanced", "2024-03-01", "yes", "return_to_service", false);
	c = facts();
	ck_assert_int_eq(c.not_clean_on, day_parse("2025-03-01"));
	ck_assert_int_eq(c.size_disagrees_on, day_parse("2025-03-01"));
	ck_assert_int_eq(c.inspected_on[INSPECTION_ADVANCED], day_parse("2024-03-01"));
	/* On one day the order of recording counts. */
	part("advanced", "2025-03-01", "yes", "return_to_service", false);
	c = facts();
	ck_assert_int_eq(c.not_clean_on, DAY_NONE);
	ck_assert_int_eq(c.model_disagrees_on, DAY_NONE);
}
END_TEST

START_TEST(a_wearers_look_does_not_lift_what_was_concluded) {
	part("advanced", "2025-03-01", "yes", "out_of_service", true);
	part("routine", "2025-04-01", "yes", "out_of_service", false);
	ck_assert_int_eq(facts().unfit_on, day_parse("2025-03-01"));
	part("advanced", "2025-05-01", "yes", "return_to_service", false);
	ck_assert_int_eq(facts().unfit_on, DAY_NONE);
}
END_TEST

static void found(int id, const char *outcome) {
	raw(arena_printf(
	    &arena,
	    "INSERT INTO finding (id, component_id, inspection_id, check_point, defect,"
	    " severity, outcome, state) VALUES (%d, 1, 1, 'soiling', 'soiled', 'minor', '%s',"
	    " 'open')",
	    id, outcome));
}

static const char *cleaned_class, *cleaned_day;
static bool cleaned_after;

static enum err clean(struct change *c, struct store *st) {
	const struct cleaning_row row = {.component = 1,
					 .cleaned_on = cleaned_day,
					 .class = cleaned_class,
					 .reason = "soiled",
					 .performed_by = "A",
					 .done_after = cleaned_after};
	return cleaning_insert(st, &row, &c->fault);
}

/* Records a cleaning and tells how many findings stay open. */
static size_t open_after(const char *class, const char *on) {
	struct change c = {.apply = clean, .author = {0, "system", "test", 1795651200}};
	struct signing_key key;
	char path[4096];
	snprintf(path, sizeof path, "%s/signing.key", folder);
	ck_assert_int_eq(signing_key_create(&key, path, &c.fault), ERR_OK);
	unlink(path);
	cleaned_class = class;
	cleaned_day = on;
	ck_assert_msg(store_change(store, &key, &c) == ERR_OK, "%s", c.fault.message);
	return facts().finding_count;
}

START_TEST(cleaning_ends_what_waits_for_it) {
	part("routine", "2025-03-01", "yes", "out_of_service", false);
	found(1, "clean");
	found(2, "repair");
	ck_assert_uint_eq(open_after("routine", "2025-03-02"), 2);
	ck_assert_uint_eq(open_after("advanced", "2025-02-28"), 2); /* before it was found */
	ck_assert_uint_eq(open_after("advanced", "2025-03-01"), 2); /* which was first? */
	cleaned_after = true;
	ck_assert_uint_eq(open_after("advanced", "2025-03-01"), 1);
	cleaned_after = false;
	ck_assert_int_eq(facts().finding[0].id, 2);
}
END_TEST

Suite *facts_suite(void) {
	Suite *s = suite_create("store: facts");
	TCase *c = tcase_create("facts");
	tcase_add_checked_fixture(c, open_store, close_store);
	tcase_add_test(c, the_latest_look_decides);
	tcase_add_test(c, a_wearers_look_does_not_lift_what_was_concluded);
	tcase_add_test(c, cleaning_ends_what_waits_for_it);
	suite_add_tcase(s, c);
	return s;
}
