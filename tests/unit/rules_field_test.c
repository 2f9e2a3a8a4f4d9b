#include "rules.h"

static struct arena arena;
static const struct handbook *hb;
static struct program p;

static void begin(void) {
	arena_init(&arena, 1 << 20);
	hb = small_handbook(&arena);
	small_program(&p, hb, "ours", &arena);
}
static void end(void) { arena_clear(&arena); }

static struct field_test_verdict judged(const struct field_test *t) {
	struct field_test_verdict v;
	field_test_judge(&v, t, &p, &arena);
	ck_assert_ptr_nonnull(v.because);
	return v;
}

static void measure(struct field_test *t, enum test_measure m, int64_t value) {
	t->given[m] = true;
	t->value[m] = value;
}

#define COMES_TO(t, wanted) ck_assert_str_eq(field_test_result_word[judged(&(t)).result], wanted)

START_TEST(trim_beside_a_new_sample) {
	struct field_test t = {.test = TEST_TRIM, .compared = true};
	measure(&t, MEASURE_DISTANCE, 12000000);
	COMES_TO(t, "pass");
	t.value[MEASURE_DISTANCE]--;
	COMES_TO(t, "not_valid");
	t.value[MEASURE_DISTANCE] = 12192000; /* 40 ft */
	t.sign = true;
	COMES_TO(t, "fail");
	t.compared = false; /* with nothing beside it nobody can say */
	COMES_TO(t, "not_valid");
	ck_assert_ptr_nonnull(strstr(judged(&t).because, "not compared with a new sample"));
	t.sign = false;
	COMES_TO(t, "not_valid");
}
END_TEST

START_TEST(light_only_suspects) {
	struct field_test t = {.test = TEST_LIGHT};
	COMES_TO(t, "pass");
	t.sign = true;
	COMES_TO(t, "suspect");
}
END_TEST

static struct field_test leakage(int64_t alcohol_ml, int64_t water_ml) {
	struct field_test t = {.test = TEST_LEAKAGE};
	measure(&t, MEASURE_ALCOHOL, alcohol_ml * 1000);
	measure(&t, MEASURE_WATER, water_ml * 1000);
	measure(&t, MEASURE_AMOUNT, 240000);
	measure(&t, MEASURE_TIME, 180000);
	return t;
}

START_TEST(leakage_by_mixture_amount_and_time) {
	struct field_test t = leakage(100, 600);
	COMES_TO(t, "pass");
	t.sign = true;
	COMES_TO(t, "fail");
	t = leakage(100, 650);
	COMES_TO(t, "pass");
	t = leakage(100, 651);
	COMES_TO(t, "not_valid");
	t = leakage(100, 550);
	COMES_TO(t, "pass");
	t = leakage(100, 549);
	COMES_TO(t, "not_valid");
	t = leakage(0, 600);
	COMES_TO(t, "not_valid");
	ck_assert_ptr_nonnull(strstr(judged(&t).because, "Water to one of alcohol: 0 parts,"));
	t.value[MEASURE_ALCOHOL] = 1; /* a drop of each */
	t.value[MEASURE_WATER] = 6;
	COMES_TO(t, "pass");
	t = leakage(100, 600);
	t.value[MEASURE_AMOUNT] = 235999;
	COMES_TO(t, "not_valid");
	t = leakage(100, 600);
	t.value[MEASURE_TIME] = 170000;
	COMES_TO(t, "not_valid");
	t.sign = true; /* neither pass nor fail, whatever was seen */
	COMES_TO(t, "not_valid");
	ck_assert_ptr_nonnull(
	    strstr(judged(&t).because, "Time: 170 s, but asked for is at least 180 s"));
}
END_TEST

START_TEST(water_by_pressure_and_time) {
	struct field_test t = {.test = TEST_WATER};
	int64_t psi;
	ck_assert(unit_keep(UNIT_PSI, 1000, &psi));
	measure(&t, MEASURE_PRESSURE, psi);
	measure(&t, MEASURE_TIME, 15000);
	COMES_TO(t, "pass");
	t.sign = true;
	COMES_TO(t, "fail");
	t.value[MEASURE_TIME] = 14999;
	COMES_TO(t, "not_valid");
	t.value[MEASURE_TIME] = 15000;
	t.value[MEASURE_PRESSURE] = psi - 1;
	COMES_TO(t, "not_valid");
}
END_TEST

START_TEST(gaps_of_a_liner) {
	struct field_test t = {.test = TEST_LINER_GAP};
	measure(&t, MEASURE_CUFF_GAP, 25400);
	COMES_TO(t, "pass");
	measure(&t, MEASURE_HEM_GAP, 76200);
	COMES_TO(t, "pass");
	t.value[MEASURE_HEM_GAP]++;
	COMES_TO(t, "fail");
	t.value[MEASURE_HEM_GAP]--;
	t.value[MEASURE_CUFF_GAP]++;
	COMES_TO(t, "fail");
}
END_TEST

