#include "base/limits.h"
#include "rules.h"

static struct arena arena;
static const struct handbook *hb;
static struct program p;
static struct duty_list list;

static void begin(void) {
	arena_init(&arena, LIMIT_ARENA_BYTES_MAX);
	hb = small_handbook(&arena);
	small_program(&p, hb, "ours", &arena);
}

static void end(void) { arena_clear(&arena); }

static const struct duty *duty_of(const struct component_facts *c, enum duty_code duty) {
	duty_list_make(&list, c, &p, &arena);
	return duty_list_find(&list, duty);
}

/* The due day of a duty as text; "none" when it is not owed, "" when undated. */
static const char *due(const struct component_facts *c, enum duty_code duty) {
	static char text[DAY_TEXT_SIZE];
	const struct duty *d = duty_of(c, duty);
	return d ? day_format(d->due_on, text) : "none";
}

static struct component_facts in_use(const char *kind) {
	struct component_facts c = no_facts(hb, kind);
	c.is_issued = true;
	c.in_service_on = on("2020-05-10");
	c.issued_on = on("2020-05-10");
	label_date_parse("2019-11", &c.made);
	return c;
}

START_TEST(counts_from_last_inspection) {
	struct component_facts c = in_use("helmet");
	c.inspected_on[INSPECTION_ADVANCED] = on("2025-03-15");
	const struct duty *d = duty_of(&c, DUTY_ADVANCED_INSPECTION);
	ck_assert_int_eq(d->due_on, on("2026-03-15"));
	ck_assert_str_eq(d->rule, "advanced");
	ck_assert_str_eq(d->fact, "inspected");
	ck_assert_str_eq(d->fact_on, "2025-03-15");
	ck_assert_str_eq(d->reason, "Advanced inspection every 12 months: last done 2025-03-15.");
	ck_assert(d->bears_on_readiness);
	c.inspected_on[INSPECTION_LINER] = on("2025-06-01"); /* asks all of it */
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_INSPECTION), "2026-06-01");
	c.inspected_on[INSPECTION_RETURN] = on("2025-09-01"); /* asks only what was mended */
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_INSPECTION), "2026-06-01");
}
END_TEST

START_TEST(counts_from_start_of_service) {
	struct component_facts c = in_use("helmet");
	const struct duty *d = duty_of(&c, DUTY_ADVANCED_INSPECTION);
	ck_assert_int_eq(d->due_on, on("2021-05-10"));
	ck_assert_str_eq(d->fact, "in_service");
	ck_assert_str_eq(d->reason,
			 "Advanced inspection: none on record; first due 12 months after "
			 "it went into service on 2020-05-10.");
}
END_TEST

START_TEST(counts_from_first_issue_when_start_is_unknown) {
	struct component_facts c = in_use("helmet");
	c.in_service_on = DAY_NONE;
	c.first_issued_on = on("2020-06-01");
	const struct duty *d = duty_of(&c, DUTY_ADVANCED_INSPECTION);
	ck_assert_int_eq(d->due_on, on("2021-06-01"));
	ck_assert_str_eq(d->fact, "issued");
	ck_assert_ptr_nonnull(strstr(d->reason, "after it was first issued, 2020-06-01."));
	/* Of both the earlier one: nobody has what is not in service yet. */
	c.in_service_on = on("2022-03-01");
	ck_assert_int_eq(duty_of(&c, DUTY_ADVANCED_INSPECTION)->due_on, on("2021-06-01"));
	ck_assert_str_eq(duty_of(&c, DUTY_ADVANCED_INSPECTION)->fact_on, "2020-06-01");
	c.in_service_on = on("2020-05-31");
	ck_assert_int_eq(duty_of(&c, DUTY_ADVANCED_INSPECTION)->due_on, on("2021-05-31"));
	ck_assert_str_eq(duty_of(&c, DUTY_ADVANCED_INSPECTION)->fact, "in_service");
	/* On one day: what is on record by that name. */
	c.in_service_on = c.first_issued_on;
	ck_assert_str_eq(duty_of(&c, DUTY_ADVANCED_INSPECTION)->fact, "in_service");
	/* The date of manufacture is no day of service. */
	c.in_service_on = c.first_issued_on = DAY_NONE;
	d = duty_of(&c, DUTY_ADVANCED_INSPECTION);
	ck_assert_int_eq(d->due_on, DAY_NONE);
	ck_assert_str_eq(d->fact_on, "");
	ck_assert_ptr_nonnull(strstr(d->reason, "the day it went into service is not recorded"));
}
END_TEST

