#include "store/safety_notice.h"

#include "base/text.h"
#include "store/list.h"

/* --- the notices ------------------------------------------------------------------- */

/* What it hits, without what nobody can be asked about any more (withdrawn). */
#define COUNTS(which)                                                                              \
	" LEFT JOIN (SELECT notice_id, sum(hit = 'hit') AS surely, sum(hit = 'possible') AS"       \
	" possible, count(*) AS hit, sum(state IN ('done', 'out_of_use', 'not_affected',"          \
	" 'retired', 'informed', 'withdrawn')) AS done, sum(state IN ('left', 'sent')) AS left"    \
	" FROM safety_notice_item" which " GROUP BY notice_id) i ON i.notice_id = n.id"
#define NOTICE_COLUMNS                                                                             \
	" n.id, n.number, n.issuer, n.reference, n.issued_on, n.title, n.action, n.due_on,"        \
	" n.recorded_on, n.closed_on, n.closed_reason, n.withdrawn AS is_withdrawn,"               \
	" iif(n.closed_on IS NULL, 'open', 'closed') AS state, coalesce(i.hit, 0) AS hit,"         \
	" coalesce(i.surely, 0) AS surely, coalesce(i.possible, 0) AS possible,"                   \
	" coalesce(i.done, 0) AS done, coalesce(i.left, 0) AS left"
SQL_SCAN(safety_notice_of_id, /* of the counts of one notice */
	 "SELECT" NOTICE_COLUMNS ", n.wrong, n.action_text, n.asked_on, n.asked_at, n.edition,"
	 " r.given_name || ' ' || r.family_name AS recorded_by_name,"
	 " (SELECT given_name || ' ' || family_name FROM member WHERE id = n.closed_by)"
	 "  AS closed_by_name, n.version FROM safety_notice n JOIN member r ON r.id = "
	 "n.recorded_by" COUNTS(" WHERE notice_id = ?1") " WHERE n.id = ?1");

#define NOTICE_WHERE                                                                               \
	" WHERE (?1 IS NULL OR n.search_key LIKE ?1 ESCAPE '\\' OR n.number LIKE ?1 ESCAPE '\\') " \
	"AND (?2 IS NULL OR"                                                                       \
	" (n.closed_on IS NULL) = (?2 = 'open')) AND (?3 IS NULL OR n.action = ?3)"                \
	" AND (?4 IS NULL OR (coalesce(i.left, 0) > 0) = (?4 = 'yes'))"
#define NOTICE_ROWS(order)                                                                         \
	"SELECT" NOTICE_COLUMNS " FROM safety_notice n" COUNTS("") NOTICE_WHERE                    \
	    " ORDER BY " order " LIMIT ?5 OFFSET ?6"
/* A department gets a few a year. */
SQL_SCAN(safety_notices_count,
	 "SELECT count(*) AS total FROM safety_notice n" COUNTS("") NOTICE_WHERE);
SQL_SCAN(safety_notices_newest, NOTICE_ROWS("n.issued_on DESC, n.id DESC"));
SQL_SCAN(safety_notices_by_due, NOTICE_ROWS("n.due_on IS NULL, n.due_on, n.id"));
SQL_SCAN(safety_notices_by_left, NOTICE_ROWS("coalesce(i.left, 0) DESC, n.id"));
SQL_SCAN(safety_notices_by_number, NOTICE_ROWS("n.number"));
const struct list_source safety_notice_list = {
    .count = &safety_notices_count,
    .filter = {"state", "action", "left"},
    .sort = {{"newest", "Newest first", &safety_notices_newest},
	     {"due", "Due day", &safety_notices_by_due},
	     {"left", "Most left first", &safety_notices_by_left},
	     {"number", "Number", &safety_notices_by_number}},
};
SQL_SCAN(safety_notices_with_left, /* as above */
	 "SELECT" NOTICE_COLUMNS " FROM safety_notice n" COUNTS(
	     "") " WHERE i.left > 0 ORDER BY n.due_on IS NULL, n.due_on, n.id");

