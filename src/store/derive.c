#include "store/derive.h"

#include <stdlib.h>
#include <string.h>

#include "base/limits.h"
#include "base/text.h"
#include "rules/duty.h"
#include "rules/readiness.h"
#include "rules/standing.h"
#include "store/facts.h"
#include "store/handbook.h"
#include "store/internal.h"
#include "store/safety_items.h"
#include "store/settle.h"

/* Components computed between two rounds of writing: cursors stay open meanwhile. */
#define RUN_COMPONENTS 4000
/* From so many touched rows on, everything is computed in runs. */
#define TOUCHED_SINGLY_MAX 2000

SQL(derive_nth_component, "SELECT id FROM component WHERE id >= ?1 ORDER BY id LIMIT 1 OFFSET ?2");
SQL(derived_duties, "SELECT component_id, duty, due_on, rule, fact, fact_on, reason FROM duty"
		    " WHERE component_id BETWEEN ?1 AND ?2 ORDER BY component_id");
SQL(derived_standings, "SELECT component_id, state, blocker_count, blockers, ready_until,"
		       " ensemble_id FROM standing WHERE component_id BETWEEN ?1 AND ?2"
		       " ORDER BY component_id");
SQL(duty_clear, "DELETE FROM duty WHERE component_id = ?1");
SQL(duty_put, "INSERT INTO duty (component_id, duty, due_on, rule, fact, fact_on, reason)"
	      " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)");
SQL(standing_put,
    "INSERT INTO standing (component_id, state, blocker_count, blockers, ready_until, ensemble_id)"
    " VALUES (?1, ?2, ?3, ?4, ?5, (SELECT ensemble_id FROM component WHERE id = ?1))"
    " ON CONFLICT (component_id) DO UPDATE SET state = excluded.state,"
    " blocker_count = excluded.blocker_count, blockers = excluded.blockers,"
    " ready_until = excluded.ready_until, ensemble_id = excluded.ensemble_id");

/* --- one component, computed ---------------------------------------------------- */

struct derived {
	int64_t component;
	struct duty_list duties;
	struct standing standing;
	const char *blockers; /* JSON */
	char ready_until[DAY_TEXT_SIZE];
	bool duties_differ, standing_differs; /* from what is stored */
};

/* What was found while deriving. */
struct tally {
	int64_t differences; /* components and members whose rows were not as computed */
	int64_t moved;       /* components that stand otherwise than before */
};

static const char *blockers_json(const struct standing *s, struct arena *a) {
	if (s->blocker_count == 0) return "[]";
	struct doc *list = doc_list(a);
	for (size_t i = 0; i < s->blocker_count; i++) {
		struct doc *b = doc_add_map(list);
		doc_set_text(b, "code", s->blocker[i].code);
		doc_set_text(b, "text", s->blocker[i].text);
		if (s->blocker[i].finding) doc_set_int(b, "finding", s->blocker[i].finding);
		else doc_set_null(b, "finding");
		if (s->blocker[i].safety_notice)
			doc_set_int(b, "safety_notice", s->blocker[i].safety_notice);
		if (s->blocker[i].exposure) doc_set_int(b, "exposure", s->blocker[i].exposure);
		if (s->blocker[i].field_test)
			doc_set_int(b, "field_test", s->blocker[i].field_test);
	}
	struct buf b;
	buf_init(&b, LIMIT_PAGE_BYTES_MAX);
	doc_write_json(list, &b);
	char *text = buf_failed(&b) ? NULL : arena_copy(a, buf_text(&b), b.length);
	buf_release(&b);
	return text;
}

static enum err compute(struct derived *d, const struct component_facts *facts,
			const struct program *p, struct arena *a, struct fault *f) {
	duty_list_make(&d->duties, facts, p, a);
	standing_make(&d->standing, facts, &d->duties, p->handbook, a);
	d->blockers = blockers_json(&d->standing, a);
	day_format(d->standing.ready_until, d->ready_until);
	if (d->blockers && !arena_failed(a)) return ERR_OK;
	return fault_set(f, ERR_MEMORY, NULL, "There is no memory left.");
}

