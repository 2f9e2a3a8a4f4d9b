/*
 * A note of Oregon's special districts on the age of turnout gear.
 *
 *   age   Oregon OSHA has not adopted the ten years of NFPA 1851
 */
#include "trade.h"

START_TEST(no_fixed_age) {
	struct component_facts c = in_use("helmet", "2010-01");
	ck_assert_str_eq(due(&c, DUTY_RETIREMENT), "2019-12-31");
	follow("rule_set", "oregon");
	ck_assert_str_eq(due(&c, DUTY_RETIREMENT), "none");
}
END_TEST

TCase *oregon_special_districts_case(void) {
	TCase *c = trade_case("Oregon's special districts");
	tcase_add_test(c, no_fixed_age);
	return c;
}
