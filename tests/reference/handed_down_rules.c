/*
 * Rules from memory: handed down in the trade, recalled, not looked up.
 *
 *   reflective outer shell   five years from manufacture (recalled as NFPA 1851, 10.1), the liner
 *                            and all else ten
 *   drying                   air of at most 105 degrees Fahrenheit
 *   helmets, boots           washed by hand
 *   leakage evaluation       one part of rubbing alcohol to six of water, a cup on each spot, three
 *                            minutes
 *   water penetration        1 psi for 15 s; any water that passes fails it. Less is no test
 *   flashlight test          from about 40 ft (12 m), beside a new sample
 *   light evaluation         a spot is a suspect, confirmed by opening the liner
 *   liners                   opened, too, whenever an advanced inspection indicates a problem
 *   gloves, footwear         inspected as a pair and replaced as a pair
 *   special incident         what was worn stays as it was found: no inspection, whatever it says,
 *                            and no lapse of time gives it back
 *   helmet                   after a severe impact retired, or the maker is asked
 */
#include "trade.h"

#include <string.h>

#include "rules/verdict.h"

/* Decided: strict reading. */
START_TEST(reflective_shell_ages_faster) {
	struct component_facts shell = in_use("coat_shell", "2021-09");
	struct component_facts liner = in_use("coat_liner", "2021-09");
	shell.reflective = true;
	ck_assert_str_eq(due(&shell, DUTY_RETIREMENT), "2026-08-31");
	ck_assert_str_eq(due(&liner, DUTY_RETIREMENT), "2031-08-31");
	/* To be confirmed: overcover and shroud are aluminized outer shells too;
	 * reflective gloves, footwear and faceshields keep ten years unless set tighter. */
	struct component_facts c = in_use("shroud", "2021-09");
	ck_assert_str_eq(due(&c, DUTY_RETIREMENT), "2026-08-31"); /* there is no other sort */
	c.kind = handbook_kind(hb, "overcover");
	ck_assert_str_eq(due(&c, DUTY_RETIREMENT), "2026-08-31");
	c.reflective = true;
	ck_assert_str_eq(due(&c, DUTY_RETIREMENT), "2026-08-31");
	c.kind = handbook_kind(hb, "gloves");
	ck_assert_str_eq(due(&c, DUTY_RETIREMENT), "2031-08-31");
	follow("retirement_reflective_gloves_first_months", "60");
	ck_assert_str_eq(due(&c, DUTY_RETIREMENT), "2026-08-31");
}
END_TEST

START_TEST(dried_in_mild_air) {
	struct cleaning_limit limit[CLEANING_LIMITS];
	struct washing w = {
	    .kind = handbook_kind(hb, "coat_shell"), .has_dry = true, .dry_mf = 105000};
	ck_assert_uint_eq(washed_beyond(&w, limit), 0);
	w.dry_mf = 106000;
	ck_assert_uint_eq(washed_beyond(&w, limit), 1);
	ck_assert_str_eq(limit[0].text, "Air it is dried in at most 105 °F (40.56 °C)");
}
END_TEST

START_TEST(washed_by_hand) {
	static const char *const by_hand[] = {"helmet", "footwear"};
	struct cleaning_limit limit[CLEANING_LIMITS];
	for (int i = 0; i < 2; i++) {
		struct washing w = {.kind = handbook_kind(hb, by_hand[i])};
		ck_assert_uint_eq(washed_beyond(&w, limit), 0);
		w.by_machine = true;
		ck_assert_uint_eq(washed_beyond(&w, limit), 1);
	}
}
END_TEST

static struct field_test leakage(enum unit unit, int64_t alcohol, int64_t water, int64_t amount,
				 int64_t seconds) {
	struct field_test t = {.test = TEST_LEAKAGE};
	measured(&t, MEASURE_ALCOHOL, unit, alcohol * 1000);
	measured(&t, MEASURE_WATER, unit, water * 1000);
	measured(&t, MEASURE_AMOUNT, unit, amount * 1000);
	measured(&t, MEASURE_TIME, UNIT_SECOND, seconds * 1000);
	return t;
}

