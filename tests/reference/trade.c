/*
 * Worked examples of the trade, checked against the handbook as it is shipped.
 *
 * Where the value of a check comes from stands beside it:
 *   published    a rule seen in a published source, named; the numbers applied here
 *   from memory  a rule recalled, not looked up
 *   decided      a convention of this program
 */
#include <check.h>
#include <stdlib.h>
#include <unistd.h>

#include "base/limits.h"
#include "rules/advice.h"
#include "rules/cleaning.h"
#include "rules/duty.h"
#include "rules/kind.h"
#include "rules/readiness.h"
#include "rules/standing.h"
#include "rules/unit.h"
#include "rules/verdict.h"
#include "store/handbook.h"

static char data_dir[] = "/tmp/pegwarden-trade-XXXXXX";
static struct arena shipped; /* the handbook's, read once for all tests */
static struct handbook *hb;

static struct arena arena; /* one test's */
static struct program p;
static struct duty_list duties;

static void begin(void) {
	arena_init(&arena, LIMIT_ARENA_BYTES_MAX);
	ck_assert_int_eq(program_init(&p, hb, NULL, 0, &arena, NULL), ERR_OK);
}

static void end(void) { arena_clear(&arena); }

static void follow(const char *name, const char *value) {
	const struct program_setting setting = {name, value};
	ck_assert_int_eq(program_init(&p, hb, &setting, 1, &arena, NULL), ERR_OK);
}

static day on(const char *text) {
	day d = day_parse(text);
	ck_assert_int_ne(d, DAY_NONE);
	return d;
}

static struct component_facts part(const char *kind, const char *made) {
	struct component_facts c = {.kind = handbook_kind(hb, kind),
				    .in_service_on = DAY_NONE,
				    .retired_on = DAY_NONE,
				    .issued_on = DAY_NONE,
				    .last_returned_on = DAY_NONE,
				    .not_clean_on = DAY_NONE,
				    .model_disagrees_on = DAY_NONE,
				    .size_disagrees_on = DAY_NONE,
				    .unfit_on = DAY_NONE,
				    .cleaned_on = DAY_NONE,
				    .cleaned_before_on = DAY_NONE,
				    .sent_on = DAY_NONE,
				    .back_on = DAY_NONE};
	for (int k = 0; k < INSPECTION_KIND_COUNT; k++) c.inspected_on[k] = DAY_NONE;
	label_date_parse(made, &c.made);
	ck_assert_ptr_nonnull(c.kind);
	return c;
}

static struct component_facts in_use(const char *kind, const char *made) {
	struct component_facts c = part(kind, made);
	c.is_issued = true;
	return c;
}

static const struct duty *duty_of(const struct component_facts *c, enum duty_code duty) {
	duty_list_make(&duties, c, &p, &arena);
	return duty_list_find(&duties, duty);
}

/* The last day in time, as text; "none": not owed; "": owed, not datable. */
static const char *due(const struct component_facts *c, enum duty_code duty) {
	static char text[DAY_TEXT_SIZE];
	const struct duty *d = duty_of(c, duty);
	return d ? day_format(d->due_on, text) : "none";
}

static bool overdue(const struct component_facts *c, enum duty_code duty, const char *today) {
	const struct duty *d = duty_of(c, duty);
	return d && d->due_on < on(today);
}

/* The newest list of a kind, of whichever hazard it occurs in. */
static const struct checklist *list_of(const char *kind, enum hazard h) {
	return handbook_checklist_for(hb, handbook_kind(hb, kind), h, "2026-01-01");
}

static const struct subject_defect *defect_at(const char *kind, enum hazard h, const char *code,
					      const char *defect) {
	const struct check_point *point = checklist_point(list_of(kind, h), code);
	ck_assert_msg(point != NULL, "%s has no point %s", kind, code);
	const struct subject_defect *d = subject_defect_find(point->subject, defect);
	ck_assert_msg(d != NULL, "%s has no defect %s", code, defect);
	return d;
}

/* --- the handbook as shipped: common practice, no source -------------------------- */

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

/* --- outcomes the trade treats as settled: common practice, no source -------------- */

