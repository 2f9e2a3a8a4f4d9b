/* Units of measure, converted by their exact definitions and kept as whole numbers. */
#ifndef PEGWARDEN_RULES_UNIT_H
#define PEGWARDEN_RULES_UNIT_H

#include <stdbool.h>
#include <stdint.h>

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
	UNIT_COUNT
};

/*
 * What is kept: lengths in micrometres, pressures in pascals, temperatures in thousandths of a
 * degree Fahrenheit (they hold hundredths of a degree Celsius exactly too, since 0.01 °C is 0.018
 * °F).
 *
 * unit_keep: *kept from thousandths of a unit, rounded half away from zero. unit_show: the way
 * back. Both answer false, and write nothing, when the number is too large to convert.
 */
bool unit_keep(enum unit unit, int64_t thousandths, int64_t *kept);
bool unit_show(enum unit unit, int64_t kept, int64_t *thousandths);

#endif
