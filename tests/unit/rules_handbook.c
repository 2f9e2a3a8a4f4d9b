#include "base/limits.h"
#include "rules.h"
#include "rules/kind.h"

static struct arena arena;
static struct handbook hb;

static void begin(void) {
	arena_init(&arena, LIMIT_ARENA_BYTES_MAX);
	small_handbook_rows(&hb, &arena);
}

static void end(void) { arena_clear(&arena); }

/* Linking must fail, and the message must name what is at fault. */
static void refuse(const char *named) {
	struct fault f = {.code = ERR_OK};
	ck_assert_int_eq(handbook_link(&hb, &f), ERR_CORRUPT);
	ck_assert_msg(strstr(f.message, named), "\"%s\" does not name %s", f.message, named);
}

START_TEST(links_rows_together) {
	ck_assert_int_eq(handbook_link(&hb, NULL), ERR_OK);
	const struct kind *coat = handbook_kind(&hb, "coat_shell");
	ck_assert_ptr_eq(hb.beneath[0].kind, coat);
	ck_assert_ptr_eq(hb.fit[0].part, handbook_kind(&hb, "coat_liner"));
	ck_assert_ptr_eq(handbook_zone(&hb, coat, "sleeve"), &hb.zone[0]);
	const struct checklist *list = handbook_checklist(&hb, 2);
	ck_assert_uint_eq(list->point_count, 7);
	ck_assert_ptr_eq(handbook_checklist(&hb, 1), &hb.checklist[0]);
	const struct check_point *point = checklist_point(list, "seam");
	ck_assert_uint_eq(point->index, 3);
	const struct subject_defect *d = subject_defect_find(point->subject, "stitches_broken");
	ck_assert_str_eq(d->outcome->code, "repair");
	ck_assert_str_eq(hb.subject[0].defect[1].with_reason[0]->code, "serve_on");
	ck_assert_ptr_null(hb.subject[0].defect[1].with_reason[1]);
	const struct rule_set *set = handbook_rule_set(&hb, "other");
	ck_assert_uint_eq(set->rule_count, 4);
	ck_assert_int_eq(set->rule[0].duty, DUTY_ADVANCED_INSPECTION);
	ck_assert_ptr_eq(hb.rule[6].kind, handbook_kind(&hb, "hood"));
	ck_assert_int_eq(hb.rule[3].selectors, 2);
	for (size_t i = 0; i < hb.kind_count; i++) ck_assert_uint_eq(hb.kind[i].index, i);
}
END_TEST

START_TEST(every_selector_counts) {
	struct rule *r = &hb.rule[6]; /* of a kind */
	r->outer = WANTS_YES;
	r->liner = r->reflective = r->cbrn = WANTS_NO;
	ck_assert_int_eq(handbook_link(&hb, NULL), ERR_OK);
	ck_assert_int_eq(r->selectors, 5);
	ck_assert_int_eq(hb.rule[0].selectors, 0);
}
END_TEST

/* Of 31 letters at most. */
START_TEST(outcomes_have_short_codes) {
	static const char code[] = "abcdefghijklmnopqrstuvwxyz_abcde";
	struct outcome *more = arena_array(&arena, struct outcome, hb.outcome_count + 1);
	memcpy(more, hb.outcome, hb.outcome_count * sizeof *more);
	more[hb.outcome_count] = hb.outcome[hb.outcome_count - 1];
	more[hb.outcome_count].code = hb.subject_defect[0].or_codes = code + 1;
	hb.outcome = more;
	hb.outcome_count++;
	ck_assert_uint_eq(strlen(code + 1), 31);
	ck_assert_int_eq(handbook_link(&hb, NULL), ERR_OK);
	ck_assert_ptr_eq(hb.subject_defect[0].or_outcome[0], &more[hb.outcome_count - 1]);
	more[hb.outcome_count - 1].code = hb.subject_defect[0].or_codes = code;
	refuse("too long");
}
END_TEST

