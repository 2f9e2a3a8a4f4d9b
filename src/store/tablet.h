/*
 * Tablets that the people of a station share.
 *
 * An officer names one; a one-time code, given to whoever holds it, makes it an enrolled one:
 * from then on it has a secret of its own, of which the SHA-256 is kept. Revoked it stays so.
 */
#ifndef PEGWARDEN_STORE_TABLET_H
#define PEGWARDEN_STORE_TABLET_H

#include "store/store.h"

/* How long a code holds. */
#define TABLET_CODE_MINUTES 15

/* The tablet that a request comes from. */
struct tablet {
	int64_t id; /* 0: no such tablet, or revoked */
	const char *name;
	int64_t station;
	const char *station_name;
	int64_t lock_s;      /* asks for the PIN after so long without use */
	const char *seen_at; /* NULL: not yet */
};
enum err tablet_find(struct store *st, const char *secret, struct arena *a, struct tablet *tablet,
		     struct fault *f) MUST_CHECK;
enum err tablet_used(struct store *st, int64_t id, int64_t now_s, struct fault *f) MUST_CHECK;

/* id name station station_label code_given_at enrolled_at revoked_at last_seen standing
 * is_enrolled is_revoked version; NULL when there is none. */
enum err tablet_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
		    struct fault *f) MUST_CHECK;
/* With its first code. In capitals, with spaces or without hyphens a code is the same. */
enum err tablet_insert(struct store *st, const char *name, int64_t station, const char *code,
		       int64_t now_s, struct arena *a, int64_t *id, struct fault *f) MUST_CHECK;
enum err tablet_rename(struct store *st, int64_t id, const char *name, struct arena *a,
		       struct fault *f) MUST_CHECK;
/* Replaces the code before. */
enum err tablet_give_code(struct store *st, int64_t id, const char *code, int64_t now_s,
			  struct arena *a, struct fault *f) MUST_CHECK;
/* Ends its sessions and its code. */
enum err tablet_revoke(struct store *st, int64_t id, int64_t now_s, struct fault *f) MUST_CHECK;
/* The code is used up and the tablet has a new secret; sessions begun on it with a PIN end.
 * *id is 0, and nothing happened, when no such code holds (any more). */
enum err tablet_enrol(struct store *st, const char *code, const char *secret, int64_t now_s,
		      struct arena *a, int64_t *id, struct fault *f) MUST_CHECK;

/* account badge name role has_pin is_locked of those in service there who have an open
 * account. */
enum err tablet_people(struct store *st, int64_t station, struct arena *a, struct doc *people,
		       struct fault *f) MUST_CHECK;
/* The account among them with this badge; 0: none. */
enum err tablet_person(struct store *st, int64_t station, const char *badge, int64_t *account,
		       struct fault *f) MUST_CHECK;

#endif
