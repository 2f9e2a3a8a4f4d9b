#include "base/limits.h"
#include "rules.h"
#include "rules/standing.h"

static struct arena arena;
static const struct handbook *hb;
static struct program p;
static struct duty_list duties;
static struct standing s;

static void begin(void) {
	arena_init(&arena, LIMIT_ARENA_BYTES_MAX);
	hb = small_handbook(&arena);
	small_program(&p, hb, "ours", &arena);
}

static void end(void) { arena_clear(&arena); }

static struct component_facts sound(void) {
	struct component_facts c = no_facts(hb, "coat_shell");
	c.in_service_on = on("2020-05-10");
	c.is_issued = true;
	c.issued_on = on("2020-05-10");
	c.inspected_on[INSPECTION_ADVANCED] = on("2025-03-15");
	label_date_parse("2019-11", &c.made);
	return c;
}

static void stand(const struct component_facts *c) {
	duty_list_make(&duties, c, &p, &arena);
	standing_make(&s, c, &duties, hb, &arena);
}

/* Exactly this one in the way, saying this. */
static void only(const char *code, enum service_state state, const char *text) {
	ck_assert_uint_eq(s.blocker_count, 1);
	ck_assert_str_eq(s.blocker[0].code, code);
	/* Only what is about a finding names one. */
	ck_assert_int_eq(s.blocker[0].finding != 0, strstr(code, "finding") != NULL);
	ck_assert_msg(strstr(s.blocker[0].text, text), "\"%s\" lacks \"%s\"", s.blocker[0].text,
		      text);
	ck_assert_str_eq(service_state_word[s.state], service_state_word[state]);
	ck_assert_int_eq(s.ready_until, DAY_NONE);
	ck_assert_ptr_null(s.limit);
}

START_TEST(nothing_in_the_way) {
	struct component_facts c = sound();
	stand(&c);
	ck_assert_int_eq(s.state, STATE_IN_SERVICE);
	ck_assert_uint_eq(s.blocker_count, 0);
	/* Cleaning fell due long before, but does not bear on readiness. */
	ck_assert_int_eq(s.ready_until, on("2026-03-15"));
	ck_assert_int_eq(s.limit->duty, DUTY_ADVANCED_INSPECTION);
	c.is_issued = false;
	c.is_assigned = true;
	stand(&c);
	ck_assert_int_eq(s.state, STATE_IN_SERVICE);
	c.is_assigned = false;
	stand(&c);
	ck_assert_int_eq(s.state, STATE_IN_STORES);
	ck_assert_int_eq(s.ready_until, on("2029-10-31"));
	ck_assert_int_eq(s.limit->duty, DUTY_RETIREMENT);
	small_program(&p, hb, "other", &arena);
	stand(&c);
	ck_assert_int_eq(s.ready_until, DAY_MAX);
	ck_assert_ptr_null(s.limit);
}
END_TEST

/* What is owed before use is in time on no day: not on the one since which it is owed. */
START_TEST(ready_until_the_day_before_what_is_owed_before_use) {
	struct component_facts c = sound();
	c.doubted_on = on("2026-02-03");
	stand(&c);
	ck_assert_str_eq(s.limit->rule, "doubtful_test");
	ck_assert_int_eq(s.ready_until, on("2026-02-02"));
}
END_TEST

START_TEST(retired) {
	struct component_facts c = sound();
	c.retired_on = on("2025-05-01");
	c.retired_reason = "Burnt through.";
	stand(&c);
	only("retired", STATE_RETIRED, "2025-05-01: Burnt through.");
}
END_TEST

START_TEST(at_provider) {
	struct component_facts c = sound();
	c.sent_on = on("2025-05-01");
	c.provider_name = "Mendwell";
	c.dispatch_number = "R-2025-0003";
	stand(&c);
	only("at_provider", STATE_AT_PROVIDER, "At Mendwell since 2025-05-01, ticket R-2025-0003");
}
END_TEST

