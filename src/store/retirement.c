#include "store/retirement.h"

#include "base/text.h"
#include "store/facts.h"
#include "store/internal.h"

/* The column of the words may not be null; "" where the code says it all. */
SQL(retire_component,
    "UPDATE component SET retired_on = ?2, retired_ground = ?3, retired_reason = coalesce(?4, ''),"
    " retired_by = ?5, replaced_by = coalesce(?6, replaced_by), version = version + 1"
    " WHERE id = ?1 AND retired_on IS NULL");
SQL(replace_component, "UPDATE component SET replaced_by = ?2, version = version + 1"
		       " WHERE id = ?1");
SQL(dispose_component,
    "UPDATE component SET disposed_on = ?2, disposal_way = ?3,"
    " disposal_method = coalesce(?4, ''), disposal_witness = ?5, version = version + 1"
    " WHERE id = ?1 AND disposed_on IS NULL");
SQL(train_component, "UPDATE component SET training_on = ?2, training_by = ?3, training_mark = ?4,"
		     " version = version + 1 WHERE id = ?1 AND training_on IS NULL");
/* The parts of a component lie together; see the schema. */
#define ITS_PARTS "BETWEEN (?1 << 20) AND (?1 << 20) + 1048575"
SQL(hindrance_of,
    "SELECT (SELECT p.inspection_id FROM inspection_part p JOIN inspection i"
    " ON i.id = p.inspection_id WHERE p.id " ITS_PARTS " AND i.state = 'draft' LIMIT 1) AS draft,"
    " EXISTS (SELECT 1 FROM issue WHERE component_id = ?1 AND issued_on > ?2)"
    " OR EXISTS (SELECT 1 FROM inspection_part WHERE id " ITS_PARTS " AND signed = 1"
    " AND inspected_on > ?2) OR EXISTS (SELECT 1 FROM field_test WHERE component_id = ?1"
    " AND tested_on > ?2 AND revoked_on IS NULL) AS is_used_later");
SQL(retired_before, "SELECT EXISTS (SELECT 1 FROM component WHERE id = ?1 AND retired_on < ?2)");

static enum err only_once(struct store *st, enum err err, const char *words, struct fault *f) {
	if (err != ERR_OK || store_changes(st)) return err;
	return fault_set(f, ERR_CONFLICT, NULL, "%s", words);
}

enum err component_retire(struct store *st, const struct retirement_row *r, struct fault *f) {
	enum err err = store_run(st, &retire_component, f, "ittt00", r->component, r->on, r->ground,
				 r->reason, r->by, r->replaced_by);
	return only_once(st, err, "It was retired before, and stays so as it was written.", f);
}

enum err component_replaced_by(struct store *st, int64_t id, int64_t by, struct fault *f) {
	return store_run(st, &replace_component, f, "ii", id, by);
}

enum err component_dispose(struct store *st, const struct disposal_row *r, struct fault *f) {
	enum err err = store_run(st, &dispose_component, f, "itttt", r->component, r->on, r->way,
				 r->method, r->witness);
	return only_once(st, err, "It was disposed of before.", f);
}

enum err component_mark_training(struct store *st, const struct training_row *r, struct fault *f) {
	enum err err =
	    store_run(st, &train_component, f, "it0t", r->component, r->on, r->by, r->mark);
	return only_once(st, err, "It was marked for training before.", f);
}

enum err component_training_obstacles(struct store *st, const struct handbook *hb, int64_t id,
				      struct arena *a, const struct blocker **list, size_t *count,
				      struct fault *f) {
	static const struct duty_list none; /* retired gear owes nothing */
	struct component_facts facts;
	struct standing s;
	enum err err = facts_of_component(st, hb, id, a, &facts, f);
	if (err != ERR_OK) return err;
	standing_make(&s, &facts, &none, hb, a);
	struct blocker *room =
	    arena_array(a, struct blocker, TRAINING_OBSTACLES_MAX(s.blocker_count));
	*list = room;
	*count = room ? training_obstacles(&facts, s.blocker, s.blocker_count, room, a) : 0;
	return arena_failed(a) ? fault_memory(f) : ERR_OK;
}

