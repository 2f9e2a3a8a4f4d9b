#include "base/limits.h"
#include "rules.h"
#include "rules/kind.h"
#include "rules/readiness.h"

#define ME 1
#define OTHER 2

static struct arena arena;
static const struct handbook *hb;
static struct member_part part[12];
static struct member_ensemble ensemble[3];
static struct member_facts m;
static struct readiness r;

static struct member_part new_part(int64_t id, const char *kind, int64_t in) {
	char *tag = arena_printf(&arena, "T-%d", (int)id);
	return (struct member_part){.component = id,
				    .tag = tag,
				    .kind = handbook_kind(hb, kind),
				    .hazard = HAZARD_STRUCTURAL,
				    .label = {"Norr", "A1", "42R"},
				    .ensemble = in,
				    .state = STATE_IN_SERVICE,
				    .ready_until = on("2026-06-30")};
}

/* coat shell, coat liner, helmet, goggles, hood: a complete structural ensemble */
static void begin(void) {
	static const char *const kinds[] = {"coat_shell", "coat_liner", "helmet", "goggles",
					    "hood"};
	arena_init(&arena, LIMIT_ARENA_BYTES_MAX);
	hb = small_handbook(&arena);
	for (int i = 0; i < 5; i++) part[i] = new_part(10 + i, kinds[i], 100);
	ensemble[0] = (struct member_ensemble){100, "E-100", HAZARD_STRUCTURAL, LINE_PRIMARY};
	m = (struct member_facts){
	    .member = ME, .ensemble = ensemble, .ensemble_count = 1, .part = part, .part_count = 5};
}

static void end(void) { arena_clear(&arena); }

static void look(void) { readiness_make(&r, &m, HAZARD_STRUCTURAL, hb, &arena); }

/* Not ready, for exactly this reason. */
static void only(const char *code, int64_t component, const char *text) {
	look();
	ck_assert_int_eq(r.ready_until, DAY_NONE);
	ck_assert_uint_eq(r.obstacle_count, 1);
	ck_assert_str_eq(r.obstacle[0].code, code);
	ck_assert_int_eq(r.obstacle[0].component, component);
	ck_assert_int_eq(r.obstacle[0].from, DAY_NONE);
	ck_assert_msg(strstr(r.obstacle[0].text, text), "\"%s\" lacks \"%s\"", r.obstacle[0].text,
		      text);
}

static void ready(const char *until, int64_t in) {
	look();
	ck_assert_int_eq(r.ready_until, on(until));
	ck_assert_int_eq(r.ensemble, in);
}

static void block(struct member_part *p, const char *text) {
	p->ready_until = DAY_NONE;
	p->state = STATE_OUT_OF_SERVICE;
	p->blocker_text = text;
}

START_TEST(complete_until_the_first_lapses) {
	part[2].ready_until = on("2026-03-15");
	ready("2026-03-15", 100);
	ck_assert_uint_eq(r.obstacle_count, 1);
	ck_assert_str_eq(r.obstacle[0].code, "lapses");
	ck_assert_int_eq(r.obstacle[0].from, on("2026-03-16"));
	ck_assert_int_eq(r.obstacle[0].component, 12);
	ck_assert_str_eq(r.obstacle[0].text, "Helmet T-12 is in date until 2026-03-15.");
}
END_TEST

START_TEST(nothing_ends_it) {
	for (int i = 0; i < 5; i++) part[i].ready_until = DAY_MAX;
	look();
	ck_assert_int_eq(r.ready_until, DAY_MAX);
	ck_assert_uint_eq(r.obstacle_count, 0);
}
END_TEST

START_TEST(missing_part) {
	m.part_count = 4;
	only("missing", 0, "Hood: none.");
	ck_assert_int_eq(r.ensemble, 100);
}
END_TEST

START_TEST(any_alternative_fills_a_slot) {
	part[3].kind = handbook_kind(hb, "faceshield");
	ready("2026-06-30", 100);
	part[3].kind = handbook_kind(hb, "overcover");
	only("missing", 0, "Faceshield or goggles: none.");
}
END_TEST

