/*
 * History brought in from elsewhere: inspections without their answers, what
 * was found then, who had what, cleanings and repairs.
 *
 * History is added, never rewritten. What is on record under the key of a row is
 * found first, under the column names of its table (other records by code, badge
 * and tag), so that both can be compared; *row is NULL when there is nothing. A performer's class
 * that is not on record (NULL) is found as 'unknown', the word for that in tables.
 */
#ifndef PEGWARDEN_STORE_HISTORY_H
#define PEGWARDEN_STORE_HISTORY_H

#include "store/component.h"
#include "store/inspection.h"
#include "store/store.h"

/* The cleaning itself, or else one of that class on that day with an id below `before`. */
enum err history_find_cleaning(struct store *st, const struct cleaning_row *cleaning,
			       int64_t before, struct arena *a, struct doc **row,
			       struct fault *f) MUST_CHECK;

/* One that ended. */
struct history_issue {
	int64_t component, member;
	const char *issued_on, *condition, *returned_on, *return_condition, *note;
};
/* One from that day on to the same member, over the same time. */
enum err history_find_issue(struct store *st, const struct history_issue *issue, struct arena *a,
			    struct doc **row, struct fault *f) MUST_CHECK;
enum err history_add_issue(struct store *st, const struct history_issue *issue,
			   struct fault *f) MUST_CHECK;

struct history_inspection {
	const char *reference; /* what names the inspection in the tables */
	const char *kind, *inspected_on, *performer, *performer_class, *note;
	int64_t inspector;
	int64_t component; /* one of its parts: whose ensemble it is of */
};
/* A signed one, also one that was made here (is_own), by what names it in exports. */
enum err history_find_inspection(struct store *st, const char *reference, struct arena *a,
				 struct doc **row, struct fault *f) MUST_CHECK;
/* Is it what an inspection of this department is called in exports? */
enum err history_is_own(struct store *st, const char *reference, bool *own,
			struct fault *f) MUST_CHECK;
enum err history_add_inspection(struct store *st, const struct history_inspection *inspection,
				int64_t *id, struct fault *f) MUST_CHECK;

enum err history_find_part(struct store *st, int64_t inspection, int64_t component, struct arena *a,
			   struct doc **row, struct fault *f) MUST_CHECK;
struct history_part {
	int64_t inspection, component;
	const char *kind; /* of the inspection */
	const char *conclusion;
	int64_t worked_s; /* -1: not measured */
};
/* It does what was due beneath an earlier finding, as signing it would have. */
enum err history_add_part(struct store *st, const struct history_part *part,
			  struct fault *f) MUST_CHECK;

/* What one tap answered at that instant: those points of that part. New ones: see
 * answered_together_insert. */
enum err history_find_together(struct store *st, const struct together_row *together,
			       struct arena *a, struct doc **row, struct fault *f) MUST_CHECK;

struct history_finding {
	const char *check_point, *defect, *zone, *face, *side, *place, *severity, *outcome,
	    *override_reason, *state, *closed_on, *closed_reason, *note;
	int64_t inspection, component, length_mm; /* -1: not measured */
};
/* The one at the same check point and place. */
enum err history_find_finding(struct store *st, const struct history_finding *finding,
			      struct arena *a, struct doc **row, struct fault *f) MUST_CHECK;
/* What it makes due beneath becomes due, unless it was inspected since. */
enum err history_add_finding(struct store *st, const struct history_finding *finding,
			     struct fault *f) MUST_CHECK;

/* A repair ticket, and the findings on it. */
struct history_ticket {
	const char *number, *state, *created_on, *sent_on, *expected_on, *returned_on,
	    *performer_class, *note;
	int64_t provider, created_by;
};
enum err history_find_ticket(struct store *st, const char *number, struct arena *a,
			     struct doc **row, struct fault *f) MUST_CHECK;
enum err history_add_ticket(struct store *st, const struct history_ticket *ticket, int64_t *id,
			    struct fault *f) MUST_CHECK;

struct history_repair {
	int64_t ticket, component, finding;
	const char *result, *work_done;
	int64_t cost_cents, replacement; /* -1: unknown; 0: none */
};
/* The finding that a row speaks of; what it does not say of the place may be any. 0: none. */
enum err history_finding_of(struct store *st, const struct history_finding *finding, int64_t *id,
			    struct fault *f) MUST_CHECK;
enum err history_find_repair(struct store *st, int64_t ticket, int64_t finding, struct arena *a,
			     struct doc **row, struct fault *f) MUST_CHECK;
enum err history_add_repair(struct store *st, const struct history_repair *repair,
			    struct fault *f) MUST_CHECK;

#endif
