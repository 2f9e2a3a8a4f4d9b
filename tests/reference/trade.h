/*
 * Worked examples of the trade, checked against the handbook as it is shipped.
 *
 * One file a source; each begins with the source and its values, then come the checks. Where a
 * single check rests on something else, that stands beside it:
 *   from memory  a rule recalled, not looked up
 *   decided      a convention of this program
 */
#ifndef PEGWARDEN_TESTS_REFERENCE_TRADE_H
#define PEGWARDEN_TESTS_REFERENCE_TRADE_H

#include <check.h>

#include "rules/cleaning.h"
#include "rules/duty.h"
#include "store/store.h"

/* The handbook, through the store's own loader, from the migrations as shipped. */
extern const struct handbook *hb;
/* One test's own; released after it. */
extern struct arena arena;
extern struct duty_list duties; /* of the facts last asked about */

/* Makes a data folder and loads the handbook from it; false, and said why, when it cannot. */
bool trade_load(void);
/* Opens the data folder of this run. */
struct store *trade_store(void);
void trade_remove(void);
/* A case of tests that begin with the default rules. */
TCase *trade_case(const char *name);

/* Follows the rules with one setting given. */
void follow(const char *name, const char *value);
day on(const char *text); /* fails the test when it is no day */
/* Facts of a part about which nothing is known but what its label says; in_use: and that it is
 * issued. */
struct component_facts part(const char *kind, const char *made);
struct component_facts in_use(const char *kind, const char *made);
/* The last day in time, as text; "none": not owed; "": owed, not datable. */
const char *due(const struct component_facts *c, enum duty_code duty);
bool overdue(const struct component_facts *c, enum duty_code duty, const char *today);
/* The newest list of a kind, of whichever hazard it occurs in. */
const struct checklist *list_of(const char *kind, enum hazard h);
const struct subject_defect *defect_at(const char *kind, enum hazard h, const char *code,
				       const char *defect);

/* What a field test comes to by the rules followed, as its word. */
const char *comes_to(const struct field_test *t);
/* A measure taken in thousandths of a unit. */
void measured(struct field_test *t, enum test_measure m, enum unit unit, int64_t thousandths);

/* The limits that a cleaning went beyond, by the rules followed. */
size_t washed_beyond(const struct washing *w, struct cleaning_limit limit[CLEANING_LIMITS]);
/* The program that the rules followed make. */
const struct program *followed(void);

/* The sources. */
TCase *barrier_press_case(void);
TCase *beaumont_fire_sog_case(void);
TCase *cleaning_guides_case(void);
TCase *decided_case(void);
TCase *fire_technology_case(void);
TCase *garment_makers_case(void);
TCase *handed_down_rules_case(void);
TCase *michigan_administrative_code_case(void);
TCase *new_product_case(void);
TCase *nfpa_1851_as_reported_case(void);
TCase *oregon_special_districts_case(void);
TCase *repair_or_replace_case(void);
TCase *texas_administrative_code_case(void);
TCase *trade_common_practice_case(void);
TCase *units_of_measure_case(void);
TCase *user_information_guide_case(void);
TCase *washington_administrative_code_case(void);

#endif
