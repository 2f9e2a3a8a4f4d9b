/* Audit entries as lists and pages. */
#ifndef PEGWARDEN_STORE_AUDIT_ROWS_H
#define PEGWARDEN_STORE_AUDIT_ROWS_H

#include "store/store.h"

/* seq at actor account action records previous_hash hash signature; NULL when none. */
enum err audit_entry_get(struct store *st, int64_t seq, struct arena *a, struct doc **row,
			 struct fault *f) MUST_CHECK;

#endif
