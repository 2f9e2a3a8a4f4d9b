/* Tables given for import: what was found in them, and whether they were stored. */
#ifndef PEGWARDEN_STORE_IMPORT_RUN_H
#define PEGWARDEN_STORE_IMPORT_RUN_H

#include "store/store.h"

struct import_run {
	const char *kind, *filename, *date_order, *content, *content_hash, *state;
	const char *faults, *preview; /* JSON */
	int64_t account, rows, faults_total, created_s;
};
enum err import_run_put(struct store *st, const struct import_run *run, int64_t *id,
			struct fault *f) MUST_CHECK;
/* id kind filename date_order content state rows_total rows_done faults preview
 * is_ready is_done account; NULL when there is none. */
enum err import_run_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
			struct fault *f) MUST_CHECK;
enum err import_run_list(struct store *st, struct arena *a, struct doc *list,
			 struct fault *f) MUST_CHECK;
/* Stored: the content is not needed any more. */
enum err import_run_done(struct store *st, int64_t id, int64_t changed, struct fault *f) MUST_CHECK;

#endif
