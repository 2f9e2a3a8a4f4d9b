#include "rules/cleaning.h"

#include <string.h>

#include "rules/kind.h"

static bool is_washed_by_hand(const struct kind *k) {
	return strcmp(k->element, "helmet") == 0 || strcmp(k->element, "footwear") == 0;
}

/* What is measured and goes beyond the program's limit. */
static size_t beyond_measures(const struct washing *w, const struct program *p, struct arena *a,
			      struct cleaning_limit *beyond) {
	const int64_t ph = 10 * (int64_t)w->ph_hundredths, force = 1000 * (int64_t)w->force_g,
		      load = 1000 * (int64_t)w->load_percent;
	const struct {
		bool given;
		int64_t kept;
		enum limit_code limit;
	} measure[] = {{w->has_water, w->water_mf, LIMIT_OF_WASH_WATER},
		       {ph > 0, ph, LIMIT_OF_PH_LEAST},
		       {ph > 0, ph, LIMIT_OF_PH_MOST},
		       {force > 0, force, LIMIT_OF_EXTRACTION},
		       {w->has_dry, w->dry_mf, LIMIT_OF_DRYING_AIR},
		       {load > 0, load, LIMIT_OF_LOAD}};
	size_t count = 0;
	for (size_t i = 0; i < sizeof measure / sizeof *measure; i++) {
		enum limit_code code = measure[i].limit;
		const struct limit_value *limit = &p->handbook->limit[code];
		if (!measure[i].given || program_is_within(p, code, measure[i].kept)) continue;
		beyond[count++] = (struct cleaning_limit){
		    arena_printf(a, "%s %s", limit->label, program_limit_text(p, code, a)),
		    limit->source};
	}
	return count;
}

size_t cleaning_beyond(const struct washing *w, const struct program *p, struct arena *a,
		       struct cleaning_limit beyond[CLEANING_LIMITS]) {
	static const char guides[] = "trade press, cleaning guides, 2023 and 2024",
			  shells[] =
			      "trade press, turnout maintenance guidelines, on the 2008 edition";
	bool aluminized = w->reflective || kind_is_reflective(w->kind);
	const struct {
		bool is;
		struct cleaning_limit limit;
	} manner[] = {
	    {w->bleach, {"no chlorine bleach and no solvent", guides}},
	    {w->top_loader,
	     {"no top-loading washer", "a laundry-equipment vendor's note on the 2020 edition"}},
	    {w->unprepared,
	     {"shell and liner apart, the liner with its barrier inside, the drag rescue device "
	      "out, closures fastened",
	      guides}},
	    {w->by_machine && aluminized, {"aluminized parts are never machine washed", shells}},
	    {w->by_machine && is_washed_by_hand(w->kind),
	     {"helmets, faceshields and footwear are washed by hand", "from memory"}},
	    {w->machine_dried && aluminized, {"aluminized parts are never machine dried", shells}},
	};
	size_t count = beyond_measures(w, p, a, beyond);
	for (size_t i = 0; i < sizeof manner / sizeof *manner; i++)
		if (manner[i].is) beyond[count++] = manner[i].limit;
	return count;
}

int cleaning_force_g(int radius_mm, int turns) {
	double force = 1.118e-6 * radius_mm * turns * turns;
	return (int)(force + 0.5);
}
