#include "store/account.h"

#include <sodium.h>
#include <string.h>

#include "base/text.h"
#include "store/list.h"
#include "store/session.h"

_Static_assert(PASSWORD_HASH_SIZE >= crypto_pwhash_STRBYTES, "a hash must fit");

/* --- passwords ------------------------------------------------------------------- */

enum err password_hash(const char *password, bool least, char hash[PASSWORD_HASH_SIZE],
		       struct fault *f) {
	unsigned long long work =
	    least ? crypto_pwhash_OPSLIMIT_MIN : crypto_pwhash_OPSLIMIT_INTERACTIVE;
	size_t memory = least ? crypto_pwhash_MEMLIMIT_MIN : crypto_pwhash_MEMLIMIT_INTERACTIVE;
	int failed = crypto_pwhash_str(hash, password, strlen(password), work, memory);
	return failed ? fault_set(f, ERR_MEMORY, NULL, "There is no memory left.") : ERR_OK;
}

/* The hash of a password nobody has, checked when there is no such account. */
static const char nobody_hash[] = "$argon2id$v=19$m=65536,t=2,p=1$kCHr/"
				  "Xh3TnL7H8aG+4Zd9A$N7mJlH1uz52f2sS6cs/xQeRuYO5gONH3xJENBQVwWYs";

bool password_holds(const char *password, const char *hash) {
	bool matches =
	    crypto_pwhash_str_verify(hash ? hash : nobody_hash, password, strlen(password)) == 0;
	return matches && hash;
}

const char *password_new(struct arena *a, size_t groups) {
	/* Without those that are taken for one another: 0 o, 1 i l. */
	static const char letter[] = "23456789abcdefghjkmnpqrstuvwxyz";
	size_t length = 5 * groups - 1;
	char *text = arena_alloc(a, length + 1);
	if (!text) return NULL;
	for (size_t i = 0; i < length; i++)
		text[i] = i % 5 == 4 ? '-' : letter[randombytes_uniform(sizeof letter - 1)];
	text[length] = '\0';
	return text;
}

/* --- accounts -------------------------------------------------------------------- */

#define ACCOUNT_WHERE                                                                              \
	" FROM account a JOIN member m ON m.id = a.member_id"                                      \
	" LEFT JOIN sign_in s ON s.account_id = a.id"                                              \
	" WHERE (?1 IS NULL OR m.search_key LIKE ?1 ESCAPE '\\') AND (?2 IS NULL OR a.role = ?2)"  \
	" AND (?3 IS NULL OR (?3 = 'yes') = (a.active = 1 AND m.status <> 'left'))"
#define ACCOUNT_ROWS(order)                                                                        \
	"SELECT a.id, m.id AS member, m.badge, m.given_name || ' ' || m.family_name AS name,"      \
	" a.role, a.active = 1 AND m.status <> 'left' AS is_open, m.status = 'left' AS has_left,"  \
	" a.password_hash IS NOT NULL AS has_password, s.at AS last_sign_in,"                      \
	" (SELECT count(*) FROM token t WHERE t.account_id = a.id AND t.revoked_at IS NULL) AS"    \
	" token_count" ACCOUNT_WHERE " ORDER BY " order " LIMIT ?4 OFFSET ?5"
#define BY_NAME "m.family_name, m.given_name, m.id"
/* One account a member at most, and looked at by administrators only. */
SQL_SCAN(accounts_count, "SELECT count(*) AS total" ACCOUNT_WHERE);
SQL_SCAN(accounts_by_name, ACCOUNT_ROWS(BY_NAME));
SQL_SCAN(accounts_by_badge, ACCOUNT_ROWS("m.badge"));
SQL_SCAN(accounts_by_role,
	 ACCOUNT_ROWS("instr('administrator officer inspector member', a.role), " BY_NAME));
SQL_SCAN(accounts_by_sign_in, ACCOUNT_ROWS("s.at, " BY_NAME));
SQL_SCAN(accounts_by_sign_in_latest, ACCOUNT_ROWS("s.at DESC, " BY_NAME));

const struct list_source account_list = {
    .count = &accounts_count,
    .filter = {"role", "open"},
    .sort = {{"name", "Name", &accounts_by_name},
	     {"badge", "Badge", &accounts_by_badge},
	     {"role", "Role", &accounts_by_role},
	     {"latest", "Last sign-in, latest first", &accounts_by_sign_in_latest},
	     {"longest", "Last sign-in, longest ago first", &accounts_by_sign_in}},
};

SQL(account_of_badge,
    "SELECT a.id, a.member_id AS member, a.role, a.password_hash, a.active AS is_active, a.version,"
    " m.badge, m.given_name || ' ' || m.family_name AS name, m.station_id, m.status"
    " FROM account a JOIN member m ON m.id = a.member_id WHERE m.badge = ?1");
SQL(account_of_id,
    "SELECT a.id, a.member_id AS member, a.role, a.active, a.active AS is_active,"
    " a.active = 1 AND m.status <> 'left' AS is_open, m.status = 'left' AS has_left,"
    " a.password_hash IS NOT NULL AS has_password, a.pin_hash IS NOT NULL AS has_pin,"
    " a.pin_locked_at IS NOT NULL AS is_pin_locked, s.at AS last_sign_in,"
    " a.version, m.badge, m.given_name || ' ' || m.family_name AS name FROM account a"
    " JOIN member m ON m.id = a.member_id LEFT JOIN sign_in s ON s.account_id = a.id"
    " WHERE a.id = ?1");
