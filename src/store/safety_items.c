#include "store/safety_items.h"

#include <string.h>

#include "base/limits.h"
#include "base/text.h"
#include "rules/handbook.h"
#include "store/internal.h"
#include "store/safety_notice.h"

/* Components looked at between two rounds of writing: cursors stay open meanwhile. */
#define RUN_IDS 20000

SQL(items_notices, "SELECT id, action, edition, withdrawn, recorded_on FROM safety_notice"
		   " WHERE id BETWEEN ?1 AND ?2 ORDER BY id");
SQL(items_scopes,
    "SELECT notice_id, kind, hazard, maker, model, serial_from, serial_to, serials,"
    " made_from, made_to FROM safety_notice_scope"
    " WHERE notice_id BETWEEN ?1 AND ?2 AND dropped_on IS NULL ORDER BY notice_id, id");
/* Retired gear that serves for training is in people's hands until it is disposed of. */
SQL(items_components, "SELECT id, kind, hazard, maker, model, serial, made,"
		      " iif(training_on IS NOT NULL AND disposed_on IS NULL, NULL, retired_on)"
		      " FROM component WHERE id BETWEEN ?1 AND ?2 ORDER BY id");
SQL(items_stored, "SELECT component_id, notice_id, hit, reason, state FROM safety_notice_item"
		  " WHERE component_id BETWEEN ?1 AND ?2 AND notice_id BETWEEN ?3 AND ?4"
		  " ORDER BY component_id, notice_id");
SQL(items_answers, "SELECT component_id, notice_id, answer, action, hit, edition"
		   " FROM safety_notice_answer WHERE component_id BETWEEN ?1 AND ?2"
		   " AND notice_id BETWEEN ?3 AND ?4 AND revoked_on IS NULL"
		   " ORDER BY component_id, notice_id, id");
SQL(items_clear, "DELETE FROM safety_notice_item WHERE component_id = ?1"
		 " AND notice_id BETWEEN ?2 AND ?3");
SQL(items_put, "INSERT INTO safety_notice_item (component_id, notice_id, hit, reason, state)"
	       " VALUES (?1, ?2, ?3, ?4, ?5)");
SQL(items_last_component, "SELECT max(id) FROM component");
SQL(items_notice_of_scope, "SELECT notice_id FROM safety_notice_scope WHERE id = ?1");
SQL(items_component_of_answer, "SELECT component_id FROM safety_notice_answer WHERE id = ?1");

/* --- the notices ------------------------------------------------------------------ */

struct notice {
	int64_t id;
	enum safety_action action;
	int edition;
	bool is_withdrawn;
	day recorded_on;
	struct safety_scope *scope;
	size_t scope_count;
};

struct notices {
	int64_t first, last; /* ids asked for */
	struct notice *notice;
	size_t count;
};

/* A list with commas, semicolons or lines between. */
static void split_serials(struct safety_scope *s, const char *text, struct arena *a) {
	const char **serial = arena_array(a, const char *, strlen(text) / 2 + 1);
	while (serial && *text) {
		size_t length = strcspn(text, ",;\r\n");
		const char *one = length ? text_fold(a, arena_copy(a, text, length)) : NULL;
		if (!text_empty(one)) serial[s->serial_count++] = one;
		text += length;
		text += strspn(text, ",;\r\n");
	}
	s->serial = serial;
}

static const char *folded(struct arena *a, const char *text) {
	const char *key = text ? text_fold(a, text) : NULL;
	return text_empty(key) ? NULL : key;
}

void safety_scope_make(struct safety_scope *s, const struct safety_scope_row *r, struct arena *a) {
	*s = (struct safety_scope){
	    .kind = arena_strdup(a, r->kind),
	    .hazard = arena_strdup(a, r->hazard),
	    .maker = text_fold(a, r->maker),
	    .model = folded(a, r->model),
	    .serial_from = folded(a, r->serial_from),
	    .serial_to = folded(a, r->serial_to),
	};
	if (r->serials) split_serials(s, r->serials, a);
	label_date_parse(r->made_from, &s->made_from);
	label_date_parse(r->made_to, &s->made_to);
}

