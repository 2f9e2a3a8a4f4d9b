#include <string.h>

#include "rules.h"
#include "rules/fit_check.h"

static struct arena arena;
static const struct handbook *hb;
static struct program p;
static struct fit_check c;
static struct fit_verdict v;
static struct fit_state s;

/* A proximity outfit that is closed all over. */
static void begin(void) {
	arena_init(&arena, 1 << 20);
	hb = small_handbook(&arena);
	small_program(&p, hb, "ours", &arena);
	c = (struct fit_check){.hazard = HAZARD_PROXIMITY, .has_overlap = true, .overlap = 100000};
	s = (struct fit_state){0};
}
static void end(void) { arena_clear(&arena); }

static void comes_to(enum fit_result result, const char *because) {
	fit_check_judge(&v, &c, &p, &arena);
	ck_assert_str_eq(fit_result_word[v.result], fit_result_word[result]);
	ck_assert_str_eq(v.because, because);
}

#define LONG_ENOUGH                                                                                \
	"Overlap of coat and trousers: 10 cm (3.94 in), as asked for, at least 5 cm (1.97 in)."

START_TEST(closed_all_over) {
	comes_to(FIT_RESULT_CLOSED, LONG_ENOUGH " All interfaces: closed in every movement.");
	ck_assert(!v.is_short);
}
END_TEST

START_TEST(one_gap_is_a_gap) {
	c.answer[INTERFACE_SHROUD_COAT] = INTERFACE_GAP_CRAWLING;
	c.answer[INTERFACE_HELMET_HOOD] = INTERFACE_NOT_WORN;
	comes_to(FIT_RESULT_GAP,
		 "Shroud and coat: skin or a gap shows when crawling. " LONG_ENOUGH
		 " Helmet and hood or ear covers: not worn. All others: closed in every movement.");
	c.hazard = HAZARD_STRUCTURAL; /* has no shroud */
	comes_to(FIT_RESULT_NOT_WHOLE, LONG_ENOUGH " Helmet and hood or ear covers: not worn. All "
						   "others: closed in every movement.");
}
END_TEST

/* What such an outfit does not have is not closed either. */
START_TEST(what_does_not_apply_is_nothing_closed) {
	c.hazard = HAZARD_STRUCTURAL;
	c.has_overlap = false;
	for (int i = 0; i < INTERFACE_COUNT; i++)
		if (interface_applies((enum interface)i, c.hazard))
			c.answer[i] = INTERFACE_NOT_WORN;
	fit_check_judge(&v, &c, &p, &arena);
	ck_assert_int_eq(v.result, FIT_RESULT_NOT_WHOLE);
	ck_assert_ptr_null(strstr(v.because, "closed"));
}
END_TEST

START_TEST(each_interface_is_named) {
	c.answer[_i] = INTERFACE_GAP_REACHING;
	fit_check_judge(&v, &c, &p, &arena);
	ck_assert_int_eq(v.result, interface_applies((enum interface)_i, c.hazard)
				       ? FIT_RESULT_GAP
				       : FIT_RESULT_CLOSED);
	ck_assert_int_eq(strstr(v.because, interface_label[_i]) != NULL,
			 interface_applies((enum interface)_i, c.hazard));
}
END_TEST

START_TEST(each_movement_is_named) {
	static const char *const because[] = {[INTERFACE_GAP_REACHING] = "when reaching.",
					      [INTERFACE_GAP_BENDING] = "when bending.",
					      [INTERFACE_GAP_KNEELING] = "when kneeling.",
					      [INTERFACE_GAP_CRAWLING] = "when crawling."};
	c.answer[INTERFACE_GLOVE_SLEEVE] = (enum interface_answer)_i;
	fit_check_judge(&v, &c, &p, &arena);
	ck_assert_int_eq(v.result, FIT_RESULT_GAP);
	ck_assert_ptr_nonnull(strstr(v.because, because[_i]));
}
END_TEST

START_TEST(short_overlap_is_a_gap) {
	c.overlap = 50000;
	fit_check_judge(&v, &c, &p, &arena);
	ck_assert_int_eq(v.result, FIT_RESULT_CLOSED);
	c.overlap--;
	comes_to(FIT_RESULT_GAP, "Overlap of coat and trousers: 5 cm (1.97 in), but asked for is "
				 "at least 5 cm (1.97 in). All interfaces: closed in every "
				 "movement.");
	ck_assert(v.is_short);
}
END_TEST

START_TEST(nothing_closed) {
	c.has_overlap = false;
	for (int i = 0; i < INTERFACE_COUNT; i++) c.answer[i] = INTERFACE_NOT_WORN;
	fit_check_judge(&v, &c, &p, &arena);
	ck_assert_int_eq(v.result, FIT_RESULT_NOT_WHOLE);
	ck_assert_ptr_null(strstr(v.because, "closed"));
}
END_TEST

START_TEST(what_applies) {
	int structural = 0, proximity = 0;
	for (int i = 0; i < INTERFACE_COUNT; i++) {
		structural += interface_applies((enum interface)i, HAZARD_STRUCTURAL);
		proximity += interface_applies((enum interface)i, HAZARD_PROXIMITY);
	}
	ck_assert_int_eq(structural, 6);
	ck_assert_int_eq(proximity, 8);
	ck_assert(!interface_applies(INTERFACE_SHROUD_COAT, HAZARD_STRUCTURAL));
	ck_assert(!interface_applies(INTERFACE_OVERCOVER_FACESHIELD, HAZARD_STRUCTURAL));
}
END_TEST