START_TEST(every_duty_says_where_its_rule_comes_from) {
	const struct open_follow_up fu = {DUTY_ADVANCED_INSPECTION, on("2025-05-01"),
					  "Burnt above.", NULL};
	struct component_facts c = in_use("coat_liner");
	c.back_on = on("2025-05-01");
	c.follow_up = &fu;
	c.follow_up_count = 1;
	duty_list_make(&list, &c, &p, &arena);
	ck_assert_uint_gt(list.count, 3);
	for (size_t i = 0; i < list.count; i++)
		ck_assert_ptr_nonnull(duty_source(&p, list.duty[i].rule));
	ck_assert_ptr_null(duty_source(&p, "nobody's"));
}
END_TEST

START_TEST(part_of_a_members_ensemble_is_in_use) {
	struct component_facts c = in_use("helmet");
	c.is_issued = false;
	c.is_assigned = true;
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_INSPECTION), "2021-05-10");
}
END_TEST

START_TEST(exempts_stored_gear) {
	struct component_facts c = no_facts(hb, "coat_shell");
	/* New in stores: never issued, nothing owed. */
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_INSPECTION), "none");
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_CLEANING), "none");
	c.in_service_on = on("2020-05-10");
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_INSPECTION), "none");
	/* Came back from use after the inspection: owed. */
	c.inspected_on[INSPECTION_ADVANCED] = on("2024-01-10");
	c.last_returned_on = on("2024-02-01");
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_INSPECTION), "2025-01-10");
	/* Came back before it, and stored since: exempt. */
	c.last_returned_on = on("2024-01-10");
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_INSPECTION), "none");
	/* Used once and never inspected: owed from the start of service. */
	c.inspected_on[INSPECTION_ADVANCED] = DAY_NONE;
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_INSPECTION), "2021-05-10");
	c.in_service_on = DAY_NONE;
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_INSPECTION), "none");
}
END_TEST

START_TEST(opens_liners) {
	struct component_facts c = in_use("coat_liner");
	ck_assert_str_eq(due(&c, DUTY_LINER_INSPECTION), "2023-05-10");
	c.cbrn = true;
	ck_assert_str_eq(due(&c, DUTY_LINER_INSPECTION), "2022-05-10");
	c.inspected_on[INSPECTION_LINER] = on("2023-06-02");
	ck_assert_str_eq(due(&c, DUTY_LINER_INSPECTION), "2024-06-02");
	/* Storing it does not stop the clock. */
	c.is_issued = false;
	ck_assert_str_eq(due(&c, DUTY_LINER_INSPECTION), "2024-06-02");
	c = in_use("coat_shell");
	ck_assert_str_eq(due(&c, DUTY_LINER_INSPECTION), "none");
}
END_TEST

START_TEST(routine_is_dated_only_by_the_department) {
	struct component_facts c = in_use("hood");
	ck_assert_str_eq(due(&c, DUTY_ROUTINE_INSPECTION), "none");
	p.rule[7].first_months = p.rule[7].repeat_months = 1;
	c.inspected_on[INSPECTION_ROUTINE] = on("2025-01-31");
	ck_assert_str_eq(due(&c, DUTY_ROUTINE_INSPECTION), "2025-02-28");
	c.inspected_on[INSPECTION_ADVANCED] = on("2025-03-05");
	ck_assert_str_eq(due(&c, DUTY_ROUTINE_INSPECTION), "2025-04-05");
	ck_assert(!duty_of(&c, DUTY_ROUTINE_INSPECTION)->bears_on_readiness);
	c.is_issued = false; /* stored, and not used since */
	ck_assert_str_eq(due(&c, DUTY_ROUTINE_INSPECTION), "none");
}
END_TEST

START_TEST(cleaning_by_interval) {
	struct component_facts c = in_use("hood");
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_CLEANING), "2020-11-10");
	c.cleaned_on = on("2026-01-20");
	c.cleaned_before_on = on("2026-01-05");
	const struct duty *d = duty_of(&c, DUTY_ADVANCED_CLEANING);
	ck_assert_int_eq(d->due_on, on("2026-07-20"));
	ck_assert_str_eq(d->fact, "cleaned");
	ck_assert(!d->bears_on_readiness);
}
END_TEST

START_TEST(cleaning_by_count) {
	struct component_facts c = in_use("hood");
	p.count_cleanings = true;
	/* Two in any 12 months: from the second last; before there are two, from the start. */
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_CLEANING), "2021-05-10");
	ck_assert_str_eq(duty_of(&c, DUTY_ADVANCED_CLEANING)->fact, "in_service");
	c.cleaned_on = on("2021-01-20");
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_CLEANING), "2021-05-10");
	c.cleaned_before_on = on("2021-01-05");
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_CLEANING), "2022-01-05");
	ck_assert_str_eq(duty_of(&c, DUTY_ADVANCED_CLEANING)->fact, "cleaned");
	ck_assert_ptr_nonnull(strstr(duty_of(&c, DUTY_ADVANCED_CLEANING)->reason,
				     "2 times in any 12 months: counted from 2021-01-05"));
	/* Nothing to count from. */
	c = in_use("hood");
	c.in_service_on = DAY_NONE;
	c.made = (struct label_date){0};
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_CLEANING), "");
	c.is_issued = false;
	c.last_returned_on = on("2021-01-01");
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_CLEANING), "none");
}
END_TEST

