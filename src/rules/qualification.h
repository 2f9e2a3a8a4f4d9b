/*
 * Who may do what: the classes of performers, the works, and the one table that decides.
 *
 * The classes are the trade's, as trade press tells them of NFPA 1851: what is done by somebody
 * of a class that the work is not open to does not count, so it is not recorded as done. A
 * person's class is that of one day: training ends, verification ends.
 */
#ifndef PEGWARDEN_RULES_QUALIFICATION_H
#define PEGWARDEN_RULES_QUALIFICATION_H

#include "base/arena.h"
#include "base/day.h"
#include "rules/field_test.h"
#include "rules/handbook.h"

/* X(code, word, label, remark) */
/* clang-format off */
#define PERFORMER_CLASS_LIST(X) \
	/* a member, or wearer, not trained beyond that */ \
	X(MEMBER, "member", "Member or wearer", "member") \
	/* the department's, or another's, manufacturer-trained */ \
	X(TRAINED_ORGANIZATION, "trained_organization", "Manufacturer-trained organization", "manufacturer-trained") \
	/* the department's, verified by a third party */ \
	X(VERIFIED_ORGANIZATION, "verified_organization", "Verified organization", "of a verified organization") \
	X(VERIFIED_PROVIDER, "verified_provider", "Verified independent service provider", "verified provider") \
	X(VERIFIED_CLEANER, "verified_cleaner", "Verified cleaner", "verified cleaner") \
	/* of the element */ \
	X(MANUFACTURER, "manufacturer", "Element manufacturer", "element manufacturer")
/* clang-format on */
#define PERFORMER_CLASS_CODE(code, word, label, remark) PERFORMER_##code,
enum performer_class { PERFORMER_CLASS_LIST(PERFORMER_CLASS_CODE) PERFORMER_CLASS_COUNT };
/* "member", "trained_organization" ...: as columns and tables have it */
extern const char *const performer_class_word[PERFORMER_CLASS_COUNT];
/* "Manufacturer-trained organization" ... */
extern const char *const performer_class_label[PERFORMER_CLASS_COUNT];
/* Behind the name of who did it: "manufacturer-trained" ... */
extern const char *const performer_class_remark[PERFORMER_CLASS_COUNT];

enum work {
	WORK_ROUTINE_INSPECTION,
	WORK_ROUTINE_CLEANING,
	WORK_ADVANCED_CLEANING,
	WORK_SANITIZATION, /* of soft gear; hard items are disinfected by whoever may clean them */
	WORK_SPECIALIZED_CLEANING,
	WORK_ADVANCED_INSPECTION,
	WORK_LINER_INSPECTION, /* complete liner inspection */
	WORK_BASIC_REPAIR,
	WORK_ADVANCED_REPAIR,
	WORK_COUNT
};
/* "routine_inspection" ... */
extern const char *const work_word[WORK_COUNT];
/* "routine inspection" ..., in the middle of a sentence */
extern const char *const work_label[WORK_COUNT];

struct qualification {
	bool allowed;
	const char *source;
	const char *confidence; /* 'high', 'medium', 'low' */
};
const struct qualification *qualification_of(enum performer_class performer, enum work work);

/*
 * Why such a performer may not do the work, in a sentence of the arena that names the rule;
 * NULL: it is allowed. name is who it is, as in "Remend Works" or "You".
 */
const char *qualification_refusal(const char *name, enum performer_class performer, enum work work,
				  struct arena *a);

/* What the class is allowed and what not, as a rule in words. */
const char *qualification_rule(enum performer_class performer);

/* --- which work it is -------------------------------------------------------- */

/* A return inspection is as thorough as an advanced one. */
enum work work_of_inspection(enum inspection_kind kind);
/* class: 'routine', 'advanced', 'specialized'; any other is taken for the last. */
enum work work_of_cleaning(const char *class);
/* What trained people do by the maker's instructions is open to whom a basic repair is. */
enum work work_of_repair(enum repair_class repair);
/* A field test belongs to the inspection it is done in: the water test to the complete liner
 * inspection, the others to the advanced one (a service provider's overview of inspections).
 * False: a laboratory's value, which is neither. */
bool work_of_field_test(enum field_test_sort test, enum work *work);
/* What a provider is asked for by a finding of that outcome, on a ticket: a finding to be cleaned
 * is cleaned, one to be repaired or renewed is repaired, a part is replaced by whom a basic
 * repair is open to; what is to be tested or judged is inspected. */
enum work work_of_outcome(const char *outcome, enum repair_class repair);

/* What the provider did by the result of an item of a ticket; false: nothing. That there is no
 * fault is found by an inspection. */
bool work_of_result(const char *result, enum work asked, enum work *done);

/* --- which class somebody is of, on a day ------------------------------------- */

/* One of the department, by the last day of the training: DAY_NONE: none is on record. */
enum performer_class performer_of_department(day trained_until, bool is_verified, day on);

/* A provider as on record. */
struct provider_standing {
	const char *class_word;
	bool in_house;      /* the department's own workshop: of the department's class */
	day verified_until; /* DAY_NONE: no day is on record */
};
/* False, and *class is left alone: the class is not known, or its verification had ended. */
bool performer_of_provider(const struct provider_standing *p, bool department_is_verified, day on,
			   enum performer_class *class);

#endif
