#include "store/pin.h"

SQL(pin_row, "SELECT a.id AS account, m.given_name || ' ' || m.family_name AS name, m.badge,"
	     " m.station_id AS station, a.pin_hash, a.pin_hash IS NOT NULL AS has_pin, "
	     "a.pin_locked_at IS NOT NULL AS"
	     " is_locked, coalesce(p.failures, 0) AS failures, coalesce(p.last_s, 0) AS last_s"
	     " FROM account a JOIN member m ON m.id = a.member_id"
	     " LEFT JOIN pin_failure p ON p.account_id = a.id AND p.tablet_id = ?2"
	     " WHERE a.id = ?1 AND a.active = 1 AND m.status = 'active'");
SQL(pin_put, "UPDATE account SET pin_hash = ?2, pin_locked_at = NULL, version = version + 1"
	     " WHERE id = ?1");
SQL(pin_sessions_end, "DELETE FROM session WHERE account_id = ?1 AND tablet_id IS NOT NULL"
		      " AND session_hash IS NOT ?2");
SQL(pin_lock_put, "UPDATE account SET pin_locked_at = ?2, version = version + 1 WHERE id = ?1");
SQL(pin_lock_end, "UPDATE account SET pin_locked_at = NULL, version = version + 1"
		  " WHERE id = ?1 AND pin_locked_at IS NOT NULL");
SQL(pin_failure_add, "INSERT INTO pin_failure (account_id, tablet_id, failures, last_s)"
		     " VALUES (?1, ?2, 1, ?3) ON CONFLICT (account_id, tablet_id)"
		     " DO UPDATE SET failures = failures + 1, last_s = ?3");
SQL(pin_failure_clear, "DELETE FROM pin_failure WHERE account_id = ?1 AND tablet_id = ?2");
SQL(pin_failures_clear, "DELETE FROM pin_failure WHERE account_id = ?1");

enum err pin_of_account(struct store *st, int64_t account, int64_t tablet, struct arena *a,
			struct doc **row, struct fault *f) {
	return store_one(st, &pin_row, a, row, f, "ii", account, tablet);
}

enum err pin_set(struct store *st, int64_t account, const char *pin_hash, const char *session,
		 struct fault *f) {
	enum err err = store_run(st, &pin_put, f, "it", account, pin_hash);
	if (err == ERR_OK) err = store_run(st, &pin_failures_clear, f, "i", account);
	if (err == ERR_OK) err = store_run(st, &pin_sessions_end, f, "it", account, session);
	return err;
}

enum err pin_failed(struct store *st, int64_t account, int64_t tablet, int64_t now_s,
		    struct fault *f) {
	return store_run(st, &pin_failure_add, f, "iii", account, tablet, now_s);
}

enum err pin_held(struct store *st, int64_t account, int64_t tablet, struct fault *f) {
	return store_run(st, &pin_failure_clear, f, "ii", account, tablet);
}

enum err pin_lock(struct store *st, int64_t account, const char *at, struct fault *f) {
	return store_run(st, &pin_lock_put, f, "it", account, at);
}

enum err pin_unlock(struct store *st, int64_t account, bool *was_locked, struct fault *f) {
	enum err err = store_run(st, &pin_lock_end, f, "i", account);
	if (was_locked) *was_locked = err == ERR_OK && store_changes(st) > 0;
	return err == ERR_OK ? store_run(st, &pin_failures_clear, f, "i", account) : err;
}
