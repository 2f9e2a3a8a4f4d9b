/*
 * What can be imported, and how one row of each becomes records.
 */
#ifndef PEGWARDEN_HANDLERS_IMPORT_KINDS_H
#define PEGWARDEN_HANDLERS_IMPORT_KINDS_H

#include "http/field.h"
#include "store/store.h"

/* One row on its way in. */
struct import_row {
	struct store *store;
	struct arena *arena;
	const struct resource *resource;
	const struct value *value;
	struct fault_list *faults;
	struct fault *fault;
	bool update;
	bool unchanged; /* set: the record was there with these values already */
};

struct import_kind {
	const char *name;
	const char *action;              /* of its audit entries */
	const struct resource *resource; /* fields it shares with forms, or NULL */
	const struct field *extra;       /* columns beside them */
	size_t extra_count;
	enum err (*take)(struct import_row *row);
};

/* NULL when there is no such kind. */
const struct import_kind *import_kind_find(const char *name);
/* Its columns as one field table, in the arena; NULL without memory. */
const struct resource *import_kind_resource(const struct import_kind *kind, struct arena *a);
/* "stations, members, ..." for messages. */
const char *import_kind_names(void);

#endif