START_TEST(leakage_of_a_mixture) {
	struct field_test millilitres = leakage(UNIT_MILLILITRE, 100, 600, 240, 180);
	struct field_test cups = leakage(UNIT_FLUID_OUNCE, 8, 48, 8, 180);
	struct field_test short_of_it = leakage(UNIT_MILLILITRE, 100, 600, 240, 170);
	ck_assert_str_eq(comes_to(&millilitres), "pass");
	ck_assert_str_eq(comes_to(&cups), "pass");
	ck_assert_str_eq(comes_to(&short_of_it), "not_valid");
	millilitres.sign = true;
	ck_assert_str_eq(comes_to(&millilitres), "fail");
}
END_TEST

START_TEST(water_under_pressure) {
	static const struct {
		int64_t psi, seconds;
		bool droplet;
		const char *result;
	} done[] = {{1000, 15, true, "fail"},      {1000, 15, false, "pass"},
		    {800, 15, false, "not_valid"}, {1000, 10, false, "not_valid"},
		    {800, 15, true, "not_valid"},  {1000, 10, true, "not_valid"}};
	for (size_t i = 0; i < sizeof done / sizeof *done; i++) {
		struct field_test t = {.test = TEST_WATER, .sign = done[i].droplet};
		measured(&t, MEASURE_PRESSURE, UNIT_PSI, done[i].psi);
		measured(&t, MEASURE_TIME, UNIT_SECOND, done[i].seconds * 1000);
		ck_assert_str_eq(comes_to(&t), done[i].result);
	}
}
END_TEST

START_TEST(trim_and_light) {
	struct field_test t = {.test = TEST_TRIM, .compared = true};
	measured(&t, MEASURE_DISTANCE, UNIT_FOOT, 40000);
	ck_assert_str_eq(comes_to(&t), "pass");
	measured(&t, MEASURE_DISTANCE, UNIT_METRE, 12000);
	ck_assert_str_eq(comes_to(&t), "pass");
	t.compared = false;
	ck_assert_str_eq(comes_to(&t), "not_valid");
	struct field_test light = {.test = TEST_LIGHT, .sign = true};
	ck_assert_str_eq(comes_to(&light), "suspect");
}
END_TEST

static const char *const paired[] = {"gloves", "footwear"};
#define PAIRED (sizeof paired / sizeof *paired)

/* Nothing but another pair ends what is wrong with a pair: no outcome brings back one of it. */
static void ends_with_another_pair(const struct check_point *point, const char *defect) {
	struct allowed_outcome allowed[ALLOWED_OUTCOMES_MAX];
	const struct subject_defect *d = subject_defect_find(point->subject, defect);
	ck_assert_ptr_nonnull(d);
	for (size_t i = 0; i < allowed_outcomes(d, allowed); i++) {
		ck_assert(allowed[i].outcome->blocks);
		ck_assert_int_eq(allowed[i].outcome->closed_by, CLOSED_BY_RETIREMENT);
	}
}

START_TEST(asked_as_a_pair) {
	static const enum inspection_kind each[] = {INSPECTION_ROUTINE, INSPECTION_ADVANCED,
						    INSPECTION_RETURN};
	for (int h = 0; h < HAZARD_COUNT; h++) {
		struct part_subject s = {.kind = handbook_kind(hb, paired[_i])};
		const struct check_point *point =
		    checklist_point(list_of(paired[_i], (enum hazard)h), "pair");
		ck_assert_ptr_nonnull(point);
		for (size_t i = 0; i < sizeof each / sizeof *each; i++) {
			s.inspection = each[i];
			ck_assert_msg(point_is_asked(point, &s), "%s, %s inspection", paired[_i],
				      inspection_kind_word[each[i]]);
		}
		ends_with_another_pair(point, "incomplete_pair");
		ends_with_another_pair(point, "not_a_pair");
	}
}
END_TEST

/* Every place is one of the left or the right, and the other has it too: so both are looked at,
 * and the record says which of the two it was. */
