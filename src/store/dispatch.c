#include "store/dispatch.h"

#include "store/list.h"

SQL(dispatch_of_id,
    "SELECT d.id, d.number, d.provider_id AS provider, p.name AS provider_name, p.class AS"
    " provider_class, d.performer_class, p.address AS provider_address, p.email AS provider_email, "
    "p.phone AS"
    " provider_phone, d.state, d.created_on, m.given_name || ' ' || m.family_name AS"
    " created_by_name, d.sent_on, d.expected_on, d.returned_on, d.note, d.version"
    " FROM dispatch d JOIN provider p ON p.id = d.provider_id JOIN member m ON m.id = d.created_by"
    " WHERE d.id = ?1");

/* The check point, and what the handbook says of the defect there. One brought in has no list of
 * its own: the newest speaks. */
#define POINT_JOINS                                                                                \
	" LEFT JOIN inspection_part q ON q.inspection_id = f.inspection_id"                        \
	"   AND q.component_id = f.component_id"                                                   \
	" LEFT JOIN check_point y ON y.code = f.check_point AND y.checklist_id = coalesce("        \
	"   q.checklist_id, (SELECT max(l.id) FROM checklist l WHERE l.kind = c.kind"              \
	"   AND l.hazard = c.hazard))"                                                             \
	" LEFT JOIN subject_defect sd ON sd.subject = y.subject AND sd.defect = f.defect"

#define ITEM_COLUMNS                                                                               \
	"c.id AS component, c.tag, c.serial, c.kind, k.label AS kind_label, c.maker, c.model,"     \
	" c.size, c.made, c.hazard, f.id AS finding, df.label AS defect_label, z.label AS"         \
	" zone_label, f.zone, f.face, f.side, f.place, f.outcome, o.label AS outcome_label,"       \
	" f.outcome = 'replace' AS is_replace, f.severity, f.length_mm, f.note, sd.repair_class,"  \
	" sd.basic_up_to_mm"
#define ITEM_JOINS                                                                                 \
	" JOIN component c ON c.id = f.component_id JOIN component_kind k ON k.code = c.kind"      \
	" JOIN defect df ON df.code = f.defect JOIN outcome o ON o.code = f.outcome"               \
	" LEFT JOIN kind_zone z ON z.kind = c.kind AND z.code = f.zone" POINT_JOINS
SQL(items_of_dispatch,
    "SELECT i.id, " ITEM_COLUMNS ", i.result, i.work_done, i.cost_cents,"
    " i.replacement_id AS replacement, r.tag AS replacement_tag, t.state AS component_state,"
    " c.retired_on, (SELECT group_concat((b.value ->> 'text') || coalesce(' Known or suspected: '"
    "   || x.contaminants || '.', ''), ' ') FROM json_each(t.blockers) b"
    "   LEFT JOIN exposure x ON x.id = b.value ->> 'exposure'"
    "   WHERE b.value ->> 'code' = 'contaminated') AS contaminated"
    " FROM dispatch_item i JOIN finding f ON f.id = i.finding_id" ITEM_JOINS
    " LEFT JOIN component r ON r.id = i.replacement_id"
    " LEFT JOIN standing t ON t.component_id = c.id"
    " WHERE i.dispatch_id = ?1 ORDER BY k.position, c.id, f.id");
SQL(item_of_finding, "SELECT " ITEM_COLUMNS " FROM finding f" ITEM_JOINS " WHERE f.id = ?1");
SQL_SCAN(candidates_for_dispatch, /* the open findings only, through their partial index */
	 "SELECT " ITEM_COLUMNS " FROM finding f" ITEM_JOINS
	 " WHERE f.state = 'open' AND o.to_ticket = 1 AND (?1 = 0 OR f.component_id = ?1)"
	 " AND (?2 = 0 OR f.id = ?2) AND c.retired_on IS NULL"
	 " AND NOT EXISTS (SELECT 1 FROM dispatch_item i JOIN dispatch d ON d.id = i.dispatch_id"
	 "   WHERE i.finding_id = f.id AND d.state IN ('draft', 'sent'))"
	 " ORDER BY c.tag, f.id");

SQL(dispatch_insert_row,
    "INSERT INTO dispatch (number, provider_id, created_on, created_by, expected_on, note)"
    " VALUES ('R-' || substr(?2, 1, 4) || '-' || printf('%04d', 1 + (SELECT"
    "   coalesce(max(CAST(substr(number, 8) AS INTEGER)), 0) FROM dispatch"
    "   WHERE number BETWEEN 'R-' || substr(?2, 1, 4) || '-' AND 'R-' || substr(?2, 1, 4) || '.')),"
    " ?1, ?2, ?3, ?4, ?5)");
SQL(dispatch_item_add, "INSERT INTO dispatch_item (dispatch_id, component_id, finding_id)"
		       " SELECT ?1, component_id, id FROM finding WHERE id = ?2");
