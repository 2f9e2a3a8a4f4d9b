#include <stdlib.h>

#include "trade.h"

static Suite *sources(void) {
	Suite *s = suite_create("reference: the trade");
	suite_add_tcase(s, nfpa_1851_as_reported_case());
	suite_add_tcase(s, fire_technology_case());
	suite_add_tcase(s, barrier_press_case());
	suite_add_tcase(s, beaumont_fire_sog_case());
	suite_add_tcase(s, texas_administrative_code_case());
	suite_add_tcase(s, washington_administrative_code_case());
	suite_add_tcase(s, michigan_administrative_code_case());
	suite_add_tcase(s, oregon_special_districts_case());
	suite_add_tcase(s, cleaning_guides_case());
	suite_add_tcase(s, repair_or_replace_case());
	suite_add_tcase(s, units_of_measure_case());
	suite_add_tcase(s, garment_makers_case());
	suite_add_tcase(s, new_product_case());
	suite_add_tcase(s, user_information_guide_case());
	suite_add_tcase(s, handed_down_rules_case());
	suite_add_tcase(s, trade_common_practice_case());
	suite_add_tcase(s, decided_case());
	return s;
}

int main(void) {
	int failed = 1;
	if (trade_load()) {
		SRunner *runner = srunner_create(sources());
		srunner_run_all(runner, CK_NORMAL);
		failed = srunner_ntests_failed(runner);
		srunner_free(runner);
	}
	trade_remove();
	return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
