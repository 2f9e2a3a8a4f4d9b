#include "rules/exposure.h"

#include <stddef.h>

#define WORD(code, word, label, text) word,
#define LABEL(code, word, label, text) label,
const char *const exposure_cause_word[EXPOSURE_CAUSE_COUNT] = {EXPOSURE_CAUSE_LIST(WORD)};
const char *const exposure_cause_label[EXPOSURE_CAUSE_COUNT] = {EXPOSURE_CAUSE_LIST(LABEL)};

bool exposure_asks_specialized(enum exposure_cause cause) { return cause != EXPOSURE_COMBUSTION; }

const char *exposure_source(enum exposure_cause cause) {
	return exposure_asks_specialized(cause)
		   ? "A department's SOG on specialized cleaning, as reported by its study cards"
		   : "NFPA 1851, 2020, as reported by trade press (\"New standards set stage for "
		     "improved gear cleaning\")";
}

const char *exposure_advice(enum exposure_cause cause) {
	return cause == EXPOSURE_CBRN
		   ? "One department retires whatever had confirmed CBRN contamination. Bag it "
		     "twice, label it with wearer, station and agent, and ask the authority "
		     "having jurisdiction before anybody cleans it."
		   : NULL;
}

bool exposure_is_open(const struct exposure *e, day advanced_on, day specialized_on) {
	day cleaned_on = exposure_asks_specialized(e->cause) ? specialized_on : advanced_on;
	return cleaned_on == DAY_NONE || cleaned_on <= e->on;
}

bool exposure_taints(const struct exposure *e, day ended_on, day inspected_on) {
	return e->on < inspected_on && (ended_on == DAY_NONE || ended_on > inspected_on);
}
