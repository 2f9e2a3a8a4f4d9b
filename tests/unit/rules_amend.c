#include "base/limits.h"
#include "base/text.h"
#include "rules.h"
#include "rules/amend.h"

static struct arena arena;
static struct arena little; /* of more and more bytes */
static size_t bytes;
static const struct handbook *hb;

static void begin(void) {
	arena_init(&arena, LIMIT_ARENA_BYTES_MAX);
	hb = small_handbook(&arena);
}

static void end(void) {
	arena_clear(&little);
	arena_clear(&arena);
	bytes = 0;
}

/* "name=value name=value"; an empty value takes one back. */
static struct settings read(const char *text) {
	struct settings s = {arena_array(&arena, struct program_setting, 8), 0};
	char *rest = arena_strdup(&arena, text);
	for (char *name; (name = strsep(&rest, " ")) != NULL && *name;) {
		char *value = strchr(name, '=');
		*value = '\0';
		s.setting[s.count++] = (struct program_setting){name, value + 1};
	}
	return s;
}

static const char *written(const struct settings *s) {
	const char *text = "";
	for (size_t i = 0; i < s->count; i++)
		text = arena_printf(&arena, "%s%s%s=%s", text, i ? " " : "", s->setting[i].name,
				    s->setting[i].value);
	return text;
}

#define SAYS_KEEP ADJUSTMENTS_KEEP
#define SAYS_DROP ADJUSTMENTS_DROP
#define UNASKED ADJUSTMENTS_UNASKED

/* wrong: the field that is at fault, NULL: none. store: what would be stored then. */
static const struct {
	const char *stored, *asked;
	enum adjustments choice;
	bool reason;
	const char *wrong, *store;
	size_t looser;
} row[] = {
    /* In one rule set: tightening is free, loosening asks for a reason. */
    {"", "advanced_first_months=9", UNASKED, false, NULL, "advanced_first_months=9", 0},
    {"", "advanced_first_months=12", UNASKED, false, NULL, "advanced_first_months=12", 0},
    {"", "advanced_first_months=13", UNASKED, false, "reason", NULL, 1},
    {"", "advanced_first_months=13", UNASKED, true, NULL, "advanced_first_months=13", 1},
    {"", "advanced_first_months=13 age_reading=end_of_month", UNASKED, false, "reason", NULL, 2},
    {"", "advanced_first_months=9 cleaning_first_months=5", UNASKED, false, NULL,
     "advanced_first_months=9 cleaning_first_months=5", 0},
    {"advanced_first_months=9", "age_reading=strict", UNASKED, false, NULL, "age_reading=strict",
     0},
    {"", "cleaning_reading=count", UNASKED, false, "reason", NULL, 1},
    {"advanced_first_months=9", "advanced_first_months=", UNASKED, false, NULL,
     "advanced_first_months=", 0},
    {"advanced_first_months=9", "advanced_first_months=12", UNASKED, false, NULL,
     "advanced_first_months=12", 0},
    {"", "advanced_first_months=0", UNASKED, true, "advanced_first_months", NULL, 0},
    {"", "nobody_first_months=9", UNASKED, true, "nobody_first_months", NULL, 0},
    {"", "nobody_first_months=", UNASKED, true, "nobody_first_months", NULL, 0},
    {"", "rule_set=nobody", UNASKED, true, "rule_set", NULL, 0},
    {"", "rule_set=other nobody_first_months=9", UNASKED, true, "nobody_first_months", NULL, 6},
    {"", "rule_set=other liner_first_months=24", UNASKED, true, "liner_first_months", NULL, 6},
    {"department=Harbor", "advanced_first_months=9", UNASKED, false, NULL,
     "advanced_first_months=9", 0},
    {"", "rule_set=ours", UNASKED, false, NULL, "rule_set=ours", 0},
    /* Another set: liners and age are not dated there, and cleanings are rarer. */
    {"", "rule_set=other", UNASKED, false, "reason", NULL, 6},
    {"", "rule_set=other", UNASKED, true, NULL, "rule_set=other", 6},
    /* The way back is tighter but for the advanced inspection. */
    {"rule_set=other", "rule_set=ours", UNASKED, false, "reason", NULL, 1},
    {"rule_set=other", "rule_set=", UNASKED, true, NULL, "rule_set=", 1},
    {"department=Harbor rule_set=other", "rule_set=ours", UNASKED, false, "reason", NULL, 1},
    /* Times of one's own: kept or dropped, as somebody says. */
    {"advanced_first_months=9", "rule_set=other", UNASKED, true, "adjustments", NULL, 6},
    {"advanced_first_months=9", "rule_set=other", SAYS_DROP, true, NULL,
     "rule_set=other advanced_first_months=", 6},
    {"advanced_first_months=4", "rule_set=other", SAYS_KEEP, true, NULL, "rule_set=other", 6},
    {"advanced_first_months=9", "rule_set=other", SAYS_KEEP, true, NULL,
     "rule_set=other advanced_first_months=9", 7},
    {"advanced_first_months=9", "rule_set=other advanced_first_months=3", UNASKED, true, NULL,
     "rule_set=other advanced_first_months=3", 6},
    {"advanced_repeat_months=5", "rule_set=other", UNASKED, true, "adjustments", NULL, 6},
    /* Nobody's times, and what is no time at all: let alone. */
    {"_first_months=9 department_of_everything=9", "rule_set=other", UNASKED, true, NULL,
     "rule_set=other", 6},
    /* Of a rule that the new set does not have: never kept, and taken back when asked to. */
    {"liner_first_months=24", "rule_set=other liner_first_months=", UNASKED, true, NULL,
     "rule_set=other liner_first_months=", 6},
    {"liner_first_months=24", "rule_set=other", SAYS_KEEP, true, NULL,
     "rule_set=other liner_first_months=", 6},
    /* Left behind by a set before: taken back unasked. */
    {"rule_set=other liner_first_months=24", "rule_set=ours", UNASKED, true, NULL,
     "rule_set=ours liner_first_months=", 1},
    /* How things are read stays, with a new reason where it is looser. */
    {"age_reading=end_of_month", "rule_set=other", UNASKED, true, NULL,
     "rule_set=other age_reading=end_of_month", 7},
    {"age_reading=strict", "rule_set=other", UNASKED, true, NULL, "rule_set=other", 6},
    {"department=Harbor advanced_first_months=", "rule_set=other", UNASKED, true, NULL,
     "rule_set=other", 6},
};

