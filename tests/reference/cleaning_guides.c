/*
 * Cleaning guides of the trade press (2023-24) and a laundry-equipment vendor's note on the 2020
 * edition of NFPA 1851; for aluminized shells trade press on the 2008 edition.
 *
 *   wash water           at most 105 degrees Fahrenheit (the same guides: 40 degrees Celsius)
 *   detergent            pH 6.0 to 10.5, no chlorine bleach
 *   extraction           at most 100 g
 *   washer               a front-loading washer-extractor, top-loaders no longer
 *   load                 about three quarters of the drum
 *   made ready           shell and liner apart, the liner with its barrier inside, the drag rescue
 *                        device out, closures fastened
 *   aluminized shells    never machine washed, never machine dried
 */
#include "trade.h"

#include <string.h>

#include "rules/unit.h"

static const struct {
	int64_t water_f;
	int ph_hundredths, force_g;
	size_t beyond;
} washings[] = {
    {105, 0, 0, 0},  {106, 0, 0, 1}, {0, 600, 0, 0}, {0, 1050, 0, 0},    {0, 590, 0, 1},
    {0, 1060, 0, 1}, {0, 0, 100, 0}, {0, 0, 101, 1}, {106, 590, 101, 3},
};

START_TEST(limits_of_a_wash) {
	struct cleaning_limit limit[CLEANING_LIMITS];
	struct washing w = {.kind = handbook_kind(hb, "coat_shell"),
			    .has_water = washings[_i].water_f != 0,
			    .water_mf = washings[_i].water_f * 1000,
			    .ph_hundredths = washings[_i].ph_hundredths,
			    .force_g = washings[_i].force_g};
	ck_assert_uint_eq(washed_beyond(&w, limit), washings[_i].beyond);
	for (size_t i = 0; i < washings[_i].beyond; i++) ck_assert_ptr_nonnull(limit[i].source);
}
END_TEST

START_TEST(forty_degrees_celsius_is_within) {
	struct cleaning_limit limit[CLEANING_LIMITS];
	struct washing w = {.kind = handbook_kind(hb, "coat_shell"), .has_water = true};
	ck_assert(unit_keep(UNIT_CELSIUS, 40000, &w.water_mf));
	ck_assert_uint_eq(washed_beyond(&w, limit), 0);
}
END_TEST

START_TEST(no_bleach) {
	struct cleaning_limit limit[CLEANING_LIMITS];
	struct washing w = {.kind = handbook_kind(hb, "coat_shell"), .bleach = true};
	ck_assert_uint_eq(washed_beyond(&w, limit), 1);
}
END_TEST

START_TEST(into_a_front_loader_that_is_not_full) {
	struct cleaning_limit limit[CLEANING_LIMITS];
	struct washing w = {
	    .kind = handbook_kind(hb, "coat_shell"), .by_machine = true, .load_percent = 75};
	ck_assert_uint_eq(washed_beyond(&w, limit), 0);
	w.load_percent = 76;
	ck_assert_uint_eq(washed_beyond(&w, limit), 1);
	ck_assert_str_eq(limit[0].text, "How full the drum is at most 75 %");
	ck_assert_ptr_nonnull(strstr(limit[0].source, "cleaning guides"));
	w.load_percent = 0;
	w.top_loader = true;
	ck_assert_uint_eq(washed_beyond(&w, limit), 1);
	ck_assert_ptr_nonnull(strstr(limit[0].source, "2020 edition"));
	w.unprepared = true;
	ck_assert_uint_eq(washed_beyond(&w, limit), 2);
	ck_assert_ptr_nonnull(strstr(limit[1].text, "shell and liner apart"));
}
END_TEST

START_TEST(aluminized_shells_go_into_no_machine) {
	struct cleaning_limit limit[CLEANING_LIMITS];
	struct washing w = {.kind = handbook_kind(hb, "coat_shell"), .by_machine = true};
	struct washing dry = {.kind = w.kind, .machine_dried = true};
	ck_assert_uint_eq(washed_beyond(&w, limit), 0);
	ck_assert_uint_eq(washed_beyond(&dry, limit), 0);
	w.reflective = dry.reflective = true;
	ck_assert_uint_eq(washed_beyond(&w, limit), 1);
	ck_assert_uint_eq(washed_beyond(&dry, limit), 1);
	/* Of these there is no other sort. */
	dry = (struct washing){.kind = handbook_kind(hb, "shroud"), .machine_dried = true};
	ck_assert_uint_eq(washed_beyond(&dry, limit), 1);
}
END_TEST

TCase *cleaning_guides_case(void) {
	TCase *c = trade_case("cleaning guides");
	tcase_add_loop_test(c, limits_of_a_wash, 0, sizeof washings / sizeof *washings);
	tcase_add_test(c, forty_degrees_celsius_is_within);
	tcase_add_test(c, no_bleach);
	tcase_add_test(c, into_a_front_loader_that_is_not_full);
	tcase_add_test(c, aluminized_shells_go_into_no_machine);
	return c;
}