START_TEST(finds_nothing_unknown) {
	ck_assert_int_eq(handbook_link(&hb, NULL), ERR_OK);
	const struct kind *coat = handbook_kind(&hb, "coat_shell");
	ck_assert_ptr_null(handbook_kind(&hb, "tail"));
	ck_assert_ptr_null(handbook_kind(&hb, NULL));
	ck_assert_ptr_null(handbook_zone(&hb, coat, "crown"));
	ck_assert_ptr_null(handbook_zone(&hb, coat, NULL));
	ck_assert_ptr_null(handbook_defect(&hb, "tail"));
	ck_assert_ptr_nonnull(handbook_defect(&hb, "tear"));
	ck_assert_ptr_null(handbook_outcome(&hb, ""));
	ck_assert_ptr_null(handbook_checklist(&hb, 99));
	ck_assert_ptr_null(checklist_point(&hb.checklist[0], "tail"));
	ck_assert_ptr_null(checklist_point(&hb.checklist[0], NULL));
	/* What stands in the row behind is another's. */
	ck_assert_ptr_null(checklist_point(handbook_checklist(&hb, 2), "shell"));
	ck_assert_ptr_nonnull(checklist_point(handbook_checklist(&hb, 3), "shell"));
	const struct kind *coat_shell = handbook_kind(&hb, "coat_shell");
	ck_assert_ptr_eq(handbook_check_point(&hb, coat_shell, "label"),
			 checklist_point(handbook_checklist(&hb, 2), "label"));
	hb.checklist[1].kind = handbook_kind(&hb, "helmet");
	ck_assert_ptr_eq(handbook_check_point(&hb, coat_shell, "label"),
			 checklist_point(handbook_checklist(&hb, 1), "label"));
	ck_assert_ptr_null(handbook_check_point(&hb, coat_shell, "shell"));
	ck_assert_ptr_null(handbook_check_point(&hb, coat_shell, NULL));
	ck_assert_ptr_null(subject_defect_find(&hb.subject[0], "unreadable"));
	ck_assert_ptr_nonnull(subject_defect_find(&hb.subject[1], "unreadable"));
	ck_assert_ptr_null(subject_defect_find(&hb.subject[0], "tail"));
	ck_assert_ptr_null(subject_defect_find(&hb.subject[0], NULL));
	ck_assert_int_eq(word_find(severity_word, SEVERITY_COUNT, "critical"), SEVERITY_CRITICAL);
	ck_assert_int_eq(word_find(severity_word, SEVERITY_COUNT, "Critical"), -1);
	ck_assert_int_eq(word_find(severity_word, SEVERITY_COUNT, NULL), -1);
}
END_TEST

START_TEST(takes_newest_valid_list) {
	ck_assert_int_eq(handbook_link(&hb, NULL), ERR_OK);
	const struct kind *coat = handbook_kind(&hb, "coat_shell");
	const struct checklist *list;
	list = handbook_checklist_for(&hb, coat, HAZARD_PROXIMITY, "2023-12-31");
	ck_assert_int_eq(list->version, 1);
	list = handbook_checklist_for(&hb, coat, HAZARD_PROXIMITY, "2024-01-01");
	ck_assert_int_eq(list->version, 2);
	ck_assert_ptr_null(handbook_checklist_for(&hb, coat, HAZARD_PROXIMITY, "2019-12-31"));
	ck_assert_ptr_null(handbook_checklist_for(&hb, coat, HAZARD_STRUCTURAL, "2024-01-01"));
	ck_assert_ptr_null(handbook_checklist_for(&hb, handbook_kind(&hb, "hood"), HAZARD_PROXIMITY,
						  "2024-01-01"));
}
END_TEST

START_TEST(newest_is_by_version_not_by_place) {
	hb.checklist[0].version = 3;
	ck_assert_int_eq(handbook_link(&hb, NULL), ERR_OK);
	const struct checklist *list = handbook_checklist_for(&hb, handbook_kind(&hb, "coat_shell"),
							      HAZARD_PROXIMITY, "2024-01-01");
	ck_assert_int_eq(list->id, 1);
}
END_TEST

