/*
 * Drawings of the small handbook: its coat shell has a sleeve with faces and sides and a chest
 * with neither, its helmet a crown with sides.
 */
#include "rules/figure.h"

#include "base/limits.h"
#include "rules.h"

static struct arena arena;
static const struct handbook *hb;
static struct figure figure;
static struct fault fault;

static void begin(void) {
	arena_init(&arena, LIMIT_ARENA_BYTES_MAX);
	hb = small_handbook(&arena);
	fault_clear(&fault);
}

static void end(void) { arena_clear(&arena); }

static enum err read_kind(const char *kind, const char *svg) {
	return figure_read(&figure, handbook_kind(hb, kind), hb, svg, &arena, &fault);
}

#define MARK(id, place) "<path id=\"" id ".mark\"" place "/>"
#define AT " d=\"M212 82h0\""
#define SHAPE(id) "<path id=\"" id "\"/>" MARK(id, AT)
#define LINES(id) "<g id=\"" id "\"/>"
#define PICTURES(view) LINES(view ".outside") LINES(view ".inside")
#define COAT                                                                                       \
	SHAPE("front.sleeve")                                                                      \
	SHAPE("front.chest") PICTURES("front") SHAPE("back.sleeve") PICTURES("back") LINES("half")

START_TEST(a_drawing_says_what_is_in_it) {
	ck_assert_int_eq(read_kind("coat_shell", COAT), ERR_OK);
	ck_assert_uint_eq(figure.picture_count, 4);
	ck_assert_uint_eq(figure.shape_count, 3);
	ck_assert_str_eq(figure.picture[1].id, "front.inside");
	ck_assert_str_eq(figure.picture[1].side, "inside");
	ck_assert_str_eq(figure.shape[0].face, "front");
	ck_assert_ptr_null(figure.shape[1].face);
	ck_assert_int_eq(figure.shape[1].mark_x, 212);
	ck_assert_int_eq(figure.shape[1].mark_y, 82);
	ck_assert_int_eq(figure.shape[2].view, VIEW_BACK);
	ck_assert_str_eq(figure.shape[2].face, "back");
}
END_TEST

START_TEST(one_view_may_show_both_faces) {
	ck_assert_int_eq(read_kind("coat_shell",
				   SHAPE("below.sleeve.front") SHAPE("below.sleeve.back")
				       SHAPE("below.chest") PICTURES("below")),
			 ERR_OK);
	ck_assert_str_eq(figure.shape[1].face, "back");
}
END_TEST

START_TEST(a_part_without_sides_needs_no_side) {
	ck_assert_int_eq(read_kind("hood", LINES("side")), ERR_OK);
	ck_assert_ptr_null(figure.picture[0].side);
}
END_TEST

/* The drawing is refused, and the message names what is at fault. */
static const struct {
	const char *kind, *svg, *named;
} refused[] = {
    {"coat_shell", SHAPE("front.chest") SHAPE("front.sleeve") PICTURES("front"),
     "sleeve, back, outside"},
    {"coat_shell", SHAPE("front.sleeve") SHAPE("back.sleeve") PICTURES("front") PICTURES("back"),
     "chest"},
    {"helmet", SHAPE("front.crown") LINES("front.outside"), "crown, inside"},
    {"helmet", SHAPE("front.crown") PICTURES("front") SHAPE("front.tip"),
     "front.tip names no zone"},
    {"helmet", SHAPE("front.crown") PICTURES("front") SHAPE("top.crown"),
     "top.crown begins with no view"},
    {"helmet", SHAPE("front.crown") PICTURES("front") SHAPE("front.crown.a.b"),
     "front.crown.a.b has too many"},
    {"helmet", SHAPE("front.crown") PICTURES("front") SHAPE("front.crown.a.b.c"),
     "front.crown.a.b.c has too many"},
    {"helmet", MARK("front", AT) SHAPE("front.crown") PICTURES("front"),
     "front.mark does not follow"},
    {"helmet", MARK("half", AT) SHAPE("front.crown") PICTURES("front"),
     "half.mark begins with no view"},
    {"helmet", "<path id=\"front.crown\"/>" MARK("front.crowns", AT) PICTURES("front"),
     "front.crowns.mark does not follow"},
    {"helmet", SHAPE("front.crown") PICTURES("front") SHAPE("below.crown.front"),
     "below.crown.front says a face"},
    {"helmet", SHAPE("front.crown") PICTURES("front") SHAPE("back.crown"),
     "back.crown is in no picture"},
    {"helmet", SHAPE("front.crown") PICTURES("front") SHAPE("back.crown") LINES("back"),
     "back.crown is in a picture"},
    {"helmet", "<path id=\"front.crown\"/>" PICTURES("front"), "front.crown has no mark"},
    {"helmet", SHAPE("front.crown") MARK("front.crown", AT) PICTURES("front"),
     "front.crown.mark does not follow"},
    {"helmet", MARK("front.crown", AT) PICTURES("front"), "front.crown.mark does not follow"},
    {"helmet", "<path id=\"front.crown\"/>" MARK("front.crow", AT) PICTURES("front"),
     "front.crow.mark does not follow"},
    {"helmet", "<path id=\"front.crown\"/>" MARK("front.crown", "") PICTURES("front"),
     "front.crown.mark does not say where"},
    {"helmet", "<path id=\"front.crown\"/>" MARK("front.crown", " d=\"M212h0\"") PICTURES("front"),
     "front.crown.mark does not say where"},
    {"helmet", "<path id=\"front.crown\"/>" MARK("front.crown", " d=\"M212 82\"") PICTURES("front"),
     "front.crown.mark does not say where"},
    {"helmet",
     "<path id=\"front.crown\"/>" MARK("front.crown", " d=\"M212 821h0\"") PICTURES("front"),
     "front.crown.mark does not say where"},
    {"helmet",
     "<path id=\"front.crown\"/>" MARK("front.crown", " d=\"M99999999999 82h0\"") PICTURES("front"),
     "front.crown.mark does not say where"},
    {"helmet",
     "<path id=\"front.crown\"/>" MARK("front.crown", " d=\"M-1 82h0\"") PICTURES("front"),
     "front.crown.mark does not say where"},
    {"helmet",
     "<path id=\"front.crown\"/>" MARK("front.crown", " d=\"M2.5 82h0\"") PICTURES("front"),
     "front.crown.mark does not say where"},
    {"coat_shell", COAT SHAPE("front.sleeve.back"), "front.sleeve.back says a face"},
    {"coat_shell", COAT SHAPE("below.sleeve.up"), "below.sleeve.up says a face"},
    {"coat_shell", COAT SHAPE("below.sleeve"), "below.sleeve does not say"},
};