START_TEST(cleaning_counted_once_a_year) {
	small_program(&p, hb, "other", &arena);
	p.count_cleanings = true;
	struct component_facts c = in_use("hood");
	c.cleaned_on = on("2021-01-20");
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_CLEANING), "2022-01-20");
	/* A set that counts nothing is read by interval. */
	p.rule[1].first_months = p.rule[2].first_months = 0;
	p.rule[3].first_months = p.rule[3].repeat_months = 8;
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_CLEANING), "2021-09-20");
	p.rule[3].first_months = 0;
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_CLEANING), "none");
}
END_TEST

static const struct {
	const char *made;
	int months;
	bool end_of_month;
	const char *last_day;
} lives[] = {
    {"2016-06", 120, false, "2026-05-31"},    {"2016-06", 120, true, "2026-06-30"},
    {"2016-06-15", 120, false, "2026-06-14"}, {"2016-06-15", 120, true, "2026-06-15"},
    {"2015-02", 60, true, "2020-02-29"},      {"2015-03", 60, false, "2020-02-29"},
    {"2016-02-29", 120, true, "2026-02-28"},  {"2016-02-29", 120, false, "2026-02-27"},
    {"2195-01", 120, true, "2199-12-31"}, /* past the calendar */
};

START_TEST(reads_age_limit) {
	struct label_date made;
	char text[DAY_TEXT_SIZE];
	ck_assert(label_date_parse(lives[_i].made, &made));
	day last = duty_last_day_of_life(made, lives[_i].months, lives[_i].end_of_month);
	ck_assert_str_eq(day_format(last, text), lives[_i].last_day);
}
END_TEST

START_TEST(retires_by_age) {
	struct component_facts c = in_use("helmet");
	const struct duty *d = duty_of(&c, DUTY_RETIREMENT);
	ck_assert_int_eq(d->due_on, on("2029-10-31"));
	ck_assert_str_eq(d->fact_on, "2019-11");
	ck_assert_str_eq(d->reason, "Made 2019-11; the age limit is 120 months, read strictly.");
	p.end_of_month = true;
	d = duty_of(&c, DUTY_RETIREMENT);
	ck_assert_int_eq(d->due_on, on("2029-11-30"));
	ck_assert_ptr_nonnull(strstr(d->reason, "to the end of that month"));
	c = in_use("coat_shell");
	c.reflective = true;
	ck_assert_str_eq(due(&c, DUTY_RETIREMENT), "2024-11-30");
	c.made = (struct label_date){0};
	d = duty_of(&c, DUTY_RETIREMENT);
	ck_assert_int_eq(d->due_on, DAY_NONE);
	ck_assert_ptr_nonnull(strstr(d->reason, "not known"));
	small_program(&p, hb, "other", &arena); /* names no age limit */
	ck_assert_str_eq(due(&c, DUTY_RETIREMENT), "none");
}
END_TEST

/* Of the rule set's limit and the maker's, the earlier end counts. */
static const struct {
	int set_months, life_months; /* 0: none */
	const char *made, *due, *rule, *words;
} limits[] = {
    {120, 0, "2016-06", "2026-05-31", "life", "the age limit is 120 months"},
    {120, 84, "2016-06", "2023-05-31", "maker_limit", "the maker's limit of life is 84 months"},
    {120, 180, "2016-06", "2026-05-31", "life", "the age limit is 120 months"},
    {120, 120, "2016-06", "2026-05-31", "life", "the age limit is 120 months"},
    {0, 84, "2016-06", "2023-05-31", "maker_limit", "the maker's limit of life is 84 months"},
    {0, 84, "", "", "maker_limit", "The date of manufacture is not known"},
    {120, 84, "", "", "maker_limit", "The date of manufacture is not known"},
    {0, 0, "2016-06", "none", NULL, NULL},
    {0, 0, "", "none", NULL, NULL},
};

START_TEST(retires_by_the_earlier_limit) {
	struct component_facts c = in_use("helmet");
	for (size_t i = 0; i < p.set->rule_count; i++)
		if (strcmp(p.rule[i].rule->code, "life") == 0)
			p.rule[i].first_months = limits[_i].set_months;
	c.made = (struct label_date){0};
	label_date_parse(limits[_i].made, &c.made);
	c.life_months = limits[_i].life_months;
	ck_assert_str_eq(due(&c, DUTY_RETIREMENT), limits[_i].due);
	if (!limits[_i].rule) return;
	const struct duty *d = duty_of(&c, DUTY_RETIREMENT);
	ck_assert_str_eq(d->rule, limits[_i].rule);
	ck_assert_ptr_nonnull(strstr(d->reason, limits[_i].words));
	ck_assert(d->bears_on_readiness);
	ck_assert_ptr_nonnull(strstr(duty_source(&p, "maker_limit"), "maker's instructions"));
	ck_assert_str_eq(duty_source(&p, "advanced"), p.set->rule[0].source);
	/* The set's source does not speak for months that are not the set's. */
	p.rule[0].repeat_months--;
	ck_assert_ptr_nonnull(strstr(duty_source(&p, "advanced"), "The department's own months"));
	p.rule[0].repeat_months++;
}
END_TEST

