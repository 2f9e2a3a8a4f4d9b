#include "base/limits.h"
#include "rules.h"
#include "rules/verdict.h"

static struct arena arena;
static const struct handbook *hb;
static struct part_record part;
static struct verdict v;
/* label, fabric, aluminized, seam, trim, tab, inner */
static enum answer answer[7];

static void begin(void) {
	arena_init(&arena, LIMIT_ARENA_BYTES_MAX);
	hb = small_handbook(&arena);
	for (int i = 0; i < 7; i++) answer[i] = ANSWER_SOUND;
	part = (struct part_record){.subject = {.kind = handbook_kind(hb, "coat_shell"),
						.trim = true,
						.reflective = true,
						.inspection = INSPECTION_ADVANCED},
				    .checklist = handbook_checklist(hb, 2),
				    .clean = AGREES_YES,
				    .model_agrees = AGREES_YES,
				    .size_agrees = AGREES_YES,
				    .answer = answer};
}

static void end(void) { arena_clear(&arena); }

static void judge(void) { verdict_make(&v, &part, hb, &arena); }

static void conclude(enum conclusion expected) {
	judge();
	ck_assert_str_eq(conclusion_word[v.conclusion], conclusion_word[expected]);
	/* Only what is about a finding names one. */
	for (size_t i = 0; i < v.blocker_count; i++)
		if (!strstr(v.blocker[i].code, "finding"))
			ck_assert_int_eq(v.blocker[i].finding, 0);
}

static const char *lacks(size_t i) {
	ck_assert_uint_lt(i, v.unanswered_count);
	return v.unanswered[i].code;
}

static struct finding found(const char *check_point, const char *defect, const char *outcome) {
	return (struct finding){.id = 5,
				.check_point = check_point,
				.defect = defect,
				.severity = "major",
				.outcome = outcome};
}

/* --- what is asked ------------------------------------------------------------ */

static const struct {
	const char *point;
	bool trim, reflective;
	enum inspection_kind inspection;
	bool asked;
} asking[] = {
    {"label", false, false, INSPECTION_ROUTINE, true},
    {"fabric", false, false, INSPECTION_ADVANCED, true},
    {"fabric", false, true, INSPECTION_ADVANCED, false},
    {"aluminized", false, true, INSPECTION_ADVANCED, true},
    {"aluminized", false, false, INSPECTION_ADVANCED, false},
    {"fabric", false, false, INSPECTION_ROUTINE, false},
    {"trim", true, false, INSPECTION_ADVANCED, true},
    {"trim", false, false, INSPECTION_ADVANCED, false},
    {"inner", false, false, INSPECTION_ADVANCED, false},
    {"inner", false, false, INSPECTION_LINER, true},
    {"seam", false, false, INSPECTION_RETURN, true}, /* was found faulty before */
    {"tab", false, false, INSPECTION_RETURN, false},
    {"seam", false, false, INSPECTION_ROUTINE, false},
    {"label", false, false, INSPECTION_RETURN, true},
};

START_TEST(asks_what_applies) {
	const struct open_finding open[] = {{.check_point = "label"}, {.check_point = "seam"}};
	const struct part_subject s = {.kind = part.subject.kind,
				       .trim = asking[_i].trim,
				       .reflective = asking[_i].reflective,
				       .inspection = asking[_i].inspection,
				       .open = open,
				       .open_count = 2};
	const struct check_point *point = checklist_point(part.checklist, asking[_i].point);
	ck_assert_int_eq(point_is_asked(point, &s), asking[_i].asked);
}
END_TEST

START_TEST(asks_before_the_points) {
	struct part_subject s = part.subject;
	ck_assert(part_asks_clean(&s));
	ck_assert(part_asks_labels(hb, &s));
	s.kind = handbook_kind(hb, "drd");
	ck_assert(part_asks_labels(hb, &s));
	s.kind = handbook_kind(hb, "hood");
	ck_assert(!part_asks_labels(hb, &s));
	s.inspection = INSPECTION_ROUTINE;
	ck_assert(!part_asks_clean(&s));
	s.kind = part.subject.kind;
	ck_assert(!part_asks_labels(hb, &s));
}
END_TEST

