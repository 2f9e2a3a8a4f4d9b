#include "rules/qualification.h"

#include "base/text.h"

#define WORD(code, word, label, remark) word,
#define LABEL(code, word, label, remark) label,
#define REMARK(code, word, label, remark) remark,
const char *const performer_class_word[PERFORMER_CLASS_COUNT] = {PERFORMER_CLASS_LIST(WORD)};
const char *const performer_class_label[PERFORMER_CLASS_COUNT] = {PERFORMER_CLASS_LIST(LABEL)};
const char *const performer_class_remark[PERFORMER_CLASS_COUNT] = {PERFORMER_CLASS_LIST(REMARK)};

const char *const work_word[WORK_COUNT] = {
    [WORK_ROUTINE_INSPECTION] = "routine_inspection",
    [WORK_ROUTINE_CLEANING] = "routine_cleaning",
    [WORK_ADVANCED_CLEANING] = "advanced_cleaning",
    [WORK_SANITIZATION] = "sanitization",
    [WORK_SPECIALIZED_CLEANING] = "specialized_cleaning",
    [WORK_ADVANCED_INSPECTION] = "advanced_inspection",
    [WORK_LINER_INSPECTION] = "liner_inspection",
    [WORK_BASIC_REPAIR] = "basic_repair",
    [WORK_ADVANCED_REPAIR] = "advanced_repair",
};
const char *const work_label[WORK_COUNT] = {
    [WORK_ROUTINE_INSPECTION] = "routine inspection",
    [WORK_ROUTINE_CLEANING] = "routine cleaning",
    [WORK_ADVANCED_CLEANING] = "advanced cleaning",
    [WORK_SANITIZATION] = "sanitization",
    [WORK_SPECIALIZED_CLEANING] = "specialized cleaning",
    [WORK_ADVANCED_INSPECTION] = "advanced inspection",
    [WORK_LINER_INSPECTION] = "complete liner inspection",
    [WORK_BASIC_REPAIR] = "basic repair",
    [WORK_ADVANCED_REPAIR] = "advanced repair",
};

/* --- the table ---------------------------------------------------------------- */

#define SHEET "Structural gear routine inspection sheet, 2008 edition"
#define OPTIONS "Fire-service trade magazine, \"How do I comply with NFPA 1851? Five options\""
#define TRAINING "Trade press and a maker's answers on who may train, inspect and repair"
#define CATEGORIES "A service provider's page on the categories of verification"
#define LINERS "A service provider's overview of inspections"
#define SPECIAL "A department's procedure on specialized cleaning"
#define FIRST_LOOK "Trade press, \"How to inspect firefighter gear for damage\""
/* What no source says outright. */
#define LESSER "Decided here: who may do the thorough work may do the simple one"
#define AS_ADVANCED "Decided here: as advanced cleaning, which it may do"
#define UNNAMED "Decided here: no source names this class for it"

#define YES(source, confidence)                                                                    \
	{ true, source, confidence }
#define NO(source, confidence)                                                                     \
	{ false, source, confidence }

