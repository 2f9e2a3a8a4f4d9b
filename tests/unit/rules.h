/*
 * The suites of src/rules, and a small handbook of their own: few rows, every
 * sort of row, so that a test shows at a glance what follows from what.
 */
#ifndef PEGWARDEN_TESTS_UNIT_RULES_H
#define PEGWARDEN_TESTS_UNIT_RULES_H

#include <check.h>

#include "rules/duty.h"
#include "rules/handbook.h"
#include "rules/program.h"

/* A fresh, not yet linked copy; rows may be changed before linking. Kinds: coat_shell,
 * coat_liner, drd, overcover, helmet, faceshield, goggles, hood. */
void small_handbook_rows(struct handbook *hb, struct arena *a);
/* The same, linked; fails the test when it does not link. */
const struct handbook *small_handbook(struct arena *a);
/* The program of a rule set of the small handbook ("ours", "other"). */
void small_program(struct program *p, const struct handbook *hb, const char *set, struct arena *a);
/* Facts of a part of a kind about which nothing is known. */
struct component_facts no_facts(const struct handbook *hb, const char *kind);
day on(const char *text); /* fails the test when it is no day */

Suite *rules_handbook_suite(void);
Suite *rules_kind_suite(void);
Suite *rules_program_suite(void);
Suite *rules_amend_suite(void);
Suite *rules_duty_suite(void);
Suite *rules_standing_suite(void);
Suite *rules_finding_suite(void);
Suite *rules_verdict_suite(void);
Suite *rules_work_suite(void);
Suite *rules_qualification_suite(void);
Suite *rules_readiness_suite(void);
Suite *rules_retirement_suite(void);
Suite *rules_safety_suite(void);
Suite *rules_property_suite(void);
Suite *rules_unit_suite(void);
Suite *rules_pin_suite(void);
Suite *rules_field_test_suite(void);
Suite *rules_fit_check_suite(void);
Suite *rules_figure_suite(void);

#endif
