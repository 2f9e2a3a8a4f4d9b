/*
 * Is a member ready: has a complete, fitting, in-date, in-service ensemble
 * against a hazard that closed when it was worn, and if not, what stands in
 * the way?
 *
 * A part counts for a member when it is in one of the member's ensembles and
 * nobody else holds it, or when it is issued to the member: a loaner hood makes
 * an ensemble complete whose own hood is away for repair.
 */
#ifndef PEGWARDEN_RULES_READINESS_H
#define PEGWARDEN_RULES_READINESS_H

#include "base/arena.h"
#include "base/day.h"
#include "rules/fit.h"
#include "rules/fit_check.h"
#include "rules/handbook.h"
#include "rules/standing.h"

struct member_part {
	int64_t component;
	const char *tag;
	const struct kind *kind;
	enum hazard hazard;
	bool reflective;
	struct label label;
	int64_t ensemble;        /* 0: none */
	int64_t holder;          /* the member it is issued to; 0: nobody */
	const char *holder_name; /* when that is somebody else; may be NULL */
	/* of its standing */
	enum service_state state;
	day ready_until;          /* DAY_NONE: blocked */
	const char *blocker_text; /* the first blocker's; NULL when not blocked */
};

/* X(code, word, label) */
/* clang-format off */
#define ENSEMBLE_LINE_LIST(X) \
	X(PRIMARY, "primary", "Primary") \
	X(SECOND, "second", "Second") \
	X(RESERVE, "reserve", "Reserve")
/* clang-format on */
#define ENSEMBLE_LINE_CODE(code, word, label) LINE_##code,
enum ensemble_line { ENSEMBLE_LINE_LIST(ENSEMBLE_LINE_CODE) LINE_COUNT };
extern const char *const ensemble_line_word[LINE_COUNT];

struct member_ensemble {
	int64_t id;
	const char *code;
	enum hazard hazard;
	enum ensemble_line line;
};

struct member_facts {
	int64_t member;
	const struct member_ensemble *ensemble; /* active ones of this member */
	size_t ensemble_count;
	/* parts of these ensembles, and parts issued to the member, each once */
	const struct member_part *part;
	size_t part_count;
	struct fit_state fit[HAZARD_COUNT]; /* of interface checks; never checked is no obstacle */
};

/* Codes: no_ensemble missing blocked held_by_other misfit gap lapses */
struct obstacle {
	const char *code;
	const char *text;
	int64_t component; /* 0: none */
	int64_t fit_check; /* the one that found the gap; 0: none */
	day from;          /* DAY_NONE: stands in the way now; else from this day on */
};

struct readiness {
	day ready_until;  /* last day ready; DAY_NONE: not ready now */
	int64_t ensemble; /* the one that counts, or the best of those that do not; 0: none */
	const struct obstacle *obstacle; /* arena memory; when ready, the one that ends it */
	size_t obstacle_count;
};

void readiness_make(struct readiness *r, const struct member_facts *m, enum hazard h,
		    const struct handbook *hb, struct arena *a);

#endif
