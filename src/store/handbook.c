#include "store/handbook.h"

#include <stdlib.h>
#include <string.h>

#include "base/limits.h"
#include "store/internal.h"
#include "store/settle.h"

/* The handbook is small and read whole, in the order the rules ask for. */
SQL_SCAN(handbook_kinds,
	 "SELECT code, label, element, structural, proximity, is_layer, is_outer, is_liner,"
	 " has_seams, is_hard FROM component_kind ORDER BY position");
SQL_SCAN(handbook_beneath, "SELECT kind, beneath FROM kind_beneath ORDER BY kind, beneath");
SQL_SCAN(handbook_fits,
	 "SELECT shell, part, maker, model, size FROM kind_fit ORDER BY shell, part");
SQL_SCAN(handbook_zones,
	 "SELECT z.kind, z.code, z.label, z.has_faces, z.has_sides FROM kind_zone z"
	 " JOIN component_kind k ON k.code = z.kind ORDER BY k.position, z.position");
SQL_SCAN(handbook_defects, "SELECT code, label FROM defect ORDER BY code");
SQL_SCAN(handbook_outcomes, "SELECT code, label, strictness, blocks, to_ticket, retires, closed_by"
			    " FROM outcome ORDER BY position");
SQL_SCAN(handbook_subjects, "SELECT code, label FROM subject ORDER BY code");
SQL_SCAN(handbook_subject_defects,
	 "SELECT subject, defect, outcome, or_outcomes, with_reason, severity, repair_class,"
	 " basic_up_to_mm, beneath_due, source FROM subject_defect ORDER BY subject, position");
SQL_SCAN(handbook_checklists,
	 "SELECT id, kind, hazard, version, valid_from FROM checklist ORDER BY id");
SQL_SCAN(
    handbook_points,
    "SELECT checklist_id, code, group_code, group_title, title, look_for, how, source, subject,"
    " needs_trim, reflective, is_seam, is_optional, in_routine, in_advanced, in_liner, in_return,"
    " drawing FROM check_point ORDER BY checklist_id, position");
SQL_SCAN(handbook_duties,
	 "SELECT code, label, bears_on_readiness FROM duty_kind ORDER BY position");
SQL_SCAN(handbook_rule_sets,
	 "SELECT code, label, is_default, source FROM rule_set ORDER BY position");
SQL_SCAN(handbook_rules,
	 "SELECT r.rule_set, r.code, r.label, r.duty, r.kind, r.is_outer, r.is_liner, r.reflective,"
	 " r.cbrn, r.first_months, r.repeat_months, r.per_year, r.source, r.confidence FROM rule r"
	 " JOIN rule_set s ON s.code = r.rule_set ORDER BY s.position, r.code");
SQL_SCAN(handbook_requirements, "SELECT hazard, slot, label, kind, reflective"
				" FROM ensemble_requirement ORDER BY hazard DESC, position");
SQL_SCAN(handbook_limits, "SELECT code, label, unit, is_minimum, thousandths, source, confidence"
			  " FROM limit_value ORDER BY position");
SQL_SCAN(program_settings, "SELECT name, value FROM setting WHERE value <> '' ORDER BY name");

/* --- reading rows into arrays -------------------------------------------------- */

struct reading {
	struct cursor cursor;
	struct arena *arena;
};

static const char *text_at(const struct reading *r, int column) {
	return arena_strdup(r->arena, cursor_text(&r->cursor, column));
}

static int int_at(const struct reading *r, int column) {
	return (int)cursor_int(&r->cursor, column);
}

static bool truth_at(const struct reading *r, int column) { return int_at(r, column) != 0; }

static enum wants wants_at(const struct reading *r, int column) {
	if (cursor_is_null(&r->cursor, column)) return WANTS_EITHER;
	return truth_at(r, column) ? WANTS_YES : WANTS_NO;
}

static int word_at(const struct reading *r, int column, const char *const *word, int count) {
	int found = word_find(word, count, cursor_text(&r->cursor, column));
	return found < 0 ? 0 : found; /* the column's CHECK allows no other word */
}

static enum hazard hazard_at(const struct reading *r, int column) {
	return (enum hazard)word_at(r, column, hazard_word, HAZARD_COUNT);
}

static void take_kind(const struct reading *r, void *row) {
	struct kind *k = row;
	k->code = text_at(r, 0);
	k->label = text_at(r, 1);
	k->element = text_at(r, 2);
	k->hazard[HAZARD_STRUCTURAL] = truth_at(r, 3);
	k->hazard[HAZARD_PROXIMITY] = truth_at(r, 4);
	k->is_layer = truth_at(r, 5);
	k->is_outer = truth_at(r, 6);
	k->is_liner = truth_at(r, 7);
	k->has_seams = truth_at(r, 8);
	k->is_hard = truth_at(r, 9);
}

static void take_beneath(const struct reading *r, void *row) {
	struct beneath *b = row;
	b->kind_code = text_at(r, 0);
	b->beneath_code = text_at(r, 1);
}

