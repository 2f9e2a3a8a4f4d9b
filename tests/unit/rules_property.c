/*
 * What must hold whatever the facts are: random facts from fixed seeds.
 */
#include "base/limits.h"
#include "draw.h"
#include "rules.h"
#include "rules/kind.h"
#include "rules/retirement.h"
#include "rules/standing.h"
#include "rules/verdict.h"

#define ROUNDS 20000

static struct arena arena;   /* the handbook's */
static struct arena scratch; /* one round's */
static const struct handbook *hb;
static uint64_t seed;

static void begin(void) {
	arena_init(&arena, LIMIT_ARENA_BYTES_MAX);
	arena_init(&scratch, LIMIT_ARENA_BYTES_MAX);
	hb = small_handbook(&arena);
	seed = 20260501;
}

static void end(void) {
	arena_clear(&scratch);
	arena_clear(&arena);
}

static int below(int limit) { return draw_below(&seed, limit); }
static bool chance(int percent) { return draw_chance(&seed, percent); }
static day some_day(void) { return on("2010-01-01") + below(6000); }
static day maybe_day(int percent) { return chance(percent) ? some_day() : DAY_NONE; }

/* Facts of any sort, also such as no department could have. */
static struct component_facts some_facts(int trouble_percent) {
	static struct open_finding fd[2];
	static struct open_follow_up fu[2];
	struct component_facts c = no_facts(hb, hb->kind[below((int)hb->kind_count)].code);
	if (chance(90)) c.made = (struct label_date){2005 + below(20), 1 + below(12), below(29)};
	c.in_service_on = maybe_day(80);
	c.life_months = chance(30) ? 1 + below(150) : 0;
	c.cbrn = chance(20);
	c.reflective = chance(40);
	c.is_issued = chance(50);
	c.is_assigned = chance(30);
	c.issued_on = maybe_day(60);
	c.last_returned_on = maybe_day(40);
	for (int k = 0; k < INSPECTION_KIND_COUNT; k++) c.inspected_on[k] = maybe_day(60);
	c.cleaned_on = maybe_day(70);
	c.cleaned_before_on =
	    c.cleaned_on != DAY_NONE && chance(60) ? c.cleaned_on - below(900) : DAY_NONE;
	c.retired_on = maybe_day(trouble_percent);
	c.retired_reason = c.withdrawn_reason = chance(trouble_percent) ? "X" : NULL;
	c.retired_ground = chance(50) ? retirement_ground_word[below(GROUND_COUNT)] : NULL;
	c.disposed_on = maybe_day(trouble_percent);
	c.training_on = maybe_day(50);
	c.soiled_return_on = maybe_day(trouble_percent);
	c.damaged_return_on = maybe_day(trouble_percent);
	static struct exposure exposed[1];
	exposed[0] = (struct exposure){1, (enum exposure_cause)below(EXPOSURE_CAUSE_COUNT),
				       some_day(), NULL};
	c.exposure = exposed;
	c.exposure_count = chance(trouble_percent);
	c.specialized_on = chance(50) ? c.cleaned_on : DAY_NONE;
	static struct open_safety_notice notice[1];
	static const enum safety_state blocking[] = {SAFETY_LEFT, SAFETY_SENT, SAFETY_OUT_OF_USE};
	notice[0] = (struct open_safety_notice){.number = "X",
						.title = "X",
						.action = (enum safety_action)below(SAFETY_INFORM),
						.hit = chance(50) ? SAFETY_HIT : SAFETY_POSSIBLE,
						.state = blocking[below(3)],
						.reason = "X",
						.asked_on = some_day()};
	c.safety_notice = notice;
	c.safety_notice_count = chance(trouble_percent);
	c.hold_incident = chance(trouble_percent) ? "X" : NULL;
	c.held_on = c.hold_incident ? some_day() : DAY_NONE;
	c.is_identified = !chance(trouble_percent);
	c.first_issued_on = c.issued_on;
	c.not_clean_on = maybe_day(trouble_percent);
	c.model_disagrees_on = maybe_day(trouble_percent);
	c.size_disagrees_on = maybe_day(trouble_percent);
	c.unfit_on = maybe_day(trouble_percent);
	c.sent_on = maybe_day(trouble_percent);
	c.back_on = maybe_day(trouble_percent);
	c.dispatch_number = c.provider_name = "X";
	if (c.retired_on != DAY_NONE) c.retired_reason = "X";
	for (int i = 0; i < 2; i++) {
		fd[i] =
		    (struct open_finding){.id = 1 + i,
					  .check_point = "label",
					  .defect = "tear",
					  .outcome = &hb->outcome[below((int)hb->outcome_count)],
					  .found_on = some_day()};
		fu[i] = (struct open_follow_up){.duty = kind_thorough_duty(c.kind),
						.due_on = some_day(),
						.reason = "Burnt above."};
	}
	c.finding = fd;
	c.finding_count = chance(trouble_percent) ? (size_t)below(3) : 0;
	c.follow_up = fu;
	c.follow_up_count = chance(trouble_percent) ? (size_t)below(3) : 0;
	return c;
}