START_TEST(back_but_not_inspected) {
	struct component_facts c = sound();
	c.back_on = on("2025-05-01");
	stand(&c);
	only("return_inspection", STATE_AWAITING_INSPECTION, "needs a return inspection");
}
END_TEST

/* What is dirty is cleaned before anybody looks at it: until then it waits for no inspection. */
START_TEST(back_and_not_cleaned) {
	const struct exposure e = {7, EXPOSURE_COMBUSTION, on("2025-05-02"), NULL};
	const struct open_finding soiled = {.check_point = "fabric",
					    .defect = "soiled",
					    .outcome = handbook_outcome(hb, "clean"),
					    .found_on = on("2025-05-04")};
	struct component_facts c = sound();
	c.back_on = on("2025-05-01");
	c.exposure = &e;
	c.exposure_count = 1;
	stand(&c);
	ck_assert_uint_eq(s.blocker_count, 2);
	ck_assert_int_eq(s.state, STATE_OUT_OF_SERVICE);
	c.cleaned_on = on("2025-05-03");
	stand(&c);
	only("return_inspection", STATE_AWAITING_INSPECTION, "needs a return inspection");
	c.finding = &soiled;
	c.finding_count = 1;
	stand(&c);
	ck_assert_int_eq(s.state, STATE_OUT_OF_SERVICE);
}
END_TEST

START_TEST(due_because_of_the_layer_above) {
	const struct open_follow_up fu = {DUTY_ADVANCED_INSPECTION, on("2025-05-01"),
					  "Burnt above.", NULL};
	struct component_facts c = sound();
	c.follow_up = &fu;
	c.follow_up_count = 1;
	stand(&c);
	only("thorough_inspection", STATE_AWAITING_INSPECTION, "Burnt above.");
}
END_TEST

START_TEST(set_aside) {
	struct component_facts c = sound();
	c.withdrawn_reason = "Recall under way.";
	stand(&c);
	only("withdrawn", STATE_OUT_OF_SERVICE, "Recall under way.");
	c.back_on = on("2025-05-01"); /* an inspection would not be enough */
	stand(&c);
	ck_assert_int_eq(s.state, STATE_OUT_OF_SERVICE);
	ck_assert_uint_eq(s.blocker_count, 2);
}
END_TEST

static const struct {
	const char *zone, *place, *defect, *outcome, *code, *text;
} findings[] = {
    {"sleeve", "two hands above the cuff", "burnt", "repair", "finding",
     "Burnt, Sleeve, two hands above the cuff, found 2025-04-01: Repair. Ends with a return "
     "inspection."},
    {"chest", NULL, "tear", "replace", "finding", "Rip, tear or cut, Chest, found"},
    {NULL, "on the tab", "soiled", "clean", "finding",
     "Soiled, on the tab, found 2025-04-01: "
     "Clean. Ends with an advanced cleaning."},
    {NULL, "", "unreadable", "ask_maker", "finding",
     "Unreadable, found 2025-04-01: Ask the maker. "
     "Ends with the recorded answer"},
    {NULL, NULL, "gone_word", "retire", "retire_finding",
     "gone_word, found 2025-04-01: Retire. Does not go back"},
};

START_TEST(open_finding) {
	struct component_facts c = sound();
	const struct open_finding fd = {.id = 7,
					.check_point = "fabric",
					.defect = findings[_i].defect,
					.zone = findings[_i].zone,
					.place = findings[_i].place,
					.outcome = handbook_outcome(hb, findings[_i].outcome),
					.found_on = on("2025-04-01")};
	c.finding = &fd;
	c.finding_count = 1;
	stand(&c);
	only(findings[_i].code, STATE_OUT_OF_SERVICE, findings[_i].text);
	ck_assert_int_eq(s.blocker[0].finding, 7);
}
END_TEST

START_TEST(finding_that_may_serve_on) {
	struct component_facts c = sound();
	const struct open_finding fd = {.defect = "tear",
					.outcome = handbook_outcome(hb, "serve_on"),
					.found_on = on("2025-04-01")};
	c.finding = &fd;
	c.finding_count = 1;
	stand(&c);
	ck_assert_uint_eq(s.blocker_count, 0);
}
END_TEST

