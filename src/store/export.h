/*
 * What is on record, as tables that import takes: the same columns, other
 * records named by code, badge and tag. Drafts, abandoned inspections, answers
 * at single check points, photos and accounts are not in them.
 */
#ifndef PEGWARDEN_STORE_EXPORT_H
#define PEGWARDEN_STORE_EXPORT_H

#include "base/buf.h"
#include "store/store.h"

/* Appends the table of a kind ("stations", ...) with its header. ERR_NOT_FOUND: no such kind. */
enum err export_table(struct store *st, const char *kind, struct buf *out,
		      struct fault *f) MUST_CHECK;

#endif
