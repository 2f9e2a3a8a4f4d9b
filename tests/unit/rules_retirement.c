#include "base/limits.h"
#include "rules.h"
#include "rules/retirement.h"

static struct arena arena;
static const struct handbook *hb;
static struct program p;
static struct blocker obstacle[40];

static void begin(void) {
	arena_init(&arena, LIMIT_ARENA_BYTES_MAX);
	hb = small_handbook(&arena);
	small_program(&p, hb, "ours", &arena);
}

static void end(void) { arena_clear(&arena); }

/* Retired by age, as sound as it was. */
static struct component_facts retired(void) {
	struct component_facts c = no_facts(hb, "coat_shell");
	label_date_parse("2015-05", &c.made);
	c.in_service_on = on("2015-06-01");
	c.retired_on = on("2025-05-01");
	c.retired_ground = "age";
	c.retired_reason = "";
	return c;
}

static struct standing stand(const struct component_facts *c) {
	struct duty_list duties;
	struct standing s;
	duty_list_make(&duties, c, &p, &arena);
	standing_make(&s, c, &duties, hb, &arena);
	return s;
}

static size_t weigh(const struct component_facts *c) {
	struct standing s = stand(c);
	return training_obstacles(c, s.blocker, s.blocker_count, obstacle, &arena);
}

/* Exactly this is in the way, saying this. */
static void only(const struct component_facts *c, const char *code, const char *text) {
	ck_assert_uint_eq(weigh(c), 1);
	ck_assert_str_eq(obstacle[0].code, code);
	ck_assert_msg(strstr(obstacle[0].text, text), "\"%s\" lacks \"%s\"", obstacle[0].text,
		      text);
}

/* --- words --- */

static const struct {
	const char *ground, *words, *text;
} grounds[] = {
    {"age", NULL, "Age limit reached"},
    {"age", "", "Age limit reached"},
    {"lost", "at the harbour fire", "Lost: at the harbour fire"},
    {NULL, "worn through", "worn through"},
    {"nothing_of_ours", "worn through", "worn through"},
    {NULL, NULL, NULL},
};

START_TEST(ground_and_words_are_one_line) {
	ck_assert_pstr_eq(retirement_text(grounds[_i].ground, grounds[_i].words, &arena),
			  grounds[_i].text);
}
END_TEST

START_TEST(way_and_words_are_one_line) {
	for (int w = 0; w < DISPOSAL_COUNT; w++)
		ck_assert_str_eq(disposal_text(disposal_way_word[w], "here", &arena),
				 arena_printf(&arena, "%s: here", disposal_way_label[w]));
	ck_assert_str_eq(disposal_text("evidence", "State fire marshal", &arena),
			 "Handed over as evidence: State fire marshal");
	ck_assert_str_eq(disposal_text("destroyed", "", &arena), disposal_way_label[0]);
	ck_assert_str_eq(disposal_text(NULL, "cut up at the yard", &arena), "cut up at the yard");
	ck_assert_ptr_null(disposal_text(NULL, NULL, &arena));
}
END_TEST

START_TEST(words_are_asked_where_the_code_does_not_say_it) {
	for (int g = 0; g < GROUND_COUNT; g++)
		ck_assert_int_eq(retirement_needs_words((enum retirement_ground)g),
				 g == GROUND_UNSAFE || g == GROUND_OTHER);
	for (int w = 0; w < DISPOSAL_COUNT; w++)
		ck_assert_int_eq(disposal_needs_words((enum disposal_way)w), w == DISPOSAL_OTHER);
}
END_TEST

/* --- training --- */

START_TEST(no_live_fire) {
	ck_assert_ptr_null(training_refusal(TRAINING_WITHOUT_FIRE));
	ck_assert_ptr_nonnull(strstr(training_refusal(TRAINING_LIVE_FIRE), "live fire"));
}
END_TEST

