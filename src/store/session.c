#include "store/session.h"

#include <sodium.h>
#include <string.h>

#include "base/limits.h"
#include "base/text.h"

#define ACCOUNT_COLUMNS                                                                            \
	"a.id, a.member_id, a.role, m.given_name || ' ' || m.family_name AS name, m.badge,"        \
	" m.station_id"
#define ACCOUNT_JOIN " JOIN member m ON m.id = a.member_id"
#define ACCOUNT_OPEN " a.active = 1 AND m.status <> 'left'"

SQL(session_by_hash, "SELECT s.session_hash, s.form_token, s.seen_s, s.tablet_id, " ACCOUNT_COLUMNS
		     " FROM session s JOIN account a ON a.id = s.account_id" ACCOUNT_JOIN
		     " WHERE s.session_hash = ?1 AND s.seen_s > ?2 AND s.created_s > ?3"
		     " AND" ACCOUNT_OPEN);
SQL(session_by_token, "SELECT t.token_hash, NULL, 0, NULL, " ACCOUNT_COLUMNS
		      " FROM token t JOIN account a ON a.id = t.account_id" ACCOUNT_JOIN
		      " WHERE t.token_hash = ?1 AND t.revoked_at IS NULL AND" ACCOUNT_OPEN);
SQL(session_insert, "INSERT INTO session (session_hash, account_id, tablet_id, form_token,"
		    " created_s, seen_s) VALUES (?1, ?2, ?3, ?4, ?5, ?5)");
SQL(sign_in_put, "INSERT INTO sign_in (account_id, at) VALUES (?1, ?2)"
		 " ON CONFLICT (account_id) DO UPDATE SET at = excluded.at");
SQL(session_touch, "UPDATE session SET seen_s = ?2 WHERE session_hash = ?1");
SQL(session_delete, "DELETE FROM session WHERE session_hash = ?1");
SQL(session_delete_all, "DELETE FROM session WHERE account_id = ?1");

SQL(failures_of, "SELECT failures, last_s FROM sign_in_failure WHERE subject = ?1");
SQL(failure_add, "INSERT INTO sign_in_failure (subject, failures, last_s) VALUES (?1, 1, ?2)"
		 " ON CONFLICT (subject) DO UPDATE SET failures = CASE WHEN last_s < ?2 - ?3 THEN 1"
		 " ELSE failures + 1 END, last_s = ?2");
SQL(failure_clear, "DELETE FROM sign_in_failure WHERE subject = ?1");

SQL(repeated_get, "SELECT fingerprint, status, location, answer FROM repeated_request"
		  " WHERE account_id = ?1 AND key = ?2");
SQL(repeated_put, "INSERT INTO repeated_request (account_id, key, fingerprint, status, location,"
		  " answer, created_s) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)");

SQL(expire_sessions, "DELETE FROM session WHERE created_s < ?1");
SQL_SCAN(expire_failures, "DELETE FROM sign_in_failure WHERE last_s < ?1");
/* A few codes hold at a time. */
SQL_SCAN(expire_codes, "DELETE FROM tablet_code WHERE until_s < ?1");
SQL(expire_repeated, "DELETE FROM repeated_request WHERE created_s < ?1");

const char *secret_hash(struct arena *a, const char *secret) {
	unsigned char hash[crypto_hash_sha256_BYTES];
	char *hex = arena_alloc(a, 2 * sizeof hash + 1);
	crypto_hash_sha256(hash, (const unsigned char *)secret, strlen(secret));
	return hex ? sodium_bin2hex(hex, 2 * sizeof hash + 1, hash, sizeof hash) : NULL;
}

const char *secret_new(struct arena *a) {
	unsigned char random[32];
	char *hex = arena_alloc(a, 2 * sizeof random + 1);
	randombytes_buf(random, sizeof random);
	return hex ? sodium_bin2hex(hex, 2 * sizeof random + 1, random, sizeof random) : NULL;
}

/* The row the cursor stands on, copied. */
static enum err take_session(struct cursor *c, struct arena *a, struct session *s) {
	bool more = false;
	enum err err = cursor_next(c, &more);
	if (err != ERR_OK || !more) return err;
	*s = (struct session){
	    .hash = arena_strdup(a, cursor_text(c, 0)),
	    .form_token = arena_strdup(a, cursor_text(c, 1)),
	    .seen_s = cursor_int(c, 2),
	    .tablet = cursor_int(c, 3),
	    .account = cursor_int(c, 4),
	    .member = cursor_int(c, 5),
	    .role = arena_strdup(a, cursor_text(c, 6)),
	    .name = arena_strdup(a, cursor_text(c, 7)),
	    .badge = arena_strdup(a, cursor_text(c, 8)),
	    .station = cursor_int(c, 9),
	};
	return arena_failed(a) ? ERR_MEMORY : ERR_OK;
}

