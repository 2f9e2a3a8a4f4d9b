#include "handlers/field_test_reading.h"

#include "base/text.h"
#include "handlers/app.h"
#include "handlers/record.h"
#include "handlers/words.h"
#include "store/component.h"
#include "store/handbook.h"

/* --- its fields --- */

static const struct choice unit_choice[] = {{"in", "in"}, {"ft", "ft"},          {"cm", "cm"},
					    {"m", "m"},   {"psi", "psi"},        {"kpa", "kPa"},
					    {"ml", "ml"}, {"fl_oz", "US fl oz"}, {NULL, NULL}};
static const struct field field[TESTED_FIELDS] = {
    [TESTED_COMPONENT] = {.name = "component", .label = "Part", .kind = FIELD_ID, .required = true},
    [TESTED_TEST] = {.name = "test",
		     .label = "Test",
		     .kind = FIELD_CHOICE,
		     .choice = field_test_choice,
		     .required = true},
    [TESTED_DAY] = {.name = "tested_on",
		    .label = "Day",
		    .help = "Today when left empty.",
		    .kind = FIELD_DAY},
    [TESTED_PROPERTY] = {.name = "property",
			 .label = "What was measured",
			 .kind = FIELD_CHOICE,
			 .choice = laboratory_choice},
    [TESTED_VALUE] = {.name = "value",
		      .label = "Value",
		      .help = "In the unit named behind what was measured.",
		      .kind = FIELD_DECIMAL},
    [TESTED_DISTANCE] = {.name = "distance",
			 .label = "Distance to the trim",
			 .kind = FIELD_DECIMAL},
    [TESTED_ALCOHOL] = {.name = "alcohol",
			.label = "Rubbing alcohol in the mixture",
			.kind = FIELD_DECIMAL},
    [TESTED_WATER] = {.name = "water", .label = "Water in the mixture", .kind = FIELD_DECIMAL},
    [TESTED_AMOUNT] = {.name = "amount", .label = "Mixture on each spot", .kind = FIELD_DECIMAL},
    [TESTED_PRESSURE] = {.name = "pressure", .label = "Pressure", .kind = FIELD_DECIMAL},
    [TESTED_CUFF_GAP] = {.name = "cuff_gap",
			 .label = "Gap to the end of sleeve or leg",
			 .help = "The largest one.",
			 .kind = FIELD_DECIMAL},
    [TESTED_HEM_GAP] = {.name = "hem_gap",
			.label = "Gap to the hem",
			.help = "Of a coat.",
			.kind = FIELD_DECIMAL},
    [TESTED_UNIT] = {.name = "unit",
		     .label = "Unit of these",
		     .kind = FIELD_CHOICE,
		     .choice = unit_choice},
    [TESTED_MINUTES] =
	{.name = "minutes", .label = "Time: minutes", .kind = FIELD_INTEGER, .min = 0, .max = 600},
    [TESTED_SECONDS] =
	{.name = "seconds", .label = "Time: seconds", .kind = FIELD_INTEGER, .min = 0, .max = 3600},
    [TESTED_MATERIAL_SPOTS] =
	{.name = "material_spots",
	 .label = "Spots of material",
	 .help = "Shoulders, upper back and waist of a coat; knees, crotch and seat "
		 "of trousers.",
	 .kind = FIELD_INTEGER,
	 .min = 0,
	 .max = 1000},
    [TESTED_SEAM_SPOTS] = {.name = "seam_spots",
			   .label = "Spots of seams",
			   .kind = FIELD_INTEGER,
			   .min = 0,
			   .max = 1000},
    [TESTED_COMPARED] = {.name = "compared",
			 .label = "Compared with a new sample of the same trim?",
			 .kind = FIELD_YES_NO},
    [TESTED_SIGN] = {.name = "sign", .label = "Was what is looked for seen?", .kind = FIELD_YES_NO},
    [TESTED_ZONE] = {.name = "zone", .label = "Where", .kind = FIELD_TAG},
    [TESTED_PLACE] = {.name = "place",
		      .label = "Exact place",
		      .help = "In words, so that a provider finds it.",
		      .kind = FIELD_TEXT},
    [TESTED_EXTENT] = {.name = "extent",
		       .label = "How much of it",
		       .help = "A pinhole may be patched; a barrier that breaks down is not.",
		       .kind = FIELD_CHOICE,
		       .choice = extent_choice},
    [TESTED_BY] = {.name = "performed_by",
		   .label = "Done by",
		   .help = "You when left empty.",
		   .kind = FIELD_TEXT},
    [TESTED_PROVIDER] = {.name = "provider",
			 .label = "At a provider",
			 .help = "Where a provider or a laboratory did it.",
			 .kind = FIELD_ID},
    [TESTED_NOTE] = {.name = "note", .label = "Note", .kind = FIELD_NOTE},
    [TESTED_CONFIRMED] = {.name = "confirmed", .label = "It really was so", .kind = FIELD_YES_NO},
};
const struct resource field_test_resource = {"field_test", "field-tests", field, TESTED_FIELDS};

