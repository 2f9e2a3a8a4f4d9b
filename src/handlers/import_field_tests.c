/*
 * Field tests in tables. Measures stand in the units in which they are kept (rules/unit.h), so
 * that nothing is rounded on the way. What a test came to is worked out here too; a row that says
 * otherwise is refused, for no table makes a test pass that does not.
 */
#include "rules/field_test.h"

#include "base/text.h"
#include "handlers/import_row.h"
#include "store/component.h"
#include "store/field_test.h"
#include "store/handbook.h"
#include "store/member.h"
#include "store/provider.h"
#include "store/settle.h"

enum {
	TAG,
	TEST,
	TESTED_ON,
	PERFORMED_BY,
	PROVIDER,
	RECORDED_BY,
	SIGN,
	COMPARED,
	FIRST_MEASURE, /* the first ten, in the order of enum test_measure */
	PROPERTY = FIRST_MEASURE + MEASURE_VALUE,
	VALUE,
	ZONE,
	PLACE,
	EXTENT,
	RESULT,
	NOTE,
	REVOKED_ON,
	REVOKED_REASON,
	PERFORMER_CLASS,
	FIELDS
};
#define MEASURED(column, words)                                                                    \
	{ .name = column, .label = words, .kind = FIELD_INTEGER, .min = 0, .max = 1000000000000 }
static const struct field field[FIELDS] = {
    {.name = "tag", .label = "Tag", .kind = FIELD_TAG, .required = true},
    {.name = "test",
     .label = "Test",
     .kind = FIELD_CHOICE,
     .choice = field_test_choice,
     .required = true},
    {.name = "tested_on", .label = "Tested on", .kind = FIELD_DAY, .required = true},
    {.name = "performed_by", .label = "Done by", .kind = FIELD_TEXT, .required = true},
    {.name = "provider", .label = "Provider (code)", .kind = FIELD_TAG},
    {.name = "recorded_by", .label = "Recorded by (badge)", .kind = FIELD_TAG, .required = true},
    {.name = "sign", .label = "What is looked for was seen", .kind = FIELD_YES_NO},
    {.name = "compared", .label = "Compared with a new sample", .kind = FIELD_YES_NO},
    MEASURED("distance_um", "Distance, micrometres"),
    MEASURED("alcohol_ul", "Rubbing alcohol, microlitres"),
    MEASURED("water_ul", "Water, microlitres"),
    MEASURED("amount_ul", "Mixture on each spot, microlitres"),
    MEASURED("time_ms", "Time, thousandths of a second"),
    MEASURED("pressure_pa", "Pressure, pascals"),
    MEASURED("material_spots", "Spots of material"),
    MEASURED("seam_spots", "Spots of seams"),
    MEASURED("cuff_gap_um", "Gap to the end of sleeve or leg, micrometres"),
    MEASURED("hem_gap_um", "Gap to the hem, micrometres"),
    {.name = "property",
     .label = "What a laboratory measured",
     .kind = FIELD_CHOICE,
     .choice = laboratory_choice},
    MEASURED("value_thousandths", "Its value, thousandths of its unit"),
    {.name = "zone", .label = "Where (code)", .kind = FIELD_TAG},
    {.name = "place", .label = "Exact place", .kind = FIELD_TEXT},
    {.name = "extent", .label = "How much of it", .kind = FIELD_CHOICE, .choice = extent_choice},
    {.name = "result",
     .label = "Result",
     .help = "Worked out when left empty.",
     .kind = FIELD_CHOICE,
     .choice = field_test_result_choice},
    {.name = "note", .label = "Note", .kind = FIELD_NOTE},
    {.name = "revoked_on", .label = "Taken back on", .kind = FIELD_DAY},
    {.name = "revoked_reason", .label = "Why it was recorded in error", .kind = FIELD_TEXT},
    IMPORT_PERFORMER_COLUMN,
};
const struct resource import_field_test_columns = {"field_test", "field-tests", field, FIELDS};

static size_t field_of(enum test_measure m) {
	return m == MEASURE_VALUE ? VALUE : FIRST_MEASURE + (size_t)m;
}

static enum err read_measures(struct import_row *r, struct field_test *t) {
	for (int i = 0; i < MEASURE_COUNT; i++) {
		enum test_measure m = (enum test_measure)i;
		const struct value *v = &r->value[field_of(m)];
		t->given[m] = value_given(v);
		t->value[m] = value_int(v, 0);
		if (t->given[m] && !field_test_measures(t->test, m))
			return import_fault(r, field_of(m), "It is not measured in this test.");
		if (!t->given[m] && field_test_needs(t->test, m))
			return import_fault(r, field_of(m),
					    "Without it nobody can say what the test came to.");
	}
	return ERR_OK;
}

static enum err read_signs(struct import_row *r, struct field_test *t) {
	bool asks = field_test_question[t->test] != NULL, is_trim = t->test == TEST_TRIM;
	if (asks != value_given(&r->value[SIGN]))
		return import_fault(r, SIGN,
				    asks ? "Say whether what is looked for was seen."
					 : "Nothing is asked in this test.");
	if (is_trim != value_given(&r->value[COMPARED]))
		return import_fault(r, COMPARED,
				    is_trim ? "Say whether a new sample was beside it."
					    : "Only trim is compared with a new sample.");
	int word = word_find(limit_word, LIMIT_OF_COUNT, import_text(r, PROPERTY));
	if ((t->test == TEST_LABORATORY) != (word >= 0))
		return import_fault(r, PROPERTY,
				    "What was measured belongs to a laboratory's value, and only "
				    "to that.");
	if (word >= 0) t->property = (enum limit_code)word;
	t->sign = import_yes(r, SIGN, false);
	t->compared = import_yes(r, COMPARED, false);
	return ERR_OK;
}

