/* Stations. */
#ifndef PEGWARDEN_STORE_STATION_H
#define PEGWARDEN_STORE_STATION_H

#include "store/store.h"

struct station_row {
	int64_t id; /* 0: a new one */
	const char *code, *name, *address, *email;
	bool active;
};
/* ERR_CONFLICT with store_was_duplicate when the code is taken. */
enum err station_save(struct store *st, const struct station_row *row, struct arena *a, int64_t *id,
		      struct fault *f) MUST_CHECK;
/* id code name address email active version member_count component_count; NULL when none. */
enum err station_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
		     struct fault *f) MUST_CHECK;
/* 0 when there is none. */
enum err station_by_code(struct store *st, const char *code, int64_t *id,
			 struct fault *f) MUST_CHECK;
/* value (the id as text), id, label of every active station. */
enum err station_options(struct store *st, struct arena *a, struct doc *options,
			 struct fault *f) MUST_CHECK;

#endif
