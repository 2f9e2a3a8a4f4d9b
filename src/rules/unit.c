#include "rules/unit.h"

/*
 * A thousandth of the unit is num/den of what is kept; zero is what is kept for 0 of the unit.
 * Sources: 1 in = 25.4 mm and 1 lbf = 4.4482216152605 N exactly (from memory: NIST Special
 * Publication 811, appendix B), so 1 psi = 44482216152605/6451600000 Pa; 1 cm of water
 * (conventional) = 98.0665 Pa (the same); t/°F = 1.8 t/°C + 32 (the same).
 */
static const struct {
	int64_t num, den, zero;
} scale[UNIT_COUNT] = {
    [UNIT_INCH] = {127, 5, 0},
    [UNIT_FOOT] = {1524, 5, 0},
    [UNIT_MILLIMETRE] = {1, 1, 0},
    [UNIT_CENTIMETRE] = {10, 1, 0},
    [UNIT_METRE] = {1000, 1, 0},
    [UNIT_PSI] = {8896443230521, 1290320000000, 0},
    [UNIT_KILOPASCAL] = {1, 1, 0},
    [UNIT_PASCAL] = {1, 1000, 0},
    [UNIT_CM_WATER] = {196133, 2000000, 0},
    [UNIT_FAHRENHEIT] = {1, 1, 0},
    [UNIT_CELSIUS] = {9, 5, 32000},
};

/* value * num / den rounded half away from zero; num and den are positive. */
static bool times(int64_t value, int64_t num, int64_t den, int64_t *result) {
	int64_t room = INT64_MAX - den;

	if (value > room / num || value < -(room / num)) return false;
	value *= num;
	*result = (value + (value < 0 ? -(den / 2) : den / 2)) / den;
	return true;
}

bool unit_keep(enum unit unit, int64_t thousandths, int64_t *kept) {
	int64_t value;

	if (!times(thousandths, scale[unit].num, scale[unit].den, &value) ||
	    value > INT64_MAX - scale[unit].zero)
		return false;
	*kept = value + scale[unit].zero;
	return true;
}

bool unit_show(enum unit unit, int64_t kept, int64_t *thousandths) {
	if (kept < INT64_MIN + scale[unit].zero) return false;
	return times(kept - scale[unit].zero, scale[unit].den, scale[unit].num, thousandths);
}