SQL(dispatch_sent, "UPDATE dispatch SET state = 'sent', sent_on = ?2, expected_on ="
		   " coalesce(?3, expected_on), version = version + 1 WHERE id = ?1");
SQL(parts_left_in_drafts,
    "UPDATE inspection_part SET left_on = ?2, version = version + 1 WHERE left_on IS NULL"
    " AND id IN (SELECT p.id FROM dispatch_item t JOIN inspection_part p ON p.id BETWEEN"
    "   (t.component_id << 20) AND (t.component_id << 20) + 1048575"
    "   JOIN inspection n ON n.id = p.inspection_id WHERE t.dispatch_id = ?1"
    "   AND n.state = 'draft')");
SQL(dispatch_returned, "UPDATE dispatch SET state = 'returned', returned_on = ?2,"
		       " performer_class = ?3, version = version + 1 WHERE id = ?1");
SQL(dispatch_cancelled,
    "UPDATE dispatch SET state = 'cancelled', version = version + 1 WHERE id = ?1");
SQL(item_result, "UPDATE dispatch_item SET result = ?2, work_done = ?3, cost_cents ="
		 " nullif(?4, -1), replacement_id = ?5, version = version + 1 WHERE id = ?1");
SQL(finding_was_replaced,
    "UPDATE finding SET state = 'replaced', closed_on = ?2, closed_reason = ?3,"
    " version = version + 1 WHERE id = ?1 AND state = 'open'");
SQL(finding_was_answered, "UPDATE finding SET state = 'withdrawn', closed_on = ?2, closed_reason ="
			  " ?3, version = version + 1 WHERE id = ?1 AND state = 'open'");

#define DISPATCH_WHERE                                                                             \
	" FROM dispatch d JOIN provider p ON p.id = d.provider_id"                                 \
	" WHERE (?1 IS NULL OR d.number LIKE ?1 ESCAPE '\\' OR p.search_key LIKE ?1 ESCAPE '\\')"  \
	" AND (?2 IS NULL OR d.state = ?2)"
#define DISPATCH_ROWS(order)                                                                       \
	"SELECT d.id, d.number, d.state, p.name AS provider_name, d.created_on, d.sent_on,"        \
	" d.expected_on, d.returned_on, (SELECT count(DISTINCT component_id) FROM dispatch_item i" \
	" WHERE i.dispatch_id = d.id) AS component_count" DISPATCH_WHERE " ORDER BY " order        \
	" LIMIT ?3 OFFSET ?4"
/* Tickets are few beside components. */
SQL_SCAN(dispatches_count, "SELECT count(*) AS total" DISPATCH_WHERE);
SQL_SCAN(dispatches_by_day, DISPATCH_ROWS("d.created_on DESC, d.id DESC"));
SQL_SCAN(dispatches_by_expected, DISPATCH_ROWS("d.expected_on IS NULL, d.expected_on, d.id"));
SQL_SCAN(dispatches_by_provider, DISPATCH_ROWS("p.name, d.id DESC"));
const struct list_source dispatch_list = {
    .count = &dispatches_count,
    .filter = {"state"},
    .sort = {{"day", "Newest first", &dispatches_by_day},
	     {"expected", "Expected back", &dispatches_by_expected},
	     {"provider", "Provider", &dispatches_by_provider}},
};

#define FINDING_WHERE                                                                              \
	" FROM finding f JOIN component c ON c.id = f.component_id"                                \
	" JOIN component_kind k ON k.code = c.kind JOIN defect df ON df.code = f.defect"           \
	" JOIN outcome o ON o.code = f.outcome JOIN inspection i ON i.id = f.inspection_id"        \
	" LEFT JOIN kind_zone z ON z.kind = c.kind AND z.code = f.zone"                            \
	" WHERE (?1 IS NULL OR c.search_key LIKE ?1 ESCAPE '\\') AND (?2 IS NULL OR f.state = ?2)" \
	" AND (?3 IS NULL OR f.severity = ?3) AND (?4 IS NULL OR c.kind = ?4)"                     \
	" AND (?5 IS NULL OR c.station_id = ?5) AND f.state <> 'draft'"
#define FINDING_ROWS(order)                                                                        \
	"SELECT f.id, c.id AS component, c.tag, k.label AS kind_label, df.label AS defect_label,"  \
	" z.label AS zone_label, f.face, f.side, f.place, f.severity, o.label AS outcome_label,"   \
	" f.state, i.inspected_on AS found_on, f.closed_on, f.note" FINDING_WHERE                  \
	" ORDER BY " order " LIMIT ?6 OFFSET ?7"
SQL_SCAN(findings_count, "SELECT count(*) AS total" FINDING_WHERE);
SQL_SCAN(findings_by_day, FINDING_ROWS("i.inspected_on DESC, f.id DESC"));
SQL_SCAN(findings_by_tag, FINDING_ROWS("c.tag, f.id"));
SQL_SCAN(findings_by_severity, FINDING_ROWS("CASE f.severity WHEN 'critical' THEN 0 WHEN 'major'"
					    " THEN 1 ELSE 2 END, i.inspected_on DESC, f.id"));
