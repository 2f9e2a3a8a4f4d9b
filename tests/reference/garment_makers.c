/*
 * A maker's table of NFPA 1971 garment requirements, 2013 and 2018 editions.
 *
 *   liner in its shell       within 1 in. of the end of sleeve or leg, within 3 in. of the hem
 *
 * Used as a field check here: a larger gap tells of a wrong liner or of shrinkage.
 */
#include "trade.h"

START_TEST(gaps_of_a_liner) {
	static const struct {
		int64_t cuff, hem; /* thousandths of an inch */
		const char *result;
	} gap[] = {
	    {1000, 3000, "pass"}, {1500, 3000, "fail"}, {1000, 3500, "fail"}, {0, 0, "pass"}};
	for (size_t i = 0; i < sizeof gap / sizeof *gap; i++) {
		struct field_test t = {.test = TEST_LINER_GAP};
		measured(&t, MEASURE_CUFF_GAP, UNIT_INCH, gap[i].cuff);
		measured(&t, MEASURE_HEM_GAP, UNIT_INCH, gap[i].hem);
		ck_assert_str_eq(comes_to(&t), gap[i].result);
	}
}
END_TEST

TCase *garment_makers_case(void) {
	TCase *c = trade_case("garment makers");
	tcase_add_test(c, gaps_of_a_liner);
	return c;
}
