/*
 * What can be imported and exported: the one list of it, in the order of import.
 */
#ifndef PEGWARDEN_HANDLERS_IMPORT_KINDS_H
#define PEGWARDEN_HANDLERS_IMPORT_KINDS_H

#include "handlers/import_row.h"
#include "store/export.h"

struct import_kind {
	const char *name;               /* also of its file: "components" */
	const char *action;             /* of its audit entries */
	const struct resource *form;    /* columns it shares with a form, or NULL */
	const struct resource *columns; /* columns beside them, or NULL */
	enum err (*take)(struct import_row *row);
	const struct exported *rows; /* what export writes */
};

extern const struct choice import_kind_choice[];

/* NULL past the last. */
const struct import_kind *import_kind_at(size_t i);
/* NULL when there is no such kind. */
const struct import_kind *import_kind_find(const char *name);
/* Its columns as one field table, in the arena; NULL without memory. */
const struct resource *import_kind_resource(const struct import_kind *kind, struct arena *a);
/* "stations, members, ..." for messages. */
const char *import_kind_names(struct arena *a);

#endif