/* --- conclusions ---------------------------------------------------------------- */

START_TEST(everything_sound) {
	conclude(CONCLUSION_RETURN_TO_SERVICE);
	ck_assert_uint_eq(v.blocker_count + v.unanswered_count + v.follow_up_count, 0);
}
END_TEST

START_TEST(unanswered_is_not_finished) {
	answer[3] = ANSWER_NONE;
	conclude(CONCLUSION_NOT_FINISHED);
	ck_assert_uint_eq(v.unanswered_count, 1);
	ck_assert_str_eq(lacks(0), "seam");
	ck_assert_str_eq(v.unanswered[0].point->title, "Seams");
	answer[3] = ANSWER_SOUND;
	answer[1] = ANSWER_NONE; /* not asked of a reflective shell */
	answer[6] = ANSWER_NONE; /* asked only of an opened liner */
	conclude(CONCLUSION_RETURN_TO_SERVICE);
}
END_TEST

START_TEST(questions_before_are_answers_too) {
	part.clean = part.model_agrees = part.size_agrees = AGREES_UNANSWERED;
	conclude(CONCLUSION_NOT_FINISHED);
	ck_assert_uint_eq(v.unanswered_count, 3);
	ck_assert_str_eq(lacks(0), "clean");
	ck_assert_str_eq(lacks(1), "model_agrees");
	ck_assert_str_eq(lacks(2), "size_agrees");
	ck_assert_ptr_null(v.unanswered[0].point);
	part.subject.inspection = INSPECTION_ROUTINE; /* asks none of them */
	conclude(CONCLUSION_RETURN_TO_SERVICE);
	part.clean = AGREES_NO;
	part.model_agrees = part.size_agrees = AGREES_NO;
	conclude(CONCLUSION_RETURN_TO_SERVICE);
}
END_TEST

START_TEST(not_applicable_only_where_it_can_be) {
	answer[5] = ANSWER_NOT_APPLICABLE;
	conclude(CONCLUSION_RETURN_TO_SERVICE);
	answer[0] = ANSWER_NOT_APPLICABLE;
	conclude(CONCLUSION_NOT_FINISHED);
	ck_assert_str_eq(lacks(0), "label");
}
END_TEST

START_TEST(answer_and_finding_must_agree) {
	answer[3] = ANSWER_FINDING;
	conclude(CONCLUSION_NOT_FINISHED);
	ck_assert_str_eq(v.unanswered[0].text, "Write down what was found.");
	const struct finding fd[] = {found("seam", "stitches_broken", "repair"),
				     found("tab", "tear", "repair")};
	part.finding = fd;
	part.finding_count = 1;
	conclude(CONCLUSION_OUT_OF_SERVICE);
	answer[3] = ANSWER_SOUND;
	conclude(CONCLUSION_NOT_FINISHED);
	ck_assert_ptr_nonnull(strstr(v.unanswered[0].text, "Answered sound"));
	part.finding_count = 2;
	answer[3] = ANSWER_FINDING;
	answer[5] = ANSWER_NOT_APPLICABLE;
	conclude(CONCLUSION_NOT_FINISHED);
	ck_assert_ptr_nonnull(strstr(v.unanswered[0].text, "Answered not applicable"));
}
END_TEST

START_TEST(dirt_comes_first) {
	part.clean = AGREES_NO;
	part.model_agrees = part.size_agrees = AGREES_UNANSWERED;
	for (int i = 0; i < 7; i++) answer[i] = ANSWER_NONE;
	conclude(CONCLUSION_CLEAN_FIRST);
	ck_assert_str_eq(v.blocker[0].code, "not_clean");
	ck_assert_uint_eq(v.unanswered_count, 0); /* nothing more is asked */
	const struct finding fd = found("seam", "stitches_broken", "repair");
	part.finding = &fd; /* written down before the dirt was seen */
	part.finding_count = 1;
	conclude(CONCLUSION_CLEAN_FIRST);
	ck_assert_uint_eq(v.blocker_count, 2);
	ck_assert_uint_eq(v.unanswered_count, 0);
}
END_TEST