/* DAY_NONE as a due day means owed now; not owed at all is later than any day. */
static int64_t due(const struct duty_list *list, enum duty_code duty) {
	const struct duty *d = duty_list_find(list, duty);
	return d ? d->due_on : INT64_MAX;
}

START_TEST(tighter_rule_is_never_later) {
	struct program loose, tight;
	small_program(&loose, hb, "ours", &arena);
	small_program(&tight, hb, "ours", &arena);
	for (int round = 0; round < ROUNDS; round++) {
		struct component_facts c = some_facts(10);
		for (size_t i = 0; i < loose.set->rule_count; i++) {
			loose.rule[i].first_months = 1 + below(150);
			loose.rule[i].repeat_months = 1 + below(150);
			tight.rule[i].first_months = 1 + below(loose.rule[i].first_months);
			tight.rule[i].repeat_months = 1 + below(loose.rule[i].repeat_months);
		}
		loose.end_of_month = chance(50);
		tight.end_of_month = loose.end_of_month && chance(50);
		struct duty_list before, after;
		duty_list_make(&before, &c, &loose, &scratch);
		duty_list_make(&after, &c, &tight, &scratch);
		for (int code = 0; code < DUTY_COUNT; code++)
			ck_assert_int_le(due(&after, (enum duty_code)code),
					 due(&before, (enum duty_code)code));
		arena_reset(&scratch);
	}
}
END_TEST

/* Whatever two rule sets and times: where nothing is called looser, nothing is due later. */
START_TEST(what_is_not_looser_is_never_later) {
	int compared = 0;
	for (int round = 0; round < ROUNDS; round++) {
		struct program from, to;
		size_t count;
		bool looser = false;
		small_program(&from, hb, chance(50) ? "ours" : "other", &scratch);
		small_program(&to, hb, chance(70) ? from.set->code : "ours", &scratch);
		for (size_t i = 0; i < from.set->rule_count; i++) {
			from.rule[i].first_months = below(150);
			from.rule[i].repeat_months = 1 + below(150);
		}
		for (size_t i = 0; i < to.set->rule_count; i++) {
			bool is_same = to.set == from.set && chance(60);
			int first = is_same ? from.rule[i].first_months : 1 + below(30);
			to.rule[i].first_months = first > 1 ? first - below(2) : first;
			to.rule[i].repeat_months =
			    is_same ? from.rule[i].repeat_months : 1 + below(30);
		}
		const struct program_difference *d =
		    program_differences(&from, &to, &scratch, &count);
		for (size_t i = 0; i < count; i++) looser |= d[i].effect == PROGRAM_LOOSER;
		struct component_facts c = some_facts(10), tight = c;
		if (c.life_months) tight.life_months = 1 + below(c.life_months);
		struct duty_list before, after;
		duty_list_make(&before, &c, &from, &scratch);
		duty_list_make(&after, &tight, &to, &scratch);
		for (int code = 0; !looser && code < DUTY_COUNT; code++)
			ck_assert_int_le(due(&after, (enum duty_code)code),
					 due(&before, (enum duty_code)code));
		compared += !looser;
		arena_reset(&scratch);
	}
	ck_assert_int_gt(compared, ROUNDS / 20);
}
END_TEST

START_TEST(blocked_is_never_ready) {
	struct program p;
	int ready = 0, blocked = 0;
	small_program(&p, hb, "ours", &arena);
	for (int round = 0; round < ROUNDS; round++) {
		struct component_facts c = some_facts(round % 2 ? 0 : 10);
		struct duty_list duties;
		struct standing s;
		duty_list_make(&duties, &c, &p, &scratch);
		standing_make(&s, &c, &duties, hb, &scratch);
		bool in = s.state == STATE_IN_SERVICE || s.state == STATE_IN_STORES;
		ck_assert_int_eq(in, s.blocker_count == 0);
		ck_assert_int_eq(s.ready_until != DAY_NONE, s.blocker_count == 0);
		for (size_t i = 0; i < s.blocker_count; i++)
			ck_assert_ptr_nonnull(s.blocker[i].text);
		for (size_t i = 0; in && i < duties.count; i++)
			if (duties.duty[i].bears_on_readiness)
				ck_assert_int_le(s.ready_until, duties.duty[i].due_on);
		ready += in;
		blocked += !in;
		arena_reset(&scratch);
	}
	/* Both sorts did occur, or the rounds showed nothing. */
	ck_assert_int_gt(ready, ROUNDS / 10);
	ck_assert_int_gt(blocked, ROUNDS / 10);
}
END_TEST