START_TEST(owes_inspection_after_repair) {
	struct component_facts c = in_use("helmet");
	ck_assert_str_eq(due(&c, DUTY_RETURN_INSPECTION), "none");
	c.back_on = on("2025-04-01");
	const struct duty *d = duty_of(&c, DUTY_RETURN_INSPECTION);
	ck_assert_int_eq(d->due_on, on("2025-04-01"));
	ck_assert_str_eq(d->rule, "after_repair");
	ck_assert_str_eq(d->fact, "returned");
}
END_TEST

START_TEST(follow_up_comes_before_the_regular_day) {
	const struct open_follow_up fu[] = {
	    {DUTY_LINER_INSPECTION, on("2022-08-01"), "Later.", NULL},
	    {DUTY_LINER_INSPECTION, on("2022-02-01"), "Burnt above it.", NULL},
	    {DUTY_LINER_INSPECTION, on("2022-09-01"), "Later.", NULL}};
	struct component_facts c = in_use("coat_liner");
	c.follow_up = fu;
	c.follow_up_count = 3;
	const struct duty *d = duty_of(&c, DUTY_LINER_INSPECTION);
	ck_assert_int_eq(d->due_on, on("2022-02-01"));
	ck_assert_str_eq(d->rule, "layer_beneath");
	ck_assert_str_eq(d->reason, "Burnt above it.");
	/* The regular one is nearer. */
	c.in_service_on = on("2018-01-01");
	ck_assert_str_eq(duty_of(&c, DUTY_LINER_INSPECTION)->rule, "liner");
}
END_TEST

START_TEST(washed_beyond_what_it_stands) {
	struct component_facts c = in_use("helmet");
	c.inspected_on[INSPECTION_ADVANCED] = on("2025-03-15");
	c.harmed_on = on("2025-06-01");
	const struct duty *d = duty_of(&c, DUTY_ADVANCED_INSPECTION);
	ck_assert_int_eq(d->due_on, on("2025-06-01"));
	ck_assert_str_eq(d->rule, "after_cleaning");
	ck_assert_ptr_nonnull(duty_source(&p, d->rule));
	c.inspected_on[INSPECTION_ADVANCED] = on("2025-06-01"); /* may have been before it */
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_INSPECTION), "2025-06-01");
	c.inspected_on[INSPECTION_ADVANCED] = on("2025-06-02");
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_INSPECTION), "2026-06-02");
}
END_TEST

static const struct duty *owed(const struct component_facts *c, enum duty_code code) {
	duty_list_make(&list, c, &p, &arena);
	const struct duty *d = duty_list_find(&list, code);
	if (d) ck_assert_ptr_nonnull(duty_source(&p, d->rule));
	return d;
}

static struct latest_test tested(const char *on_text, enum field_test_result result) {
	return (struct latest_test){1, on(on_text), result, "So.", false};
}

START_TEST(a_mended_barrier_is_tested) {
	struct component_facts c = in_use("coat_liner");
	ck_assert_ptr_null(owed(&c, DUTY_LEAK_TEST));
	c.barrier_sent_on = on("2021-02-01");
	c.barrier_mended_on = on("2021-03-01");
	ck_assert_int_eq(owed(&c, DUTY_LEAK_TEST)->due_on, c.barrier_mended_on);
	ck_assert_str_eq(owed(&c, DUTY_LEAK_TEST)->rule, "after_barrier_work");
	/* By either test, on that day or later; by the provider since it was there. */
	for (int i = 0; i < 2; i++) {
		struct component_facts t = c;
		struct latest_test *test = &t.test[i ? TEST_WATER : TEST_LEAKAGE];
		*test = tested("2021-02-28", RESULT_PASS);
		ck_assert_ptr_nonnull(owed(&t, DUTY_LEAK_TEST));
		test->by_provider = true;
		ck_assert_ptr_null(owed(&t, DUTY_LEAK_TEST));
		*test = tested("2021-01-31", RESULT_PASS);
		test->by_provider = true;
		ck_assert_ptr_nonnull(owed(&t, DUTY_LEAK_TEST));
		*test = tested("2021-03-01", RESULT_PASS);
		ck_assert_ptr_null(owed(&t, DUTY_LEAK_TEST));
	}
	/* No other test tells, but an inspection that asks for one does. */
	c.test[TEST_SEAM] = tested("2021-04-01", RESULT_PASS);
	ck_assert_ptr_nonnull(owed(&c, DUTY_LEAK_TEST));
	c.inspected_on[INSPECTION_ADVANCED] = on("2021-02-28");
	ck_assert_ptr_nonnull(owed(&c, DUTY_LEAK_TEST));
	c.inspected_on[INSPECTION_ADVANCED] = on("2021-03-01");
	ck_assert_ptr_null(owed(&c, DUTY_LEAK_TEST));
}
END_TEST

