/*
 * The handbook: the reference rows of the trade, read once and then only read.
 *
 * The rows stand in migrations/0002-handbook.sql, each with its source; the
 * store hands them over as arrays in column order, and handbook_link ties them
 * together. Everything in rules/ takes the handbook as an argument; nothing
 * here knows where it came from. Texts and arrays belong to whoever filled
 * them and must outlive the handbook.
 *
 * Fields named …_code are what a row says; the pointer beside it is what
 * handbook_link found. Looking up answers NULL when there is no such row.
 */
#ifndef PEGWARDEN_RULES_HANDBOOK_H
#define PEGWARDEN_RULES_HANDBOOK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/fault.h"
#include "rules/unit.h"

/* --- closed sets of words: the columns' CHECKs and these enums agree --------- */

/* Words of closed sets: X(code, word, label), or with the text that a form shows. */
/* clang-format off */
#define HAZARD_LIST(X) \
	X(STRUCTURAL, "structural", "Structural") \
	X(PROXIMITY, "proximity", "Proximity")
#define INSPECTION_KIND_LIST(X) \
	/* after use, on issue, at the start of duty */ \
	X(ROUTINE, "routine", "Routine inspection", "Routine: by the wearer") \
	X(ADVANCED, "advanced", "Advanced inspection", \
	  "Advanced: every separable part, by a trained inspector") \
	X(LINER, "liner", "Complete liner inspection", \
	  "Complete liner inspection: liner opened, all inner faces seen") \
	/* what was mended, and put together rightly */ \
	X(RETURN, "return", "Return inspection", "Return: after repair, before it serves again")
#define FACE_LIST(X) \
	X(FRONT, "front", "Front") \
	X(BACK, "back", "Back")
#define SIDE_LIST(X) \
	X(OUTSIDE, "outside", "Outside") \
	X(INSIDE, "inside", "Inside")
#define SEVERITY_LIST(X) \
	X(MINOR, "minor", "Minor") \
	X(MAJOR, "major", "Major") \
	X(CRITICAL, "critical", "Critical")
/* clang-format on */

#define HAZARD_CODE(code, word, label) HAZARD_##code,
enum hazard { HAZARD_LIST(HAZARD_CODE) HAZARD_COUNT };

#define INSPECTION_KIND_CODE(code, word, label, text) INSPECTION_##code,
enum inspection_kind { INSPECTION_KIND_LIST(INSPECTION_KIND_CODE) INSPECTION_KIND_COUNT };

/* Of a zone that has both. */
#define FACE_CODE(code, word, label) FACE_##code,
enum face { FACE_LIST(FACE_CODE) FACE_COUNT };
#define SIDE_CODE(code, word, label) SIDE_##code,
enum side { SIDE_LIST(SIDE_CODE) SIDE_COUNT };
#define SEVERITY_CODE(code, word, label) SEVERITY_##code,
enum severity { SEVERITY_LIST(SEVERITY_CODE) SEVERITY_COUNT };

/* What ends a finding that keeps a part out of service. */
enum closed_by {
	CLOSED_BY_NOTHING,  /* nothing to end: it may serve on */
	CLOSED_BY_CLEANING, /* an advanced or specialized cleaning */
	CLOSED_BY_RETURN,   /* a signed return inspection that finds the place sound */
	CLOSED_BY_ANSWER,   /* the maker's (or a verified provider's) recorded answer */
	CLOSED_BY_RETIREMENT,
	CLOSED_BY_COUNT
};

/* How hard a repair is; see finding_repair_class in verdict.h, and qualification.h for who may. */
enum repair_class {
	REPAIR_TRAINED,  /* trained people by the maker's instructions: helmets, hoods, ... */
	REPAIR_BASIC,    /* a manufacturer-trained organization may do it */
	REPAIR_ADVANCED, /* verified provider, verified organization or maker only */
	REPAIR_CLASS_COUNT
};

