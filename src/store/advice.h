/* What the advice to repair or to replace is made from, and quotes. */
#ifndef PEGWARDEN_STORE_ADVICE_H
#define PEGWARDEN_STORE_ADVICE_H

#include "store/store.h"

/* kind reflective cbrn made life_months paid_cents replacement_cents replacement_from
 * repaired_cents unpriced; prices that are not known are null. */
enum err advice_row(struct store *st, int64_t component, day today, struct arena *a,
		    struct doc **row, struct fault *f) MUST_CHECK;
/* The last one of an item: quote_cents quoted_on. NULL when there is none. */
enum err quote_of_item(struct store *st, int64_t item, struct arena *a, struct doc **row,
		       struct fault *f) MUST_CHECK;
enum err quote_insert(struct store *st, int64_t item, const char *on, int64_t cents,
		      struct fault *f) MUST_CHECK;

#endif
