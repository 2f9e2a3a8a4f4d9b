/*
 * What a component owes, by when, and why.
 *
 * Duties follow from the facts of one component and the department's program.
 * They do not depend on today: "overdue" is a comparison of the due day with
 * today, made by whoever asks. The due day is the last day that is still in
 * time; for retirement, the last day the part may be used.
 */
#ifndef PEGWARDEN_RULES_DUTY_H
#define PEGWARDEN_RULES_DUTY_H

#include "base/arena.h"
#include "base/day.h"
#include "rules/exposure.h"
#include "rules/field_test.h"
#include "rules/handbook.h"
#include "rules/program.h"
#include "rules/safety_notice.h"

/* A finding that keeps the component out of service: state 'open'. */
struct open_finding {
	int64_t id;
	const char *check_point; /* code */
	const char *defect;      /* code */
	const char *zone;        /* code, or NULL */
	const char *place;       /* words, or NULL */
	const struct outcome *outcome;
	day found_on;
	day came_back_on; /* from a provider, repaired or found without fault; DAY_NONE: not */
};

/* Became due because of a finding elsewhere, and not yet done. */
struct open_follow_up {
	enum duty_code duty;
	day due_on;
	const char *reason;
	const char *raised_at; /* instant, RFC 3339: when the finding above it was signed */
};

/* Of a safety notice that is not followed to its end for this component. */
struct open_safety_notice {
	int64_t id;
	const char *number, *title;
	enum safety_action action;
	enum safety_hit hit;
	enum safety_state state; /* one that blocks */
	const char *reason;      /* why it hits, or may */
	day asked_on;
};

/*
 * The facts of one component, as the tables have them. DAY_NONE, 0, NULL and
 * false mean "never", "none", "unknown". Signed inspections only. One counts as
 * done when its conclusion is neither clean_first nor not_finished, and the part
 * was not contaminated.
 */
struct component_facts {
	const struct kind *kind;
	struct label_date made;
	int life_months;    /* the maker's limit, from manufacture; 0: none known */
	bool is_identified; /* its maker, model or serial is on record */
	day in_service_on;
	bool cbrn;
	bool reflective;
	const char *withdrawn_reason;
	const char *hold_incident; /* of an open special incident hold; NULL: not held */
	day held_on;
	day retired_on;
	const char
	    *retired_ground; /* word of rules/retirement.h; NULL: unknown, as of old records */
	const char *retired_reason; /* words; NULL or "": the ground says it all */
	day disposed_on;
	day training_on; /* marked for training without live fire */

	/* Who has it. */
	bool is_issued;              /* an open issue */
	day issued_on;               /* of the latest issue, open or ended */
	day first_issued_on;         /* of the first issue ever */
	day last_returned_on;        /* the latest day an issue ended */
	day soiled_return_on;        /* that day, when it came back soiled or contaminated */
	bool is_contaminated_return; /* contaminated, not only soiled */
	day damaged_return_on;       /* that day, when it came back damaged */
	bool is_assigned;            /* its ensemble is a member's */

	/* The latest done inspection of each kind. */
	day inspected_on[INSPECTION_KIND_COUNT];
	/* The latest routine inspection that found something else than dirt which is not settled,
	 * when no advanced or complete liner inspection began since. */
	day problem_on;
	/* The latest signed part with clean answered said no, or was not routine and of a part that
	 * was contaminated then (exposure_taints); by which exposure, NULL: somebody answered no.
	 */
	day not_clean_on;
	const struct exposure *not_clean_by;
	/* The latest signed part with model (size) answered yes or no said no. */
	day model_disagrees_on;
	day size_disagrees_on;
	/* A signed part was brought in without a check list and concluded out of service or retire,
	 * no finding tells why, and none that is not routine came after it. */
	day unfit_on;

	/* Advanced and specialized cleanings: the latest, and the one before it. */
	day cleaned_on;
	day cleaned_before_on;

