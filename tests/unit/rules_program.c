#include "base/limits.h"
#include "rules.h"
#include "rules/kind.h"

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

static const struct {
	const char *name, *value;
	bool end_of_month, count_cleanings, on_issue, after_exposure;
	int duty_days;
	int first, repeat; /* of liner, the third rule */
	int water_time;
} one[] = {
    {"age_reading", "end_of_month", true, false, false, false, 0, 36, 12, 15000},
    {"cleaning_reading", "count", false, true, false, false, 0, 36, 12, 15000},
    {"routine_on_issue", "yes", false, false, true, false, 0, 36, 12, 15000},
    {"routine_after_exposure", "yes", false, false, false, true, 0, 36, 12, 15000},
    {"routine_duty_days", "3", false, false, false, false, 3, 36, 12, 15000},
    {"liner_first_months", "24", false, false, false, false, 0, 24, 12, 15000},
    {"liner_repeat_months", "6", false, false, false, false, 0, 36, 6, 15000},
    {"limit_water_time", "20.5", false, false, false, false, 0, 36, 12, 20500},
    {"limit_water_pressure", "2", false, false, false, false, 0, 36, 12, 15000},
};

START_TEST(a_setting_sets_nothing_else) {
	const struct program_setting setting = {one[_i].name, one[_i].value};
	ck_assert_int_eq(program_init(&p, hb, &setting, 1, &arena, NULL), ERR_OK);
	ck_assert_int_eq(p.end_of_month, one[_i].end_of_month);
	ck_assert_int_eq(p.count_cleanings, one[_i].count_cleanings);
	ck_assert_int_eq(p.routine_on_issue, one[_i].on_issue);
	ck_assert_int_eq(p.routine_after_exposure, one[_i].after_exposure);
	ck_assert_int_eq(p.routine_duty_days, one[_i].duty_days);
	ck_assert_int_eq(p.limit[LIMIT_OF_WATER_TIME], one[_i].water_time);
	ck_assert_int_eq(p.limit[0], 12000);
	ck_assert_int_eq(p.rule[0].first_months, 12);
	ck_assert_int_eq(p.rule[0].repeat_months, 12);
	ck_assert_int_eq(p.rule[2].first_months, one[_i].first);
	ck_assert_int_eq(p.rule[2].repeat_months, one[_i].repeat);
}
END_TEST