START_TEST(not_clean) {
	struct component_facts c = sound();
	c.not_clean_on = on("2025-04-01");
	stand(&c);
	only("not_clean", STATE_OUT_OF_SERVICE,
	     "Not clean, or waiting for cleaning, when inspected on 2025-04-01");
	const struct exposure late = {.cause = EXPOSURE_FUELS, .on = on("2025-03-30")};
	c.not_clean_by = &late;
	stand(&c);
	only("not_clean", STATE_OUT_OF_SERVICE,
	     "Inspected on 2025-04-01 while contaminated (exposed to fuels on 2025-03-30)");
}
END_TEST

/* Inspected on the day of the exposure it may have been before it; from the next day on until the
 * day of the cleaning it was contaminated. */
START_TEST(failed_field_test) {
	for (int i = 0; i < TEST_COUNT; i++) {
		for (int result = 0; result < RESULT_COUNT; result++) {
			struct component_facts c = sound();
			c.test[i] = (struct latest_test){7, on("2025-04-01"),
							 (enum field_test_result)result,
							 "It wetted through.", false};
			stand(&c);
			ck_assert_uint_eq(s.blocker_count, result == RESULT_FAIL);
			if (result != RESULT_FAIL) continue;
			only("field_test", STATE_OUT_OF_SERVICE, "It wetted through.");
			ck_assert_int_eq(s.blocker[0].field_test, 7);
			c.test[i].id = 0;
			stand(&c);
			ck_assert_uint_eq(s.blocker_count, 0);
		}
	}
}
END_TEST

START_TEST(contaminated_when_inspected) {
	const struct exposure e = {.on = on("2025-03-30")};
	ck_assert(!exposure_taints(&e, DAY_NONE, e.on - 1));
	ck_assert(!exposure_taints(&e, DAY_NONE, e.on));
	ck_assert(exposure_taints(&e, DAY_NONE, e.on + 1));
	ck_assert(exposure_taints(&e, e.on + 3, e.on + 1));
	ck_assert(exposure_taints(&e, e.on + 3, e.on + 2));
	ck_assert(!exposure_taints(&e, e.on + 3, e.on + 3));
	ck_assert(!exposure_taints(&e, e.on, e.on + 1));
}
END_TEST

START_TEST(labels_disagree) {
	struct component_facts c = sound();
	c.model_disagrees_on = on("2025-04-01");
	stand(&c);
	only("labels_disagree", STATE_OUT_OF_SERVICE, "disagreed in model on 2025-04-01: HOLD");
	c.model_disagrees_on = DAY_NONE;
	c.size_disagrees_on = on("2025-04-02");
	stand(&c);
	only("labels_disagree", STATE_OUT_OF_SERVICE, "disagreed in size on 2025-04-02: HOLD");
}
END_TEST

START_TEST(unfit_by_history) {
	struct component_facts c = sound();
	c.unfit_on = on("2025-04-01");
	stand(&c);
	only("unfit", STATE_OUT_OF_SERVICE, "2025-04-01");
}
END_TEST

START_TEST(held_as_it_was_found) {
	struct component_facts c = sound();
	c.hold_incident = "2026-0117, hangar 2";
	c.held_on = on("2025-05-01");
	stand(&c);
	only("special_incident_hold", STATE_HELD, "2025-05-01 because of a special incident");
	c.back_on = on("2025-05-01"); /* not: awaiting inspection */
	stand(&c);
	ck_assert_int_eq(s.state, STATE_HELD);
	c.sent_on = on("2025-05-02"); /* nor: at a provider */
	c.withdrawn_reason = "Recall under way.";
	stand(&c);
	ck_assert_int_eq(s.state, STATE_HELD);
	ck_assert_uint_eq(s.blocker_count, 4);
	c.retired_on = on("2025-05-03");
	stand(&c);
	ck_assert_int_eq(s.state, STATE_RETIRED);
}
END_TEST

