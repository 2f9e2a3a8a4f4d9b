#include "store/ensemble.h"

#include "store/list.h"

#define ENSEMBLE_WHERE                                                                             \
	" FROM ensemble e JOIN station s ON s.id = e.station_id"                                   \
	" LEFT JOIN member m ON m.id = e.member_id"                                                \
	" WHERE (?1 IS NULL OR e.code LIKE ?1 ESCAPE '\\' OR m.search_key LIKE ?1 ESCAPE '\\')"    \
	" AND (?2 IS NULL OR e.station_id = ?2) AND (?3 IS NULL OR e.hazard = ?3)"                 \
	" AND (?4 IS NULL OR e.line = ?4)"
#define ENSEMBLE_ROWS(order)                                                                       \
	"SELECT e.id, e.code, e.hazard, e.line, s.code AS station_code, s.name AS station_name,"   \
	" m.id AS member, m.given_name || ' ' || m.family_name AS member_name, m.badge,"           \
	" (SELECT count(*) FROM component c WHERE c.ensemble_id = e.id AND c.retired_on IS NULL)"  \
	" AS part_count,"                                                                          \
	" (SELECT count(*) FROM component c JOIN standing t ON t.component_id = c.id"              \
	"   WHERE c.ensemble_id = e.id AND c.retired_on IS NULL AND t.blocker_count > 0)"          \
	" AS blocked_count" ENSEMBLE_WHERE " ORDER BY " order " LIMIT ?5 OFFSET ?6"
/* Searched by code and holder, which no index serves for a part of a word. */
SQL_SCAN(ensembles_count, "SELECT count(*) AS total" ENSEMBLE_WHERE);
SQL_SCAN(ensembles_by_code, ENSEMBLE_ROWS("e.code"));
SQL_SCAN(ensembles_by_station, ENSEMBLE_ROWS("s.code, e.code"));
SQL_SCAN(ensembles_by_holder, ENSEMBLE_ROWS("m.family_name, m.given_name, e.code"));

const struct list_source ensemble_list = {
    .count = &ensembles_count,
    .filter = {"station", "hazard", "line"},
    .sort = {{"code", "Code", &ensembles_by_code},
	     {"station", "Station", &ensembles_by_station},
	     {"holder", "Holder", &ensembles_by_holder}},
};

#define ENSEMBLE_COLUMNS                                                                           \
	"SELECT e.id, e.code, e.hazard, e.line, e.station_id AS station,"                          \
	" s.code || ' ' || s.name AS station_label, e.member_id AS member,"                        \
	" m.given_name || ' ' || m.family_name AS member_name, e.active, e.version"                \
	" FROM ensemble e JOIN station s ON s.id = e.station_id"                                   \
	" LEFT JOIN member m ON m.id = e.member_id"
SQL(ensemble_of_id, ENSEMBLE_COLUMNS " WHERE e.id = ?1");
SQL(ensemble_of_code, ENSEMBLE_COLUMNS " WHERE e.code = ?1");
SQL(ensemble_insert, "INSERT INTO ensemble (code, hazard, line, station_id, member_id, active)"
		     " VALUES (?1, ?2, ?3, ?4, ?5, ?6)");
SQL(ensemble_update, "UPDATE ensemble SET code = ?2, hazard = ?3, line = ?4, station_id = ?5,"
		     " member_id = ?6, active = ?7, version = version + 1 WHERE id = ?1");
SQL(parts_of_ensemble,
    "SELECT c.id AS component, c.tag, c.serial, c.kind, k.label AS kind_label, c.maker, c.model,"
    " c.size, c.made, c.reflective AS is_reflective, t.state, t.blockers AS blockers_json,"
    " nullif(t.ready_until, '') AS ready_until, i.member_id AS holder,"
    " h.given_name || ' ' || h.family_name AS holder_name"
    " FROM component c JOIN component_kind k ON k.code = c.kind"
    " JOIN standing t ON t.component_id = c.id"
    " LEFT JOIN issue i ON i.component_id = c.id AND i.returned_on IS NULL"
    " LEFT JOIN member h ON h.id = i.member_id"
    " WHERE c.ensemble_id = ?1 AND c.retired_on IS NULL ORDER BY k.position, c.id");

enum err ensemble_save(struct store *st, const struct ensemble_row *r, int64_t *id,
		       struct fault *f) {
	*id = r->id;
	if (r->id)
		return store_run(st, &ensemble_update, f, "ittti0b", r->id, r->code, r->hazard,
				 r->line, r->station, r->member, r->active);
	enum err err = store_run(st, &ensemble_insert, f, "ttti0b", r->code, r->hazard, r->line,
				 r->station, r->member, r->active);
	*id = store_inserted(st);
	return err;
}

enum err ensemble_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
		      struct fault *f) {
	return store_one(st, &ensemble_of_id, a, row, f, "i", id);
}

enum err ensemble_by_code(struct store *st, const char *code, struct arena *a, struct doc **row,
			  struct fault *f) {
	return store_one(st, &ensemble_of_code, a, row, f, "t", code);
}

enum err ensemble_parts(struct store *st, int64_t id, struct arena *a, struct doc *list,
			struct fault *f) {
	return store_list(st, &parts_of_ensemble, a, list, f, "i", id);
}