static const struct {
	const char *kind, *point, *defect;
	const char *free;        /* outcomes without a reason, the default first */
	const char *with_reason; /* outcomes with one */
} settled[] = {
    {"faceshield", "reflective", "scratched", "replace retire", ""}, /* never repaired */
    {"faceshield", "reflective", "peeling", "replace retire", ""},
    {"faceshield", "reflective", "heat_damage", "replace retire", ""},
    {"faceshield", "reflective", "worn_spot", "replace retire", ""},
    {"faceshield", "vision", "scratched", "replace retire", "serve_on"},
    {"faceshield", "vision", "cracked", "replace retire", ""},
    {"helmet", "shell", "cracked", "retire", ""},
    {"helmet", "shell", "dented", "retire", ""},
    {"helmet", "shell", "bubble", "retire", ""},
    {"helmet", "shell", "soft_spot", "retire", ""},
    {"helmet", "shell", "contaminated", "retire", ""},
    {"helmet", "shell", "abrasion", "retire", "serve_on"}, /* superficial scuffs */
    {"helmet", "knobs", "loose", "repair replace retire", ""},
    {"helmet", "shield_moves", "does_not_lock", "repair replace retire", ""},
    {"helmet", "chin_strap", "does_not_hold", "repair replace retire", ""},
    {"helmet", "trim", "weak_flashlight", "repair replace retire", ""},
    {"helmet", "label", "unreadable", "ask_maker hold replace retire", "serve_on"},
    {"coat_shell", "label", "lifting", "ask_maker hold replace retire", "serve_on"},
    {"coat_shell", "belongs_together", "wrong_part", "hold replace retire", ""},
    {"coat_shell", "front_closure", "does_not_close", "repair replace retire", ""},
    {"coat_shell", "liner_attachments", "does_not_close", "repair replace retire", ""},
    {"coat_shell", "seams", "stitches_broken", "repair replace retire", ""},
    {"coat_shell", "seams", "seam_open", "repair replace retire", ""},
    {"coat_shell", "aluminized", "burnt", "repair replace retire", ""},
    {"coat_shell", "aluminized", "delaminated", "repair replace retire", ""},
    {"coat_shell", "reflection", "dull", "repair replace retire", "serve_on"},
    {"coat_shell", "reflection", "discolored", "serve_on ask_maker test repair replace retire", ""},
    {"overcover", "elastic", "elastic_weak", "repair replace retire", ""},
    {"shroud", "lining", "damaged", "repair replace retire", ""},
    {"drd", "strap", "cut", "replace retire", ""},
    {"hood", "heat", "burn_hole", "replace retire", ""},
};

START_TEST(outcomes_are_as_the_trade_has_them) {
	const struct subject_defect *d =
	    defect_at(settled[_i].kind, HAZARD_PROXIMITY, settled[_i].point, settled[_i].defect);
	struct allowed_outcome allowed[ALLOWED_OUTCOMES_MAX];
	size_t count = allowed_outcomes(d, allowed);
	const char *words[2] = {"", ""};
	for (size_t i = 0; i < count; i++) {
		const char **to = &words[allowed[i].needs_reason];
		*to =
		    arena_printf(&arena, "%s%s%s", *to, **to ? " " : "", allowed[i].outcome->code);
	}
	ck_assert_str_eq(words[0], settled[_i].free);
	ck_assert_str_eq(words[1], settled[_i].with_reason);
}
END_TEST

/* Brittle, cracked or burnt aluminized fabric makes the layers beneath due; dull film does
 * not. */
START_TEST(burnt_aluminized_fabric_makes_layers_beneath_due) {
	static const char *const kinds[] = {"coat_shell", "trouser_shell", "overcover", "shroud"};
	static const char *const beneath[] = {"coat_liner", "trouser_liner", "helmet", "hood"};
	static const char *const due_too[] = {"burnt", "cracked", "brittle"};
	for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
		for (size_t j = 0; j < sizeof due_too / sizeof *due_too; j++)
			ck_assert(defect_at(kinds[i], HAZARD_PROXIMITY, "aluminized", due_too[j])
				      ->beneath_due);
		ck_assert(
		    !defect_at(kinds[i], HAZARD_PROXIMITY, "reflection", "dull")->beneath_due);
		ck_assert(kind_is_beneath(hb, handbook_kind(hb, kinds[i]),
					  handbook_kind(hb, beneath[i])));
	}
}
END_TEST

/* --- age ----------------------------------------------------------------------------- */

/* E1. Published: ten years from manufacture (NFPA 1851, 10.1.2, as reported by trade
 * press). Decided: a month-only date is read strictly, unless the setting says else. */
