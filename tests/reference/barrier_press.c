/*
 * Trade press, "Performance and limits of moisture barriers".
 *
 *   legs   of the trousers usually fall 6 to 10 in. over the boot
 */
#include "trade.h"

#include <string.h>

#include "rules/fit_check.h"

static const struct {
	int64_t inches; /* thousandths */
	const char *told;
} legs[] = {{5900, "but usual is at least 6 in"},
	    {6000, "as usual, at most 10 in"},
	    {10000, "as usual, at most 10 in"},
	    {10100, "but usual is at most 10 in"}};

/* Decided: it is told, and is no gap; a leg that rides up is one. */
START_TEST(legs_over_the_boots) {
	struct fit_check c = {.hazard = HAZARD_STRUCTURAL, .has_leg = true};
	struct fit_verdict v;
	ck_assert(unit_keep(UNIT_INCH, legs[_i].inches, &c.leg));
	fit_check_judge(&v, &c, followed(), &arena);
	ck_assert_str_eq(fit_result_word[v.result], "closed");
	ck_assert_msg(strstr(v.because, legs[_i].told) != NULL, "%s", v.because);
}
END_TEST

TCase *barrier_press_case(void) {
	TCase *c = trade_case("trade press on moisture barriers");
	tcase_add_loop_test(c, legs_over_the_boots, 0, sizeof legs / sizeof *legs);
	return c;
}
