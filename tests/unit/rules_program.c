#include "base/limits.h"
#include "rules.h"

static struct arena arena;
static const struct handbook *hb;
static struct program p;

static void begin(void) {
	arena_init(&arena, LIMIT_ARENA_BYTES_MAX);
	hb = small_handbook(&arena);
	small_program(&p, hb, "ours", &arena);
}

static void end(void) { arena_clear(&arena); }

static const struct program_rule *rule_for(enum duty_code duty, const char *kind, bool reflective,
					   bool cbrn) {
	return program_rule_for(&p, duty, handbook_kind(hb, kind), reflective, cbrn);
}

START_TEST(starts_with_default_set) {
	ck_assert_int_eq(program_init(&p, hb, NULL, 0, &arena, NULL), ERR_OK);
	ck_assert_str_eq(p.set->code, "ours");
	ck_assert(!p.end_of_month);
	ck_assert(!p.count_cleanings);
	/* A repeat that is not named is the first interval again. */
	ck_assert_int_eq(p.rule[0].repeat_months, 12);
}
END_TEST

START_TEST(default_set_need_not_be_first) {
	struct handbook rows;
	small_handbook_rows(&rows, &arena);
	rows.rule_set[0].is_default = false;
	rows.rule_set[1].is_default = true;
	ck_assert_int_eq(handbook_link(&rows, NULL), ERR_OK);
	ck_assert_int_eq(program_init(&p, &rows, NULL, 0, &arena, NULL), ERR_OK);
	ck_assert_str_eq(p.set->code, "other");
}
END_TEST

START_TEST(takes_settings_in_any_order) {
	const struct program_setting setting[] = {
	    {"advanced_first_months", "4"}, {"department", "Anywhere"},
	    {"rule_set", "other"},          {"age_reading", "end_of_month"},
	    {"cleaning_reading", "count"},  {"advanced_repeat_months", "5"}};
	ck_assert_int_eq(program_init(&p, hb, setting, 6, &arena, NULL), ERR_OK);
	ck_assert_str_eq(p.set->code, "other");
	ck_assert_int_eq(p.rule[0].first_months, 4);
	ck_assert_int_eq(p.rule[0].repeat_months, 5);
	ck_assert(p.end_of_month);
	ck_assert(p.count_cleanings);
}
END_TEST

START_TEST(knows_its_names) {
	ck_assert(program_owns(&p, "rule_set"));
	ck_assert(program_owns(&p, "age_reading"));
	ck_assert(program_owns(&p, "cleaning_reading"));
	ck_assert(program_owns(&p, "life_first_months"));
	ck_assert(program_owns(&p, "life_reflective_repeat_months"));
	ck_assert(!program_owns(&p, "tail_first_months"));
	ck_assert(!program_owns(&p, "_first_months"));
	ck_assert(!program_owns(&p, "lif_first_months"));
	ck_assert(!program_owns(&p, "department"));
}
END_TEST

static enum program_effect effect_of(const char *name, const char *value) {
	enum program_effect effect;
	ck_assert_int_eq(program_compare(&p, name, value, &effect, NULL), ERR_OK);
	return effect;
}

START_TEST(limits_of_the_department) {
	ck_assert(program_owns(&p, "limit_water_time"));
	ck_assert(!program_owns(&p, "limit_lab_tpp")); /* is no limit of use */
	ck_assert(!program_owns(&p, "limit_tail"));
	ck_assert(!program_owns(&p, "water_time"));
	ck_assert_str_eq(program_limit_text(&p, LIMIT_OF_WATER_TIME, &arena), "at least 15 s");
	ck_assert_str_eq(program_limit_text(&p, LIMIT_OF_CUFF_GAP, &arena),
			 "at most 1 in (2.54 cm)");
	ck_assert_int_eq(effect_of("limit_water_time", "15"), PROGRAM_SAME);
	ck_assert_int_eq(effect_of("limit_water_time", "15.001"), PROGRAM_TIGHTER);
	ck_assert_int_eq(effect_of("limit_water_time", "14.999"), PROGRAM_LOOSER);
	ck_assert_int_eq(effect_of("limit_cuff_gap", "0.999"), PROGRAM_TIGHTER);
	ck_assert_int_eq(effect_of("limit_cuff_gap", "1.001"), PROGRAM_LOOSER);
	ck_assert(program_is_within(&p, LIMIT_OF_WATER_TIME, 15000));
	ck_assert(!program_is_within(&p, LIMIT_OF_WATER_TIME, 14999));
	ck_assert(program_is_within(&p, LIMIT_OF_CUFF_GAP, 25400));
	ck_assert(!program_is_within(&p, LIMIT_OF_CUFF_GAP, 25401));
	const struct program_setting looser = {"limit_water_time", "12"};
	ck_assert_int_eq(program_init(&p, hb, &looser, 1, &arena, NULL), ERR_OK);
	ck_assert_int_eq(program_limit(&p, LIMIT_OF_WATER_TIME), 12000);
	/* Beside the handbook's own value, whatever holds now. */
	ck_assert_int_eq(effect_of("limit_water_time", "13"), PROGRAM_LOOSER);
	ck_assert_int_eq(effect_of("limit_water_time", "15"), PROGRAM_TIGHTER);
	const struct program_setting most = {"limit_water_time", "150"};
	ck_assert_int_eq(program_init(&p, hb, &most, 1, &arena, NULL), ERR_OK);
}
END_TEST