static enum err write_derived(struct store *st, const struct derived *d, struct fault *f) {
	enum err err = d->duties_differ ? store_run(st, &duty_clear, f, "i", d->component) : ERR_OK;
	for (size_t i = 0; err == ERR_OK && d->duties_differ && i < d->duties.count; i++) {
		const struct duty *duty = &d->duties.duty[i];
		err = store_run(st, &duty_put, f, "itdtttt", d->component, duty_word[duty->duty],
				duty->due_on, duty->rule, duty->fact,
				*duty->fact_on ? duty->fact_on : NULL, duty->reason);
	}
	if (err != ERR_OK || !d->standing_differs) return err;
	return store_run(st, &standing_put, f, "ititt", d->component,
			 service_state_word[d->standing.state], (int64_t)d->standing.blocker_count,
			 d->blockers, d->ready_until);
}

/* --- what is stored already ------------------------------------------------------ */

static bool duty_is_stored(const struct duty *d, const struct cursor *c) {
	char due[DAY_TEXT_SIZE];
	const char *due_on = d->due_on == DAY_NONE ? NULL : day_format(d->due_on, due);
	const char *fact_on = *d->fact_on ? d->fact_on : NULL;
	return text_equal(cursor_text(c, 2), due_on) && text_equal(cursor_text(c, 3), d->rule) &&
	       text_equal(cursor_text(c, 4), d->fact) && text_equal(cursor_text(c, 5), fact_on) &&
	       text_equal(cursor_text(c, 6), d->reason);
}

/* Two cursors over stored rows, in step with the run of facts. */
struct stored {
	struct cursor duty, standing;
	bool more_duties, more_standings;
};

static enum err stored_open(struct stored *s, struct store *st, int64_t first, int64_t last,
			    struct fault *f) {
	*s = (struct stored){0};
	enum err err = cursor_open(&s->duty, st, &derived_duties, f, "ii", first, last);
	if (err == ERR_OK) err = cursor_next(&s->duty, &s->more_duties);
	if (err == ERR_OK)
		err = cursor_open(&s->standing, st, &derived_standings, f, "ii", first, last);
	if (err == ERR_OK) err = cursor_next(&s->standing, &s->more_standings);
	return err;
}

static void stored_close(struct stored *s) {
	cursor_close(&s->duty);
	cursor_close(&s->standing);
}

/* Compares what is stored of d's component with what was computed; steps over it. */
static enum err stored_compare(struct stored *s, struct derived *d, int64_t ensemble) {
	enum err err = ERR_OK;
	size_t matched = 0, found = 0;
	while (err == ERR_OK && s->more_duties && cursor_int(&s->duty, 0) <= d->component) {
		int code = word_find(duty_word, DUTY_COUNT, cursor_text(&s->duty, 1));
		const struct duty *duty =
		    code < 0 ? NULL : duty_list_find(&d->duties, (enum duty_code)code);
		found++;
		matched += duty && duty_is_stored(duty, &s->duty);
		err = cursor_next(&s->duty, &s->more_duties);
	}
	d->duties_differ = found != matched || matched != d->duties.count;
	bool has_standing = s->more_standings && cursor_int(&s->standing, 0) == d->component;
	d->standing_differs =
	    !has_standing ||
	    !text_equal(cursor_text(&s->standing, 1), service_state_word[d->standing.state]) ||
	    !text_equal(cursor_text(&s->standing, 3), d->blockers) ||
	    !text_equal(cursor_text(&s->standing, 4), d->ready_until) ||
	    cursor_int(&s->standing, 5) != ensemble;
	if (err == ERR_OK && has_standing) err = cursor_next(&s->standing, &s->more_standings);
	return err;
}

/* --- a run of components ----------------------------------------------------------- */

/* What differed in a run, written once the cursors are closed. */
struct differing {
	struct derived **row; /* arena memory */
	size_t count;
};

