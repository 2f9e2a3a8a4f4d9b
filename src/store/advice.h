/* What the advice to repair or to replace is made from, and quotes. */
#ifndef PEGWARDEN_STORE_ADVICE_H
#define PEGWARDEN_STORE_ADVICE_H

#include "store/store.h"

/* kind reflective cbrn made life_months paid_cents replacement_cents
 * repaired_cents unpriced; prices that are not known are null. */
enum err advice_row(struct store *st, int64_t component, day today, struct arena *a,
		    struct doc **row, struct fault *f) MUST_CHECK;
/* The last one of an item: quote_cents quoted_on. NULL when there is none. */
enum err quote_of_item(struct store *st, int64_t item, struct arena *a, struct doc **row,
		       struct fault *f) MUST_CHECK;
enum err quote_insert(struct store *st, int64_t item, const char *on, int64_t cents,
		      struct fault *f) MUST_CHECK;

/* For tables: the item of a ticket for a finding; 0: none. */
enum err quote_item_of(struct store *st, int64_t ticket, int64_t finding, int64_t *item,
		       struct fault *f) MUST_CHECK;
/* The quote given first (turn 1), second, ... for it under the names of its table's columns, NULL
 * when there is none, and how many there are. */
enum err quote_find(struct store *st, int64_t item, int64_t turn, struct arena *a, struct doc **row,
		    int64_t *count, struct fault *f) MUST_CHECK;

#endif
