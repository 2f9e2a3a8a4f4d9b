/*
 * Michigan Administrative Code R 408.17312.
 *
 *   inspections          at least once a year
 *   records of them      kept for 24 months or longer
 *
 * Decided: nothing that somebody did or saw is deleted at all, so that the 24 months of any record
 * never end: an inspection of 1 November 2023 must be there until 1 November 2025, and stays.
 */
#include "trade.h"

#include "store/internal.h"
#include "store/session.h"

START_TEST(inspected_every_year) {
	struct component_facts c = in_use("coat_shell", "2020-01");
	c.inspected_on[INSPECTION_ADVANCED] = on("2023-11-01");
	for (size_t i = 0; i < hb->rule_set_count; i++) {
		follow("rule_set", hb->rule_set[i].code);
		ck_assert(overdue(&c, DUTY_ADVANCED_INSPECTION, "2024-11-02"));
	}
}
END_TEST

static int count(struct store *st, const char *sql) {
	sqlite3_stmt *s;
	ck_assert_int_eq(sqlite3_prepare_v2(st->db, sql, -1, &s, NULL), SQLITE_OK);
	ck_assert_int_eq(sqlite3_step(s), SQLITE_ROW);
	int n = sqlite3_column_int(s, 0);
	sqlite3_finalize(s);
	return n;
}

/* Whatever statement may once slip in: the connection refuses it. */
START_TEST(no_record_is_deleted) {
	struct store *st = trade_store();
	struct fault f = {.code = ERR_OK};
	const char *sql =
	    "INSERT INTO station (id, code, name, search_key) VALUES (1, 'S1', 'One', 'one');"
	    "INSERT INTO member (id, badge, family_name, given_name, search_key, station_id)"
	    " VALUES (1, '7', 'B', 'A', 'a b', 1);"
	    "INSERT INTO inspection (id, kind, inspector_id, started_at, inspected_on, state,"
	    " signed_at) VALUES (1, 'advanced', 1, '', '2023-11-01', 'signed',"
	    " '2023-11-01T12:00:00Z')";
	ck_assert_msg(store_script(st, sql, "fill", &f) == ERR_OK, "%s", f.message);
	/* What is cleared away in the course of time, on 2 November 2025 and ten years later. */
	ck_assert_int_eq(workings_expire(st, 1762041600, &f), ERR_OK);
	ck_assert_int_eq(workings_expire(st, 2077401600, &f), ERR_OK);
	for (int i = 0; i < FACT_TABLES; i++) {
		sql = arena_printf(&arena, "DELETE FROM %s", fact_table[i]);
		ck_assert_msg(store_script(st, sql, "delete", &f) != ERR_OK, "%s", sql);
	}
	ck_assert_int_eq(count(st, "SELECT count(*) FROM inspection"), 1);
	store_close(st);
}
END_TEST

/* Nor does a row go with another one, or by a trigger. */
START_TEST(nothing_is_deleted_along) {
	struct store *st = trade_store();
	ck_assert_int_eq(count(st, "SELECT count(*) FROM sqlite_schema WHERE type = 'trigger'"), 0);
	ck_assert_int_gt(count(st, "SELECT count(*) FROM sqlite_schema t,"
				   " pragma_foreign_key_list(t.name) k WHERE t.type = 'table'"),
			 20);
	ck_assert_int_eq(count(st, "SELECT count(*) FROM sqlite_schema t,"
				   " pragma_foreign_key_list(t.name) k WHERE t.type = 'table'"
				   " AND k.on_delete <> 'NO ACTION'"),
			 0);
	store_close(st);
}
END_TEST

TCase *michigan_administrative_code_case(void) {
	TCase *c = trade_case("Michigan Administrative Code");
	tcase_add_test(c, inspected_every_year);
	tcase_add_test(c, no_record_is_deleted);
	tcase_add_test(c, nothing_is_deleted_along);
	return c;
}
