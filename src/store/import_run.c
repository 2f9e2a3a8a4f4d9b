#include "store/import_run.h"

SQL(run_put,
    "INSERT INTO import_run (kind, filename, date_order, content, content_hash, account_id,"
    " state, rows_total, faults_total, faults, preview, created_s)"
    " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)");
#define RUN_COLUMNS                                                                                \
	"r.id, r.kind, r.filename, r.date_order, r.state, r.rows_total, r.rows_done,"              \
	" r.faults_total, r.state = 'ready' AS is_ready, r.state = 'done' AS is_done,"             \
	" r.state = 'faulty' AS is_faulty,"                                                        \
	" strftime('%Y-%m-%dT%H:%M:%SZ', r.created_s, 'unixepoch') AS created_at,"                 \
	" m.given_name || ' ' || m.family_name AS name"
#define RUN_JOINS                                                                                  \
	" FROM import_run r JOIN account a ON a.id = r.account_id"                                 \
	" JOIN member m ON m.id = a.member_id"
SQL(run_get,
    "SELECT " RUN_COLUMNS
    ", r.content, r.faults AS faults_json, r.preview AS preview_json" RUN_JOINS " WHERE r.id = ?1");
/* The last ones; imports are rare. */
SQL_SCAN(run_list, "SELECT " RUN_COLUMNS RUN_JOINS " ORDER BY r.id DESC LIMIT 50");
SQL(run_done, "UPDATE import_run SET state = 'done', rows_done = ?2, content = NULL WHERE id = ?1");

enum err import_run_put(struct store *st, const struct import_run *r, int64_t *id,
			struct fault *f) {
	enum err err = store_run(st, &run_put, f, "tttttitiitti", r->kind, r->filename,
				 r->date_order, r->content, r->content_hash, r->account, r->state,
				 r->rows, r->faults_total, r->faults, r->preview, r->created_s);
	*id = store_inserted(st);
	return err;
}

enum err import_run_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
			struct fault *f) {
	return store_one(st, &run_get, a, row, f, "i", id);
}

enum err import_run_list(struct store *st, struct arena *a, struct doc *list, struct fault *f) {
	return store_list(st, &run_list, a, list, f, "");
}

enum err import_run_done(struct store *st, int64_t id, int64_t changed, struct fault *f) {
	return store_run(st, &run_done, f, "ii", id, changed);
}
