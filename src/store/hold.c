#include "store/hold.h"

#include <string.h>

#include "store/derive.h"
#include "store/internal.h"
#include "store/list.h"

SQL(hold_insert_row, "INSERT INTO hold (component_id, placed_by, incident, placed_on, kept_where,"
		     " container, note) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)");
SQL(hold_release_row, "UPDATE hold SET released_by = ?2, released_on = ?3, authority = ?4,"
		      " release_reason = ?5, version = version + 1 WHERE id = ?1");
SQL(hold_touch, "UPDATE hold SET version = version + 1 WHERE id = ?1");
SQL(custody_insert, "INSERT INTO custody (hold_id, recorded_at, happened_on, who, purpose, note,"
		    " time_of_day) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)");
SQL(custody_of_hold, "SELECT happened_on, time_of_day, recorded_at, who, purpose, note FROM custody"
		     " WHERE hold_id = ?1 ORDER BY id");

#define HOLD_COLUMNS                                                                               \
	"SELECT h.id, h.component_id AS component, c.tag, k.label AS kind_label, h.incident,"      \
	" h.placed_on, p.given_name || ' ' || p.family_name AS placed_by_name, h.kept_where,"      \
	" h.container, h.note, h.released_on,"                                                     \
	" (SELECT given_name || ' ' || family_name FROM member WHERE id = h.released_by)"          \
	"  AS released_by_name, h.authority, h.release_reason,"                                    \
	" iif(h.released_on IS NULL, 'open', 'released') AS state, h.version"
#define HOLD_FROM                                                                                  \
	" FROM hold h JOIN component c ON c.id = h.component_id"                                   \
	" JOIN component_kind k ON k.code = c.kind JOIN member p ON p.id = h.placed_by"
SQL(hold_of_id, HOLD_COLUMNS HOLD_FROM " WHERE h.id = ?1");
SQL(hold_of_component,
    HOLD_COLUMNS HOLD_FROM " WHERE h.component_id = ?1 ORDER BY h.placed_on DESC, h.id DESC");

#define HOLD_WHERE                                                                                 \
	" WHERE (?1 IS NULL OR c.search_key LIKE ?1 ESCAPE '\\' OR h.incident LIKE ?1 ESCAPE"      \
	" '\\') AND (?2 IS NULL OR (h.released_on IS NULL) = (?2 = 'open'))"
/* A department has few, and hopes for none. */
SQL_SCAN(holds_count, "SELECT count(*) AS total" HOLD_FROM HOLD_WHERE);
SQL_SCAN(holds_by_day, HOLD_COLUMNS HOLD_FROM HOLD_WHERE
	 " ORDER BY h.placed_on DESC, h.id DESC LIMIT ?3 OFFSET ?4");
SQL_SCAN(holds_by_tag, HOLD_COLUMNS HOLD_FROM HOLD_WHERE " ORDER BY c.tag, h.id LIMIT ?3 OFFSET "
							 "?4");

const struct list_source hold_list = {
    .count = &holds_count,
    .filter = {"state"},
    .sort = {{"day", "Newest first", &holds_by_day}, {"tag", "Tag", &holds_by_tag}},
};

/* Of an outfit: what is in the same ensemble (of a member, or of a part in none: the primary
 * one), and what is in none at all. */
#define OUTFIT "(SELECT ensemble_id FROM component WHERE id = ?1)"
#define WORN                                                                                       \
	"SELECT c.id AS component, c.tag, c.hazard, k.label AS kind_label, e.code AS ensemble,"    \
	" k.position,"                                                                             \
	" c.id = ?1 OR e.id IS NULL OR iif(" OUTFIT " IS NULL, e.line = 'primary', e.id = " OUTFIT \
	") AS is_selected FROM component c JOIN component_kind k ON k.code = c.kind"               \
	" LEFT JOIN ensemble e ON e.id = c.ensemble_id"
#define NOT_HELD                                                                                   \
	" AND NOT EXISTS (SELECT 1 FROM hold h WHERE h.component_id = c.id"                        \
	" AND h.released_on IS NULL)"
SQL(parts_worn_together, WORN
    " WHERE c.id = ?1" NOT_HELD " UNION " WORN
    " JOIN component w ON w.ensemble_id = c.ensemble_id WHERE w.id = ?1"
    "   AND c.retired_on IS NULL" NOT_HELD " UNION " WORN
    " JOIN issue i ON i.component_id = c.id AND i.returned_on IS NULL"
    " JOIN issue w ON w.member_id = i.member_id AND w.returned_on IS NULL"
    "   WHERE w.component_id = ?1" NOT_HELD " UNION " WORN
    "   WHERE e.member_id = ?2 AND c.retired_on IS NULL" NOT_HELD " UNION " WORN
    " JOIN issue i ON i.component_id = c.id AND i.returned_on IS NULL"
    "   WHERE i.member_id = ?2" NOT_HELD " ORDER BY is_selected DESC, ensemble, position, tag");