START_TEST(e1_helmet_of_june_2016) {
	struct component_facts c = in_use("helmet", "2016-06");
	ck_assert_str_eq(due(&c, DUTY_RETIREMENT), "2026-05-31");
	ck_assert(!overdue(&c, DUTY_RETIREMENT, "2026-05-31"));
	ck_assert(overdue(&c, DUTY_RETIREMENT, "2026-06-01"));
	follow("age_reading", "end_of_month");
	ck_assert_str_eq(due(&c, DUTY_RETIREMENT), "2026-06-30");
	ck_assert(!overdue(&c, DUTY_RETIREMENT, "2026-06-30"));
	ck_assert(overdue(&c, DUTY_RETIREMENT, "2026-07-01"));
}
END_TEST

/* E2. Published: from manufacture, not from purchase or issue (as E1). */
START_TEST(e2_bought_later_than_made) {
	struct component_facts c = in_use("coat_shell", "2015-12");
	c.in_service_on = c.issued_on = on("2018-03-01");
	ck_assert_str_eq(due(&c, DUTY_RETIREMENT), "2025-11-30");
	follow("age_reading", "end_of_month");
	ck_assert_str_eq(due(&c, DUTY_RETIREMENT), "2025-12-31");
}
END_TEST

/* E3. From memory: five years for the reflective outer shell. Decided: strict reading. */
START_TEST(e3_reflective_shell_ages_faster) {
	struct component_facts shell = in_use("coat_shell", "2021-09");
	struct component_facts liner = in_use("coat_liner", "2021-09");
	shell.reflective = true;
	ck_assert_str_eq(due(&shell, DUTY_RETIREMENT), "2026-08-31");
	ck_assert_str_eq(due(&liner, DUTY_RETIREMENT), "2031-08-31");
	/* From memory, to be confirmed: overcover and shroud are aluminized outer shells too;
	 * reflective gloves, footwear and faceshields keep ten years unless set tighter. */
	struct component_facts c = in_use("shroud", "2021-09");
	c.reflective = true;
	ck_assert_str_eq(due(&c, DUTY_RETIREMENT), "2026-08-31");
	c.kind = handbook_kind(hb, "gloves");
	ck_assert_str_eq(due(&c, DUTY_RETIREMENT), "2031-08-31");
	follow("retirement_reflective_gloves_first_months", "60");
	ck_assert_str_eq(due(&c, DUTY_RETIREMENT), "2026-08-31");
}
END_TEST

/* E4. Published: as E1, each separable layer by its own label. Decided: strict reading. */
START_TEST(e4_replacement_liner_has_its_own_limit) {
	struct component_facts shell = in_use("coat_shell", "2017-02");
	struct component_facts liner = in_use("coat_liner", "2022-08");
	ck_assert_str_eq(due(&shell, DUTY_RETIREMENT), "2027-01-31");
	ck_assert_str_eq(due(&liner, DUTY_RETIREMENT), "2032-07-31");
}
END_TEST

/* E28. Decided: an unknown date of manufacture is never fine. */
START_TEST(e28_unknown_age_is_never_fine) {
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

/* --- intervals ------------------------------------------------------------------------ */

/* E5. Published: at least every 12 months (Beaumont TX Fire, SOG 601.01A, 2022, and a
 * service provider's inspection overview). */
START_TEST(e5_advanced_inspection_every_twelve_months) {
	struct component_facts c = in_use("coat_shell", "2020-01");
	c.inspected_on[INSPECTION_ADVANCED] = on("2025-03-15");
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_INSPECTION), "2026-03-15");
	ck_assert(!overdue(&c, DUTY_ADVANCED_INSPECTION, "2026-03-15"));
	ck_assert(overdue(&c, DUTY_ADVANCED_INSPECTION, "2026-03-16"));
}
END_TEST

/* E6. Decided: a month that is too short gives its last day. */
START_TEST(e6_leap_day) {
	struct component_facts c = in_use("coat_shell", "2020-01");
	c.inspected_on[INSPECTION_ADVANCED] = on("2024-02-29");
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_INSPECTION), "2025-02-28");
}
END_TEST

/* E7. Published: stored reserve gear not issued since the last advanced inspection is
 * exempt (Beaumont TX Fire, SOG 601.01A, 2022). Decided: once issued, the old day counts. */
START_TEST(e7_reserve_coat) {
	struct component_facts c = part("coat_shell", "2020-01");
	c.inspected_on[INSPECTION_ADVANCED] = on("2024-01-10");
	ck_assert(!overdue(&c, DUTY_ADVANCED_INSPECTION, "2026-02-01"));
	c.is_issued = true;
	c.issued_on = on("2026-02-02");
	ck_assert(overdue(&c, DUTY_ADVANCED_INSPECTION, "2026-02-02"));
}
END_TEST

