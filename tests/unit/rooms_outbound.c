/* What leaves the building on paper: labels and their symbols. */
#include "rooms.h"

#include <string.h>

#include "outbound/label.h"

static const struct label_sheet a4 = {21000, 29700, 3, 8, 725, 1290, 250, 0};
static const struct label coat = {"PX-3004-CS", {"Coat shell", "Size M", "Ensemble PX-3004"}};

START_TEST(places_fill_the_sheet_between_its_margins) {
	struct fault f = {0};
	ck_assert_int_eq(label_sheet_check(&a4, &f), ERR_OK);
	struct label_box first = label_place(&a4, 0), fifth = label_place(&a4, 4),
			 last = label_place(&a4, 23);
	ck_assert_int_eq(first.x, 725);
	ck_assert_int_eq(first.y, 1290);
	ck_assert_int_eq(first.width, 6350);
	ck_assert_int_eq(first.height, 3390);
	ck_assert_int_eq(fifth.x, 725 + 6350 + 250);
	ck_assert_int_eq(fifth.y, 1290 + 3390);
	ck_assert_int_eq(last.x + last.width, a4.width - a4.left);
	ck_assert_int_eq(last.y + last.height, a4.height - a4.top);
}
END_TEST

START_TEST(a_sheet_without_room_is_refused_at_the_field) {
	struct fault f = {0};
	struct label_sheet many = a4;
	many.columns = 10;
	ck_assert_int_eq(label_sheet_check(&many, &f), ERR_INVALID);
	ck_assert_str_eq(f.field, "columns");
	fault_clear(&f);
	many = a4;
	many.top = 20000; /* margins that meet */
	ck_assert_int_eq(label_sheet_check(&many, &f), ERR_INVALID);
	ck_assert_str_eq(f.field, "rows");
}
END_TEST

static void check_inside(const struct doc *part, const struct label_box *place) {
	ck_assert_int_ge(doc_int(part, "x"), place->x);
	ck_assert_int_ge(doc_int(part, "y"), place->y);
	ck_assert_int_le(doc_int(part, "x") + doc_int(part, "width"), place->x + place->width);
	ck_assert_int_le(doc_int(part, "y") + doc_int(part, "height"), place->y + place->height);
}

static struct doc *drawn(struct arena *a, const struct label *label, const struct label_box *place,
			 enum symbology symbology) {
	struct fault f = {0};
	struct doc *map = doc_map(a);
	ck_assert_int_eq(label_draw(label, place, symbology, map, &f), ERR_OK);
	check_inside(doc_get(map, "symbol"), place);
	for (const struct doc *t = doc_get(map, "texts")->first; t; t = t->next) {
		check_inside(t, place);
		ck_assert_int_ge(doc_int(t, "size"), 160);
	}
	return map;
}

START_TEST(everything_stands_on_the_label_however_small) {
	struct arena a;
	arena_init(&a, 4000000);
	for (int64_t width = 2000; width <= 10000; width += 500)
		for (int64_t height = 1000; height <= 6000; height += 500) {
			struct label_box place = {300, 700, width, height};
			drawn(&a, &coat, &place, SYMBOLOGY_QR);
			drawn(&a, &coat, &place, SYMBOLOGY_CODE_128);
			ck_assert(!arena_failed(&a));
			arena_reset(&a);
		}
	arena_clear(&a);
}
END_TEST

START_TEST(bars_too_narrow_or_impossible_give_way) {
	struct arena a;
	arena_init(&a, 1000000);
	struct label_box wide = {0, 0, 9910, 3810}, narrow = {0, 0, 2500, 1500};
	const struct label beyond = {"ΩΨ-1", {"Hood"}};
	struct doc *bars = drawn(&a, &coat, &wide, SYMBOLOGY_CODE_128);
	ck_assert(!doc_bool(bars, "is_instead"));
	ck_assert_int_eq(doc_int(doc_get(bars, "symbol"), "modules_high"), 1);
	ck_assert_int_eq(doc_count(doc_get(bars, "texts")), 2);
	ck_assert(doc_bool(drawn(&a, &coat, &narrow, SYMBOLOGY_CODE_128), "is_instead"));
	ck_assert(doc_bool(drawn(&a, &beyond, &wide, SYMBOLOGY_CODE_128), "is_instead"));
	ck_assert(!doc_bool(drawn(&a, &beyond, &wide, SYMBOLOGY_QR), "is_instead"));
	arena_clear(&a);
}
END_TEST

START_TEST(a_line_too_long_is_cut_between_characters) {
	struct arena a;
	arena_init(&a, 1000000);
	struct label_box place = {0, 0, 4000, 2000};
	const struct label long_one = {
	    "T-1", {"ééééééééééééééééééééééééééééééééééééééééééééééééééééééééééé"}};
	struct doc *map = drawn(&a, &long_one, &place, SYMBOLOGY_QR);
	const char *line = doc_text(doc_get(map, "texts")->last, "text");
	ck_assert_int_eq(strlen(line) % 2, 1); /* whole letters of two bytes, and the three of … */
	ck_assert_str_eq(line + strlen(line) - 3, "…");
	ck_assert_int_eq(doc_int(doc_get(map, "texts")->last, "size"), 160);
	arena_clear(&a);
}
END_TEST

Suite *outbound_suite(void) {
	Suite *s = suite_create("outbound");
	TCase *t = tcase_create("labels");
	tcase_add_test(t, places_fill_the_sheet_between_its_margins);
	tcase_add_test(t, a_sheet_without_room_is_refused_at_the_field);
	tcase_add_test(t, everything_stands_on_the_label_however_small);
	tcase_add_test(t, bars_too_narrow_or_impossible_give_way);
	tcase_add_test(t, a_line_too_long_is_cut_between_characters);
	suite_add_tcase(s, t);
	return s;
}