static enum err compute_run(struct store *st, const struct program *p, int64_t first, int64_t last,
			    struct arena *a, struct differing *differing, struct fault *f) {
	struct facts_run *run = NULL;
	struct stored stored;
	enum err err = stored_open(&stored, st, first, last, f);
	if (err == ERR_OK) err = facts_run_open(&run, st, p->handbook, first, last, f);
	while (err == ERR_OK) {
		struct component_facts facts;
		struct derived *d = arena_new(a, struct derived);
		if (!d) {
			err = fault_set(f, ERR_MEMORY, NULL, "There is no memory left.");
			break;
		}
		err = facts_run_next(run, a, &d->component, &facts, f);
		if (err != ERR_OK || !d->component) break;
		err = compute(d, &facts, p, a, f);
		if (err == ERR_OK) err = stored_compare(&stored, d, facts_run_ensemble(run));
		if (err == ERR_OK && (d->duties_differ || d->standing_differs))
			differing->row[differing->count++] = d;
	}
	facts_run_close(run);
	stored_close(&stored);
	return err;
}

static enum err derive_run(struct store *st, int64_t first, int64_t last, size_t count_max,
			   bool write, struct tally *tally, struct fault *f) {
	const struct program *p;
	enum err err = store_program(st, &p, f);
	if (err != ERR_OK) return err;
	struct arena arena;
	arena_init(&arena, LIMIT_ARENA_BYTES_MAX * 4);
	struct differing differing = {arena_array(&arena, struct derived *, count_max), 0};
	if (!differing.row) err = fault_set(f, ERR_MEMORY, NULL, "There is no memory left.");
	if (err == ERR_OK) err = compute_run(st, p, first, last, &arena, &differing, f);
	tally->differences += (int64_t)differing.count;
	for (size_t i = 0; err == ERR_OK && i < differing.count; i++) {
		tally->moved += differing.row[i]->standing_differs;
		if (write) err = write_derived(st, differing.row[i], f);
	}
	arena_clear(&arena);
	return err;
}

/* The first component behind the run that begins there; INT64_MAX: none. */
static enum err next_run(struct store *st, int64_t first, int64_t *next, struct fault *f) {
	return store_number(st, &derive_nth_component, INT64_MAX, next, f, "ii", first,
			    (int64_t)RUN_COMPONENTS);
}

static enum err derive_components(struct store *st, bool write, struct tally *tally,
				  struct fault *f) {
	int64_t first = 0, next;
	for (;;) {
		enum err err = next_run(st, first, &next, f);
		int64_t last = next == INT64_MAX ? (INT64_MAX >> 20) - 1 : next - 1;
		if (err == ERR_OK)
			err = derive_run(st, first, last, RUN_COMPONENTS + 1, write, tally, f);
		if (err != ERR_OK || next == INT64_MAX) return err;
		first = next;
	}
}

/* --- under other rules ------------------------------------------------------------------ */

SQL(stored_duty_days, "SELECT duty, due_on FROM duty WHERE component_id = ?1");

static void fill_stored(struct duty_move move[DUTY_COUNT], const struct cursor *c) {
	int code = word_find(duty_word, DUTY_COUNT, cursor_text(c, 0));
	if (code < 0) return;
	move[code].was = true;
	move[code].was_on = cursor_day(c, 1);
}

static enum err tell_moves(struct store *st, const struct derived *d,
			   enum err (*each)(void *, const struct duty_move *), void *context,
			   struct fault *f) {
	struct duty_move move[DUTY_COUNT];
	struct cursor c;
	bool more = false;
	for (int i = 0; i < DUTY_COUNT; i++)
		move[i] = (struct duty_move){d->component, (enum duty_code)i, false,
					     false,        DAY_NONE,          DAY_NONE};
	for (size_t i = 0; i < d->duties.count; i++) {
		move[d->duties.duty[i].duty].is = true;
		move[d->duties.duty[i].duty].is_on = d->duties.duty[i].due_on;
	}
	enum err err = cursor_open(&c, st, &stored_duty_days, f, "i", d->component);
	while (err == ERR_OK && (err = cursor_next(&c, &more)) == ERR_OK && more)
		fill_stored(move, &c);
	cursor_close(&c);
	for (int i = 0; err == ERR_OK && i < DUTY_COUNT; i++)
		if (move[i].was != move[i].is || move[i].was_on != move[i].is_on)
			err = each(context, &move[i]);
	return err;
}