/* Room for one more element behind an array that grows in the arena. */
static void *one_more(struct arena *a, void *array, size_t count, size_t bytes) {
	if (count & (count - 1)) return array; /* room doubles at each power of two */
	void *wider = arena_calloc(a, count ? count * 2 : 1, bytes);
	if (wider && count) memcpy(wider, array, count * bytes);
	return wider;
}

static enum err load_scopes(struct store *st, struct notices *n, struct arena *a, struct fault *f) {
	struct cursor c;
	bool more;
	size_t at = 0;
	enum err err = cursor_open(&c, st, &items_scopes, f, "ii", n->first, n->last);
	while (err == ERR_OK && (err = cursor_next(&c, &more)) == ERR_OK && more) {
		while (at < n->count && n->notice[at].id < cursor_int(&c, 0)) at++;
		if (at == n->count) break;
		struct notice *of = &n->notice[at];
		of->scope = one_more(a, of->scope, of->scope_count, sizeof *of->scope);
		if (!of->scope) break;
		const struct safety_scope_row row = {
		    .kind = cursor_text(&c, 1),
		    .hazard = cursor_text(&c, 2),
		    .maker = cursor_text(&c, 3),
		    .model = cursor_text(&c, 4),
		    .serial_from = cursor_text(&c, 5),
		    .serial_to = cursor_text(&c, 6),
		    .serials = cursor_text(&c, 7),
		    .made_from = cursor_text(&c, 8),
		    .made_to = cursor_text(&c, 9),
		};
		safety_scope_make(&of->scope[of->scope_count++], &row, a);
	}
	cursor_close(&c);
	return err;
}

/* All of them, or one. */
static enum err load_notices(struct store *st, int64_t id, struct notices *n, struct arena *a,
			     struct fault *f) {
	struct cursor c;
	bool more;
	*n = (struct notices){.first = id, .last = id ? id : INT64_MAX};
	enum err err = cursor_open(&c, st, &items_notices, f, "ii", n->first, n->last);
	while (err == ERR_OK && (err = cursor_next(&c, &more)) == ERR_OK && more) {
		n->notice = one_more(a, n->notice, n->count, sizeof *n->notice);
		if (!n->notice) break;
		int action = word_find(safety_action_word, SAFETY_ACTION_COUNT, cursor_text(&c, 1));
		n->notice[n->count++] = (struct notice){
		    .id = cursor_int(&c, 0),
		    .action = (enum safety_action)(action < 0 ? SAFETY_STOP_USE : action),
		    .edition = (int)cursor_int(&c, 2),
		    .is_withdrawn = cursor_int(&c, 3) != 0,
		    .recorded_on = cursor_day(&c, 4),
		};
	}
	cursor_close(&c);
	if (err == ERR_OK && n->count) err = load_scopes(st, n, a, f);
	return err == ERR_OK && arena_failed(a) ? fault_memory(f) : err;
}

/* --- one component --------------------------------------------------------------------- */

struct item {
	int64_t notice;
	enum safety_hit hit;
	const char *reason;
	enum safety_state state;
};

/* The items of one component, in the order of the notices. */
struct items {
	int64_t component;
	struct item *item;
	size_t count;
};

/* The scope that hits surest; of equal ones the first. */
static enum safety_hit hit_of(const struct notice *n, const struct safety_label *label,
			      struct arena *a, const char **reason) {
	enum safety_hit best = SAFETY_NO;
	for (size_t i = 0; i < n->scope_count && best != SAFETY_HIT; i++) {
		const char *why;
		enum safety_hit hit = safety_scope_hits(&n->scope[i], label, a, &why);
		if (hit <= best) continue;
		best = hit;
		*reason = why;
	}
	return best;
}

