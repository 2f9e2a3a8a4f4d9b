#include "store/readiness.h"

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