/* Whatever the cause, whatever was done when: open until a later cleaning of its class. */
START_TEST(exposed_until_cleaned) {
	struct component_facts c = sound();
	struct exposure e = {7, (enum exposure_cause)_i, on("2025-05-01"), NULL};
	bool special = e.cause != EXPOSURE_COMBUSTION;
	c.exposure = &e;
	c.exposure_count = 1;
	stand(&c);
	only("contaminated", STATE_OUT_OF_SERVICE, exposure_cause_label[e.cause]);
	ck_assert_int_eq(s.blocker[0].exposure, 7);
	const struct duty *d =
	    duty_list_find(&duties, special ? DUTY_SPECIALIZED_CLEANING : DUTY_ADVANCED_CLEANING);
	ck_assert_ptr_nonnull(d);
	ck_assert_ptr_nonnull(duty_source(&p, "after_exposure"));
	ck_assert_ptr_nonnull(
	    strstr(exposure_source(e.cause), special ? "specialized cleaning" : "2020"));
	if (special) ck_assert_int_eq(d->due_on, e.on);
	c.cleaned_on = e.on; /* may have been before it */
	c.specialized_on = e.on;
	stand(&c);
	ck_assert_uint_eq(s.blocker_count, 1);
	c.cleaned_on = e.on + 1; /* an advanced one */
	stand(&c);
	ck_assert_uint_eq(s.blocker_count, special);
	c.specialized_on = e.on + 1;
	stand(&c);
	ck_assert_uint_eq(s.blocker_count, 0);
	ck_assert(!exposure_is_open(&e, e.on + 1, e.on + 1));
	ck_assert(exposure_is_open(&e, DAY_NONE, DAY_NONE));
	ck_assert_int_eq(exposure_advice(e.cause) != NULL, e.cause == EXPOSURE_CBRN);
}
END_TEST

START_TEST(unknown_is_never_fine) {
	struct component_facts c = sound();
	c.made = (struct label_date){0};
	stand(&c);
	only("unknown_made", STATE_OUT_OF_SERVICE, "date of manufacture is not known");
	/* Whether or not the rules have an age limit. */
	small_program(&p, hb, "other", &arena);
	stand(&c);
	only("unknown_made", STATE_OUT_OF_SERVICE, "date of manufacture is not known");
	c = sound();
	c.in_service_on = DAY_NONE;
	stand(&c);
	only("unknown_in_service", STATE_OUT_OF_SERVICE, "went into service is not recorded");
	c.first_issued_on = on("2020-05-10");
	stand(&c);
	ck_assert_uint_eq(s.blocker_count, 0);
	c = sound();
	c.is_identified = false;
	stand(&c);
	only("unknown_label", STATE_OUT_OF_SERVICE, "Neither its maker");
	/* In stores nobody asks when it went into service. */
	c = no_facts(hb, "coat_shell");
	label_date_parse("2019-11", &c.made);
	stand(&c);
	ck_assert_uint_eq(s.blocker_count, 0);
	ck_assert_int_eq(s.state, STATE_IN_STORES);
}
END_TEST

START_TEST(came_back_soiled_and_not_cleaned) {
	struct component_facts c = sound();
	c.is_issued = false;
	c.soiled_return_on = c.last_returned_on = on("2025-04-02");
	stand(&c);
	only("came_back_soiled", STATE_OUT_OF_SERVICE, "soiled on 2025-04-02");
	c.washed_on = on("2025-04-01");
	stand(&c);
	ck_assert_uint_eq(s.blocker_count, 1);
	c.washed_on = on("2025-04-02");
	stand(&c);
	ck_assert_uint_eq(s.blocker_count, 0);
	c.is_contaminated_return = true; /* no routine cleaning ends that */
	stand(&c);
	only("contaminated", STATE_OUT_OF_SERVICE,
	     "Ends with an advanced or specialized cleaning.");
	ck_assert_int_eq(s.blocker[0].exposure, 0);
	c.cleaned_on = on("2025-04-02");
	stand(&c);
	ck_assert_uint_eq(s.blocker_count, 0);
	c.is_contaminated_return = false;
	c.washed_on = DAY_NONE;
	c.is_issued = true; /* somebody wears it, as records of before have it */
	stand(&c);
	ck_assert_uint_eq(s.blocker_count, 0);
}
END_TEST