START_TEST(a_leak_in_a_test_that_is_none_is_tested_again) {
	struct component_facts c = in_use("coat_liner");
	c.doubted_on = on("2021-03-01");
	ck_assert_int_eq(owed(&c, DUTY_LEAK_TEST)->due_on, c.doubted_on);
	ck_assert_str_eq(owed(&c, DUTY_LEAK_TEST)->rule, "doubtful_test");
	c.test[TEST_WATER] = tested("2021-02-28", RESULT_PASS);
	ck_assert_ptr_nonnull(owed(&c, DUTY_LEAK_TEST));
	c.test[TEST_WATER] = tested("2021-03-01", RESULT_FAIL);
	ck_assert_ptr_null(owed(&c, DUTY_LEAK_TEST)); /* what it found blocks by itself */
}
END_TEST

START_TEST(what_is_owed_before_use) {
	static const char *const before[] = {"after_barrier_work", "doubtful_test",
					     "light_evaluation"};
	static const char *const not_before[] = {"life", "advanced", "safety_notice", "follow_up",
						 ""};
	for (size_t i = 0; i < sizeof before / sizeof *before; i++)
		ck_assert_msg(duty_is_before_use(before[i]), "%s", before[i]);
	for (size_t i = 0; i < sizeof not_before / sizeof *not_before; i++)
		ck_assert_msg(!duty_is_before_use(not_before[i]), "%s", not_before[i]);
}
END_TEST

START_TEST(what_a_wearer_found_is_inspected_thoroughly) {
	struct component_facts c = in_use("helmet");
	c.inspected_on[INSPECTION_ADVANCED] = on("2025-03-15");
	c.problem_on = on("2025-06-01");
	const struct duty *d = owed(&c, DUTY_ADVANCED_INSPECTION);
	ck_assert_int_eq(d->due_on, on("2025-06-01"));
	ck_assert_str_eq(d->rule, "after_routine_finding");
	ck_assert_str_eq(
	    d->reason,
	    "The routine inspection of 2025-06-01 found something: inspect it thoroughly.");
}
END_TEST

START_TEST(damage_at_return_is_inspected) {
	struct component_facts c = in_use("coat_liner");
	ck_assert(!component_came_back_damaged(&c));
	c.damaged_return_on = on("2020-06-01");
	const struct duty *d = owed(&c, DUTY_ADVANCED_INSPECTION);
	ck_assert_int_eq(d->due_on, on("2020-06-01"));
	ck_assert_str_eq(d->rule, "came_back_damaged");
	ck_assert_str_eq(d->fact, "returned");
	c.inspected_on[INSPECTION_ROUTINE] = c.inspected_on[INSPECTION_RETURN] = on("2020-06-03");
	c.inspected_on[INSPECTION_ADVANCED] = on("2020-05-31");
	ck_assert(component_came_back_damaged(&c));
	c.inspected_on[INSPECTION_LINER] = on("2020-06-01");
	ck_assert(!component_came_back_damaged(&c));
	ck_assert_str_eq(owed(&c, DUTY_ADVANCED_INSPECTION)->rule, "advanced");
}
END_TEST

START_TEST(contamination_at_return_is_cleaned) {
	struct component_facts c = in_use("hood");
	c.is_issued = false;
	c.soiled_return_on = c.last_returned_on = c.washed_on = on("2020-06-01");
	ck_assert(!component_came_back_contaminated(&c)); /* only soiled */
	ck_assert_str_ne(owed(&c, DUTY_ADVANCED_CLEANING)->rule, "came_back_contaminated");
	c.is_contaminated_return = true;
	ck_assert(!component_came_back_soiled(&c));
	const struct duty *d = owed(&c, DUTY_ADVANCED_CLEANING);
	ck_assert_int_eq(d->due_on, on("2020-06-01"));
	ck_assert_str_eq(d->rule, "came_back_contaminated");
	c.cleaned_on = on("2020-05-31");
	ck_assert(component_came_back_contaminated(&c));
	c.cleaned_on = on("2020-06-01");
	ck_assert(!component_came_back_contaminated(&c));
	c.cleaned_on = DAY_NONE;
	c.is_issued = true; /* somebody wears it, as records of before have it */
	ck_assert(!component_came_back_contaminated(&c));
}
END_TEST