/* E8. Published: three years in service, then every year; two years with the CBRN option
 * (service provider's overview; trade press, "Testing requirements for moisture barriers,
 * part 2", 2009). */
START_TEST(e8_complete_liner_inspection) {
	follow("rule_set", "nfpa_1851_2014");
	struct component_facts c = in_use("coat_liner", "2019-11");
	c.in_service_on = on("2020-05-10");
	ck_assert_str_eq(due(&c, DUTY_LINER_INSPECTION), "2023-05-10");
	c.inspected_on[INSPECTION_LINER] = on("2023-06-02");
	ck_assert_str_eq(due(&c, DUTY_LINER_INSPECTION), "2024-06-02");
	c.inspected_on[INSPECTION_LINER] = DAY_NONE;
	c.cbrn = true;
	ck_assert_str_eq(due(&c, DUTY_LINER_INSPECTION), "2022-05-10");
}
END_TEST

/* E9. Published: two in 12 months (trade press, 2019), "every six months" (Beaumont TX
 * Fire). Decided: the setting chooses the reading. */
START_TEST(e9_two_readings_of_two_a_year) {
	struct component_facts c = in_use("coat_shell", "2020-01");
	c.in_service_on = on("2020-03-01");
	c.cleaned_before_on = on("2026-01-05");
	c.cleaned_on = on("2026-01-20");
	ck_assert(!overdue(&c, DUTY_ADVANCED_CLEANING, "2026-07-20"));
	ck_assert(overdue(&c, DUTY_ADVANCED_CLEANING, "2026-07-21"));
	follow("cleaning_reading", "count");
	ck_assert(!overdue(&c, DUTY_ADVANCED_CLEANING, "2026-07-21"));
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_CLEANING), "2027-01-05");
}
END_TEST

/* E10. Published: 12 months in 2014 (Fire Technology 57 (2021) 791-813); 2020 as E9. */
START_TEST(e10_editions_differ) {
	struct component_facts c = in_use("coat_shell", "2020-01");
	c.cleaned_on = on("2025-08-01");
	ck_assert(overdue(&c, DUTY_ADVANCED_CLEANING, "2026-03-01"));
	follow("rule_set", "nfpa_1851_2014");
	ck_assert(!overdue(&c, DUTY_ADVANCED_CLEANING, "2026-03-01"));
}
END_TEST

/* E11. Published: every six months (WAC 296-305-02002). */
START_TEST(e11_washington) {
	follow("rule_set", "washington");
	struct component_facts c = in_use("coat_shell", "2020-01");
	c.inspected_on[INSPECTION_ADVANCED] = on("2025-09-01");
	ck_assert_str_eq(due(&c, DUTY_ADVANCED_INSPECTION), "2026-03-01");
}
END_TEST

/* --- repair classes -------------------------------------------------------------------- */

/* E12 to E14. Published: repair classes of NFPA 1851, as reported by a fire-service trade
 * magazine ("How do I comply with NFPA 1851? Five options"). Decided: lengths in whole
 * millimetres, one inch is 25; the inch bounds a minor tear too. */
static const struct {
	const char *kind, *point, *defect;
	int length_mm;
	enum repair_class repair_class;
} repairs[] = {
    {"coat_shell", "fabric", "tear", 19, REPAIR_BASIC}, /* E12: 0.75 in. */
    {"coat_shell", "fabric", "tear_through", 19, REPAIR_ADVANCED},
    {"coat_liner", "barrier", "hole", 1, REPAIR_ADVANCED},
    {"coat_liner", "barrier", "pinhole", 1, REPAIR_ADVANCED},
    {"coat_liner", "thermal", "tear", 1, REPAIR_ADVANCED},
    {"coat_liner", "seams", "stitches_broken", 1, REPAIR_ADVANCED},
    {"coat_shell", "seams", "stitches_broken", 25, REPAIR_BASIC},    /* E13: 1.0 in. */
    {"coat_shell", "seams", "stitches_broken", 28, REPAIR_ADVANCED}, /* E13: 1.1 in. */
    {"coat_shell", "seams", "stitches_missing", 0, REPAIR_ADVANCED}, /* not measured */
    {"coat_shell", "front_closure", "bent", 0, REPAIR_ADVANCED},     /* E14: zipper, hook and dee */
    {"coat_shell", "front_closure", "does_not_close", 0, REPAIR_ADVANCED},
    {"trouser_shell", "fly", "does_not_close", 0, REPAIR_ADVANCED},
    {"coat_shell", "hardware", "missing", 0, REPAIR_BASIC}, /* E14: pocket snap */
    {"coat_liner", "opening_closed", "left_open", 0, REPAIR_BASIC},
    {"coat_shell", "heat", "ember_burn", 0, REPAIR_BASIC},
};

