#include <stdlib.h>

#include "rules.h"

int main(void) {
	SRunner *runner = srunner_create(rules_handbook_suite());
	srunner_add_suite(runner, rules_kind_suite());
	srunner_add_suite(runner, rules_program_suite());
	srunner_add_suite(runner, rules_amend_suite());
	srunner_add_suite(runner, rules_duty_suite());
	srunner_add_suite(runner, rules_standing_suite());
	srunner_add_suite(runner, rules_finding_suite());
	srunner_add_suite(runner, rules_verdict_suite());
	srunner_add_suite(runner, rules_work_suite());
	srunner_add_suite(runner, rules_qualification_suite());
	srunner_add_suite(runner, rules_readiness_suite());
	srunner_add_suite(runner, rules_retirement_suite());
	srunner_add_suite(runner, rules_safety_suite());
	srunner_add_suite(runner, rules_property_suite());
	srunner_add_suite(runner, rules_unit_suite());
	srunner_add_suite(runner, rules_pin_suite());
	srunner_add_suite(runner, rules_field_test_suite());
	srunner_add_suite(runner, rules_fit_check_suite());
	srunner_add_suite(runner, rules_figure_suite());
	srunner_run_all(runner, CK_NORMAL);
	int failed = srunner_ntests_failed(runner);
	srunner_free(runner);
	return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