/* Steps over the answers of a component to a notice; the last counts. */
static enum err take_answers(struct cursor *answers, bool *more, int64_t component, int64_t notice,
			     struct safety_case *c) {
	enum err err = ERR_OK;
	c->answer = SAFETY_ANSWER_NONE;
	while (err == ERR_OK && *more &&
	       (cursor_int(answers, 0) < component ||
		(cursor_int(answers, 0) == component && cursor_int(answers, 1) <= notice))) {
		if (cursor_int(answers, 0) == component && cursor_int(answers, 1) == notice) {
			int answer = word_find(safety_answer_word, SAFETY_ANSWER_COUNT,
					       cursor_text(answers, 2));
			int action = word_find(safety_action_word, SAFETY_ACTION_COUNT,
					       cursor_text(answers, 3));
			int hit =
			    word_find(safety_hit_word, SAFETY_HIT_COUNT, cursor_text(answers, 4));
			c->answer = answer < 0 ? SAFETY_ANSWER_NONE : (enum safety_answer)answer;
			c->answered_action = (enum safety_action)(action < 0 ? 0 : action);
			c->answered_hit = (enum safety_hit)(hit < 0 ? 0 : hit);
			c->answered_edition = (int)cursor_int(answers, 5);
		}
		err = cursor_next(answers, more);
	}
	return err;
}

/* Until the next step. */
static struct safety_label label_of(const struct cursor *component) {
	struct safety_label label = {
	    .kind = cursor_text(component, 1),
	    .hazard = cursor_text(component, 2),
	    .maker = cursor_text(component, 3),
	    .model = cursor_text(component, 4),
	    .serial = cursor_text(component, 5),
	};
	label_date_parse(cursor_text(component, 6), &label.made);
	return label;
}

/* What was retired before a notice was recorded was in nobody's hands any more. */
static enum err make_items(const struct notices *n, const struct cursor *component,
			   struct cursor *answers, bool *more, struct arena *a,
			   struct items *items) {
	struct safety_label label = label_of(component);
	day retired_on = cursor_day(component, 7);
	enum err err = ERR_OK;
	*items = (struct items){cursor_int(component, 0), arena_array(a, struct item, n->count), 0};
	for (size_t i = 0; items->item && i < n->count && err == ERR_OK; i++) {
		const struct notice *notice = &n->notice[i];
		const char *reason = NULL;
		if (retired_on != DAY_NONE && retired_on < notice->recorded_on) continue;
		struct safety_case c = {.action = notice->action,
					.edition = notice->edition,
					.is_withdrawn = notice->is_withdrawn,
					.hit = hit_of(notice, &label, a, &reason),
					.is_retired = retired_on != DAY_NONE};
		if (c.hit == SAFETY_NO) continue;
		err = take_answers(answers, more, items->component, notice->id, &c);
		items->item[items->count++] =
		    (struct item){notice->id, c.hit, reason, safety_state_of(&c)};
	}
	return err;
}

static bool is_stored(const struct item *item, const struct cursor *stored) {
	return cursor_int(stored, 1) == item->notice &&
	       text_equal(cursor_text(stored, 2), safety_hit_word[item->hit]) &&
	       text_equal(cursor_text(stored, 3), item->reason) &&
	       text_equal(cursor_text(stored, 4), safety_state_word[item->state]);
}

/* Steps over what is stored of the component. */
static enum err compare(const struct items *items, struct cursor *stored, bool *more,
			bool *differs) {
	size_t found = 0;
	enum err err = ERR_OK;
	*differs = false;
	while (err == ERR_OK && *more && cursor_int(stored, 0) <= items->component) {
		*differs |= found >= items->count || !is_stored(&items->item[found], stored);
		found++;
		err = cursor_next(stored, more);
	}
	*differs |= found != items->count;
	return err;
}

/* --- a run of components ------------------------------------------------------------------ */

/* What differs, kept until the cursors are closed. */
struct differing {
	struct arena arena;
	struct items *row;
	size_t count;
};