START_TEST(dirt_lets_nothing_be_settled) {
	static const char *const code[] = {"return_inspection", "thorough_inspection", "unfit"};
	const struct open_finding open = {.id = 1,
					  .check_point = "seam",
					  .outcome = handbook_outcome(hb, "repair"),
					  .came_back_on = 20000};
	part.subject.open = &open;
	part.subject.open_count = 1;
	part.subject.inspection = INSPECTION_RETURN;
	part.on = 20000;
	ck_assert(verdict_mends(&part, &open));
	answer[3] = ANSWER_NONE;
	ck_assert(verdict_can_mend(&part, &open) && !verdict_mends(&part, &open));
	answer[3] = ANSWER_SOUND;
	part.clean = AGREES_NO;
	ck_assert(!verdict_mends(&part, &open));
	ck_assert(!verdict_can_mend(&part, &open));
	for (size_t i = 0; i < 3; i++) {
		const struct blocker b = {.code = code[i], .text = "From before."};
		const struct standing before = {.blocker = &b, .blocker_count = 1};
		part.before = &before;
		conclude(CONCLUSION_CLEAN_FIRST);
		ck_assert_uint_eq(v.blocker_count, 2);
	}
}
END_TEST

START_TEST(dirt_ends_with_an_answer) {
	const struct blocker b = {.code = "not_clean", .text = "From before."};
	const struct standing before = {.blocker = &b, .blocker_count = 1};
	part.before = &before;
	part.clean = AGREES_UNANSWERED;
	judge();
	ck_assert_uint_eq(v.blocker_count, 1);
	part.clean = AGREES_YES;
	judge();
	ck_assert_uint_eq(v.blocker_count, 0);
}
END_TEST

/* Whatever is answered: it speaks of the part as it was before it went away. */
START_TEST(what_left_meanwhile_is_not_finished) {
	ck_assert(!part_is_away(&part));
	part.has_left = true;
	ck_assert(part_is_away(&part));
	conclude(CONCLUSION_NOT_FINISHED);
	ck_assert_uint_eq(v.blocker_count, 1);
	ck_assert_str_eq(v.blocker[0].code, "left_meanwhile");
}
END_TEST

START_TEST(hold_about_something_else_stays) {
	const struct blocker b = {.code = "labels_disagree", .text = "HOLD.", .question = "other"};
	const struct standing before = {.blocker = &b, .blocker_count = 1};
	part.before = &before;
	conclude(CONCLUSION_OUT_OF_SERVICE);
}
END_TEST

START_TEST(hold_ends_with_a_yes_to_its_own_question) {
	const struct blocker b = {
	    .code = "labels_disagree", .text = "HOLD.", .question = "model_agrees"};
	const struct standing before = {.blocker = &b, .blocker_count = 1};
	part.before = &before;
	part.size_agrees = AGREES_NOT_APPLICABLE;
	conclude(CONCLUSION_RETURN_TO_SERVICE);
	part.size_agrees = AGREES_YES;
	part.model_agrees = AGREES_NOT_APPLICABLE;
	conclude(CONCLUSION_OUT_OF_SERVICE);
	ck_assert_uint_eq(v.blocker_count, 1);
	part.model_agrees = AGREES_NO; /* said afresh, not twice */
	conclude(CONCLUSION_OUT_OF_SERVICE);
	ck_assert_uint_eq(v.blocker_count, 1);
}
END_TEST

START_TEST(labels_that_disagree_hold) {
	part.model_agrees = AGREES_NO;
	conclude(CONCLUSION_OUT_OF_SERVICE);
	ck_assert_uint_eq(v.blocker_count, 1);
	ck_assert_ptr_nonnull(strstr(v.blocker[0].text, "model: HOLD"));
	part.size_agrees = AGREES_NO;
	part.model_agrees = AGREES_NOT_APPLICABLE;
	conclude(CONCLUSION_OUT_OF_SERVICE);
	ck_assert_uint_eq(v.blocker_count, 1);
	ck_assert_ptr_nonnull(strstr(v.blocker[0].text, "size: HOLD"));
}
END_TEST

