/*
 * NFPA 1971 and 1970: minimums of new product, which are no limits of use.
 *
 *   makers' FAQs, 2013 edition     thermal protective performance 35 cal/cm2, half of which are the
 *                                  seconds: 17.5; total heat loss 205 W/m2
 *   trade press on trim; Fire Technology 47 (2011)   retroreflection 100 cd/(lx m2)
 *   trade press on ratings         char 4 in., after-flame 2 s, shrinkage 10 %
 *   fabric maker's table           tear strength 100 N of a shell, 22 N of a barrier
 *   from memory                    breaking strength 623 N of a shell; seams 667, 334, 180 N; a
 *                                  barrier 25 psi; hood 20 cal/cm2; radiant intersect time 20 s
 */
#include "trade.h"

static const struct {
	enum limit_code property;
	int64_t within, beyond; /* thousandths of the unit in which the source has it */
} published[] = {
    {LIMIT_OF_LAB_TPP, 35000, 34900},
    {LIMIT_OF_LAB_THL, 205000, 204900},
    {LIMIT_OF_LAB_REFLECTION, 100000, 99000},
    {LIMIT_OF_LAB_CHAR, 4000, 4100},
    {LIMIT_OF_LAB_AFTER_FLAME, 2000, 2100},
    {LIMIT_OF_LAB_SHRINKAGE, 10000, 10100},
    {LIMIT_OF_LAB_TEAR_SHELL, 100000, 99900},
    {LIMIT_OF_LAB_TEAR_LINER, 22000, 21900},
    {LIMIT_OF_LAB_SHELL_STRENGTH, 623000, 622900},
    {LIMIT_OF_LAB_SEAM_A, 667000, 666900},
    {LIMIT_OF_LAB_SEAM_B, 334000, 333900},
    {LIMIT_OF_LAB_SEAM_MINOR, 180000, 179900},
    {LIMIT_OF_LAB_WATER, 25000, 24900},
    {LIMIT_OF_LAB_HOOD_TPP, 20000, 19900},
    {LIMIT_OF_LAB_RPP, 20000, 19900},
};

START_TEST(beside_new_product) {
	struct field_test t = {.test = TEST_LABORATORY, .property = published[_i].property};
	ck_assert_uint_eq(sizeof published / sizeof *published,
			  LIMIT_OF_COUNT - LIMIT_OF_LAB_FIRST);
	t.given[MEASURE_VALUE] = true;
	t.value[MEASURE_VALUE] = published[_i].within;
	ck_assert_str_eq(comes_to(&t), "above");
	t.value[MEASURE_VALUE] = published[_i].beyond;
	ck_assert_str_eq(comes_to(&t), "below");
}
END_TEST

/* Published: 35 cal/cm2 stand for 17.5 s; derived: 40 for 20 s. */
START_TEST(seconds_of_protection) {
	ck_assert_int_eq(tpp_seconds(35000), 17500);
	ck_assert_int_eq(tpp_seconds(40000), 20000);
}
END_TEST

/* The laboratory's water test is 25 psi of new barrier, the field's is 1 psi: they are two. */
START_TEST(two_water_tests_are_never_one) {
	ck_assert_int_eq(hb->limit[LIMIT_OF_LAB_WATER].thousandths, 25000);
	ck_assert_int_eq(hb->limit[LIMIT_OF_WATER_PRESSURE].thousandths, 1000);
}
END_TEST

TCase *new_product_case(void) {
	TCase *c = trade_case("new product");
	tcase_add_loop_test(c, beside_new_product, 0, sizeof published / sizeof *published);
	tcase_add_test(c, seconds_of_protection);
	tcase_add_test(c, two_water_tests_are_never_one);
	return c;
}
