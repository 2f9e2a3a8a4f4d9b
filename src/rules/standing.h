/*
 * Where a component stands: its service state, and everything in the way.
 *
 * Nobody types a service state. It follows from the facts, so there is no way
 * to bring a part back into service around a finding, a hold or a missing
 * inspection.
 */
#ifndef PEGWARDEN_RULES_STANDING_H
#define PEGWARDEN_RULES_STANDING_H

#include "rules/duty.h"

/* X(code, word, label) */
/* clang-format off */
#define SERVICE_STATE_LIST(X) \
	/* nothing in the way, nobody has it */ \
	X(IN_STORES, "in_stores", "In stores") \
	/* nothing in the way, issued or in a member's ensemble */ \
	X(IN_SERVICE, "in_service", "In service") \
	X(OUT_OF_SERVICE, "out_of_service", "Out of service") \
	X(AT_PROVIDER, "at_provider", "At provider") \
	/* back from repair, or due because of damage above it; clean */ \
	X(AWAITING_INSPECTION, "awaiting_inspection", "Awaiting inspection") \
	/* as it was found, after a special incident */ \
	X(HELD, "held", "Held") \
	X(RETIRED, "retired", "Retired") \
	/* retired too: clean, sound, marked; see rules/retirement.h */ \
	X(TRAINING_ONLY, "training_only", "Training only")
/* clang-format on */
#define SERVICE_STATE_CODE(code, word, label) STATE_##code,
enum service_state { SERVICE_STATE_LIST(SERVICE_STATE_CODE) STATE_COUNT };
extern const char *const service_state_word[STATE_COUNT];
extern const char *const service_state_label[STATE_COUNT];

/* Why it may not be used now. Codes:
 *   special_incident_hold retired at_provider return_inspection thorough_inspection
 *   safety_notice withdrawn contaminated finding retire_finding came_back_soiled
 *   came_back_damaged not_clean labels_disagree unfit field_test unknown_made
 *   unknown_in_service unknown_label
 * What is not known is never fine: without a date of manufacture its age is unknown, in use without
 * a day of service no interval can be counted, and without maker, model or serial nobody can tell
 * what it is. */
struct blocker {
	const char *code;
	const char *text;      /* one sentence: what, and what ends it */
	int64_t finding;       /* its id, or 0 */
	int64_t safety_notice; /* its id, or 0 */
	int64_t exposure;      /* of contaminated: its id; 0: it came back so, or other codes */
	int64_t field_test;    /* of field_test: its id; else 0 */
	const char *raised_at; /* of thorough_inspection: an instant; else NULL */
	const char *question;  /* of labels_disagree: "model_agrees", "size_agrees"; else NULL */
};

struct standing {
	enum service_state state;
	const struct blocker *blocker; /* arena memory */
	size_t blocker_count;
	/* The last day it counts as ready by the duties that bear on readiness:
	 * DAY_NONE when blocked, DAY_MAX when nothing dates it. */
	day ready_until;
	const struct duty *limit; /* the duty that sets ready_until, or NULL */
};

/* What ends a finding, as a sentence; "" where nothing has to. */
extern const char *const closed_by_ends[CLOSED_BY_COUNT];

/* duties: of the same facts; borrowed by limit. */
void standing_make(struct standing *s, const struct component_facts *c,
		   const struct duty_list *duties, const struct handbook *hb, struct arena *a);

#endif
