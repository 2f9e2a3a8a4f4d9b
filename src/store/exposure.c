#include "store/exposure.h"

#include "store/internal.h"
#include "store/list.h"

SQL(exposure_insert_row,
    "INSERT INTO exposure (component_id, reported_by, exposed_on, cause, incident, contaminants,"
    " note) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)");
SQL(exposure_revoke_row, "UPDATE exposure SET revoked_on = ?2, revoked_reason = ?3,"
			 " version = version + 1 WHERE id = ?1");
SQL(exposures_ended_by,
    "UPDATE exposure SET ended_by_cleaning = ?2, version = version + 1"
    " WHERE component_id = ?1 AND ended_by_cleaning IS NULL AND revoked_on IS NULL"
    " AND EXISTS (SELECT 1 FROM cleaning l WHERE l.id = ?2 AND l.cleaned_on >= exposed_on"
    "  AND (l.class = 'specialized' OR (l.class = 'advanced' AND cause = 'combustion')))");

/* The first cleaning that ended it: the one said to, else one of a later day. */
#define ENDED_BY                                                                                   \
	"(SELECT l.id FROM cleaning l WHERE l.component_id = x.component_id"                       \
	" AND " CLEANING_ENDS_EXPOSURE " ORDER BY l.cleaned_on, l.id LIMIT 1)"
#define EXPOSURE_ROWS                                                                              \
	"(SELECT x.id, x.component_id AS component, c.tag, c.search_key, k.label AS kind_label,"   \
	" c.station_id AS station, x.exposed_on, x.cause, x.incident, x.contaminants,"             \
	" m.given_name || ' ' || m.family_name AS reported_by_name, x.note, l.cleaned_on,"         \
	" l.class AS cleaning_class, x.revoked_on, x.revoked_reason, CASE WHEN x.revoked_on IS"    \
	" NOT NULL THEN 'revoked' WHEN l.id IS NULL THEN 'open' ELSE 'cleaned' END AS state,"      \
	" x.version FROM exposure x JOIN component c ON c.id = x.component_id"                     \
	" JOIN component_kind k ON k.code = c.kind JOIN member m ON m.id = x.reported_by"          \
	" LEFT JOIN cleaning l ON l.id = " ENDED_BY ") e"
SQL(exposure_of_id, "SELECT * FROM " EXPOSURE_ROWS " WHERE e.id = ?1");
SQL(exposure_of_component, "SELECT * FROM " EXPOSURE_ROWS " WHERE e.component = ?1"
			   " ORDER BY e.exposed_on DESC, e.id DESC");

SQL(exposure_reopens, "UPDATE follow_up SET done_by_inspection = NULL, version = version + 1"
		      " WHERE component_id = (SELECT component_id FROM exposure WHERE id = ?1)"
		      " AND done_by_inspection IN (SELECT n.id FROM inspection n, exposure x"
		      "  WHERE x.id = ?1 AND n.id = done_by_inspection AND " EXPOSURE_TAINTS ")");
SQL(exposure_tainted_inspections,
    "SELECT n.inspection_id AS inspection, n.inspected_on, n.kind FROM exposure x"
    " JOIN inspection_part n ON n.id BETWEEN (x.component_id << 20)"
    "  AND (x.component_id << 20) + 1048575 AND n.signed = 1"
    " WHERE x.id = ?1 AND " EXPOSURE_TAINTS " ORDER BY n.inspected_on DESC, n.id DESC");

#define EXPOSURE_WHERE                                                                             \
	" FROM " EXPOSURE_ROWS                                                                     \
	" WHERE (?1 IS NULL OR e.search_key LIKE ?1 ESCAPE '\\' OR e.incident LIKE ?1 ESCAPE"      \
	" '\\') AND (?2 IS NULL OR e.state = ?2) AND (?3 IS NULL OR e.cause = ?3)"                 \
	" AND (?4 IS NULL OR e.station = ?4)"
/* Filters combine freely. */
SQL_SCAN(exposures_count, "SELECT count(*) AS total" EXPOSURE_WHERE);
SQL_SCAN(exposures_by_day, "SELECT e.*" EXPOSURE_WHERE " ORDER BY e.exposed_on DESC, e.id DESC"
			   " LIMIT ?5 OFFSET ?6");
SQL_SCAN(exposures_by_tag, "SELECT e.*" EXPOSURE_WHERE " ORDER BY e.tag, e.exposed_on DESC"
			   " LIMIT ?5 OFFSET ?6");