START_TEST(finding_blocks_and_is_named) {
	struct finding fd = found("seam", "stitches_broken", "repair");
	fd.zone = "sleeve";
	fd.place = "outer seam";
	part.finding = &fd;
	part.finding_count = 1;
	answer[3] = ANSWER_FINDING;
	conclude(CONCLUSION_OUT_OF_SERVICE);
	ck_assert_uint_eq(v.blocker_count, 1);
	ck_assert_int_eq(v.blocker[0].finding, 5);
	ck_assert_str_eq(v.blocker[0].text, "Seams: Stitches broken, Sleeve, outer seam. Repair.");
	fd.zone = fd.place = NULL;
	judge();
	ck_assert_str_eq(v.blocker[0].text, "Seams: Stitches broken. Repair.");
}
END_TEST

START_TEST(accepted_finding_does_not_block) {
	const struct finding fd = found("tab", "tear", "serve_on");
	part.finding = &fd;
	part.finding_count = 1;
	answer[5] = ANSWER_FINDING;
	conclude(CONCLUSION_RETURN_TO_SERVICE);
	ck_assert_uint_eq(v.blocker_count, 0);
}
END_TEST

START_TEST(one_retirement_retires) {
	const struct finding fd[] = {found("tab", "tear", "retire"),
				     found("seam", "stitches_broken", "repair")};
	part.finding = fd;
	part.finding_count = 2;
	answer[3] = answer[5] = ANSWER_FINDING;
	conclude(CONCLUSION_RETIRE);
	ck_assert_uint_eq(v.blocker_count, 2);
	ck_assert_str_eq(v.blocker[0].code, "retire_finding");
	ck_assert_str_eq(v.blocker[1].code, "finding");
	const struct blocker b = {.code = "withdrawn", .text = "From before."};
	const struct standing before = {.blocker = &b, .blocker_count = 1};
	part.before = &before;
	conclude(CONCLUSION_RETIRE);
	ck_assert_uint_eq(v.blocker_count, 3);
}
END_TEST

START_TEST(unknown_finding_is_never_let_through) {
	const struct finding fd[] = {found("tail", "tear", "serve_on"),
				     found("tab", "tail", "serve_on"),
				     found("tab", "tear", "tail")};
	part.finding = fd;
	part.finding_count = 3;
	answer[5] = ANSWER_FINDING;
	conclude(CONCLUSION_OUT_OF_SERVICE);
	ck_assert_uint_eq(v.blocker_count, 3);
}
END_TEST

START_TEST(burnt_fabric_makes_layers_beneath_due) {
	const struct finding fd[] = {found("aluminized", "burnt", "repair"),
				     found("tab", "tear", "serve_on")};
	part.finding = fd;
	part.finding_count = 2;
	answer[2] = answer[5] = ANSWER_FINDING;
	conclude(CONCLUSION_OUT_OF_SERVICE);
	ck_assert_uint_eq(v.follow_up_count, 2);
	ck_assert_str_eq(v.follow_up[0].kind->code, "coat_liner");
	ck_assert_int_eq(v.follow_up[0].duty, DUTY_LINER_INSPECTION);
	ck_assert_ptr_eq(v.follow_up[0].finding, &fd[0]);
	ck_assert_ptr_nonnull(strstr(v.follow_up[0].reason, "Coat shell above it: Burnt."));
	ck_assert_str_eq(v.follow_up[1].kind->code, "drd");
	ck_assert_int_eq(v.follow_up[1].duty, DUTY_ADVANCED_INSPECTION);
}
END_TEST

START_TEST(what_lies_beneath_damage_stays_out) {
	const struct follow_up burnt = {.reason = "Coat shell above it: Burnt."};
	conclude(CONCLUSION_RETURN_TO_SERVICE);
	verdict_lies_beneath(&v, &burnt, "CS-1", &arena);
	ck_assert_int_eq(v.conclusion, CONCLUSION_OUT_OF_SERVICE);
	ck_assert_uint_eq(v.blocker_count, 1);
	ck_assert_str_eq(v.blocker[0].code, "thorough_inspection");
	ck_assert_str_eq(v.blocker[0].text, "Coat shell above it: Burnt. (CS-1)");
	part.clean = AGREES_NO; /* what comes first stays first */
	conclude(CONCLUSION_CLEAN_FIRST);
	verdict_lies_beneath(&v, &burnt, "CS-1", &arena);
	ck_assert_int_eq(v.conclusion, CONCLUSION_CLEAN_FIRST);
	ck_assert_uint_eq(v.blocker_count, 2);
}
END_TEST