static const struct qualification table[PERFORMER_CLASS_COUNT][WORK_COUNT] =
    {
	[PERFORMER_MEMBER] =
	    {
		[WORK_ROUTINE_INSPECTION] = YES(SHEET, "high"),
		[WORK_ROUTINE_CLEANING] = YES(FIRST_LOOK, "high"),
		[WORK_ADVANCED_CLEANING] = NO(OPTIONS, "high"),
		[WORK_SANITIZATION] = NO(CATEGORIES, "medium"),
		[WORK_SPECIALIZED_CLEANING] = NO(SPECIAL, "medium"),
		[WORK_ADVANCED_INSPECTION] = NO(OPTIONS, "high"),
		[WORK_LINER_INSPECTION] = NO(LINERS, "medium"),
		[WORK_BASIC_REPAIR] = NO(OPTIONS, "high"),
		[WORK_ADVANCED_REPAIR] = NO(OPTIONS, "high"),
	    },
	[PERFORMER_TRAINED_ORGANIZATION] =
	    {
		[WORK_ROUTINE_INSPECTION] = YES(LESSER, "medium"),
		[WORK_ROUTINE_CLEANING] = YES(LESSER, "medium"),
		[WORK_ADVANCED_CLEANING] = YES(OPTIONS, "high"),
		[WORK_SANITIZATION] = NO(UNNAMED, "medium"),
		[WORK_SPECIALIZED_CLEANING] = YES(SPECIAL, "medium"),
		[WORK_ADVANCED_INSPECTION] = YES(TRAINING, "high"),
		[WORK_LINER_INSPECTION] = YES(LINERS, "medium"),
		[WORK_BASIC_REPAIR] = YES(OPTIONS, "high"),
		[WORK_ADVANCED_REPAIR] = NO(OPTIONS, "high"),
	    },
	[PERFORMER_VERIFIED_ORGANIZATION] =
	    {
		[WORK_ROUTINE_INSPECTION] = YES(OPTIONS, "high"),
		[WORK_ROUTINE_CLEANING] = YES(OPTIONS, "high"),
		[WORK_ADVANCED_CLEANING] = YES(OPTIONS, "high"),
		[WORK_SANITIZATION] = YES(OPTIONS, "high"),
		[WORK_SPECIALIZED_CLEANING] = YES(OPTIONS, "high"),
		[WORK_ADVANCED_INSPECTION] = YES(OPTIONS, "high"),
		[WORK_LINER_INSPECTION] = YES(OPTIONS, "high"),
		[WORK_BASIC_REPAIR] = YES(OPTIONS, "high"),
		[WORK_ADVANCED_REPAIR] = YES(OPTIONS, "high"),
	    },
	[PERFORMER_VERIFIED_PROVIDER] =
	    {
		[WORK_ROUTINE_INSPECTION] = YES(LESSER, "medium"),
		[WORK_ROUTINE_CLEANING] = YES(LESSER, "medium"),
		[WORK_ADVANCED_CLEANING] = YES(OPTIONS, "high"),
		[WORK_SANITIZATION] = YES(CATEGORIES, "medium"),
		[WORK_SPECIALIZED_CLEANING] = YES(AS_ADVANCED, "medium"),
		[WORK_ADVANCED_INSPECTION] = YES(OPTIONS, "high"),
		[WORK_LINER_INSPECTION] = YES(LINERS, "medium"),
		[WORK_BASIC_REPAIR] = YES(OPTIONS, "high"),
		[WORK_ADVANCED_REPAIR] = YES(OPTIONS, "high"),
	    },
	[PERFORMER_VERIFIED_CLEANER] =
	    {
		[WORK_ROUTINE_INSPECTION] = NO(CATEGORIES, "medium"),
		[WORK_ROUTINE_CLEANING] = YES(LESSER, "medium"),
		[WORK_ADVANCED_CLEANING] = YES(CATEGORIES, "medium"),
		[WORK_SANITIZATION] = YES(CATEGORIES, "medium"),
		[WORK_SPECIALIZED_CLEANING] = NO(CATEGORIES, "medium"),
		[WORK_ADVANCED_INSPECTION] = NO(CATEGORIES, "medium"),
		[WORK_LINER_INSPECTION] = NO(CATEGORIES, "medium"),
		[WORK_BASIC_REPAIR] = NO(CATEGORIES, "medium"),
		[WORK_ADVANCED_REPAIR] = NO(CATEGORIES, "medium"),
	    },
	[PERFORMER_MANUFACTURER] =
	    {
		[WORK_ROUTINE_INSPECTION] = YES(OPTIONS, "high"),
		[WORK_ROUTINE_CLEANING] = YES(OPTIONS, "high"),
		[WORK_ADVANCED_CLEANING] = YES(OPTIONS, "high"),
		[WORK_SANITIZATION] = YES(OPTIONS, "high"),
		[WORK_SPECIALIZED_CLEANING] = YES(OPTIONS, "high"),
		[WORK_ADVANCED_INSPECTION] = YES(OPTIONS, "high"),
		[WORK_LINER_INSPECTION] = YES(OPTIONS, "high"),
		[WORK_BASIC_REPAIR] = YES(OPTIONS, "high"),
		[WORK_ADVANCED_REPAIR] = YES(OPTIONS, "high"),
	    },
};