enum duty_code {
	DUTY_ROUTINE_INSPECTION,
	DUTY_ADVANCED_INSPECTION,
	DUTY_ADVANCED_CLEANING,
	DUTY_LINER_INSPECTION,
	DUTY_RETURN_INSPECTION,
	DUTY_RETIREMENT,
	DUTY_SPECIALIZED_CLEANING,
	DUTY_LEAK_TEST, /* of a moisture barrier that was worked on */
	DUTY_DRD_CHECK, /* of a coat that came back from an outside cleaning */
	DUTY_COUNT
};

/* What something measured is held against. */
enum limit_code {
	LIMIT_OF_TRIM_DISTANCE,
	LIMIT_OF_MIX_WEAKEST,
	LIMIT_OF_MIX_STRONGEST,
	LIMIT_OF_LEAK_AMOUNT,
	LIMIT_OF_LEAK_TIME,
	LIMIT_OF_WATER_PRESSURE,
	LIMIT_OF_WATER_TIME,
	LIMIT_OF_CUFF_GAP,
	LIMIT_OF_HEM_GAP,
	LIMIT_OF_OVERLAP,
	LIMIT_OF_WASH_WATER,
	LIMIT_OF_PH_LEAST,
	LIMIT_OF_PH_MOST,
	LIMIT_OF_EXTRACTION,
	LIMIT_OF_DRYING_AIR,
	LIMIT_OF_LOAD,
	LIMIT_OF_LEG_LEAST,
	LIMIT_OF_LEG_MOST,
	LIMIT_OF_LAB_FIRST, /* from here on a laboratory's, of new product */
	LIMIT_OF_LAB_TPP = LIMIT_OF_LAB_FIRST,
	LIMIT_OF_LAB_THL,
	LIMIT_OF_LAB_HOOD_TPP,
	LIMIT_OF_LAB_RPP,
	LIMIT_OF_LAB_REFLECTION,
	LIMIT_OF_LAB_TEAR_SHELL,
	LIMIT_OF_LAB_TEAR_LINER,
	LIMIT_OF_LAB_SHELL_STRENGTH,
	LIMIT_OF_LAB_SEAM_A,
	LIMIT_OF_LAB_SEAM_B,
	LIMIT_OF_LAB_SEAM_MINOR,
	LIMIT_OF_LAB_WATER,
	LIMIT_OF_LAB_CHAR,
	LIMIT_OF_LAB_AFTER_FLAME,
	LIMIT_OF_LAB_SHRINKAGE,
	LIMIT_OF_COUNT
};

extern const char *const hazard_word[HAZARD_COUNT];
extern const char *const inspection_kind_word[INSPECTION_KIND_COUNT];
extern const char *const inspection_kind_label[INSPECTION_KIND_COUNT]; /* "Routine inspection" */
extern const char *const face_word[FACE_COUNT];
extern const char *const side_word[SIDE_COUNT];
extern const char *const severity_word[SEVERITY_COUNT];
extern const char *const closed_by_word[CLOSED_BY_COUNT];
extern const char *const repair_class_word[REPAIR_CLASS_COUNT];
extern const char *const duty_word[DUTY_COUNT];
extern const char *const limit_word[LIMIT_OF_COUNT];

/* The index of text among count words; -1 when it is none of them, or NULL. */
int word_find(const char *const *word, int count, const char *text);

/* A column that asks for a property, forbids it, or does not care (null). */
enum wants { WANTS_EITHER = -1, WANTS_NO = 0, WANTS_YES = 1 };

/* --- rows ---------------------------------------------------------------- */

/* component_kind, ordered by position: the order of work. */
struct kind {
	const char *code;          /* 'coat_shell' */
	const char *label;         /* "Coat shell" */
	const char *element;       /* 'coat': what the trade issues as one thing */
	bool hazard[HAZARD_COUNT]; /* occurs in structural, proximity ensembles */
	bool is_layer; /* a separable layer of a garment or helmet: inspected by itself */
	bool is_outer; /* an outer shell: what a reflective age limit speaks of */
	bool is_liner; /* owes complete liner inspections */
	bool has_seams;
	bool is_hard; /* disinfected; what is soft is sanitized */
	size_t index; /* set by handbook_link: place among the kinds */
};

