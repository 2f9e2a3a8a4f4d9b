/* What new parts cost: by kind, hazard and reflective or not, each from a day on. */
#ifndef PEGWARDEN_STORE_PRICE_H
#define PEGWARDEN_STORE_PRICE_H

#include "store/store.h"

struct price_row {
	int64_t id; /* 0: a new one */
	const char *kind, *hazard, *valid_from, *note;
	bool reflective;
	int64_t price_cents;
};
enum err price_save(struct store *st, const struct price_row *row, int64_t *id,
		    struct fault *f) MUST_CHECK;
/* kind kind_label hazard reflective valid_from price (hundredths) note version. */
enum err price_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
		   struct fault *f) MUST_CHECK;

#endif