START_TEST(a_suspect_liner_is_opened) {
	static const struct outcome test = {.code = "test", .blocks = true};
	struct open_finding fd[2] = {{.id = 1, .found_on = on("2021-03-01")},
				     {.id = 2, .found_on = on("2021-02-01")}};
	fd[0].outcome = handbook_outcome(hb, "repair");
	fd[1].outcome = &test;
	struct component_facts c = in_use("coat_liner");
	c.inspected_on[INSPECTION_LINER] = on("2021-01-31");
	c.finding = fd;
	c.finding_count = 1;
	ck_assert_str_eq(owed(&c, DUTY_LINER_INSPECTION)->rule, "liner");
	c.finding_count = 2;
	const struct duty *d = owed(&c, DUTY_LINER_INSPECTION);
	ck_assert_int_eq(d->due_on, on("2021-02-01"));
	ck_assert_str_eq(d->rule, "to_be_tested");
	c.inspected_on[INSPECTION_LINER] = on("2021-02-01");
	ck_assert_str_eq(owed(&c, DUTY_LINER_INSPECTION)->rule, "liner");
	c = in_use("coat_shell");
	c.finding = fd;
	c.finding_count = 2;
	ck_assert_ptr_null(owed(&c, DUTY_LINER_INSPECTION));
}
END_TEST

START_TEST(a_light_spot_asks_for_the_liner_to_be_opened) {
	struct component_facts c = in_use("coat_liner");
	c.inspected_on[INSPECTION_LINER] = on("2021-01-01");
	c.test[TEST_LIGHT] = tested("2021-01-02", RESULT_PASS);
	ck_assert_int_eq(owed(&c, DUTY_LINER_INSPECTION)->due_on, on("2022-01-01"));
	c.suspected_on = on("2021-01-02"); /* however often it passed since */
	c.test[TEST_LIGHT] = tested("2021-01-03", RESULT_PASS);
	ck_assert_int_eq(owed(&c, DUTY_LINER_INSPECTION)->due_on, on("2021-01-02"));
	ck_assert_str_eq(owed(&c, DUTY_LINER_INSPECTION)->rule, "light_evaluation");
	c.inspected_on[INSPECTION_LINER] = on("2021-01-02");
	ck_assert_int_eq(owed(&c, DUTY_LINER_INSPECTION)->due_on, on("2022-01-02"));
}
END_TEST

START_TEST(a_coat_cleaned_outside_is_looked_at_for_its_drd) {
	static const char *const other[] = {"coat_liner", "overcover", "hood"};
	struct component_facts c = in_use("coat_shell");
	ck_assert_ptr_null(owed(&c, DUTY_DRD_CHECK));
	c.outside_on = on("2021-03-01");
	ck_assert_int_eq(owed(&c, DUTY_DRD_CHECK)->due_on, c.outside_on);
	c.inspected_on[INSPECTION_ROUTINE] = on("2021-03-01"); /* perhaps before it */
	ck_assert_ptr_nonnull(owed(&c, DUTY_DRD_CHECK));
	c.inspected_on[INSPECTION_ROUTINE] = on("2021-03-02");
	ck_assert_ptr_null(owed(&c, DUTY_DRD_CHECK));
	c.inspected_on[INSPECTION_ROUTINE] = DAY_NONE;
	c.inspected_on[INSPECTION_ADVANCED] = on("2021-02-28");
	ck_assert_ptr_nonnull(owed(&c, DUTY_DRD_CHECK));
	c.inspected_on[INSPECTION_ADVANCED] = on("2021-03-01"); /* in the order of work */
	ck_assert_ptr_null(owed(&c, DUTY_DRD_CHECK));
	for (size_t i = 0; i < sizeof other / sizeof *other; i++) {
		c = in_use(other[i]);
		c.outside_on = on("2021-03-01");
		ck_assert_ptr_null(owed(&c, DUTY_DRD_CHECK));
	}
}
END_TEST

START_TEST(routine_looks_are_owed_where_the_department_has_them_recorded) {
	struct component_facts c = in_use("hood");
	c.is_issued = true;
	c.issued_on = on("2021-03-01");
	c.exposed_on = on("2021-04-01");
	ck_assert_ptr_null(owed(&c, DUTY_ROUTINE_INSPECTION));
	p.routine_on_issue = true;
	ck_assert_int_eq(owed(&c, DUTY_ROUTINE_INSPECTION)->due_on, c.issued_on);
	c.inspected_on[INSPECTION_RETURN] = c.issued_on;
	ck_assert_ptr_null(owed(&c, DUTY_ROUTINE_INSPECTION));
	p.routine_after_exposure = true;
	ck_assert_int_eq(owed(&c, DUTY_ROUTINE_INSPECTION)->due_on, c.exposed_on);
	ck_assert_str_eq(owed(&c, DUTY_ROUTINE_INSPECTION)->rule, "routine_after_exposure");
	c.inspected_on[INSPECTION_ROUTINE] = c.exposed_on;
	ck_assert_ptr_null(owed(&c, DUTY_ROUTINE_INSPECTION));
	c.inspected_on[INSPECTION_ROUTINE] = c.inspected_on[INSPECTION_RETURN] = DAY_NONE;
	c.exposed_on = DAY_NONE;
	c.issued_on = DAY_NONE;
	ck_assert_ptr_null(owed(&c, DUTY_ROUTINE_INSPECTION)); /* never */
	c.issued_on = on("2021-03-01");
	p.routine_after_exposure = false;
	c.is_issued = false; /* it was taken back */
	ck_assert_ptr_null(owed(&c, DUTY_ROUTINE_INSPECTION));
}
END_TEST