START_TEST(came_back_damaged_and_not_inspected) {
	struct component_facts c = sound();
	c.damaged_return_on = on("2025-04-02");
	stand(&c); /* whoever has it again */
	only("came_back_damaged", STATE_OUT_OF_SERVICE, "damaged on 2025-04-02");
	c.inspected_on[INSPECTION_ADVANCED] = on("2025-04-02");
	stand(&c);
	ck_assert_uint_eq(s.blocker_count, 0);
}
END_TEST

START_TEST(everything_at_once_is_named) {
	const struct open_follow_up fu = {DUTY_ADVANCED_INSPECTION, on("2025-05-01"),
					  "Burnt above.", NULL};
	const struct open_finding fd[] = {
	    {.id = 1, .defect = "tear", .outcome = handbook_outcome(hb, "repair"), .found_on = 0},
	    {.id = 2, .defect = "burnt", .outcome = handbook_outcome(hb, "retire"), .found_on = 0}};
	static const char *const expected[] = {"special_incident_hold",
					       "retired",
					       "at_provider",
					       "return_inspection",
					       "thorough_inspection",
					       "withdrawn",
					       "finding",
					       "retire_finding",
					       "not_clean",
					       "labels_disagree",
					       "labels_disagree",
					       "unfit"};
	struct component_facts c = sound();
	c.hold_incident = "Hangar 2";
	c.held_on = on("2025-05-01");
	c.retired_on = c.sent_on = c.back_on = c.not_clean_on = c.unfit_on = on("2025-05-01");
	c.model_disagrees_on = c.size_disagrees_on = on("2025-05-01");
	c.retired_reason = c.withdrawn_reason = c.provider_name = c.dispatch_number = "X";
	c.follow_up = &fu;
	c.follow_up_count = 1;
	c.finding = fd;
	c.finding_count = 2;
	stand(&c);
	ck_assert_int_eq(s.state, STATE_RETIRED);
	ck_assert_uint_eq(s.blocker_count, sizeof expected / sizeof *expected);
	for (size_t i = 0; i < s.blocker_count; i++)
		ck_assert_str_eq(s.blocker[i].code, expected[i]);
}
END_TEST

START_TEST(without_memory_it_is_out) {
	struct component_facts c = sound();
	struct arena none;
	arena_init(&none, 1);
	duty_list_make(&duties, &c, &p, &none);
	standing_make(&s, &c, &duties, hb, &none);
	ck_assert(arena_failed(&none));
	ck_assert_int_eq(s.state, STATE_OUT_OF_SERVICE);
	ck_assert_int_eq(s.ready_until, DAY_NONE);
	arena_clear(&none);
}
END_TEST

START_TEST(every_follow_up_is_in_the_way) {
	static const struct open_follow_up fu[] = {
	    {DUTY_ADVANCED_INSPECTION, 18000, "Burnt above.", "2025-05-01T10:00:00Z"},
	    {DUTY_ADVANCED_INSPECTION, 18000, "Burnt again.", "2025-05-02T10:00:00Z"}};
	struct component_facts c = sound();
	c.follow_up = fu;
	c.follow_up_count = 2;
	stand(&c);
	ck_assert_uint_eq(s.blocker_count, 2);
	for (int i = 0; i < 2; i++) {
		ck_assert_str_eq(s.blocker[i].text, fu[i].reason);
		ck_assert_str_eq(s.blocker[i].raised_at, fu[i].raised_at);
		ck_assert_int_eq(s.blocker[i].finding, 0);
	}
}
END_TEST

