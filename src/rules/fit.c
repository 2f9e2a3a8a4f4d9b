#include "rules/fit.h"

#include <string.h>
#include <strings.h>

const struct fit_rule *fit_rule_find(const struct handbook *hb, const struct kind *shell,
				     const struct kind *part) {
	for (size_t i = 0; i < hb->fit_count; i++)
		if (hb->fit[i].shell == shell && hb->fit[i].part == part) return &hb->fit[i];
	return NULL;
}

/* Where an entry begins and how long it is without spaces at the ends. */
static size_t bare(const char *text, const char **start) {
	if (!text) return 0;
	*start = text + strspn(text, " ");
	size_t length = strlen(*start);
	while (length && (*start)[length - 1] == ' ') length--;
	return length;
}

/* An entry that is not recorded cannot disagree. */
static bool differs(const char *a, const char *b) {
	const char *a_start, *b_start;
	size_t a_length = bare(a, &a_start), b_length = bare(b, &b_start);
	if (!a_length || !b_length) return false;
	return a_length != b_length || strncasecmp(a_start, b_start, a_length) != 0;
}

enum fit fit_compare(const struct fit_rule *rule, const struct label *shell,
		     const struct label *part) {
	if (rule->maker && differs(shell->maker, part->maker)) return FIT_MAKER_DIFFERS;
	if (rule->model && differs(shell->model, part->model)) return FIT_MODEL_DIFFERS;
	if (rule->size && differs(shell->size, part->size)) return FIT_SIZE_DIFFERS;
	return FIT_AGREES;
}

const char *fit_reason(enum fit fit, const struct fit_rule *rule, const struct label *shell,
		       const struct label *part, struct arena *a) {
	static const char *const entry[] = {[FIT_MAKER_DIFFERS] = "maker",
					    [FIT_MODEL_DIFFERS] = "model",
					    [FIT_SIZE_DIFFERS] = "size"};
	const char *shell_says = shell->maker, *part_says = part->maker;
	if (fit == FIT_AGREES) return NULL;
	if (fit == FIT_MODEL_DIFFERS) shell_says = shell->model, part_says = part->model;
	if (fit == FIT_SIZE_DIFFERS) shell_says = shell->size, part_says = part->size;
	return arena_printf(
	    a,
	    "%s and %s do not belong together: %s \"%s\" and \"%s\". Hold both; ask "
	    "the maker or a verified provider.",
	    rule->shell->label, rule->part->label, entry[fit], shell_says, part_says);
}
