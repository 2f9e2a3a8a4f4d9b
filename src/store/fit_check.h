/*
 * Interface checks on record: what was seen where two elements meet, and what it came to when it
 * was written down (rules/fit_check.h).
 */
#ifndef PEGWARDEN_STORE_FIT_CHECK_H
#define PEGWARDEN_STORE_FIT_CHECK_H

#include "rules/fit_check.h"
#include "store/store.h"

struct fit_check_row {
	int64_t member, checked_by;
	const char *checked_on, *note;
	const struct fit_check *check;
	const struct fit_verdict *verdict;
	const int64_t *component; /* what was worn */
	size_t component_count;
};
enum err fit_check_insert(struct store *st, const struct fit_check_row *r, int64_t *id,
			  struct fault *f) MUST_CHECK;
/* Recorded in error: it counts no more, and stays on record with the reason. */
enum err fit_check_revoke(struct store *st, int64_t id, const char *on, const char *reason,
			  struct fault *f) MUST_CHECK;

/* id member badge member_name hazard station_code checked_on checked_by_name, the interfaces under
 * their words, overlap_um result because note revoked_on revoked_reason version, and state: the
 * result, or revoked. NULL: none. */
enum err fit_check_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
		       struct fault *f) MUST_CHECK;
/* Of a member, the latest first; the same columns. */
enum err fit_checks_of_member(struct store *st, int64_t member, struct arena *a, struct doc *list,
			      struct fault *f) MUST_CHECK;
/* What was worn in it: component tag kind_label size. */
enum err fit_check_parts(struct store *st, int64_t id, struct arena *a, struct doc *list,
			 struct fault *f) MUST_CHECK;
/* What of the outfit is not what it was in the check: component tag kind_label size, is_new and
 * since when it is worn; else the member does not have it any more. */
enum err fit_check_changes(struct store *st, int64_t id, struct arena *a, struct doc *list,
			   struct fault *f) MUST_CHECK;
/* For tables, under the names of their columns: the same check, or one of that member, hazard and
 * day with an id below `before`; *row is NULL when there is none. */
enum err fit_check_find(struct store *st, const struct fit_check_row *r, const char *revoked_reason,
			int64_t before, struct arena *a, struct doc **row,
			struct fault *f) MUST_CHECK;

#endif