START_TEST(what_is_wrong_is_named) {
	ck_assert_int_eq(read_kind(refused[_i].kind, refused[_i].svg), ERR_CORRUPT);
	ck_assert_msg(strstr(fault.message, refused[_i].named), "\"%s\" does not name %s",
		      fault.message, refused[_i].named);
}
END_TEST

/* Never half a drawing: all of it, or no memory. */
START_TEST(without_memory_nothing_is_read) {
	const struct kind *coat = handbook_kind(hb, "coat_shell");
	size_t bytes = 0, refusals = 0;
	for (enum err err = ERR_MEMORY; err != ERR_OK; bytes += 8) {
		struct arena little;
		arena_init(&little, bytes);
		err = figure_read(&figure, coat, hb, COAT, &little, &fault);
		ck_assert_int_eq(err, arena_failed(&little) ? ERR_MEMORY : ERR_OK);
		refusals += err != ERR_OK;
		arena_clear(&little);
		fault_clear(&fault);
	}
	ck_assert_uint_gt(refusals, 3);
}
END_TEST

START_TEST(where_a_place_is) {
	ck_assert_int_eq(read_kind("coat_shell", COAT), ERR_OK);
	const struct figure_picture *front_inside = &figure.picture[1], *back = &figure.picture[2];
	const struct figure_shape *sleeve = &figure.shape[0], *chest = &figure.shape[1];
	ck_assert(figure_is_at(front_inside, sleeve, "sleeve", "front", "inside"));
	ck_assert(figure_is_at(front_inside, sleeve, "sleeve", NULL, "inside"));
	ck_assert(figure_is_at(front_inside, sleeve, "sleeve", "front", NULL));
	ck_assert(!figure_is_at(front_inside, sleeve, "sleeve", "back", "inside"));
	ck_assert(!figure_is_at(front_inside, sleeve, "sleeve", "front", "outside"));
	ck_assert(!figure_is_at(front_inside, sleeve, "chest", "front", "inside"));
	ck_assert(!figure_is_at(front_inside, sleeve, NULL, NULL, NULL));
	ck_assert(!figure_is_at(back, sleeve, "sleeve", NULL, NULL));
	/* Brought in with more words than the place asks for. */
	ck_assert(figure_is_at(front_inside, chest, "chest", "front", "outside"));
}
END_TEST

Suite *rules_figure_suite(void) {
	Suite *s = suite_create("figure");
	TCase *tc = tcase_create("figure");
	tcase_add_checked_fixture(tc, begin, end);
	tcase_add_test(tc, a_drawing_says_what_is_in_it);
	tcase_add_test(tc, one_view_may_show_both_faces);
	tcase_add_test(tc, a_part_without_sides_needs_no_side);
	tcase_add_loop_test(tc, what_is_wrong_is_named, 0, sizeof refused / sizeof *refused);
	tcase_add_test(tc, without_memory_nothing_is_read);
	tcase_add_test(tc, where_a_place_is);
	suite_add_tcase(s, tc);
	return s;
}
