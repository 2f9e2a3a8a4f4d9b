/*
 * What no source tells: conventions of this program.
 *
 *   too short a month   gives its last day
 *   unknown age         is never fine
 *   unanswered          a question without an answer means the form is not finished
 *   trim                is asked about only where the part carries some
 *   the handbook        every kind has a list, every value a source, every rule set a program
 */
#include "trade.h"

#include <string.h>

#include "rules/standing.h"
#include "rules/verdict.h"

START_TEST(leap_day) {
	struct component_facts c = in_use("coat_shell", "2020-01");
	c.inspected_on[INSPECTION_ADVANCED] = on("2024-02-29");
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_INSPECTION), "2025-02-28");
}
END_TEST

START_TEST(unknown_age_is_never_fine) {
	struct component_facts c = in_use("helmet", NULL);
	struct standing s;
	c.in_service_on = on("2024-01-01");
	c.inspected_on[INSPECTION_ADVANCED] = on("2026-01-01");
	ck_assert_str_eq(due(&c, DUTY_RETIREMENT), "");
	standing_make(&s, &c, &duties, hb, &arena);
	ck_assert_int_eq(s.ready_until, DAY_NONE);
	ck_assert_str_eq(s.blocker[0].code, "unknown_made");
}
END_TEST

START_TEST(drd_question_unanswered) {
	const struct checklist *list = list_of("coat_shell", HAZARD_STRUCTURAL);
	enum answer *answer = arena_array(&arena, enum answer, list->point_count);
	for (size_t i = 0; i < list->point_count; i++) answer[i] = ANSWER_SOUND;
	const struct part_record record = {
	    .subject = {.kind = list->kind, .trim = true, .inspection = INSPECTION_ADVANCED},
	    .checklist = list,
	    .clean = AGREES_YES,
	    .model_agrees = AGREES_YES,
	    .size_agrees = AGREES_YES,
	    .answer = answer};
	struct verdict v;
	verdict_make(&v, &record, hb, &arena);
	ck_assert_int_eq(v.conclusion, CONCLUSION_RETURN_TO_SERVICE);
	size_t drd = checklist_point(list, "drd_present")->index;
	answer[drd] = ANSWER_NONE;
	verdict_make(&v, &record, hb, &arena);
	ck_assert_int_eq(v.conclusion, CONCLUSION_NOT_FINISHED);
	ck_assert_uint_eq(v.unanswered_count, 1);
	ck_assert_str_eq(v.unanswered[0].code, "drd_present");
	answer[drd] = ANSWER_NOT_APPLICABLE; /* not a way around it either */
	verdict_make(&v, &record, hb, &arena);
	ck_assert_int_eq(v.conclusion, CONCLUSION_NOT_FINISHED);
}
END_TEST

/* Every kind of either hazard has a list, of a length that people finish, labels first;
 * something is asked in every inspection. */
START_TEST(every_kind_has_its_check_list) {
	const struct kind *k = &hb->kind[_i / HAZARD_COUNT];
	enum hazard h = (enum hazard)(_i % HAZARD_COUNT);
	const struct checklist *list = list_of(k->code, h);
	ck_assert_int_eq(list != NULL, k->hazard[h]);
	if (!list) return;
	ck_assert_uint_ge(list->point_count, 8);
	ck_assert_uint_le(list->point_count, 25);
	ck_assert_str_eq(list->point[0].group_code, "labels");
	for (int n = 0; n < INSPECTION_KIND_COUNT; n++) {
		size_t asked = 0;
		for (size_t j = 0; j < list->point_count; j++) asked += list->point[j].asked[n];
		ck_assert_msg(asked > 0, "%s: nothing asked in a %s inspection", k->code,
			      inspection_kind_word[n]);
	}
}
END_TEST

/* Groups are worked through one after the other, never come back to. */
START_TEST(groups_stay_together) {
	for (size_t i = 0; i < hb->checklist_count; i++) {
		const struct check_point *point = hb->checklist[i].point;
		for (size_t j = 1; j < hb->checklist[i].point_count; j++) {
			if (strcmp(point[j].group_code, point[j - 1].group_code) == 0) continue;
			for (size_t k = 0; k < j; k++)
				ck_assert_str_ne(point[j].group_code, point[k].group_code);
		}
	}
}
END_TEST

START_TEST(every_value_has_a_source) {
	for (size_t i = 0; i < hb->point_count; i++) ck_assert_str_ne(hb->point[i].source, "");
	for (size_t i = 0; i < hb->subject_defect_count; i++)
		ck_assert_str_ne(hb->subject_defect[i].source, "");
	for (size_t i = 0; i < hb->rule_count; i++) ck_assert_str_ne(hb->rule[i].source, "");
}
END_TEST