START_TEST(routine_looks_on_record) {
	static const char *const name[] = {"routine_on_issue", "routine_after_exposure"};
	for (int i = 0; i < 2; i++) {
		ck_assert(program_owns(&p, name[i]));
		ck_assert_int_eq(effect_of(name[i], "no"), PROGRAM_SAME);
		ck_assert_int_eq(effect_of(name[i], "yes"), PROGRAM_TIGHTER);
		const struct program_setting setting = {name[i], "yes"};
		ck_assert_int_eq(program_init(&p, hb, &setting, 1, &arena, NULL), ERR_OK);
		ck_assert_int_eq(p.routine_on_issue, i == 0);
		ck_assert_int_eq(p.routine_after_exposure, i == 1);
		ck_assert_int_eq(effect_of(name[i], "yes"), PROGRAM_SAME);
		/* The rule sets do not ask for it: no reason is needed to end it. */
		ck_assert_int_eq(effect_of(name[i], "no"), PROGRAM_TIGHTER);
		small_program(&p, hb, "ours", &arena);
	}
}
END_TEST

static const struct program_setting wrong[] = {
    {"limit_water_time", "0"},
    {"limit_water_time", "150.001"},
    {"limit_water_time", "a"},
    {"limit_water_time", NULL},
    {"routine_on_issue", "perhaps"},
    {"routine_after_exposure", NULL},
    {"rule_set", "tail"},
    {"rule_set", NULL},
    {"age_reading", "lenient"},
    {"age_reading", NULL},
    {"cleaning_reading", ""},
    {"advanced_first_months", "0"},
    {"advanced_first_months", "601"},
    {"advanced_first_months", "twelve"},
    {"advanced_repeat_months", "1.5"},
    {"advanced_first_months", NULL},
};
#define WRONGS ((int)(sizeof wrong / sizeof *wrong))

START_TEST(refuses_what_cannot_be) {
	struct fault f = {.code = ERR_OK};
	enum program_effect effect;
	ck_assert_int_eq(program_init(&p, hb, &wrong[_i], 1, &arena, &f), ERR_INVALID);
	ck_assert_str_eq(f.field, wrong[_i].name);
	small_program(&p, hb, "ours", &arena);
	ck_assert_int_eq(program_compare(&p, wrong[_i].name, wrong[_i].value, &effect, NULL),
			 ERR_INVALID);
}
END_TEST

START_TEST(fails_without_memory) {
	struct arena none;
	arena_init(&none, 1);
	ck_assert_int_eq(program_init(&p, hb, NULL, 0, &none, NULL), ERR_MEMORY);
	arena_clear(&none);
}
END_TEST

static const struct {
	const char *name, *value;
	enum program_effect effect;
} changes[] = {
    {"advanced_first_months", "12", PROGRAM_SAME},
    {"advanced_first_months", "6", PROGRAM_TIGHTER},
    {"advanced_first_months", "18", PROGRAM_LOOSER},
    {"advanced_repeat_months", "12", PROGRAM_SAME},
    {"advanced_repeat_months", "11", PROGRAM_TIGHTER},
    {"advanced_repeat_months", "13", PROGRAM_LOOSER},
    {"liner_repeat_months", "13", PROGRAM_LOOSER},
    {"routine_first_months", "1", PROGRAM_TIGHTER}, /* the set names none */
    {"age_reading", "strict", PROGRAM_SAME},
    {"age_reading", "end_of_month", PROGRAM_LOOSER},
    {"cleaning_reading", "interval", PROGRAM_SAME},
    {"cleaning_reading", "count", PROGRAM_LOOSER},
    {"rule_set", "ours", PROGRAM_SAME},
    {"rule_set", "other", PROGRAM_OTHER},
    {"department", "Anywhere", PROGRAM_SAME},
};

START_TEST(tells_tighter_from_looser) {
	enum program_effect effect;
	ck_assert_int_eq(program_compare(&p, changes[_i].name, changes[_i].value, &effect, NULL),
			 ERR_OK);
	ck_assert_int_eq(effect, changes[_i].effect);
}
END_TEST