START_TEST(e12_to_e14_repair_classes) {
	const struct subject_defect *d =
	    defect_at(repairs[_i].kind, HAZARD_STRUCTURAL, repairs[_i].point, repairs[_i].defect);
	ck_assert_str_eq(repair_class_word[finding_repair_class(d, repairs[_i].length_mm)],
			 repair_class_word[repairs[_i].repair_class]);
}
END_TEST

/* --- readiness and forms ------------------------------------------------------------------ */

/* E22. Published: the complete set is coat, trousers, boots, gloves, helmet and hood (37 Tex.
 * Admin. Code 435.1). Decided: an issued loaner completes it. */
START_TEST(e22_hood_away_and_loaner_issued) {
	static const char *const kinds[] = {
	    "coat_shell", "coat_liner", "drd",        "trouser_shell", "trouser_liner", "footwear",
	    "gloves",     "helmet",     "faceshield", "hood",          "hood"};
	struct member_part piece[11];
	for (int i = 0; i < 11; i++)
		piece[i] = (struct member_part){.component = 1 + i,
						.tag = "T",
						.kind = handbook_kind(hb, kinds[i]),
						.hazard = HAZARD_STRUCTURAL,
						.ensemble = 7,
						.state = STATE_IN_SERVICE,
						.ready_until = on("2026-06-30")};
	piece[9].state = STATE_AT_PROVIDER;
	piece[9].ready_until = DAY_NONE;
	piece[9].blocker_text = "At a provider.";
	piece[10].ensemble = 0;
	piece[10].holder = 3;
	const struct member_ensemble ensemble = {7, "E-7", HAZARD_STRUCTURAL, LINE_PRIMARY};
	struct member_facts m = {3, &ensemble, 1, piece, 10};
	struct readiness r;
	readiness_make(&r, &m, HAZARD_STRUCTURAL, hb, &arena);
	ck_assert_int_eq(r.ready_until, DAY_NONE);
	ck_assert_uint_eq(r.obstacle_count, 1);
	ck_assert_int_eq(r.obstacle[0].component, 10);
	m.part_count = 11;
	readiness_make(&r, &m, HAZARD_STRUCTURAL, hb, &arena);
	ck_assert_int_eq(r.ready_until, on("2026-06-30"));
}
END_TEST

