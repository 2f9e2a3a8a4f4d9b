/* Closed sets of words: what the program says is what the record takes, and what the handbook
 * knows. */
#include "rooms.h"

#include <sqlite3.h>
#include <string.h>

#include "base/text.h"
#include "folder.h"
#include "handlers/import_kinds.h"
#include "handlers/routes.h"
#include "handlers/words.h"
#include "http/request.h"
#include "rules/fit_check.h"
#include "rules/qualification.h"
#include "rules/safety_notice.h"
#include "rules/standing.h"
#include "rules/verdict.h"
#include "store/handbook.h"

#define WORDS_MAX 40
#define SETS_MAX 1000

static char folder[] = "/tmp/pegwarden-words-XXXXXX";
static struct store *store;
static struct arena arena;

struct set {
	const char *word[WORDS_MAX];
	size_t count;
};
static struct set known[SETS_MAX];
static size_t known_count;

static void open_store(void) {
	folder_make(folder);
	store = folder_open(folder);
	arena_init(&arena, 100000000);
	known_count = 0;
}

static void close_store(void) {
	store_close(store);
	arena_clear(&arena);
	folder_remove(folder);
}

static void add(struct set *s, const char *word) {
	ck_assert_uint_lt(s->count, WORDS_MAX);
	s->word[s->count++] = word;
}

static bool has(const struct set *s, const char *word) {
	for (size_t i = 0; i < s->count; i++)
		if (text_equal(s->word[i], word)) return true;
	return false;
}

static bool is_same(const struct set *a, const struct set *b) {
	for (size_t i = 0; i < a->count; i++)
		if (!has(b, a->word[i])) return false;
	return a->count == b->count;
}

static bool is_known(const struct set *s) {
	for (size_t i = 0; i < known_count; i++)
		if (is_same(s, &known[i])) return true;
	return false;
}

static struct set *new_set(void) {
	ck_assert_uint_lt(known_count, SETS_MAX);
	known[known_count] = (struct set){0};
	return &known[known_count++];
}

static void know(const char *const *word, size_t count) {
	struct set *s = new_set();
	for (size_t i = 0; i < count; i++)
		if (!text_empty(word[i])) add(s, word[i]);
}
#define KNOW(words) know(words, sizeof words / sizeof *words)

/* also: a word that only the record has, or NULL. */
static void know_choice(const struct choice *choice, const char *also) {
	struct set *s = new_set();
	for (; choice->value; choice++) add(s, choice->value);
	if (also) add(s, also);
}

static void know_fields(const struct resource *r) {
	for (size_t i = 0; r && i < r->field_count; i++)
		if (r->field[i].choice) know_choice(r->field[i].choice, NULL);
}

/* Whatever a form, a request or a table may say. */
static void know_fields_of_all(void) {
	size_t count;
	const struct route_table *table = all_routes(&count);
	for (size_t t = 0; t < count; t++)
		for (size_t i = 0; i < table[t].count; i++) know_fields(table[t].route[i].resource);
	const struct import_kind *kind;
	for (size_t i = 0; (kind = import_kind_at(i)); i++) know_fields(kind->columns);
}

static void know_rules(void) {
	know(performer_class_word, PERFORMER_CLASS_COUNT);
	know(service_state_word, STATE_COUNT);
	know(safety_state_word, SAFETY_STATE_COUNT);
	know(fit_result_word, FIT_RESULT_COUNT);
	know(closed_by_word, CLOSED_BY_COUNT);
	know(repair_class_word, REPAIR_CLASS_COUNT);
	know(agreement_word, AGREEMENT_COUNT);
	know_choice(confidence_choice, NULL);
	know_choice(conclusion_choice, "not_finished");
	know_choice(finding_state_choice, "draft");
}

