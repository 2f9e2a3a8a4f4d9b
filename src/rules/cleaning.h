/*
 * What a cleaning may do to gear, and what is beyond that.
 *
 * The limits are those of care guides as reported by trade press; the maker's instructions
 * come first. A cleaning beyond one is not refused, for it happened: it is confirmed, and the
 * part is inspected again, because it may have been harmed.
 */
#ifndef PEGWARDEN_RULES_CLEANING_H
#define PEGWARDEN_RULES_CLEANING_H

#include <stdint.h>

#include "rules/program.h"

/* What was written down of it. */
struct washing {
	const struct kind *kind;
	bool reflective;
	bool has_water;
	int64_t water_mf;  /* thousandths of a °F */
	int ph_hundredths; /* 0: not written down */
	int force_g;       /* 0: not written down */
	bool by_machine;
	bool top_loader;  /* the machine */
	int load_percent; /* how full it was; 0: not written down */
	bool unprepared;  /* said not to have been made ready for it */
	bool has_dry;
	int64_t dry_mf; /* the air it was dried in, as water_mf */
	bool machine_dried;
	bool bleach; /* chlorine bleach, or a solvent */
};

struct cleaning_limit {
	const char *text; /* what it is and where it ends, in words */
	const char *source;
};
#define CLEANING_LIMITS 12
/* The limits it went beyond, those of the program first; returns how many. Texts are written into
 * the arena. */
size_t cleaning_beyond(const struct washing *w, const struct program *p, struct arena *a,
		       struct cleaning_limit beyond[CLEANING_LIMITS]);

/* The force of a drum, in whole g: 1.118e-5 of the radius in cm and the square of the turns a
 * minute (a laboratory convention for centrifuges: common practice, no source). */
int cleaning_force_g(int radius_mm, int turns);

#endif