START_TEST(clean_and_sound) {
	struct component_facts c = retired();
	ck_assert_uint_eq(weigh(&c), 0);
	/* What nobody asks of training gear any more. */
	c.made = (struct label_date){0};
	c.is_identified = false;
	c.model_disagrees_on = c.size_disagrees_on = on("2025-04-01");
	ck_assert_uint_eq(weigh(&c), 0);
	/* An old record says why in words only: those are for people to read. */
	c.retired_ground = NULL;
	c.retired_reason = "Ten years old.";
	ck_assert_uint_eq(weigh(&c), 0);
}
END_TEST

static const struct {
	const char *ground;
	bool may;
} training_grounds[] = {
    {"age", true},         {"maker_limit", true},   {"beyond_repair", false},
    {"uneconomic", false}, {"contaminated", false}, {"not_certified", true},
    {"recall", false},     {"unsafe", false},       {"lost", false},
    {"replaced", false},   {"other", true},
};
_Static_assert(sizeof training_grounds / sizeof *training_grounds == GROUND_COUNT,
	       "every ground is here");

START_TEST(ground_decides) {
	struct component_facts c = retired();
	ck_assert_str_eq(retirement_ground_word[_i], training_grounds[_i].ground);
	c.retired_ground = training_grounds[_i].ground;
	if (training_grounds[_i].may) ck_assert_uint_eq(weigh(&c), 0);
	else only(&c, "ground", retirement_ground_label[_i]);
}
END_TEST

START_TEST(what_serves_or_is_gone) {
	struct component_facts c = retired();
	c.disposed_on = on("2025-06-01");
	only(&c, "disposed", "disposed of on 2025-06-01");
	c = retired();
	c.retired_on = DAY_NONE;
	c.retired_ground = NULL;
	only(&c, "not_retired", "not retired");
}
END_TEST

START_TEST(dirt) {
	const struct exposure smoke = {1, EXPOSURE_COMBUSTION, on("2025-04-01"), NULL};
	struct component_facts c = retired();
	c.exposure = &smoke;
	c.exposure_count = 1;
	only(&c, "contaminated", "products of combustion on 2025-04-01");
	c.cleaned_on = on("2025-05-02");
	ck_assert_uint_eq(weigh(&c), 0);
	/* Found not clean: no inspection of retired gear ends that, a later cleaning does. */
	c = retired();
	c.not_clean_on = c.cleaned_on = on("2025-04-01");
	only(&c, "not_clean", "Not clean, or waiting for cleaning, when inspected on 2025-04-01");
	c.cleaned_on++;
	ck_assert_uint_eq(weigh(&c), 0);
	c = retired();
	c.soiled_return_on = on("2025-04-01");
	only(&c, "came_back_soiled", "soiled on 2025-04-01");
	c.cleaned_on = on("2025-04-01");
	ck_assert_uint_eq(weigh(&c), 0);
}
END_TEST

START_TEST(damage) {
	const struct open_finding fd = {
	    .id = 7, .defect = "tear", .outcome = handbook_outcome(hb, "repair"), .found_on = 0};
	struct component_facts c = retired();
	c.finding = &fd;
	c.finding_count = 1;
	only(&c, "finding", "Rip, tear or cut");
	ck_assert_int_eq(obstacle[0].finding, 7);
	c = retired();
	c.damaged_return_on = on("2025-04-01");
	only(&c, "came_back_damaged", "damaged on 2025-04-01");
	c.inspected_on[INSPECTION_ADVANCED] = on("2025-04-01");
	ck_assert_uint_eq(weigh(&c), 0);
	c.inspected_on[INSPECTION_ADVANCED] = DAY_NONE;
	c.inspected_on[INSPECTION_LINER] = on("2025-04-01"); /* asks all of it */
	ck_assert_uint_eq(weigh(&c), 0);
	c = retired();
	c.unfit_on = on("2025-04-01");
	only(&c, "unfit", "Concluded unfit");
}
END_TEST

