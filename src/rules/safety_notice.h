/*
 * Safety notices: what a maker, a certification body or an authority says about gear
 * that is in service, and which gear that concerns.
 *
 * A scope is compared with what is on record of a component's label. An entry that the
 * scope asks for and the record does not have lets nothing off: the component may be
 * meant until somebody has read its label. The notice itself decides; this only helps to
 * find what it may concern.
 */
#ifndef PEGWARDEN_RULES_SAFETY_NOTICE_H
#define PEGWARDEN_RULES_SAFETY_NOTICE_H

#include "base/arena.h"
#include "base/day.h"

/* What the issuer asks for: X(code, word, label) */
/* clang-format off */
#define SAFETY_ACTION_LIST(X) \
	/* until the issuer says more */ \
	X(STOP_USE, "stop_use", "Stop use at once") \
	X(INSPECT, "inspect", "Inspect before next use") \
	X(SEND, "send", "Send to the maker or a provider") \
	X(REPLACE, "replace", "Replace the part") \
	X(INFORM, "inform", "Keep using, be informed")
/* clang-format on */
#define SAFETY_ACTION_CODE(code, word, label) SAFETY_##code,
enum safety_action { SAFETY_ACTION_LIST(SAFETY_ACTION_CODE) SAFETY_ACTION_COUNT };
extern const char *const safety_action_word[SAFETY_ACTION_COUNT];
extern const char *const safety_action_label[SAFETY_ACTION_COUNT];

enum safety_hit {
	SAFETY_NO,
	SAFETY_POSSIBLE, /* an entry it asks for is not on record, or cannot be compared */
	SAFETY_HIT,
	SAFETY_HIT_COUNT
};
extern const char *const safety_hit_word[SAFETY_HIT_COUNT];

/* NULL and unknown dates: any. Texts are folded (text_fold). */
struct safety_scope {
	const char *kind, *hazard; /* codes */
	const char *maker;         /* never NULL */
	const char *model;
	const char *serial_from, *serial_to; /* lot or serial number, both included */
	const char *const *serial;           /* or one of these */
	size_t serial_count;
	struct label_date made_from, made_to; /* months, both included */
};

/* Of a component, as on record; NULL and unknown: not on record. */
struct safety_label {
	const char *kind, *hazard;
	const char *maker, *model, *serial;
	struct label_date made;
};

/*
 * Does the scope hit it? *reason names the entries that decided, in the arena; NULL for
 * SAFETY_NO. Lot and serial numbers are compared with their runs of digits as numbers, and
 * signs and spaces between left out. Only what is written alike can be compared (letters
 * where the scope has letters, digits where it has digits): what is written otherwise is
 * possible.
 */
enum safety_hit safety_scope_hits(const struct safety_scope *scope,
				  const struct safety_label *label, struct arena *a,
				  const char **reason);

/* What keeps a scope from finding what it means, as one sentence, and the entry it stands in
 * ("maker", "serial_to", ...); NULL: nothing. */
const char *safety_scope_flaw(const struct safety_scope *scope, const char **entry);

/* Folded lot or serial numbers: less than, equal to, greater than 0 as b is after a. */
int safety_serial_compare(const char *a, const char *b);

/* What somebody did about it: X(code, word, label) */
/* clang-format off */
#define SAFETY_ANSWER_LIST(X) \
	X(DONE, "done", "Done as asked") \
	X(NOT_AFFECTED, "not_affected", "Not affected") \
	X(SENT, "sent", "Sent to the maker or a provider") \
	X(RETIRED, "retired", "Retired")
/* clang-format on */
#define SAFETY_ANSWER_CODE(code, word, label) SAFETY_ANSWER_##code,
enum safety_answer {
	SAFETY_ANSWER_LIST(SAFETY_ANSWER_CODE) SAFETY_ANSWER_COUNT,
	SAFETY_ANSWER_NONE = SAFETY_ANSWER_COUNT
};
extern const char *const safety_answer_word[SAFETY_ANSWER_COUNT];

/* How far a notice is followed for one component: X(code, word, label) */
/* clang-format off */
#define SAFETY_STATE_LIST(X) \
	X(LEFT, "left", "Left") \
	/* away because of it; what was done there is not recorded yet */ \
	X(SENT, "sent", "Sent, not back") \
	/* it was to be used no more, and is not */ \
	X(OUT_OF_USE, "out_of_use", "Out of use") \
	/* as asked */ \
	X(DONE, "done", "Done") \
	/* somebody looked and said why */ \
	X(NOT_AFFECTED, "not_affected", "Not affected") \
	X(RETIRED, "retired", "Retired") \
	/* nothing is asked */ \
	X(INFORMED, "informed", "Nothing asked") \
	X(WITHDRAWN, "withdrawn", "Notice withdrawn")
/* clang-format on */
#define SAFETY_STATE_CODE(code, word, label) SAFETY_##code,
enum safety_state { SAFETY_STATE_LIST(SAFETY_STATE_CODE) SAFETY_STATE_COUNT };
extern const char *const safety_state_word[SAFETY_STATE_COUNT];

/* A component that a notice hits or may hit, with its latest answer. */
struct safety_case {
	enum safety_action action;
	int edition;       /* of what it concerns: counts each addition */
	bool is_withdrawn; /* the notice, by its issuer or as a mistake */
	enum safety_hit hit;
	bool is_retired;

	enum safety_answer answer; /* SAFETY_ANSWER_NONE: none */
	/* As they were when it was answered. */
	enum safety_action answered_action;
	enum safety_hit answered_hit;
	int answered_edition;
};
/* What was done counts for the action it was done for. That something is not affected counts
 * for what the notice concerned then, and when it only might have been hit, until it is. */
enum safety_state safety_state_of(const struct safety_case *c);
/* Nobody may use it. */
bool safety_state_blocks(enum safety_state state);
/* Somebody still has to do something. */
bool safety_state_is_left(enum safety_state state);

#endif
