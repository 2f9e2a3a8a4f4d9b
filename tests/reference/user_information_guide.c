/*
 * A maker's user information guide, structural and proximity garments.
 *
 *   overlap      coat over trousers at least 2 in. (5 cm) of all layers, in several positions
 *   movements    no skin or gap when reaching, bending, kneeling, crawling
 */
#include "trade.h"

#include "rules/fit_check.h"

/* All else closed. */
static const char *worn_with(enum unit unit, int64_t overlap, enum interface_answer hood) {
	struct fit_check c = {.hazard = HAZARD_PROXIMITY, .has_overlap = true};
	struct fit_verdict v;
	c.answer[INTERFACE_HOOD_COLLAR] = hood;
	ck_assert(unit_keep(unit, overlap, &c.overlap));
	fit_check_judge(&v, &c, followed(), &arena);
	return fit_result_word[v.result];
}

START_TEST(overlap_of_coat_and_trousers) {
	ck_assert_str_eq(worn_with(UNIT_INCH, 2000, INTERFACE_CLOSED), "closed");
	ck_assert_str_eq(worn_with(UNIT_INCH, 1500, INTERFACE_CLOSED), "gap");
	ck_assert_str_eq(worn_with(UNIT_CENTIMETRE, 5000, INTERFACE_CLOSED), "closed");
	ck_assert_str_eq(worn_with(UNIT_CENTIMETRE, 4900, INTERFACE_CLOSED), "gap");
}
END_TEST

START_TEST(in_each_movement) {
	ck_assert_str_eq(worn_with(UNIT_INCH, 2000, (enum interface_answer)_i), "gap");
}
END_TEST

TCase *user_information_guide_case(void) {
	TCase *c = trade_case("user information guide");
	tcase_add_test(c, overlap_of_coat_and_trousers);
	tcase_add_loop_test(c, in_each_movement, INTERFACE_GAP_REACHING, INTERFACE_NOT_WORN);
	return c;
}
