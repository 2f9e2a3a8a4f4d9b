/*
 * What new parts cost: by kind, hazard and reflective or not, and of single parts where that
 * is known better, each from a day on.
 */
#ifndef PEGWARDEN_STORE_PRICE_H
#define PEGWARDEN_STORE_PRICE_H

#include "store/store.h"

#define PRICE_CENTS_MAX 100000000 /* more is a slip of the pen */

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
/* The price of such parts from just that day on, as price_get has it; NULL: none. */
enum err price_find(struct store *st, const struct price_row *key, struct arena *a,
		    struct doc **row, struct fault *f) MUST_CHECK;

/* Of a single part. The price from the same day on is corrected. */
struct component_price {
	int64_t component, price_cents;
	const char *valid_from, *note;
};
enum err component_price_save(struct store *st, const struct component_price *price,
			      struct fault *f) MUST_CHECK;
/* valid_from price (hundredths) price_text note, the latest first. */
enum err component_prices(struct store *st, int64_t component, struct arena *a, struct doc *list,
			  struct fault *f) MUST_CHECK;
/* The one from just that day on; NULL: none. */
enum err component_price_find(struct store *st, int64_t component, const char *valid_from,
			      struct arena *a, struct doc **row, struct fault *f) MUST_CHECK;

/* SQL: what a new one of component c costs on the day ?, in hundredths; NULL: not known. */
#define PRICE_OF_NEW(day)                                                                          \
	"coalesce((SELECT o.price_cents FROM component_price o WHERE o.component_id = c.id AND"    \
	" o.valid_from <= " day " ORDER BY o.valid_from DESC LIMIT 1),"                            \
	" (SELECT p.price_cents FROM replacement_price p WHERE p.kind = c.kind AND p.hazard ="     \
	" c.hazard AND p.reflective = c.reflective AND p.valid_from <= " day                       \
	" ORDER BY p.valid_from DESC LIMIT 1))"

#endif
