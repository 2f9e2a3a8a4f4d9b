/*
 * Who goes without a part that is out of service, and what reserve gear could stand in for it.
 */
#ifndef PEGWARDEN_STORE_COVER_H
#define PEGWARDEN_STORE_COVER_H

#include "store/store.h"

/* To whom it is issued, else whose ensemble it is of: member name badge; NULL when nobody's. */
enum err cover_wearer(struct store *st, int64_t component, struct arena *a, struct doc **row,
		      struct fault *f) MUST_CHECK;
/*
 * Parts of the same kind, hazard and size that are ready today, with nobody: not issued, and in
 * nobody's ensemble. What goes together in a garment is of the same maker and model too. Those of
 * the same station first: component tag station_code ensemble_code ready_until.
 */
enum err cover_reserve(struct store *st, int64_t component, day today, int64_t limit,
		       struct arena *a, struct doc *list, struct fault *f) MUST_CHECK;

#endif