START_TEST(knows_whose_months_they_are) {
	const struct program_setting own[] = {{"advanced_first_months", "4"}},
				     repeat[] = {{"liner_repeat_months", "6"}};
	for (size_t i = 0; i < p.set->rule_count; i++) ck_assert(!program_is_own(&p.rule[i]));
	ck_assert_int_eq(program_init(&p, hb, own, 1, &arena, NULL), ERR_OK);
	ck_assert(program_is_own(&p.rule[0]));
	ck_assert(!program_is_own(&p.rule[1]));
	ck_assert_int_eq(program_init(&p, hb, repeat, 1, &arena, NULL), ERR_OK);
	ck_assert(!program_is_own(&p.rule[0]));
	ck_assert(program_is_own(rule_for(DUTY_LINER_INSPECTION, "coat_liner", true, false)));
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
	ck_assert(program_owns(&p, "limit_trim_distance"));    /* the first of them */
	ck_assert(!program_owns(&p, "advanced_fifth_months")); /* as long as _first_months */
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

START_TEST(routine_looks_at_the_beginning_of_duty) {
	ck_assert(program_owns(&p, "routine_duty_days"));
	ck_assert_int_eq(effect_of("routine_duty_days", "0"), PROGRAM_SAME);
	ck_assert_int_eq(effect_of("routine_duty_days", "31"), PROGRAM_TIGHTER);
	const struct program_setting setting = {"routine_duty_days", "3"};
	ck_assert_int_eq(program_init(&p, hb, &setting, 1, &arena, NULL), ERR_OK);
	ck_assert_int_eq(effect_of("routine_duty_days", "3"), PROGRAM_SAME);
	/* No rule set asks for it on record: it needs no reason to have it later or not at all. */
	ck_assert_int_eq(effect_of("routine_duty_days", "7"), PROGRAM_TIGHTER);
	ck_assert_int_eq(effect_of("routine_duty_days", "0"), PROGRAM_TIGHTER);
	small_program(&p, hb, "ours", &arena);
}
END_TEST

static const struct program_setting wrong[] = {
    {"routine_duty_days", "-1"},
    {"routine_duty_days", "32"},
    {"routine_duty_days", "1.5"},
    {"routine_duty_days", NULL},
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
    {"routine_on_issue", "maybe"},
    {"routine_after_exposure", NULL},
    {"limit_water_time", NULL},
    {"limit_water_time", "0"},
    {"limit_water_time", "long"},
    {"limit_water_time", "150.001"}, /* more than ten times what the handbook says */
};
#define WRONGS ((int)(sizeof wrong / sizeof *wrong))

START_TEST(refuses_what_cannot_be) {
	struct fault f = {.code = ERR_OK};
	enum program_effect effect;
	ck_assert_int_eq(program_init(&p, hb, &wrong[_i], 1, &arena, &f), ERR_INVALID);
	ck_assert_str_eq(f.field, wrong[_i].name);
	if (strcmp(wrong[_i].name, "limit_water_time") == 0)
		ck_assert_str_eq(f.message, "Give a number of s, at most 150.");
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
    {"liner_first_months", "24", PROGRAM_TIGHTER},  /* though longer than its repeat */
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
	ck_assert_int_eq(program_compare(&p, "advanced_first_months", "12", &effect, NULL), ERR_OK);
	ck_assert_int_eq(effect, PROGRAM_TIGHTER);
}
END_TEST

static enum program_effect effect_in(const struct handbook *book, const char *from_set,
				     const char *to_set, const char *code) {
	struct program from, to;
	size_t count;
	small_program(&from, book, from_set, &arena);
	small_program(&to, book, to_set, &arena);
	const struct program_difference *d = program_differences(&from, &to, &arena, &count);
	for (size_t i = 0; i < count; i++)
		if ((d[i].from && strcmp(d[i].from->rule->code, code) == 0) ||
		    (!d[i].from && strcmp(d[i].to->rule->code, code) == 0))
			return d[i].effect;
	return PROGRAM_SAME;
}

static enum program_effect effect_on(const char *from_set, const char *to_set, const char *code) {
	return effect_in(hb, from_set, to_set, code);
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

/* Ours: cleaned every six months, two a year. */
static const struct {
	int months, per_year;
	enum program_effect effect;
} cleanings[] = {
    {6, 2, PROGRAM_SAME},   {3, 2, PROGRAM_TIGHTER}, {7, 2, PROGRAM_LOOSER},
    {6, 1, PROGRAM_LOOSER}, {3, 1, PROGRAM_LOOSER},  {6, 0, PROGRAM_SAME},
    {6, 3, PROGRAM_SAME},   {3, 0, PROGRAM_TIGHTER},
};

START_TEST(fewer_a_year_is_looser) {
	struct handbook rows;
	small_handbook_rows(&rows, &arena);
	for (size_t i = 9; i < rows.rule_count; i++) {
		rows.rule[i].first_months = cleanings[_i].months;
		rows.rule[i].per_year = cleanings[_i].per_year;
	}
	ck_assert_int_eq(handbook_link(&rows, NULL), ERR_OK);
	ck_assert_int_eq(effect_in(&rows, "ours", "other", "cleaning"), cleanings[_i].effect);
}
END_TEST

/* Gear is retired once: only the first time counts. */
static const struct {
	int first, repeat;
	enum program_effect effect;
} lives[] = {
    {120, 0, PROGRAM_SAME},
    {120, 200, PROGRAM_SAME},
    {60, 200, PROGRAM_TIGHTER},
    {121, 1, PROGRAM_LOOSER},
};

START_TEST(a_life_ends_once) {
	struct handbook rows;
	small_handbook_rows(&rows, &arena);
	struct rule *last = &rows.rule[rows.rule_count - 1];
	last->duty_code = "retirement";
	last->first_months = lives[_i].first;
	last->repeat_months = lives[_i].repeat;
	ck_assert_int_eq(handbook_link(&rows, NULL), ERR_OK);
	ck_assert_int_eq(effect_in(&rows, "ours", "other", "life"), lives[_i].effect);
}
END_TEST

/* Whatever duty, of any gear. */
static struct rule any_rule(const char *set, const char *duty, int months) {
	return (struct rule){.set_code = set,
			     .code = "only",
			     .label = "",
			     .duty_code = duty,
			     .outer = WANTS_EITHER,
			     .liner = WANTS_EITHER,
			     .reflective = WANTS_EITHER,
			     .cbrn = WANTS_EITHER,
			     .first_months = months,
			     .source = "",
			     .confidence = "high"};
}

static void two_rules(struct handbook *rows, struct rule ours, struct rule other) {
	small_handbook_rows(rows, &arena);
	rows->rule_count = 2;
	rows->rule[0] = ours;
	rows->rule[1] = other;
	ck_assert_int_eq(handbook_link(rows, NULL), ERR_OK);
}

static const struct program_difference *differences(const struct handbook *rows, size_t *count) {
	struct program from, to;
	small_program(&from, rows, "ours", &arena);
	small_program(&to, rows, "other", &arena);
	return program_differences(&from, &to, &arena, count);
}

/* Whatever duty of whatever part is owed no more, it is told, and once. */
START_TEST(no_difference_is_overlooked) {
	for (size_t i = 0; i < DUTY_COUNT * hb->kind_count * 4; i++) {
		struct handbook rows;
		size_t count;
		const char *duty = duty_word[i % DUTY_COUNT];
		struct rule ours = any_rule("ours", duty, 12), other = any_rule("other", duty, 0);
		const struct kind *k = &hb->kind[i / 4 / DUTY_COUNT];
		ours.kind_code = k->code;
		ours.reflective =
		    i / DUTY_COUNT & 1 || kind_is_reflective(k) ? WANTS_YES : WANTS_NO;
		ours.cbrn = i / DUTY_COUNT & 2 ? WANTS_YES : WANTS_NO;
		two_rules(&rows, ours, other);
		const struct program_difference *d = differences(&rows, &count);
		ck_assert_uint_eq(count, 1);
		ck_assert_ptr_eq(d->from->rule, &rows.rule_set[0].rule[0]);
		ck_assert_int_eq(d->effect, PROGRAM_LOOSER);
	}
}
END_TEST

/* Each for some gear that the other is not for. */
START_TEST(there_is_room_for_every_difference) {
	struct rule ours = any_rule("ours", "retirement", 60);
	struct rule other = any_rule("other", "retirement", 120);
	struct handbook rows;
	size_t count;
	ours.outer = WANTS_YES;
	other.reflective = WANTS_YES;
	two_rules(&rows, ours, other);
	ck_assert_ptr_nonnull(differences(&rows, &count));
	ck_assert_uint_eq(count, 3);
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

/* Wherever it stands. */
START_TEST(a_more_particular_rule_may_come_first) {
	struct handbook rows;
	small_handbook_rows(&rows, &arena);
	struct rule life = rows.rule[4], hood = rows.rule[6];
	rows.rule[4] = hood;
	rows.rule[6] = life;
	ck_assert_int_eq(handbook_link(&rows, NULL), ERR_OK);
	small_program(&p, &rows, "ours", &arena);
	ck_assert_str_eq(
	    program_rule_for(&p, DUTY_RETIREMENT, handbook_kind(&rows, "hood"), false, false)
		->rule->code,
	    "life_hood");
}
END_TEST

START_TEST(of_equals_the_stricter_decides) {
	small_program(&p, hb, "other", &arena);
	p.rule[1].first_months = p.rule[2].first_months;
	ck_assert_str_eq(rule_for(DUTY_ADVANCED_CLEANING, "hood", false, false)->rule->code,
			 "cleaning"); /* as strict, and before it */
	p.rule[1].first_months = 12;
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
	tcase_add_test(c, routine_looks_at_the_beginning_of_duty);
	tcase_add_loop_test(c, a_setting_sets_nothing_else, 0, sizeof one / sizeof *one);
	tcase_add_test(c, knows_whose_months_they_are);
	tcase_add_test(c, knows_its_names);
	tcase_add_loop_test(c, refuses_what_cannot_be, 0, WRONGS);
	tcase_add_test(c, fails_without_memory);
	tcase_add_loop_test(c, tells_tighter_from_looser, 0, sizeof changes / sizeof *changes);
	tcase_add_test(c, going_back_is_tighter);
	tcase_add_test(c, sets_differ_rule_by_rule);
	tcase_add_loop_test(c, fewer_a_year_is_looser, 0, sizeof cleanings / sizeof *cleanings);
	tcase_add_loop_test(c, a_life_ends_once, 0, sizeof lives / sizeof *lives);
	tcase_add_test(c, no_difference_is_overlooked);
	tcase_add_test(c, there_is_room_for_every_difference);
	tcase_add_test(c, most_particular_rule_decides);
	tcase_add_test(c, a_more_particular_rule_may_come_first);
	tcase_add_test(c, of_equals_the_stricter_decides);
	suite_add_tcase(s, c);
	return s;
}
