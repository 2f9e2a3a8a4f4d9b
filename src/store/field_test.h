/*
 * Field tests on record: what was measured and seen, and what it came to when it was written down.
 */
#ifndef PEGWARDEN_STORE_FIELD_TEST_H
#define PEGWARDEN_STORE_FIELD_TEST_H

#include "rules/field_test.h"
#include "store/store.h"

/* measure, sign, compared: NULL where it was not measured, or not asked. */
struct field_test_row {
	int64_t component, provider, recorded_by;
	const char *test, *tested_on, *performed_by, *performer_class; /* its class may be NULL */
	const int64_t *measure[MEASURE_COUNT], *sign, *compared;
	const char *property, *zone, *place, *extent, *result, *because, *note;
};
enum err field_test_insert(struct store *st, const struct field_test_row *r, int64_t *id,
			   struct fault *f) MUST_CHECK;
/* Recorded in error: it counts no more, and stays on record with the reason. */
enum err field_test_revoke(struct store *st, int64_t id, const char *on, const char *reason,
			   struct fault *f) MUST_CHECK;

/* id component tag kind kind_label test tested_on performed_by performer_class provider
 * provider_name provider_beside (where it is not performed_by too) recorded_by_name sign compared,
 * the measures under their columns' names, property zone zone_label place extent result because
 * note revoked_on revoked_reason version. NULL: none.
 */
enum err field_test_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
			struct fault *f) MUST_CHECK;
/* Of a component, the latest first; the same columns. */
enum err field_tests_of_component(struct store *st, int64_t component, struct arena *a,
				  struct doc *list, struct fault *f) MUST_CHECK;
/* For tables, under the names of their columns: the same test, or one of that component, day and
 * sort with an id below `before`; *row is NULL when there is none. */
enum err field_test_find(struct store *st, const struct field_test_row *r, int64_t before,
			 struct arena *a, struct doc **row, struct fault *f) MUST_CHECK;

#endif
