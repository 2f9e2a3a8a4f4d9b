#include "store/field_test.h"

#include "store/list.h"

/* In the order of enum test_measure. */
#define MEASURES                                                                                   \
	"distance_um, alcohol_ul, water_ul, amount_ul, time_ms, pressure_pa, material_spots,"      \
	" seam_spots, cuff_gap_um, hem_gap_um, value_thousandths"
#define OF_MEASURES(r)                                                                             \
	(r)->measure[MEASURE_DISTANCE], (r)->measure[MEASURE_ALCOHOL],                             \
	    (r)->measure[MEASURE_WATER], (r)->measure[MEASURE_AMOUNT], (r)->measure[MEASURE_TIME], \
	    (r)->measure[MEASURE_PRESSURE], (r)->measure[MEASURE_MATERIAL_SPOTS],                  \
	    (r)->measure[MEASURE_SEAM_SPOTS], (r)->measure[MEASURE_CUFF_GAP],                      \
	    (r)->measure[MEASURE_HEM_GAP], (r)->measure[MEASURE_VALUE]

SQL(insert_field_test,
    "INSERT INTO field_test (component_id, test, tested_on, performed_by, provider_id, recorded_by,"
    " sign, compared, property, zone, place, extent, result, because, note, " MEASURES ","
    " performer_class)"
    " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18,"
    " ?19, ?20, ?21, ?22, ?23, ?24, ?25, ?26, ?27)");
SQL(revoke_field_test, "UPDATE field_test SET revoked_on = ?2, revoked_reason = ?3,"
		       " version = version + 1 WHERE id = ?1");

#define FIELD_TEST_ROWS                                                                            \
	"(SELECT t.id, t.component_id AS component, c.tag, c.search_key, c.kind, k.label AS"       \
	" kind_label, c.station_id AS station, t.test, t.tested_on, t.performed_by,"               \
	" t.performer_class,"                                                                      \
	" t.provider_id AS provider, p.name AS provider_name, nullif(p.name, t.performed_by) AS "  \
	"provider_beside,"                                                                         \
	" m.given_name || ' ' || m.family_name AS recorded_by_name, t.sign, t.compared,"           \
	" t.property, l.label AS property_label, t.zone, z.label AS zone_label, t.place,"          \
	" t.extent, t.result, t.because, t.note, t.revoked_on, t.revoked_reason, t.version,"       \
	" iif(t.revoked_on IS NULL, t.result, 'revoked') AS state, " MEASURES                      \
	" FROM field_test t JOIN component c ON c.id = t.component_id"                             \
	" JOIN component_kind k ON k.code = c.kind JOIN member m ON m.id = t.recorded_by"          \
	" LEFT JOIN provider p ON p.id = t.provider_id"                                            \
	" LEFT JOIN limit_value l ON l.code = t.property"                                          \
	" LEFT JOIN kind_zone z ON z.kind = c.kind AND z.code = t.zone) e"
SQL(field_test_of_id, "SELECT * FROM " FIELD_TEST_ROWS " WHERE e.id = ?1");
SQL(field_test_of_component, "SELECT * FROM " FIELD_TEST_ROWS " WHERE e.component = ?1"
			     " ORDER BY e.tested_on DESC, e.id DESC");

#define FIELD_TEST_WHERE                                                                           \
	" FROM " FIELD_TEST_ROWS                                                                   \
	" WHERE (?1 IS NULL OR e.search_key LIKE ?1 ESCAPE '\\' OR e.performed_by LIKE ?1 ESCAPE"  \
	" '\\') AND (?2 IS NULL OR e.test = ?2) AND (?3 IS NULL OR e.state = ?3)"                  \
	" AND (?4 IS NULL OR e.station = ?4)"
/* Filters combine freely. */
SQL_SCAN(field_tests_count, "SELECT count(*) AS total" FIELD_TEST_WHERE);
SQL_SCAN(field_tests_by_day, "SELECT e.*" FIELD_TEST_WHERE " ORDER BY e.tested_on DESC, e.id DESC"
			     " LIMIT ?5 OFFSET ?6");
SQL_SCAN(field_tests_by_tag, "SELECT e.*" FIELD_TEST_WHERE " ORDER BY e.tag, e.tested_on DESC, e.id"
			     " DESC LIMIT ?5 OFFSET ?6");

const struct list_source field_test_list = {
    .count = &field_tests_count,
    .filter = {"test", "state", "station"},
    .sort = {{"day", "Newest first", &field_tests_by_day}, {"tag", "Tag", &field_tests_by_tag}},
};

#define ITSELF "t.performed_by = ?4 AND t.property IS ?5 AND t.place IS ?6 AND t.result = ?7"
SQL(field_test_on_record,
    "SELECT t.performed_by, p.code AS provider, m.badge AS recorded_by, t.sign, t.compared,"
    " t.property, t.zone, t.place, t.extent, t.result, t.note, t.revoked_on, t.revoked_reason,"
    " coalesce(t.performer_class, 'unknown') AS performer_class, " MEASURES
    " FROM field_test t JOIN member m ON m.id = t.recorded_by"
    " LEFT JOIN provider p ON p.id = t.provider_id WHERE t.component_id = ?1 AND t.tested_on = ?2"
    " AND t.test = ?3 AND (t.id < ?8 OR (" ITSELF ")) ORDER BY " ITSELF " DESC, t.id LIMIT 1");

enum err field_test_insert(struct store *st, const struct field_test_row *r, int64_t *id,
			   struct fault *f) {
	enum err err =
	    store_run(st, &insert_field_test, f, "ittt0immtttttttmmmmmmmmmmmt", r->component,
		      r->test, r->tested_on, r->performed_by, r->provider, r->recorded_by, r->sign,
		      r->compared, r->property, r->zone, r->place, r->extent, r->result, r->because,
		      r->note, OF_MEASURES(r), r->performer_class);
	*id = store_inserted(st);
	return err;
}

enum err field_test_revoke(struct store *st, int64_t id, const char *on, const char *reason,
			   struct fault *f) {
	return store_run(st, &revoke_field_test, f, "itt", id, on, reason);
}

enum err field_test_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
			struct fault *f) {
	return store_one(st, &field_test_of_id, a, row, f, "i", id);
}

enum err field_tests_of_component(struct store *st, int64_t component, struct arena *a,
				  struct doc *list, struct fault *f) {
	return store_list(st, &field_test_of_component, a, list, f, "i", component);
}

enum err field_test_find(struct store *st, const struct field_test_row *r, int64_t before,
			 struct arena *a, struct doc **row, struct fault *f) {
	return store_one(st, &field_test_on_record, a, row, f, "itttttti", r->component,
			 r->tested_on, r->test, r->performed_by, r->property, r->place, r->result,
			 before);
}