SQL(safety_notice_insert,
    "INSERT INTO safety_notice (number, issuer, reference, issued_on, title, search_key, wrong,"
    " action, action_text, due_on, recorded_by, recorded_on, asked_at, asked_on)"
    " VALUES (coalesce(?14, 'S-' || substr(?10, 1, 4) || '-' || printf('%04d', 1 + (SELECT"
    "   coalesce(max(CAST(substr(number, 8) AS INTEGER)), 0) FROM safety_notice WHERE number"
    "   BETWEEN 'S-' || substr(?10, 1, 4) || '-' AND 'S-' || substr(?10, 1, 4) || '.'))),"
    " ?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?11, ?10, ?12, ?13)");
SQL(safety_notice_update,
    "UPDATE safety_notice SET issuer = ?2, reference = ?3, issued_on = ?4, title = ?5,"
    " search_key = ?6, wrong = ?7, asked_at = iif(action = ?8, asked_at, ?11),"
    " asked_on = iif(action = ?8, asked_on, ?12), action = ?8, action_text = ?9, due_on = ?10,"
    " version = version + 1 WHERE id = ?1");
SQL(safety_notice_closed, "UPDATE safety_notice SET closed_by = ?2, closed_on = ?3,"
			  " closed_reason = ?4, withdrawn = ?5, version = version + 1"
			  " WHERE id = ?1");

enum err safety_notice_save(struct store *st, const struct safety_notice_row *r, struct arena *a,
			    int64_t *id, struct fault *f) {
	const char *words =
	    arena_printf(a, "%s %s %s", r->title, r->issuer, r->reference ? r->reference : "");
	const char *key = words ? text_fold(a, words) : NULL;
	if (!key) return fault_memory(f);
	*id = r->id;
	if (r->id)
		return store_run(st, &safety_notice_update, f, "ittttttttttt", r->id, r->issuer,
				 r->reference, r->issued_on, r->title, key, r->wrong, r->action,
				 r->action_text, r->due_on, r->asked_at, r->asked_on);
	enum err err =
	    store_run(st, &safety_notice_insert, f, "ttttttttttittt", r->issuer, r->reference,
		      r->issued_on, r->title, key, r->wrong, r->action, r->action_text, r->due_on,
		      r->recorded_on, r->recorded_by, r->asked_at, r->asked_on, r->number);
	*id = store_inserted(st);
	return err;
}

enum err safety_notice_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
			   struct fault *f) {
	return store_one(st, &safety_notice_of_id, a, row, f, "i", id);
}

enum err safety_notice_close(struct store *st, int64_t id, int64_t by, const char *on,
			     const char *reason, bool withdrawn, struct fault *f) {
	return store_run(st, &safety_notice_closed, f, "iittb", id, by, on, reason, withdrawn);
}

SQL_SCAN(safety_notices_followed, /* a few rows; what is left is asked of the index */
	 "SELECT count(*) FROM safety_notice n WHERE EXISTS (SELECT 1 FROM safety_notice_item"
	 " WHERE notice_id = n.id AND state IN ('left', 'sent'))");

enum err safety_notices_left_count(struct store *st, int64_t *count, struct fault *f) {
	return store_number(st, &safety_notices_followed, 0, count, f, "");
}

enum err safety_notices_left(struct store *st, struct arena *a, struct doc *list, struct fault *f) {
	return store_list(st, &safety_notices_with_left, a, list, f, "");
}

/* --- what they concern ---------------------------------------------------------------- */

SQL(safety_scope_insert,
    "INSERT INTO safety_notice_scope (notice_id, kind, hazard, maker, model, serial_from,"
    " serial_to, serials, made_from, made_to) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)");
SQL(safety_scope_added, "UPDATE safety_notice SET edition = edition + 1, version = version + 1"
			" WHERE id = ?1");
SQL(safety_scope_dropped, "UPDATE safety_notice_scope SET dropped_on = ?3, dropped_reason = ?4,"
			  " version = version + 1 WHERE id = ?2 AND notice_id = ?1"
			  " AND dropped_on IS NULL");
SQL(safety_notice_touch, "UPDATE safety_notice SET version = version + 1 WHERE id = ?1");
SQL(safety_scopes_of, "SELECT s.id, s.kind, k.label AS kind_label, s.hazard, s.maker, s.model,"
		      " s.serial_from, s.serial_to, s.serials, s.made_from, s.made_to,"
		      " s.dropped_on, s.dropped_reason, s.dropped_on IS NOT NULL AS is_dropped"
		      " FROM safety_notice_scope s LEFT JOIN component_kind k ON k.code = s.kind"
		      " WHERE s.notice_id = ?1 ORDER BY s.id");

