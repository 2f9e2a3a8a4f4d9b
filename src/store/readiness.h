/*
 * Who is ready: read from the derived rows, which look only at exceptions.
 */
#ifndef PEGWARDEN_STORE_READINESS_H
#define PEGWARDEN_STORE_READINESS_H

#include "store/store.h"

/* One row a station and hazard with somebody to equip: station code name hazard
 * strength (members) ready not_ready, in order of code. */
enum err readiness_of_department(struct store *st, day today, struct arena *a, struct doc *rows,
				 struct fault *f) MUST_CHECK;
/* One row a member and hazard of the station: member badge name hazard is_ready ready_until
 * ensemble ensemble_code obstacles [{code text component fit_check from}], not ready ones first. */
enum err readiness_of_station(struct store *st, int64_t station, day today, struct arena *a,
			      struct doc *rows, struct fault *f) MUST_CHECK;
/* One row a hazard, the same columns. */
enum err readiness_of_member(struct store *st, int64_t member, day today, struct arena *a,
			     struct doc *rows, struct fault *f) MUST_CHECK;

#endif