/* A kind with a seam point has zones, or a finding there could never be written down. */
START_TEST(every_seam_has_places) {
	for (size_t i = 0; i < hb->checklist_count; i++) {
		const struct checklist *list = &hb->checklist[i];
		size_t zones = 0;
		for (size_t z = 0; z < hb->zone_count; z++) zones += hb->zone[z].kind == list->kind;
		ck_assert_uint_gt(zones, 0);
		for (size_t j = 0; j < list->point_count; j++)
			ck_assert(!list->point[j].is_seam || list->kind->has_seams);
	}
}
END_TEST

/* Whatever a rule set says, a longer or missing interval than the default set's is named
 * by a set of its own, and every set but the two without fixed ages limits the age. */
START_TEST(every_rule_set_makes_a_program) {
	for (size_t i = 0; i < hb->rule_set_count; i++) {
		follow("rule_set", hb->rule_set[i].code);
		struct component_facts c = in_use("helmet", "2020-01");
		c.in_service_on = on("2020-03-01");
		ck_assert_str_ne(due(&c, DUTY_ADVANCED_INSPECTION), "none");
		bool limits = strcmp(due(&c, DUTY_RETIREMENT), "none") != 0;
		bool has_age = strcmp(hb->rule_set[i].code, "maker_limits") != 0 &&
			       strcmp(hb->rule_set[i].code, "oregon") != 0;
		ck_assert_int_eq(limits, has_age);
		/* The maker's own limit holds under each. */
		c.life_months = 84;
		ck_assert_str_eq(due(&c, DUTY_RETIREMENT), "2026-12-31");
	}
}
END_TEST

/* What is asked of trim, by kind; the others have no trim to ask about. */
static const struct {
	const char *kind, *points;
} with_trim[] = {
    {"coat_shell", "trim trim_light "}, {"trouser_shell", "trim trim_light "}, {"helmet", "trim "}};

static const char *trim_points_of(const struct kind *k) {
	for (size_t i = 0; i < sizeof with_trim / sizeof *with_trim; i++)
		if (strcmp(with_trim[i].kind, k->code) == 0) return with_trim[i].points;
	return "";
}

/* The points that a part which carries trim is asked, and one that does not is not. */
static const char *asked_for_trim(const struct kind *k, enum hazard h,
				  enum inspection_kind inspection) {
	const struct checklist *list = list_of(k->code, h);
	const char *codes = "";
	for (size_t i = 0; i < list->point_count; i++) {
		const struct check_point *point = &list->point[i];
		struct part_subject s = {.kind = k, .inspection = inspection};
		bool is_of_trim = strstr(point->subject->code, "trim") != NULL;
		s.reflective = point->reflective == WANTS_YES;
		bool bare = point_is_asked(point, &s);
		s.trim = true;
		bool trimmed = point_is_asked(point, &s);
		ck_assert_msg(!bare || !is_of_trim, "%s %s", k->code, point->code);
		ck_assert_msg(bare == trimmed || is_of_trim, "%s %s", k->code, point->code);
		if (bare != trimmed) codes = arena_printf(&arena, "%s%s ", codes, point->code);
	}
	return codes;
}

START_TEST(trim_is_asked_only_where_it_is) {
	for (size_t i = 0; i < hb->kind_count; i++)
		for (int h = 0; h < HAZARD_COUNT; h++) {
			const struct kind *k = &hb->kind[i];
			if (!k->hazard[h]) continue;
			ck_assert_str_eq(asked_for_trim(k, (enum hazard)h, INSPECTION_ADVANCED),
					 trim_points_of(k));
			/* The flashlight is for the thorough look; what was mended is looked at
			 * where it was found. */
			ck_assert_str_eq(asked_for_trim(k, (enum hazard)h, INSPECTION_ROUTINE),
					 *trim_points_of(k) ? "trim " : "");
			ck_assert_str_eq(asked_for_trim(k, (enum hazard)h, INSPECTION_RETURN), "");
		}
}
END_TEST

TCase *decided_case(void) {
	TCase *c = trade_case("decided");
	tcase_add_test(c, leap_day);
	tcase_add_test(c, unknown_age_is_never_fine);
	tcase_add_test(c, drd_question_unanswered);
	tcase_add_loop_test(c, every_kind_has_its_check_list, 0,
			    (int)hb->kind_count * HAZARD_COUNT);
	tcase_add_test(c, trim_is_asked_only_where_it_is);
	tcase_add_test(c, groups_stay_together);
	tcase_add_test(c, every_value_has_a_source);
	tcase_add_test(c, every_seam_has_places);
	tcase_add_test(c, every_rule_set_makes_a_program);
	return c;
}