/* Of columns that nothing sends a word for. */
static void know_what_the_record_says(void) {
	static const char *const clean[] = {"yes", "no"};
	static const char *const inspection[] = {"draft", "signed", "abandoned"};
	static const char *const threshold[] = {"overdue", "due_30", "due_90", "due_365"};
	static const char *const mail[] = {"waiting", "sent", "failed"};
	static const char *const run[] = {"checking", "faulty", "ready",
					  "running",  "done",   "failed"};
	static const char *const element[] = {"coat", "trousers", "helmet",
					      "hood", "gloves",   "footwear"};
	static const char *const photo[] = {"image/jpeg"};
	static const char *const limit[] = {"field_test", "cleaning", "laboratory"};
	/* part of what a field test may be: a laboratory's */
	static const char *const beside_new[] = {"above", "below"};
	KNOW(clean);
	KNOW(inspection);
	KNOW(threshold);
	KNOW(mail);
	KNOW(run);
	KNOW(element);
	KNOW(photo);
	KNOW(limit);
	KNOW(beside_new);
}

/* The words of a list "'a', 'b')", copied; none where it is not one of words. */
static struct set words_of(const char *at) {
	struct set s = {0};
	while (*at == '\'') {
		size_t length = strcspn(at + 1, "'");
		add(&s, arena_printf(&arena, "%.*s", (int)length, at + 1));
		at += length + 2;
		at += strspn(at, ", \n");
	}
	return s;
}

static int check_schema(void *lists, int columns, char **cell, char **name) {
	(void)columns;
	(void)name;
	for (const char *at = cell[1]; (at = strstr(at, " IN (")); at++) {
		struct set s = words_of(at + strlen(" IN ("));
		ck_assert_msg(is_known(&s) || !s.count, "%s: %.200s", cell[0], at);
		*(int *)lists += s.count > 0;
	}
	return 0;
}

START_TEST(what_columns_take_is_what_the_program_says) {
	char path[100];
	sqlite3 *db;
	int lists = 0;
	know_fields_of_all();
	know_rules();
	know_what_the_record_says();
	snprintf(path, sizeof path, "%s/pegwarden.db", folder);
	ck_assert_int_eq(sqlite3_open_v2(path, &db, SQLITE_OPEN_READONLY, NULL), SQLITE_OK);
	ck_assert_int_eq(sqlite3_exec(db,
				      "SELECT name, sql FROM sqlite_schema WHERE type = 'table'",
				      check_schema, &lists, NULL),
			 SQLITE_OK);
	sqlite3_close(db);
	ck_assert_int_gt(lists, 60);
}
END_TEST

START_TEST(kinds_and_limits_are_those_of_the_handbook) {
	struct handbook *hb;
	struct fault f = {0};
	ck_assert_int_eq(handbook_load(store, &arena, &hb, &f), ERR_OK);
	for (size_t i = 0; i < hb->kind_count; i++)
		ck_assert_str_eq(choice_label(kind_choice, hb->kind[i].code), hb->kind[i].label);
	ck_assert_ptr_null(kind_choice[hb->kind_count].value);
	size_t laboratory = 0;
	for (int i = LIMIT_OF_LAB_FIRST; i < LIMIT_OF_COUNT; i++, laboratory++)
		ck_assert_str_eq(laboratory_choice[laboratory].value, limit_word[i]);
	ck_assert_ptr_null(laboratory_choice[laboratory].value);
}
END_TEST

START_TEST(a_role_is_known_by_its_word) {
	for (int role = ROLE_NOBODY; role < ROLE_COUNT; role++)
		ck_assert_int_eq(role_of_word(role_word((enum role)role)), role);
	ck_assert_int_eq(role_of_word("Officer"), ROLE_NOBODY);
	ck_assert_int_eq(role_of_word(""), ROLE_NOBODY);
	ck_assert_int_eq(role_of_word(NULL), ROLE_NOBODY);
}
END_TEST

Suite *words_suite(void) {
	Suite *s = suite_create("words");
	TCase *t = tcase_create("words");
	tcase_add_checked_fixture(t, open_store, close_store);
	tcase_add_test(t, what_columns_take_is_what_the_program_says);
	tcase_add_test(t, kinds_and_limits_are_those_of_the_handbook);
	tcase_add_test(t, a_role_is_known_by_its_word);
	suite_add_tcase(s, t);
	return s;
}