static bool is_in(const struct settings *list, const char *name) {
	for (size_t i = 0; i < list->count; i++)
		if (strcmp(list->setting[i].name, name) == 0) return true;
	return false;
}

/* What is stored then makes just that program. */
static void ck_makes(const struct program *next, const struct settings *stored,
		     const struct settings *over) {
	struct settings all = {
	    arena_array(&arena, struct program_setting, stored->count + over->count), 0};
	struct program made;
	for (size_t i = 0; i < stored->count; i++)
		if (!is_in(over, stored->setting[i].name) && *stored->setting[i].value)
			all.setting[all.count++] = stored->setting[i];
	for (size_t i = 0; i < over->count; i++)
		if (*over->setting[i].value) all.setting[all.count++] = over->setting[i];
	ck_assert_int_eq(program_init(&made, hb, all.setting, all.count, &arena, NULL), ERR_OK);
	ck_assert_ptr_eq(made.set, next->set);
	ck_assert_int_eq(made.end_of_month, next->end_of_month);
	ck_assert_int_eq(made.count_cleanings, next->count_cleanings);
	for (size_t i = 0; i < made.set->rule_count; i++) {
		ck_assert_int_eq(made.rule[i].first_months, next->rule[i].first_months);
		ck_assert_int_eq(made.rule[i].repeat_months, next->rule[i].repeat_months);
	}
}

START_TEST(judged_as_a_whole) {
	struct amendment am;
	struct fault f = {.code = ERR_OK};
	const struct settings stored = read(row[_i].stored), asked = read(row[_i].asked);
	enum err err = amendment_make(&am, hb, &stored, &asked, row[_i].choice,
				      row[_i].reason ? "Agreed." : NULL, &arena, &f);
	ck_assert_uint_eq(am.looser_count, row[_i].looser);
	ck_assert_int_eq(am.looser != NULL, row[_i].looser > 0);
	if (row[_i].wrong) {
		ck_assert_int_eq(err, ERR_INVALID);
		ck_assert_str_eq(f.field, row[_i].wrong);
		const char *more = arena_printf(&arena, "(and %zu more)", row[_i].looser - 1);
		ck_assert_int_eq(strstr(f.message, more) != NULL,
				 row[_i].looser > 1 && strcmp(f.field, "reason") == 0);
		ck_assert_int_eq(strstr(f.message, " more)") != NULL,
				 row[_i].looser > 1 && strcmp(f.field, "reason") == 0);
		return;
	}
	ck_assert_msg(err == ERR_OK, "%s", f.message);
	ck_assert_str_eq(written(&am.store), row[_i].store);
	ck_makes(&am.next, &stored, &am.store);
}
END_TEST

/* In the small handbook: advanced, cleaning, liner, liner_cbrn, life, ... of ours; then advanced
 * and three of cleanings of the other. */