enum err hold_insert(struct store *st, const struct hold_row *r, int64_t *id, struct fault *f) {
	enum err err = store_run(st, &hold_insert_row, f, "iittttt", r->component, r->placed_by,
				 r->incident, r->placed_on, r->kept_where, r->container, r->note);
	*id = store_inserted(st);
	return err;
}

enum err hold_release(struct store *st, int64_t id, int64_t by, const char *on,
		      const char *authority, const char *reason, struct fault *f) {
	return store_run(st, &hold_release_row, f, "iittt", id, by, on, authority, reason);
}

enum err custody_add(struct store *st, const struct custody_row *r, struct fault *f) {
	enum err err = store_run(st, &custody_insert, f, "itttttt", r->hold, r->recorded_at,
				 r->happened_on, r->who, r->purpose, r->note, r->time_of_day);
	return err == ERR_OK ? store_run(st, &hold_touch, f, "i", r->hold) : err;
}

enum err hold_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
		  struct fault *f) {
	return store_one(st, &hold_of_id, a, row, f, "i", id);
}

enum err hold_custody(struct store *st, int64_t id, struct arena *a, struct doc *list,
		      struct fault *f) {
	return store_list(st, &custody_of_hold, a, list, f, "i", id);
}

enum err holds_of_component(struct store *st, int64_t component, struct arena *a, struct doc *list,
			    struct fault *f) {
	return store_list(st, &hold_of_component, a, list, f, "i", component);
}

enum err worn_together(struct store *st, int64_t component, int64_t member, struct arena *a,
		       struct doc *list, struct fault *f) {
	return store_list(st, &parts_worn_together, a, list, f, "ii", component, member);
}

/* --- in tables --- */

SQL(hold_on_record,
    "SELECT h.id, h.incident, p.badge AS placed_by, h.kept_where, h.container, h.note,"
    " h.released_on, r.badge AS released_by, h.authority, h.release_reason"
    " FROM hold h JOIN member p ON p.id = h.placed_by LEFT JOIN member r ON r.id = h.released_by"
    " WHERE h.component_id = ?1 AND h.placed_on = ?2 ORDER BY h.id LIMIT 1");
SQL(custody_on_record,
    "SELECT EXISTS (SELECT 1 FROM custody WHERE hold_id = ?1 AND recorded_at = ?2"
    " AND happened_on = ?3 AND who = ?4 AND purpose = ?5 AND note IS ?6 AND time_of_day IS ?7)");

enum err hold_find(struct store *st, int64_t component, const char *placed_on, struct arena *a,
		   struct doc **row, struct fault *f) {
	return store_one(st, &hold_on_record, a, row, f, "it", component, placed_on);
}

enum err custody_find(struct store *st, const struct custody_row *r, bool *found, struct fault *f) {
	int64_t is = 0;
	enum err err =
	    store_number(st, &custody_on_record, 0, &is, f, "itttttt", r->hold, r->recorded_at,
			 r->happened_on, r->who, r->purpose, r->note, r->time_of_day);
	*found = is != 0;
	return err;
}

/* --- the guard ---------------------------------------------------------------------- */

/* Whether any is open at all: the partial index of the open ones. */
SQL_SCAN(guard_open, "SELECT EXISTS (SELECT 1 FROM hold WHERE released_on IS NULL)");
SQL(guard_held, "SELECT EXISTS (SELECT 1 FROM hold WHERE component_id = ?1"
		" AND released_on IS NULL)");
SQL(guard_words,
    "SELECT c.tag, h.incident, h.placed_on FROM hold h JOIN component c ON c.id = h.component_id"
    " WHERE h.component_id = ?1 ORDER BY h.released_on IS NOT NULL, h.id DESC LIMIT 1");

/* What is written of a held part all the same: it alters nothing about it. */
static bool is_free(const char *table) {
	static const char *const free_table[] = {"hold", "custody", "notice", "follow_up",
						 "safety_notice"};
	for (size_t i = 0; i < sizeof free_table / sizeof *free_table; i++)
		if (strcmp(free_table[i], table) == 0) return true;
	return false;
}

/* A draft that is given up concerns nothing, and what comes back from a provider as it went was
 * not altered: these leave the other parts of the inspection or the ticket free to go on. */
#define NOT_ABANDONED " AND i.state <> 'abandoned'"
#define NOT_AS_IT_WENT " AND NOT (d.state = 'returned' AND t.result = 'not_repaired')"
SQL(guard_inspection, "SELECT p.component_id FROM inspection_part p JOIN inspection i"
		      " ON i.id = p.inspection_id WHERE p.inspection_id = ?1" NOT_ABANDONED);