/* --- what stood before ------------------------------------------------------------ */

/* Not lifted by any inspection, lifted by each kind of inspection (routine ... return). */
static const struct {
	const char *code;
	bool lifted[INSPECTION_KIND_COUNT];
} befores[] = {
    {"retired", {false, false, false, false}},
    {"at_provider", {false, false, false, false}},
    {"withdrawn", {false, false, false, false}},
    {"special_incident_hold", {false, false, false, false}},
    {"unknown_made", {false, false, false, false}},
    {"unknown_in_service", {false, false, false, false}},
    {"unknown_label", {false, false, false, false}},
    {"retire_finding", {false, false, false, false}},
    {"finding", {false, false, false, false}}, /* one that is not open here */
    {"return_inspection", {false, false, false, true}},
    {"thorough_inspection", {false, true, true, false}},
    {"not_clean", {false, true, true, true}},
    {"labels_disagree", {false, true, true, true}},
    {"unfit", {false, true, true, true}},
    {"came_back_damaged", {false, true, true, false}},
};

START_TEST(keeps_what_it_does_not_lift) {
	const struct blocker b = {.code = befores[_i].code,
				  .text = "From before.",
				  .finding = 99,
				  .question = "size_agrees"};
	const struct standing before = {.blocker = &b, .blocker_count = 1};
	part.before = &before;
	for (int k = 0; k < INSPECTION_KIND_COUNT; k++) {
		part.subject.inspection = (enum inspection_kind)k;
		judge();
		ck_assert_uint_eq(v.blocker_count, !befores[_i].lifted[k]);
		ck_assert_int_eq(v.conclusion == CONCLUSION_RETURN_TO_SERVICE,
				 befores[_i].lifted[k]);
	}
	ck_assert_int_eq(v.conclusion == CONCLUSION_RETIRE,
			 strcmp(befores[_i].code, "retire_finding") == 0);
}
END_TEST

START_TEST(thorough_inspection_of_a_liner_opens_it) {
	const struct blocker b = {.code = "thorough_inspection",
				  .text = "From before.",
				  .raised_at = "2026-03-02T10:00:00Z"};
	const struct standing before = {.blocker = &b, .blocker_count = 1};
	part.before = &before;
	part.subject.kind = handbook_kind(hb, "coat_liner");
	conclude(CONCLUSION_OUT_OF_SERVICE);
	part.subject.inspection = INSPECTION_LINER;
	conclude(CONCLUSION_RETURN_TO_SERVICE);
	part.started_at = "2026-03-02T10:00:00Z";
	conclude(CONCLUSION_RETURN_TO_SERVICE);
	part.started_at = "2026-03-02T09:59:59Z"; /* the damage above was not known yet */
	conclude(CONCLUSION_OUT_OF_SERVICE);
	const struct blocker undated = {.code = "thorough_inspection", .text = "From before."};
	const struct standing never_said = {.blocker = &undated, .blocker_count = 1};
	part.before = &never_said; /* nor known to have been known */
	conclude(CONCLUSION_OUT_OF_SERVICE);
	part.started_at = NULL;
}
END_TEST