START_TEST(blocked_part) {
	block(&part[4], "Not clean when inspected.");
	only("blocked", 14, "Hood T-14: Not clean when inspected.");
	part[4].blocker_text = NULL;
	only("blocked", 14, "Hood T-14: Out of service");
}
END_TEST

START_TEST(every_obstacle_is_named) {
	block(&part[2], "Cracked.");
	block(&part[4], "Torn.");
	m.part = part + 1; /* no shell */
	m.part_count = 4;
	look();
	ck_assert_uint_eq(r.obstacle_count, 3);
	ck_assert_str_eq(r.obstacle[0].code, "missing");
	ck_assert_int_eq(r.obstacle[1].component, 12);
	ck_assert_int_eq(r.obstacle[2].component, 14);
}
END_TEST

START_TEST(a_gap_at_any_place_stands_in_the_way) {
	m.fit[HAZARD_STRUCTURAL].at[_i].is_gap = true;
	m.fit[HAZARD_STRUCTURAL].at[_i].text = "Skin shows.";
	only("gap", 0, "Skin shows.");
}
END_TEST

START_TEST(a_gap_when_worn_stands_in_the_way) {
	for (int i = 0; i < INTERFACE_COUNT; i++) {
		m.fit[HAZARD_PROXIMITY].at[i].id = 6;
		m.fit[HAZARD_PROXIMITY].at[i].is_gap = true;
	}
	ready("2026-06-30", 100);
	m.fit[HAZARD_STRUCTURAL].at[INTERFACE_TROUSERS_BOOTS].id = 7;
	ready("2026-06-30", 100);
	m.fit[HAZARD_STRUCTURAL].at[INTERFACE_TROUSERS_BOOTS].is_gap = true;
	m.fit[HAZARD_STRUCTURAL].at[INTERFACE_TROUSERS_BOOTS].text = "A leg rides up.";
	only("gap", 0, "A leg rides up.");
	ck_assert_int_eq(r.obstacle[0].fit_check, 7);
	ck_assert_int_eq(r.ensemble, 100);
	block(&part[4], "Torn.");
	look();
	ck_assert_uint_eq(r.obstacle_count, 2);
	ck_assert_str_eq(r.obstacle[0].code, "blocked");
	ck_assert_int_eq(r.obstacle[0].fit_check, 0);
	ck_assert_str_eq(r.obstacle[1].code, "gap");
	m.ensemble_count = 0;
	m.part_count = 0;
	look();
	ck_assert_str_eq(r.obstacle[0].code, "no_ensemble");
	ck_assert_str_eq(r.obstacle[1].code, "gap");
}
END_TEST

START_TEST(wrong_hazard_does_not_count) {
	part[4].hazard = HAZARD_PROXIMITY;
	only("missing", 0, "Hood");
}
END_TEST

START_TEST(part_in_other_hands_does_not_count) {
	part[4].holder = OTHER;
	part[4].holder_name = "Bo Example";
	only("held_by_other", 14, "issued to Bo Example");
	part[4].holder_name = NULL;
	only("held_by_other", 14, "issued to somebody else");
	part[4].holder = ME;
	ready("2026-06-30", 100);
	part[4].ensemble = 999; /* somebody else's ensemble, but issued to this member */
	ready("2026-06-30", 100);
	part[4].holder = 0;
	only("missing", 0, "Hood");
}
END_TEST

START_TEST(loaner_fills_the_gap) {
	block(&part[4], "At the provider.");
	part[5] = new_part(50, "hood", 0);
	part[5].holder = ME;
	m.part_count = 6;
	ready("2026-06-30", 100);
	/* Its own part is preferred when both are as good. */
	part[4].ready_until = part[5].ready_until = on("2026-01-31");
	look();
	ck_assert_int_eq(r.obstacle[0].component, 14);
	struct member_part own = part[4];
	part[4] = part[5];
	part[5] = own;
	look();
	ck_assert_int_eq(r.obstacle[0].component, 14);
}
END_TEST

START_TEST(of_two_equals_the_first_is_kept) {
	part[5] = new_part(52, "hood", 100);
	part[5].ready_until = part[4].ready_until = on("2026-01-31");
	m.part_count = 6;
	look();
	ck_assert_int_eq(r.obstacle[0].component, 14);
}
END_TEST

