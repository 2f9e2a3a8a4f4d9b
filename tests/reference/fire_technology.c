/*
 * Fire Technology 57 (2021) 791-813, introduction.
 *
 *   NFPA 1851, 2014   advanced cleaning at least every 12 months
 *
 * What the 2020 edition asks for is in nfpa_1851_as_reported.c.
 */
#include "trade.h"

START_TEST(editions_differ) {
	struct component_facts c = in_use("coat_shell", "2020-01");
	c.cleaned_on = on("2025-08-01");
	ck_assert(overdue(&c, DUTY_ADVANCED_CLEANING, "2026-03-01"));
	follow("rule_set", "nfpa_1851_2014");
	ck_assert(!overdue(&c, DUTY_ADVANCED_CLEANING, "2026-03-01"));
}
END_TEST

TCase *fire_technology_case(void) {
	TCase *c = trade_case("Fire Technology 57");
	tcase_add_test(c, editions_differ);
	return c;
}
