/*
 * Exposures: what gear was exposed to, and which cleaning ended it.
 */
#ifndef PEGWARDEN_STORE_EXPOSURE_H
#define PEGWARDEN_STORE_EXPOSURE_H

#include "store/store.h"

struct exposure_row {
	int64_t component, reported_by;
	const char *exposed_on, *cause, *incident, *contaminants, *note;
};
enum err exposure_insert(struct store *st, const struct exposure_row *r, int64_t *id,
			 struct fault *f) MUST_CHECK;
/* To call when all of an exposure is written: what inspections between it and its cleaning did for
 * damage found elsewhere is to be done again. */
enum err exposure_reopen_follow_ups(struct store *st, int64_t id, struct fault *f) MUST_CHECK;
/* inspection inspected_on kind: those that do not count because of it, the latest first. */
enum err exposure_tainted(struct store *st, int64_t id, struct arena *a, struct doc *list,
			  struct fault *f) MUST_CHECK;
/* Recorded in error: it asks for nothing any more, and stays on record with the reason. */
enum err exposure_revoke(struct store *st, int64_t id, const char *on, const char *reason,
			 struct fault *f) MUST_CHECK;
/* The cleaning was done after every exposure of the component up to its day whose class it
 * serves; specialized serves both. */
enum err exposures_end(struct store *st, int64_t component, int64_t cleaning,
		       struct fault *f) MUST_CHECK;

/* id component tag kind_label exposed_on cause incident contaminants reported_by_name note
 * cleaned_on cleaning_class revoked_on revoked_reason state ('open', 'cleaned', 'revoked')
 * version. NULL: none. */
enum err exposure_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
		      struct fault *f) MUST_CHECK;
/* Of a component, the latest first; the same columns. */
enum err exposures_of_component(struct store *st, int64_t component, struct arena *a,
				struct doc *list, struct fault *f) MUST_CHECK;
/* For tables, under the names of their columns: the exposure itself, or else one of that
 * component, day, cause and incident with an id below `before`; *row is NULL when there is none. */
enum err exposure_find(struct store *st, const struct exposure_row *r, const char *revoked_reason,
		       int64_t before, struct arena *a, struct doc **row,
		       struct fault *f) MUST_CHECK;
/* Ended by a cleaning of that day whose class it asks for; *ended is false when there is none. */
enum err exposure_end_on(struct store *st, int64_t id, const char *on, bool *ended,
			 struct fault *f) MUST_CHECK;

/* Does the member have the component, or is it in an ensemble of the member's? */
enum err component_is_worn_by(struct store *st, int64_t component, int64_t member, bool *is,
			      struct fault *f) MUST_CHECK;

#endif