START_TEST(doubtful_overlap) {
	static const struct {
		int64_t overlap;
		bool doubted;
	} measured[] = {{0, false}, {400000, false}, {400001, true}, {-1, true}, {762000, true}};
	for (size_t i = 0; i < sizeof measured / sizeof *measured; i++) {
		c.overlap = measured[i].overlap;
		ck_assert_int_eq(fit_check_doubtful(&c, &arena) != NULL, measured[i].doubted);
	}
	ck_assert_str_eq(fit_check_doubtful(&c, &arena),
			 "30 in (76.2 cm) is unusual: it is mostly up to 15.75 in (40 cm)");
	c.has_overlap = false;
	ck_assert_ptr_null(fit_check_doubtful(&c, &arena));
}
END_TEST

/* --- where an outfit stands ---------------------------------------------------------------- */

static void take(int64_t id, const char *day_text, enum interface_answer hood) {
	struct fit_record r = {.id = id, .on = on(day_text), .check = c};
	r.check.answer[INTERFACE_HOOD_COLLAR] = hood;
	fit_state_take(&s, &r, &arena);
}

static void stands(int64_t id, bool is_gap) {
	ck_assert_int_eq(s.at[INTERFACE_HOOD_COLLAR].id, id);
	ck_assert_int_eq(s.at[INTERFACE_HOOD_COLLAR].is_gap, is_gap);
	ck_assert_int_eq(s.at[INTERFACE_HOOD_COLLAR].text != NULL, is_gap);
}

START_TEST(a_later_day_decides) {
	take(1, "2026-03-01", INTERFACE_GAP_BENDING);
	stands(1, true);
	ck_assert_str_eq(s.at[INTERFACE_HOOD_COLLAR].text,
			 "Hood and coat collar: skin or a gap shows when bending. Interface check "
			 "of 2026-03-01.");
	take(2, "2026-03-02", INTERFACE_CLOSED);
	stands(2, false);
	take(3, "2026-03-01", INTERFACE_GAP_BENDING); /* of before, written down late */
	stands(2, false);
	take(4, "2026-03-03", INTERFACE_GAP_REACHING);
	stands(4, true);
}
END_TEST

START_TEST(of_one_day_a_gap_stands) {
	take(1, "2026-03-01", INTERFACE_GAP_BENDING);
	take(2, "2026-03-01", INTERFACE_CLOSED);
	stands(1, true);
	s = (struct fit_state){0};
	take(2, "2026-03-01", INTERFACE_CLOSED);
	take(1, "2026-03-01", INTERFACE_GAP_BENDING);
	stands(1, true);
}
END_TEST

START_TEST(not_worn_says_nothing) {
	take(1, "2026-03-01", INTERFACE_NOT_WORN);
	stands(0, false);
	take(2, "2026-03-01", INTERFACE_GAP_KNEELING);
	take(3, "2026-03-05", INTERFACE_NOT_WORN);
	stands(2, true);
	ck_assert_int_eq(s.at[INTERFACE_GLOVE_SLEEVE].id, 3);
	ck_assert_int_eq(s.at[INTERFACE_SHROUD_COAT].id, 3);
	c.hazard = HAZARD_STRUCTURAL;
	take(4, "2026-03-06", INTERFACE_CLOSED);
	ck_assert_int_eq(s.at[INTERFACE_SHROUD_COAT].id, 3);
}
END_TEST

START_TEST(short_overlap_stands_too) {
	struct fit_record r = {.id = 1, .on = on("2026-03-01"), .is_short = true, .check = c};
	r.check.overlap = 38100;
	fit_state_take(&s, &r, &arena);
	ck_assert(s.at[INTERFACE_COAT_TROUSERS].is_gap);
	ck_assert_str_eq(
	    s.at[INTERFACE_COAT_TROUSERS].text,
	    "Coat and trousers: overlap of 1.5 in (3.81 cm) only. Interface check of 2026-03-01.");
	ck_assert(!s.at[INTERFACE_HOOD_COLLAR].is_gap);
}
END_TEST

Suite *rules_fit_check_suite(void) {
	Suite *suite = suite_create("rules: fit check");
	TCase *t = tcase_create("fit check");
	tcase_add_checked_fixture(t, begin, end);
	tcase_add_test(t, closed_all_over);
	tcase_add_test(t, one_gap_is_a_gap);
	tcase_add_loop_test(t, each_interface_is_named, 0, INTERFACE_COUNT);
	tcase_add_loop_test(t, each_movement_is_named, INTERFACE_GAP_REACHING, INTERFACE_NOT_WORN);
	tcase_add_test(t, short_overlap_is_a_gap);
	tcase_add_test(t, nothing_closed);
	tcase_add_test(t, what_applies);
	tcase_add_test(t, doubtful_overlap);
	tcase_add_test(t, a_later_day_decides);
	tcase_add_test(t, of_one_day_a_gap_stands);
	tcase_add_test(t, not_worn_says_nothing);
	tcase_add_test(t, short_overlap_stands_too);
	tcase_add_test(t, what_does_not_apply_is_nothing_closed);
	suite_add_tcase(suite, t);
	return suite;
}