START_TEST(places_of_both) {
	const struct kind *k = handbook_kind(hb, paired[_i]);
	size_t left = 0, right = 0;
	for (size_t i = 0; i < hb->zone_count; i++) {
		const struct zone *z = &hb->zone[i];
		if (z->kind != k) continue;
		bool is_left = strncmp(z->code, "left_", 5) == 0;
		const char *place = strchr(z->code, '_');
		ck_assert(is_left || strncmp(z->code, "right_", 6) == 0);
		ck_assert_ptr_nonnull(handbook_zone(
		    hb, k, arena_printf(&arena, "%s%s", is_left ? "right" : "left", place)));
		*(is_left ? &left : &right) += 1;
	}
	ck_assert_uint_gt(left, 0);
	ck_assert_uint_eq(left, right);
}
END_TEST

START_TEST(opened_when_an_inspection_finds_it_suspect) {
	const char *at[] = {"light", "barrier"}, *what[] = {"light_spot", "discolored"};
	struct component_facts c = in_use("coat_liner", "2024-02");
	c.in_service_on = on("2024-05-10");
	for (int i = 0; i < 2; i++) {
		const struct subject_defect *d =
		    defect_at("coat_liner", HAZARD_STRUCTURAL, at[i], what[i]);
		const struct open_finding fd = {.outcome = d->outcome,
						.found_on = on("2025-05-01")};
		c.finding = &fd;
		c.finding_count = 1;
		ck_assert_str_eq(due(&c, DUTY_LINER_INSPECTION), "2025-05-01");
	}
}
END_TEST

/* That nothing of it can be changed is asked of every act of the server: tests/web/hold.test.mjs.
 */
START_TEST(held_as_it_was_found) {
	struct component_facts c = in_use("helmet", "2024-02");
	c.in_service_on = on("2024-05-10");
	c.hold_incident = "Hangar fire";
	c.held_on = on("2025-05-01");
	struct standing s;
	duty_list_make(&duties, &c, followed(), &arena);
	standing_make(&s, &c, &duties, hb, &arena);
	ck_assert_str_eq(service_state_word[s.state], "held");
	ck_assert_int_eq(s.ready_until, DAY_NONE);
	ck_assert_uint_eq(s.blocker_count, 1);
	const struct checklist *list = list_of("helmet", HAZARD_STRUCTURAL);
	enum answer answer[64];
	ck_assert_uint_le(list->point_count, 64);
	for (size_t i = 0; i < 64; i++) answer[i] = ANSWER_SOUND;
	for (int kind = 0; kind < INSPECTION_KIND_COUNT; kind++) {
		const struct part_record part = {
		    .subject = {.kind = c.kind, .inspection = (enum inspection_kind)kind},
		    .checklist = list,
		    .clean = AGREES_YES,
		    .answer = answer,
		    .before = &s};
		struct verdict v;
		verdict_make(&v, &part, hb, &arena);
		ck_assert_str_eq(conclusion_word[v.conclusion], "out_of_service");
		ck_assert_str_eq(v.blocker[0].code, "special_incident_hold");
	}
}
END_TEST

START_TEST(struck_hard) {
	const struct subject_defect *d =
	    defect_at("helmet", HAZARD_STRUCTURAL, "shell_heat", "impact");
	struct allowed_outcome allowed[ALLOWED_OUTCOMES_MAX];
	ck_assert_uint_eq(allowed_outcomes(d, allowed), 2);
	ck_assert(allowed[0].is_default && allowed[0].outcome->retires);
	ck_assert_str_eq(allowed[1].outcome->code, "ask_maker");
	ck_assert(allowed[1].needs_reason && allowed[1].outcome->blocks);
}
END_TEST

TCase *handed_down_rules_case(void) {
	TCase *c = trade_case("from memory");
	tcase_add_test(c, reflective_shell_ages_faster);
	tcase_add_test(c, dried_in_mild_air);
	tcase_add_test(c, washed_by_hand);
	tcase_add_test(c, leakage_of_a_mixture);
	tcase_add_test(c, water_under_pressure);
	tcase_add_test(c, trim_and_light);
	tcase_add_loop_test(c, asked_as_a_pair, 0, PAIRED);
	tcase_add_loop_test(c, places_of_both, 0, PAIRED);
	tcase_add_test(c, opened_when_an_inspection_finds_it_suspect);
	tcase_add_test(c, struck_hard);
	tcase_add_test(c, held_as_it_was_found);
	return c;
}
