/* Tables given for import: what was found in them, and whether they were stored. */
#ifndef PEGWARDEN_STORE_IMPORT_RUN_H
#define PEGWARDEN_STORE_IMPORT_RUN_H

#include "base/buf.h"
#include "store/store.h"

struct import_run {
	const char *kind, *filename, *date_order, *content, *content_hash;
	int64_t account, created_s;
};
/* State checking: nothing is known of it yet. */
enum err import_run_put(struct store *st, const struct import_run *run, int64_t *id,
			struct fault *f) MUST_CHECK;
struct import_check {
	const char *state;            /* "ready", "faulty" */
	const char *faults, *preview; /* JSON */
	int64_t rows, faults_total;
};
enum err import_run_checked(struct store *st, int64_t id, const struct import_check *check,
			    struct fault *f) MUST_CHECK;
/* Its table is to be stored, and who asked for it; or could not be: why, for people. */
enum err import_run_wanted(struct store *st, int64_t id, int64_t account,
			   struct fault *f) MUST_CHECK;
enum err import_run_failed(struct store *st, int64_t id, const char *why,
			   struct fault *f) MUST_CHECK;
/* The table itself. */
enum err import_run_content(struct store *st, int64_t id, struct buf *content,
			    struct fault *f) MUST_CHECK;
enum err import_run_bytes(struct store *st, int64_t id, int64_t *bytes, struct fault *f) MUST_CHECK;
/* The ids of those that are being checked or stored, oldest first: rows with id. */
enum err import_run_unfinished(struct store *st, struct arena *a, struct doc *list,
			       struct fault *f) MUST_CHECK;
/* id kind filename date_order state state_label rows_total rows_done faults preview created_at
 * name wanted_by wanted_by_actor (whoever it is worked on for) is_ready is_done is_faulty is_failed
 * is_working; NULL when there is none. */
enum err import_run_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
			struct fault *f) MUST_CHECK;
enum err import_run_list(struct store *st, struct arena *a, struct doc *list,
			 struct fault *f) MUST_CHECK;
/* Stored: the content is not needed any more. */
enum err import_run_done(struct store *st, int64_t id, int64_t changed, struct fault *f) MUST_CHECK;

#endif