enum err safety_scope_add(struct store *st, struct safety_scope_row *r, bool is_first,
			  struct fault *f) {
	enum err err = store_run(st, &safety_scope_insert, f, "ittttttttt", r->notice, r->kind,
				 r->hazard, r->maker, r->model, r->serial_from, r->serial_to,
				 r->serials, r->made_from, r->made_to);
	r->id = store_inserted(st);
	if (err != ERR_OK || is_first) return err;
	return store_run(st, &safety_scope_added, f, "i", r->notice);
}

enum err safety_scope_drop(struct store *st, int64_t notice, int64_t id, const char *on,
			   const char *reason, struct fault *f) {
	enum err err = store_run(st, &safety_scope_dropped, f, "iitt", notice, id, on, reason);
	if (err == ERR_OK && store_changes(st) == 0)
		err = fault_set(f, ERR_NOT_FOUND, NULL,
				"The notice does not say that (any more): there is no line %lld.",
				(long long)id);
	return err == ERR_OK ? store_run(st, &safety_notice_touch, f, "i", notice) : err;
}

enum err safety_scopes(struct store *st, int64_t notice, struct arena *a, struct doc *list,
		       struct fault *f) {
	return store_list(st, &safety_scopes_of, a, list, f, "i", notice);
}

/* --- what was answered ------------------------------------------------------------------- */

SQL(safety_answer_insert,
    "INSERT INTO safety_notice_answer (notice_id, component_id, answer, note, inspection_id,"
    " answered_on, answered_by, action, hit, edition)"
    " SELECT ?1, ?2, ?3, ?4, ?5, ?6, ?7, coalesce(?8, n.action), coalesce(?9, (SELECT hit FROM"
    "  safety_notice_item WHERE notice_id = ?1 AND component_id = ?2)), coalesce(?10, n.edition)"
    " FROM safety_notice n WHERE n.id = ?1");
SQL(safety_answer_revoked,
    "UPDATE safety_notice_answer SET revoked_by = ?3, revoked_on = ?4, revoked_reason = ?5,"
    " version = version + 1 WHERE id = ?2 AND notice_id = ?1 AND revoked_on IS NULL");
#define ANSWER_ROWS                                                                                \
	"SELECT w.id, w.component_id AS component, c.tag, w.answer, w.note, w.inspection_id AS"    \
	" inspection, w.answered_on, m.given_name || ' ' || m.family_name AS answered_by_name,"    \
	" w.revoked_on, w.revoked_reason, w.revoked_on IS NOT NULL AS is_revoked,"                 \
	" (SELECT given_name || ' ' || family_name FROM member WHERE id = w.revoked_by)"           \
	"  AS revoked_by_name FROM safety_notice_answer w JOIN component c ON"                     \
	" c.id = w.component_id JOIN member m ON m.id = w.answered_by"
SQL(safety_answers_of_notice, ANSWER_ROWS " WHERE w.notice_id = ?1 ORDER BY w.id DESC LIMIT 200");
SQL(safety_answers_of_component, ANSWER_ROWS " WHERE w.notice_id = ?1 AND w.component_id = ?2"
					     " ORDER BY w.id");
SQL(safety_inspection_done,
    "SELECT p.inspection_id FROM inspection_part p JOIN inspection i ON i.id = p.inspection_id"
    " WHERE p.id BETWEEN (?1 << 20) AND (?1 << 20) + 1048575 AND p.signed = 1"
    " AND p.conclusion NOT IN ('clean_first', 'not_finished')"
    " AND (p.kind = 'liner' OR (p.kind = 'advanced' AND NOT ?2))"
    " AND p.inspected_on >= ?3 AND i.signed_at > ?4 ORDER BY p.id DESC LIMIT 1");

enum err safety_answer_add(struct store *st, struct safety_answer_row *r, struct fault *f) {
	enum err err = store_run(st, &safety_answer_insert, f, "iitt0titt0", r->notice,
				 r->component, r->answer, r->note, r->inspection, r->on, r->by,
				 r->action, r->hit, r->edition);
	r->id = store_inserted(st);
	return err;
}