/* kind_beneath: the second lies beneath the first when worn. */
struct beneath {
	const char *kind_code;
	const char *beneath_code;
	const struct kind *kind;
	const struct kind *beneath;
};

/* kind_fit: label entries in which a part must agree with the shell it goes into. */
struct fit_rule {
	const char *shell_code;
	const char *part_code;
	bool maker, model, size;
	const struct kind *shell;
	const struct kind *part;
};

/* kind_zone, ordered by kind and position: named places on a kind. */
struct zone {
	const char *kind_code;
	const char *code;
	const char *label;
	bool has_faces; /* front or back is asked */
	bool has_sides; /* outside or inside is asked */
	const struct kind *kind;
};

/* defect: the trade's words for what can be found. */
struct defect {
	const char *code;
	const char *label;
};

/* outcome, ordered by position: what happens because of a finding. */
struct outcome {
	const char *code;
	const char *label;
	int strictness; /* a looser outcome than the trade's own needs a recorded reason */
	bool blocks;    /* keeps the part out of service until it is closed */
	bool to_ticket; /* may be sent to a provider on a repair ticket */
	bool retires;
	enum closed_by closed_by;
};

/* subject: what sort of thing a check point looks at; its defects and outcomes follow from it. */
struct subject {
	const char *code;
	const char *label;
	const struct subject_defect *defect; /* its rows, set by handbook_link */
	size_t defect_count;
};

/* subject_defect, ordered by subject and position. The three outcome columns
 * are words parted by single spaces ("" for none). */
#define SUBJECT_OUTCOMES_MAX 6
struct subject_defect {
	const char *subject_code;
	const char *defect_code;
	const char *outcome_code;      /* the trade's own outcome: the default */
	const char *or_codes;          /* also offered, no reason asked */
	const char *with_reason_codes; /* offered only with a recorded reason */
	enum severity severity;        /* default */
	enum repair_class repair_class;
	int basic_up_to_mm; /* a repair is basic up to this length, else advanced; 0: not asked */
	bool beneath_due;   /* layers beneath become due for a thorough inspection */
	const char *source;
	const struct subject *subject;
	const struct defect *defect;
	const struct outcome *outcome;
	const struct outcome *or_outcome[SUBJECT_OUTCOMES_MAX]; /* NULL after the last */
	const struct outcome *with_reason[SUBJECT_OUTCOMES_MAX];
};

/* check_point, ordered by checklist_id and position. */
struct check_point {
	int64_t checklist_id;
	const char *code;
	const char *group_code;
	const char *group_title;
	const char *title;
	const char *look_for;
	const char *how;
	const char *drawing; /* of how, in static/how; or NULL */
	const char *source;
	const char *subject_code;
	bool needs_trim;       /* asked only of items that carry trim */
	enum wants reflective; /* asked only of reflective (or only of other) items */
	bool is_seam;          /* the exact place of a finding is mandatory */
	bool is_optional;      /* some models lack it: "not applicable" is an answer */
	bool asked[INSPECTION_KIND_COUNT];
	const struct subject *subject;
	size_t index; /* set by handbook_link: place in its list */
};

/* checklist, ordered by id. A kind may have several versions for a hazard. */
struct checklist {
	int64_t id;
	const char *kind_code;
	enum hazard hazard;
	int version;
	const char *valid_from; /* YYYY-MM-DD */
	const struct kind *kind;
	const struct check_point *point; /* set by handbook_link */
	size_t point_count;
};

/* duty_kind, in the order of enum duty_code. */
struct duty_kind {
	const char *code;
	const char *label;
	bool bears_on_readiness; /* overdue means not ready */
};

