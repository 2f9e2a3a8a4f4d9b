/*
 * Repair dispatches: gear sent to a provider, and its way back.
 */
#ifndef PEGWARDEN_STORE_DISPATCH_H
#define PEGWARDEN_STORE_DISPATCH_H

#include "store/store.h"

/* id number provider provider_name provider_class performer_class provider_address provider_email
 * state created_on created_by_name sent_on expected_on returned_on note version. */
enum err dispatch_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
		      struct fault *f) MUST_CHECK;
/* Item by item: id component tag serial kind kind_label maker model size made finding
 * defect_label zone zone_label face side place outcome outcome_label severity length_mm note
 * result work_done cost_cents replacement replacement_tag is_replace repair_class
 * basic_up_to_mm (of the handbook; see finding_repair_class). */
enum err dispatch_items(struct store *st, int64_t id, struct arena *a, struct doc *list,
			struct fault *f) MUST_CHECK;
/* Open findings that go to a ticket and are on none that is under way; same columns.
 * component, finding: only of these, 0: all. */
enum err dispatch_candidates(struct store *st, int64_t component, int64_t finding, struct arena *a,
			     struct doc *list, struct fault *f) MUST_CHECK;

/* A finding, whatever its state; same columns. */
enum err dispatch_finding(struct store *st, int64_t finding, struct arena *a, struct doc **row,
			  struct fault *f) MUST_CHECK;

struct dispatch_row {
	int64_t provider, created_by;
	const char *created_on, *expected_on, *note;
};
/* Numbers it "R-<year>-<one more than the last of that year>". */
enum err dispatch_insert(struct store *st, const struct dispatch_row *row, int64_t *id,
			 struct fault *f) MUST_CHECK;
/* The finding's component goes with it. */
enum err dispatch_item_insert(struct store *st, int64_t dispatch, int64_t finding,
			      struct fault *f) MUST_CHECK;
enum err dispatch_set_sent(struct store *st, int64_t id, const char *on, const char *expected_on,
			   struct fault *f) MUST_CHECK;
/* performer_class: of the provider, on that day. */
enum err dispatch_set_returned(struct store *st, int64_t id, const char *on,
			       const char *performer_class, struct fault *f) MUST_CHECK;
enum err dispatch_set_cancelled(struct store *st, int64_t id, struct fault *f) MUST_CHECK;
enum err dispatch_item_result(struct store *st, int64_t item, const char *result,
			      const char *work_done, int64_t cost_cents, int64_t replacement,
			      struct fault *f) MUST_CHECK;
/* A finding that ended because its component was replaced. */
enum err finding_replaced(struct store *st, int64_t finding, const char *on, const char *reason,
			  struct fault *f) MUST_CHECK;
/* The maker's (or a verified provider's) answer ends it. */
enum err finding_answered(struct store *st, int64_t finding, const char *on, const char *answer,
			  struct fault *f) MUST_CHECK;
/* The page of one finding; NULL when there is none. */
enum err finding_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
		     struct fault *f) MUST_CHECK;
/* Tickets it was on: id number state. */
enum err finding_dispatches(struct store *st, int64_t id, struct arena *a, struct doc *list,
			    struct fault *f) MUST_CHECK;

#endif