START_TEST(liner_of_another_size) {
	part[1].label.size = "44R";
	only("misfit", 11, "size \"42R\" and \"44R\"");
}
END_TEST

START_TEST(fitting_part_is_preferred) {
	part[1].label.size = "44R";
	part[5] = new_part(51, "coat_liner", 0);
	part[5].holder = ME;
	part[5].ready_until = on("2026-02-01");
	m.part_count = 6;
	ready("2026-02-01", 100);
	struct member_part own = part[1]; /* whatever their order */
	part[1] = part[5];
	part[5] = own;
	ready("2026-02-01", 100);
}
END_TEST

START_TEST(loaner_coat_comes_with_its_liner) {
	/* The own liner is out; a whole loaner coat of another size is lent. */
	block(&part[1], "Leaks.");
	part[5] = new_part(60, "coat_shell", 0);
	part[6] = new_part(61, "coat_liner", 0);
	part[5].holder = part[6].holder = ME;
	part[5].label.size = part[6].label.size = "44R";
	part[5].ready_until = part[6].ready_until = on("2026-02-01");
	m.part_count = 7;
	ready("2026-02-01", 100);
	/* A loaner shell alone does not help. */
	m.part_count = 6;
	look();
	ck_assert_int_eq(r.ready_until, DAY_NONE);
}
END_TEST

START_TEST(second_ensemble_steps_in) {
	block(&part[4], "Torn.");
	for (int i = 0; i < 5; i++) {
		part[5 + i] = part[i];
		part[5 + i].component += 10;
		part[5 + i].ensemble = 200;
		part[5 + i].ready_until = on("2026-01-31");
	}
	ensemble[1] = (struct member_ensemble){200, "E-200", HAZARD_STRUCTURAL, LINE_SECOND};
	ensemble[2] = (struct member_ensemble){300, "E-300", HAZARD_PROXIMITY, LINE_PRIMARY};
	m.ensemble_count = 3;
	m.part_count = 10;
	ready("2026-01-31", 200);
	block(&part[9], "Torn too.");
	look(); /* both lack a hood: the primary one is shown */
	ck_assert_int_eq(r.ensemble, 100);
	block(&part[3], "Cracked.");
	look(); /* the second lacks less */
	ck_assert_int_eq(r.ensemble, 200);
	/* Whatever their order. */
	struct member_ensemble first = ensemble[0];
	ensemble[0] = ensemble[1];
	ensemble[1] = first;
	look();
	ck_assert_int_eq(r.ensemble, 200);
	part[3].ready_until = on("2026-01-31");
	look();
	ck_assert_int_eq(r.ensemble, 100);
}
END_TEST

START_TEST(issued_parts_alone_can_be_enough) {
	m.ensemble_count = 0;
	only("no_ensemble", 0, "No structural ensemble");
	ck_assert_int_eq(r.ensemble, 0);
	for (int i = 0; i < 5; i++) part[i].holder = ME;
	ready("2026-06-30", 0);
	part[4].holder = 0;
	only("missing", 0, "Hood");
	/* An ensemble that adds nothing is still shown as the one that counts. */
	m.ensemble_count = 1;
	ensemble[0].id = 777;
	only("missing", 0, "Hood");
	ck_assert_int_eq(r.ensemble, 777);
}
END_TEST

START_TEST(proximity_asks_for_reflective_parts) {
	part[0].hazard = part[1].hazard = HAZARD_PROXIMITY;
	part[1].kind = handbook_kind(hb, "overcover");
	ensemble[0].hazard = HAZARD_PROXIMITY;
	readiness_make(&r, &m, HAZARD_PROXIMITY, hb, &arena);
	ck_assert_int_eq(r.ready_until, DAY_NONE);
	ck_assert_str_eq(r.obstacle[0].text, "Reflective coat shell: none.");
	part[0].reflective = true;
	readiness_make(&r, &m, HAZARD_PROXIMITY, hb, &arena);
	ck_assert_int_eq(r.ready_until, on("2026-06-30"));
}
END_TEST