static enum err moves_of_run(struct store *st, const struct program *next, int64_t first,
			     int64_t last, enum err (*each)(void *, const struct duty_move *),
			     void *context, struct fault *f) {
	struct arena arena;
	arena_init(&arena, LIMIT_ARENA_BYTES_MAX * 4);
	struct differing differing = {arena_array(&arena, struct derived *, RUN_COMPONENTS + 1), 0};
	enum err err = differing.row ? compute_run(st, next, first, last, &arena, &differing, f)
				     : fault_set(f, ERR_MEMORY, NULL, "There is no memory left.");
	for (size_t i = 0; err == ERR_OK && i < differing.count; i++)
		if (differing.row[i]->duties_differ)
			err = tell_moves(st, differing.row[i], each, context, f);
	arena_clear(&arena);
	return err;
}

enum err derive_moves(struct store *st, const struct program *next,
		      enum err (*each)(void *context, const struct duty_move *move), void *context,
		      struct fault *f) {
	int64_t first = 0, after = 0;
	for (;;) {
		enum err err = next_run(st, first, &after, f);
		int64_t last = after == INT64_MAX ? (INT64_MAX >> 20) - 1 : after - 1;
		if (err == ERR_OK) err = moves_of_run(st, next, first, last, each, context, f);
		if (err != ERR_OK || after == INT64_MAX) return err;
		first = after;
	}
}

/* --- members -------------------------------------------------------------------------- */

SQL(derived_readiness, "SELECT hazard, station_id, ready_until, ensemble_id, obstacles"
		       " FROM member_readiness WHERE member_id = ?1 ORDER BY hazard");
SQL(readiness_clear, "DELETE FROM member_readiness WHERE member_id = ?1 AND hazard = ?2");
SQL(readiness_put,
    "INSERT INTO member_readiness (member_id, hazard, station_id, ready_until, ensemble_id,"
    " obstacles) VALUES (?1, ?2, ?3, ?4, ?5, ?6)"
    " ON CONFLICT (member_id, hazard) DO UPDATE SET station_id = excluded.station_id,"
    " ready_until = excluded.ready_until, ensemble_id = excluded.ensemble_id,"
    " obstacles = excluded.obstacles");
SQL(derive_member, "SELECT station_id, structural, proximity, status = 'active' AS is_active"
		   " FROM member WHERE id = ?1");
SQL_SCAN(derive_members, "SELECT id FROM member ORDER BY id");
SQL(strength_put,
    "INSERT INTO station_strength (station_id, hazard, member_count) VALUES (?1, ?2,"
    " (SELECT count(*) FROM member_readiness WHERE station_id = ?1 AND hazard = ?2))"
    " ON CONFLICT (station_id, hazard) DO UPDATE SET member_count = excluded.member_count");
SQL_SCAN(derive_stations, "SELECT id FROM station ORDER BY id");

static const char *obstacles_json(const struct readiness *r, struct arena *a) {
	struct doc *list = doc_list(a);
	for (size_t i = 0; i < r->obstacle_count; i++) {
		const struct obstacle *o = &r->obstacle[i];
		struct doc *m = doc_add_map(list);
		doc_set_text(m, "code", o->code);
		doc_set_text(m, "text", o->text);
		if (o->component) doc_set_int(m, "component", o->component);
		else doc_set_null(m, "component");
		if (o->fit_check) doc_set_int(m, "fit_check", o->fit_check);
		char from[DAY_TEXT_SIZE];
		if (o->from != DAY_NONE) doc_set_copy(m, "from", day_format(o->from, from));
	}
	struct buf b;
	buf_init(&b, LIMIT_PAGE_BYTES_MAX);
	doc_write_json(list, &b);
	char *text = buf_failed(&b) ? NULL : arena_copy(a, buf_text(&b), b.length);
	buf_release(&b);
	return text;
}