START_TEST(rule_set_may_be_empty) {
	hb.rule_count = 8; /* those of "ours" */
	ck_assert_int_eq(handbook_link(&hb, NULL), ERR_OK);
	ck_assert_uint_eq(hb.rule_set[1].rule_count, 0);
	/* Also where nothing stands behind the last rule. */
	struct rule *ours = arena_array(&arena, struct rule, 8);
	memcpy(ours, hb.rule, 8 * sizeof *ours);
	hb.rule = ours;
	ck_assert_int_eq(handbook_link(&hb, NULL), ERR_OK);
	ck_assert_uint_eq(hb.rule_set[1].rule_count, 0);
}
END_TEST

/* --- every way a handbook can be wrong ------------------------------------------ */

static void spoil_kind_twice(void) { hb.kind[1].code = "coat_shell"; }
static void spoil_beneath(void) { hb.beneath[0].beneath_code = "tail"; }
static void spoil_beneath_kind(void) { hb.beneath[0].kind_code = "tail"; }
static void spoil_fit_shell(void) { hb.fit[0].shell_code = "tail"; }
static void spoil_fit_part(void) { hb.fit[0].part_code = "tail"; }
static void spoil_zone(void) { hb.zone[0].kind_code = "tail"; }
static void spoil_subject_order(void) { hb.subject_defect[6].subject_code = "fabric"; }
static void spoil_subject_of_defect(void) { hb.subject_defect[1].subject_code = "label"; }
static void spoil_defect(void) { hb.subject_defect[0].defect_code = "tail"; }
static void spoil_outcome(void) { hb.subject_defect[0].outcome_code = "tail"; }
static void spoil_or(void) { hb.subject_defect[0].or_codes = "replace tail"; }
static void spoil_with_reason(void) { hb.subject_defect[0].with_reason_codes = "tail"; }
static void spoil_too_many(void) {
	hb.subject_defect[0].or_codes = "retire retire retire retire retire retire";
}
static void spoil_long_word(void) {
	hb.subject_defect[0].or_codes = "a_word_that_is_longer_than_any_outcome";
}
static void spoil_free_and_looser(void) { hb.subject_defect[0].or_codes = "serve_on retire"; }
static void spoil_reasoned_and_stricter(void) {
	hb.subject_defect[0].with_reason_codes = "retire serve_on";
}
static void spoil_reasoned_and_as_strict(void) {
	hb.subject_defect[0].with_reason_codes = "ask_maker";
}
static void spoil_last_with_reason(void) {
	hb.subject_defect[0].with_reason_codes = "serve_on retire";
}
static void spoil_list_kind(void) { hb.checklist[0].kind_code = "tail"; }
static void spoil_list_empty(void) { hb.checklist[2].id = 4; }
static void spoil_point_subject(void) { hb.point[1].subject_code = "tail"; }
static void spoil_point_astray(void) { hb.checklist_count = 2; }
static void spoil_liner_asks_less(void) { hb.point[2].asked[INSPECTION_LINER] = false; }
static void spoil_duty_count(void) { hb.duty_count = 5; }
static void spoil_duty_order(void) { hb.duty[3].code = "tail"; }
static void spoil_first_duty(void) { hb.duty[0].code = "tail"; }
static void spoil_first_limit(void) { hb.limit[0].code = "tail"; }
static void spoil_limit_count(void) { hb.limit_count--; }
static void spoil_limit_order(void) { hb.limit[3].code = "tail"; }
static void spoil_limit_size(void) { hb.limit[5].thousandths = INT64_MAX / 10 + 1; }
static void spoil_limit_unit(void) { hb.limit[7].thousandths = INT64_MAX / 10; }
static void spoil_two_defaults(void) { hb.rule_set[1].is_default = true; }
static void spoil_rule_duty(void) { hb.rule[0].duty_code = "tail"; }
static void spoil_rule_kind(void) { hb.rule[6].kind_code = "tail"; }
static void spoil_rule_astray(void) { hb.rule[10].set_code = "ours"; }
static void spoil_requirement(void) { hb.requirement[0].kind_code = "tail"; }
static void spoil_no_requirement(void) { hb.requirement_count = 6; }