START_TEST(without_memory_no_obstacle_but_no_lie) {
	struct arena none;
	arena_init(&none, 1);
	block(&part[4], "Torn.");
	readiness_make(&r, &m, HAZARD_STRUCTURAL, hb, &none);
	ck_assert(arena_failed(&none));
	ck_assert_int_eq(r.ready_until, DAY_NONE);
	ck_assert_uint_eq(r.obstacle_count, 0);
	arena_clear(&none);
}
END_TEST

START_TEST(every_slot_there_can_be_is_looked_at) {
	struct handbook full;
	small_handbook_rows(&full, &arena);
	struct requirement *r_of = arena_array(&arena, struct requirement, SLOTS_MAX + 1);
	for (int i = 0; i < SLOTS_MAX; i++)
		r_of[i] = (struct requirement){HAZARD_STRUCTURAL,
					       arena_printf(&arena, "slot%d", i),
					       "Slot",
					       "hood",
					       WANTS_EITHER,
					       NULL};
	r_of[SLOTS_MAX] =
	    (struct requirement){HAZARD_PROXIMITY, "hood", "Hood", "hood", WANTS_EITHER, NULL};
	full.requirement = r_of;
	full.requirement_count = SLOTS_MAX + 1;
	ck_assert_int_eq(handbook_link(&full, NULL), ERR_OK);
	m.part_count = 0;
	readiness_make(&r, &m, HAZARD_STRUCTURAL, &full, &arena);
	ck_assert_int_eq(r.ready_until, DAY_NONE);
	ck_assert_uint_eq(r.obstacle_count, SLOTS_MAX);
	m.part = &part[4]; /* one hood for all */
	part[4].kind = handbook_kind(&full, "hood");
	m.part_count = 1;
	readiness_make(&r, &m, HAZARD_STRUCTURAL, &full, &arena);
	ck_assert_int_eq(r.ready_until, on("2026-06-30"));
}
END_TEST

START_TEST(the_first_part_counts_like_any) {
	part[0].ready_until = on("2026-03-15");
	ready("2026-03-15", 100);
	ck_assert_str_eq(r.obstacle[0].code, "lapses");
	ck_assert_int_eq(r.obstacle[0].component, 10);
	part[0].holder = OTHER;
	only("held_by_other", 10, "issued to somebody else");
}
END_TEST

START_TEST(an_ensemble_against_something_else_is_none) {
	ensemble[0].hazard = HAZARD_PROXIMITY;
	only("no_ensemble", 0, "No structural ensemble");
	ck_assert_int_eq(r.ensemble, 0);
}
END_TEST

/* Of two liners that fit, whatever their order. */
START_TEST(longest_lasting_part_is_preferred) {
	part[5] = new_part(51, "coat_liner", 0);
	part[5].holder = ME;
	part[1].ready_until = on("2026-02-01");
	m.part_count = 6;
	ready("2026-06-30", 100);
	part[1].ready_until = on("2026-06-30");
	part[5].ready_until = on("2026-02-01");
	ready("2026-06-30", 100);
}
END_TEST

/* The own liner is out, and a whole loaner coat is lent: it comes first or last. */
static void lend_coat(bool first) {
	struct member_part loaner[2] = {new_part(60, "coat_shell", 0),
					new_part(61, "coat_liner", 0)};
	for (int i = 0; i < 2; i++) {
		loaner[i].holder = ME;
		loaner[i].label.size = "44R";
		loaner[i].ready_until = on("2026-02-01");
	}
	block(&part[1], "Leaks.");
	if (first) memmove(&part[2], &part[0], 5 * sizeof *part);
	memcpy(&part[first ? 0 : 5], loaner, sizeof loaner);
	m.part_count = 7;
}

START_TEST(what_else_is_wrong_does_not_keep_a_loaner_coat_out) {
	block(&part[2], "Cracked.");
	lend_coat(false);
	only("blocked", 12, "Cracked.");
}
END_TEST

START_TEST(loaner_coat_may_come_first) {
	lend_coat(true);
	ready("2026-02-01", 100);
}
END_TEST