/* The stored row of a hazard among those of the member, or NULL. */
static const struct doc *stored_readiness(const struct doc *stored, const char *hazard) {
	for (const struct doc *row = stored->first; row; row = row->next)
		if (text_equal(doc_text(row, "hazard"), hazard)) return row;
	return NULL;
}

struct member_work {
	int64_t member;
	const struct doc *row; /* NULL: no such member */
	const struct member_facts *facts;
	const struct doc *stored;
};

static enum err derive_hazard(struct store *st, const struct handbook *hb,
			      const struct member_work *w, enum hazard h, struct arena *a,
			      bool write, struct tally *tally, struct fault *f) {
	const struct doc *old = stored_readiness(w->stored, hazard_word[h]);
	if (!doc_bool(w->row, "is_active") || !doc_bool(w->row, hazard_word[h])) {
		tally->differences += old != NULL;
		if (!old || !write) return ERR_OK;
		return store_run(st, &readiness_clear, f, "it", w->member, hazard_word[h]);
	}
	struct readiness r;
	readiness_make(&r, w->facts, h, hb, a);
	const char *obstacles = obstacles_json(&r, a);
	if (!obstacles) return fault_set(f, ERR_MEMORY, NULL, "There is no memory left.");
	char until[DAY_TEXT_SIZE];
	day_format(r.ready_until, until);
	int64_t station = doc_int(w->row, "station_id");
	if (old && doc_int(old, "station_id") == station &&
	    text_equal(doc_text(old, "ready_until"), until) &&
	    doc_int(old, "ensemble_id") == r.ensemble &&
	    text_equal(doc_text(old, "obstacles"), obstacles))
		return ERR_OK;
	tally->differences++;
	if (!write) return ERR_OK;
	return store_run(st, &readiness_put, f, "itit0t", w->member, hazard_word[h], station, until,
			 r.ensemble, obstacles);
}

/* stations, when given, learns of every station the member counts or counted at. */
static enum err derive_one_member(struct store *st, int64_t member, bool write, struct tally *tally,
				  struct touched *stations, struct fault *f) {
	const struct handbook *hb;
	struct arena arena;
	arena_init(&arena, LIMIT_ARENA_BYTES_MAX);
	struct member_facts facts;
	struct doc *row = NULL, *stored = doc_list(&arena);
	enum err err = stored ? store_handbook(st, &hb, f) : ERR_MEMORY;
	if (err == ERR_OK) err = store_one(st, &derive_member, &arena, &row, f, "i", member);
	if (err == ERR_OK) err = store_list(st, &derived_readiness, &arena, stored, f, "i", member);
	if (err == ERR_OK) err = facts_of_member(st, hb, member, &arena, &facts, f);
	struct member_work work = {member, row, &facts, stored};
	for (int h = 0; err == ERR_OK && h < HAZARD_COUNT; h++)
		err = derive_hazard(st, hb, &work, (enum hazard)h, &arena, write, tally, f);
	if (err == ERR_OK && stations) {
		if (row) touched_add(stations, 0, doc_int(row, "station_id"));
		for (const struct doc *s = stored->first; s; s = s->next)
			touched_add(stations, 0, doc_int(s, "station_id"));
	}
	arena_clear(&arena);
	return err;
}

/* Ids of a statement's first column, each passed on once the cursor is closed. */
static enum err collect(struct store *st, const struct sql *sql, int64_t id, int table,
			struct touched *into, struct fault *f) {
	struct cursor c;
	bool more;
	bool bound = id != 0;
	enum err err =
	    bound ? cursor_open(&c, st, sql, f, "i", id) : cursor_open(&c, st, sql, f, "");
	while (err == ERR_OK && (err = cursor_next(&c, &more)) == ERR_OK && more)
		if (!cursor_is_null(&c, 0)) touched_add(into, table, cursor_int(&c, 0));
	cursor_close(&c);
	if (err == ERR_OK && into->failed)
		err = fault_set(f, ERR_MEMORY, NULL, "There is no memory left.");
	return err;
}