/* The rows of the table in words. */
static const char *const rule[PERFORMER_CLASS_COUNT] = {
    [PERFORMER_MEMBER] = "a member or wearer does routine inspections and routine cleanings only",
    [PERFORMER_TRAINED_ORGANIZATION] =
	"a manufacturer-trained organization inspects, cleans and does basic repairs; advanced "
	"repairs and sanitization are for a verified one, a verified provider or the maker",
    [PERFORMER_VERIFIED_ORGANIZATION] = "a verified organization does everything in-house",
    [PERFORMER_VERIFIED_PROVIDER] =
	"a verified provider inspects, cleans and does basic and advanced repairs",
    [PERFORMER_VERIFIED_CLEANER] =
	"a verified cleaner does advanced cleaning and sanitization only; its inspections and "
	"repairs do not count",
    [PERFORMER_MANUFACTURER] = "the element's manufacturer does everything",
};

const struct qualification *qualification_of(enum performer_class performer, enum work work) {
	return &table[performer][work];
}

const char *qualification_rule(enum performer_class performer) { return rule[performer]; }

const char *qualification_refusal(const char *name, enum performer_class performer, enum work work,
				  struct arena *a) {
	const struct qualification *q = qualification_of(performer, work);
	if (q->allowed) return NULL;
	return arena_printf(a, "%s (%s) may not do this %s: %s (%s).", name,
			    performer_class_remark[performer], work_label[work], rule[performer],
			    q->source);
}

/* --- which work it is ---------------------------------------------------------- */

enum work work_of_inspection(enum inspection_kind kind) {
	if (kind == INSPECTION_ROUTINE) return WORK_ROUTINE_INSPECTION;
	return kind == INSPECTION_LINER ? WORK_LINER_INSPECTION : WORK_ADVANCED_INSPECTION;
}

enum work work_of_cleaning(const char *class) {
	if (text_equal(class, "routine")) return WORK_ROUTINE_CLEANING;
	return text_equal(class, "advanced") ? WORK_ADVANCED_CLEANING : WORK_SPECIALIZED_CLEANING;
}

enum work work_of_repair(enum repair_class repair) {
	return repair == REPAIR_ADVANCED ? WORK_ADVANCED_REPAIR : WORK_BASIC_REPAIR;
}

bool work_of_field_test(enum field_test_sort test, enum work *work) {
	if (test == TEST_LABORATORY) return false;
	*work = test == TEST_WATER ? WORK_LINER_INSPECTION : WORK_ADVANCED_INSPECTION;
	return true;
}

enum work work_of_outcome(const char *outcome, enum repair_class repair) {
	if (text_equal(outcome, "clean")) return WORK_ADVANCED_CLEANING;
	if (text_equal(outcome, "replace")) return WORK_BASIC_REPAIR;
	if (text_equal(outcome, "repair") || text_equal(outcome, "renew"))
		return work_of_repair(repair);
	return WORK_ADVANCED_INSPECTION;
}

bool work_of_result(const char *result, enum work asked, enum work *done) {
	if (text_empty(result) || text_equal(result, "not_repaired")) return false;
	if (text_equal(result, "no_fault_found")) *done = WORK_ADVANCED_INSPECTION;
	else *done = text_equal(result, "replaced") ? WORK_BASIC_REPAIR : asked;
	return true;
}

/* --- which class somebody is of -------------------------------------------------- */

static enum performer_class trained_class(bool is_verified) {
	return is_verified ? PERFORMER_VERIFIED_ORGANIZATION : PERFORMER_TRAINED_ORGANIZATION;
}

enum performer_class performer_of_department(day trained_until, bool is_verified, day on) {
	if (trained_until == DAY_NONE || trained_until < on) return PERFORMER_MEMBER;
	return trained_class(is_verified);
}

bool performer_of_provider(const struct provider_standing *p, bool department_is_verified, day on,
			   enum performer_class *class) {
	int word = word_find(performer_class_word, PERFORMER_CLASS_COUNT, p->class_word);
	if (word < 0 || (p->verified_until != DAY_NONE && p->verified_until < on)) return false;
	*class = p->in_house ? trained_class(department_is_verified) : (enum performer_class)word;
	return true;
}
