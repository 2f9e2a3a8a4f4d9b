/* Duties as lists and sums. */
#ifndef PEGWARDEN_STORE_DUTY_ROWS_H
#define PEGWARDEN_STORE_DUTY_ROWS_H

#include "store/store.h"

/* One row a kind of duty: duty duty_label overdue days_30 days_365 undated. */
enum err duty_summary(struct store *st, day today, struct arena *a, struct doc *list,
		      struct fault *f) MUST_CHECK;
/* duty total of each kind that is owed at all. */
enum err duty_counts(struct store *st, struct arena *a, struct doc *list,
		     struct fault *f) MUST_CHECK;
/* Retirements of the next 365 days by quarter: quarter span (first..last day) total
 * at_replacement at_paid (parts priced so) cost_cents (of both) unknown_cost (parts). */
enum err duty_retirements(struct store *st, day today, struct arena *a, struct doc *list,
			  struct fault *f) MUST_CHECK;

#endif
