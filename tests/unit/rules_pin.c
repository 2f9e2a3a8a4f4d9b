#include <string.h>

#include "rules.h"
#include "rules/pin.h"

/* A PIN, and a word of what is wrong with it. */
static const struct {
	const char *pin, *says;
} easy[] = {{"", "6 to 12 digits"},
	    {"60221", "6 to 12 digits"},
	    {"6022140857299", "6 to 12 digits"},
	    {"60221x", "6 to 12 digits"},
	    {"602 214", "6 to 12 digits"},
	    {"-602214", "6 to 12 digits"},
	    {"６０２２１４", "6 to 12 digits"},
	    {"000000", "three different"},
	    {"121212", "three different"},
	    {"112211", "three different"},
	    {"7777777", "three different"},
	    {"123456", "equal steps"},
	    {"654321", "equal steps"},
	    {"890123", "equal steps"},
	    {"210987", "equal steps"},
	    {"246802", "equal steps"},
	    {"0369258", "equal steps"},
	    {"123123", "same digits again"},
	    {"602602", "same digits again"},
	    {"12341234", "same digits again"},
	    {"123412341234", "same digits again"},
	    {"112233", "doubled or tripled"},
	    {"550077", "doubled or tripled"},
	    {"11223344", "doubled or tripled"},
	    {"990088112277", "doubled or tripled"},
	    {"111222333", "doubled or tripled"},
	    {"444422220000", "doubled or tripled"}};

static const char *const fit[] = {"602214", "123457", "314159", "299792458", "102030405067",
				  /* Some digits doubled, or unevenly. */
				  "112234", "122334", "1112233", "1122334", "663377441"};

START_TEST(easy_pins_are_refused) {
	const char *fault = pin_fault(easy[_i].pin, NULL);
	ck_assert_ptr_nonnull(fault);
	ck_assert_ptr_nonnull(strstr(fault, easy[_i].says));
}
END_TEST

START_TEST(others_may_be) { ck_assert_ptr_null(pin_fault(fit[_i], "3004")); }
END_TEST

START_TEST(the_badge_is_no_part_of_it) {
	ck_assert_ptr_nonnull(strstr(pin_fault("003004", "3004"), "badge"));
	ck_assert_ptr_nonnull(strstr(pin_fault("713004", "3004"), "badge"));
	ck_assert_ptr_nonnull(strstr(pin_fault("713004", "300"), "badge"));
	ck_assert_ptr_null(pin_fault("713004", "3005"));
	ck_assert_ptr_null(pin_fault("713004", NULL));
	/* Of a badge this short every PIN may have the digits. */
	ck_assert_ptr_null(pin_fault("713004", "71"));
	ck_assert_ptr_null(pin_fault("713004", "7"));
}
END_TEST

START_TEST(of_a_million_nearly_all_may_be) {
	int refused = 0;
	char pin[12]; /* as long as any number, or compilers warn */
	for (int n = 0; n < 1000000; n++) {
		snprintf(pin, sizeof pin, "%06d", n);
		refused += pin_fault(pin, NULL) != NULL;
	}
	/* With one digit or two: 10 + 45 * 62. Equal steps of three digits or more: 10 first
	 * digits and 8 steps, 5 has two digits only. Three digits repeated: 10 * 9 * 8. Three
	 * digits doubled: 10 * 9 * 8. */
	ck_assert_int_eq(refused, 2800 + 80 + 720 + 720);
}
END_TEST

START_TEST(wrong_ones_slow_down) {
	static const int wait[] = {0, 0, 2, 4, 8, 16, 16};
	for (int failures = 0; failures < 7; failures++)
		ck_assert_int_eq(pin_wait_s(failures), wait[failures]);
}
END_TEST

Suite *rules_pin_suite(void) {
	Suite *s = suite_create("rules/pin");
	TCase *c = tcase_create("pin");
	tcase_add_loop_test(c, easy_pins_are_refused, 0, sizeof easy / sizeof *easy);
	tcase_add_loop_test(c, others_may_be, 0, sizeof fit / sizeof *fit);
	tcase_add_test(c, the_badge_is_no_part_of_it);
	tcase_add_test(c, of_a_million_nearly_all_may_be);
	tcase_add_test(c, wrong_ones_slow_down);
	suite_add_tcase(s, c);
	return s;
}
