#include "base/limits.h"
#include "base/text.h"
#include "rules.h"
#include "rules/amend.h"

static struct arena arena;
static const struct handbook *hb;

static void begin(void) {
	arena_init(&arena, LIMIT_ARENA_BYTES_MAX);
	hb = small_handbook(&arena);
}

static void end(void) { arena_clear(&arena); }

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
    {"", "cleaning_reading=count", UNASKED, false, "reason", NULL, 1},
    {"advanced_first_months=9", "advanced_first_months=", UNASKED, false, NULL,
     "advanced_first_months=", 0},
    {"advanced_first_months=9", "advanced_first_months=12", UNASKED, false, NULL,
     "advanced_first_months=12", 0},
    {"", "advanced_first_months=0", UNASKED, true, "advanced_first_months", NULL, 0},
    {"", "nobody_first_months=9", UNASKED, true, "nobody_first_months", NULL, 0},
    {"", "nobody_first_months=", UNASKED, true, "nobody_first_months", NULL, 0},
    {"", "rule_set=nobody", UNASKED, true, "rule_set", NULL, 0},
    {"department=Harbor", "advanced_first_months=9", UNASKED, false, NULL,
     "advanced_first_months=9", 0},
    {"", "rule_set=ours", UNASKED, false, NULL, "rule_set=ours", 0},
    /* Another set: liners and age are not dated there, and cleanings are rarer. */
    {"", "rule_set=other", UNASKED, false, "reason", NULL, 6},
    {"", "rule_set=other", UNASKED, true, NULL, "rule_set=other", 6},
    /* The way back is tighter but for the advanced inspection. */
    {"rule_set=other", "rule_set=ours", UNASKED, false, "reason", NULL, 1},
    {"rule_set=other", "rule_set=", UNASKED, true, NULL, "rule_set=", 1},
    /* Times of one's own: kept or dropped, as somebody says. */
    {"advanced_first_months=9", "rule_set=other", UNASKED, true, "adjustments", NULL, 6},
    {"advanced_first_months=9", "rule_set=other", SAYS_DROP, true, NULL,
     "rule_set=other advanced_first_months=", 6},
    {"advanced_first_months=4", "rule_set=other", SAYS_KEEP, true, NULL, "rule_set=other", 6},
    {"advanced_first_months=9", "rule_set=other", SAYS_KEEP, true, NULL,
     "rule_set=other advanced_first_months=9", 7},
    {"advanced_first_months=9", "rule_set=other advanced_first_months=3", UNASKED, true, NULL,
     "rule_set=other advanced_first_months=3", 6},
    /* Of a rule that the new set does not have: never kept. */
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
		ck_assert_int_eq(strstr(f.message, " more)") != NULL,
				 row[_i].looser > 1 && strcmp(f.field, "reason") == 0);
		return;
	}
	ck_assert_msg(err == ERR_OK, "%s", f.message);
	ck_assert_str_eq(written(&am.store), row[_i].store);
	/* What is stored then makes just that program. */
	const struct program_setting *set = NULL;
	for (size_t i = 0; i < am.store.count; i++)
		if (strcmp(am.store.setting[i].name, "rule_set") == 0) set = &am.store.setting[i];
	if (set) ck_assert_str_eq(am.next.set->code, *set->value ? set->value : "ours");
}
END_TEST

START_TEST(what_is_looser_is_named) {
	struct amendment am;
	struct fault f = {.code = ERR_OK};
	const struct settings none = {NULL, 0}, asked = read("rule_set=other");
	ck_assert_int_eq(amendment_make(&am, hb, &none, &asked, UNASKED, "", &arena, &f),
			 ERR_INVALID);
	ck_assert_str_eq(f.field, "reason");
	ck_assert_ptr_nonnull(strstr(am.looser, "instead of"));
	ck_assert_int_eq(amendment_make(&am, hb, &none, &asked, UNASKED, "Agreed.", &arena, &f),
			 ERR_OK);
	ck_assert_int_eq(am.next.rule[0].first_months, 6);
}
END_TEST

START_TEST(without_memory_nothing_is_judged) {
	struct amendment am;
	struct fault f = {.code = ERR_OK};
	const struct settings none = {NULL, 0}, asked = read("rule_set=other");
	struct arena little;
	for (size_t bytes = 1; bytes < 64 * 1024; bytes *= 2) {
		arena_init(&little, bytes);
		enum err err =
		    amendment_make(&am, hb, &none, &asked, UNASKED, "Agreed.", &little, &f);
		ck_assert(err == ERR_OK || err == ERR_MEMORY);
		ck_assert(bytes > 1 || err == ERR_MEMORY);
		arena_clear(&little);
	}
}
END_TEST

Suite *rules_amend_suite(void) {
	Suite *s = suite_create("rules/amend");
	TCase *c = tcase_create("amend");
	tcase_add_checked_fixture(c, begin, end);
	tcase_add_loop_test(c, judged_as_a_whole, 0, sizeof row / sizeof *row);
	tcase_add_test(c, what_is_looser_is_named);
	tcase_add_test(c, without_memory_nothing_is_judged);
	suite_add_tcase(s, c);
	return s;
}