/* E23. Decided: a question without an answer means the form is not finished. */
START_TEST(e23_drd_question_unanswered) {
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

/* --- running --------------------------------------------------------------------------------- */

static TCase *shipped_case(void) {
	TCase *c = tcase_create("handbook");
	tcase_add_checked_fixture(c, begin, end);
	tcase_add_loop_test(c, every_kind_has_its_check_list, 0,
			    (int)hb->kind_count * HAZARD_COUNT);
	tcase_add_test(c, groups_stay_together);
	tcase_add_test(c, every_value_has_a_source);
	tcase_add_test(c, every_seam_has_places);
	tcase_add_test(c, every_rule_set_makes_a_program);
	tcase_add_loop_test(c, outcomes_are_as_the_trade_has_them, 0,
			    sizeof settled / sizeof *settled);
	tcase_add_test(c, burnt_aluminized_fabric_makes_layers_beneath_due);
	return c;
}

/* --- repair or replace: worked by hand ----------------------------------------------- */

/*
 * The two rules are published (a city's maintenance manual; a fire-service guide of the
 * 1990s); straight-line loss of value over the age limit and whole months are decided.
 *
 * Made June 2020, today 15 June 2026: 72 whole months, of 120; 48 are left, 40 %. Of 1,200.00
 * that is 480.00. Half of a new one at 1,500.00 is 750.00.
 */
static struct advice_facts bought_for_1200(void) {
	struct advice_facts f = {.paid_cents = 120000,
				 .replacement_cents = 150000,
				 .quote_cents = 30000,
				 .repaired_cents = 18000,
				 .today = on("2026-06-15"),
				 .limit_months = 120,
				 .share_percent = ADVICE_SHARE_DEFAULT};
	label_date_parse("2020-06", &f.made);
	return f;
}

static struct advice advised(const struct advice_facts *f) {
	struct advice advice;
	advice_make(&advice, f, &arena);
	return advice;
}

static void ck_advice(const struct advice_facts *f, enum advice_outcome value,
		      enum advice_outcome share, enum advice_outcome both) {
	struct advice advice = advised(f);
	ck_assert_int_eq(advice.value.outcome, value);
	ck_assert_int_eq(advice.share.outcome, share);
	ck_assert_int_eq(advice.outcome, both);
}

START_TEST(advice_by_two_rules) {
	struct advice_facts f = bought_for_1200();
	/* 180.00 + 300.00 = 480.00, not over 480.00; 300.00 not over 750.00 */
	ck_advice(&f, ADVICE_REPAIR, ADVICE_REPAIR, ADVICE_REPAIR);
	ck_assert_str_eq(advised(&f).value.arithmetic,
			 "Paid 1200.00; 48 of 120 months of age are left, worth 480.00; repairs so "
			 "far 180.00 and the quote 300.00 make 480.00.");
	ck_assert_str_eq(advised(&f).share.arithmetic,
			 "The quote is 300.00; 50 % of the replacement price 1500.00 is 750.00.");
	f.quote_cents++;
	ck_advice(&f, ADVICE_REPLACE, ADVICE_REPAIR, ADVICE_REPLACE);
	f = bought_for_1200();
	f.repaired_cents = 0, f.paid_cents = 1000000, f.quote_cents = 75000;
	ck_advice(&f, ADVICE_REPAIR, ADVICE_REPAIR, ADVICE_REPAIR);
	f.quote_cents = 75001;
	ck_advice(&f, ADVICE_REPAIR, ADVICE_REPLACE, ADVICE_REPLACE);
	f.share_percent = 60; /* the department's own */
	ck_advice(&f, ADVICE_REPAIR, ADVICE_REPAIR, ADVICE_REPAIR);
}
END_TEST

START_TEST(advice_before_the_month_on_the_label) {
	struct advice_facts f = bought_for_1200();
	label_date_parse("2026-07", &f.made);
	ck_advice(&f, ADVICE_UNKNOWN, ADVICE_REPAIR, ADVICE_UNKNOWN);
	ck_assert_str_eq(advised(&f).value.arithmetic, "the month on the label has not come yet.");
}
END_TEST

START_TEST(advice_counts_repairs_of_unknown_cost) {
	struct advice_facts f = bought_for_1200();
	f.unpriced = 1;
	ck_advice(&f, ADVICE_UNKNOWN, ADVICE_REPAIR, ADVICE_UNKNOWN);
	ck_assert_ptr_nonnull(strstr(advised(&f).value.arithmetic, "What 1 earlier repair cost"));
	f.unpriced = 2;
	ck_assert_ptr_nonnull(strstr(advised(&f).value.arithmetic, "What 2 earlier repairs cost"));
}
END_TEST

START_TEST(advice_without_memory_says_less_but_the_same) {
	struct advice_facts f = bought_for_1200();
	struct advice advice;
	struct arena none;
	f.unpriced = 1;
	arena_init(&none, 1);
	advice_make(&advice, &f, &none);
	ck_assert_int_eq(advice.outcome, ADVICE_UNKNOWN);
	ck_assert_int_eq(advice.share.outcome, ADVICE_REPAIR);
	ck_assert(arena_failed(&none));
	arena_clear(&none);
}
END_TEST

START_TEST(advice_of_what_is_not_known) {
	struct advice_facts f = bought_for_1200();
	f.paid_cents = -1;
	ck_advice(&f, ADVICE_UNKNOWN, ADVICE_REPAIR, ADVICE_UNKNOWN);
	ck_assert_str_eq(advised(&f).value.arithmetic, "the price paid is not known.");
	f = bought_for_1200();
	f.made = (struct label_date){0};
	ck_advice(&f, ADVICE_UNKNOWN, ADVICE_REPAIR, ADVICE_UNKNOWN);
	ck_assert_str_eq(advised(&f).value.arithmetic, "the age is not known.");
	f = bought_for_1200();
	f.limit_months = 0;
	ck_advice(&f, ADVICE_UNKNOWN, ADVICE_REPAIR, ADVICE_UNKNOWN);
	f = bought_for_1200();
	f.replacement_cents = -1;
	ck_advice(&f, ADVICE_REPAIR, ADVICE_UNKNOWN, ADVICE_UNKNOWN);
	f = bought_for_1200();
	f.quote_cents = -1;
	ck_advice(&f, ADVICE_UNKNOWN, ADVICE_UNKNOWN, ADVICE_UNKNOWN);
	/* 480.01 on repairs already: no quote makes that less */
	f.repaired_cents = 48001;
	ck_advice(&f, ADVICE_REPLACE, ADVICE_UNKNOWN, ADVICE_REPLACE);
	/* a repair of unknown cost: what is known is too little to say, or enough already */
	f = bought_for_1200();
	f.unpriced = 1;
	ck_advice(&f, ADVICE_UNKNOWN, ADVICE_REPAIR, ADVICE_UNKNOWN);
	f.quote_cents = 30001;
	ck_advice(&f, ADVICE_REPLACE, ADVICE_REPAIR, ADVICE_REPLACE);
}
END_TEST

static int age(const char *made, const char *today) {
	struct label_date label = {0};
	label_date_parse(made, &label);
	return advice_age_months(label, on(today));
}

START_TEST(advice_counts_whole_months) {
	ck_assert_int_eq(age("2020-06", "2026-06-01"), 72);
	ck_assert_int_eq(age("2020-06", "2026-05-31"), 71);
	ck_assert_int_eq(age("2020-06-15", "2026-06-14"), 71);
	ck_assert_int_eq(age("2020-06-15", "2026-06-15"), 72);
	ck_assert_int_eq(age("2026-06", "2026-06-01"), 0);
	ck_assert_int_eq(age("2026-07", "2026-06-30"), -1);
	ck_assert_int_eq(age("", "2026-06-30"), -1);
	/* past its limit it is worth nothing: any repair is too much */
	struct advice_facts f = bought_for_1200();
	f.today = on("2031-06-01");
	ck_advice(&f, ADVICE_REPLACE, ADVICE_REPAIR, ADVICE_REPLACE);
}
END_TEST

static TCase *advice_case(void) {
	TCase *c = tcase_create("repair or replace");
	tcase_add_checked_fixture(c, begin, end);
	tcase_add_test(c, advice_by_two_rules);
	tcase_add_test(c, advice_of_what_is_not_known);
	tcase_add_test(c, advice_before_the_month_on_the_label);
	tcase_add_test(c, advice_counts_repairs_of_unknown_cost);
	tcase_add_test(c, advice_without_memory_says_less_but_the_same);
	tcase_add_test(c, advice_counts_whole_months);
	return c;
}

/* --- cleaning --------------------------------------------------------------------------- */

/* E19. Published: wash water at most 105 °F, pH 6.0 to 10.5, extraction at most 100 g (trade
 * press, cleaning guides; a laundry-equipment vendor's note on the 2020 edition). */
static const struct {
	int64_t water_f;
	int ph_hundredths, force_g;
	size_t beyond;
} washings[] = {
    {105, 0, 0, 0},  {106, 0, 0, 1}, {0, 600, 0, 0}, {0, 1050, 0, 0},    {0, 590, 0, 1},
    {0, 1060, 0, 1}, {0, 0, 100, 0}, {0, 0, 101, 1}, {106, 590, 101, 3},
};

START_TEST(e19_limits_of_a_wash) {
	const struct cleaning_limit *limit[CLEANING_LIMITS];
	struct washing w = {.kind = handbook_kind(hb, "coat_shell"),
			    .has_water = washings[_i].water_f != 0,
			    .water_mf = washings[_i].water_f * 1000,
			    .ph_hundredths = washings[_i].ph_hundredths,
			    .force_g = washings[_i].force_g};
	ck_assert_uint_eq(cleaning_beyond(&w, limit), washings[_i].beyond);
	for (size_t i = 0; i < washings[_i].beyond; i++) ck_assert_ptr_nonnull(limit[i]->source);
	/* 40 °C, as the same guides have it, is within. */
	ck_assert(unit_keep(UNIT_CELSIUS, 40000, &w.water_mf));
	w = (struct washing){.kind = w.kind, .has_water = true, .water_mf = w.water_mf};
	ck_assert_uint_eq(cleaning_beyond(&w, limit), 0);
	/* Published: aluminized shells are never machine washed (trade press on 2008); helmets and
	 * boots by hand (from memory); no chlorine bleach. */
	w.by_machine = true;
	ck_assert_uint_eq(cleaning_beyond(&w, limit), 0);
	w.reflective = true;
	ck_assert_uint_eq(cleaning_beyond(&w, limit), 1);
	/* From memory: dried in air of at most 105 °F; published (the same trade press): aluminized
	 * shells are never machine dried. */
	struct washing dry = {
	    .kind = w.kind, .has_dry = true, .dry_mf = 105000, .machine_dried = true};
	ck_assert_uint_eq(cleaning_beyond(&dry, limit), 0);
	dry.dry_mf = 106000;
	ck_assert_uint_eq(cleaning_beyond(&dry, limit), 1);
	dry.reflective = true;
	ck_assert_uint_eq(cleaning_beyond(&dry, limit), 2);
	w.kind = handbook_kind(hb, "footwear");
	w.bleach = true;
	ck_assert_uint_eq(cleaning_beyond(&w, limit), 3);
}
END_TEST

/* E20. Worked out: 1.118e-5 r rpm^2 gives 100 g at 473 turns of 40 cm, 546 of 30, 423 of 50. */
START_TEST(e20_force_of_a_drum) {
	static const int drum[][2] = {{400, 473}, {300, 546}, {500, 423}};
	for (size_t i = 0; i < sizeof drum / sizeof *drum; i++) {
		ck_assert_int_eq(cleaning_force_g(drum[i][0], drum[i][1]), 100);
		ck_assert_int_gt(cleaning_force_g(drum[i][0], drum[i][1] + 3), 100);
		ck_assert_int_lt(cleaning_force_g(drum[i][0], drum[i][1] - 3), 100);
	}
}
END_TEST

static TCase *example_case(void) {
	TCase *c = tcase_create("worked examples");
	tcase_add_checked_fixture(c, begin, end);
	tcase_add_test(c, e1_helmet_of_june_2016);
	tcase_add_test(c, e2_bought_later_than_made);
	tcase_add_test(c, e3_reflective_shell_ages_faster);
	tcase_add_test(c, e4_replacement_liner_has_its_own_limit);
	tcase_add_test(c, e5_advanced_inspection_every_twelve_months);
	tcase_add_test(c, e6_leap_day);
	tcase_add_test(c, e7_reserve_coat);
	tcase_add_test(c, e8_complete_liner_inspection);
	tcase_add_test(c, e9_two_readings_of_two_a_year);
	tcase_add_test(c, e10_editions_differ);
	tcase_add_test(c, e11_washington);
	tcase_add_loop_test(c, e12_to_e14_repair_classes, 0, sizeof repairs / sizeof *repairs);
	tcase_add_test(c, e22_hood_away_and_loaner_issued);
	tcase_add_test(c, e23_drd_question_unanswered);
	tcase_add_loop_test(c, e19_limits_of_a_wash, 0, sizeof washings / sizeof *washings);
	tcase_add_test(c, e20_force_of_a_drum);
	tcase_add_test(c, e28_unknown_age_is_never_fine);
	return c;
}

/* The handbook, through the store's own loader, from the migrations as shipped. */
static bool load_handbook(void) {
	struct fault f = {.code = ERR_OK};
	struct store *st = NULL;
	arena_init(&shipped, LIMIT_ARENA_BYTES_MAX);
	if (!mkdtemp(data_dir)) return false;
	enum err e = store_open(&st, data_dir, PEGWARDEN_SRCDIR "/migrations", STORE_WRITE, &f);
	if (e == ERR_OK) e = handbook_load(st, &shipped, &hb, &f);
	if (e != ERR_OK) fprintf(stderr, "The handbook does not load: %s\n", f.message);
	store_close(st);
	return e == ERR_OK;
}

static void remove_data(void) {
	static const char *const file[] = {"pegwarden.db", "pegwarden.db-wal", "pegwarden.db-shm",
					   "pegwarden.lock"};
	char path[sizeof data_dir + 32];
	for (size_t i = 0; i < sizeof file / sizeof *file; i++) {
		snprintf(path, sizeof path, "%s/%s", data_dir, file[i]);
		unlink(path);
	}
	rmdir(data_dir);
}

int main(void) {
	int failed = 1;
	if (load_handbook()) {
		Suite *s = suite_create("reference: the trade");
		suite_add_tcase(s, shipped_case());
		suite_add_tcase(s, example_case());
		suite_add_tcase(s, advice_case());
		SRunner *runner = srunner_create(s);
		srunner_run_all(runner, CK_NORMAL);
		failed = srunner_ntests_failed(runner);
		srunner_free(runner);
	}
	arena_clear(&shipped);
	remove_data();
	return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
