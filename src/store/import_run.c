#include "store/import_run.h"

SQL(run_put,
    "INSERT INTO import_run (kind, filename, date_order, content, content_hash, account_id,"
    " state, created_s) VALUES (?1, ?2, ?3, ?4, ?5, ?6, 'checking', ?7)");
SQL(run_checked, "UPDATE import_run SET state = ?2, faults = ?3, preview = ?4, rows_total = ?5,"
		 " faults_total = ?6 WHERE id = ?1");
SQL(run_wanted, "UPDATE import_run SET state = 'running', wanted_by = ?2 WHERE id = ?1");
SQL(run_failed, "UPDATE import_run SET state = 'failed', faults = json_array(?2), faults_total = 1,"
		" content = NULL WHERE id = ?1");
SQL(run_content, "SELECT content FROM import_run WHERE id = ?1");
SQL(run_bytes, "SELECT length(CAST(content AS BLOB)) FROM import_run WHERE id = ?1");
SQL_SCAN(run_unfinished,
	 "SELECT id FROM import_run WHERE state IN ('checking', 'running') ORDER BY id");
#define RUN_COLUMNS                                                                                \
	"r.id, r.kind, r.filename, r.date_order, r.state, r.rows_total, r.rows_done,"              \
	" r.faults_total, r.state = 'ready' AS is_ready, r.state = 'done' AS is_done,"             \
	" r.state = 'faulty' AS is_faulty, r.state = 'failed' AS is_failed,"                       \
	" r.state IN ('checking', 'running') AS is_working,"                                       \
	" strftime('%Y-%m-%dT%H:%M:%SZ', r.created_s, 'unixepoch') AS created_at,"                 \
	" m.given_name || ' ' || m.family_name AS name"
#define RUN_JOINS                                                                                  \
	" FROM import_run r JOIN account a ON a.id = r.account_id"                                 \
	" JOIN member m ON m.id = a.member_id"
SQL(run_get,
    "SELECT " RUN_COLUMNS ", r.faults AS faults_json, r.preview AS preview_json,"
    " w.id AS wanted_by, wm.badge || ' ' || wm.given_name || ' ' || wm.family_name AS "
    "wanted_by_actor" RUN_JOINS " JOIN account w ON w.id = coalesce(r.wanted_by, r.account_id)"
    " JOIN member wm ON wm.id = w.member_id WHERE r.id = ?1");
/* The last ones; imports are rare. */
SQL_SCAN(run_list, "SELECT " RUN_COLUMNS RUN_JOINS " ORDER BY r.id DESC LIMIT 50");
SQL(run_done, "UPDATE import_run SET state = 'done', rows_done = ?2, content = NULL WHERE id = ?1");

enum err import_run_put(struct store *st, const struct import_run *r, int64_t *id,
			struct fault *f) {
	enum err err = store_run(st, &run_put, f, "tttttii", r->kind, r->filename, r->date_order,
				 r->content, r->content_hash, r->account, r->created_s);
	*id = store_inserted(st);
	return err;
}

enum err import_run_checked(struct store *st, int64_t id, const struct import_check *c,
			    struct fault *f) {
	return store_run(st, &run_checked, f, "itttii", id, c->state, c->faults, c->preview,
			 c->rows, c->faults_total);
}

enum err import_run_wanted(struct store *st, int64_t id, int64_t account, struct fault *f) {
	return store_run(st, &run_wanted, f, "ii", id, account);
}

enum err import_run_failed(struct store *st, int64_t id, const char *why, struct fault *f) {
	return store_run(st, &run_failed, f, "it", id, why);
}

enum err import_run_content(struct store *st, int64_t id, struct buf *content, struct fault *f) {
	struct cursor c;
	bool more = false;
	enum err err = cursor_open(&c, st, &run_content, f, "i", id);
	if (err == ERR_OK) err = cursor_next(&c, &more);
	if (err == ERR_OK && more && !cursor_is_null(&c, 0))
		buf_add_text(content, cursor_text(&c, 0));
	cursor_close(&c);
	return err == ERR_OK && buf_failed(content) ? fault_memory(f) : err;
}

enum err import_run_bytes(struct store *st, int64_t id, int64_t *bytes, struct fault *f) {
	return store_number(st, &run_bytes, 0, bytes, f, "i", id);
}

enum err import_run_unfinished(struct store *st, struct arena *a, struct doc *list,
			       struct fault *f) {
	return store_list(st, &run_unfinished, a, list, f, "");
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
