/* The work on a part: its groups of check points, and the time it takes. */
#include "base/limits.h"
#include "rules.h"
#include "rules/check_group.h"
#include "rules/work_time.h"

#define POINT(code_, group_, title_, trim_)                                                        \
	{                                                                                          \
		.code = code_, .group_code = group_, .group_title = title_, .needs_trim = trim_,   \
		.reflective = WANTS_EITHER, .asked = {                                             \
			[INSPECTION_ADVANCED] = true                                               \
		}                                                                                  \
	}
static const struct check_point point[] = {
    POINT("a", "labels", "Labels", false),     POINT("b", "labels", "Labels", false),
    POINT("c", "trim", "Trim", true),          POINT("d", "seams", "Seams", false),
    POINT("e", "seams", "Seams", false),       POINT("f", "fabric", "Fabric", false),
    POINT("g", "closures", "Closures", false), POINT("h", "closures", "Closures", false),
    POINT("i", "closures", "Closures", false), POINT("j", "closures", "Closures", false),
    POINT("k", "closures", "Closures", false), POINT("l", "details", "Details", false),
    POINT("m", "details", "Details", false), /* behind the end of the list */
};
static const struct checklist list = {.point = point,
				      .point_count = sizeof point / sizeof *point - 1};

static const struct check_group *groups_of(bool trim, struct arena *arena, size_t *count) {
	const struct part_subject s = {.trim = trim, .inspection = INSPECTION_ADVANCED};
	arena_init(arena, LIMIT_ARENA_BYTES_MAX);
	return check_groups(&list, &s, arena, count);
}

START_TEST(small_neighbours_are_worked_as_one) {
	struct arena arena;
	size_t count;
	const struct check_group *g = groups_of(false, &arena, &count);
	ck_assert_uint_eq(count, 4);
	/* Trim is not asked of a part without: it has no group, and parts nothing. */
	ck_assert_str_eq(g[0].title, "Labels · Seams");
	ck_assert_str_eq(g[0].code, "labels");
	ck_assert_uint_eq(g[0].asked, 4);
	ck_assert_str_eq(g[1].title, "Fabric");
	/* One with more points than a page has room for is not split. */
	ck_assert_str_eq(g[2].title, "Closures");
	ck_assert_uint_eq(g[2].asked, 5);
	ck_assert_str_eq(g[3].title, "Details");
	arena_clear(&arena);
}
END_TEST

START_TEST(without_memory_there_is_no_group) {
	const struct part_subject s = {.inspection = INSPECTION_ADVANCED};
	struct arena arena;
	size_t count = 7;
	arena_init(&arena, 1);
	ck_assert_ptr_null(check_groups(&list, &s, &arena, &count));
	ck_assert_uint_eq(count, 0);
	arena_clear(&arena);
}
END_TEST

START_TEST(every_point_is_in_one_group) {
	struct arena arena;
	size_t count, asked = 0, at = 0;
	const struct check_group *g = groups_of(true, &arena, &count);
	for (size_t k = 0; k < count; k++) {
		ck_assert_uint_eq(g[k].first, at);
		at = g[k].end;
		asked += g[k].asked;
	}
	ck_assert_uint_eq(at, list.point_count);
	ck_assert_uint_eq(asked, list.point_count);
	arena_clear(&arena);
}
END_TEST

START_TEST(a_group_is_found_by_each_of_its_codes) {
	struct arena arena;
	size_t count;
	const struct check_group *g = groups_of(false, &arena, &count);
	ck_assert_ptr_eq(check_group_find(g, count, &list, "labels"), &g[0]);
	ck_assert_ptr_eq(check_group_find(g, count, &list, "seams"), &g[0]);
	ck_assert_ptr_eq(check_group_find(g, count, &list, "details"), &g[3]);
	ck_assert_ptr_null(check_group_find(g, count, &list, "lining"));
	ck_assert_ptr_null(check_group_find(g, count, &list, ""));
	arena_clear(&arena);
}
END_TEST

static const struct {
	int64_t opened_s, counted_until_s, now_s, worked_s;
} work[] = {
    {1000, 0, 1045, 45},    {1000, 1000, 1045, 45},
    {1000, 1030, 1045, 15},                       /* another page was saved meanwhile */
    {1000, 1045, 1045, 0},                        /* sent twice */
    {1000, 0, 1600, 600},                         /* as long as a page may count */
    {1000, 0, 1601, 600},                         /* left lying */
    {1000, 0, 90000, 600},  {1000, 1045, 900, 0}, /* the clock was set back */
};

START_TEST(time_is_counted_once_and_bounded) {
	ck_assert_int_eq(work_time(work[_i].opened_s, work[_i].counted_until_s, work[_i].now_s),
			 work[_i].worked_s);
}
END_TEST

Suite *rules_work_suite(void) {
	Suite *s = suite_create("work on a part");
	TCase *c = tcase_create("work on a part");
	tcase_add_test(c, small_neighbours_are_worked_as_one);
	tcase_add_test(c, without_memory_there_is_no_group);
	tcase_add_test(c, every_point_is_in_one_group);
	tcase_add_test(c, a_group_is_found_by_each_of_its_codes);
	tcase_add_loop_test(c, time_is_counted_once_and_bounded, 0, sizeof work / sizeof *work);
	suite_add_tcase(s, c);
	return s;
}