/* The test as the rules see it; faults at its columns. */
static enum err read_test(struct import_row *r, const struct doc *part, struct field_test *t) {
	const struct handbook *hb;
	enum err err = store_handbook(r->store, &hb, r->fault);
	if (err != ERR_OK) return err;
	const struct kind *kind = handbook_kind(hb, doc_text(part, "kind"));
	const char *zone = import_text(r, ZONE), *usual;
	t->test =
	    (enum field_test_sort)word_find(field_test_word, TEST_COUNT, import_text(r, TEST));
	if (!kind || !field_test_applies(t->test, kind, doc_int(part, "trim") != 0))
		return import_fault(r, TEST, "That test is not done on such a part.");
	if (zone && !handbook_zone(hb, kind, zone))
		return import_fault(r, ZONE, "There is no such place on it.");
	err = read_measures(r, t);
	if (err == ERR_OK) err = read_signs(r, t);
	enum test_measure m =
	    err == ERR_OK ? field_test_doubtful(t, r->arena, &usual) : MEASURE_COUNT;
	if (m == MEASURE_COUNT || !text_empty(import_text(r, NOTE))) return err;
	return import_fault(r, field_of(m), "%s. Correct it, or note how that came about.", usual);
}

static enum err judge(struct import_row *r, const struct field_test *t,
		      struct field_test_row *row) {
	const struct program *p;
	struct field_test_verdict verdict;
	const char *said = import_text(r, RESULT);
	enum err err = store_program(r->store, &p, r->fault);
	if (err != ERR_OK) return err;
	field_test_judge(&verdict, t, p, r->arena);
	row->result = field_test_result_word[verdict.result];
	row->because = verdict.because;
	if (!said || text_equal(said, row->result)) return ERR_OK;
	return import_fault(r, RESULT, "By the rules of the department it came to \"%s\": %s",
			    row->result, verdict.because);
}

/* Who did it, where the row or its provider tells. */
static enum err check_tester(struct import_row *r, struct field_test_row *row) {
	struct performer who;
	enum work work;
	int test = word_find(field_test_word, TEST_COUNT, row->test);
	enum err err = import_performer(r, PERFORMER_CLASS, row->provider, row->tested_on, &who);
	if (err == ERR_OK && work_of_field_test((enum field_test_sort)test, &work))
		err = import_check_performer(r, PERFORMER_CLASS, &who, work);
	row->performer_class = performer_word(&who);
	return err;
}

static enum err put(struct import_row *r, struct field_test_row *row) {
	const char *revoked_on = import_text(r, REVOKED_ON), *why = import_text(r, REVOKED_REASON);
	struct doc *old = NULL;
	int64_t id = 0;
	/* Two of a sort on one day are two when one table says so. */
	int64_t before = *r->first ? *r->first : INT64_MAX;
	enum err err = field_test_find(r->store, row, before, r->arena, &old, r->fault);
	if (err != ERR_OK) return err;
	if (old) return import_on_record(r, old);
	err = import_check_serves(r, TESTED_ON, row->component, row->tested_on);
	if (err == ERR_OK) err = check_tester(r, row);
	if (err != ERR_OK) return err;
	err = field_test_insert(r->store, row, &id, r->fault);
	if (!*r->first) *r->first = id;
	return err == ERR_OK && why ? field_test_revoke(r->store, id, revoked_on, why, r->fault)
				    : err;
}

enum err import_field_test(struct import_row *r) {
	struct field_test t = {0};
	struct doc *part = NULL;
	struct field_test_row row = {.test = import_text(r, TEST),
				     .tested_on = import_text(r, TESTED_ON),
				     .performed_by = import_text(r, PERFORMED_BY),
				     .property = import_text(r, PROPERTY),
				     .zone = import_text(r, ZONE),
				     .place = import_text(r, PLACE),
				     .extent = import_text(r, EXTENT),
				     .note = import_text(r, NOTE)};
	if (!import_text(r, REVOKED_ON) != !import_text(r, REVOKED_REASON))
		return import_fault(r, import_text(r, REVOKED_ON) ? REVOKED_REASON : REVOKED_ON,
				    "One that was taken back has a day and a reason.");
	enum err err = import_reference(r, TAG, component_by_tag, &row.component);
	if (err == ERR_OK)
		err = import_reference(r, RECORDED_BY, member_by_badge, &row.recorded_by);
	if (err == ERR_OK) err = import_reference(r, PROVIDER, provider_by_code, &row.provider);
	if (err == ERR_OK) err = component_get(r->store, row.component, r->arena, &part, r->fault);
	if (err == ERR_OK) err = read_test(r, part, &t);
	if (err == ERR_OK) err = judge(r, &t, &row);
	if (err != ERR_OK) return err;
	int64_t sign = t.sign, compared = t.compared;
	if (field_test_question[t.test]) row.sign = &sign;
	if (t.test == TEST_TRIM) row.compared = &compared;
	for (int m = 0; m < MEASURE_COUNT; m++)
		if (t.given[m]) row.measure[m] = &t.value[m];
	return put(r, &row);
}
