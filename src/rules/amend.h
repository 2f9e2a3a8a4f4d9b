/*
 * A change of the department's rules, judged as a whole before anything is stored.
 *
 * Tightening is free. A reason is asked for what becomes looser than the rule set
 * says, and for another rule set that is looser than the present one in anything:
 * a longer time, or a duty or an age limit that it does not have.
 *
 * The department's own months were made for the rule set they stand beside. With
 * another one they are kept or dropped, as somebody says; those that the new set has
 * no rule for are always taken back, or they would come to life again one day.
 */
#ifndef PEGWARDEN_RULES_AMEND_H
#define PEGWARDEN_RULES_AMEND_H

#include "rules/program.h"

enum adjustments { ADJUSTMENTS_UNASKED, ADJUSTMENTS_KEEP, ADJUSTMENTS_DROP };

/* One list of settings; an empty value takes one back. */
struct settings {
	struct program_setting *setting;
	size_t count;
};

struct amendment {
	struct program next;   /* as it would be */
	struct settings store; /* what changes, with what is kept for another reason */
	const char *looser; /* the first thing that becomes looser, in words; NULL: nothing does */
	size_t looser_count;
};

/* stored: all settings there are; asked: what is to change. ERR_INVALID names the setting,
 * "adjustments" where keeping or dropping has to be said, or "reason". */
enum err amendment_make(struct amendment *am, const struct handbook *hb,
			const struct settings *stored, const struct settings *asked,
			enum adjustments choice, const char *reason, struct arena *a,
			struct fault *f) MUST_CHECK;

#endif
