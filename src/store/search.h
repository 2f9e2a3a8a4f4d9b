/*
 * The one search box: tags, serials, badges, names, safety notices, incidents.
 */
#ifndef PEGWARDEN_STORE_SEARCH_H
#define PEGWARDEN_STORE_SEARCH_H

#include "store/store.h"

/* The component whose tag (or else whose serial, when only one has it) is just that; 0: none. */
enum err search_tag(struct store *st, const char *text, int64_t *component,
		    struct fault *f) MUST_CHECK;
/* Things that hold words beginning with each word of the text, best first, at
 * most limit: kind, id, label, detail. Kinds: component member ensemble station dispatch
 * safety_notice hold; holds only where they are asked for, as not everybody may see them. */
enum err search_words(struct store *st, const char *text, bool with_holds, int64_t limit,
		      struct arena *a, struct doc *list, struct fault *f) MUST_CHECK;
/* Components whose tags look like the text, the most alike first, at most SIMILAR_MAX: id tag
 * kind_label state state_label. */
#define SIMILAR_MAX 6
enum err search_similar(struct store *st, const char *text, struct arena *a, struct doc *list,
			struct fault *f) MUST_CHECK;

#endif
