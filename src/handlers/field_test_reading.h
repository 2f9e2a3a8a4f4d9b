/*
 * A field test as it is written down: the fields, which of them each sort of test asks for, and
 * what was sent as the rules' struct (rules/field_test.h).
 */
#ifndef PEGWARDEN_HANDLERS_FIELD_TEST_READING_H
#define PEGWARDEN_HANDLERS_FIELD_TEST_READING_H

#include "http/request.h"
#include "rules/field_test.h"

enum {
	TESTED_COMPONENT,
	TESTED_TEST,
	TESTED_DAY,
	TESTED_PROPERTY,
	TESTED_VALUE,
	TESTED_DISTANCE,
	TESTED_ALCOHOL,
	TESTED_WATER,
	TESTED_AMOUNT,
	TESTED_PRESSURE,
	TESTED_CUFF_GAP,
	TESTED_HEM_GAP,
	TESTED_UNIT,
	TESTED_MINUTES,
	TESTED_SECONDS,
	TESTED_MATERIAL_SPOTS,
	TESTED_SEAM_SPOTS,
	TESTED_COMPARED,
	TESTED_SIGN,
	TESTED_ZONE,
	TESTED_PLACE,
	TESTED_EXTENT,
	TESTED_BY,
	TESTED_PROVIDER,
	TESTED_NOTE,
	TESTED_CONFIRMED,
	TESTED_FIELDS
};
extern const struct resource field_test_resource;

/* Which field holds which measure, and in what it may be given: words of the field unit. */
struct field_test_measured {
	size_t field;
	enum test_measure measure;
	enum unit unit[3];
	size_t units; /* 0: a bare number */
};
extern const struct field_test_measured field_test_measured[];
extern const size_t field_test_measured_count;

struct field_test_reading {
	struct field_test t;
	struct doc *part;
	const struct kind *kind;
};

/* The part and the sort of test that are spoken of, by the body or the address. *has_test: one
 * was named. ERR_CONFLICT when that test is not done on such a part. */
enum err field_test_subject(struct request *rq, struct field_test_reading *r,
			    bool *has_test) MUST_CHECK;
/* What was measured and seen. A value that nobody would believe is asked about once more. */
enum err field_test_read(struct request *rq, struct field_test *t) MUST_CHECK;

/* The page of the form: of field_test_form.c. */
enum err field_test_new(struct request *rq) MUST_CHECK;

#endif
