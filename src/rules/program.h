/*
 * The department's program: the rule set it follows, and where it differs.
 *
 * Editions and jurisdictions differ, so intervals are rows of a rule set. The
 * department picks one and may tighten it; a looser value needs a recorded
 * reason. Settings, by name:
 *   rule_set                     code of a rule set
 *   age_reading                  'strict' (not usable from the month of the limit
 *                                on) or 'end_of_month'
 *   cleaning_reading             'interval' (every so many months) or 'count' (so
 *                                many in any 12 months)
 *   routine_on_issue, routine_after_exposure    'yes': a routine inspection of it is a duty
 *                                on record, or 'no': it is done, and not written down
 *   routine_duty_days            0 to 31: what a member holds is looked over at the beginning of
 *                                each duty period, at most so many days after the last look on
 *                                record; 0: that is done, and not written down
 *   <rule>_first_months, <rule>_repeat_months    1 to 600
 *   limit_<code>                 of a field test: a number of the limit's unit, three decimals
 *                                at most; not more than ten times what the handbook says
 * An age read strictly and cleanings read by interval are the safe defaults.
 */
#ifndef PEGWARDEN_RULES_PROGRAM_H
#define PEGWARDEN_RULES_PROGRAM_H

#include "base/arena.h"
#include "base/day.h"
#include "rules/handbook.h"

struct program_rule {
	const struct rule *rule;
	int first_months; /* 0: no such duty */
	int repeat_months;
};

struct program {
	const struct handbook *handbook;
	const struct rule_set *set;
	struct program_rule *rule; /* one for each of the set's rules, in its order */
	bool end_of_month;
	bool count_cleanings;
	bool routine_on_issue, routine_after_exposure;
	int routine_duty_days;
	int64_t limit[LIMIT_OF_COUNT]; /* thousandths of the limit's unit */
};

struct program_setting {
	const char *name;
	const char *value;
};

/* Are its months the department's rather than the rule set's? */
bool program_is_own(const struct program_rule *rule);

/* Until when the risk assessment that the selection of gear rests on is to be reviewed again: five
 * years later at most (37 Tex. Admin. Code 435.1). DAY_NONE: it is not known when it was. */
day risk_review_due(day reviewed_on);

/* From the department's settings, in any order; those that are not of the
 * program are left alone. ERR_INVALID names the setting that cannot be. The
 * program lives in the arena and borrows the handbook. */
enum err program_init(struct program *p, const struct handbook *hb,
		      const struct program_setting *setting, size_t count, struct arena *a,
		      struct fault *f) MUST_CHECK;

/* Is it a setting of the program (a name it would read)? */
bool program_owns(const struct program *p, const char *name);

/* A limit as the department has it, as rules/unit.h keeps it. */
int64_t program_limit(const struct program *p, enum limit_code code);
/* Is something measured, as rules/unit.h keeps it, within the limit? The limit itself is. */
bool program_is_within(const struct program *p, enum limit_code code, int64_t kept);
/* The same in words: "at least 12 m (39.37 ft)". */
const char *program_limit_text(const struct program *p, enum limit_code code, struct arena *a);

/* Is it within? And a sentence that says so: "Time: 200 s, as asked for, at least 180 s." */
bool program_hold(const struct program *p, enum limit_code code, const char *what, int64_t kept,
		  struct arena *a, const char **sentence);

/* What a new value would do to the program as it is. */
enum program_effect {
	PROGRAM_SAME,
	PROGRAM_TIGHTER,
	PROGRAM_LOOSER, /* looser than the rule set says: a reason must be recorded */
	PROGRAM_OTHER,  /* another rule set: its values are its own */
};
enum err program_compare(const struct program *p, const char *name, const char *value,
			 enum program_effect *effect, struct fault *f) MUST_CHECK;

/* What two programs ask otherwise of some sort of part. */
struct program_difference {
	const struct program_rule *from, *to; /* NULL: has no such rule */
	enum program_effect effect;           /* TIGHTER or LOOSER */
};
/* Sort of part by sort of part, each pair of rules once: a longer time, or a duty that is not
 * owed any more, is looser. Readings are not looked at. NULL when there is no memory. */
const struct program_difference *program_differences(const struct program *from,
						     const struct program *to, struct arena *a,
						     size_t *count);

/* The rule for a duty of such a part, or NULL: the most particular one. */
const struct program_rule *program_rule_for(const struct program *p, enum duty_code duty,
					    const struct kind *k, bool reflective, bool cbrn);

#endif
