#include "base/limits.h"
#include "rules.h"
#include "rules/unit.h"

/* Thousandths of a unit and what is kept of them; sources beside them. */
static const struct {
	enum unit unit;
	int64_t thousandths, kept, back;
} pair[] = {
    /* 1 in = 25.4 mm exactly (NIST SP 811, appendix B) */
    {UNIT_INCH, 1000, 25400, 1000},
    {UNIT_INCH, 750, 19050, 750},
    {UNIT_INCH, 2000, 50800, 2000},
    {UNIT_INCH, 125, 3175, 125},
    {UNIT_FOOT, 40000, 12192000, 40000},
    {UNIT_MILLIMETRE, 25400, 25400, 25400},
    {UNIT_CENTIMETRE, 2540, 25400, 2540},
    {UNIT_METRE, 12000, 12000000, 12000},
    /* 1 psi = 6894.757293168 Pa, 25 psi = 172368.93 Pa (derived from 1 lbf = 4.4482216152605 N) */
    {UNIT_PSI, 1000, 6895, 1000},
    {UNIT_PSI, 25000, 172369, 25000},
    {UNIT_PSI, -1000, -6895, -1000},
    {UNIT_KILOPASCAL, 6895, 6895, 6895},
    {UNIT_PASCAL, 6895000, 6895, 6895000},
    /* 1 cm of water (conventional) = 98.0665 Pa (the same) */
    {UNIT_CM_WATER, 10000, 981, 10003},
    {UNIT_CM_WATER, 10000000, 980665, 10000000},
    /* t/°F = 1.8 t/°C + 32 (the same) */
    {UNIT_FAHRENHEIT, 105000, 105000, 105000},
    {UNIT_CELSIUS, 100000, 212000, 100000},
    {UNIT_CELSIUS, 0, 32000, 0},
    {UNIT_CELSIUS, -40000, -40000, -40000},
    {UNIT_CELSIUS, 40550, 104990, 40550},
};

START_TEST(converts_there_and_back) {
	int64_t kept, back;
	ck_assert(unit_keep(pair[_i].unit, pair[_i].thousandths, &kept));
	ck_assert_int_eq(kept, pair[_i].kept);
	ck_assert(unit_show(pair[_i].unit, kept, &back));
	ck_assert_int_eq(back, pair[_i].back);
}
END_TEST

/* 1 psi = 70.3 cm of water; 105 °F = 40.6 °C; 180 °F = 82.2 °C (derived). */
START_TEST(one_unit_reads_as_another) {
	int64_t shown;
	ck_assert(unit_show(UNIT_CM_WATER, 6895, &shown));
	ck_assert_int_eq(shown, 70309);
	ck_assert(unit_show(UNIT_CELSIUS, 105000, &shown));
	ck_assert_int_eq(shown, 40556);
	ck_assert(unit_show(UNIT_CELSIUS, 180000, &shown));
	ck_assert_int_eq(shown, 82222);
}
END_TEST

START_TEST(refuses_what_is_too_large) {
	static const int64_t most[] = {INT64_MAX, INT64_MIN};
	int64_t value = 7;
	for (int i = 0; i < 2; i++) {
		ck_assert(!unit_keep(UNIT_FOOT, most[i], &value));
		ck_assert(!unit_keep(UNIT_PSI, most[i], &value));
		ck_assert(!unit_show(UNIT_PSI, most[i], &value));
		ck_assert(!unit_show(UNIT_CELSIUS, most[i], &value));
		ck_assert_int_eq(value, 7);
	}
}
END_TEST

START_TEST(reads_for_people) {
	static const struct {
		enum unit unit;
		int64_t kept;
		const char *text;
	} shown[] = {{UNIT_INCH, 38100, "1.5 in (3.81 cm)"},
		     {UNIT_CENTIMETRE, 50000, "5 cm (1.97 in)"},
		     {UNIT_MILLIMETRE, 25400, "25.4 mm (1 in)"},
		     {UNIT_FOOT, 12192000, "40 ft (12.19 m)"},
		     {UNIT_METRE, 12000000, "12 m (39.37 ft)"},
		     {UNIT_PSI, 6895, "1 psi (6.9 kPa)"},
		     {UNIT_KILOPASCAL, 6895, "6.9 kPa (1 psi)"},
		     {UNIT_PASCAL, 6895, "6895 Pa (1 psi)"},
		     {UNIT_CM_WATER, 6895, "70.31 cm of water (1 psi)"},
		     {UNIT_FAHRENHEIT, 105000, "105 °F (40.56 °C)"},
		     {UNIT_CELSIUS, 5000, "-15 °C (5 °F)"},
		     {UNIT_MILLILITRE, 236588, "236.59 ml (8 US fl oz)"},
		     {UNIT_FLUID_OUNCE, 236588, "8 US fl oz (236.59 ml)"},
		     {UNIT_SECOND, 180000, "180 s"},
		     {UNIT_SECOND, 1234, "1.23 s"},
		     {UNIT_SECOND, 1235, "1.24 s"},
		     {UNIT_NEWTON, -44, "-0.04 N"},
		     {UNIT_PARTS, 6500, "6.5 parts"},
		     {UNIT_NEWTON, -45, "-0.05 N"},
		     {UNIT_CELSIUS, INT64_MAX, "out of range"},
		     {UNIT_MILLIMETRE, INT64_MAX / 2, "out of range"}, /* in inches */
		     {UNIT_INCH, INT64_MIN, "out of range"}};
	struct arena a;
	arena_init(&a, LIMIT_ARENA_BYTES_MAX);
	for (size_t i = 0; i < sizeof shown / sizeof *shown; i++)
		ck_assert_str_eq(unit_text(shown[i].unit, shown[i].kept, &a), shown[i].text);
	int read = 0;
	for (size_t bytes = 1; read < 10; bytes += 8) {
		struct arena little;
		arena_init(&little, bytes);
		const char *text = unit_text(UNIT_INCH, 38100, &little);
		ck_assert_int_eq(text != NULL, !arena_failed(&little));
		if (text) ck_assert_str_eq(text, "1.5 in (3.81 cm)");
		read += text != NULL;
		arena_clear(&little);
	}
	ck_assert_int_eq(read, 10);
	arena_clear(&a);
}
END_TEST

Suite *rules_unit_suite(void) {
	Suite *s = suite_create("rules/unit");
	TCase *c = tcase_create("unit");
	tcase_add_loop_test(c, converts_there_and_back, 0, sizeof pair / sizeof *pair);
	tcase_add_test(c, one_unit_reads_as_another);
	tcase_add_test(c, refuses_what_is_too_large);
	tcase_add_test(c, reads_for_people);
	suite_add_tcase(s, c);
	return s;
}