static enum err derive_strengths(struct store *st, const struct touched *stations,
				 struct fault *f) {
	enum err err = ERR_OK;
	for (size_t i = 0; err == ERR_OK && i < stations->count * HAZARD_COUNT; i++)
		err = store_run(st, &strength_put, f, "it", stations->row[i / HAZARD_COUNT].id,
				hazard_word[i % HAZARD_COUNT]);
	return err;
}

enum err derive_all(struct store *st, bool write, int64_t *differences, struct fault *f) {
	struct touched members = {0}, stations = {0};
	struct tally tally = {0};
	enum err err = safety_items_derive(st, 0, 1, INT64_MAX, write, &tally.differences, NULL, f);
	if (err == ERR_OK) err = derive_components(st, write, &tally, f);
	if (err == ERR_OK) err = collect(st, &derive_members, 0, 0, &members, f);
	for (size_t i = 0; err == ERR_OK && i < members.count; i++)
		err = derive_one_member(st, members.row[i].id, write, &tally, NULL, f);
	*differences = tally.differences;
	if (err == ERR_OK && write) err = collect(st, &derive_stations, 0, 0, &stations, f);
	if (err == ERR_OK && write) err = derive_strengths(st, &stations, f);
	touched_release(&members);
	touched_release(&stations);
	return err;
}

/* --- what depends on a fact row --------------------------------------------------------- */

/* Each gives the components (or members) that depend on the row ?1 of a table. */
SQL(deps_issue, "SELECT component_id FROM issue WHERE id = ?1");
SQL(deps_issue_member, "SELECT member_id FROM issue WHERE id = ?1");
SQL(deps_cleaning, "SELECT component_id FROM cleaning WHERE id = ?1");
SQL(deps_inspection, "SELECT component_id FROM inspection_part WHERE inspection_id = ?1");
SQL(deps_part, "SELECT component_id FROM inspection_part WHERE id = ?1");
SQL(deps_finding, "SELECT component_id FROM finding WHERE id = ?1");
SQL(deps_field_test, "SELECT component_id FROM field_test WHERE id = ?1");
SQL(deps_fit_check, "SELECT member_id FROM fit_check WHERE id = ?1");
SQL(deps_exposure, "SELECT component_id FROM exposure WHERE id = ?1");
SQL(deps_hold, "SELECT component_id FROM hold WHERE id = ?1");
/* What it holds back names it and says what it asks for. */
SQL(deps_safety_notice, "SELECT component_id FROM safety_notice_item WHERE notice_id = ?1"
			" AND state IN ('left', 'sent', 'out_of_use')");
SQL(deps_safety_answer, "SELECT component_id FROM safety_notice_answer WHERE id = ?1");
SQL(deps_follow_up, "SELECT component_id FROM follow_up WHERE id = ?1");
SQL(deps_dispatch, "SELECT component_id FROM dispatch_item WHERE dispatch_id = ?1");
SQL(deps_dispatch_new, "SELECT replacement_id FROM dispatch_item WHERE dispatch_id = ?1");
SQL(deps_item, "SELECT component_id FROM dispatch_item WHERE id = ?1");
SQL(deps_item_new, "SELECT replacement_id FROM dispatch_item WHERE id = ?1");
SQL(deps_ensemble, "SELECT id FROM component WHERE ensemble_id = ?1");
SQL(deps_ensemble_member, "SELECT member_id FROM ensemble WHERE id = ?1");
SQL_SCAN(deps_ensemble_before, /* who counted with it until now; 20,000 rows at most, seldom */
	 "SELECT member_id FROM member_readiness WHERE ensemble_id = ?1");
SQL(deps_component, "SELECT id FROM component WHERE id = ?1");
/* Members whose readiness a component bears on: of its ensemble now and before, and its holder. */
SQL(members_of_component,
    "SELECT e.member_id FROM component c JOIN ensemble e ON e.id = c.ensemble_id WHERE c.id = ?1"
    " UNION SELECT e.member_id FROM standing s JOIN ensemble e ON e.id = s.ensemble_id"
    "   WHERE s.component_id = ?1"
    " UNION SELECT i.member_id FROM issue i WHERE i.component_id = ?1 AND i.returned_on IS NULL");
