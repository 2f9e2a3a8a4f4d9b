#include "store/fit_check.h"

#include "store/list.h"

/* In the order of enum interface. */
#define INTERFACES                                                                                 \
	"coat_trousers, hood_collar, hood_facepiece, glove_sleeve, trousers_boots, helmet_hood,"   \
	" shroud_coat, overcover_faceshield"

SQL(insert_fit_check,
    "INSERT INTO fit_check (member_id, hazard, checked_on, checked_by, overlap_um, is_short, "
    "result,"
    " because, note, " INTERFACES ", leg_um)"
    " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17,"
    " ?18)");
SQL(insert_fit_check_part,
    "INSERT INTO fit_check_part (fit_check_id, component_id) VALUES (?1, ?2)");
SQL(revoke_fit_check, "UPDATE fit_check SET revoked_on = ?2, revoked_reason = ?3,"
		      " version = version + 1 WHERE id = ?1");

#define FIT_CHECK_ROWS                                                                             \
	"(SELECT f.id, f.member_id AS member, m.badge, m.given_name || ' ' || m.family_name AS"    \
	" member_name, m.family_name, m.given_name, m.search_key, f.hazard, m.station_id AS"       \
	" station, s.code AS station_code, f.checked_on, b.given_name || ' ' || b.family_name AS"  \
	" checked_by_name, " INTERFACES ", f.overlap_um, f.leg_um, f.result, f.because, f.note,"   \
	" f.revoked_on, f.revoked_reason, f.version, iif(f.revoked_on IS NULL, f.result,"          \
	" 'revoked') AS state FROM fit_check f JOIN member m ON m.id = f.member_id"                \
	" JOIN station s ON s.id = m.station_id JOIN member b ON b.id = f.checked_by) e"
SQL(fit_check_of_id, "SELECT * FROM " FIT_CHECK_ROWS " WHERE e.id = ?1");
SQL(fit_check_of_member, "SELECT * FROM " FIT_CHECK_ROWS " WHERE e.member = ?1"
			 " ORDER BY e.checked_on DESC, e.id DESC");

#define FIT_CHECK_WHERE                                                                            \
	" FROM " FIT_CHECK_ROWS " WHERE (?1 IS NULL OR e.search_key LIKE ?1 ESCAPE '\\')"          \
	" AND (?2 IS NULL OR e.hazard = ?2) AND (?3 IS NULL OR e.state = ?3)"                      \
	" AND (?4 IS NULL OR e.station = ?4)"
#define FIT_CHECKS_BY(order)                                                                       \
	"SELECT e.*" FIT_CHECK_WHERE " ORDER BY " order "e.checked_on DESC, e.id DESC LIMIT ?5"    \
	" OFFSET ?6"
/* Filters combine freely. */
SQL_SCAN(fit_checks_count, "SELECT count(*) AS total" FIT_CHECK_WHERE);
SQL_SCAN(fit_checks_by_day, FIT_CHECKS_BY(""));
SQL_SCAN(fit_checks_by_name, FIT_CHECKS_BY("e.family_name, e.given_name, "));
SQL_SCAN(fit_checks_by_station, FIT_CHECKS_BY("e.station_code, "));

const struct list_source fit_check_list = {
    .count = &fit_checks_count,
    .filter = {"hazard", "state", "station"},
    .sort = {{"day", "Newest first", &fit_checks_by_day},
	     {"name", "Name", &fit_checks_by_name},
	     {"station", "Station", &fit_checks_by_station}},
};

#define PART_COLUMNS "c.id AS component, c.tag, k.label AS kind_label, c.size"
SQL(parts_of_fit_check,
    "SELECT " PART_COLUMNS " FROM fit_check_part p JOIN component c ON c.id = p.component_id"
    " JOIN component_kind k ON k.code = c.kind WHERE p.fit_check_id = ?1 ORDER BY k.position,"
    " c.tag");
/* The member has a part that is issued to them, or in their ensemble and issued to nobody. */
SQL(changes_since_fit_check,
    "SELECT " PART_COLUMNS ", 0 AS is_new, NULL AS since, k.position FROM fit_check f"
    " JOIN fit_check_part p ON p.fit_check_id = f.id JOIN component c ON c.id = p.component_id"
    " JOIN component_kind k ON k.code = c.kind"
    " LEFT JOIN issue i ON i.component_id = c.id AND i.returned_on IS NULL"
    " LEFT JOIN ensemble e ON e.id = c.ensemble_id AND e.active = 1"
    " WHERE f.id = ?1 AND (c.retired_on IS NOT NULL"
    "  OR coalesce(i.member_id, e.member_id) IS NOT f.member_id)"
    " UNION ALL SELECT " PART_COLUMNS ", 1, i.issued_on, k.position FROM fit_check f"
    " JOIN issue i ON i.member_id = f.member_id AND i.returned_on IS NULL"
    "  AND i.issued_on > f.checked_on"
    " JOIN component c ON c.id = i.component_id AND c.hazard = f.hazard AND c.retired_on IS NULL"
    " JOIN component_kind k ON k.code = c.kind"
    " WHERE f.id = ?1 AND NOT EXISTS (SELECT 1 FROM fit_check_part p WHERE p.fit_check_id = f.id"
    "  AND p.component_id = c.id) ORDER BY position, is_new, tag");