SQL(account_id_of_member, "SELECT id FROM account WHERE member_id = ?1");
SQL(member_id_of_account, "SELECT member_id FROM account WHERE id = ?1");
SQL_SCAN(members_without_account,
	 "SELECT m.id, m.family_name || ', ' || m.given_name || ' (' || m.badge || ')' AS label"
	 " FROM member m WHERE m.status = 'active' AND NOT EXISTS"
	 " (SELECT 1 FROM account a WHERE a.member_id = m.id) ORDER BY " BY_NAME);
SQL(account_insert, "INSERT INTO account (member_id, role, password_hash) VALUES (?1, ?2, ?3)"
		    " ON CONFLICT (member_id) DO UPDATE SET role = excluded.role, active = 1,"
		    " password_hash = coalesce(excluded.password_hash, password_hash),"
		    " version = version + 1 RETURNING id");
SQL(account_update,
    "UPDATE account SET role = ?2, active = ?3, version = version + 1 WHERE id = ?1");
SQL(account_password, "UPDATE account SET password_hash = ?2, version = version + 1 WHERE id = ?1");
/* There are a few administrators, and only then is it asked. */
SQL_SCAN(last_administrator, "SELECT count(*) = 1 AND max(a.member_id) = ?1 FROM account a"
			     " JOIN member m ON m.id = a.member_id WHERE a.role = 'administrator'"
			     " AND a.active = 1 AND m.status <> 'left'");

enum err account_by_badge(struct store *st, const char *badge, struct arena *a, struct doc **row,
			  struct fault *f) {
	return store_one(st, &account_of_badge, a, row, f, "t", badge);
}

enum err account_by_id(struct store *st, int64_t id, struct arena *a, struct doc **row,
		       struct fault *f) {
	return store_one(st, &account_of_id, a, row, f, "i", id);
}

enum err account_of_member(struct store *st, int64_t member, int64_t *id, struct fault *f) {
	return store_number(st, &account_id_of_member, 0, id, f, "i", member);
}

enum err account_member_options(struct store *st, struct arena *a, struct doc *options,
				struct fault *f) {
	return store_list(st, &members_without_account, a, options, f, "");
}

enum err account_check_not_last(struct store *st, int64_t member, const char *field,
				struct fault *f) {
	int64_t last;
	enum err err = store_number(st, &last_administrator, 0, &last, f, "i", member);
	if (err == ERR_OK && last)
		err = fault_set(f, ERR_INVALID, field,
				"This is the last administrator with an open account. Make "
				"another member an administrator first.");
	return err;
}

enum err account_put(struct store *st, int64_t member, const char *role, const char *password_hash,
		     int64_t *id, struct fault *f) {
	enum err err = text_equal(role, "administrator")
			   ? ERR_OK
			   : account_check_not_last(st, member, "role", f);
	return err == ERR_OK
		   ? store_number(st, &account_insert, 0, id, f, "itt", member, role, password_hash)
		   : err;
}

enum err account_change(struct store *st, int64_t id, const char *role, bool active,
			struct fault *f) {
	int64_t member;
	enum err err = store_number(st, &member_id_of_account, 0, &member, f, "i", id);
	if (err == ERR_OK && !active) err = account_check_not_last(st, member, "active", f);
	if (err == ERR_OK && !text_equal(role, "administrator"))
		err = account_check_not_last(st, member, "role", f);
	if (err == ERR_OK) err = store_run(st, &account_update, f, "itb", id, role, active);
	if (err == ERR_OK && !active) err = session_end_all(st, id, f);
	return err;
}

enum err account_set_password(struct store *st, int64_t id, const char *password_hash,
			      struct fault *f) {
	enum err err = store_run(st, &account_password, f, "it", id, password_hash);
	return err == ERR_OK ? session_end_all(st, id, f) : err;
}

/* --- API tokens ------------------------------------------------------------------ */

SQL(token_put, "INSERT INTO token (account_id, name, token_hash, created_at)"
	       " VALUES (?1, ?2, ?3, ?4)");
SQL(tokens_of_account, "SELECT id, name, created_at, revoked_at, revoked_at IS NOT NULL AS"
		       " is_revoked, version FROM token WHERE account_id = ?1 ORDER BY id DESC");
SQL(token_end, "UPDATE token SET revoked_at = ?3, version = version + 1"
	       " WHERE id = ?2 AND account_id = ?1 AND revoked_at IS NULL");

enum err token_insert(struct store *st, int64_t account, const char *name, const char *token,
		      const char *created_at, int64_t *id, struct fault *f) {
	struct arena a;
	arena_init(&a, 4096);
	const char *hash = secret_hash(&a, token);
	enum err err = hash ? store_run(st, &token_put, f, "ittt", account, name, hash, created_at)
			    : ERR_MEMORY;
	*id = store_inserted(st);
	arena_clear(&a);
	return err;
}

enum err token_list(struct store *st, int64_t account, struct arena *a, struct doc *list,
		    struct fault *f) {
	return store_list(st, &tokens_of_account, a, list, f, "i", account);
}

enum err token_revoke(struct store *st, int64_t account, int64_t id, const char *at,
		      struct fault *f) {
	enum err err = store_run(st, &token_end, f, "iit", account, id, at);
	if (err == ERR_OK && store_changes(st) == 0)
		err = fault_set(f, ERR_NOT_FOUND, NULL, "There is no such token in use.");
	return err;
}