START_TEST(going_back_is_tighter) {
	const struct program_setting setting[] = {{"age_reading", "end_of_month"},
						  {"advanced_first_months", "18"}};
	enum program_effect effect;
	ck_assert_int_eq(program_init(&p, hb, setting, 2, &arena, NULL), ERR_OK);
	ck_assert_int_eq(program_compare(&p, "age_reading", "strict", &effect, NULL), ERR_OK);
	ck_assert_int_eq(effect, PROGRAM_TIGHTER);
	/* Looser than the rule set still, though less than before. */
	ck_assert_int_eq(program_compare(&p, "advanced_first_months", "14", &effect, NULL), ERR_OK);
	ck_assert_int_eq(effect, PROGRAM_LOOSER);
}
END_TEST

static enum program_effect effect_on(const char *from_set, const char *to_set, const char *code) {
	struct program from, to;
	size_t count;
	small_program(&from, hb, from_set, &arena);
	small_program(&to, hb, to_set, &arena);
	const struct program_difference *d = program_differences(&from, &to, &arena, &count);
	for (size_t i = 0; i < count; i++)
		if ((d[i].from && strcmp(d[i].from->rule->code, code) == 0) ||
		    (!d[i].from && strcmp(d[i].to->rule->code, code) == 0))
			return d[i].effect;
	return PROGRAM_SAME;
}

/* No age limit where there was one is looser, and so is a duty that is not owed any more. */
START_TEST(sets_differ_rule_by_rule) {
	ck_assert_int_eq(effect_on("ours", "other", "life"), PROGRAM_LOOSER);
	ck_assert_int_eq(effect_on("ours", "other", "liner"), PROGRAM_LOOSER);
	ck_assert_int_eq(effect_on("ours", "other", "cleaning"), PROGRAM_LOOSER);
	ck_assert_int_eq(effect_on("ours", "other", "advanced"), PROGRAM_TIGHTER);
	ck_assert_int_eq(effect_on("other", "ours", "life"), PROGRAM_TIGHTER);
	ck_assert_int_eq(effect_on("other", "ours", "advanced"), PROGRAM_LOOSER);
	ck_assert_int_eq(effect_on("ours", "ours", "life"), PROGRAM_SAME);
}
END_TEST

START_TEST(most_particular_rule_decides) {
	ck_assert_str_eq(rule_for(DUTY_RETIREMENT, "helmet", false, false)->rule->code, "life");
	ck_assert_str_eq(rule_for(DUTY_RETIREMENT, "coat_shell", true, false)->rule->code,
			 "life_reflective");
	ck_assert_str_eq(rule_for(DUTY_RETIREMENT, "helmet", true, false)->rule->code, "life");
	ck_assert_str_eq(rule_for(DUTY_RETIREMENT, "hood", false, false)->rule->code, "life_hood");
	ck_assert_str_eq(rule_for(DUTY_LINER_INSPECTION, "coat_liner", false, false)->rule->code,
			 "liner");
	ck_assert_str_eq(rule_for(DUTY_LINER_INSPECTION, "coat_liner", false, true)->rule->code,
			 "liner_cbrn");
	ck_assert_ptr_null(rule_for(DUTY_LINER_INSPECTION, "hood", false, false));
}
END_TEST

START_TEST(of_equals_the_stricter_decides) {
	small_program(&p, hb, "other", &arena);
	ck_assert_str_eq(rule_for(DUTY_ADVANCED_CLEANING, "hood", false, false)->rule->code,
			 "cleaning_again");
	p.rule[1].first_months = 3;
	ck_assert_str_eq(rule_for(DUTY_ADVANCED_CLEANING, "hood", false, false)->rule->code,
			 "cleaning");
	p.rule[1].first_months = p.rule[2].first_months = 0;
	p.rule[3].first_months = 8;
	ck_assert_str_eq(rule_for(DUTY_ADVANCED_CLEANING, "hood", false, false)->rule->code,
			 "cleaning_none");
}
END_TEST

Suite *rules_program_suite(void) {
	Suite *s = suite_create("rules/program");
	TCase *c = tcase_create("program");
	tcase_add_checked_fixture(c, begin, end);
	tcase_add_test(c, starts_with_default_set);
	tcase_add_test(c, default_set_need_not_be_first);
	tcase_add_test(c, takes_settings_in_any_order);
	tcase_add_test(c, limits_of_the_department);
	tcase_add_test(c, routine_looks_on_record);
	tcase_add_test(c, knows_its_names);
	tcase_add_loop_test(c, refuses_what_cannot_be, 0, WRONGS);
	tcase_add_test(c, fails_without_memory);
	tcase_add_loop_test(c, tells_tighter_from_looser, 0, sizeof changes / sizeof *changes);
	tcase_add_test(c, going_back_is_tighter);
	tcase_add_test(c, sets_differ_rule_by_rule);
	tcase_add_test(c, most_particular_rule_decides);
	tcase_add_test(c, of_equals_the_stricter_decides);
	suite_add_tcase(s, c);
	return s;
}
