/*
 * Accounts, their passwords and their API tokens.
 *
 * An account belongs to one member and has a role. It is open while it is active
 * and its member has not left. The last open administrator stays one: whatever
 * would take the role or the access away is ERR_INVALID, so that somebody can
 * always let others in.
 *
 * Secrets never lie in the database: of an API token its SHA-256 is kept, of a
 * password its argon2id hash.
 */
#ifndef PEGWARDEN_STORE_ACCOUNT_H
#define PEGWARDEN_STORE_ACCOUNT_H

#include "store/store.h"

/* --- passwords ---------------------------------------------------------------- */

#define PASSWORD_HASH_SIZE 128
/* argon2id: about a tenth of a second and 64 MiB. `least` is for tests and
 * demonstrations; the cost stands in the hash. */
enum err password_hash(const char *password, bool least, char hash[PASSWORD_HASH_SIZE],
		       struct fault *f) MUST_CHECK;
/* As costly. With hash NULL it fails, after as long. */
bool password_holds(const char *password, const char *hash);
/* One to be read out and typed: groups of four letters or digits, nearly 5 random bits each, in
 * the arena. */
const char *password_new(struct arena *a, size_t groups);
#define PASSWORD_GROUPS 4

/* --- accounts ----------------------------------------------------------------- */

/* id member role password_hash is_active version badge name station_id status; NULL when
 * none. */
enum err account_by_badge(struct store *st, const char *badge, struct arena *a, struct doc **row,
			  struct fault *f) MUST_CHECK;
/* id member role active is_active is_open has_left has_password has_pin is_pin_locked last_sign_in
 * version badge name. */
enum err account_by_id(struct store *st, int64_t id, struct arena *a, struct doc **row,
		       struct fault *f) MUST_CHECK;
/* 0 when the member has none. */
enum err account_of_member(struct store *st, int64_t member, int64_t *id,
			   struct fault *f) MUST_CHECK;
/* id, label of active members who have no account. */
enum err account_member_options(struct store *st, struct arena *a, struct doc *options,
				struct fault *f) MUST_CHECK;
/* The member's account: made, or given this role, opened again. password_hash NULL: as it
 * is. */
enum err account_put(struct store *st, int64_t member, const char *role, const char *password_hash,
		     int64_t *id, struct fault *f) MUST_CHECK;
/* Closing it ends its sessions. */
enum err account_change(struct store *st, int64_t id, const char *role, bool active,
			struct fault *f) MUST_CHECK;
/* Ends its sessions. */
enum err account_set_password(struct store *st, int64_t id, const char *password_hash,
			      struct fault *f) MUST_CHECK;
/* ERR_INVALID at the field when the member is the last open administrator. */
enum err account_check_not_last(struct store *st, int64_t member, const char *field,
				struct fault *f) MUST_CHECK;

/* --- API tokens --------------------------------------------------------------- */

enum err token_insert(struct store *st, int64_t account, const char *name, const char *token,
		      const char *created_at, int64_t *id, struct fault *f) MUST_CHECK;
enum err token_list(struct store *st, int64_t account, struct arena *a, struct doc *list,
		    struct fault *f) MUST_CHECK;
/* ERR_NOT_FOUND unless the account has such a token. */
enum err token_revoke(struct store *st, int64_t account, int64_t id, const char *at,
		      struct fault *f) MUST_CHECK;

#endif