const struct list_source exposure_list = {
    .count = &exposures_count,
    .filter = {"state", "cause", "station"},
    .sort = {{"day", "Newest first", &exposures_by_day}, {"tag", "Tag", &exposures_by_tag}},
};

/* One recorded in error and again rightly has the same day, cause and incident. */
#define ITSELF                                                                                     \
	"x.contaminants IS ?5 AND x.reported_by = ?6 AND x.note IS ?7 AND x.revoked_reason IS ?8"
SQL(exposure_on_record,
    "SELECT x.incident, x.contaminants, m.badge AS reported_by, l.cleaned_on AS ended_on,"
    " x.revoked_on, x.revoked_reason, x.note FROM exposure x JOIN member m ON m.id = x.reported_by"
    " LEFT JOIN cleaning l ON l.id = x.ended_by_cleaning WHERE x.component_id = ?1"
    " AND x.exposed_on = ?2 AND x.cause = ?3 AND x.incident IS ?4 AND (x.id < ?9 OR (" ITSELF
    ")) ORDER BY " ITSELF " DESC, x.id LIMIT 1");
SQL(exposure_ended_on,
    "UPDATE exposure SET ended_by_cleaning = (SELECT l.id FROM cleaning l"
    "  WHERE l.component_id = exposure.component_id AND l.cleaned_on = ?2 AND l.cleaned_on >="
    "  exposure.exposed_on AND (l.class = 'specialized' OR (l.class = 'advanced'"
    "  AND exposure.cause = 'combustion')) ORDER BY l.id LIMIT 1), version = version + 1"
    " WHERE id = ?1");
SQL(exposure_is_ended, "SELECT ended_by_cleaning IS NOT NULL FROM exposure WHERE id = ?1");
SQL(worn_by, "SELECT EXISTS (SELECT 1 FROM issue WHERE component_id = ?1 AND member_id = ?2"
	     " AND returned_on IS NULL) OR EXISTS (SELECT 1 FROM component c JOIN ensemble e"
	     " ON e.id = c.ensemble_id WHERE c.id = ?1 AND e.member_id = ?2)");

enum err exposure_insert(struct store *st, const struct exposure_row *r, int64_t *id,
			 struct fault *f) {
	enum err err =
	    store_run(st, &exposure_insert_row, f, "iittttt", r->component, r->reported_by,
		      r->exposed_on, r->cause, r->incident, r->contaminants, r->note);
	*id = store_inserted(st);
	return err;
}

enum err exposure_reopen_follow_ups(struct store *st, int64_t id, struct fault *f) {
	return store_run(st, &exposure_reopens, f, "i", id);
}

enum err exposure_tainted(struct store *st, int64_t id, struct arena *a, struct doc *list,
			  struct fault *f) {
	return store_list(st, &exposure_tainted_inspections, a, list, f, "i", id);
}

enum err exposure_revoke(struct store *st, int64_t id, const char *on, const char *reason,
			 struct fault *f) {
	return store_run(st, &exposure_revoke_row, f, "itt", id, on, reason);
}

enum err exposures_end(struct store *st, int64_t component, int64_t cleaning, struct fault *f) {
	return store_run(st, &exposures_ended_by, f, "ii", component, cleaning);
}

enum err exposure_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
		      struct fault *f) {
	return store_one(st, &exposure_of_id, a, row, f, "i", id);
}

enum err exposures_of_component(struct store *st, int64_t component, struct arena *a,
				struct doc *list, struct fault *f) {
	return store_list(st, &exposure_of_component, a, list, f, "i", component);
}

enum err exposure_find(struct store *st, const struct exposure_row *r, const char *revoked_reason,
		       int64_t before, struct arena *a, struct doc **row, struct fault *f) {
	return store_one(st, &exposure_on_record, a, row, f, "ittttitti", r->component,
			 r->exposed_on, r->cause, r->incident, r->contaminants, r->reported_by,
			 r->note, revoked_reason, before);
}

enum err exposure_end_on(struct store *st, int64_t id, const char *on, bool *ended,
			 struct fault *f) {
	int64_t is = 0;
	enum err err = store_run(st, &exposure_ended_on, f, "it", id, on);
	if (err == ERR_OK) err = store_number(st, &exposure_is_ended, 0, &is, f, "i", id);
	*ended = is != 0;
	return err;
}

enum err component_is_worn_by(struct store *st, int64_t component, int64_t member, bool *is,
			      struct fault *f) {
	int64_t worn = 0;
	enum err err = store_number(st, &worn_by, 0, &worn, f, "ii", component, member);
	*is = worn != 0;
	return err;
}
