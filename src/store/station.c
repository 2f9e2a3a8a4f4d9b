#include "store/station.h"

#include "base/text.h"
#include "store/list.h"

#define STATION_WHERE                                                                              \
	" FROM station s WHERE (?1 IS NULL OR s.search_key LIKE ?1 ESCAPE '\\')"                   \
	" AND (?2 IS NULL OR s.active = ?2)"
#define STATION_ROWS(order)                                                                        \
	"SELECT s.id, s.code, s.name, s.address, s.email, s.active AS is_active,"                  \
	" (SELECT count(*) FROM member m WHERE m.station_id = s.id AND m.status <> 'left')"        \
	" AS member_count,"                                                                        \
	" (SELECT count(*) FROM component c WHERE c.station_id = s.id) AS "                        \
	"component_count" STATION_WHERE " ORDER BY " order " LIMIT ?3 OFFSET ?4"
/* A department has few stations; reading all of them is the search. */
SQL_SCAN(stations_count, "SELECT count(*) AS total" STATION_WHERE);
SQL_SCAN(stations_by_code, STATION_ROWS("s.code"));
SQL_SCAN(stations_by_name, STATION_ROWS("s.name, s.code"));
SQL_SCAN(stations_by_strength, STATION_ROWS("member_count DESC, s.code"));

const struct list_source station_list = {
    .count = &stations_count,
    .filter = {"active"},
    .sort = {{"code", "Code", &stations_by_code},
	     {"name", "Name", &stations_by_name},
	     {"strength", "Members", &stations_by_strength}},
};

SQL(station_of_id,
    "SELECT s.id, s.code, s.name, s.address, s.email, s.active, s.version,"
    " (SELECT count(*) FROM member m WHERE m.station_id = s.id AND m.status <> 'left')"
    " AS member_count,"
    " (SELECT count(*) FROM component c WHERE c.station_id = s.id) AS component_count"
    " FROM station s WHERE s.id = ?1");
SQL(station_of_code, "SELECT id FROM station WHERE code = ?1");
SQL_SCAN(station_choices, "SELECT id, id || '' AS value, code || ' ' || name AS label"
			  " FROM station WHERE active = 1 ORDER BY code");
SQL(station_insert, "INSERT INTO station (code, name, search_key, address, email, active)"
		    " VALUES (?1, ?2, ?3, ?4, ?5, ?6)");
SQL(station_update, "UPDATE station SET code = ?2, name = ?3, search_key = ?4, address = ?5,"
		    " email = ?6, active = ?7, version = version + 1 WHERE id = ?1");

enum err station_save(struct store *st, const struct station_row *row, struct arena *a, int64_t *id,
		      struct fault *f) {
	const char *words = arena_printf(a, "%s %s", row->code, row->name);
	const char *key = words ? text_fold(a, words) : NULL;
	if (!key) return fault_memory(f);
	*id = row->id;
	if (row->id)
		return store_run(st, &station_update, f, "itttttb", row->id, row->code, row->name,
				 key, row->address, row->email, row->active);
	enum err err = store_run(st, &station_insert, f, "tttttb", row->code, row->name, key,
				 row->address, row->email, row->active);
	*id = store_inserted(st);
	return err;
}

enum err station_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
		     struct fault *f) {
	return store_one(st, &station_of_id, a, row, f, "i", id);
}

enum err station_by_code(struct store *st, const char *code, int64_t *id, struct fault *f) {
	return store_number(st, &station_of_code, 0, id, f, "t", code);
}

enum err station_options(struct store *st, struct arena *a, struct doc *options, struct fault *f) {
	return store_list(st, &station_choices, a, options, f, "");
}
