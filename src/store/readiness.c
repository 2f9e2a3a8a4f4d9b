#include "store/readiness.h"

#include "store/list.h"

/* The strengths are kept; of the members only those not ready today are looked
 * at, through the index by end of readiness ('' sorts before every day). */
SQL_SCAN(
    department_readiness,
    "SELECT s.id AS station, s.code, s.name, w.hazard, w.member_count AS strength,"
    " w.member_count - coalesce(x.not_ready, 0) AS ready, coalesce(x.not_ready, 0) AS not_ready"
    " FROM station_strength w JOIN station s ON s.id = w.station_id"
    " LEFT JOIN (SELECT station_id, hazard, count(*) AS not_ready FROM member_readiness"
    "   WHERE ready_until < ?1 GROUP BY station_id, hazard) x"
    " ON x.station_id = w.station_id AND x.hazard = w.hazard"
    " WHERE w.member_count > 0 ORDER BY s.code, w.hazard DESC");

#define READINESS_COLUMNS                                                                          \
	"SELECT r.member_id AS member, m.badge, m.given_name || ' ' || m.family_name AS name,"     \
	" r.hazard, r.ready_until >= ?1 AS is_ready, nullif(r.ready_until, '') AS ready_until,"    \
	" r.ensemble_id AS ensemble, e.code AS ensemble_code, r.obstacles AS obstacles_json"       \
	" FROM member_readiness r JOIN member m ON m.id = r.member_id"                             \
	" LEFT JOIN ensemble e ON e.id = r.ensemble_id"
SQL(station_readiness, READINESS_COLUMNS " WHERE r.station_id = ?2 ORDER BY is_ready,"
					 " r.hazard DESC, m.family_name, m.given_name");
SQL(member_readiness, READINESS_COLUMNS " WHERE r.member_id = ?2 ORDER BY r.hazard DESC");

/* ?2: "from-DAY" asks for those who are ready on that day, "before-DAY" for those who are not. */
#define READINESS_WHERE                                                                            \
	" FROM member_readiness r JOIN member m ON m.id = r.member_id"                             \
	" JOIN station s ON s.id = r.station_id LEFT JOIN ensemble e ON e.id = r.ensemble_id"      \
	" WHERE (?1 IS NULL OR m.search_key LIKE ?1 ESCAPE '\\')"                                  \
	" AND (?2 IS NULL OR CASE WHEN ?2 GLOB 'from-*' THEN r.ready_until >= substr(?2, 6)"       \
	"  ELSE r.ready_until < substr(?2, 8) END)"                                                \
	" AND (?3 IS NULL OR r.station_id = ?3) AND (?4 IS NULL OR r.hazard = ?4)"
#define READINESS_ROWS(order)                                                                      \
	"SELECT r.member_id AS member, m.badge, m.family_name, m.given_name, s.code AS"            \
	" station_code, r.hazard, nullif(r.ready_until, '') AS ready_until, e.code AS"             \
	" ensemble_code, r.obstacles AS obstacles_json, (SELECT"                                   \
	" group_concat(json_extract(o.value, '$.text'), ' ') FROM json_each(r.obstacles) o) AS"    \
	" reason" READINESS_WHERE " ORDER BY " order " LIMIT ?5 OFFSET ?6"
/* 20,000 rows at most, of which a search looks at each. */
SQL_SCAN(readiness_count, "SELECT count(*) AS total" READINESS_WHERE);
SQL_SCAN(readiness_by_end, READINESS_ROWS("r.ready_until, m.family_name, m.given_name, m.id"));
SQL_SCAN(readiness_by_name, READINESS_ROWS("m.family_name, m.given_name, m.id, r.hazard"));
SQL_SCAN(readiness_by_station,
	 READINESS_ROWS("s.code, m.family_name, m.given_name, m.id, r.hazard"));
const struct list_source readiness_list = {
    .count = &readiness_count,
    .filter = {"when", "station", "hazard"},
    .sort = {{"end", "First out of date", &readiness_by_end},
	     {"name", "Name", &readiness_by_name},
	     {"station", "Station", &readiness_by_station}},
};

enum err readiness_of_department(struct store *st, day today, struct arena *a, struct doc *rows,
				 struct fault *f) {
	return store_list(st, &department_readiness, a, rows, f, "d", today);
}

enum err readiness_of_station(struct store *st, int64_t station, day today, struct arena *a,
			      struct doc *rows, struct fault *f) {
	return store_list(st, &station_readiness, a, rows, f, "di", today, station);
}

enum err readiness_of_member(struct store *st, int64_t member, day today, struct arena *a,
			     struct doc *rows, struct fault *f) {
	return store_list(st, &member_readiness, a, rows, f, "di", today, member);
}
