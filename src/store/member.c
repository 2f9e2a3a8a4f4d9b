#include "store/member.h"

#include "base/text.h"
#include "store/account.h"
#include "store/list.h"

#define MEMBER_WHERE                                                                               \
	" FROM member m JOIN station s ON s.id = m.station_id"                                     \
	" WHERE (?1 IS NULL OR m.search_key LIKE ?1 ESCAPE '\\')"                                  \
	" AND (?2 IS NULL OR m.station_id = ?2) AND (?3 IS NULL OR m.status = ?3)"                 \
	" AND (?4 IS NULL OR (?4 = 'structural' AND m.structural) OR (?4 = 'proximity' AND"        \
	" m.proximity))"
#define MEMBER_ROWS(order)                                                                         \
	"SELECT m.id, m.badge, m.family_name, m.given_name, s.id AS station, s.code AS"            \
	" station_code, s.name AS station_name, m.email, m.structural AS is_structural,"           \
	" m.proximity AS is_proximity, m.trained_until, m.status" MEMBER_WHERE " ORDER BY " order  \
	" LIMIT ?5 OFFSET ?6"
/* A search looks at every member's folded name; 20,000 take a few milliseconds. */
SQL_SCAN(members_count, "SELECT count(*) AS total" MEMBER_WHERE);
SQL_SCAN(members_by_name, MEMBER_ROWS("m.family_name, m.given_name, m.id"));
SQL_SCAN(members_by_badge, MEMBER_ROWS("m.badge"));
SQL_SCAN(members_by_station, MEMBER_ROWS("s.code, m.family_name, m.given_name, m.id"));

const struct list_source member_list = {
    .count = &members_count,
    .filter = {"station", "status", "hazard"},
    .sort = {{"name", "Name", &members_by_name},
	     {"badge", "Badge", &members_by_badge},
	     {"station", "Station", &members_by_station}},
};

SQL(member_of_id, "SELECT m.id, m.badge, m.family_name, m.given_name, m.given_name || ' ' || "
		  "m.family_name AS name,"
		  " m.station_id AS station, s.code || ' ' || s.name AS station_label, m.email,"
		  " m.structural, m.proximity, m.trained_until, m.status,"
		  " m.version FROM member m JOIN station s ON s.id = m.station_id WHERE m.id = ?1");
SQL(member_of_badge, "SELECT id FROM member WHERE badge = ?1");
SQL(gear_of_member,
    "SELECT c.id AS component, c.tag, k.label AS kind_label, c.hazard, i.issued_on, s.state,"
    " s.ready_until FROM issue i JOIN component c ON c.id = i.component_id"
    " JOIN component_kind k ON k.code = c.kind JOIN standing s ON s.component_id = c.id"
    " WHERE i.member_id = ?1 AND i.returned_on IS NULL ORDER BY c.hazard DESC, k.position");
SQL(ensembles_of_member, "SELECT id, code, hazard, line FROM ensemble WHERE member_id = ?1"
			 " AND active = 1 ORDER BY hazard DESC, line");
SQL_SCAN(member_choices,
	 "SELECT id, family_name || ', ' || given_name || ' (' || badge || ')' AS"
	 " label FROM member WHERE status = 'active' ORDER BY family_name, given_name");
SQL(member_insert,
    "INSERT INTO member (badge, family_name, given_name, search_key, station_id, email, structural,"
    " proximity, trained_until, status) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)");
SQL(member_update,
    "UPDATE member SET badge = ?2, family_name = ?3, given_name = ?4, search_key = ?5,"
    " station_id = ?6, email = ?7, structural = ?8, proximity = ?9, trained_until = ?10,"
    " status = ?11, version = version + 1 WHERE id = ?1");

enum err member_save(struct store *st, const struct member_row *r, struct arena *a, int64_t *id,
		     struct fault *f) {
	const char *words =
	    arena_printf(a, "%s %s %s %s", r->badge, r->given_name, r->family_name, r->given_name);
	const char *key = words ? text_fold(a, words) : NULL;
	if (!key) return fault_set(f, ERR_MEMORY, NULL, "There is no memory left.");
	*id = r->id;
	enum err err = r->id && text_equal(r->status, "left")
			   ? account_check_not_last(st, r->id, "status", f)
			   : ERR_OK;
	if (err != ERR_OK) return err;
	if (r->id)
		return store_run(st, &member_update, f, "ittttitbbtt", r->id, r->badge,
				 r->family_name, r->given_name, key, r->station, r->email,
				 r->structural, r->proximity, r->trained_until, r->status);
	err = store_run(st, &member_insert, f, "ttttitbbtt", r->badge, r->family_name,
			r->given_name, key, r->station, r->email, r->structural, r->proximity,
			r->trained_until, r->status);
	*id = store_inserted(st);
	return err;
}

enum err member_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
		    struct fault *f) {
	return store_one(st, &member_of_id, a, row, f, "i", id);
}

enum err member_by_badge(struct store *st, const char *badge, int64_t *id, struct fault *f) {
	return store_number(st, &member_of_badge, 0, id, f, "t", badge);
}

enum err member_gear(struct store *st, int64_t id, struct arena *a, struct doc *list,
		     struct fault *f) {
	return store_list(st, &gear_of_member, a, list, f, "i", id);
}

enum err member_ensembles(struct store *st, int64_t id, struct arena *a, struct doc *list,
			  struct fault *f) {
	return store_list(st, &ensembles_of_member, a, list, f, "i", id);
}

enum err member_options(struct store *st, struct arena *a, struct doc *options, struct fault *f) {
	return store_list(st, &member_choices, a, options, f, "");
}
