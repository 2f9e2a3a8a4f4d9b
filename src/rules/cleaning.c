#include "rules/cleaning.h"

#include <string.h>

#define CARE_GUIDES "trade press, cleaning guides, 2023 and 2024"

enum { WATER, PH, FORCE, BLEACH, SHINY, BY_HAND, DRYING, SHINY_DRIED };
static const struct cleaning_limit limits[CLEANING_LIMITS] = {
    [WATER] = {"water", "wash water at most 105 °F (40 °C)", CARE_GUIDES, "high"},
    [PH] = {"ph", "pH of the detergent from 6.0 to 10.5", CARE_GUIDES, "high"},
    [FORCE] = {"force", "extraction at most 100 g", "a laundry-equipment vendor's note on 2020",
	       "high"},
    [BLEACH] = {"bleach", "no chlorine bleach and no solvent", CARE_GUIDES, "high"},
    [SHINY] = {"reflective", "aluminized parts are never machine washed",
	       "trade press, turnout maintenance guidelines, on the 2008 edition", "high"},
    [BY_HAND] = {"by_hand", "helmets, faceshields and footwear are washed by hand", "from memory",
		 "medium"},
    [DRYING] = {"drying", "dried in air of at most 105 °F (40 °C)", "from memory", "medium"},
    [SHINY_DRIED] = {"reflective_dried", "aluminized parts are never machine dried",
		     "trade press, turnout maintenance guidelines, on the 2008 edition", "high"},
};
#define WATER_MAX_MF 105000
#define DRYING_MAX_MF 105000
#define PH_MIN 600
#define PH_MAX 1050
#define FORCE_MAX_G 100

static bool is_washed_by_hand(const struct kind *k) {
	return strcmp(k->element, "helmet") == 0 || strcmp(k->element, "footwear") == 0;
}

size_t cleaning_beyond(const struct washing *w,
		       const struct cleaning_limit *limit[CLEANING_LIMITS]) {
	const bool beyond[CLEANING_LIMITS] = {
	    [WATER] = w->has_water && w->water_mf > WATER_MAX_MF,
	    [PH] = w->ph_hundredths && (w->ph_hundredths < PH_MIN || w->ph_hundredths > PH_MAX),
	    [FORCE] = w->force_g > FORCE_MAX_G,
	    [BLEACH] = w->bleach,
	    [SHINY] = w->by_machine && w->reflective,
	    [BY_HAND] = w->by_machine && is_washed_by_hand(w->kind),
	    [DRYING] = w->has_dry && w->dry_mf > DRYING_MAX_MF,
	    [SHINY_DRIED] = w->machine_dried && w->reflective,
	};
	size_t count = 0;
	for (size_t i = 0; i < CLEANING_LIMITS; i++)
		if (beyond[i]) limit[count++] = &limits[i];
	return count;
}

int cleaning_force_g(int radius_mm, int turns) {
	double force = 1.118e-6 * radius_mm * turns * turns;
	return (int)(force + 0.5);
}
