#include "store/home.h"

SQL(drafts_of_member,
    "SELECT i.id, i.kind, e.code AS ensemble_code, i.started_at,"
    " (SELECT count(*) FROM inspection_part p WHERE p.inspection_id = i.id) AS part_count,"
    " (SELECT c.tag FROM inspection_part p JOIN component c ON c.id = p.component_id"
    "  WHERE p.inspection_id = i.id ORDER BY p.position LIMIT 1) AS first_tag"
    " FROM inspection i LEFT JOIN ensemble e ON e.id = i.ensemble_id"
    " WHERE i.inspector_id = ?1 AND i.state = 'draft' ORDER BY i.id DESC");
SQL(due_of_station, "SELECT d.duty, k.label AS duty_label, sum(d.due_on < ?2) AS overdue,"
		    " sum(d.due_on >= ?2) AS soon FROM duty_kind k JOIN duty d ON d.duty = k.code"
		    " JOIN component c ON c.id = d.component_id"
		    " WHERE c.station_id = ?1 AND d.due_on <= date(?2, '+30 days')"
		    " GROUP BY d.duty ORDER BY k.position");
SQL(counts_of_department,
    "SELECT (SELECT count(*) FROM standing WHERE state = 'out_of_service') AS out_of_service,"
    " (SELECT count(*) FROM standing WHERE state = 'held') AS held,"
    " (SELECT count(*) FROM standing WHERE state = 'at_provider') AS at_provider,"
    " (SELECT count(*) FROM standing WHERE state = 'awaiting_inspection') AS awaiting_inspection,"
    " (SELECT count(*) FROM duty WHERE due_on < ?1) AS overdue");

enum err home_drafts(struct store *st, int64_t member, struct arena *a, struct doc *list,
		     struct fault *f) {
	return store_list(st, &drafts_of_member, a, list, f, "i", member);
}

enum err home_due(struct store *st, int64_t station, day today, struct arena *a, struct doc *list,
		  struct fault *f) {
	return store_list(st, &due_of_station, a, list, f, "id", station, today);
}

enum err home_counts(struct store *st, day today, struct arena *a, struct doc *into,
		     struct fault *f) {
	struct doc *row = NULL;
	enum err err = store_one(st, &counts_of_department, a, &row, f, "d", today);
	if (err == ERR_OK) doc_set(into, "counts", row);
	return err;
}
