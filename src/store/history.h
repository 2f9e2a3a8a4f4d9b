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

/* One that ended. *known: it was there already. */
struct history_issue {
	int64_t component, member;
	const char *issued_on, *condition, *returned_on, *return_condition, *note;
};
enum err history_add_issue(struct store *st, const struct history_issue *issue, bool *known,
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
	    *outcome, *override_reason, *state, *closed_on, *closed_reason, *note;
	int64_t component, length_mm; /* -1: not measured */
};
/* *found is false when its inspection, or a word, is not known. */
enum err history_add_finding(struct store *st, const struct history_finding *finding, bool *known,
			     bool *found, struct fault *f) MUST_CHECK;

/* A finding on a ticket; the ticket is made with its first. */
struct history_repair {
	const char *number, *state, *created_on, *sent_on, *expected_on, *returned_on;
	int64_t provider, created_by;
	const char *reference, *check_point, *defect; /* with component: the finding */
	int64_t component;
	const char *result, *work_done;
	int64_t cost_cents, replacement; /* -1: unknown; 0: none */
};
/* *found is false when there is no such finding. */
enum err history_add_repair(struct store *st, const struct history_repair *repair, bool *known,
			    bool *found, struct fault *f) MUST_CHECK;

#endif