/* What was worn, as tags parted by spaces. */
#define WORN                                                                                       \
	"(SELECT group_concat(tag, ' ') FROM (SELECT c.tag FROM fit_check_part p"                  \
	" JOIN component c ON c.id = p.component_id WHERE p.fit_check_id = f.id ORDER BY p.id))"
#define ANSWERS                                                                                    \
	"(f.coat_trousers || ' ' || f.hood_collar || ' ' || f.hood_facepiece || ' ' ||"            \
	" f.glove_sleeve || ' ' || f.trousers_boots || ' ' || f.helmet_hood ||"                    \
	" coalesce(' ' || f.shroud_coat || ' ' || f.overcover_faceshield, ''))"
#define ITSELF                                                                                     \
	"f.checked_by = ?4 AND f.overlap_um IS ?5 AND f.note IS ?6 AND f.revoked_reason IS ?7"     \
	" AND " ANSWERS " = ?8 AND f.leg_um IS ?10"
SQL_SCAN(
    fit_check_on_record, /* of the parts of one check */
    "SELECT b.badge AS checked_by, " INTERFACES ", f.overlap_um, f.leg_um, f.result, f.note, " WORN
    " AS worn, f.revoked_on, f.revoked_reason FROM fit_check f JOIN member b ON b.id = f.checked_by"
    " WHERE f.member_id = ?1 AND f.hazard = ?2 AND f.checked_on = ?3 AND (f.id < ?9 OR (" ITSELF
    ")) ORDER BY " ITSELF " DESC, f.id LIMIT 1");

/* NULL where the outfit has no such interface. */
static const char *answer_of(const struct fit_check *c, enum interface i) {
	return interface_applies(i, c->hazard) ? interface_answer_word[c->answer[i]] : NULL;
}

enum err fit_check_insert(struct store *st, const struct fit_check_row *r, int64_t *id,
			  struct fault *f) {
	const struct fit_check *c = r->check;
	enum err err = store_run(
	    st, &insert_fit_check, f, "ittimbtttttttttttm", r->member, hazard_word[c->hazard],
	    r->checked_on, r->checked_by, c->has_overlap ? &c->overlap : NULL, r->verdict->is_short,
	    fit_result_word[r->verdict->result], r->verdict->because, r->note,
	    answer_of(c, INTERFACE_COAT_TROUSERS), answer_of(c, INTERFACE_HOOD_COLLAR),
	    answer_of(c, INTERFACE_HOOD_FACEPIECE), answer_of(c, INTERFACE_GLOVE_SLEEVE),
	    answer_of(c, INTERFACE_TROUSERS_BOOTS), answer_of(c, INTERFACE_HELMET_HOOD),
	    answer_of(c, INTERFACE_SHROUD_COAT), answer_of(c, INTERFACE_OVERCOVER_FACESHIELD),
	    c->has_leg ? &c->leg : NULL);
	*id = store_inserted(st);
	for (size_t i = 0; err == ERR_OK && i < r->component_count; i++)
		err = store_run(st, &insert_fit_check_part, f, "ii", *id, r->component[i]);
	return err;
}

enum err fit_check_revoke(struct store *st, int64_t id, const char *on, const char *reason,
			  struct fault *f) {
	return store_run(st, &revoke_fit_check, f, "itt", id, on, reason);
}

enum err fit_check_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
		       struct fault *f) {
	return store_one(st, &fit_check_of_id, a, row, f, "i", id);
}

enum err fit_checks_of_member(struct store *st, int64_t member, struct arena *a, struct doc *list,
			      struct fault *f) {
	return store_list(st, &fit_check_of_member, a, list, f, "i", member);
}

enum err fit_check_parts(struct store *st, int64_t id, struct arena *a, struct doc *list,
			 struct fault *f) {
	return store_list(st, &parts_of_fit_check, a, list, f, "i", id);
}

enum err fit_check_changes(struct store *st, int64_t id, struct arena *a, struct doc *list,
			   struct fault *f) {
	return store_list(st, &changes_since_fit_check, a, list, f, "i", id);
}

enum err fit_check_find(struct store *st, const struct fit_check_row *r, const char *revoked_reason,
			int64_t before, struct arena *a, struct doc **row, struct fault *f) {
	const struct fit_check *c = r->check;
	const char *answers = NULL;
	for (int i = 0; i < INTERFACE_COUNT; i++) {
		const char *answer = answer_of(c, (enum interface)i);
		if (answer) answers = answers ? arena_printf(a, "%s %s", answers, answer) : answer;
	}
	return store_one(st, &fit_check_on_record, a, row, f, "ittimtttim", r->member,
			 hazard_word[c->hazard], r->checked_on, r->checked_by,
			 c->has_overlap ? &c->overlap : NULL, r->note, revoked_reason, answers,
			 before, c->has_leg ? &c->leg : NULL);
}