enum err component_training_refusal(struct store *st, const struct handbook *hb, int64_t id,
				    struct arena *a, const char **text, struct fault *f) {
	const struct blocker *list;
	size_t count = 0;
	enum err err = component_training_obstacles(st, hb, id, a, &list, &count, f);
	*text = NULL;
	for (size_t i = 0; err == ERR_OK && i < count; i++)
		*text = *text ? arena_printf(a, "%s %s", *text, list[i].text) : list[i].text;
	return err;
}

enum err retirement_hindrance(struct store *st, int64_t component, const char *on, struct arena *a,
			      struct doc **row, struct fault *f) {
	return store_one(st, &hindrance_of, a, row, f, "it", component, on);
}

enum err retirement_was_before(struct store *st, int64_t component, const char *on, bool *was,
			       struct fault *f) {
	int64_t is = 0;
	enum err err = store_number(st, &retired_before, 0, &is, f, "it", component, on);
	*was = is != 0;
	return err;
}

/* --- the guard ---------------------------------------------------------------------- */

#define RETIRED "SELECT c.tag, c.retired_on FROM component c"
#define INSPECTED                                                                                  \
	" AND i.state <> 'abandoned' AND c.retired_on IS NOT NULL"                                 \
	" AND (i.reference IS NULL OR i.inspected_on > c.retired_on) LIMIT 1"
SQL(guard_retired, RETIRED " JOIN issue i ON i.component_id = c.id AND i.returned_on IS NULL"
			   " WHERE c.id = ?1 AND c.retired_on IS NOT NULL");
SQL(guard_retired_issue,
    RETIRED " JOIN issue i ON i.component_id = c.id WHERE i.id = ?1 AND c.retired_on IS NOT NULL"
	    " AND (i.returned_on IS NULL OR i.issued_on > c.retired_on)");
SQL(guard_retired_inspection, RETIRED " JOIN inspection_part p ON p.component_id = c.id"
				      " JOIN inspection i ON i.id = p.inspection_id"
				      " WHERE p.inspection_id = ?1" INSPECTED);
SQL(guard_retired_part, RETIRED " JOIN inspection_part p ON p.component_id = c.id"
				" JOIN inspection i ON i.id = p.inspection_id"
				" WHERE p.id = ?1" INSPECTED);
SQL(guard_retired_finding, RETIRED " JOIN finding f ON f.component_id = c.id"
				   " JOIN inspection i ON i.id = f.inspection_id WHERE f.id = ?1"
				   " AND i.state = 'draft' AND c.retired_on IS NOT NULL");
SQL(guard_retired_photo, RETIRED " JOIN photo p ON p.component_id = c.id"
				 " JOIN inspection i ON i.id = p.inspection_id WHERE p.id = ?1"
				 " AND i.state = 'draft' AND c.retired_on IS NOT NULL");
#define NO_INSPECTION                                                                              \
	"What is retired is not inspected any more. Abandon an inspection that it is part of."
static const struct {
	enum fact_table_number table;
	const struct sql *sql;
	const char *words;
} guarded[] = {
    {FACT_component, &guard_retired, "Take it back first, then retire it."},
    {FACT_issue, &guard_retired_issue, "What is retired is issued to nobody."},
    {FACT_inspection, &guard_retired_inspection, NO_INSPECTION},
    {FACT_inspection_part, &guard_retired_part, NO_INSPECTION},
    {FACT_finding, &guard_retired_finding, NO_INSPECTION},
    {FACT_photo, &guard_retired_photo, NO_INSPECTION},
};

static enum err check_row(struct store *st, const struct touched_row *row, struct fault *f) {
	struct cursor c;
	bool found = false;
	for (size_t i = 0; i < sizeof guarded / sizeof *guarded; i++) {
		if (row->table != (int)guarded[i].table) continue;
		enum err err = cursor_open(&c, st, guarded[i].sql, f, "i", row->id);
		if (err == ERR_OK) err = cursor_next(&c, &found);
		if (err == ERR_OK && found)
			err = fault_set(f, ERR_CONFLICT, NULL, "%s was retired on %s. %s",
					cursor_text(&c, 0), cursor_text(&c, 1), guarded[i].words);
		cursor_close(&c);
		return err;
	}
	return ERR_OK;
}

enum err retirement_guard(struct store *st, const struct touched *touched, struct fault *f) {
	enum err err = ERR_OK;
	for (size_t i = 0; err == ERR_OK && i < touched->count; i++)
		err = check_row(st, &touched->row[i], f);
	return err;
}
