#include "rules/unit.h"

#include <inttypes.h>

#include "base/text.h"

const char *const unit_word[UNIT_COUNT] = {
    "in", "ft",    "mm", "cm",    "m",  "psi", "kpa",     "pa", "cm_water", "f",    "c",
    "ml", "fl_oz", "s",  "parts", "ph", "g",   "percent", "n",  "cal_cm2",  "w_m2", "cd_lx_m2"};
const char *const unit_label[UNIT_COUNT] = {
    "in", "ft",       "mm", "cm",    "m",  "psi", "kPa", "Pa", "cm of water", "°F",   "°C",
    "ml", "US fl oz", "s",  "parts", "pH", "g",   "%",   "N",  "cal/cm²",     "W/m²", "cd/(lx·m²)"};

/*
 * A thousandth of the unit is num/den of what is kept; zero is what is kept for 0 of the unit.
 * Sources: 1 in = 25.4 mm and 1 lbf = 4.4482216152605 N exactly (from memory: NIST Special
 * Publication 811, appendix B), so 1 psi = 44482216152605/6451600000 Pa; 1 cm of water
 * (conventional) = 98.0665 Pa (the same); t/°F = 1.8 t/°C + 32 (the same); 1 US gal = 231 in³
 * (the same), so 1 US fl oz = 29.5735295625 ml.
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
    [UNIT_MILLILITRE] = {1, 1, 0},
    [UNIT_FLUID_OUNCE] = {473176473, 16000000, 0},
    [UNIT_SECOND] = {1, 1, 0},
    [UNIT_PARTS] = {1, 1, 0},
    [UNIT_PH] = {1, 1, 0},
    [UNIT_G] = {1, 1, 0},
    [UNIT_PERCENT] = {1, 1, 0},
    [UNIT_NEWTON] = {1, 1, 0},
    [UNIT_CALORIES_PER_CM2] = {1, 1, 0},
    [UNIT_WATTS_PER_M2] = {1, 1, 0},
    [UNIT_CANDELAS_PER_LUX_M2] = {1, 1, 0},
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

	if (!times(thousandths, scale[unit].num, scale[unit].den, &value)) return false;
	*kept = value + scale[unit].zero; /* there is room: where zero is not 0, den is not 1 */
	return true;
}

bool unit_show(enum unit unit, int64_t kept, int64_t *thousandths) {
	if (kept < INT64_MIN + scale[unit].zero) return false;
	return times(kept - scale[unit].zero, scale[unit].den, scale[unit].num, thousandths);
}

/* The unit that others use for it; itself where there is but one. */
static enum unit other(enum unit unit) {
	switch (unit) {
	case UNIT_INCH: return UNIT_CENTIMETRE;
	case UNIT_CENTIMETRE:
	case UNIT_MILLIMETRE: return UNIT_INCH;
	case UNIT_FOOT: return UNIT_METRE;
	case UNIT_METRE: return UNIT_FOOT;
	case UNIT_PSI: return UNIT_KILOPASCAL;
	case UNIT_KILOPASCAL:
	case UNIT_PASCAL:
	case UNIT_CM_WATER: return UNIT_PSI;
	case UNIT_FAHRENHEIT: return UNIT_CELSIUS;
	case UNIT_CELSIUS: return UNIT_FAHRENHEIT;
	case UNIT_MILLILITRE: return UNIT_FLUID_OUNCE;
	case UNIT_FLUID_OUNCE: return UNIT_MILLILITRE;
	default: return unit;
	}
}

/* Thousandths with no more places than they need, two at most. */
static const char *in_one_unit(enum unit unit, int64_t thousandths, struct arena *a) {
	int64_t hundredths = (thousandths + (thousandths < 0 ? -5 : 5)) / 10;
	uint64_t size = hundredths < 0 ? 0 - (uint64_t)hundredths : (uint64_t)hundredths;
	const char *sign = hundredths < 0 ? "-" : "", *label = unit_label[unit];
	if (size % 100 == 0) return arena_printf(a, "%s%" PRIu64 " %s", sign, size / 100, label);
	if (size % 10 == 0)
		return arena_printf(a, "%s%" PRIu64 ".%d %s", sign, size / 100,
				    (int)(size % 100 / 10), label);
	return arena_printf(a, "%s%" PRIu64 ".%02d %s", sign, size / 100, (int)(size % 100), label);
}

const char *unit_text(enum unit unit, int64_t kept, struct arena *a) {
	int64_t here, there;
	if (!unit_show(unit, kept, &here) || !unit_show(other(unit), kept, &there))
		return "out of range";
	const char *text = in_one_unit(unit, here, a);
	if (!text || other(unit) == unit) return text;
	const char *also = in_one_unit(other(unit), there, a);
	return also ? arena_printf(a, "%s (%s)", text, also) : NULL;
}