static void take_fit(const struct reading *r, void *row) {
	struct fit_rule *x = row;
	x->shell_code = text_at(r, 0);
	x->part_code = text_at(r, 1);
	x->maker = truth_at(r, 2);
	x->model = truth_at(r, 3);
	x->size = truth_at(r, 4);
}

static void take_zone(const struct reading *r, void *row) {
	struct zone *z = row;
	z->kind_code = text_at(r, 0);
	z->code = text_at(r, 1);
	z->label = text_at(r, 2);
	z->has_faces = truth_at(r, 3);
	z->has_sides = truth_at(r, 4);
}

static void take_defect(const struct reading *r, void *row) {
	struct defect *d = row;
	d->code = text_at(r, 0);
	d->label = text_at(r, 1);
}

static void take_outcome(const struct reading *r, void *row) {
	struct outcome *o = row;
	o->code = text_at(r, 0);
	o->label = text_at(r, 1);
	o->strictness = int_at(r, 2);
	o->blocks = truth_at(r, 3);
	o->to_ticket = truth_at(r, 4);
	o->retires = truth_at(r, 5);
	o->closed_by = (enum closed_by)word_at(r, 6, closed_by_word, CLOSED_BY_COUNT);
}

static void take_subject(const struct reading *r, void *row) {
	struct subject *s = row;
	s->code = text_at(r, 0);
	s->label = text_at(r, 1);
}

static void take_subject_defect(const struct reading *r, void *row) {
	struct subject_defect *d = row;
	d->subject_code = text_at(r, 0);
	d->defect_code = text_at(r, 1);
	d->outcome_code = text_at(r, 2);
	d->or_codes = text_at(r, 3);
	d->with_reason_codes = text_at(r, 4);
	d->severity = (enum severity)word_at(r, 5, severity_word, SEVERITY_COUNT);
	d->repair_class = (enum repair_class)word_at(r, 6, repair_class_word, REPAIR_CLASS_COUNT);
	d->basic_up_to_mm = int_at(r, 7);
	d->beneath_due = truth_at(r, 8);
	d->source = text_at(r, 9);
}

static void take_checklist(const struct reading *r, void *row) {
	struct checklist *c = row;
	c->id = cursor_int(&r->cursor, 0);
	c->kind_code = text_at(r, 1);
	c->hazard = hazard_at(r, 2);
	c->version = int_at(r, 3);
	c->valid_from = text_at(r, 4);
}

static void take_point(const struct reading *r, void *row) {
	struct check_point *p = row;
	p->checklist_id = cursor_int(&r->cursor, 0);
	p->code = text_at(r, 1);
	p->group_code = text_at(r, 2);
	p->group_title = text_at(r, 3);
	p->title = text_at(r, 4);
	p->look_for = text_at(r, 5);
	p->how = text_at(r, 6);
	p->source = text_at(r, 7);
	p->subject_code = text_at(r, 8);
	p->needs_trim = truth_at(r, 9);
	p->reflective = wants_at(r, 10);
	p->is_seam = truth_at(r, 11);
	p->is_optional = truth_at(r, 12);
	for (int i = 0; i < INSPECTION_KIND_COUNT; i++) p->asked[i] = truth_at(r, 13 + i);
	p->drawing = text_at(r, 13 + INSPECTION_KIND_COUNT);
}

static void take_duty(const struct reading *r, void *row) {
	struct duty_kind *d = row;
	d->code = text_at(r, 0);
	d->label = text_at(r, 1);
	d->bears_on_readiness = truth_at(r, 2);
}

static void take_rule_set(const struct reading *r, void *row) {
	struct rule_set *s = row;
	s->code = text_at(r, 0);
	s->label = text_at(r, 1);
	s->is_default = truth_at(r, 2);
	s->source = text_at(r, 3);
}

static void take_rule(const struct reading *r, void *row) {
	struct rule *x = row;
	x->set_code = text_at(r, 0);
	x->code = text_at(r, 1);
	x->label = text_at(r, 2);
	x->duty_code = text_at(r, 3);
	x->kind_code = text_at(r, 4);
	x->outer = wants_at(r, 5);
	x->liner = wants_at(r, 6);
	x->reflective = wants_at(r, 7);
	x->cbrn = wants_at(r, 8);
	x->first_months = int_at(r, 9);
	x->repeat_months = int_at(r, 10);
	x->per_year = int_at(r, 11);
	x->source = text_at(r, 12);
	x->confidence = text_at(r, 13);
}

static void take_requirement(const struct reading *r, void *row) {
	struct requirement *q = row;
	q->hazard = hazard_at(r, 0);
	q->slot = text_at(r, 1);
	q->label = text_at(r, 2);
	q->kind_code = text_at(r, 3);
	q->reflective = wants_at(r, 4);
}

static void take_limit(const struct reading *r, void *row) {
	struct limit_value *l = row;
	l->code = text_at(r, 0);
	l->label = text_at(r, 1);
	l->unit = (enum unit)word_at(r, 2, unit_word, UNIT_COUNT);
	l->is_minimum = truth_at(r, 3);
	l->thousandths = cursor_int(&r->cursor, 4);
	l->source = text_at(r, 5);
	l->confidence = text_at(r, 6);
}

