/*
 * What safety notices hit: rows derived from the notices, the labels and the answers.
 *
 * They come before everything else that is derived: where a component stands depends on
 * them.
 */
#ifndef PEGWARDEN_STORE_SAFETY_ITEMS_H
#define PEGWARDEN_STORE_SAFETY_ITEMS_H

#include "rules/safety_notice.h"
#include "store/store.h"
#include "store/touched.h"

/* Recomputes the rows of a notice (0: of every one) for the components first to last. changed
 * (may be NULL) learns of components whose rows differ; with write false nothing is changed. */
enum err safety_items_derive(struct store *st, int64_t notice, int64_t first, int64_t last,
			     bool write, int64_t *differences, struct touched *changed,
			     struct fault *f) MUST_CHECK;
/* The same for what these fact rows bear on. */
enum err safety_items_touched(struct store *st, const struct touched *touched,
			      struct touched *changed, struct fault *f) MUST_CHECK;

struct safety_scope_row;
/* The scope of texts as typed, in the arena. */
void safety_scope_make(struct safety_scope *scope, const struct safety_scope_row *row,
		       struct arena *a);
/* What a scope that is not stored yet would hit, and may hit. Texts as typed. */
enum err safety_scope_count(struct store *st, const struct safety_scope_row *row, int64_t *hit,
			    int64_t *possible, struct fault *f) MUST_CHECK;

#endif
