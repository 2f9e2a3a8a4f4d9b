/* What the start page counts. */
#ifndef PEGWARDEN_STORE_HOME_H
#define PEGWARDEN_STORE_HOME_H

#include "store/store.h"

/* Open inspections of a member: id kind ensemble_code started_at parts. */
enum err home_drafts(struct store *st, int64_t member, struct arena *a, struct doc *list,
		     struct fault *f) MUST_CHECK;
/* Duties of a station by kind: duty duty_label overdue soon (within 30 days). */
enum err home_due(struct store *st, int64_t station, day today, struct arena *a, struct doc *list,
		  struct fault *f) MUST_CHECK;
/* Sets out_of_service, held, at_provider, awaiting_inspection, overdue of the department. */
enum err home_counts(struct store *st, day today, struct arena *a, struct doc *into,
		     struct fault *f) MUST_CHECK;

#endif
