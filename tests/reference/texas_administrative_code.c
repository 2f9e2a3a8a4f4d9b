/*
 * 37 Texas Administrative Code 435.1 and 427.207.
 *
 *   risk           the risk assessment behind the selection is reviewed every five years (435.1)
 *   complete set   coat, trousers, boots, gloves, helmet and hood (435.1)
 *   training gear  no longer in service, sound, clean, marked, and not for live fire (427.207)
 */
#include "trade.h"

#include "rules/readiness.h"
#include "rules/retirement.h"

START_TEST(risk_assessment_every_five_years) {
	ck_assert_int_eq(risk_review_due(on("2021-03-15")), on("2026-03-15"));
	ck_assert_int_eq(risk_review_due(DAY_NONE), DAY_NONE);
}
END_TEST

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
	struct member_facts m = {.member = 3,
				 .ensemble = &ensemble,
				 .ensemble_count = 1,
				 .part = piece,
				 .part_count = 10};
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

static bool may_serve_for_training(const struct component_facts *c) {
	static const struct duty_list none; /* retired gear owes nothing */
	struct blocker obstacle[20];
	struct standing s;
	standing_make(&s, c, &none, hb, &arena);
	return training_obstacles(c, s.blocker, s.blocker_count, obstacle, &arena) == 0;
}

START_TEST(retired_coat_for_training) {
	const struct exposure fuel = {1, EXPOSURE_FUELS, on("2026-01-10"), NULL};
	const struct open_finding torn = {.id = 1,
					  .defect = "tear",
					  .outcome = handbook_outcome(hb, "repair"),
					  .found_on = on("2026-01-10")};
	struct component_facts c = part("coat_shell", "2016-01");
	c.retired_on = on("2026-02-01");
	c.retired_ground = "age";
	ck_assert_ptr_nonnull(training_refusal(TRAINING_LIVE_FIRE));
	ck_assert_ptr_null(training_refusal(TRAINING_WITHOUT_FIRE));
	ck_assert(may_serve_for_training(&c));
	c.exposure = &fuel;
	c.exposure_count = 1;
	ck_assert(!may_serve_for_training(&c));
	c.cleaned_on = c.specialized_on = on("2026-02-02");
	ck_assert(may_serve_for_training(&c));
	c.finding = &torn;
	c.finding_count = 1;
	ck_assert(!may_serve_for_training(&c));
}
END_TEST

TCase *texas_administrative_code_case(void) {
	TCase *c = trade_case("Texas Administrative Code");
	tcase_add_test(c, risk_assessment_every_five_years);
	tcase_add_test(c, hood_away_and_loaner_issued);
	tcase_add_test(c, retired_coat_for_training);
	return c;
}
