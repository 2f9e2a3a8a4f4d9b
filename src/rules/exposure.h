/*
 * What gear was exposed to, and which cleaning that asks for.
 *
 * Entering a structure where breathing apparatus is needed is exposure to products of
 * combustion, which asks for advanced cleaning (NFPA 1851, 2020, as reported by trade press,
 * "New standards set stage for improved gear cleaning"). Body fluids, chemicals, fuels and
 * other hazardous matter ask for specialized cleaning (a department's SOG on specialized
 * cleaning). One department retires whatever had confirmed CBRN contamination: that is said
 * as advice, and the officer decides.
 */
#ifndef PEGWARDEN_RULES_EXPOSURE_H
#define PEGWARDEN_RULES_EXPOSURE_H

#include <stdbool.h>
#include <stdint.h>

#include "base/day.h"

/* X(code, word, label, text) */
/* clang-format off */
#define EXPOSURE_CAUSE_LIST(X) \
	X(COMBUSTION, "combustion", "products of combustion", \
	  "Products of combustion: smoke, soot, where breathing apparatus was needed") \
	X(BODY_FLUIDS, "body_fluids", "body fluids", "Body fluids") \
	X(CHEMICALS, "chemicals", "chemicals", "Chemicals") \
	X(FUELS, "fuels", "fuels", "Fuels") \
	X(CBRN, "cbrn", "CBRN agents", "CBRN agents") \
	X(OTHER, "other", "other hazardous matter", "Other hazardous matter")
/* clang-format on */
#define EXPOSURE_CAUSE_CODE(code, word, label, text) EXPOSURE_##code,
enum exposure_cause { EXPOSURE_CAUSE_LIST(EXPOSURE_CAUSE_CODE) EXPOSURE_CAUSE_COUNT };
extern const char *const exposure_cause_word[EXPOSURE_CAUSE_COUNT];
/* Within a sentence: "products of combustion". */
extern const char *const exposure_cause_label[EXPOSURE_CAUSE_COUNT];

struct exposure {
	int64_t id;
	enum exposure_cause cause;
	day on;
	const char *incident; /* words, or NULL */
};

/* Specialized cleaning, or advanced? */
bool exposure_asks_specialized(enum exposure_cause cause);
/* Where that comes from, in words. */
const char *exposure_source(enum exposure_cause cause);
/* What else people should know of that cause, or NULL. */
const char *exposure_advice(enum exposure_cause cause);

/*
 * Does it still wait for its cleaning? advanced_on is the latest advanced or specialized
 * cleaning, specialized_on the latest specialized one; DAY_NONE: never. A cleaning of the same
 * day may have been before it, so it ends nothing by its day alone: in whichever order the two
 * are written down, the part waits.
 */
bool exposure_is_open(const struct exposure *e, day advanced_on, day specialized_on);

/*
 * Was the part contaminated by it when it was inspected on that day? ended_on: the day of the
 * cleaning that ended it, DAY_NONE: none did. An exposure that was written down late makes an
 * inspection before its cleaning one of gear that was not clean: dirt hides damage, so it is
 * looked at again after the cleaning. One of the day of the inspection may have come after it.
 */
bool exposure_taints(const struct exposure *e, day ended_on, day inspected_on);

#endif
