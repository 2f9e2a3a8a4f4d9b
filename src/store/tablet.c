#include "store/tablet.h"

#include <string.h>

#include "base/text.h"
#include "rules/pin.h"
#include "store/list.h"
#include "store/session.h"

/* --- the list ------------------------------------------------------------------------ */

#define STANDING                                                                                   \
	"CASE WHEN t.revoked_at IS NOT NULL THEN 'revoked' WHEN t.enrolled_at IS NOT NULL"         \
	" THEN 'enrolled' ELSE 'waiting' END"
#define TABLET_WHERE                                                                               \
	" FROM tablet t JOIN station s ON s.id = t.station_id"                                     \
	" LEFT JOIN tablet_seen n ON n.tablet_id = t.id"                                           \
	" WHERE (?1 IS NULL OR t.search_key LIKE ?1 ESCAPE '\\' OR s.search_key LIKE ?1"           \
	" ESCAPE '\\') AND (?2 IS NULL OR t.station_id = ?2)"                                      \
	" AND (?3 IS NULL OR ?3 = " STANDING ")"
#define TABLET_COLUMNS                                                                             \
	"t.id, t.name, t.station_id AS station, s.code || ' ' || s.name AS station_label,"         \
	" t.code_given_at, t.enrolled_at, t.revoked_at, n.at AS last_seen, " STANDING              \
	" AS standing, t.enrolled_at IS NOT NULL AS is_enrolled,"                                  \
	" t.revoked_at IS NOT NULL AS is_revoked, t.version"
#define TABLET_ROWS(order)                                                                         \
	"SELECT " TABLET_COLUMNS TABLET_WHERE " ORDER BY " order " LIMIT ?4 OFFSET ?5"
/* A department has a few tablets a station. */
SQL_SCAN(tablets_count, "SELECT count(*) AS total" TABLET_WHERE);
SQL_SCAN(tablets_by_station, TABLET_ROWS("s.code, t.name, t.id"));
SQL_SCAN(tablets_by_name, TABLET_ROWS("t.name, t.id"));
SQL_SCAN(tablets_by_seen, TABLET_ROWS("n.at DESC, t.id"));
SQL_SCAN(tablets_by_unseen, TABLET_ROWS("n.at, t.id"));

const struct list_source tablet_list = {
    .count = &tablets_count,
    .filter = {"station", "standing"},
    .sort = {{"station", "Station", &tablets_by_station},
	     {"name", "Name", &tablets_by_name},
	     {"latest", "Last seen, latest first", &tablets_by_seen},
	     {"longest", "Last seen, longest ago first", &tablets_by_unseen}},
};

/* --- one tablet ---------------------------------------------------------------------- */

SQL(tablet_of_id, "SELECT " TABLET_COLUMNS " FROM tablet t JOIN station s ON s.id = t.station_id"
		  " LEFT JOIN tablet_seen n ON n.tablet_id = t.id WHERE t.id = ?1");
SQL(tablet_of_token,
    "SELECT t.id, t.name, t.station_id, s.code || ' ' || s.name, n.at, 60 * coalesce((SELECT"
    " CAST(value AS INTEGER) FROM setting WHERE name = 'tablet_lock_minutes' AND value <> ''), ?2)"
    " FROM tablet t JOIN station s ON s.id = t.station_id"
    " LEFT JOIN tablet_seen n ON n.tablet_id = t.id"
    " WHERE t.token_hash = ?1 AND t.revoked_at IS NULL");
SQL(tablet_seen_put, "INSERT INTO tablet_seen (tablet_id, at) VALUES (?1, ?2)"
		     " ON CONFLICT (tablet_id) DO UPDATE SET at = excluded.at");
SQL(tablet_put, "INSERT INTO tablet (name, search_key, station_id, code_given_at)"
		" VALUES (?1, ?2, ?3, ?4)");
SQL(tablet_name_put, "UPDATE tablet SET name = ?2, search_key = ?3, version = version + 1"
		     " WHERE id = ?1");
SQL(tablet_code_put, "INSERT INTO tablet_code (tablet_id, code_hash, until_s) VALUES (?1, ?2, ?3)"
		     " ON CONFLICT (tablet_id) DO UPDATE SET code_hash = excluded.code_hash,"
		     " until_s = excluded.until_s");
SQL(tablet_code_given, "UPDATE tablet SET code_given_at = ?2, version = version + 1"
		       " WHERE id = ?1");
SQL(tablet_of_code, "SELECT t.id FROM tablet_code c JOIN tablet t ON t.id = c.tablet_id"
		    " WHERE c.code_hash = ?1 AND c.until_s > ?2 AND t.revoked_at IS NULL");
SQL(tablet_code_end, "DELETE FROM tablet_code WHERE tablet_id = ?1");
SQL(tablet_enrolled, "UPDATE tablet SET enrolled_at = ?2, token_hash = ?3, version = version + 1"
		     " WHERE id = ?1");
SQL(tablet_end, "UPDATE tablet SET revoked_at = ?2, version = version + 1 WHERE id = ?1");
SQL(tablet_sessions_end, "DELETE FROM session WHERE tablet_id = ?1");