/* Every row of a statement into one array of the arena, doubled as it grows. */
static enum err read_array(struct store *st, const struct sql *sql, size_t row_bytes,
			   void (*take)(const struct reading *, void *), struct arena *a,
			   void *array, size_t *count, struct fault *f) {
	struct reading r = {.arena = a};
	enum err err = cursor_open(&r.cursor, st, sql, f, "");
	size_t room = 0;
	char *rows = NULL;
	bool more = err == ERR_OK;
	*count = 0;
	while (err == ERR_OK && (err = cursor_next(&r.cursor, &more)) == ERR_OK && more) {
		if (*count == room) {
			room = room ? room * 2 : 32;
			char *wider = arena_calloc(a, room, row_bytes);
			if (!wider) break;
			if (rows) memcpy(wider, rows, *count * row_bytes);
			rows = wider;
		}
		take(&r, rows + (*count)++ * row_bytes);
	}
	cursor_close(&r.cursor);
	if (err == ERR_OK && arena_failed(a))
		err = fault_set(f, ERR_MEMORY, NULL, "There is no memory left.");
	memcpy(array, &rows, sizeof rows);
	return err;
}

#define READ(member, statement, take_row)                                                          \
	{                                                                                          \
		&statement, sizeof *((struct handbook *)0)->member, take_row,                      \
		    offsetof(struct handbook, member), offsetof(struct handbook, member##_count)   \
	}

enum err handbook_load(struct store *st, struct arena *a, struct handbook **loaded,
		       struct fault *f) {
	static const struct {
		const struct sql *sql;
		size_t row_bytes;
		void (*take)(const struct reading *, void *);
		size_t array_at, count_at;
	} table[] = {
	    READ(kind, handbook_kinds, take_kind),
	    READ(beneath, handbook_beneath, take_beneath),
	    READ(fit, handbook_fits, take_fit),
	    READ(zone, handbook_zones, take_zone),
	    READ(defect, handbook_defects, take_defect),
	    READ(outcome, handbook_outcomes, take_outcome),
	    READ(subject, handbook_subjects, take_subject),
	    READ(subject_defect, handbook_subject_defects, take_subject_defect),
	    READ(checklist, handbook_checklists, take_checklist),
	    READ(point, handbook_points, take_point),
	    READ(duty, handbook_duties, take_duty),
	    READ(rule_set, handbook_rule_sets, take_rule_set),
	    READ(rule, handbook_rules, take_rule),
	    READ(requirement, handbook_requirements, take_requirement),
	    READ(limit, handbook_limits, take_limit),
	};
	struct handbook *hb = arena_new(a, struct handbook);
	if (!hb) return fault_set(f, ERR_MEMORY, NULL, "There is no memory left.");
	enum err err = ERR_OK;
	for (size_t i = 0; err == ERR_OK && i < sizeof table / sizeof *table; i++)
		err = read_array(st, table[i].sql, table[i].row_bytes, table[i].take, a,
				 (char *)hb + table[i].array_at,
				 (size_t *)(void *)((char *)hb + table[i].count_at), f);
	if (err == ERR_OK) err = handbook_link(hb, f);
	*loaded = err == ERR_OK ? hb : NULL;
	return err;
}

static void take_setting(const struct reading *r, void *row) {
	struct program_setting *s = row;
	s->name = text_at(r, 0);
	s->value = text_at(r, 1);
}

enum err settings_load(struct store *st, struct arena *a, struct settings *settings,
		       struct fault *f) {
	return read_array(st, &program_settings, sizeof *settings->setting, take_setting, a,
			  &settings->setting, &settings->count, f);
}

enum err program_load(struct store *st, const struct handbook *hb, struct arena *a,
		      struct program **loaded, struct fault *f) {
	struct settings settings;
	struct program *p = arena_new(a, struct program);
	if (!p) return fault_set(f, ERR_MEMORY, NULL, "There is no memory left.");
	enum err err = settings_load(st, a, &settings, f);
	if (err == ERR_OK) err = program_init(p, hb, settings.setting, settings.count, a, f);
	*loaded = err == ERR_OK ? p : NULL;
	return err;
}

enum err store_handbook(struct store *st, const struct handbook **hb, struct fault *f) {
	enum err err = ERR_OK;
	if (!st->handbook) err = handbook_load(st, &st->handbook_arena, &st->handbook, f);
	*hb = st->handbook;
	return err;
}

enum err store_program(struct store *st, const struct program **p, struct fault *f) {
	const struct handbook *hb;
	enum err err = store_handbook(st, &hb, f);
	if (err == ERR_OK && !st->program)
		err = program_load(st, hb, &st->program_arena, &st->program, f);
	*p = st->program;
	return err;
}

void store_forget_settings(struct store *st) {
	st->program = NULL;
	arena_reset(&st->program_arena);
}