enum err session_find(struct store *st, const char *cookie, int64_t now_s, struct arena *a,
		      struct session *s, struct fault *f) {
	*s = (struct session){0};
	struct cursor c;
	const char *hash = secret_hash(a, cookie);
	if (!hash) return ERR_MEMORY;
	enum err err = cursor_open(&c, st, &session_by_hash, f, "tii", hash,
				   now_s - (int64_t)LIMIT_SESSION_IDLE_S,
				   now_s - (int64_t)LIMIT_SESSION_LIFE_S);
	if (err == ERR_OK) err = take_session(&c, a, s);
	cursor_close(&c);
	return err;
}

enum err session_of_token(struct store *st, const char *token, struct arena *a, struct session *s,
			  struct fault *f) {
	*s = (struct session){0};
	struct cursor c;
	const char *hash = secret_hash(a, token);
	if (!hash) return ERR_MEMORY;
	enum err err = cursor_open(&c, st, &session_by_token, f, "t", hash);
	if (err == ERR_OK) err = take_session(&c, a, s);
	cursor_close(&c);
	return err;
}

enum err session_start(struct store *st, const char *cookie, int64_t account, int64_t tablet,
		       const char *form_token, int64_t now_s, struct fault *f) {
	struct arena a;
	arena_init(&a, 4096);
	const char *hash = secret_hash(&a, cookie);
	char at[INSTANT_TEXT_SIZE];
	enum err err = hash ? store_run(st, &session_insert, f, "ti0ti", hash, account, tablet,
					form_token, now_s)
			    : ERR_MEMORY;
	if (err == ERR_OK)
		err = store_run(st, &sign_in_put, f, "it", account, instant_format(now_s, at));
	arena_clear(&a);
	return err;
}

enum err session_seen(struct store *st, const char *hash, int64_t now_s, struct fault *f) {
	return store_run(st, &session_touch, f, "ti", hash, now_s);
}

enum err session_end(struct store *st, const char *hash, struct fault *f) {
	return store_run(st, &session_delete, f, "t", hash);
}

enum err session_end_all(struct store *st, int64_t account, struct fault *f) {
	return store_run(st, &session_delete_all, f, "i", account);
}

enum err sign_in_wait(struct store *st, const char *subject, int64_t now_s, int *wait_s,
		      struct fault *f) {
	*wait_s = 0;
	struct cursor c;
	bool more = false;
	enum err err = cursor_open(&c, st, &failures_of, f, "t", subject);
	if (err == ERR_OK) err = cursor_next(&c, &more);
	if (err == ERR_OK && more) {
		int64_t over = cursor_int(&c, 0) - LIMIT_SIGN_IN_FAILURES_FREE;
		int64_t wait = over < 0    ? 0
			       : over > 10 ? LIMIT_SIGN_IN_WAIT_S_MAX
					   : (int64_t)1 << over;
		if (wait > LIMIT_SIGN_IN_WAIT_S_MAX) wait = LIMIT_SIGN_IN_WAIT_S_MAX;
		int64_t rest = cursor_int(&c, 1) + wait - now_s;
		*wait_s = rest > 0 ? (int)rest : 0;
	}
	cursor_close(&c);
	return err;
}

enum err sign_in_failed(struct store *st, const char *subject, int64_t now_s, struct fault *f) {
	return store_run(st, &failure_add, f, "tii", subject, now_s,
			 (int64_t)LIMIT_SIGN_IN_WAIT_S_MAX * 2);
}

enum err sign_in_succeeded(struct store *st, const char *subject, struct fault *f) {
	return store_run(st, &failure_clear, f, "t", subject);
}

enum err repeated_request_get(struct store *st, int64_t account, const char *key, struct arena *a,
			      struct doc **row, struct fault *f) {
	return store_one(st, &repeated_get, a, row, f, "it", account, key);
}

enum err repeated_request_put(struct store *st, const struct repeated_request *r, struct fault *f) {
	return store_run(st, &repeated_put, f, "ittitti", r->account, r->key, r->fingerprint,
			 r->status, r->location, r->answer, r->created_s);
}

enum err workings_expire(struct store *st, int64_t now_s, struct fault *f) {
	enum err err =
	    store_run(st, &expire_sessions, f, "i", now_s - (int64_t)LIMIT_SESSION_LIFE_S);
	if (err == ERR_OK)
		err = store_run(st, &expire_failures, f, "i", now_s - (int64_t)24 * 60 * 60);
	if (err == ERR_OK)
		err = store_run(st, &expire_repeated, f, "i",
				now_s - (int64_t)LIMIT_IDEMPOTENCY_LIFE_S);
	if (err == ERR_OK) err = store_run(st, &expire_codes, f, "i", now_s);
	return err;
}