enum err tablet_find(struct store *st, const char *secret, struct arena *a, struct tablet *tablet,
		     struct fault *f) {
	*tablet = (struct tablet){0};
	struct cursor c;
	bool more = false;
	const char *hash = secret_hash(a, secret);
	if (!hash) return fault_memory(f);
	enum err err =
	    cursor_open(&c, st, &tablet_of_token, f, "ti", hash, (int64_t)PIN_LOCK_MINUTES);
	if (err == ERR_OK) err = cursor_next(&c, &more);
	if (err == ERR_OK && more)
		*tablet = (struct tablet){
		    .id = cursor_int(&c, 0),
		    .name = arena_strdup(a, cursor_text(&c, 1)),
		    .station = cursor_int(&c, 2),
		    .station_name = arena_strdup(a, cursor_text(&c, 3)),
		    .seen_at = cursor_text(&c, 4) ? arena_strdup(a, cursor_text(&c, 4)) : NULL,
		    .lock_s = cursor_int(&c, 5),
		};
	cursor_close(&c);
	return err == ERR_OK && arena_failed(a) ? fault_memory(f) : err;
}

enum err tablet_used(struct store *st, int64_t id, int64_t now_s, struct fault *f) {
	char at[INSTANT_TEXT_SIZE];
	return store_run(st, &tablet_seen_put, f, "it", id, instant_format(now_s, at));
}

enum err tablet_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
		    struct fault *f) {
	return store_one(st, &tablet_of_id, a, row, f, "i", id);
}

enum err tablet_rename(struct store *st, int64_t id, const char *name, struct arena *a,
		       struct fault *f) {
	const char *key = text_fold(a, name);
	if (!key) return fault_memory(f);
	return store_run(st, &tablet_name_put, f, "itt", id, name, key);
}

/* However it was typed: in capitals, with spaces. */
static const char *plain_code(struct arena *a, const char *text) {
	char *code = arena_strdup(a, text);
	size_t length = 0;
	for (char *at = code; at && *at; at++) {
		char c = *at >= 'A' && *at <= 'Z' ? (char)(*at - 'A' + 'a') : *at;
		if (c != ' ' && c != '-') code[length++] = c;
	}
	if (code) code[length] = '\0';
	return code;
}

static enum err put_code(struct store *st, int64_t id, const char *code, int64_t now_s,
			 struct arena *a, struct fault *f) {
	const char *plain = plain_code(a, code), *hash = plain ? secret_hash(a, plain) : NULL;
	if (!hash) return fault_memory(f);
	return store_run(st, &tablet_code_put, f, "iti", id, hash,
			 now_s + (int64_t)TABLET_CODE_MINUTES * 60);
}

enum err tablet_insert(struct store *st, const char *name, int64_t station, const char *code,
		       int64_t now_s, struct arena *a, int64_t *id, struct fault *f) {
	char at[INSTANT_TEXT_SIZE];
	const char *key = text_fold(a, name);
	if (!key) return fault_memory(f);
	enum err err =
	    store_run(st, &tablet_put, f, "ttit", name, key, station, instant_format(now_s, at));
	*id = store_inserted(st);
	return err == ERR_OK ? put_code(st, *id, code, now_s, a, f) : err;
}

enum err tablet_give_code(struct store *st, int64_t id, const char *code, int64_t now_s,
			  struct arena *a, struct fault *f) {
	char at[INSTANT_TEXT_SIZE];
	enum err err = put_code(st, id, code, now_s, a, f);
	return err == ERR_OK
		   ? store_run(st, &tablet_code_given, f, "it", id, instant_format(now_s, at))
		   : err;
}

enum err tablet_revoke(struct store *st, int64_t id, int64_t now_s, struct fault *f) {
	char at[INSTANT_TEXT_SIZE];
	enum err err = store_run(st, &tablet_end, f, "it", id, instant_format(now_s, at));
	if (err == ERR_OK) err = store_run(st, &tablet_code_end, f, "i", id);
	if (err == ERR_OK) err = store_run(st, &tablet_sessions_end, f, "i", id);
	return err;
}

enum err tablet_enrol(struct store *st, const char *code, const char *secret, int64_t now_s,
		      struct arena *a, int64_t *id, struct fault *f) {
	char at[INSTANT_TEXT_SIZE];
	const char *plain = plain_code(a, code), *token_hash = secret_hash(a, secret);
	const char *code_hash = plain ? secret_hash(a, plain) : NULL;
	*id = 0;
	if (!code_hash || !token_hash) return fault_memory(f);
	enum err err = store_number(st, &tablet_of_code, 0, id, f, "ti", code_hash, now_s);
	if (err != ERR_OK || !*id) return err;
	err = store_run(st, &tablet_enrolled, f, "itt", *id, instant_format(now_s, at), token_hash);
	if (err == ERR_OK) err = store_run(st, &tablet_code_end, f, "i", *id);
	if (err == ERR_OK) err = store_run(st, &tablet_sessions_end, f, "i", *id);
	return err;
}

/* --- who may use it ------------------------------------------------------------------ */

#define PEOPLE                                                                                     \
	" FROM member m JOIN account a ON a.member_id = m.id"                                      \
	" WHERE m.station_id = ?1 AND m.status = 'active' AND a.active = 1"
SQL(tablet_people_rows,
    "SELECT a.id AS account, m.badge, m.given_name || ' ' || m.family_name AS name, a.role,"
    " a.pin_hash IS NOT NULL AS has_pin, a.pin_locked_at IS NOT NULL AS is_locked" PEOPLE
    " ORDER BY m.family_name, m.given_name, m.id");
SQL(tablet_person_row, "SELECT a.id" PEOPLE " AND m.badge = ?2");

enum err tablet_people(struct store *st, int64_t station, struct arena *a, struct doc *people,
		       struct fault *f) {
	return store_list(st, &tablet_people_rows, a, people, f, "i", station);
}

enum err tablet_person(struct store *st, int64_t station, const char *badge, int64_t *account,
		       struct fault *f) {
	return store_number(st, &tablet_person_row, 0, account, f, "it", station, badge);
}