START_TEST(everything_in_the_way_is_named) {
	const struct open_finding fd = {
	    .id = 7, .defect = "tear", .outcome = handbook_outcome(hb, "repair"), .found_on = 0};
	static const char *const expected[] = {"disposed",         "special_incident_hold",
					       "at_provider",      "return_inspection",
					       "withdrawn",        "finding",
					       "not_clean",        "unfit",
					       "ground",           "came_back_soiled",
					       "came_back_damaged"};
	struct component_facts c = retired();
	c.hold_incident = c.withdrawn_reason = c.provider_name = c.dispatch_number = "X";
	c.held_on = c.sent_on = c.back_on = c.not_clean_on = c.unfit_on = on("2025-04-01");
	c.soiled_return_on = c.damaged_return_on = c.disposed_on = on("2025-04-01");
	c.retired_ground = "recall";
	c.finding = &fd;
	c.finding_count = 1;
	ck_assert_uint_eq(weigh(&c), sizeof expected / sizeof *expected);
	for (size_t i = 0; i < sizeof expected / sizeof *expected; i++)
		ck_assert_str_eq(obstacle[i].code, expected[i]);
}
END_TEST

/* --- where it stands --- */

START_TEST(marked_gear_is_for_training_only) {
	const struct exposure smoke = {1, EXPOSURE_COMBUSTION, on("2025-07-01"), NULL};
	struct component_facts c = retired();
	struct standing s = stand(&c);
	ck_assert_int_eq(s.state, STATE_RETIRED);
	ck_assert_str_eq(s.blocker[0].text, "Retired on 2025-05-01: Age limit reached");
	c.training_on = on("2025-06-01");
	s = stand(&c);
	ck_assert_int_eq(s.state, STATE_TRAINING_ONLY);
	ck_assert_int_eq(s.ready_until, DAY_NONE);
	ck_assert_ptr_nonnull(strstr(s.blocker[0].text, "without live fire on 2025-06-01: Age"));
	/* What comes later ends it. */
	c.exposure = &smoke;
	c.exposure_count = 1;
	ck_assert_int_eq(stand(&c).state, STATE_RETIRED);
	c.exposure_count = 0;
	c.disposed_on = on("2025-08-01");
	ck_assert_int_eq(stand(&c).state, STATE_RETIRED);
	/* Marked by a slip of a table: what is not retired is no training gear. */
	c = retired();
	c.retired_on = DAY_NONE;
	c.training_on = on("2025-06-01");
	ck_assert_int_eq(stand(&c).state, STATE_IN_STORES);
}
END_TEST

/* Short of memory it is retired, and nothing else that may be used. */
START_TEST(without_memory_it_serves_nobody) {
	struct component_facts c = retired();
	int marked = 0, refused = 0;
	c.training_on = on("2025-06-01");
	for (size_t bytes = 1; marked < 10; bytes += 16) {
		struct arena little;
		struct duty_list none = {.count = 0};
		struct standing s;
		arena_init(&little, bytes);
		standing_make(&s, &c, &none, hb, &little);
		if (!arena_failed(&little)) ck_assert_int_eq(s.state, STATE_TRAINING_ONLY);
		else if (s.blocker)
			ck_assert(s.state == STATE_RETIRED || s.state == STATE_TRAINING_ONLY);
		marked += s.state == STATE_TRAINING_ONLY;
		refused += s.state == STATE_RETIRED;
		arena_clear(&little);
	}
	ck_assert_int_eq(marked, 10);
	ck_assert_int_gt(refused, 0);
}
END_TEST

Suite *rules_retirement_suite(void) {
	Suite *s = suite_create("rules/retirement");
	TCase *c = tcase_create("retirement");
	tcase_add_checked_fixture(c, begin, end);
	tcase_add_loop_test(c, ground_and_words_are_one_line, 0, sizeof grounds / sizeof *grounds);
	tcase_add_test(c, way_and_words_are_one_line);
	tcase_add_test(c, words_are_asked_where_the_code_does_not_say_it);
	tcase_add_test(c, no_live_fire);
	tcase_add_test(c, clean_and_sound);
	tcase_add_loop_test(c, ground_decides, 0, GROUND_COUNT);
	tcase_add_test(c, what_serves_or_is_gone);
	tcase_add_test(c, dirt);
	tcase_add_test(c, damage);
	tcase_add_test(c, everything_in_the_way_is_named);
	tcase_add_test(c, marked_gear_is_for_training_only);
	tcase_add_test(c, without_memory_it_serves_nobody);
	suite_add_tcase(s, c);
	return s;
}
