/*
 * What the ways of signing in have in common: by password (sign_in.c) and by a PIN on a shared
 * tablet (tablet.c); and the check of a password, which own_secrets.c needs too.
 */
#ifndef PEGWARDEN_HANDLERS_SIGN_IN_H
#define PEGWARDEN_HANDLERS_SIGN_IN_H

#include "base/limits.h"
#include "http/request.h"

/* --- what is carried through the sign-in -------------------------------------------- */

/* The last three fields of the form: where somebody wanted to go, and a form that was sent when
 * nobody was signed in; see resend.h. */
#define CARRIED_FIELDS(next_at, resend_at, target_at)                                              \
	[next_at] = {.name = "next", .label = "Next page", .kind = FIELD_TEXT, .max = 2000},       \
	[resend_at] = {.name = "resend",                                                           \
		       .label = "Form that was not stored",                                        \
		       .kind = FIELD_TEXT,                                                         \
		       .max = LIMIT_RESEND_BYTES_MAX},                                             \
	[target_at] = {.name = "resend_target",                                                    \
		       .label = "Where that form goes",                                            \
		       .kind = FIELD_TEXT,                                                         \
		       .max = 2000}
#define CARRIED_COUNT 3

/* Into the document of a sign-in page, from the form that failed or from the address. */
void carried_document(const struct request *rq, struct doc *d);
/* Signed in with session_begin: on to where somebody wanted to go, or to the page that sends the
 * form again. */
enum err carried_on(struct request *rq) MUST_CHECK;
/* "PATH?NAME=next&" with where somebody wants to go, for links between sign-in pages. */
const char *carried_link(struct request *rq, const char *path);
/* A path of this server, to which an answer may lead. */
bool is_local_path(const char *next);

/* Badge and password, for another page than the sign-in's whose form goes there. */
struct doc *sign_in_fields(struct request *rq, const char *badge);

/* --- sessions --------------------------------------------------------------------- */

/* A session of its own for this browser, in place of the one it had; the document says its form
 * token. by_pin: bound to the tablet that the request comes from. */
enum err session_begin(struct request *rq, int64_t account, bool by_pin) MUST_CHECK;

/* --- secrets ---------------------------------------------------------------------- */

struct password_check {
	int64_t account; /* 0 unless it holds */
	const char *badge, *name;
	bool holds;
	int wait_s;
	const char *subject_badge, *subject_address; /* the latter NULL: address not known */
};
/* On the slow thread: must somebody wait, and does the password hold? */
enum err password_check(struct request *rq, const char *badge, const char *password,
			struct password_check *c) MUST_CHECK;
/* In the change that follows: counts a wrong one, and unlocks the PIN of whom it proves.
 * *proved is false when the answer is given already: the form again, with the words. */
enum err password_settle(struct request *rq, const struct password_check *c, const char *field,
			 const char *words, bool *proved) MUST_CHECK;
/* Makes the answer to a wrong secret: the form again with the words at the field. No error, for
 * the count of wrong ones must stay: it is the change. */
enum err secret_refused(struct request *rq, const char *field, const char *words) MUST_CHECK;

#endif