static const struct {
	void (*spoil)(void);
	const char *named;
} spoiling[] = {
    {spoil_kind_twice, "twice"},
    {spoil_beneath, "tail"},
    {spoil_beneath_kind, "tail"},
    {spoil_fit_shell, "tail"},
    {spoil_fit_part, "tail"},
    {spoil_zone, "tail"},
    {spoil_subject_order, "shield"},
    {spoil_subject_of_defect, "soiled"},
    {spoil_defect, "tail"},
    {spoil_outcome, "tail"},
    {spoil_or, "tail"},
    {spoil_with_reason, "tail"},
    {spoil_too_many, "retire retire"},
    {spoil_long_word, "a_word"},
    {spoil_free_and_looser, "burnt"},
    {spoil_reasoned_and_stricter, "burnt"},
    {spoil_reasoned_and_as_strict, "burnt"},
    {spoil_last_with_reason, "burnt"},
    {spoil_list_kind, "tail"},
    {spoil_list_empty, "helmet"},
    {spoil_point_subject, "tail"},
    {spoil_point_astray, "shell"},
    {spoil_liner_asks_less, "fabric"},
    {spoil_duty_count, "5"},
    {spoil_duty_order, "liner_inspection"},
    {spoil_first_duty, "routine_inspection"},
    {spoil_first_limit, "trim_distance"},
    {spoil_limit_count, "limits"},
    {spoil_limit_order, "leak_amount"},
    {spoil_limit_size, "water_pressure"},
    {spoil_limit_unit, "cuff_gap"},
    {spoil_two_defaults, "2"},
    {spoil_rule_duty, "tail"},
    {spoil_rule_kind, "tail"},
    {spoil_rule_astray, "rules"},
    {spoil_requirement, "tail"},
    {spoil_no_requirement, "proximity"},
};
#define SPOILINGS ((int)(sizeof spoiling / sizeof *spoiling))

START_TEST(refuses_a_wrong_row) {
	spoiling[_i].spoil();
	refuse(spoiling[_i].named);
}
END_TEST

START_TEST(refuses_too_many_slots) {
	static char name[SLOTS_MAX + 1][24];
	struct requirement *r = arena_array(&arena, struct requirement, SLOTS_MAX + 1);
	for (int i = 0; i <= SLOTS_MAX; i++) {
		snprintf(name[i], sizeof name[i], "slot%d", i);
		r[i] = (struct requirement){HAZARD_STRUCTURAL, name[i], "Slot", "hood",
					    WANTS_EITHER,      NULL};
	}
	hb.requirement = r;
	hb.requirement_count = SLOTS_MAX + 1;
	refuse("structural");
}
END_TEST

Suite *rules_handbook_suite(void) {
	Suite *s = suite_create("rules/handbook");
	TCase *c = tcase_create("link");
	tcase_add_checked_fixture(c, begin, end);
	tcase_add_test(c, links_rows_together);
	tcase_add_test(c, every_selector_counts);
	tcase_add_test(c, outcomes_have_short_codes);
	tcase_add_test(c, finds_nothing_unknown);
	tcase_add_test(c, takes_newest_valid_list);
	tcase_add_test(c, newest_is_by_version_not_by_place);
	tcase_add_test(c, rule_set_may_be_empty);
	tcase_add_loop_test(c, refuses_a_wrong_row, 0, SPOILINGS);
	tcase_add_test(c, refuses_too_many_slots);
	suite_add_tcase(s, c);
	return s;
}