/* What ends what a safety notice holds back. */
START_TEST(each_state_of_a_safety_notice_says_what_ends_it) {
	static const struct {
		enum safety_action action;
		enum safety_state state;
		const char *ends;
	} held[] = {
	    {SAFETY_STOP_USE, SAFETY_OUT_OF_USE, "until the issuer says more"},
	    {SAFETY_SEND, SAFETY_SENT, "sent away because of that"},
	    {SAFETY_INSPECT, SAFETY_LEFT, "Inspect it as the notice says"},
	    {SAFETY_REPLACE, SAFETY_LEFT, "Ends when somebody records"},
	};
	for (size_t i = 0; i < sizeof held / sizeof *held; i++) {
		const struct open_safety_notice n = {.id = 4,
						     .number = "S-2025-0001",
						     .title = "Threads",
						     .hit = SAFETY_HIT,
						     .action = held[i].action,
						     .state = held[i].state,
						     .asked_on = on("2025-05-01")};
		struct component_facts c = sound();
		c.safety_notice = &n;
		c.safety_notice_count = 1;
		stand(&c);
		ck_assert_uint_eq(s.blocker_count, 1);
		ck_assert_int_eq(s.blocker[0].safety_notice, 4);
		ck_assert_ptr_nonnull(strstr(s.blocker[0].text, held[i].ends));
	}
}
END_TEST

START_TEST(each_notice_and_each_exposure_is_told) {
	const struct open_safety_notice n[] = {
	    {.id = 4, .number = "S-2025-0001", .title = "Threads", .action = SAFETY_STOP_USE},
	    {.id = 5, .number = "S-2025-0002", .title = "Snaps", .action = SAFETY_STOP_USE}};
	const struct exposure e[] = {{7, EXPOSURE_COMBUSTION, on("2025-05-02"), NULL},
				     {8, EXPOSURE_FUELS, on("2025-05-03"), NULL}};
	struct component_facts c = sound();
	c.safety_notice = n;
	c.exposure = e;
	c.safety_notice_count = c.exposure_count = 2;
	stand(&c);
	int64_t notices = 0, exposures = 0;
	ck_assert_uint_eq(s.blocker_count, 4);
	for (size_t i = 0; i < s.blocker_count; i++) {
		ck_assert_int_eq(s.blocker[i].finding, 0);
		notices += s.blocker[i].safety_notice;
		exposures += s.blocker[i].exposure;
	}
	ck_assert_int_eq(notices, 4 + 5);
	ck_assert_int_eq(exposures, 7 + 8);
}
END_TEST

Suite *rules_standing_suite(void) {
	Suite *suite = suite_create("rules/standing");
	TCase *c = tcase_create("standing");
	tcase_add_checked_fixture(c, begin, end);
	tcase_add_test(c, nothing_in_the_way);
	tcase_add_test(c, ready_until_the_day_before_what_is_owed_before_use);
	tcase_add_test(c, retired);
	tcase_add_test(c, at_provider);
	tcase_add_test(c, back_but_not_inspected);
	tcase_add_test(c, back_and_not_cleaned);
	tcase_add_test(c, due_because_of_the_layer_above);
	tcase_add_test(c, set_aside);
	tcase_add_loop_test(c, open_finding, 0, sizeof findings / sizeof *findings);
	tcase_add_test(c, finding_that_may_serve_on);
	tcase_add_test(c, not_clean);
	tcase_add_test(c, contaminated_when_inspected);
	tcase_add_test(c, failed_field_test);
	tcase_add_test(c, labels_disagree);
	tcase_add_test(c, unfit_by_history);
	tcase_add_loop_test(c, exposed_until_cleaned, 0, EXPOSURE_CAUSE_COUNT);
	tcase_add_test(c, held_as_it_was_found);
	tcase_add_test(c, unknown_is_never_fine);
	tcase_add_test(c, came_back_soiled_and_not_cleaned);
	tcase_add_test(c, came_back_damaged_and_not_inspected);
	tcase_add_test(c, everything_at_once_is_named);
	tcase_add_test(c, without_memory_it_is_out);
	tcase_add_test(c, every_follow_up_is_in_the_way);
	tcase_add_test(c, each_state_of_a_safety_notice_says_what_ends_it);
	tcase_add_test(c, each_notice_and_each_exposure_is_told);
	suite_add_tcase(suite, c);
	return suite;
}