START_TEST(seams_by_hand) {
	struct field_test t = {.test = TEST_SEAM};
	COMES_TO(t, "pass");
	t.sign = true;
	COMES_TO(t, "fail");
}
END_TEST

START_TEST(laboratory_beside_new_product) {
	struct field_test t = {.test = TEST_LABORATORY, .property = LIMIT_OF_LAB_TPP};
	measure(&t, MEASURE_VALUE, 35000);
	COMES_TO(t, "above");
	ck_assert_ptr_nonnull(strstr(judged(&t).because, "17.5 s"));
	t.value[MEASURE_VALUE] = 34999;
	COMES_TO(t, "below");
	t.property = LIMIT_OF_LAB_CHAR;
	t.value[MEASURE_VALUE] = 4000;
	COMES_TO(t, "above");
	t.value[MEASURE_VALUE] = 4001;
	COMES_TO(t, "below");
	t.value[MEASURE_VALUE] = INT64_MAX; /* no unit holds it */
	COMES_TO(t, "below");
}
END_TEST

START_TEST(what_the_department_tightened_counts) {
	const struct program_setting two[] = {{"rule_set", "ours"}, {"limit_water_time", "20"}};
	ck_assert_int_eq(program_init(&p, hb, two, 2, &arena, NULL), ERR_OK);
	struct field_test t = {.test = TEST_WATER};
	measure(&t, MEASURE_PRESSURE, 6895);
	measure(&t, MEASURE_TIME, 19000);
	COMES_TO(t, "not_valid");
	t.value[MEASURE_TIME] = 20000;
	COMES_TO(t, "pass");
}
END_TEST

START_TEST(the_latest_valid_test_decides) {
	struct latest_test latest = {0};
	const struct latest_test turn[] = {
	    {1, 100, RESULT_NOT_VALID, "", false}, {2, 100, RESULT_PASS, "", false},
	    {3, 100, RESULT_FAIL, "", false},      {4, 100, RESULT_PASS, "", false},
	    {5, 99, RESULT_PASS, "", false},       {6, 101, RESULT_NOT_VALID, "", false},
	    {7, 101, RESULT_PASS, "", false}};
	/* Of one day a failure stands, and what was no test changes nothing. */
	static const int64_t stands[] = {0, 2, 3, 3, 3, 3, 7};
	for (size_t i = 0; i < sizeof turn / sizeof *turn; i++) {
		latest_test_take(&latest, &turn[i]);
		ck_assert_int_eq(latest.id, stands[i]);
	}
}
END_TEST

START_TEST(what_nobody_would_believe_is_asked_about) {
	const char *usual = NULL;
	struct field_test any = {.test = TEST_LABORATORY};
	measure(&any, MEASURE_VALUE, 35000); /* of a laboratory everything is believed */
	ck_assert_int_eq(field_test_doubtful(&any, &arena, &usual), MEASURE_COUNT);
	struct field_test t = {.test = TEST_WATER};
	measure(&t, MEASURE_PRESSURE, 6895);
	measure(&t, MEASURE_TIME, 15000);
	measure(&t, MEASURE_MATERIAL_SPOTS, 1);
	measure(&t, MEASURE_SEAM_SPOTS, 50);
	ck_assert_int_eq(field_test_doubtful(&t, &arena, &usual), MEASURE_COUNT);
	t.value[MEASURE_SEAM_SPOTS] = 51;
	ck_assert_int_eq(field_test_doubtful(&t, &arena, &usual), MEASURE_SEAM_SPOTS);
	ck_assert_str_eq(usual, "51 is unusual: it is mostly from 1 to 50");
	t.value[MEASURE_MATERIAL_SPOTS] = 0;
	ck_assert_int_eq(field_test_doubtful(&t, &arena, &usual), MEASURE_MATERIAL_SPOTS);
	t.value[MEASURE_PRESSURE] = 172369; /* 25 psi: that is the laboratory's test */
	ck_assert_int_eq(field_test_doubtful(&t, &arena, &usual), MEASURE_PRESSURE);
	ck_assert_ptr_nonnull(strstr(usual, "25 psi (172.37 kPa)"));
}
END_TEST

