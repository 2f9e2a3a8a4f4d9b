/*
 * Derived rows: what the rules make of the facts.
 *
 * duty and standing for components, member_readiness for members,
 * station_strength for stations. Rows that are already right are left alone.
 */
#ifndef PEGWARDEN_STORE_DERIVE_H
#define PEGWARDEN_STORE_DERIVE_H

#include "store/store.h"
#include "store/touched.h"

/* Everything that depends on these fact rows. */
enum err derive_touched(struct store *st, const struct touched *touched,
			struct fault *f) MUST_CHECK;
/* Everything. With write false nothing is changed; *differences counts the rows
 * (components or members) that are not as the rules compute them. */
enum err derive_all(struct store *st, bool write, int64_t *differences, struct fault *f) MUST_CHECK;

/* Adds the components that a fact row speaks of; none for rows of other things. */
enum err derive_components_of(struct store *st, const struct touched_row *row,
			      struct touched *components, struct fault *f) MUST_CHECK;

#endif
