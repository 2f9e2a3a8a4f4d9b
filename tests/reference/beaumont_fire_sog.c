/*
 * Beaumont TX Fire, SOG 601.01A "Advanced cleaning and inspection", October 2022.
 *
 *   every piece          advanced inspection at least every 12 months (so too a service provider's
 *                        overview of inspections)
 *                        and whenever a routine inspection suggests a problem
 *   reserve, in stores   exempt while it was not issued since its last advanced inspection
 */
#include "trade.h"

START_TEST(advanced_inspection_every_twelve_months) {
	struct component_facts c = in_use("coat_shell", "2020-01");
	c.inspected_on[INSPECTION_ADVANCED] = on("2025-03-15");
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_INSPECTION), "2026-03-15");
	ck_assert(!overdue(&c, DUTY_ADVANCED_INSPECTION, "2026-03-15"));
	ck_assert(overdue(&c, DUTY_ADVANCED_INSPECTION, "2026-03-16"));
}
END_TEST

START_TEST(advanced_inspection_when_a_routine_one_suggests_a_problem) {
	struct component_facts c = in_use("coat_shell", "2020-01");
	c.inspected_on[INSPECTION_ADVANCED] = on("2025-03-15");
	c.problem_on = on("2025-05-01");
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_INSPECTION), "2025-05-01");
	ck_assert(overdue(&c, DUTY_ADVANCED_INSPECTION, "2025-05-02"));
}
END_TEST

/* Decided: once issued, the old day counts. */
START_TEST(reserve_coat) {
	struct component_facts c = part("coat_shell", "2020-01");
	c.inspected_on[INSPECTION_ADVANCED] = on("2024-01-10");
	ck_assert(!overdue(&c, DUTY_ADVANCED_INSPECTION, "2026-02-01"));
	c.is_issued = true;
	c.issued_on = on("2026-02-02");
	ck_assert(overdue(&c, DUTY_ADVANCED_INSPECTION, "2026-02-02"));
}
END_TEST

TCase *beaumont_fire_sog_case(void) {
	TCase *c = trade_case("Beaumont TX Fire, SOG 601.01A");
	tcase_add_test(c, advanced_inspection_every_twelve_months);
	tcase_add_test(c, advanced_inspection_when_a_routine_one_suggests_a_problem);
	tcase_add_test(c, reserve_coat);
	return c;
}