/* Source: helmet maker's note on fire helmet inspection, 2020 edition (also at the beginning of
 * each duty period); the days are the department's. */
START_TEST(routine_looks_come_with_each_duty_period) {
	struct component_facts c = in_use("hood");
	c.is_issued = true;
	c.issued_on = on("2021-03-01");
	c.inspected_on[INSPECTION_ROUTINE] = on("2021-02-27"); /* before it was handed over */
	ck_assert_ptr_null(owed(&c, DUTY_ROUTINE_INSPECTION));
	p.routine_duty_days = 3;
	const struct duty *d = owed(&c, DUTY_ROUTINE_INSPECTION);
	ck_assert_int_eq(d->due_on, on("2021-03-04"));
	ck_assert_str_eq(d->rule, "routine_at_duty_start");
	ck_assert_str_eq(d->fact, "issued");
	ck_assert_str_eq(d->reason, "Issued on 2021-03-01: the wearer looks it over at the "
				    "beginning of each duty period, here within 3 days.");
	ck_assert_ptr_nonnull(duty_source(&p, d->rule));
	c.inspected_on[INSPECTION_ROUTINE] = c.issued_on;
	d = owed(&c, DUTY_ROUTINE_INSPECTION);
	ck_assert_int_eq(d->due_on, on("2021-03-04"));
	ck_assert_str_eq(d->fact, "inspected");
	c.inspected_on[INSPECTION_ADVANCED] = on("2021-03-30"); /* any look is one */
	d = owed(&c, DUTY_ROUTINE_INSPECTION);
	ck_assert_int_eq(d->due_on, on("2021-04-02"));
	ck_assert_str_eq(d->fact_on, "2021-03-30");
	p.routine_after_exposure = true; /* of two, the one due first */
	c.exposed_on = on("2021-04-01");
	ck_assert_str_eq(owed(&c, DUTY_ROUTINE_INSPECTION)->rule, "routine_after_exposure");
	p.routine_after_exposure = false;
	c.is_issued = false;
	ck_assert_ptr_null(owed(&c, DUTY_ROUTINE_INSPECTION));
	p.routine_duty_days = 0;
}
END_TEST

START_TEST(nothing_known_is_no_day) {
	struct component_facts c = component_facts_none();
	ck_assert_ptr_null(c.kind);
	for (int k = 0; k < INSPECTION_KIND_COUNT; k++)
		ck_assert_int_eq(c.inspected_on[k], DAY_NONE);
	ck_assert_int_eq(c.in_service_on, DAY_NONE);
	ck_assert_int_eq(c.cleaned_before_on, DAY_NONE);
}
END_TEST

/* Due because of damage above it; of two, what is due first, and of one day what was first. */
START_TEST(each_follow_up_is_owed) {
	static const struct open_follow_up fu[] = {
	    {DUTY_ADVANCED_INSPECTION, 18000, "First.", NULL},
	    {DUTY_ADVANCED_INSPECTION, 17999, "Second.", NULL},
	    {DUTY_ADVANCED_INSPECTION, 17999, "Third.", NULL}};
	struct component_facts c = no_facts(hb, "hood");
	static const char *const reason[] = {"First.", "Second.", "Second."};
	for (size_t n = 1; n <= 3; n++) {
		c.follow_up = fu;
		c.follow_up_count = n;
		const struct duty *d = owed(&c, DUTY_ADVANCED_INSPECTION);
		ck_assert_str_eq(d->rule, "layer_beneath");
		ck_assert_int_eq(d->due_on, fu[n > 1].due_on);
		ck_assert_str_eq(d->reason, reason[n - 1]);
	}
}
END_TEST

START_TEST(each_exposure_is_looked_at) {
	const struct exposure e[] = {{1, EXPOSURE_FUELS, on("2021-02-01"), NULL},
				     {2, EXPOSURE_FUELS, on("2021-06-01"), NULL},
				     {3, EXPOSURE_FUELS, on("2021-05-01"), NULL}};
	struct component_facts c = no_facts(hb, "hood");
	c.exposure = e;
	c.exposure_count = 1;
	c.cleaned_on = c.specialized_on = on("2021-03-01");
	ck_assert_ptr_null(owed(&c, DUTY_SPECIALIZED_CLEANING));
	c.exposure_count = 2;
	ck_assert_int_eq(owed(&c, DUTY_SPECIALIZED_CLEANING)->due_on, e[1].on);
	c.exposure_count = 3;
	ck_assert_int_eq(owed(&c, DUTY_SPECIALIZED_CLEANING)->due_on, e[2].on);
}
END_TEST

