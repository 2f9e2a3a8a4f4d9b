/*
 * 37 Texas Administrative Code 435.1.
 *
 *   complete set   coat, trousers, boots, gloves, helmet and hood
 */
#include "trade.h"

#include "rules/readiness.h"

/* Decided: an issued loaner completes it. */
START_TEST(hood_away_and_loaner_issued) {
	static const char *const kinds[] = {
	    "coat_shell", "coat_liner", "drd",        "trouser_shell", "trouser_liner", "footwear",
	    "gloves",     "helmet",     "faceshield", "hood",          "hood"};
	struct member_part piece[11];
	for (int i = 0; i < 11; i++)
		piece[i] = (struct member_part){.component = 1 + i,
						.tag = "T",
						.kind = handbook_kind(hb, kinds[i]),
						.hazard = HAZARD_STRUCTURAL,
						.ensemble = 7,
						.state = STATE_IN_SERVICE,
						.ready_until = on("2026-06-30")};
	piece[9].state = STATE_AT_PROVIDER;
	piece[9].ready_until = DAY_NONE;
	piece[9].blocker_text = "At a provider.";
	piece[10].ensemble = 0;
	piece[10].holder = 3;
	const struct member_ensemble ensemble = {7, "E-7", HAZARD_STRUCTURAL, LINE_PRIMARY};
	struct member_facts m = {3, &ensemble, 1, piece, 10};
	struct readiness r;
	readiness_make(&r, &m, HAZARD_STRUCTURAL, hb, &arena);
	ck_assert_int_eq(r.ready_until, DAY_NONE);
	ck_assert_uint_eq(r.obstacle_count, 1);
	ck_assert_int_eq(r.obstacle[0].component, 10);
	m.part_count = 11;
	readiness_make(&r, &m, HAZARD_STRUCTURAL, hb, &arena);
	ck_assert_int_eq(r.ready_until, on("2026-06-30"));
}
END_TEST

TCase *texas_administrative_code_case(void) {
	TCase *c = trade_case("Texas Administrative Code");
	tcase_add_test(c, hood_away_and_loaner_issued);
	return c;
}
