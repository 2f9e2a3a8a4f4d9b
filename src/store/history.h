/*
 * History brought in from elsewhere: inspections without their answers, and
 * what was found then.
 */
#ifndef PEGWARDEN_STORE_HISTORY_H
#define PEGWARDEN_STORE_HISTORY_H

#include "store/component.h"
#include "store/store.h"

enum err history_has_cleaning(struct store *st, const struct cleaning_row *row, bool *known,
			      struct fault *f) MUST_CHECK;

struct history_part {
	const char *reference; /* what names the inspection in the tables; kept as its note */
	const char *kind, *inspected_on, *performer, *conclusion;
	int64_t inspector, component;
};
/* Makes the inspection with its first part. *known: it was there already. */
enum err history_add_part(struct store *st, const struct history_part *part, bool *known,
			  struct fault *f) MUST_CHECK;

struct history_finding {
	const char *reference, *check_point, *defect, *zone, *face, *side, *place, *severity,
	    *outcome, *state, *closed_on, *note;
	int64_t component;
};
/* *found is false when its inspection, or a word, is not known. */
enum err history_add_finding(struct store *st, const struct history_finding *finding, bool *known,
			     bool *found, struct fault *f) MUST_CHECK;

#endif