enum err safety_answer_revoke(struct store *st, int64_t notice, int64_t id, int64_t by,
			      const char *on, const char *reason, struct fault *f) {
	enum err err =
	    store_run(st, &safety_answer_revoked, f, "iiitt", notice, id, by, on, reason);
	if (err == ERR_OK && store_changes(st) == 0)
		err =
		    fault_set(f, ERR_NOT_FOUND, NULL,
			      "There is no answer %lld to this notice that counts.", (long long)id);
	return err;
}

enum err safety_answers(struct store *st, int64_t notice, int64_t component, struct arena *a,
			struct doc *list, struct fault *f) {
	if (component)
		return store_list(st, &safety_answers_of_component, a, list, f, "ii", notice,
				  component);
	return store_list(st, &safety_answers_of_notice, a, list, f, "i", notice);
}

enum err safety_inspection_of(struct store *st, int64_t component, bool is_liner,
			      const char *asked_on, const char *asked_at, int64_t *inspection,
			      struct fault *f) {
	return store_number(st, &safety_inspection_done, 0, inspection, f, "ibtt", component,
			    is_liner, asked_on, asked_at);
}

/* --- what they hit --------------------------------------------------------------------------- */

SQL(safety_item_of,
    "SELECT i.component_id AS component, c.tag, c.kind, k.is_liner, i.hit, i.state,"
    " i.state IN ('left', 'sent') AS is_left, c.retired_on, n.asked_at, n.asked_on"
    " FROM safety_notice_item i JOIN safety_notice n ON n.id = i.notice_id"
    " JOIN component c ON c.id = i.component_id JOIN component_kind k ON k.code = c.kind"
    " WHERE i.component_id = ?2 AND i.notice_id = ?1");
SQL(safety_items_of_component,
    "SELECT n.id AS notice, n.number, n.title, n.action, n.action_text, n.due_on, i.hit, i.reason,"
    " i.state, i.state IN ('left', 'sent') AS is_left FROM safety_notice_item i"
    " JOIN safety_notice n ON n.id = i.notice_id WHERE i.component_id = ?1 ORDER BY n.id DESC");
SQL(safety_items_by_station,
    "SELECT s.id AS station, s.code || ' ' || s.name AS station_label, count(*) AS hit,"
    " sum(i.state IN ('left', 'sent')) AS left FROM safety_notice_item i"
    " JOIN component c ON c.id = i.component_id JOIN station s ON s.id = c.station_id"
    " WHERE i.notice_id = ?1 GROUP BY s.id ORDER BY s.code");

#define ITEM_FROM " FROM safety_notice_item i JOIN component c ON c.id = i.component_id"
#define ITEM_WHERE                                                                                 \
	" WHERE i.notice_id = ?2 AND (?1 IS NULL OR c.search_key LIKE ?1 ESCAPE '\\')"             \
	" AND (?3 IS NULL OR (i.state IN ('left', 'sent')) = (?3 = 'yes'))"                        \
	" AND (?4 IS NULL OR i.state = ?4) AND (?5 IS NULL OR i.hit = ?5)"                         \
	" AND (?6 IS NULL OR c.station_id = ?6)"
#define ITEM_ROWS(order)                                                                           \
	"SELECT c.id AS component, c.tag, k.label AS kind_label, s.code AS station_code, c.maker," \
	" c.model, c.serial, c.made, i.hit, i.reason, i.state, i.state IN ('left', 'sent') AS"     \
	" is_left, t.state AS component_state, h.given_name || ' ' || h.family_name AS"            \
	" holder_name, w.answer, w.note, w.answered_on, w.inspection_id AS inspection" ITEM_FROM   \
	" JOIN component_kind k ON k.code = c.kind JOIN station s ON s.id = c.station_id"          \
	" JOIN standing t ON t.component_id = c.id"                                                \
	" LEFT JOIN issue u ON u.component_id = c.id AND u.returned_on IS NULL"                    \
	" LEFT JOIN member h ON h.id = u.member_id"                                                \
	" LEFT JOIN safety_notice_answer w ON w.id = (SELECT max(id) FROM safety_notice_answer"    \
	"  WHERE component_id = c.id AND notice_id = i.notice_id AND revoked_on IS "               \
	"NULL)" ITEM_WHERE " ORDER BY " order " LIMIT ?7 OFFSET ?8"