START_TEST(each_safety_notice_is_looked_at) {
	struct open_safety_notice n[] = {
	    {.number = "1", .title = "T", .action = SAFETY_SEND, .asked_on = on("2021-01-01")},
	    {.number = "2", .title = "T", .action = SAFETY_INSPECT, .asked_on = on("2021-02-01")},
	    {.number = "3", .title = "T", .action = SAFETY_INSPECT, .asked_on = on("2021-01-15")}};
	struct component_facts c = no_facts(hb, "hood");
	c.safety_notice = n;
	for (size_t k = 1; k <= 3; k++) {
		c.safety_notice_count = k;
		const struct duty *d = owed(&c, DUTY_ADVANCED_INSPECTION);
		ck_assert_int_eq(d != NULL, k > 1);
		if (d) ck_assert_int_eq(d->due_on, n[k - 1].asked_on);
	}
}
END_TEST

START_TEST(one_of_each_in_order) {
	const struct open_follow_up fu = {DUTY_ADVANCED_INSPECTION, on("2021-02-01"), "Burnt.",
					  NULL};
	struct component_facts c = in_use("coat_liner");
	c.back_on = on("2021-01-01");
	c.follow_up = &fu;
	c.follow_up_count = 1;
	const struct exposure fuel = {1, EXPOSURE_FUELS, on("2021-02-01"), NULL};
	c.exposure = &fuel;
	c.exposure_count = 1;
	c.barrier_mended_on = c.barrier_sent_on = on("2021-01-01");
	p.rule[7].first_months = p.rule[7].repeat_months = 1;
	duty_list_make(&list, &c, &p, &arena);
	ck_assert_uint_eq(list.count, DUTY_DRD_CHECK); /* that is of shells, the last */
	for (size_t i = 0; i < list.count; i++) ck_assert_uint_eq(list.duty[i].duty, i);
	c.retired_on = on("2022-01-01");
	duty_list_make(&list, &c, &p, &arena);
	ck_assert_uint_eq(list.count, 0);
	ck_assert_ptr_null(duty_list_find(&list, DUTY_RETIREMENT));
}
END_TEST

Suite *rules_duty_suite(void) {
	Suite *s = suite_create("rules/duty");
	TCase *c = tcase_create("duties");
	tcase_add_checked_fixture(c, begin, end);
	tcase_add_test(c, counts_from_last_inspection);
	tcase_add_test(c, counts_from_start_of_service);
	tcase_add_test(c, counts_from_first_issue_when_start_is_unknown);
	tcase_add_test(c, every_duty_says_where_its_rule_comes_from);
	tcase_add_test(c, part_of_a_members_ensemble_is_in_use);
	tcase_add_test(c, exempts_stored_gear);
	tcase_add_test(c, opens_liners);
	tcase_add_test(c, routine_is_dated_only_by_the_department);
	tcase_add_test(c, cleaning_by_interval);
	tcase_add_test(c, cleaning_by_count);
	tcase_add_test(c, cleaning_counted_once_a_year);
	tcase_add_loop_test(c, reads_age_limit, 0, sizeof lives / sizeof *lives);
	tcase_add_test(c, retires_by_age);
	tcase_add_loop_test(c, retires_by_the_earlier_limit, 0, sizeof limits / sizeof *limits);
	tcase_add_test(c, owes_inspection_after_repair);
	tcase_add_test(c, follow_up_comes_before_the_regular_day);
	tcase_add_test(c, washed_beyond_what_it_stands);
	tcase_add_test(c, a_mended_barrier_is_tested);
	tcase_add_test(c, a_leak_in_a_test_that_is_none_is_tested_again);
	tcase_add_test(c, what_is_owed_before_use);
	tcase_add_test(c, what_a_wearer_found_is_inspected_thoroughly);
	tcase_add_test(c, damage_at_return_is_inspected);
	tcase_add_test(c, contamination_at_return_is_cleaned);
	tcase_add_test(c, a_suspect_liner_is_opened);
	tcase_add_test(c, a_light_spot_asks_for_the_liner_to_be_opened);
	tcase_add_test(c, a_coat_cleaned_outside_is_looked_at_for_its_drd);
	tcase_add_test(c, routine_looks_are_owed_where_the_department_has_them_recorded);
	tcase_add_test(c, routine_looks_come_with_each_duty_period);
	tcase_add_test(c, one_of_each_in_order);
	tcase_add_test(c, nothing_known_is_no_day);
	tcase_add_test(c, each_follow_up_is_owed);
	tcase_add_test(c, each_exposure_is_looked_at);
	tcase_add_test(c, each_safety_notice_is_looked_at);
	suite_add_tcase(s, c);
	return s;
}