SQL(guard_part, "SELECT p.component_id FROM inspection_part p JOIN inspection i"
		" ON i.id = p.inspection_id WHERE p.id = ?1" NOT_ABANDONED);
SQL(guard_finding, "SELECT f.component_id FROM finding f JOIN inspection i"
		   " ON i.id = f.inspection_id WHERE f.id = ?1" NOT_ABANDONED);
SQL(guard_photo, "SELECT p.component_id FROM photo p JOIN inspection i"
		 " ON i.id = p.inspection_id WHERE p.id = ?1" NOT_ABANDONED);
SQL(guard_dispatch, "SELECT t.component_id FROM dispatch_item t JOIN dispatch d"
		    " ON d.id = t.dispatch_id WHERE t.dispatch_id = ?1" NOT_AS_IT_WENT);
SQL(guard_item, "SELECT t.component_id FROM dispatch_item t JOIN dispatch d"
		" ON d.id = t.dispatch_id WHERE t.id = ?1" NOT_AS_IT_WENT);
SQL(guard_worn, "SELECT component_id FROM fit_check_part WHERE fit_check_id = ?1");
static const struct {
	const char *table;
	const struct sql *sql;
} special[] = {{"inspection", &guard_inspection}, {"inspection_part", &guard_part},
	       {"finding", &guard_finding},       {"photo", &guard_photo},
	       {"dispatch", &guard_dispatch},     {"dispatch_item", &guard_item},
	       {"fit_check", &guard_worn}};

static enum err guarded_components(struct store *st, const struct touched_row *row,
				   struct touched *components, struct fault *f) {
	const char *table = fact_table[row->table];
	struct cursor c;
	bool more = false;
	for (size_t i = 0; i < sizeof special / sizeof *special; i++) {
		if (strcmp(special[i].table, table) != 0) continue;
		enum err err = cursor_open(&c, st, special[i].sql, f, "i", row->id);
		while (err == ERR_OK && (err = cursor_next(&c, &more)) == ERR_OK && more)
			touched_add(components, 0, cursor_int(&c, 0));
		cursor_close(&c);
		return err;
	}
	return derive_components_of(st, row, components, f);
}

static bool contains(const struct touched *set, int64_t id) {
	for (size_t i = 0; i < set->count; i++)
		if (set->row[i].id == id) return true;
	return false;
}

/* The components of touched rows: of those that must not change (guarded), and of holds. */
static enum err sort_out(struct store *st, const struct touched *touched, struct touched *guarded,
			 struct touched *of_holds, struct fault *f) {
	enum err err = ERR_OK;
	for (size_t i = 0; err == ERR_OK && i < touched->count; i++) {
		const char *table = fact_table[touched->row[i].table];
		if (strcmp(table, "hold") == 0)
			err = derive_components_of(st, &touched->row[i], of_holds, f);
		else if (!is_free(table))
			err = guarded_components(st, &touched->row[i], guarded, f);
	}
	touched_settle(guarded);
	if (err == ERR_OK && (guarded->failed || of_holds->failed)) err = fault_memory(f);
	return err;
}

static enum err refuse(struct store *st, int64_t component, struct fault *f) {
	struct arena a;
	struct doc *row = NULL;
	arena_init(&a, 64 * 1024);
	enum err err = store_one(st, &guard_words, &a, &row, f, "i", component);
	if (err == ERR_OK)
		err = fault_set(
		    f, ERR_CONFLICT, NULL,
		    "%s is held since %s because of a special incident (%s). It stays as "
		    "it was found: nothing about it is changed and nobody gets it, until "
		    "the safety officer releases it with a reason.",
		    doc_text(row, "tag"), doc_text(row, "placed_on"), doc_text(row, "incident"));
	arena_clear(&a);
	return err;
}

enum err hold_guard(struct store *st, const struct touched *touched, struct fault *f) {
	struct touched guarded = {0}, of_holds = {0};
	int64_t concerns = 0;
	for (size_t i = 0; i < touched->count && !concerns; i++)
		concerns = touched->row[i].table == FACT_hold;
	enum err err = concerns ? ERR_OK : store_number(st, &guard_open, 0, &concerns, f, "");
	if (err != ERR_OK || !concerns) return err;
	err = sort_out(st, touched, &guarded, &of_holds, f);
	for (size_t i = 0; err == ERR_OK && i < guarded.count; i++) {
		int64_t component = guarded.row[i].id, held = contains(&of_holds, component);
		if (!held) err = store_number(st, &guard_held, 0, &held, f, "i", component);
		if (err == ERR_OK && held) err = refuse(st, component, f);
	}
	touched_release(&guarded);
	touched_release(&of_holds);
	return err;
}