enum { CLEANING = 1, LINER, LINER_CBRN, LIFE, OTHER = 8 };

static const struct {
	int cleaning, liner, life_again, other_cleaning; /* months; -1: as they are */
	const char *words;
} named[] = {
    {-1, -1, -1, -1, "cleaning: 9 months instead of 6 months"},
    {-1, -1, -1, 0, "cleaning: no such duty instead of 6 months"},
    {0, -1, -1, -1, "liner: no such duty instead of first 36, then 12 months"},
    {0, 0, -1, -1, "life: no such duty instead of 120 months"},
    {0, 0, 7, -1, "life: no such duty instead of 120 months"}, /* it is owed once */
};

static void set_months(int *months, int value) {
	if (value >= 0) *months = value;
}

START_TEST(what_is_looser_is_named) {
	struct amendment am;
	struct fault f = {.code = ERR_OK};
	struct handbook rows;
	const struct settings none = {NULL, 0}, asked = read("rule_set=other");
	small_handbook_rows(&rows, &arena);
	for (size_t i = 0; i < rows.rule_count; i++) rows.rule[i].label = rows.rule[i].code;
	set_months(&rows.rule[CLEANING].first_months, named[_i].cleaning);
	set_months(&rows.rule[LINER].first_months, named[_i].liner);
	set_months(&rows.rule[LINER_CBRN].first_months, named[_i].liner);
	set_months(&rows.rule[LIFE].repeat_months, named[_i].life_again);
	for (int i = 1; i <= 3; i++)
		set_months(&rows.rule[OTHER + i].first_months, named[_i].other_cleaning);
	ck_assert_int_eq(handbook_link(&rows, &f), ERR_OK);
	ck_assert_int_eq(amendment_make(&am, &rows, &none, &asked, UNASKED, "", &arena, &f),
			 ERR_INVALID);
	ck_assert_str_eq(f.field, "reason");
	ck_assert_str_eq(am.looser, named[_i].words);
	ck_assert_ptr_nonnull(strstr(f.message, named[_i].words));
}
END_TEST

/* Until it came through often enough. */
static bool more_memory(bool enough) {
	arena_clear(&little);
	bytes += 16;
	ck_assert_uint_lt(bytes, 1 << 20);
	arena_init(&little, bytes);
	return !enough;
}

static const char *const with_memory[] = {"rule_set=other advanced_first_months=3",
					  "advanced_first_months=3"};

/* Either all is judged, or the lack is told. */
START_TEST(without_memory_nothing_is_judged) {
	const struct settings stored = read("age_reading=end_of_month");
	const struct settings asked = read(with_memory[_i]);
	int judged = 0, refused = 0;
	while (more_memory(judged == 10)) {
		struct amendment am;
		struct fault f = {.code = ERR_OK};
		enum err err =
		    amendment_make(&am, hb, &stored, &asked, UNASKED, "Agreed.", &little, &f);
		ck_assert_int_eq(err, arena_failed(&little) ? ERR_MEMORY : ERR_OK);
		judged += err == ERR_OK;
		refused += err == ERR_MEMORY;
	}
	ck_assert_int_gt(refused, 10);
}
END_TEST

/* The reason is asked for, though the words run short. */
START_TEST(without_memory_a_reason_is_still_asked_for) {
	const struct settings none = {NULL, 0}, asked = read("rule_set=other");
	int in_full = 0, in_short = 0;
	while (more_memory(in_full == 10)) {
		struct amendment am;
		struct fault f = {.code = ERR_OK};
		enum err err = amendment_make(&am, hb, &none, &asked, UNASKED, NULL, &little, &f);
		if (err == ERR_MEMORY) continue;
		ck_assert_int_eq(err, ERR_INVALID);
		ck_assert_str_eq(f.field, "reason");
		in_full += strstr(f.message, "(and 5 more)") != NULL;
		in_short += strstr(f.message, "(and 5 more)") == NULL;
	}
	ck_assert_int_gt(in_short, 0);
}
END_TEST

Suite *rules_amend_suite(void) {
	Suite *s = suite_create("rules/amend");
	TCase *c = tcase_create("amend");
	tcase_add_checked_fixture(c, begin, end);
	tcase_add_loop_test(c, judged_as_a_whole, 0, sizeof row / sizeof *row);
	tcase_add_loop_test(c, what_is_looser_is_named, 0, sizeof named / sizeof *named);
	tcase_add_loop_test(c, without_memory_nothing_is_judged, 0, 2);
	tcase_add_test(c, without_memory_a_reason_is_still_asked_for);
	suite_add_tcase(s, c);
	return s;
}
