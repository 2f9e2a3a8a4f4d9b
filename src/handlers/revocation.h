/*
 * Taking back what was recorded in error: it stays on record with the day and the reason, and
 * counts no more.
 */
#ifndef PEGWARDEN_HANDLERS_REVOCATION_H
#define PEGWARDEN_HANDLERS_REVOCATION_H

#include "http/request.h"
#include "store/store.h"

extern const struct resource revocation_resource;

struct revocable {
	const char *word; /* "exposure" */
	const char *path; /* "/exposures" */
	/* The row, with version revoked_on; NULL: none. */
	enum err (*get)(struct store *st, int64_t id, struct arena *a, struct doc **row,
			struct fault *f);
	enum err (*revoke)(struct store *st, int64_t id, const char *on, const char *reason,
			   struct fault *f);
	enum err (*show)(struct request *rq);
};

/* The record that the address names; ERR_NOT_FOUND when there is none. */
enum err revocable_load(struct request *rq, const struct revocable *r, struct doc **row) MUST_CHECK;
/* Adds form, version, can_revoke to the page of a record. */
void revocation_form(struct request *rq, const struct doc *row, struct doc *page);
/* What its route does. */
enum err revocation_apply(struct request *rq, const struct revocable *r) MUST_CHECK;

#endif
