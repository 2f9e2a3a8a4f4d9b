/*
 * Units by their exact definitions (from memory: NIST Special Publication 811, appendix B; the
 * standard acceleration of free fall is that of the General Conference on Weights and Measures of
 * 1901).
 *
 *   inch, foot           25.4 mm, 304.8 mm
 *   pound                0.453 592 37 kg
 *   standard gravity     9.806 65 m/s^2; a pound-force is the weight of a pound there
 *   psi                  one pound-force on a square inch: 6894.757... Pa
 *   centimetre of water  conventional: 98.0665 Pa
 *   US gallon            231 cubic inches, 128 fluid ounces
 *   degree Fahrenheit    1.8 of the degrees Celsius, and 32
 *
 * Worked out from them: 1 psi is 70.3 cm of water, 25 psi are 172 kPa, 105 degrees Fahrenheit 40.6
 * Celsius, 180 are 82.2; a drum of 40 cm radius reaches 100 g at 473 turns a minute, of 30 cm at
 * 546, of 50 cm at 423.
 */
#include "trade.h"

#include <math.h>

#include "rules/cleaning.h"
#include "rules/unit.h"

/* A thousandth of the unit is num/den of what is kept, and 0 of it is zero. */
static const struct {
	enum unit unit;
	__int128 num, den, zero;
} definition[] = {
    {UNIT_INCH, 25400, 1000, 0},
    {UNIT_FOOT, 12 * 25400, 1000, 0},
    {UNIT_MILLIMETRE, 1000, 1000, 0},
    {UNIT_CENTIMETRE, 10000, 1000, 0},
    {UNIT_METRE, 1000000, 1000, 0},
    {UNIT_PSI, (__int128)45359237 * 980665, (__int128)254 * 254 * 100000000, 0},
    {UNIT_KILOPASCAL, 1000, 1000, 0},
    {UNIT_PASCAL, 1, 1000, 0},
    {UNIT_CM_WATER, 980665, 10000 * 1000, 0},
    {UNIT_FAHRENHEIT, 1000, 1000, 0},
    {UNIT_CELSIUS, 18, 10, 32000},
    {UNIT_MILLILITRE, 1000, 1000, 0},
    {UNIT_FLUID_OUNCE, (__int128)231 * 16387064, (__int128)128 * 1000000, 0},
    {UNIT_SECOND, 1, 1, 0},
    {UNIT_PARTS, 1, 1, 0},
    {UNIT_PH, 1, 1, 0},
    {UNIT_G, 1, 1, 0},
    {UNIT_PERCENT, 1, 1, 0},
    {UNIT_NEWTON, 1, 1, 0},
    {UNIT_CALORIES_PER_CM2, 1, 1, 0},
    {UNIT_WATTS_PER_M2, 1, 1, 0},
    {UNIT_CANDELAS_PER_LUX_M2, 1, 1, 0},
};

static __int128 rounded(__int128 num, __int128 den) {
	return num < 0 ? -((-2 * num + den) / (2 * den)) : (2 * num + den) / (2 * den);
}

static void ck_definition(int i, int64_t value) {
	int64_t kept, shown;
	__int128 num = definition[i].num, den = definition[i].den, zero = definition[i].zero;
	ck_assert(unit_keep(definition[i].unit, value, &kept));
	ck_assert_int_eq(kept, (int64_t)(rounded(value * num, den) + zero));
	ck_assert(unit_show(definition[i].unit, value, &shown));
	ck_assert_int_eq(shown, (int64_t)rounded((value - zero) * den, num));
}

START_TEST(as_defined) {
	ck_assert_int_eq(sizeof definition / sizeof *definition, UNIT_COUNT);
	for (int64_t value = -3000; value <= 3000; value++) ck_definition(_i, value);
	/* up to a kilometre, ten bar, a thousand degrees */
	for (int64_t value = 3001; value < 1000000; value += 997) ck_definition(_i, value);
}
END_TEST

/* The largest number that it converts is converted rightly, and is large. */
START_TEST(as_defined_to_the_end) {
	enum unit unit = definition[_i].unit;
	int64_t low = 1, high = INT64_MAX, kept;
	while (low < high) {
		int64_t middle = low + (high - low) / 2 + 1;
		if (unit_keep(unit, middle, &kept)) low = middle;
		else high = middle - 1;
	}
	for (int sign = -1; sign <= 1; sign += 2) {
		__int128 exact =
		    rounded(sign * (__int128)low * definition[_i].num, definition[_i].den);
		ck_assert(unit_keep(unit, sign * low, &kept));
		ck_assert_int_eq(kept, (int64_t)(exact + definition[_i].zero));
	}
	ck_assert_int_gt(low, 100000);
}
END_TEST

/* Of kept values in tenths of the other unit. */
static int64_t tenths(enum unit from, int64_t thousandths, enum unit to) {
	int64_t kept, shown;
	ck_assert(unit_keep(from, thousandths, &kept));
	ck_assert(unit_show(to, kept, &shown));
	return (int64_t)rounded(shown, 100);
}

START_TEST(as_the_trade_quotes_them) {
	ck_assert_int_eq(tenths(UNIT_PSI, 1000, UNIT_CM_WATER), 703);
	ck_assert_int_eq(tenths(UNIT_PSI, 1000, UNIT_KILOPASCAL), 69);
	ck_assert_int_eq(tenths(UNIT_PSI, 25000, UNIT_KILOPASCAL), 1724);
	ck_assert_int_eq(tenths(UNIT_FAHRENHEIT, 105000, UNIT_CELSIUS), 406);
	ck_assert_int_eq(tenths(UNIT_FAHRENHEIT, 180000, UNIT_CELSIUS), 822);
}
END_TEST

START_TEST(force_of_a_drum) {
	static const int drum[][2] = {{400, 473}, {300, 546}, {500, 423}};
	for (size_t i = 0; i < sizeof drum / sizeof *drum; i++) {
		ck_assert_int_eq(cleaning_force_g(drum[i][0], drum[i][1]), 100);
		ck_assert_int_gt(cleaning_force_g(drum[i][0], drum[i][1] + 3), 100);
		ck_assert_int_lt(cleaning_force_g(drum[i][0], drum[i][1] - 3), 100);
	}
}
END_TEST

/* The convention 1.118e-5 is the square of the angular speed over standard gravity, to four
 * figures: it tells whole g up to 200. */
START_TEST(force_follows_from_standard_gravity) {
	for (int radius_mm = 100; radius_mm <= 700; radius_mm += 10) {
		for (int turns = 50; turns < 500; turns++) {
			double speed = 2 * M_PI * turns / 60;
			double exact = speed * speed * radius_mm / 1000 / 9.80665;
			if (exact > 200) break;
			ck_assert_double_lt(fabs(cleaning_force_g(radius_mm, turns) - exact), 0.55);
		}
	}
}
END_TEST

TCase *units_of_measure_case(void) {
	TCase *c = trade_case("units of measure");
	tcase_add_loop_test(c, as_defined, 0, sizeof definition / sizeof *definition);
	tcase_add_loop_test(c, as_defined_to_the_end, 0, sizeof definition / sizeof *definition);
	tcase_add_test(c, as_the_trade_quotes_them);
	tcase_add_test(c, force_of_a_drum);
	tcase_add_test(c, force_follows_from_standard_gravity);
	return c;
}