/* The items of one notice, by its index; any part of a word is looked for. */
SQL_SCAN(safety_items_count, "SELECT count(*) AS total" ITEM_FROM ITEM_WHERE);
SQL_SCAN(safety_items_left_first,
	 ITEM_ROWS("i.state NOT IN ('left', 'sent'), i.hit = 'possible', c.tag"));
SQL_SCAN(safety_items_by_tag, ITEM_ROWS("c.tag"));
SQL_SCAN(safety_items_by_place, ITEM_ROWS("s.code, c.tag"));
const struct list_source safety_item_list = {
    .count = &safety_items_count,
    .filter = {"notice", "left", "state", "hit", "station"},
    .sort = {{"left", "Left first", &safety_items_left_first},
	     {"tag", "Tag", &safety_items_by_tag},
	     {"station", "Station", &safety_items_by_place}},
};

enum err safety_item_get(struct store *st, int64_t notice, int64_t component, struct arena *a,
			 struct doc **row, struct fault *f) {
	return store_one(st, &safety_item_of, a, row, f, "ii", notice, component);
}

enum err safety_stations(struct store *st, int64_t notice, struct arena *a, struct doc *list,
			 struct fault *f) {
	return store_list(st, &safety_items_by_station, a, list, f, "i", notice);
}

enum err safety_notices_of_component(struct store *st, int64_t component, struct arena *a,
				     struct doc *list, struct fault *f) {
	enum err err = store_list(st, &safety_items_of_component, a, list, f, "i", component);
	for (struct doc *n = list->first; err == ERR_OK && n; n = n->next)
		err = safety_answers(st, doc_int(n, "notice"), component, a,
				     doc_set_list(n, "answers"), f);
	return err;
}

/* --- as tables have them -------------------------------------------------------------------- */

SQL(safety_notice_of_number,
    "SELECT n.id, n.number, n.issuer, n.reference, n.issued_on, n.title, n.wrong, n.action,"
    " n.action_text, n.due_on, n.recorded_on, r.badge AS recorded_by, n.asked_on, n.closed_on,"
    " (SELECT badge FROM member WHERE id = n.closed_by) AS closed_by, n.closed_reason,"
    " n.withdrawn FROM safety_notice n JOIN member r ON r.id = n.recorded_by WHERE n.number = ?1");
SQL(safety_scope_of_line,
    "SELECT kind, hazard, maker, model, serial_from, serial_to, serials, made_from, made_to,"
    " dropped_on, dropped_reason FROM safety_notice_scope WHERE notice_id = ?1"
    " ORDER BY id LIMIT 1 OFFSET ?2 - 1");
SQL(safety_scope_lines, "SELECT count(*) FROM safety_notice_scope WHERE notice_id = ?1");
SQL(safety_answer_of_turn,
    "SELECT w.answer, w.note, w.inspection_id AS inspection, w.answered_on, m.badge AS answered_by,"
    " w.action, w.hit, w.edition, w.revoked_on,"
    " (SELECT badge FROM member WHERE id = w.revoked_by) AS revoked_by, w.revoked_reason"
    " FROM safety_notice_answer w JOIN member m ON m.id = w.answered_by"
    " WHERE w.component_id = ?2 AND w.notice_id = ?1 ORDER BY w.id LIMIT 1 OFFSET ?3 - 1");
SQL(safety_answer_turns, "SELECT count(*) FROM safety_notice_answer WHERE component_id = ?2"
			 " AND notice_id = ?1");

enum err safety_notice_find(struct store *st, const char *number, struct arena *a, struct doc **row,
			    struct fault *f) {
	return store_one(st, &safety_notice_of_number, a, row, f, "t", number);
}

enum err safety_scope_find(struct store *st, int64_t notice, int64_t line, struct arena *a,
			   struct doc **row, int64_t *count, struct fault *f) {
	enum err err = store_number(st, &safety_scope_lines, 0, count, f, "i", notice);
	return err == ERR_OK ? store_one(st, &safety_scope_of_line, a, row, f, "ii", notice, line)
			     : err;
}

enum err safety_answer_find(struct store *st, int64_t notice, int64_t component, int64_t turn,
			    struct arena *a, struct doc **row, int64_t *count, struct fault *f) {
	enum err err = store_number(st, &safety_answer_turns, 0, count, f, "ii", notice, component);
	return err == ERR_OK ? store_one(st, &safety_answer_of_turn, a, row, f, "iii", notice,
					 component, turn)
			     : err;
}
