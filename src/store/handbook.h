/*
 * The reference rows of the trade, as the rules want them.
 */
#ifndef PEGWARDEN_STORE_HANDBOOK_H
#define PEGWARDEN_STORE_HANDBOOK_H

#include "rules/amend.h"
#include "rules/handbook.h"
#include "store/store.h"

/* Reads and links the whole handbook into the arena. */
enum err handbook_load(struct store *st, struct arena *a, struct handbook **hb,
		       struct fault *f) MUST_CHECK;
/* Every setting that has a value. */
enum err settings_load(struct store *st, struct arena *a, struct settings *settings,
		       struct fault *f) MUST_CHECK;
/* The department's program from the settings as they stand. */
enum err program_load(struct store *st, const struct handbook *hb, struct arena *a,
		      struct program **p, struct fault *f) MUST_CHECK;

/* The writing connection's own, read once (the program again after a setting changed). */
enum err store_handbook(struct store *st, const struct handbook **hb, struct fault *f) MUST_CHECK;
enum err store_program(struct store *st, const struct program **p, struct fault *f) MUST_CHECK;

#endif