START_TEST(each_test_has_its_parts_and_measures) {
	static const struct {
		const char *kind;
		bool trim;
		const char *tests; /* of those that apply */
	} part[] = {{"coat_shell", true, "trim seam laboratory "},
		    {"coat_shell", false, "seam laboratory "},
		    {"coat_liner", false, "light leakage water liner_gap seam laboratory "},
		    {"helmet", false, "laboratory "}};
	for (size_t i = 0; i < sizeof part / sizeof *part; i++) {
		const char *tests = "";
		for (int t = 0; t < TEST_COUNT; t++)
			if (field_test_applies((enum field_test_sort)t,
					       handbook_kind(hb, part[i].kind), part[i].trim))
				tests = arena_printf(&arena, "%s%s ", tests, field_test_word[t]);
		ck_assert_str_eq(tests, part[i].tests);
	}
	static const char *const limits[TEST_COUNT] = {
	    "trim_distance ",
	    "",
	    "mix_weakest mix_strongest leak_amount leak_time ",
	    "water_pressure water_time ",
	    "cuff_gap hem_gap ",
	    "",
	    ""};
	for (int t = 0; t < TEST_COUNT; t++) {
		enum limit_code code;
		const char *found = "";
		for (size_t i = 0; field_test_limit((enum field_test_sort)t, i, &code); i++)
			found = arena_printf(&arena, "%s%s ", found, limit_word[code]);
		ck_assert_str_eq(found, limits[t]);
	}
}
END_TEST

/* What is asked, letter by letter in the order of the measures: needed, also measured, or not. */
START_TEST(each_test_asks_for_its_measures) {
	static const char *const asked[TEST_COUNT] = {"n----------", "-----------", "-nnnn-na---",
						      "----nnnn---", "--------na-", "-----------",
						      "----------n"}; /* trousers have no hem gap */
	for (int t = 0; t < TEST_COUNT; t++)
		for (int m = 0; m < MEASURE_COUNT; m++) {
			enum field_test_sort test = (enum field_test_sort)t;
			enum test_measure measure = (enum test_measure)m;
			bool needs = field_test_needs(test, measure);
			bool measures = field_test_measures(test, measure);
			char letter = needs ? 'n' : measures ? 'a' : '-';
			ck_assert_int_eq(letter, asked[t][m]);
			ck_assert(measures || !needs);
		}
}
END_TEST

/* Decided: what people believe, kept as rules/unit.h keeps it. */
static const struct {
	enum test_measure measure;
	int64_t least, most;
} believed[] = {
    {MEASURE_DISTANCE, 2000000, 50000000}, /* 2 m to 50 m */
    {MEASURE_ALCOHOL, 10000, 5000000},     /* 10 ml to 5 l */
    {MEASURE_WATER, 60000, 20000000},      /* 60 ml to 20 l */
    {MEASURE_AMOUNT, 30000, 1000000},      /* 30 ml to 1 l */
    {MEASURE_TIME, 1000, 3600000},         /* a second to an hour */
    {MEASURE_PRESSURE, 700, 40000},        /* 0.1 to 5.8 psi */
    {MEASURE_MATERIAL_SPOTS, 1, 50},       {MEASURE_SEAM_SPOTS, 1, 50},
    {MEASURE_CUFF_GAP, 0, 250000}, /* nothing to 25 cm */
    {MEASURE_HEM_GAP, 0, 400000},  /* nothing to 40 cm */
};

START_TEST(beyond_what_is_believed_is_asked_about) {
	const struct {
		int64_t value;
		bool doubtful;
	} tried[] = {{believed[_i].least, false},
		     {believed[_i].most, false},
		     {believed[_i].least - 1, true},
		     {believed[_i].most + 1, true}};
	for (size_t i = 0; i < sizeof tried / sizeof *tried; i++) {
		struct field_test t = {.test = TEST_LEAKAGE};
		const char *usual = NULL;
		measure(&t, believed[_i].measure, tried[i].value);
		enum test_measure doubtful = field_test_doubtful(&t, &arena, &usual);
		ck_assert_int_eq(doubtful,
				 tried[i].doubtful ? believed[_i].measure : MEASURE_COUNT);
		ck_assert_int_eq(usual != NULL, tried[i].doubtful);
	}
}
END_TEST

Suite *rules_field_test_suite(void) {
	Suite *s = suite_create("rules/field_test");
	TCase *c = tcase_create("field tests");
	tcase_add_checked_fixture(c, begin, end);
	tcase_add_test(c, trim_beside_a_new_sample);
	tcase_add_test(c, light_only_suspects);
	tcase_add_test(c, leakage_by_mixture_amount_and_time);
	tcase_add_test(c, water_by_pressure_and_time);
	tcase_add_test(c, gaps_of_a_liner);
	tcase_add_test(c, seams_by_hand);
	tcase_add_test(c, laboratory_beside_new_product);
	tcase_add_test(c, what_the_department_tightened_counts);
	tcase_add_test(c, the_latest_valid_test_decides);
	tcase_add_test(c, what_nobody_would_believe_is_asked_about);
	tcase_add_loop_test(c, beyond_what_is_believed_is_asked_about, 0,
			    sizeof believed / sizeof *believed);
	tcase_add_test(c, each_test_has_its_parts_and_measures);
	tcase_add_test(c, each_test_asks_for_its_measures);
	suite_add_tcase(s, c);
	return s;
}