/* Slots stand in any order, and what goes into a shell may be any of their alternatives. */
START_TEST(liner_is_asked_for_before_its_shell) {
	struct handbook rows;
	small_handbook_rows(&rows, &arena);
	struct requirement shell = rows.requirement[0], liner = rows.requirement[1];
	rows.requirement[0] = liner;
	rows.requirement[0].kind_code = "overcover";
	rows.requirement[1] = liner;
	rows.requirement[2] = shell; /* no helmet is asked for */
	ck_assert_int_eq(handbook_link(&rows, NULL), ERR_OK);
	for (int i = 0; i < 5; i++) part[i].kind = handbook_kind(&rows, part[i].kind->code);
	readiness_make(&r, &m, HAZARD_STRUCTURAL, &rows, &arena);
	ck_assert_int_eq(r.ready_until, on("2026-06-30"));
	part[1].label.size = "44R";
	readiness_make(&r, &m, HAZARD_STRUCTURAL, &rows, &arena);
	ck_assert_int_eq(r.ready_until, DAY_NONE);
	ck_assert_str_eq(r.obstacle[0].code, "misfit");
	hb = &rows;
	part[1].label.size = "42R";
	lend_coat(false);
	readiness_make(&r, &m, HAZARD_STRUCTURAL, &rows, &arena);
	ck_assert_int_eq(r.ready_until, on("2026-02-01"));
}
END_TEST

START_TEST(the_longer_ready_ensemble_counts) {
	for (int i = 0; i < 5; i++) {
		part[5 + i] = part[i];
		part[5 + i].ensemble = 200;
		part[5 + i].ready_until = on("2026-03-15");
	}
	ensemble[1] = (struct member_ensemble){200, "E-200", HAZARD_STRUCTURAL, LINE_PRIMARY};
	m.ensemble_count = 2;
	m.part_count = 10;
	ready("2026-06-30", 100);
	/* Of two that are alike, the first. */
	for (int i = 0; i < 5; i++) part[i].ready_until = on("2026-03-15");
	ready("2026-03-15", 100);
}
END_TEST

Suite *rules_readiness_suite(void) {
	Suite *s = suite_create("rules/readiness");
	TCase *c = tcase_create("readiness");
	tcase_add_checked_fixture(c, begin, end);
	tcase_add_test(c, complete_until_the_first_lapses);
	tcase_add_test(c, nothing_ends_it);
	tcase_add_test(c, missing_part);
	tcase_add_test(c, any_alternative_fills_a_slot);
	tcase_add_test(c, blocked_part);
	tcase_add_test(c, every_obstacle_is_named);
	tcase_add_loop_test(c, a_gap_at_any_place_stands_in_the_way, 0, INTERFACE_COUNT);
	tcase_add_test(c, a_gap_when_worn_stands_in_the_way);
	tcase_add_test(c, wrong_hazard_does_not_count);
	tcase_add_test(c, part_in_other_hands_does_not_count);
	tcase_add_test(c, loaner_fills_the_gap);
	tcase_add_test(c, of_two_equals_the_first_is_kept);
	tcase_add_test(c, liner_of_another_size);
	tcase_add_test(c, fitting_part_is_preferred);
	tcase_add_test(c, loaner_coat_comes_with_its_liner);
	tcase_add_test(c, second_ensemble_steps_in);
	tcase_add_test(c, issued_parts_alone_can_be_enough);
	tcase_add_test(c, proximity_asks_for_reflective_parts);
	tcase_add_test(c, every_slot_there_can_be_is_looked_at);
	tcase_add_test(c, longest_lasting_part_is_preferred);
	tcase_add_test(c, what_else_is_wrong_does_not_keep_a_loaner_coat_out);
	tcase_add_test(c, loaner_coat_may_come_first);
	tcase_add_test(c, liner_is_asked_for_before_its_shell);
	tcase_add_test(c, the_longer_ready_ensemble_counts);
	tcase_add_test(c, without_memory_no_obstacle_but_no_lie);
	tcase_add_test(c, the_first_part_counts_like_any);
	tcase_add_test(c, an_ensemble_against_something_else_is_none);
	suite_add_tcase(s, c);
	return s;
}
