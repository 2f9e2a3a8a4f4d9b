/* Ensembles: a named set of parts against one hazard. */
#ifndef PEGWARDEN_STORE_ENSEMBLE_H
#define PEGWARDEN_STORE_ENSEMBLE_H

#include "store/store.h"

struct ensemble_row {
	int64_t id; /* 0: a new one */
	const char *code, *hazard, *line;
	int64_t station, member; /* member 0: nobody's */
	bool active;
};
enum err ensemble_save(struct store *st, const struct ensemble_row *row, int64_t *id,
		       struct fault *f) MUST_CHECK;
/* id code hazard line station station_label member member_name active version. */
enum err ensemble_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
		      struct fault *f) MUST_CHECK;
enum err ensemble_by_code(struct store *st, const char *code, struct arena *a, struct doc **row,
			  struct fault *f) MUST_CHECK;
/* Its parts in the order of work: component tag serial kind kind_label maker model size made
 * is_reflective state blockers ready_until holder holder_name. */
enum err ensemble_parts(struct store *st, int64_t id, struct arena *a, struct doc *list,
			struct fault *f) MUST_CHECK;

#endif
