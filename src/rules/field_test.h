/*
 * Field tests: what a station can measure of gear, and what comes of it.
 *
 * A field test is not a laboratory test, and no two sorts of test are one: on 108 retired garments
 * the leakage evaluation and the laboratory's water test did not agree (Univ. of Kentucky MS
 * thesis, Post use analysis, Phase III, 2013). So each is a record of its own, and a pass of one
 * says nothing of another. What was done too short, too weak or without a sample to compare with
 * is no test: it neither passes nor fails. Values of a laboratory are held beside the minimums of
 * new product, which are not limits of use: they stand on record and block nothing.
 */
#ifndef PEGWARDEN_RULES_FIELD_TEST_H
#define PEGWARDEN_RULES_FIELD_TEST_H

#include "base/day.h"
#include "rules/program.h"

/* X(code, word, label) */
/* clang-format off */
#define FIELD_TEST_LIST(X) \
	/* beside a new sample */ \
	X(TRIM, "trim", "Flashlight test of the trim") \
	/* within a separated liner: a spot is a suspect, not a proof */ \
	X(LIGHT, "light", "Light evaluation") \
	/* alcohol and water stand on the barrier */ \
	X(LEAKAGE, "leakage", "Leakage evaluation") \
	/* under pressure on the barrier: hydrostatic */ \
	X(WATER, "water", "Water penetration") \
	X(LINER_GAP, "liner_gap", "Gap of liner and shell") \
	/* by hand; no force is set in the field */ \
	X(SEAM, "seam", "Seam pull") \
	X(LABORATORY, "laboratory", "Value of a laboratory")

#define FIELD_TEST_RESULT_LIST(X) \
	X(PASS, "pass", "Passed") \
	X(FAIL, "fail", "Failed") \
	/* asks for a complete liner inspection */ \
	X(SUSPECT, "suspect", "Suspect") \
	X(NOT_VALID, "not_valid", "Not valid: do it again") \
	/* of a laboratory: beside what new product has */ \
	X(ABOVE, "above", "Within what new product has") \
	X(BELOW, "below", "Outside of what new product has")
/* clang-format on */

#define FIELD_TEST_CODE(code, word, label) TEST_##code,
enum field_test_sort { FIELD_TEST_LIST(FIELD_TEST_CODE) TEST_COUNT };
extern const char *const field_test_word[TEST_COUNT];
extern const char *const field_test_label[TEST_COUNT];
/* How it is done, in a sentence or two; the maker's instructions come first. */
extern const char *const field_test_how[TEST_COUNT];
/* What was looked for, as a question that "yes" answers badly; NULL: only measured. */
extern const char *const field_test_question[TEST_COUNT];

#define FIELD_TEST_RESULT_CODE(code, word, label) RESULT_##code,
enum field_test_result { FIELD_TEST_RESULT_LIST(FIELD_TEST_RESULT_CODE) RESULT_COUNT };
extern const char *const field_test_result_word[RESULT_COUNT];

/* What is measured, as rules/unit.h keeps it: micrometres, microlitres, pascals, thousandths of a
 * second; spots are counted. */
enum test_measure {
	MEASURE_DISTANCE,
	MEASURE_ALCOHOL,
	MEASURE_WATER,
	MEASURE_AMOUNT,
	MEASURE_TIME,
	MEASURE_PRESSURE,
	MEASURE_MATERIAL_SPOTS,
	MEASURE_SEAM_SPOTS,
	MEASURE_CUFF_GAP,
	MEASURE_HEM_GAP,
	MEASURE_VALUE, /* of a laboratory: thousandths of its property's unit */
	MEASURE_COUNT
};
extern const char *const test_measure_word[MEASURE_COUNT];
extern const char *const test_measure_label[MEASURE_COUNT];

/* Is it measured in that test, and must it be? */
bool field_test_measures(enum field_test_sort test, enum test_measure measure);
bool field_test_needs(enum field_test_sort test, enum test_measure measure);
/* May the test be done on such a part? */
bool field_test_applies(enum field_test_sort test, const struct kind *k, bool trim);

/* The limits that the test is held against, one by one; false behind the last. */
bool field_test_limit(enum field_test_sort test, size_t i, enum limit_code *code);

struct field_test {
	enum field_test_sort test;
	bool sign;     /* what was looked for was seen */
	bool compared; /* trim: beside a new sample */
	bool given[MEASURE_COUNT];
	int64_t value[MEASURE_COUNT];
	enum limit_code property; /* of a laboratory */
};

/* The first value that nobody would believe, MEASURE_COUNT when there is none; in words what is
 * usual of it. It is asked about, not stored silently. */
enum test_measure field_test_doubtful(const struct field_test *t, struct arena *a,
				      const char **usual);

struct field_test_verdict {
	enum field_test_result result;
	const char *because; /* sentences: what was measured, and what it was held against */
};
void field_test_judge(struct field_test_verdict *v, const struct field_test *t,
		      const struct program *p, struct arena *a);

/* Seconds that thermal protective performance stands for: half of it (makers' FAQs on NFPA 1971,
 * 2013 edition); thousandths of both. */
int64_t tpp_seconds(int64_t tpp);

/* The latest valid result of one sort of test on a part. Of one day a failure stands, in whichever
 * order they were written down. */
struct latest_test {
	int64_t id; /* 0: none on record */
	day on;
	enum field_test_result result;
	const char *because;
	bool by_provider;
};
void latest_test_take(struct latest_test *latest, const struct latest_test *next);

#endif
