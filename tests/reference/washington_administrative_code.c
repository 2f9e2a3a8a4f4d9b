/*
 * Washington Administrative Code 296-305-02002.
 *
 *   structural clothing   inspected every six months, where NFPA 1851 says twelve
 */
#include "trade.h"

START_TEST(inspected_every_six_months) {
	follow("rule_set", "washington");
	struct component_facts c = in_use("coat_shell", "2020-01");
	c.inspected_on[INSPECTION_ADVANCED] = on("2025-09-01");
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_INSPECTION), "2026-03-01");
}
END_TEST

TCase *washington_administrative_code_case(void) {
	TCase *c = trade_case("Washington Administrative Code");
	tcase_add_test(c, inspected_every_six_months);
	return c;
}
