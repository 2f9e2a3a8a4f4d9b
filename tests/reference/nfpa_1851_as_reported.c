/*
 * NFPA 1851, as trade press and service providers report it; the standard was not read.
 *
 *   age       ten years from manufacture, not from purchase or issue (10.1.2; trade press, "The
 *             debate: mandatory gear retirement at 10 years")
 *   liner     opened after three years in service, then every year (a service provider's overview
 *             of inspections); two years with the CBRN option ("Testing requirements for moisture
 *             barriers, part 2", 2009)
 *   cleaning  2020: two in 12 months ("PPE advanced cleaning requirements in the new NFPA 1851",
 *             2019); departments make that every six months (Beaumont TX Fire, SOG 601.01A, 2022)
 *   repair    basic: outer-shell patches of minor tears and char, shell stitching of up to an inch,
 *             shell hardware but positive closures, closing a liner; all else, and anything on
 *             barrier or thermal liner, is advanced ("How do I comply with NFPA 1851? Five
 *             options")
 *
 * The days are worked out by hand.
 */
#include "trade.h"

#include "rules/verdict.h"

/* Decided: a month-only date is read strictly, unless the setting says else. */
START_TEST(helmet_of_june_2016) {
	struct component_facts c = in_use("helmet", "2016-06");
	ck_assert_str_eq(due(&c, DUTY_RETIREMENT), "2026-05-31");
	ck_assert(!overdue(&c, DUTY_RETIREMENT, "2026-05-31"));
	ck_assert(overdue(&c, DUTY_RETIREMENT, "2026-06-01"));
	follow("age_reading", "end_of_month");
	ck_assert_str_eq(due(&c, DUTY_RETIREMENT), "2026-06-30");
	ck_assert(!overdue(&c, DUTY_RETIREMENT, "2026-06-30"));
	ck_assert(overdue(&c, DUTY_RETIREMENT, "2026-07-01"));
}
END_TEST

START_TEST(bought_later_than_made) {
	struct component_facts c = in_use("coat_shell", "2015-12");
	c.in_service_on = c.issued_on = on("2018-03-01");
	ck_assert_str_eq(due(&c, DUTY_RETIREMENT), "2025-11-30");
	follow("age_reading", "end_of_month");
	ck_assert_str_eq(due(&c, DUTY_RETIREMENT), "2025-12-31");
}
END_TEST

/* Each separable layer by its own label. */
START_TEST(replacement_liner_has_its_own_limit) {
	struct component_facts shell = in_use("coat_shell", "2017-02");
	struct component_facts liner = in_use("coat_liner", "2022-08");
	ck_assert_str_eq(due(&shell, DUTY_RETIREMENT), "2027-01-31");
	ck_assert_str_eq(due(&liner, DUTY_RETIREMENT), "2032-07-31");
}
END_TEST

START_TEST(complete_liner_inspection) {
	follow("rule_set", "nfpa_1851_2014");
	struct component_facts c = in_use("coat_liner", "2019-11");
	c.in_service_on = on("2020-05-10");
	ck_assert_str_eq(due(&c, DUTY_LINER_INSPECTION), "2023-05-10");
	c.inspected_on[INSPECTION_LINER] = on("2023-06-02");
	ck_assert_str_eq(due(&c, DUTY_LINER_INSPECTION), "2024-06-02");
	c.inspected_on[INSPECTION_LINER] = DAY_NONE;
	c.cbrn = true;
	ck_assert_str_eq(due(&c, DUTY_LINER_INSPECTION), "2022-05-10");
}
END_TEST

/* Decided: the setting chooses the reading. */
START_TEST(two_readings_of_two_a_year) {
	struct component_facts c = in_use("coat_shell", "2020-01");
	c.in_service_on = on("2020-03-01");
	c.cleaned_before_on = on("2026-01-05");
	c.cleaned_on = on("2026-01-20");
	ck_assert(!overdue(&c, DUTY_ADVANCED_CLEANING, "2026-07-20"));
	ck_assert(overdue(&c, DUTY_ADVANCED_CLEANING, "2026-07-21"));
	follow("cleaning_reading", "count");
	ck_assert(!overdue(&c, DUTY_ADVANCED_CLEANING, "2026-07-21"));
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_CLEANING), "2027-01-05");
}
END_TEST

/* Decided: lengths in whole millimetres, one inch is 25; the inch bounds a minor tear too. */
static const struct {
	const char *kind, *point, *defect;
	int length_mm;
	enum repair_class repair_class;
} repairs[] = {
    {"coat_shell", "fabric", "tear", 19, REPAIR_BASIC}, /* 0.75 in. */
    {"coat_shell", "fabric", "tear_through", 19, REPAIR_ADVANCED},
    {"coat_liner", "barrier", "hole", 1, REPAIR_ADVANCED},
    {"coat_liner", "barrier", "pinhole", 1, REPAIR_ADVANCED},
    {"coat_liner", "thermal", "tear", 1, REPAIR_ADVANCED},
    {"coat_liner", "seams", "stitches_broken", 1, REPAIR_ADVANCED},
    {"coat_shell", "seams", "stitches_broken", 25, REPAIR_BASIC},    /* 1.0 in. */
    {"coat_shell", "seams", "stitches_broken", 28, REPAIR_ADVANCED}, /* 1.1 in. */
    {"coat_shell", "seams", "stitches_missing", 0, REPAIR_ADVANCED}, /* not measured */
    {"coat_shell", "front_closure", "bent", 0, REPAIR_ADVANCED},     /* zipper, hook and dee */
    {"coat_shell", "front_closure", "does_not_close", 0, REPAIR_ADVANCED},
    {"trouser_shell", "fly", "does_not_close", 0, REPAIR_ADVANCED},
    {"coat_shell", "hardware", "missing", 0, REPAIR_BASIC}, /* pocket snap */
    {"coat_liner", "opening_closed", "left_open", 0, REPAIR_BASIC},
    {"coat_shell", "heat", "ember_burn", 0, REPAIR_BASIC},
};

START_TEST(repair_classes) {
	const struct subject_defect *d =
	    defect_at(repairs[_i].kind, HAZARD_STRUCTURAL, repairs[_i].point, repairs[_i].defect);
	ck_assert_str_eq(repair_class_word[finding_repair_class(d, repairs[_i].length_mm)],
			 repair_class_word[repairs[_i].repair_class]);
}
END_TEST

TCase *nfpa_1851_as_reported_case(void) {
	TCase *c = trade_case("NFPA 1851, as reported");
	tcase_add_test(c, helmet_of_june_2016);
	tcase_add_test(c, bought_later_than_made);
	tcase_add_test(c, replacement_liner_has_its_own_limit);
	tcase_add_test(c, complete_liner_inspection);
	tcase_add_test(c, two_readings_of_two_a_year);
	tcase_add_loop_test(c, repair_classes, 0, sizeof repairs / sizeof *repairs);
	return c;
}