/* limit_value, in the order of enum limit_code. */
struct limit_value {
	const char *code;
	const char *label;
	enum unit unit;
	bool is_minimum; /* else a maximum; the limit itself is within */
	int64_t thousandths;
	const char *source;
	const char *confidence; /* 'high', 'medium', 'low' */
};
/* A department's own is at most so many times the handbook's: more is a slip of the finger. */
#define LIMIT_TIMES_MAX 10

/* rule_set, ordered by position. */
struct rule_set {
	const char *code;
	const char *label;
	bool is_default;
	const char *source;
	const struct rule *rule; /* set by handbook_link */
	size_t rule_count;
};

/* rule, ordered by rule_set and code. The selectors say to what it applies;
 * of several rules for a duty the one with most selectors decides. */
struct rule {
	const char *set_code;
	const char *code; /* unique in its set; also the stem of its settings' names */
	const char *label;
	const char *duty_code;
	const char *kind_code; /* NULL: any kind */
	enum wants outer, liner, reflective, cbrn;
	int first_months;  /* to the first time; 0: this set names none */
	int repeat_months; /* from one time to the next; 0: as first_months */
	int per_year;      /* the same duty counted: so many in any 12 months; 0: not counted */
	const char *source;
	const char *confidence; /* 'high', 'medium', 'low' */
	enum duty_code duty;
	const struct kind *kind;
	int selectors; /* how many are set */
};

/* ensemble_requirement, ordered by hazard and position; rows of one slot are alternatives. */
struct requirement {
	enum hazard hazard;
	const char *slot;
	const char *label; /* of the slot: "Faceshield or goggles" */
	const char *kind_code;
	enum wants reflective;
	const struct kind *kind;
};

/* --- the whole ------------------------------------------------------------- */

struct handbook {
	struct kind *kind;
	size_t kind_count;
	struct beneath *beneath;
	size_t beneath_count;
	struct fit_rule *fit;
	size_t fit_count;
	struct zone *zone;
	size_t zone_count;
	struct defect *defect;
	size_t defect_count;
	struct outcome *outcome;
	size_t outcome_count;
	struct subject *subject;
	size_t subject_count;
	struct subject_defect *subject_defect;
	size_t subject_defect_count;
	struct checklist *checklist;
	size_t checklist_count;
	struct check_point *point;
	size_t point_count;
	struct duty_kind *duty;
	size_t duty_count;
	struct rule_set *rule_set;
	size_t rule_set_count;
	struct rule *rule;
	size_t rule_count;
	struct requirement *requirement;
	size_t requirement_count;
	struct limit_value *limit;
	size_t limit_count;
};

/* Ties the rows together and checks that they hold: every reference found, rows
 * of one owner side by side, the duties those of enum duty_code, the limits those
 * of enum limit_code, one default rule set. ERR_CORRUPT with the row at fault otherwise. */
enum err handbook_link(struct handbook *hb, struct fault *f) MUST_CHECK;

const struct kind *handbook_kind(const struct handbook *hb, const char *code);
const struct zone *handbook_zone(const struct handbook *hb, const struct kind *k, const char *code);
const struct defect *handbook_defect(const struct handbook *hb, const char *code);
const struct outcome *handbook_outcome(const struct handbook *hb, const char *code);
const struct rule_set *handbook_rule_set(const struct handbook *hb, const char *code);
const struct checklist *handbook_checklist(const struct handbook *hb, int64_t id);
/* The newest list of a kind for a hazard that is valid on a day (YYYY-MM-DD). */
const struct checklist *handbook_checklist_for(const struct handbook *hb, const struct kind *k,
					       enum hazard h, const char *day_text);
const struct check_point *checklist_point(const struct checklist *list, const char *code);
/* Of whichever list of the kind, the latest that has it: what was brought in has no list. */
const struct check_point *handbook_check_point(const struct handbook *hb, const struct kind *k,
					       const char *code);
const struct subject_defect *subject_defect_find(const struct subject *s, const char *defect_code);

#endif
