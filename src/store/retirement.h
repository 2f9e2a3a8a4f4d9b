/*
 * The end of components: retiring, disposing of, marking for training; and the guard that
 * nothing brings one back. Nothing here, and nothing elsewhere, ends a retirement.
 */
#ifndef PEGWARDEN_STORE_RETIREMENT_H
#define PEGWARDEN_STORE_RETIREMENT_H

#include "rules/retirement.h"
#include "store/store.h"

struct touched;

struct retirement_row {
	int64_t component;
	const char *on;
	const char *ground;  /* NULL: unknown, as in old tables; then reason is given */
	const char *reason;  /* words, or NULL */
	int64_t by;          /* member; 0: unknown */
	int64_t replaced_by; /* component; 0: none */
};
/* ERR_CONFLICT when it was retired before. */
enum err component_retire(struct store *st, const struct retirement_row *r,
			  struct fault *f) MUST_CHECK;
/* For one that was retired before the other came in its place. */
enum err component_replaced_by(struct store *st, int64_t id, int64_t by,
			       struct fault *f) MUST_CHECK;

struct disposal_row {
	int64_t component;
	const char *on;
	const char *way;     /* NULL: unknown; then method is given */
	const char *method;  /* words, or NULL */
	const char *witness; /* words, or NULL */
};
enum err component_dispose(struct store *st, const struct disposal_row *r,
			   struct fault *f) MUST_CHECK;

struct training_row {
	int64_t component;
	const char *on;
	int64_t by;       /* member; 0: unknown */
	const char *mark; /* where and how it is marked, or NULL */
};
enum err component_mark_training(struct store *st, const struct training_row *r,
				 struct fault *f) MUST_CHECK;
/* What is in the way of marking it; see rules/retirement.h. Arena memory. */
enum err component_training_obstacles(struct store *st, const struct handbook *hb, int64_t id,
				      struct arena *a, const struct blocker **list, size_t *count,
				      struct fault *f) MUST_CHECK;
/* The same as one text, "a b c"; NULL: nothing is in the way. */
enum err component_training_refusal(struct store *st, const struct handbook *hb, int64_t id,
				    struct arena *a, const char **text, struct fault *f) MUST_CHECK;

/* What does not fit to its retirement on that day: draft (the inspection under way, or null) and
 * is_used_later (issued, inspected or tested after it). */
enum err retirement_hindrance(struct store *st, int64_t component, const char *on, struct arena *a,
			      struct doc **row, struct fault *f) MUST_CHECK;
/* Was it retired before that day? */
enum err retirement_was_before(struct store *st, int64_t component, const char *on, bool *was,
			       struct fault *f) MUST_CHECK;

/*
 * ERR_CONFLICT when a fact row that a change touched would have a retired component issued, or
 * inspected: by an inspection made here at all, by one brought in after the day it was retired.
 * Every change ends here; no handler has to remember it.
 */
enum err retirement_guard(struct store *st, const struct touched *touched,
			  struct fault *f) MUST_CHECK;

#endif
