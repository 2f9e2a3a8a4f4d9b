/*
 * Rules from memory: handed down in the trade, recalled, not looked up.
 *
 *   reflective outer shell   five years from manufacture (recalled as NFPA 1851, 10.1), the liner
 *                            and all else ten
 *   drying                   air of at most 105 degrees Fahrenheit
 *   helmets, boots           washed by hand
 */
#include "trade.h"

#include "rules/cleaning.h"

/* Decided: strict reading. */
START_TEST(reflective_shell_ages_faster) {
	struct component_facts shell = in_use("coat_shell", "2021-09");
	struct component_facts liner = in_use("coat_liner", "2021-09");
	shell.reflective = true;
	ck_assert_str_eq(due(&shell, DUTY_RETIREMENT), "2026-08-31");
	ck_assert_str_eq(due(&liner, DUTY_RETIREMENT), "2031-08-31");
	/* To be confirmed: overcover and shroud are aluminized outer shells too;
	 * reflective gloves, footwear and faceshields keep ten years unless set tighter. */
	struct component_facts c = in_use("shroud", "2021-09");
	c.reflective = true;
	ck_assert_str_eq(due(&c, DUTY_RETIREMENT), "2026-08-31");
	c.kind = handbook_kind(hb, "gloves");
	ck_assert_str_eq(due(&c, DUTY_RETIREMENT), "2031-08-31");
	follow("retirement_reflective_gloves_first_months", "60");
	ck_assert_str_eq(due(&c, DUTY_RETIREMENT), "2026-08-31");
}
END_TEST

START_TEST(dried_in_mild_air) {
	const struct cleaning_limit *limit[CLEANING_LIMITS];
	struct washing w = {
	    .kind = handbook_kind(hb, "coat_shell"), .has_dry = true, .dry_mf = 105000};
	ck_assert_uint_eq(cleaning_beyond(&w, limit), 0);
	w.dry_mf = 106000;
	ck_assert_uint_eq(cleaning_beyond(&w, limit), 1);
	ck_assert_str_eq(limit[0]->code, "drying");
}
END_TEST

START_TEST(washed_by_hand) {
	static const char *const by_hand[] = {"helmet", "footwear"};
	const struct cleaning_limit *limit[CLEANING_LIMITS];
	for (int i = 0; i < 2; i++) {
		struct washing w = {.kind = handbook_kind(hb, by_hand[i])};
		ck_assert_uint_eq(cleaning_beyond(&w, limit), 0);
		w.by_machine = true;
		ck_assert_uint_eq(cleaning_beyond(&w, limit), 1);
	}
}
END_TEST

TCase *handed_down_rules_case(void) {
	TCase *c = trade_case("from memory");
	tcase_add_test(c, reflective_shell_ages_faster);
	tcase_add_test(c, dried_in_mild_air);
	tcase_add_test(c, washed_by_hand);
	return c;
}
