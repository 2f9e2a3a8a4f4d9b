#include "trade.h"

#include <stdlib.h>

#include "base/limits.h"
#include "folder.h"
#include "store/handbook.h"

static char data_dir[] = "/tmp/pegwarden-trade-XXXXXX";
static struct arena shipped; /* the handbook's, read once for all tests */
const struct handbook *hb;

struct arena arena;
struct duty_list duties;
static struct program p;

static void begin(void) {
	arena_init(&arena, LIMIT_ARENA_BYTES_MAX);
	ck_assert_int_eq(program_init(&p, hb, NULL, 0, &arena, NULL), ERR_OK);
}

static void end(void) { arena_clear(&arena); }

void follow(const char *name, const char *value) {
	const struct program_setting setting = {name, value};
	ck_assert_int_eq(program_init(&p, hb, &setting, 1, &arena, NULL), ERR_OK);
}

day on(const char *text) {
	day d = day_parse(text);
	ck_assert_int_ne(d, DAY_NONE);
	return d;
}

struct component_facts part(const char *kind, const char *made) {
	struct component_facts c = component_facts_none();
	c.kind = handbook_kind(hb, kind);
	c.is_identified = true;
	label_date_parse(made, &c.made);
	ck_assert_ptr_nonnull(c.kind);
	return c;
}

struct component_facts in_use(const char *kind, const char *made) {
	struct component_facts c = part(kind, made);
	c.is_issued = true;
	return c;
}

static const struct duty *duty_of(const struct component_facts *c, enum duty_code duty) {
	duty_list_make(&duties, c, &p, &arena);
	return duty_list_find(&duties, duty);
}

const struct program *followed(void) { return &p; }

void measured(struct field_test *t, enum test_measure m, enum unit unit, int64_t thousandths) {
	t->given[m] = true;
	ck_assert(unit_keep(unit, thousandths, &t->value[m]));
}

const char *comes_to(const struct field_test *t) {
	struct field_test_verdict v;
	field_test_judge(&v, t, &p, &arena);
	return field_test_result_word[v.result];
}

size_t washed_beyond(const struct washing *w, struct cleaning_limit limit[CLEANING_LIMITS]) {
	return cleaning_beyond(w, &p, &arena, limit);
}

const char *due(const struct component_facts *c, enum duty_code duty) {
	static char text[DAY_TEXT_SIZE];
	const struct duty *d = duty_of(c, duty);
	return d ? day_format(d->due_on, text) : "none";
}

bool overdue(const struct component_facts *c, enum duty_code duty, const char *today) {
	const struct duty *d = duty_of(c, duty);
	return d && d->due_on < on(today);
}

const struct checklist *list_of(const char *kind, enum hazard h) {
	return handbook_checklist_for(hb, handbook_kind(hb, kind), h, "2026-01-01");
}

const struct subject_defect *defect_at(const char *kind, enum hazard h, const char *code,
				       const char *defect) {
	const struct check_point *point = checklist_point(list_of(kind, h), code);
	ck_assert_msg(point != NULL, "%s has no point %s", kind, code);
	const struct subject_defect *d = subject_defect_find(point->subject, defect);
	ck_assert_msg(d != NULL, "%s has no defect %s", code, defect);
	return d;
}

TCase *trade_case(const char *name) {
	TCase *c = tcase_create(name);
	tcase_add_checked_fixture(c, begin, end);
	return c;
}

struct store *trade_store(void) {
	return folder_open(data_dir);
}

bool trade_load(void) {
	struct fault f = {.code = ERR_OK};
	struct store *st = NULL;
	struct handbook *loaded;
	arena_init(&shipped, LIMIT_ARENA_BYTES_MAX);
	if (!mkdtemp(data_dir)) return false;
	enum err e = store_open(&st, data_dir, PEGWARDEN_SRCDIR "/migrations", STORE_WRITE, &f);
	if (e == ERR_OK) e = handbook_load(st, &shipped, &loaded, &f);
	if (e == ERR_OK) hb = loaded;
	else fprintf(stderr, "The handbook does not load: %s\n", f.message);
	store_close(st);
	return e == ERR_OK;
}

void trade_remove(void) {
	folder_remove(data_dir);
	arena_clear(&shipped);
}