const struct list_source finding_list = {
    .count = &findings_count,
    .filter = {"state", "severity", "kind", "station"},
    .sort = {{"day", "Newest first", &findings_by_day},
	     {"tag", "Tag", &findings_by_tag},
	     {"severity", "Severity", &findings_by_severity}},
};

SQL(finding_of_id,
    "SELECT f.id, c.id AS component, c.tag, c.kind, k.label AS kind_label, f.inspection_id AS"
    " inspection, f.check_point, y.title AS check_point_title, f.defect, df.label AS defect_label,"
    " z.label AS zone_label, f.face, f.side, f.place, f.severity, f.outcome, o.label AS"
    " outcome_label, o.to_ticket AS is_for_ticket, o.closed_by, f.override_reason, f.length_mm,"
    " f.note, f.state, i.inspected_on AS found_on, m.given_name || ' ' || m.family_name AS"
    " inspector_name, sd.source, f.closed_on, f.closed_reason, f.closed_by_inspection, f.version"
    " FROM finding f JOIN component c ON c.id = f.component_id"
    " JOIN component_kind k ON k.code = c.kind JOIN defect df ON df.code = f.defect"
    " JOIN outcome o ON o.code = f.outcome JOIN inspection i ON i.id = f.inspection_id"
    " JOIN member m ON m.id = i.inspector_id" POINT_JOINS
    " LEFT JOIN kind_zone z ON z.kind = c.kind AND z.code = f.zone WHERE f.id = ?1");
SQL(dispatches_of_finding, "SELECT d.id, d.number, d.state, i.result FROM dispatch_item i"
			   " JOIN dispatch d ON d.id = i.dispatch_id WHERE i.finding_id = ?1"
			   " ORDER BY d.id DESC");

enum err dispatch_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
		      struct fault *f) {
	return store_one(st, &dispatch_of_id, a, row, f, "i", id);
}

enum err dispatch_items(struct store *st, int64_t id, struct arena *a, struct doc *list,
			struct fault *f) {
	return store_list(st, &items_of_dispatch, a, list, f, "i", id);
}

enum err dispatch_candidates(struct store *st, int64_t component, int64_t finding, struct arena *a,
			     struct doc *list, struct fault *f) {
	return store_list(st, &candidates_for_dispatch, a, list, f, "ii", component, finding);
}

enum err dispatch_finding(struct store *st, int64_t finding, struct arena *a, struct doc **row,
			  struct fault *f) {
	return store_one(st, &item_of_finding, a, row, f, "i", finding);
}

enum err dispatch_insert(struct store *st, const struct dispatch_row *r, int64_t *id,
			 struct fault *f) {
	enum err err = store_run(st, &dispatch_insert_row, f, "ititt", r->provider, r->created_on,
				 r->created_by, r->expected_on, r->note);
	*id = store_inserted(st);
	return err;
}

enum err dispatch_item_insert(struct store *st, int64_t dispatch, int64_t finding,
			      struct fault *f) {
	return store_run(st, &dispatch_item_add, f, "ii", dispatch, finding);
}

enum err dispatch_set_sent(struct store *st, int64_t id, const char *on, const char *expected_on,
			   struct fault *f) {
	enum err err = store_run(st, &dispatch_sent, f, "itt", id, on, expected_on);
	return err == ERR_OK ? store_run(st, &parts_left_in_drafts, f, "it", id, on) : err;
}

enum err dispatch_set_returned(struct store *st, int64_t id, const char *on,
			       const char *performer_class, struct fault *f) {
	return store_run(st, &dispatch_returned, f, "itt", id, on, performer_class);
}

enum err dispatch_set_cancelled(struct store *st, int64_t id, struct fault *f) {
	return store_run(st, &dispatch_cancelled, f, "i", id);
}

enum err dispatch_item_result(struct store *st, int64_t item, const char *result,
			      const char *work_done, int64_t cost_cents, int64_t replacement,
			      struct fault *f) {
	return store_run(st, &item_result, f, "itti0", item, result, work_done, cost_cents,
			 replacement);
}

enum err finding_replaced(struct store *st, int64_t finding, const char *on, const char *reason,
			  struct fault *f) {
	return store_run(st, &finding_was_replaced, f, "itt", finding, on, reason);
}

enum err finding_answered(struct store *st, int64_t finding, const char *on, const char *answer,
			  struct fault *f) {
	return store_run(st, &finding_was_answered, f, "itt", finding, on, answer);
}

enum err finding_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
		     struct fault *f) {
	return store_one(st, &finding_of_id, a, row, f, "i", id);
}

enum err finding_dispatches(struct store *st, int64_t id, struct arena *a, struct doc *list,
			    struct fault *f) {
	return store_list(st, &dispatches_of_finding, a, list, f, "i", id);
}
