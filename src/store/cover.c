#include "store/cover.h"

#include "store/internal.h"

SQL(cover_wearer_of, "SELECT m.id AS member, m.given_name || ' ' || m.family_name AS name, m.badge"
		     " FROM component c JOIN member m ON m.id = coalesce("
		     "  (SELECT i.member_id FROM issue i WHERE i.component_id = c.id"
		     "   AND i.returned_on IS NULL),"
		     "  (SELECT e.member_id FROM ensemble e WHERE e.id = c.ensemble_id))"
		     " WHERE c.id = ?1");

SQL_SCAN(
    cover_reserve_for, /* of kind_fit, which has a few rows */
    "SELECT c.id AS component, c.tag, s.code AS station_code, e.code AS ensemble_code,"
    " t.ready_until FROM component o"
    " JOIN component c ON c.kind = o.kind AND c.id <> o.id AND c.hazard = o.hazard"
    "  AND c.size = o.size AND c.reflective = o.reflective"
    " JOIN standing t ON t.component_id = c.id JOIN station s ON s.id = c.station_id"
    " LEFT JOIN ensemble e ON e.id = c.ensemble_id"
    " WHERE o.id = ?1 AND t.state IN ('in_stores', 'in_service') AND t.ready_until >= ?2"
    " AND c.retired_on IS NULL AND e.member_id IS NULL"
    " AND ((c.maker = o.maker AND c.model = o.model) OR NOT EXISTS"
    "  (SELECT 1 FROM kind_fit k WHERE o.kind IN (k.shell, k.part)))"
    " AND NOT EXISTS (SELECT 1 FROM issue i WHERE i.component_id = c.id AND i.returned_on IS NULL)"
    " ORDER BY c.station_id <> o.station_id, c.tag LIMIT ?3");

enum err cover_wearer(struct store *st, int64_t component, struct arena *a, struct doc **row,
		      struct fault *f) {
	return store_one(st, &cover_wearer_of, a, row, f, "i", component);
}

enum err cover_reserve(struct store *st, int64_t component, day today, int64_t limit,
		       struct arena *a, struct doc *list, struct fault *f) {
	return store_list(st, &cover_reserve_for, a, list, f, "idi", component, today, limit);
}