const struct field_test_measured field_test_measured[] = {
    {TESTED_DISTANCE, MEASURE_DISTANCE, {UNIT_METRE, UNIT_FOOT}, 2},
    {TESTED_ALCOHOL, MEASURE_ALCOHOL, {UNIT_MILLILITRE, UNIT_FLUID_OUNCE}, 2},
    {TESTED_WATER, MEASURE_WATER, {UNIT_MILLILITRE, UNIT_FLUID_OUNCE}, 2},
    {TESTED_AMOUNT, MEASURE_AMOUNT, {UNIT_MILLILITRE, UNIT_FLUID_OUNCE}, 2},
    {TESTED_PRESSURE, MEASURE_PRESSURE, {UNIT_PSI, UNIT_KILOPASCAL}, 2},
    {TESTED_CUFF_GAP, MEASURE_CUFF_GAP, {UNIT_INCH, UNIT_CENTIMETRE}, 2},
    {TESTED_HEM_GAP, MEASURE_HEM_GAP, {UNIT_INCH, UNIT_CENTIMETRE}, 2},
    {TESTED_MATERIAL_SPOTS, MEASURE_MATERIAL_SPOTS, {0}, 0},
    {TESTED_SEAM_SPOTS, MEASURE_SEAM_SPOTS, {0}, 0},
    {TESTED_VALUE, MEASURE_VALUE, {0}, 0},
};
const size_t field_test_measured_count = sizeof field_test_measured / sizeof *field_test_measured;
/* --- reading --- */

static enum err read_unit(struct request *rq, size_t i, enum unit *unit) {
	const char *word = value_text(&rq->value[TESTED_UNIT]);
	for (size_t u = 0; word && u < field_test_measured[i].units; u++) {
		*unit = field_test_measured[i].unit[u];
		if (text_equal(unit_word[*unit], word)) return ERR_OK;
	}
	return request_field_fault(rq, "unit", "Say in what it was measured: %s or %s.",
				   unit_label[field_test_measured[i].unit[0]],
				   unit_label[field_test_measured[i].unit[1]]);
}

static enum err read_measure(struct request *rq, size_t i, struct field_test *t) {
	const struct value *v = &rq->value[field_test_measured[i].field];
	const char *name = field[field_test_measured[i].field].name;
	enum test_measure m = field_test_measured[i].measure;
	enum unit unit = UNIT_COUNT;
	if (value_given(v) && !field_test_measures(t->test, m))
		return request_field_fault(rq, name, "It is not measured in this test: %s.",
					   field_test_label[t->test]);
	if (!value_given(v) && field_test_needs(t->test, m))
		return request_field_fault(
		    rq, name, "Without it nobody can say what the test came to. Give it.");
	t->given[m] = value_given(v);
	if (!t->given[m]) return ERR_OK;
	t->value[m] = value_int(v, 0);
	if (!field_test_measured[i].units) return ERR_OK;
	enum err err = read_unit(rq, i, &unit);
	if (err != ERR_OK) return err;
	if (unit_keep(unit, value_int(v, 0), &t->value[m])) return ERR_OK;
	return request_field_fault(rq, name, "That is out of all range.");
}

