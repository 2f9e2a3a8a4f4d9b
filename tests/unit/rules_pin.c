#include "rules.h"
#include "rules/pin.h"

static const char *const easy[] = {"",         "12345",        "1234567890123", "60221x", "602 214",
				   "-602214",  "６０２２１４", "000000",        "111111", "121212",
				   "112211",   "7777777",      "123456",        "654321", "890123",
				   "210987",   "246802",       "0369258",       "123123", "602602",
				   "12341234", "123412341234"};

static const char *const fit[] = {"602214", "123457", "314159", "299792458", "102030405067"};

START_TEST(easy_pins_are_refused) { ck_assert_ptr_nonnull(pin_fault(easy[_i], NULL)); }
END_TEST

START_TEST(others_may_be) { ck_assert_ptr_null(pin_fault(fit[_i], "3004")); }
END_TEST

START_TEST(the_badge_is_no_part_of_it) {
	ck_assert_ptr_nonnull(pin_fault("003004", "3004"));
	ck_assert_ptr_nonnull(pin_fault("713004", "3004"));
	ck_assert_ptr_null(pin_fault("713004", "3005"));
	ck_assert_ptr_null(pin_fault("713004", NULL));
	/* Of a badge this short every PIN may have the digits. */
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
	 * digits and 8 steps, 5 has two digits only. Three digits repeated: 10 * 9 * 8. */
	ck_assert_int_eq(refused, 2800 + 80 + 720);
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
