/* Units of measure, converted by their exact definitions and kept as whole numbers. */
#ifndef PEGWARDEN_RULES_UNIT_H
#define PEGWARDEN_RULES_UNIT_H

#include <stdbool.h>
#include <stdint.h>

#include "base/arena.h"

enum unit {
	UNIT_INCH,
	UNIT_FOOT,
	UNIT_MILLIMETRE,
	UNIT_CENTIMETRE,
	UNIT_METRE,
	UNIT_PSI,
	UNIT_KILOPASCAL,
	UNIT_PASCAL,
	UNIT_CM_WATER,
	UNIT_FAHRENHEIT,
	UNIT_CELSIUS,
	UNIT_MILLILITRE,
	UNIT_FLUID_OUNCE, /* of the United States */
	UNIT_SECOND,
	/* What is never converted. */
	UNIT_PARTS,
	UNIT_PH,
	UNIT_G,
	UNIT_PERCENT,
	UNIT_NEWTON,
	UNIT_CALORIES_PER_CM2,
	UNIT_WATTS_PER_M2,
	UNIT_CANDELAS_PER_LUX_M2,
	UNIT_COUNT
};

/* "in", "ft", ...: as tables and forms name them. */
extern const char *const unit_word[UNIT_COUNT];
/* Behind a number, for people: "in", "°F", "cal/cm²". */
extern const char *const unit_label[UNIT_COUNT];

/*
 * What is kept: lengths in micrometres, pressures in pascals, volumes in microlitres, temperatures
 * in thousandths of a degree Fahrenheit (they hold hundredths of a degree Celsius exactly too,
 * since 0.01 °C is 0.018 °F), all others in thousandths.
 *
 * unit_keep: *kept from thousandths of a unit, rounded half away from zero. unit_show: the way
 * back. Both answer false, and write nothing, when the number is too large to convert.
 */
bool unit_keep(enum unit unit, int64_t thousandths, int64_t *kept);
bool unit_show(enum unit unit, int64_t kept, int64_t *thousandths);

/* What is kept, for people: in that unit, and behind it in the other one in use: "1.5 in
 * (3.81 cm)". Hundredths at most; NULL when there is no memory. */
const char *unit_text(enum unit unit, int64_t kept, struct arena *a);

#endif