static enum err read_time(struct request *rq, struct field_test *t) {
	const struct value *minutes = &rq->value[TESTED_MINUTES],
			   *seconds = &rq->value[TESTED_SECONDS];
	bool given = value_given(minutes) || value_given(seconds);
	if (given && !field_test_measures(t->test, MEASURE_TIME))
		return request_field_fault(rq, value_given(minutes) ? "minutes" : "seconds",
					   "It is not measured in this test: %s.",
					   field_test_label[t->test]);
	if (!given && field_test_needs(t->test, MEASURE_TIME))
		return request_field_fault(rq, "minutes", "Say how long it was.");
	t->given[MEASURE_TIME] = given;
	t->value[MEASURE_TIME] = 60000 * value_int(minutes, 0) + 1000 * value_int(seconds, 0);
	return ERR_OK;
}

static enum err read_signs(struct request *rq, struct field_test *t) {
	const char *question = field_test_question[t->test];
	if (question && !value_given(&rq->value[TESTED_SIGN]))
		return request_field_fault(rq, "sign", "Answer yes or no: %s", question);
	if (!question && value_given(&rq->value[TESTED_SIGN]))
		return request_field_fault(rq, "sign", "Nothing is asked in this test: %s.",
					   field_test_label[t->test]);
	if (t->test == TEST_TRIM && !value_given(&rq->value[TESTED_COMPARED]))
		return request_field_fault(rq, "compared",
					   "Say whether a new sample was beside it.");
	t->sign = value_yes(&rq->value[TESTED_SIGN]);
	t->compared = value_yes(&rq->value[TESTED_COMPARED]);
	return ERR_OK;
}

static enum err read_property(struct request *rq, struct field_test *t) {
	int word = word_find(limit_word, LIMIT_OF_COUNT, value_text(&rq->value[TESTED_PROPERTY]));
	bool laboratory = t->test == TEST_LABORATORY;
	if (laboratory != (word >= LIMIT_OF_LAB_FIRST))
		return request_field_fault(rq, "property",
					   laboratory ? "Say what the laboratory measured."
						      : "Only a laboratory measures that.");
	if (laboratory) t->property = (enum limit_code)word;
	return ERR_OK;
}

static enum err check_doubtful(struct request *rq, const struct field_test *t) {
	const char *usual = NULL;
	enum test_measure m = field_test_doubtful(t, &rq->arena, &usual);
	return record_check_doubt(rq, m == MEASURE_COUNT ? NULL : test_measure_label[m], usual,
				  TESTED_CONFIRMED, TESTED_NOTE);
}

enum err field_test_read(struct request *rq, struct field_test *t) {
	enum err err = read_property(rq, t);
	for (size_t i = 0; err == ERR_OK && i < field_test_measured_count; i++)
		err = read_measure(rq, i, t);
	if (err == ERR_OK) err = read_time(rq, t);
	if (err == ERR_OK) err = read_signs(rq, t);
	return err == ERR_OK ? check_doubtful(rq, t) : err;
}

enum err field_test_subject(struct request *rq, struct field_test_reading *r, bool *has_test) {
	const struct value *v = request_values(rq, &field_test_resource);
	int64_t id = v ? value_int(&v[TESTED_COMPONENT], 0) : 0;
	const char *word = v ? value_text(&v[TESTED_TEST]) : NULL;
	enum err err = ERR_OK;
	if (!id) err = request_query_int(rq, "component", 1, INT64_MAX >> 21, 0, &id);
	if (!word) word = request_query(rq, "test");
	if (err == ERR_OK && !id)
		err = request_fail(rq, ERR_INVALID,
				   "Say of which part: open this form from its page.");
	if (err == ERR_OK)
		err = component_get(request_store(rq), id, &rq->arena, &r->part, &rq->fault);
	if (err == ERR_OK && !r->part)
		err = request_fail(rq, ERR_NOT_FOUND, "There is no part %lld.", (long long)id);
	if (err != ERR_OK) return err;
	r->kind = handbook_kind(app_handbook(request_app(rq)), doc_text(r->part, "kind"));
	if (!r->kind) return request_fail(rq, ERR_CORRUPT, "The part has an unknown kind.");
	int test = word_find(field_test_word, TEST_COUNT, word);
	*has_test = test >= 0;
	if (!*has_test) return ERR_OK;
	r->t.test = (enum field_test_sort)test;
	if (field_test_applies(r->t.test, r->kind, doc_int(r->part, "trim") != 0)) return ERR_OK;
	return request_fail(rq, ERR_CONFLICT, "That test is not done on a %s: %s.", r->kind->label,
			    field_test_label[test]);
}