/* Whatever comes after it: nothing makes retired gear ready, and only clean, sound and marked gear
 * serves for training. */
START_TEST(retired_is_never_ready) {
	struct program p;
	int training = 0, soiled = 0;
	small_program(&p, hb, "ours", &arena);
	for (int round = 0; round < ROUNDS; round++) {
		struct component_facts c = some_facts(round % 2 ? 2 : 20);
		struct blocker obstacle[20];
		struct duty_list duties;
		struct standing s;
		if (c.retired_on == DAY_NONE) c.retired_on = some_day();
		duty_list_make(&duties, &c, &p, &scratch);
		standing_make(&s, &c, &duties, hb, &scratch);
		size_t count =
		    training_obstacles(&c, s.blocker, s.blocker_count, obstacle, &scratch);
		bool serves = s.state == STATE_TRAINING_ONLY;
		ck_assert(serves || s.state == STATE_RETIRED);
		ck_assert_int_eq(s.ready_until, DAY_NONE);
		ck_assert_uint_eq(duties.count, 0);
		ck_assert_int_eq(serves, c.training_on != DAY_NONE && count == 0);
		ck_assert(!serves || c.disposed_on == DAY_NONE);
		training += serves;
		soiled += !serves && c.training_on != DAY_NONE;
		arena_reset(&scratch);
	}
	ck_assert_int_gt(training, ROUNDS / 20);
	ck_assert_int_gt(soiled, ROUNDS / 20);
}
END_TEST

START_TEST(unanswered_never_returns_to_service) {
	int finished = 0, unfinished = 0;
	for (int round = 0; round < ROUNDS; round++) {
		enum answer answer[7];
		struct part_record part = {
		    .subject = {.kind = &hb->kind[0],
				.trim = chance(50),
				.reflective = chance(50),
				.inspection = (enum inspection_kind)below(INSPECTION_KIND_COUNT)},
		    .checklist = handbook_checklist(hb, 2),
		    .clean = chance(95) ? AGREES_YES : AGREES_UNANSWERED,
		    .model_agrees = chance(95) ? AGREES_YES : AGREES_UNANSWERED,
		    .size_agrees = chance(95) ? AGREES_YES : AGREES_NO,
		    .answer = answer};
		bool lacking = false;
		for (size_t i = 0; i < part.checklist->point_count; i++) {
			answer[i] = chance(90) ? ANSWER_SOUND : ANSWER_NONE;
			lacking =
			    lacking || (answer[i] == ANSWER_NONE &&
					point_is_asked(&part.checklist->point[i], &part.subject));
		}
		struct verdict v;
		verdict_make(&v, &part, hb, &scratch);
		bool returns = v.conclusion == CONCLUSION_RETURN_TO_SERVICE;
		ck_assert(!lacking || v.conclusion == CONCLUSION_NOT_FINISHED);
		ck_assert(!returns || (v.unanswered_count == 0 && v.blocker_count == 0));
		finished += returns;
		unfinished += lacking;
		arena_reset(&scratch);
	}
	ck_assert_int_gt(finished, ROUNDS / 10);
	ck_assert_int_gt(unfinished, ROUNDS / 10);
}
END_TEST

/* --- what was concluded and where it stands then -------------------------------------- */

static void answer_label(enum agreement answer, day *disagrees_on, day today) {
	if (answer == AGREES_YES) *disagrees_on = DAY_NONE;
	if (answer == AGREES_NO) *disagrees_on = today;
}