	day washed_on;      /* the latest cleaning of any class */
	day specialized_on; /* the latest specialized cleaning */
	day harmed_on;      /* the latest cleaning beyond what gear stands */
	day outside_on;     /* the latest cleaning by a provider, of any class */
	day exposed_on;     /* the latest exposure, cleaned since or not */

	struct latest_test test[TEST_COUNT];
	/* The latest test of the barrier that was not valid, but in which it wetted through. */
	day doubted_on;
	/* The latest day on which a light evaluation found it suspect, and no provider's of a later
	 * day did not: who looked once more in the station has opened nothing. */
	day suspected_on;
	/* The latest day on which work on its moisture barrier was found to be mended, and when it
	 * had gone away for that (the same day where it had not). */
	day barrier_mended_on;
	day barrier_sent_on;

	/* Those not said to be ended by a cleaning of their day, nor revoked. */
	const struct exposure *exposure;
	size_t exposure_count;

	/* On a dispatch that is sent and not returned. */
	day sent_on;
	const char *dispatch_number;
	const char *provider_name;
	/* Returned from a provider on this day, no signed return inspection on or after it. */
	day back_on;

	const struct open_finding *finding;
	size_t finding_count;
	const struct open_follow_up *follow_up;
	size_t follow_up_count;
	const struct open_safety_notice *safety_notice;
	size_t safety_notice_count;
};

/* Nothing is known: each "never", "none" or "unknown"; the kind is NULL. */
struct component_facts component_facts_none(void);

/* Somebody has it, or it belongs to somebody's ensemble. */
bool component_in_use(const struct component_facts *c);
/* Was it taken back soiled (contaminated), and not cleaned since as that asks for? Whoever has it
 * again got it before that was asked. Damaged, and not inspected thoroughly since? */
bool component_came_back_soiled(const struct component_facts *c);
bool component_came_back_contaminated(const struct component_facts *c);
bool component_came_back_damaged(const struct component_facts *c);

struct duty {
	enum duty_code duty;
	day due_on;       /* DAY_NONE: owed, but a fact is missing that would date it */
	const char *rule; /* code of the rule applied; or one that holds under every
			 rule set, see duty_source */
	const char *fact; /* what it was counted from: 'made', 'inspected', 'in_service', ... */
	char fact_on[DAY_TEXT_SIZE]; /* "YYYY-MM-DD", of a label also "YYYY-MM"; "": unknown */
	const char *reason;          /* one sentence for people */
	bool bears_on_readiness;
};

struct duty_list {
	struct duty duty[DUTY_COUNT]; /* at most one of each, in the order of the enum */
	size_t count;
};

/* Every duty of the component; reasons are written into the arena. A retired
 * component owes nothing. */
void duty_list_make(struct duty_list *list, const struct component_facts *c,
		    const struct program *p, struct arena *a);

const struct duty *duty_list_find(const struct duty_list *list, enum duty_code duty);

/* Is what the rule of that code asks for owed before the part is used again? Then the day it is due
 * since is no day in time. */
bool duty_is_before_use(const char *rule);

/* Where the rule of that code comes from, in words: not from the rule set's source where the months
 * are the department's. NULL: no such rule in the program. */
const char *duty_source(const struct program *p, const char *rule);

/* The last day a part of that label date may be used; months > 0. Strictly read, a
 * part made June 2016 with a limit of 120 months may be used until 31 May 2026;
 * by the end of the month, until 30 June 2026. DAY_NONE when the date is unknown. */
day duty_last_day_of_life(struct label_date made, int months, bool end_of_month);

/* The age at which such a part is retired, in months: by the program's rule or the maker's limit
 * (life_months; 0: none known), whichever ends first; rule is its code. 0 and NULL: neither
 * names one. */
int duty_life_months(const struct program *p, const struct kind *k, bool reflective, bool cbrn,
		     int life_months, const char **rule);

#endif