/* Whose ensemble an issued part belongs to, and who holds parts of an ensemble. */
SQL(deps_issue_wearer, "SELECT e.member_id FROM issue i JOIN component c ON c.id = i.component_id"
		       " JOIN ensemble e ON e.id = c.ensemble_id WHERE i.id = ?1");
SQL(deps_ensemble_holder,
    "SELECT i.member_id FROM component c JOIN issue i ON i.component_id = c.id"
    " AND i.returned_on IS NULL WHERE c.ensemble_id = ?1");
/* Who waits for parts that the member holds: the obstacle names the holder. */
SQL(deps_member, "SELECT id FROM member WHERE id = ?1");
SQL(deps_member_held, "SELECT e.member_id FROM issue i JOIN component c ON c.id = i.component_id"
		      " JOIN ensemble e ON e.id = c.ensemble_id"
		      " WHERE i.member_id = ?1 AND i.returned_on IS NULL");

enum { DEPENDS_COMPONENT, DEPENDS_MEMBER };

static const struct {
	const char *table;
	const struct sql *sql;
	int on;
} dependency[] = {
    {"member", &deps_member, DEPENDS_MEMBER},
    {"member", &deps_member_held, DEPENDS_MEMBER},
    {"component", &deps_component, DEPENDS_COMPONENT},
    {"component", &members_of_component, DEPENDS_MEMBER},
    {"issue", &deps_issue, DEPENDS_COMPONENT},
    {"issue", &deps_issue_member, DEPENDS_MEMBER},
    {"issue", &deps_issue_wearer, DEPENDS_MEMBER},
    {"cleaning", &deps_cleaning, DEPENDS_COMPONENT},
    {"inspection", &deps_inspection, DEPENDS_COMPONENT},
    {"inspection_part", &deps_part, DEPENDS_COMPONENT},
    {"finding", &deps_finding, DEPENDS_COMPONENT},
    {"follow_up", &deps_follow_up, DEPENDS_COMPONENT},
    {"exposure", &deps_exposure, DEPENDS_COMPONENT},
    {"field_test", &deps_field_test, DEPENDS_COMPONENT},
    {"fit_check", &deps_fit_check, DEPENDS_MEMBER},
    {"safety_notice", &deps_safety_notice, DEPENDS_COMPONENT},
    {"safety_notice_answer", &deps_safety_answer, DEPENDS_COMPONENT},
    {"hold", &deps_hold, DEPENDS_COMPONENT},
    {"dispatch", &deps_dispatch, DEPENDS_COMPONENT},
    {"dispatch", &deps_dispatch_new, DEPENDS_COMPONENT},
    {"dispatch_item", &deps_item, DEPENDS_COMPONENT},
    {"dispatch_item", &deps_item_new, DEPENDS_COMPONENT},
    {"ensemble", &deps_ensemble, DEPENDS_COMPONENT},
    {"ensemble", &deps_ensemble_member, DEPENDS_MEMBER},
    {"ensemble", &deps_ensemble_before, DEPENDS_MEMBER},
    {"ensemble", &deps_ensemble_holder, DEPENDS_MEMBER},
};

/* into[DEPENDS_...]; NULL where nobody asks. */
static enum err collect_dependants(struct store *st, const struct touched_row *row,
				   struct touched *const into[2], struct fault *f) {
	const char *table = fact_table[row->table];
	enum err err = ERR_OK;
	for (size_t i = 0; err == ERR_OK && i < sizeof dependency / sizeof *dependency; i++)
		if (into[dependency[i].on] && strcmp(dependency[i].table, table) == 0)
			err = collect(st, dependency[i].sql, row->id, 0, into[dependency[i].on], f);
	return err;
}

