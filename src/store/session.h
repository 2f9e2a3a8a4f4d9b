/*
 * Sessions, failed sign-ins and repeated requests. Accounts and their API tokens
 * are in account.h.
 *
 * Secrets never lie in the database: of a session cookie its SHA-256 is kept.
 */
#ifndef PEGWARDEN_STORE_SESSION_H
#define PEGWARDEN_STORE_SESSION_H

#include "store/store.h"

struct session {
	const char *hash;
	int64_t account; /* 0: no such session */
	int64_t member;
	const char *role; /* "member" ... */
	const char *name;
	const char *badge;
	int64_t station;
	const char *form_token;
	int64_t seen_s;
	int64_t tablet; /* begun with a PIN on this one, and bound to it; 0: by password */
};

/* SHA-256 as hexadecimal, in the arena. */
const char *secret_hash(struct arena *a, const char *secret);
/* 256 random bits as hexadecimal, in the arena. */
const char *secret_new(struct arena *a);

/* A session whose time is up, whose account is closed or whose member left is none. */
enum err session_find(struct store *st, const char *cookie, int64_t now_s, struct arena *a,
		      struct session *session, struct fault *f) MUST_CHECK;
enum err session_of_token(struct store *st, const char *token, struct arena *a,
			  struct session *session, struct fault *f) MUST_CHECK;
/* Also the account's last sign-in. tablet: see struct session. */
enum err session_start(struct store *st, const char *cookie, int64_t account, int64_t tablet,
		       const char *form_token, int64_t now_s, struct fault *f) MUST_CHECK;
enum err session_seen(struct store *st, const char *hash, int64_t now_s,
		      struct fault *f) MUST_CHECK;
enum err session_end(struct store *st, const char *hash, struct fault *f) MUST_CHECK;
/* Of an account: after its password changed or it was closed. */
enum err session_end_all(struct store *st, int64_t account, struct fault *f) MUST_CHECK;

/* Seconds until the next try is allowed; 0: now. */
enum err sign_in_wait(struct store *st, const char *subject, int64_t now_s, int *wait_s,
		      struct fault *f) MUST_CHECK;
enum err sign_in_failed(struct store *st, const char *subject, int64_t now_s,
			struct fault *f) MUST_CHECK;
enum err sign_in_succeeded(struct store *st, const char *subject, struct fault *f) MUST_CHECK;

struct repeated_request {
	int64_t account;
	const char *key, *fingerprint;
	int64_t status;
	const char *location, *answer;
	int64_t created_s;
};
enum err repeated_request_get(struct store *st, int64_t account, const char *key, struct arena *a,
			      struct doc **row, struct fault *f) MUST_CHECK;
enum err repeated_request_put(struct store *st, const struct repeated_request *r,
			      struct fault *f) MUST_CHECK;

/* Forgets sessions, failures and answers that are too old to matter. */
enum err workings_expire(struct store *st, int64_t now_s, struct fault *f) MUST_CHECK;

#endif
