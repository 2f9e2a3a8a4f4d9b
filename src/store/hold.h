/*
 * Special incident holds: gear of a member who was seriously injured or killed,
 * preserved as found, and the log of everybody who came near it.
 *
 * From memory (NFPA 1851, 10.3), as federal guidance on evidence has it too: removed at
 * once, kept as it was found, in paper or cardboard, with access controlled and logged,
 * released only by who has the authority.
 */
#ifndef PEGWARDEN_STORE_HOLD_H
#define PEGWARDEN_STORE_HOLD_H

#include "store/store.h"
#include "store/touched.h"

struct hold_row {
	int64_t component, placed_by;
	const char *incident, *placed_on, *kept_where, *container, *note;
};
/* ERR_CONFLICT (store_was_duplicate) when the component is held already. */
enum err hold_insert(struct store *st, const struct hold_row *r, int64_t *id,
		     struct fault *f) MUST_CHECK;
enum err hold_release(struct store *st, int64_t id, int64_t by, const char *on,
		      const char *authority, const char *reason, struct fault *f) MUST_CHECK;

struct custody_row {
	int64_t hold;
	const char *recorded_at, *happened_on, *who, *purpose, *note;
	const char *time_of_day; /* "HH:MM" where the department is; NULL: not known */
};
/* Adds to the log and counts the hold's version up. */
enum err custody_add(struct store *st, const struct custody_row *r, struct fault *f) MUST_CHECK;

/* id component tag kind_label incident placed_on placed_by_name kept_where container note
 * released_on released_by_name authority release_reason state version; NULL: none. */
enum err hold_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
		  struct fault *f) MUST_CHECK;
/* happened_on time_of_day recorded_at who purpose note, in the order they were written down. */
enum err hold_custody(struct store *st, int64_t id, struct arena *a, struct doc *list,
		      struct fault *f) MUST_CHECK;
/* Of a component, the latest first; columns of hold_get. */
enum err holds_of_component(struct store *st, int64_t component, struct arena *a, struct doc *list,
			    struct fault *f) MUST_CHECK;
/* What is worn together and not held yet: component tag hazard kind_label ensemble, and is_selected
 * for the outfit itself. Of a component (0: none) itself, its ensemble and what its holder has; of
 * a member (0: none) all gear. */
enum err worn_together(struct store *st, int64_t component, int64_t member, struct arena *a,
		       struct doc *list, struct fault *f) MUST_CHECK;

/* For tables: the hold of that component from that day on under the names of the columns of its
 * table, and its id; *row is NULL when there is none. */
enum err hold_find(struct store *st, int64_t component, const char *placed_on, struct arena *a,
		   struct doc **row, struct fault *f) MUST_CHECK;
/* Is this very entry in the log? */
enum err custody_find(struct store *st, const struct custody_row *r, bool *found,
		      struct fault *f) MUST_CHECK;

/*
 * ERR_CONFLICT when one of the fact rows a change touched is of a held component, or of one
 * whose hold the same change touched: nothing that alters the part, hands it out or speaks of
 * it anew may commit. What belongs to holding (hold, custody), reminders and what damage
 * elsewhere makes due (notice, follow_up) may; so may giving up a draft inspection, and taking
 * a part back from a provider as it went. Every change ends here; no handler has to
 * remember it.
 */
enum err hold_guard(struct store *st, const struct touched *touched, struct fault *f) MUST_CHECK;

#endif