enum err derive_components_of(struct store *st, const struct touched_row *row,
			      struct touched *components, struct fault *f) {
	return collect_dependants(st, row, (struct touched *const[2]){components, NULL}, f);
}

/* One component; when it stands otherwise than before, so may those it bears on. They are
 * asked for first: the standing remembers the ensemble before. */
static enum err derive_component(struct store *st, int64_t component, struct touched *members,
				 struct fault *f) {
	struct touched bears_on = {0};
	struct tally tally = {0};
	enum err err = collect(st, &members_of_component, component, 0, &bears_on, f);
	if (err == ERR_OK) err = derive_run(st, component, component, 2, true, &tally, f);
	for (size_t i = 0; tally.moved && i < bears_on.count; i++)
		touched_add(members, 0, bears_on.row[i].id);
	touched_release(&bears_on);
	return err;
}

/* Components one by one, then the members and stations they bear on. */
static enum err derive_these(struct store *st, const struct touched *components,
			     struct touched *members, struct fault *f) {
	struct touched stations = {0};
	struct tally tally = {0};
	enum err err = ERR_OK;
	for (size_t i = 0; err == ERR_OK && i < components->count; i++)
		err = derive_component(st, components->row[i].id, members, f);
	touched_settle(members);
	for (size_t i = 0; err == ERR_OK && i < members->count; i++)
		err = derive_one_member(st, members->row[i].id, true, &tally, &stations, f);
	if (err == ERR_OK && members->failed)
		err = fault_set(f, ERR_MEMORY, NULL, "There is no memory left.");
	touched_settle(&stations);
	if (err == ERR_OK) err = derive_strengths(st, &stations, f);
	touched_release(&stations);
	return err;
}

static enum err derive_singly(struct store *st, const struct touched *touched, struct fault *f) {
	struct touched components = {0}, members = {0};
	struct touched *const into[2] = {&components, &members};
	int64_t differences;
	enum err err = safety_items_touched(st, touched, &components, f);
	for (size_t i = 0; err == ERR_OK && i < touched->count; i++)
		err = collect_dependants(st, &touched->row[i], into, f);
	touched_settle(&components);
	if (err == ERR_OK && components.failed) err = fault_memory(f);
	/* A notice may hit half the department. */
	if (err == ERR_OK)
		err = components.count > TOUCHED_SINGLY_MAX
			  ? derive_all(st, true, &differences, f)
			  : derive_these(st, &components, &members, f);
	touched_release(&components);
	touched_release(&members);
	return err;
}

SQL(setting_name, "SELECT name FROM setting WHERE id = ?1");

static enum err setting_is_of_program(struct store *st, const struct program *p, int64_t id,
				      bool *is, struct fault *f) {
	struct cursor c;
	bool more = false;
	enum err err = cursor_open(&c, st, &setting_name, f, "i", id);
	if (err == ERR_OK) err = cursor_next(&c, &more);
	*is = err == ERR_OK && more && program_owns(p, cursor_text(&c, 0));
	cursor_close(&c);
	return err;
}

/* Is one of them a setting of the program? Every duty depends on that. The department's name
 * and where mail goes bear on nothing. */
static enum err touches_program(struct store *st, const struct touched *touched, bool *touches,
				struct fault *f) {
	int setting = fact_table_index("setting");
	enum err err = ERR_OK;
	*touches = false;
	for (size_t i = 0; i < touched->count && err == ERR_OK && !*touches; i++) {
		if (touched->row[i].table != setting) continue;
		store_forget_settings(st);
		const struct program *p;
		err = store_program(st, &p, f);
		if (err == ERR_OK)
			err = setting_is_of_program(st, p, touched->row[i].id, touches, f);
	}
	return err;
}

enum err derive_touched(struct store *st, const struct touched *touched, struct fault *f) {
	int64_t differences;
	bool all;
	enum err err = touches_program(st, touched, &all, f);
	if (err != ERR_OK) return err;
	return all || touched->count > TOUCHED_SINGLY_MAX ? derive_all(st, true, &differences, f)
							  : derive_singly(st, touched, f);
}
