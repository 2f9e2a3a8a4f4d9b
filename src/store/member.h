/* Members. */
#ifndef PEGWARDEN_STORE_MEMBER_H
#define PEGWARDEN_STORE_MEMBER_H

#include "store/store.h"

struct member_row {
	int64_t id; /* 0: a new one */
	const char *badge, *family_name, *given_name, *email, *trained_until, *status;
	int64_t station;
	bool structural, proximity;
};
enum err member_save(struct store *st, const struct member_row *row, struct arena *a, int64_t *id,
		     struct fault *f) MUST_CHECK;
/* id badge family_name given_name name station station_label email structural proximity
 * trained_until status version; NULL when there is none. */
enum err member_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
		    struct fault *f) MUST_CHECK;
/* 0 when there is none. */
enum err member_by_badge(struct store *st, const char *badge, int64_t *id,
			 struct fault *f) MUST_CHECK;
/* What is issued to the member now: component tag kind_label issued_on state. */
enum err member_gear(struct store *st, int64_t id, struct arena *a, struct doc *list,
		     struct fault *f) MUST_CHECK;
/* id code hazard line of the member's ensembles. */
enum err member_ensembles(struct store *st, int64_t id, struct arena *a, struct doc *list,
			  struct fault *f) MUST_CHECK;
/* id, label of active members. */
enum err member_options(struct store *st, struct arena *a, struct doc *options,
			struct fault *f) MUST_CHECK;

#endif