static void keep(struct differing *d, const struct items *items) {
	d->row = one_more(&d->arena, d->row, d->count, sizeof *d->row);
	struct item *item = arena_array(&d->arena, struct item, items->count + 1);
	if (!d->row || !item) return;
	for (size_t i = 0; i < items->count; i++) {
		item[i] = items->item[i];
		item[i].reason = arena_strdup(&d->arena, items->item[i].reason);
	}
	d->row[d->count++] = (struct items){items->component, item, items->count};
}

enum { COMPONENTS, STORED, ANSWERS, CURSORS };

static enum err compute_run(struct store *st, const struct notices *n, int64_t first, int64_t last,
			    struct differing *d, struct fault *f) {
	struct cursor c[CURSORS] = {0};
	bool more[CURSORS] = {0};
	struct arena scratch;
	arena_init(&scratch, LIMIT_ARENA_BYTES_MAX);
	enum err err = cursor_open(&c[COMPONENTS], st, &items_components, f, "ii", first, last);
	if (err == ERR_OK)
		err = cursor_open(&c[STORED], st, &items_stored, f, "iiii", first, last, n->first,
				  n->last);
	if (err == ERR_OK)
		err = cursor_open(&c[ANSWERS], st, &items_answers, f, "iiii", first, last, n->first,
				  n->last);
	for (int i = 0; i < CURSORS && err == ERR_OK; i++) err = cursor_next(&c[i], &more[i]);
	while (err == ERR_OK && more[COMPONENTS]) {
		struct items items;
		bool differs = false;
		err = make_items(n, &c[COMPONENTS], &c[ANSWERS], &more[ANSWERS], &scratch, &items);
		if (err == ERR_OK) err = compare(&items, &c[STORED], &more[STORED], &differs);
		if (err == ERR_OK && differs) keep(d, &items);
		if (err == ERR_OK && (arena_failed(&scratch) || arena_failed(&d->arena)))
			err = fault_memory(f);
		arena_reset(&scratch);
		if (err == ERR_OK) err = cursor_next(&c[COMPONENTS], &more[COMPONENTS]);
	}
	for (int i = 0; i < CURSORS; i++) cursor_close(&c[i]);
	arena_clear(&scratch);
	return err;
}

static enum err write_items(struct store *st, const struct notices *n, const struct items *items,
			    struct fault *f) {
	enum err err = store_run(st, &items_clear, f, "iii", items->component, n->first, n->last);
	for (size_t i = 0; err == ERR_OK && i < items->count; i++)
		err = store_run(st, &items_put, f, "iittt", items->component, items->item[i].notice,
				safety_hit_word[items->item[i].hit], items->item[i].reason,
				safety_state_word[items->item[i].state]);
	return err;
}

/* What is asked for beside the notices. */
struct wish {
	bool write;
	int64_t *differences;
	struct touched *changed; /* NULL: nobody asks */
};

static enum err derive_run(struct store *st, const struct notices *n, int64_t first, int64_t last,
			   const struct wish *wish, struct fault *f) {
	struct differing d = {0};
	arena_init(&d.arena, LIMIT_ARENA_BYTES_MAX * 4);
	enum err err = compute_run(st, n, first, last, &d, f);
	*wish->differences += (int64_t)d.count;
	for (size_t i = 0; err == ERR_OK && i < d.count; i++) {
		if (wish->write) err = write_items(st, n, &d.row[i], f);
		if (wish->changed) touched_add(wish->changed, 0, d.row[i].component);
	}
	arena_clear(&d.arena);
	return err;
}

static enum err last_component(struct store *st, int64_t *last, struct fault *f) {
	return store_number(st, &items_last_component, 0, last, f, "");
}

enum err safety_items_derive(struct store *st, int64_t notice, int64_t first, int64_t last,
			     bool write, int64_t *differences, struct touched *changed,
			     struct fault *f) {
	struct notices n;
	struct arena a;
	int64_t highest = 0;
	const struct wish wish = {write, differences, changed};
	arena_init(&a, LIMIT_ARENA_BYTES_MAX);
	enum err err = load_notices(st, notice, &n, &a, f);
	if (err == ERR_OK && n.count) err = last_component(st, &highest, f);
	if (highest < last) last = highest;
	for (int64_t at = first; err == ERR_OK && n.count && at <= last; at += RUN_IDS)
		err = derive_run(st, &n, at, at + RUN_IDS - 1 < last ? at + RUN_IDS - 1 : last,
				 &wish, f);
	arena_clear(&a);
	return err;
}

