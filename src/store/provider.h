/* Service providers. */
#ifndef PEGWARDEN_STORE_PROVIDER_H
#define PEGWARDEN_STORE_PROVIDER_H

#include "store/store.h"

struct provider_row {
	int64_t id; /* 0: a new one */
	const char *code, *name, *class, *verified_until, *email, *phone, *address;
	bool active;
	bool in_house; /* the department's own workshop */
};
/* ERR_INVALID at in_house when its class is not that of a manufacturer-trained organization. */
enum err provider_save(struct store *st, const struct provider_row *row, struct arena *a,
		       int64_t *id, struct fault *f) MUST_CHECK;
enum err provider_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
		      struct fault *f) MUST_CHECK;
enum err provider_by_code(struct store *st, const char *code, int64_t *id,
			  struct fault *f) MUST_CHECK;
/* Of active ones: id name label class verified_until in_house. */
enum err provider_options(struct store *st, struct arena *a, struct doc *options,
			  struct fault *f) MUST_CHECK;

#endif