START_TEST(return_inspection_mends_what_it_finds_sound) {
	const struct open_finding open[] = {{.id = 1,
					     .check_point = "seam",
					     .outcome = handbook_outcome(hb, "repair"),
					     .came_back_on = 20000},
					    {.id = 2,
					     .check_point = "tab",
					     .outcome = handbook_outcome(hb, "ask_maker"),
					     .came_back_on = 20000}};
	const struct blocker b[] = {{.code = "finding", .text = "Seam.", .finding = 1},
				    {.code = "finding", .text = "Tab.", .finding = 2}};
	part.on = 20000;
	const struct standing before = {.blocker = b, .blocker_count = 2};
	part.subject.inspection = INSPECTION_RETURN;
	part.subject.open = open;
	part.subject.open_count = 2;
	part.before = &before;
	conclude(CONCLUSION_OUT_OF_SERVICE); /* the maker has not answered */
	ck_assert_uint_eq(v.blocker_count, 1);
	ck_assert_int_eq(v.blocker[0].finding, 2);
	part.subject.open_count = 1;
	const struct standing mended = {.blocker = b, .blocker_count = 1};
	part.before = &mended;
	conclude(CONCLUSION_RETURN_TO_SERVICE);
	ck_assert(verdict_mends(&part, &open[0]));
	ck_assert(!verdict_mends(&part, &open[1]));
	struct open_finding other = open[0];
	other.check_point = "tail"; /* on no list */
	ck_assert(!verdict_mends(&part, &other));
	other.check_point = "trim"; /* on the list, but not asked */
	ck_assert(!verdict_mends(&part, &other));
	other = open[0];
	other.outcome = NULL; /* one that the handbook does not know any more */
	ck_assert(!verdict_mends(&part, &other));
	part.on = 19999; /* looked at before it came back */
	ck_assert(!verdict_mends(&part, &open[0]));
	conclude(CONCLUSION_OUT_OF_SERVICE);
	part.on = 20000;
	other = open[0];
	other.came_back_on = DAY_NONE; /* nobody mended anything */
	ck_assert(!verdict_mends(&part, &other));
	other = open[0];
	other.outcome = handbook_outcome(hb, "replace"); /* another takes its place */
	ck_assert(!verdict_mends(&part, &other));
	answer[3] = ANSWER_FINDING;
	ck_assert(!verdict_mends(&part, &open[0]));
	const struct finding again = found("seam", "stitches_broken", "repair");
	answer[3] = ANSWER_SOUND;
	part.finding = &again;
	part.finding_count = 1;
	ck_assert(!verdict_mends(&part, &open[0]));
	part.finding_count = 0;
	part.subject.inspection = INSPECTION_ADVANCED;
	ck_assert(!verdict_mends(&part, &open[0]));
	conclude(CONCLUSION_OUT_OF_SERVICE); /* only a return inspection ends it */
}
END_TEST

START_TEST(without_memory_it_is_not_finished) {
	struct arena none;
	arena_init(&none, 1);
	verdict_make(&v, &part, hb, &none);
	ck_assert_int_eq(v.conclusion, CONCLUSION_NOT_FINISHED);
	arena_clear(&none);
}
END_TEST

START_TEST(without_memory_what_lies_beneath_stays_out) {
	const struct follow_up above = {.reason = "Damage may have gone through."};
	struct arena none;
	conclude(CONCLUSION_RETURN_TO_SERVICE);
	arena_init(&none, 1);
	verdict_lies_beneath(&v, &above, "Coat", &none);
	ck_assert_int_eq(v.conclusion, CONCLUSION_OUT_OF_SERVICE);
	ck_assert(arena_failed(&none));
	arena_clear(&none);
}
END_TEST

START_TEST(says_what_is_lacking) {
	answer[0] = ANSWER_NONE;
	judge();
	ck_assert_str_eq(v.unanswered[0].text, "Not answered.");
	answer[0] = ANSWER_NOT_APPLICABLE;
	judge();
	ck_assert_str_eq(v.unanswered[0].text, "Every part of this kind has it: look at it.");
}
END_TEST

/* Of whatever goes into another, or takes another in. */
START_TEST(labels_are_compared_where_parts_go_together) {
	static const char *const kind[] = {"coat_shell", "coat_liner", "drd", "helmet", "hood"};
	for (int i = 0; i < 5; i++) {
		struct part_subject s = {.kind = handbook_kind(hb, kind[i]),
					 .inspection = INSPECTION_ADVANCED};
		ck_assert_int_eq(part_asks_labels(hb, &s), i < 3);
		s.inspection = INSPECTION_ROUTINE;
		ck_assert(!part_asks_labels(hb, &s));
	}
}
END_TEST