/* --- what fact rows bear on ------------------------------------------------------------------ */

static enum err sort_out(struct store *st, const struct touched *touched, struct touched *notices,
			 struct touched *components, struct fault *f) {
	enum err err = ERR_OK;
	for (size_t i = 0; err == ERR_OK && i < touched->count; i++) {
		int64_t id = touched->row[i].id, of = 0;
		switch (touched->row[i].table) {
		case FACT_safety_notice: touched_add(notices, 0, id); break;
		case FACT_safety_notice_scope:
			err = store_number(st, &items_notice_of_scope, 0, &of, f, "i", id);
			touched_add(notices, 0, of);
			break;
		case FACT_component: touched_add(components, 0, id); break;
		case FACT_safety_notice_answer:
			err = store_number(st, &items_component_of_answer, 0, &of, f, "i", id);
			touched_add(components, 0, of);
			break;
		default: break;
		}
	}
	touched_settle(notices);
	touched_settle(components);
	if (err == ERR_OK && (notices->failed || components->failed)) err = fault_memory(f);
	return err;
}

static enum err derive_components(struct store *st, const struct touched *components,
				  const struct wish *wish, struct fault *f) {
	struct notices n;
	struct arena a;
	arena_init(&a, LIMIT_ARENA_BYTES_MAX);
	enum err err = load_notices(st, 0, &n, &a, f);
	for (size_t i = 0; err == ERR_OK && n.count && i < components->count; i++)
		err = derive_run(st, &n, components->row[i].id, components->row[i].id, wish, f);
	arena_clear(&a);
	return err;
}

enum err safety_items_touched(struct store *st, const struct touched *touched,
			      struct touched *changed, struct fault *f) {
	struct touched notices = {0}, components = {0};
	int64_t differences = 0;
	const struct wish wish = {true, &differences, changed};
	enum err err = sort_out(st, touched, &notices, &components, f);
	for (size_t i = 0; err == ERR_OK && i < notices.count; i++)
		err = safety_items_derive(st, notices.row[i].id, 1, INT64_MAX, true, &differences,
					  changed, f);
	if (err == ERR_OK && components.count) err = derive_components(st, &components, &wish, f);
	touched_release(&notices);
	touched_release(&components);
	return err;
}

/* --- before anything is stored ------------------------------------------------------------------
 */

enum err safety_scope_count(struct store *st, const struct safety_scope_row *row, int64_t *hit,
			    int64_t *possible, struct fault *f) {
	struct arena a, scratch;
	struct safety_scope scope;
	struct cursor c = {0};
	bool more;
	arena_init(&a, LIMIT_ARENA_BYTES_MAX);
	arena_init(&scratch, LIMIT_ARENA_BYTES_MAX);
	*hit = *possible = 0;
	safety_scope_make(&scope, row, &a);
	enum err err = arena_failed(&a) ? fault_memory(f) : ERR_OK;
	if (err == ERR_OK)
		err = cursor_open(&c, st, &items_components, f, "ii", (int64_t)1, INT64_MAX);
	while (err == ERR_OK && (err = cursor_next(&c, &more)) == ERR_OK && more) {
		const char *reason;
		struct safety_label label = label_of(&c);
		enum safety_hit is = safety_scope_hits(&scope, &label, &scratch, &reason);
		if (cursor_is_null(&c, 7)) {
			*hit += is == SAFETY_HIT;
			*possible += is == SAFETY_POSSIBLE;
		}
		if (arena_failed(&scratch)) err = fault_memory(f);
		arena_reset(&scratch);
	}
	cursor_close(&c);
	arena_clear(&a);
	arena_clear(&scratch);
	return err;
}
