/*
 * The one search box: tags, serials, badges, names.
 */
#ifndef PEGWARDEN_STORE_SEARCH_H
#define PEGWARDEN_STORE_SEARCH_H

#include "store/store.h"

/* The component whose tag (or else whose serial, when only one has it) is just that; 0: none. */
enum err search_tag(struct store *st, const char *text, int64_t *component,
		    struct fault *f) MUST_CHECK;
/* Things that hold words beginning with each word of the text, best first, at
 * most limit: kind, id, label, detail. */
enum err search_words(struct store *st, const char *text, int64_t limit, struct arena *a,
		      struct doc *list, struct fault *f) MUST_CHECK;

#endif
