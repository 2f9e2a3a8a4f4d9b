#include "store/audit_rows.h"

#include "store/list.h"

#define AUDIT_WHERE                                                                                \
	" FROM audit_entry e WHERE (?1 IS NULL OR e.actor LIKE ?1 ESCAPE '\\'"                     \
	" OR e.action LIKE ?1 ESCAPE '\\') AND (?2 IS NULL OR e.at LIKE ?2 || '%')"
/* Words of actors and actions are looked for in all entries. */
SQL_SCAN(audit_count, "SELECT count(*) AS total" AUDIT_WHERE);
SQL_SCAN(audit_newest, "SELECT e.seq, e.at, e.actor, e.action, json_array_length(e.records) AS"
		       " record_count, substr(e.hash, 1, 16) AS hash_start" AUDIT_WHERE
		       " ORDER BY e.seq DESC LIMIT ?3 OFFSET ?4");
const struct list_source audit_list = {
    .count = &audit_count,
    .filter = {"day"},
    .sort = {{"newest", "Newest first", &audit_newest}},
};

SQL(audit_of_seq, "SELECT seq, at, actor, account_id AS account, action, records AS records_json,"
		  " previous_hash, hash, signature FROM audit_entry WHERE seq = ?1");

enum err audit_entry_get(struct store *st, int64_t seq, struct arena *a, struct doc **row,
			 struct fault *f) {
	return store_one(st, &audit_of_seq, a, row, f, "i", seq);
}