/* What a signature makes of the facts. */
static void sign(struct component_facts *c, const struct part_record *part,
		 const struct verdict *v) {
	static struct open_finding left[4];
	const struct part_subject *s = &part->subject;
	size_t count = 0;
	bool is_done = v->conclusion != CONCLUSION_CLEAN_FIRST;
	if (part_asks_clean(s)) answer_label(part->clean, &c->not_clean_on, part->on);
	if (part_asks_labels(hb, s)) {
		answer_label(part->model_agrees, &c->model_disagrees_on, part->on);
		answer_label(part->size_agrees, &c->size_disagrees_on, part->on);
	}
	for (size_t i = 0; i < c->finding_count; i++)
		if (!verdict_mends(part, &c->finding[i])) left[count++] = c->finding[i];
	for (size_t i = 0; i < part->finding_count; i++)
		left[count++] = (struct open_finding){
		    .check_point = part->finding[i].check_point,
		    .defect = part->finding[i].defect,
		    .outcome = handbook_outcome(hb, part->finding[i].outcome)};
	c->finding = left;
	c->finding_count = count;
	if (!is_done) return;
	c->inspected_on[s->inspection] = part->on;
	if (s->inspection != INSPECTION_ROUTINE) c->unfit_on = DAY_NONE;
	if (duty_done_by(DUTY_RETURN_INSPECTION, s->inspection)) c->back_on = DAY_NONE;
	if (duty_done_by(kind_thorough_duty(s->kind), s->inspection)) c->follow_up_count = 0;
}

START_TEST(conclusion_and_standing_agree) {
	static const enum agreement some[] = {AGREES_YES, AGREES_YES, AGREES_NO,
					      AGREES_NOT_APPLICABLE};
	const struct finding fd = {.id = 9,
				   .check_point = "seam",
				   .defect = "stitches_broken",
				   .severity = "major",
				   .outcome = "repair"};
	struct program p;
	int returned = 0, held = 0, dirty = 0;
	small_program(&p, hb, "ours", &arena);
	for (int round = 0; round < ROUNDS; round++) {
		struct component_facts c = some_facts(5);
		struct duty_list duties;
		struct standing before, after;
		enum answer answer[7];
		struct verdict v;
		c.kind = handbook_kind(hb, "coat_shell");
		if (c.in_service_on == DAY_NONE)
			c.in_service_on = some_day(); /* duties are dated */
		for (size_t i = 0; i < c.finding_count; i++) {
			struct open_finding *open = (struct open_finding *)(uintptr_t)&c.finding[i];
			open->check_point = chance(50) ? "seam" : "tab";
			open->came_back_on = maybe_day(50);
		}
		duty_list_make(&duties, &c, &p, &scratch);
		standing_make(&before, &c, &duties, hb, &scratch);
		struct part_record part = {
		    .subject = {.kind = c.kind,
				.trim = chance(50),
				.reflective = chance(50),
				.inspection = (enum inspection_kind)below(INSPECTION_KIND_COUNT),
				.open = c.finding,
				.open_count = c.finding_count},
		    .checklist = handbook_checklist(hb, 2),
		    .clean = chance(90) ? AGREES_YES : AGREES_NO,
		    .model_agrees = some[below(4)],
		    .size_agrees = some[below(4)],
		    .answer = answer,
		    .finding = &fd,
		    .finding_count = chance(20),
		    .before = &before,
		    .on = on("2026-05-01")};
		for (size_t i = 0; i < 7; i++) answer[i] = ANSWER_SOUND;
		if (part.finding_count) answer[3] = ANSWER_FINDING;
		verdict_make(&v, &part, hb, &scratch);
		ck_assert_uint_eq(v.unanswered_count, 0);
		sign(&c, &part, &v);
		duty_list_make(&duties, &c, &p, &scratch);
		standing_make(&after, &c, &duties, hb, &scratch);
		bool returns = v.conclusion == CONCLUSION_RETURN_TO_SERVICE;
		ck_assert_int_eq(returns, after.blocker_count == 0);
		ck_assert_int_eq(returns, v.blocker_count == 0);
		returned += returns;
		held += !returns;
		dirty += v.conclusion == CONCLUSION_CLEAN_FIRST;
		arena_reset(&scratch);
	}
	ck_assert_int_gt(returned, ROUNDS / 10);
	ck_assert_int_gt(held, ROUNDS / 10);
	ck_assert_int_gt(dirty, ROUNDS / 50);
}
END_TEST

Suite *rules_property_suite(void) {
	Suite *s = suite_create("rules: properties");
	TCase *c = tcase_create("properties");
	tcase_set_timeout(c, 60);
	tcase_set_tags(c, "long");
	tcase_add_checked_fixture(c, begin, end);
	tcase_add_test(c, tighter_rule_is_never_later);
	tcase_add_test(c, what_is_not_looser_is_never_later);
	tcase_add_test(c, blocked_is_never_ready);
	tcase_add_test(c, retired_is_never_ready);
	tcase_add_test(c, unanswered_never_returns_to_service);
	tcase_add_test(c, conclusion_and_standing_agree);
	suite_add_tcase(s, c);
	return s;
}