/* Whatever the eye says, and whatever else is in its way. */
/* Dirt hides damage: what is on record as soiled and not as cleaned is cleaned first. */
START_TEST(soiled_by_the_record_is_dirty) {
	struct open_finding open[] = {
	    {.id = 1, .check_point = "label"},
	    {.id = 2, .check_point = "fabric", .outcome = handbook_outcome(hb, "repair")},
	    {.id = 3, .check_point = "fabric", .outcome = handbook_outcome(hb, "clean")}};
	const struct blocker b = {.code = "came_back_soiled", .text = "From before."};
	struct standing before = {.blocker = &b, .blocker_count = 0};
	part.subject.open = open;
	part.subject.open_count = 3;
	ck_assert(!part_waits_for_cleaning(&part)); /* it is signed: nobody asks where it stands */
	part.before = &before;
	conclude(CONCLUSION_CLEAN_FIRST);
	part.subject.inspection = INSPECTION_ROUTINE;
	ck_assert(!part_waits_for_cleaning(&part)); /* the wearer looks at it as it is */
	part.subject.inspection = INSPECTION_ADVANCED;
	part.subject.open_count = 2;
	ck_assert(!part_waits_for_cleaning(&part));
	before.blocker_count = 1;
	conclude(CONCLUSION_CLEAN_FIRST);
}
END_TEST

START_TEST(contaminated_is_dirty) {
	struct blocker blocker[] = {{.code = "contaminated"}, {.code = "finding"}};
	struct standing before = {.blocker = blocker, .blocker_count = 2};
	ck_assert(!part_is_dirty(&part));
	part.before = &before;
	ck_assert(part_is_dirty(&part));
	blocker[0].code = "finding", blocker[1].code = "contaminated";
	ck_assert(part_is_dirty(&part));
	blocker[1].code = "unfit";
	ck_assert(!part_is_dirty(&part));
	part.clean = AGREES_NO;
	ck_assert(part_is_dirty(&part));
}
END_TEST

Suite *rules_verdict_suite(void) {
	Suite *s = suite_create("rules/verdict");
	TCase *c = tcase_create("verdict");
	tcase_add_checked_fixture(c, begin, end);
	tcase_add_loop_test(c, asks_what_applies, 0, sizeof asking / sizeof *asking);
	tcase_add_test(c, asks_before_the_points);
	tcase_add_test(c, everything_sound);
	tcase_add_test(c, unanswered_is_not_finished);
	tcase_add_test(c, questions_before_are_answers_too);
	tcase_add_test(c, not_applicable_only_where_it_can_be);
	tcase_add_test(c, answer_and_finding_must_agree);
	tcase_add_test(c, dirt_comes_first);
	tcase_add_test(c, dirt_lets_nothing_be_settled);
	tcase_add_test(c, dirt_ends_with_an_answer);
	tcase_add_test(c, what_left_meanwhile_is_not_finished);
	tcase_add_test(c, hold_about_something_else_stays);
	tcase_add_test(c, hold_ends_with_a_yes_to_its_own_question);
	tcase_add_test(c, labels_that_disagree_hold);
	tcase_add_test(c, finding_blocks_and_is_named);
	tcase_add_test(c, accepted_finding_does_not_block);
	tcase_add_test(c, one_retirement_retires);
	tcase_add_test(c, unknown_finding_is_never_let_through);
	tcase_add_test(c, burnt_fabric_makes_layers_beneath_due);
	tcase_add_test(c, what_lies_beneath_damage_stays_out);
	tcase_add_loop_test(c, keeps_what_it_does_not_lift, 0, sizeof befores / sizeof *befores);
	tcase_add_test(c, thorough_inspection_of_a_liner_opens_it);
	tcase_add_test(c, return_inspection_mends_what_it_finds_sound);
	tcase_add_test(c, without_memory_it_is_not_finished);
	tcase_add_test(c, without_memory_what_lies_beneath_stays_out);
	tcase_add_test(c, says_what_is_lacking);
	tcase_add_test(c, labels_are_compared_where_parts_go_together);
	tcase_add_test(c, soiled_by_the_record_is_dirty);
	tcase_add_test(c, contaminated_is_dirty);
	suite_add_tcase(s, c);
	return s;
}
