/*
 * Field tests: choosing one, writing down what was measured and seen, and what it came to
 * (rules/field_test.h). A value that nobody would believe is asked about once more.
 */
#include "handlers/field_tests.h"
#include "handlers/app.h"
#include "handlers/components.h"
#include "handlers/list.h"
#include "handlers/performer.h"
#include "handlers/record.h"
#include "handlers/resources.h"
#include "handlers/revocation.h"
#include "handlers/routes.h"
#include "store/component.h"
#include "store/field_test.h"
#include "store/handbook.h"
#include "store/provider.h"

static const struct list_column column[] = {{"tag", "tag"},
					    {"kind_label", "kind"},
					    {"test", "test"},
					    {"tested_on", "tested_on"},
					    {"state", "result"},
					    {"because", "because"},
					    {"place", "place"},
					    {"extent", "extent"},
					    {"performed_by", "performed_by"},
					    {"provider_name", "provider"},
					    {"recorded_by_name", "recorded_by"},
					    {"note", "note"},
					    {"revoked_reason", "revoked_reason"},
					    {NULL, NULL}};
void field_test_label_row(struct doc *row) {
	int test = word_find(field_test_word, TEST_COUNT, doc_text(row, "test"));
	const char *extent = doc_text(row, "extent");
	performer_remark(row);
	doc_set_text(row, "test_label", test < 0 ? NULL : field_test_label[test]);
	doc_set_text(row, "state_label",
		     choice_label(field_test_state_choice, doc_text(row, "state")));
	doc_set_text(row, "extent_label", extent ? choice_label(extent_choice, extent) : NULL);
}

static const struct list_page page = {
    .path = "/field-tests",
    .title = "Field tests",
    .source = &field_test_list,
    .filter = {{.label = "Test", .choice = field_test_choice},
	       {.label = "Result", .choice = field_test_state_choice},
	       {.label = "Station", .options = list_station_options}},
    .column = column,
    .label = field_test_label_row};

static enum err field_test_index(struct request *rq) {
	enum err err = list_answer(rq, &page);
	if (err != ERR_OK) return err;
	for (struct doc *r = doc_get(rq->doc, "rows")->first; r; r = r->next)
		field_test_label_row(r);
	return ERR_OK;
}
static enum err field_test_csv(struct request *rq) { return list_export(rq, &page); }

/* --- a new one: its fields ---------------------------------------------------------------- */

enum {
	COMPONENT,
	TEST,
	TESTED_ON,
	PROPERTY,
	VALUE,
	DISTANCE,
	ALCOHOL,
	WATER,
	AMOUNT,
	PRESSURE,
	CUFF_GAP,
	HEM_GAP,
	UNIT,
	MINUTES,
	SECONDS,
	MATERIAL_SPOTS,
	SEAM_SPOTS,
	COMPARED,
	SIGN,
	ZONE,
	PLACE,
	EXTENT,
	BY,
	PROVIDER,
	NOTE,
	CONFIRMED,
	FIELDS
};
static const struct choice unit_choice[] = {{"in", "in"}, {"ft", "ft"},          {"cm", "cm"},
					    {"m", "m"},   {"psi", "psi"},        {"kpa", "kPa"},
					    {"ml", "ml"}, {"fl_oz", "US fl oz"}, {NULL, NULL}};
static const struct field field[FIELDS] = {
    [COMPONENT] = {.name = "component", .label = "Part", .kind = FIELD_ID, .required = true},
    [TEST] = {.name = "test",
	      .label = "Test",
	      .kind = FIELD_CHOICE,
	      .choice = field_test_choice,
	      .required = true},
    [TESTED_ON] = {.name = "tested_on",
		   .label = "Day",
		   .help = "Today when left empty.",
		   .kind = FIELD_DAY},
    [PROPERTY] = {.name = "property",
		  .label = "What was measured",
		  .kind = FIELD_CHOICE,
		  .choice = laboratory_choice},
    [VALUE] = {.name = "value",
	       .label = "Value",
	       .help = "In the unit named behind what was measured.",
	       .kind = FIELD_DECIMAL},
    [DISTANCE] = {.name = "distance", .label = "Distance to the trim", .kind = FIELD_DECIMAL},
    [ALCOHOL] = {.name = "alcohol",
		 .label = "Rubbing alcohol in the mixture",
		 .kind = FIELD_DECIMAL},
    [WATER] = {.name = "water", .label = "Water in the mixture", .kind = FIELD_DECIMAL},
    [AMOUNT] = {.name = "amount", .label = "Mixture on each spot", .kind = FIELD_DECIMAL},
    [PRESSURE] = {.name = "pressure", .label = "Pressure", .kind = FIELD_DECIMAL},
    [CUFF_GAP] = {.name = "cuff_gap",
		  .label = "Gap to the end of sleeve or leg",
		  .help = "The largest one.",
		  .kind = FIELD_DECIMAL},
    [HEM_GAP] = {.name = "hem_gap",
		 .label = "Gap to the hem",
		 .help = "Of a coat.",
		 .kind = FIELD_DECIMAL},
    [UNIT] = {.name = "unit",
	      .label = "Unit of these",
	      .kind = FIELD_CHOICE,
	      .choice = unit_choice},
    [MINUTES] =
	{.name = "minutes", .label = "Time: minutes", .kind = FIELD_INTEGER, .min = 0, .max = 600},
    [SECONDS] =
	{.name = "seconds", .label = "Time: seconds", .kind = FIELD_INTEGER, .min = 0, .max = 3600},
    [MATERIAL_SPOTS] = {.name = "material_spots",
			.label = "Spots of material",
			.help = "Shoulders, upper back and waist of a coat; knees, crotch and seat "
				"of trousers.",
			.kind = FIELD_INTEGER,
			.min = 0,
			.max = 1000},
    [SEAM_SPOTS] = {.name = "seam_spots",
		    .label = "Spots of seams",
		    .kind = FIELD_INTEGER,
		    .min = 0,
		    .max = 1000},
    [COMPARED] = {.name = "compared",
		  .label = "Compared with a new sample of the same trim?",
		  .kind = FIELD_YES_NO},
    [SIGN] = {.name = "sign", .label = "Was what is looked for seen?", .kind = FIELD_YES_NO},
    [ZONE] = {.name = "zone", .label = "Where", .kind = FIELD_TAG},
    [PLACE] = {.name = "place",
	       .label = "Exact place",
	       .help = "In words, so that a provider finds it.",
	       .kind = FIELD_TEXT},
    [EXTENT] = {.name = "extent",
		.label = "How much of it",
		.help = "A pinhole may be patched; a barrier that breaks down is not.",
		.kind = FIELD_CHOICE,
		.choice = extent_choice},
    [BY] = {.name = "performed_by",
	    .label = "Done by",
	    .help = "You when left empty.",
	    .kind = FIELD_TEXT},
    [PROVIDER] = {.name = "provider",
		  .label = "At a provider",
		  .help = "Where a provider or a laboratory did it.",
		  .kind = FIELD_ID},
    [NOTE] = {.name = "note", .label = "Note", .kind = FIELD_NOTE},
    [CONFIRMED] = {.name = "confirmed", .label = "It really was so", .kind = FIELD_YES_NO},
};
static const struct resource resource = {"field_test", "field-tests", field, FIELDS};

/* Which field holds which measure, and in what it may be given: a run of unit_choice. */
static const struct {
	size_t field;
	enum test_measure measure;
	enum unit unit[3];
	size_t units; /* 0: a bare number */
} measure_field[] = {
    {DISTANCE, MEASURE_DISTANCE, {UNIT_METRE, UNIT_FOOT}, 2},
    {ALCOHOL, MEASURE_ALCOHOL, {UNIT_MILLILITRE, UNIT_FLUID_OUNCE}, 2},
    {WATER, MEASURE_WATER, {UNIT_MILLILITRE, UNIT_FLUID_OUNCE}, 2},
    {AMOUNT, MEASURE_AMOUNT, {UNIT_MILLILITRE, UNIT_FLUID_OUNCE}, 2},
    {PRESSURE, MEASURE_PRESSURE, {UNIT_PSI, UNIT_KILOPASCAL}, 2},
    {CUFF_GAP, MEASURE_CUFF_GAP, {UNIT_INCH, UNIT_CENTIMETRE}, 2},
    {HEM_GAP, MEASURE_HEM_GAP, {UNIT_INCH, UNIT_CENTIMETRE}, 2},
    {MATERIAL_SPOTS, MEASURE_MATERIAL_SPOTS, {0}, 0},
    {SEAM_SPOTS, MEASURE_SEAM_SPOTS, {0}, 0},
    {VALUE, MEASURE_VALUE, {0}, 0},
};
#define MEASURE_FIELDS (sizeof measure_field / sizeof *measure_field)

/* --- reading ------------------------------------------------------------------------------- */

struct reading {
	struct field_test t;
	struct doc *part;
	const struct kind *kind;
};

static enum err read_unit(struct request *rq, size_t i, enum unit *unit) {
	const char *word = value_text(&rq->value[UNIT]);
	for (size_t u = 0; word && u < measure_field[i].units; u++) {
		*unit = measure_field[i].unit[u];
		if (text_equal(unit_word[*unit], word)) return ERR_OK;
	}
	return request_field_fault(rq, "unit", "Say in what it was measured: %s or %s.",
				   unit_label[measure_field[i].unit[0]],
				   unit_label[measure_field[i].unit[1]]);
}

static enum err read_measure(struct request *rq, size_t i, struct field_test *t) {
	const struct value *v = &rq->value[measure_field[i].field];
	const char *name = field[measure_field[i].field].name;
	enum test_measure m = measure_field[i].measure;
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
	if (!measure_field[i].units) return ERR_OK;
	enum err err = read_unit(rq, i, &unit);
	if (err != ERR_OK) return err;
	if (unit_keep(unit, value_int(v, 0), &t->value[m])) return ERR_OK;
	return request_field_fault(rq, name, "That is out of all range.");
}

static enum err read_time(struct request *rq, struct field_test *t) {
	const struct value *minutes = &rq->value[MINUTES], *seconds = &rq->value[SECONDS];
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
	if (question && !value_given(&rq->value[SIGN]))
		return request_field_fault(rq, "sign", "Answer yes or no: %s", question);
	if (!question && value_given(&rq->value[SIGN]))
		return request_field_fault(rq, "sign", "Nothing is asked in this test: %s.",
					   field_test_label[t->test]);
	if (t->test == TEST_TRIM && !value_given(&rq->value[COMPARED]))
		return request_field_fault(rq, "compared",
					   "Say whether a new sample was beside it.");
	t->sign = value_yes(&rq->value[SIGN]);
	t->compared = value_yes(&rq->value[COMPARED]);
	return ERR_OK;
}

static enum err read_property(struct request *rq, struct field_test *t) {
	int word = word_find(limit_word, LIMIT_OF_COUNT, value_text(&rq->value[PROPERTY]));
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
				  CONFIRMED, NOTE);
}

static enum err read_test(struct request *rq, struct field_test *t) {
	enum err err = read_property(rq, t);
	for (size_t i = 0; err == ERR_OK && i < MEASURE_FIELDS; i++) err = read_measure(rq, i, t);
	if (err == ERR_OK) err = read_time(rq, t);
	if (err == ERR_OK) err = read_signs(rq, t);
	return err == ERR_OK ? check_doubtful(rq, t) : err;
}

/* The part and the sort of test that are spoken of, by the body or the address. */
static enum err load_subject(struct request *rq, struct reading *r, bool *has_test) {
	const struct value *v = request_values(rq, &resource);
	int64_t id = v ? value_int(&v[COMPONENT], 0) : 0;
	const char *word = v ? value_text(&v[TEST]) : NULL;
	enum err err = ERR_OK;
	if (!id) err = request_query_int(rq, "component", 1, INT64_MAX >> 21, 0, &id);
	if (!word) word = request_query(rq, "test");
	if (err == ERR_OK && !id)
		err = request_fail(rq, ERR_INVALID,
				   "Say of which part: open this form from its page.");
	if (err == ERR_OK)
		err = component_get(request_store(rq), id, &rq->arena, &r->part, &rq->fault);
	if (err == ERR_OK && !r->part)
		err = request_fail(rq, ERR_NOT_FOUND, "There is no component %lld.", (long long)id);
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

static enum err check_part(struct request *rq, const struct doc *part, bool by_provider) {
	const char *tag = doc_text(part, "tag");
	if (doc_text(part, "retired_on"))
		return request_fail(rq, ERR_CONFLICT, "%s was retired on %s.", tag,
				    doc_text(part, "retired_on"));
	if (by_provider) return ERR_OK;
	if (text_equal(doc_text(part, "state"), "at_provider"))
		return request_fail(rq, ERR_CONFLICT,
				    "%s is at a provider. Name the provider who tested it.", tag);
	if (!component_has_blocker(part, "contaminated")) return ERR_OK;
	return request_fail(rq, ERR_CONFLICT,
			    "%s is contaminated: have it cleaned first, for your sake and because "
			    "dirt hides damage.",
			    tag);
}

static enum err check_zone(struct request *rq, const struct reading *r) {
	const char *zone = value_text(&rq->value[ZONE]);
	if (text_empty(zone) || handbook_zone(app_handbook(request_app(rq)), r->kind, zone))
		return ERR_OK;
	return request_field_fault(rq, "zone", "Choose a place from the list.");
}

/* --- the form ------------------------------------------------------------------------------ */

/* Which fields a test's form has. */
static bool is_asked(enum field_test_sort test, size_t i, bool confirms) {
	bool gap_or_mix = test == TEST_TRIM || test == TEST_LEAKAGE || test == TEST_WATER ||
			  test == TEST_LINER_GAP;
	for (size_t m = 0; m < MEASURE_FIELDS; m++)
		if (measure_field[m].field == i)
			return field_test_measures(test, measure_field[m].measure);
	switch (i) {
	case COMPONENT:
	case TEST: return false; /* in the page itself */
	case UNIT: return gap_or_mix;
	case MINUTES:
	case SECONDS: return field_test_measures(test, MEASURE_TIME);
	case COMPARED: return test == TEST_TRIM;
	case SIGN: return field_test_question[test] != NULL;
	case PROPERTY: return test == TEST_LABORATORY;
	case EXTENT: return test == TEST_LEAKAGE || test == TEST_WATER;
	case ZONE:
	case PLACE: return test != TEST_LABORATORY && test != TEST_LINER_GAP;
	case CONFIRMED: return confirms;
	default: return true;
	}
}

/* Only the units that the test's measures may be given in. */
static void keep_units(struct doc *form, enum field_test_sort test) {
	struct doc *f = form->first;
	while (f && !text_equal(doc_text(f, "name"), "unit")) f = f->next;
	for (size_t m = 0; f && m < MEASURE_FIELDS; m++) {
		if (!measure_field[m].units || !field_test_measures(test, measure_field[m].measure))
			continue;
		struct doc *kept = doc_list(form->arena), *next;
		for (struct doc *o = doc_get(f, "options")->first; o; o = next) {
			next = o->next;
			for (size_t u = 0; u < measure_field[m].units; u++)
				if (text_equal(doc_text(o, "value"),
					       unit_word[measure_field[m].unit[u]]))
					doc_add(kept, o);
		}
		doc_set(f, "options", kept);
		return;
	}
}

/* Must a field of the test's form be answered? Of the two of the time, one will do. */
static bool is_required(enum field_test_sort test, const char *name) {
	if (text_equal(name, "sign") || text_equal(name, "compared") || text_equal(name, "unit") ||
	    text_equal(name, "property"))
		return true;
	for (size_t m = 0; m < MEASURE_FIELDS; m++)
		if (text_equal(field[measure_field[m].field].name, name))
			return field_test_needs(test, measure_field[m].measure);
	return false;
}

static void word_form(struct doc *form, enum field_test_sort test) {
	for (struct doc *f = form->first; f; f = f->next) {
		const char *name = doc_text(f, "name");
		if (is_required(test, name)) doc_set_bool(f, "required", true);
		if (text_equal(name, "sign")) doc_set_text(f, "label", field_test_question[test]);
	}
}

/* What is asked of it: each limit with its source. */
static void add_limits(struct request *rq, struct doc *d, const struct program *p,
		       enum field_test_sort test) {
	struct doc *list = doc_set_list(d, "limits");
	enum limit_code code;
	for (size_t i = 0; field_test_limit(test, i, &code); i++) {
		struct doc *l = doc_add_map(list);
		doc_set_text(l, "label", p->handbook->limit[code].label);
		doc_set_text(l, "value", program_limit_text(p, code, &rq->arena));
		doc_set_text(l, "source", p->handbook->limit[code].source);
	}
	doc_set_bool(d, "has_limits", doc_count(list) > 0);
}

static void offer_zones(struct request *rq, struct doc *form, const struct kind *k) {
	const struct handbook *hb = app_handbook(request_app(rq));
	struct doc *zones = doc_list(&rq->arena);
	for (size_t i = 0; i < hb->zone_count; i++) {
		if (hb->zone[i].kind != k) continue;
		struct doc *z = doc_add_map(zones);
		doc_set_text(z, "value", hb->zone[i].code);
		doc_set_text(z, "label", hb->zone[i].label);
	}
	fields_form_options(form, "zone", zones);
}

static enum err add_form(struct request *rq, struct doc *d, const struct reading *r) {
	const struct value *v = request_values(rq, &resource);
	struct doc *form = fields_form(&resource, &rq->arena, NULL, v, &rq->faults, rq->stale_form);
	struct doc *providers = doc_list(&rq->arena);
	bool confirms =
	    fault_list_find(&rq->faults, "confirmed") || (v && value_given(&v[CONFIRMED]));
	struct program *p;
	enum err err = provider_options(request_store(rq), &rq->arena, providers, &rq->fault);
	if (err == ERR_OK)
		err = program_load(request_store(rq), app_handbook(request_app(rq)), &rq->arena, &p,
				   &rq->fault);
	if (err != ERR_OK) return err;
	fields_form_options(form, "provider", providers);
	offer_zones(rq, form, r->kind);
	for (size_t i = 0; i < FIELDS; i++)
		if (!is_asked(r->t.test, i, confirms)) fields_form_remove(form, field[i].name);
	keep_units(form, r->t.test);
	word_form(form, r->t.test);
	doc_set(d, "form", form);
	add_limits(rq, d, p, r->t.test);
	return ERR_OK;
}

static enum err field_test_new(struct request *rq) {
	struct reading r = {0};
	bool has_test;
	enum err err = load_subject(rq, &r, &has_test);
	if (err != ERR_OK) return err;
	struct doc *d = rq->doc = doc_map(&rq->arena), *tests = doc_set_list(d, "tests");
	doc_set_int(d, "component", doc_int(r.part, "id"));
	doc_set_text(d, "tag", doc_text(r.part, "tag"));
	doc_set_text(d, "kind_label", r.kind->label);
	for (int i = 0; i < TEST_COUNT; i++) {
		enum field_test_sort test = (enum field_test_sort)i;
		if (!field_test_applies(test, r.kind, doc_int(r.part, "trim") != 0)) continue;
		struct doc *t = doc_add_map(tests);
		doc_set_text(t, "test", field_test_word[i]);
		doc_set_text(t, "test_label", field_test_label[i]);
		doc_set_text(t, "how", field_test_how[i]);
	}
	rq->title = arena_printf(&rq->arena, "Field test of %s", doc_text(r.part, "tag"));
	doc_set_bool(d, "is_chosen", has_test);
	if (!has_test) return ERR_OK;
	doc_set_text(d, "test", field_test_word[r.t.test]);
	doc_set_text(d, "test_label", field_test_label[r.t.test]);
	doc_set_text(d, "how", field_test_how[r.t.test]);
	return add_form(rq, d, &r);
}

/* --- storing ------------------------------------------------------------------------------- */

static enum err show(struct request *rq);

static enum err store_test(struct request *rq, const struct reading *r, const char *performer_class,
			   int64_t *id) {
	const struct value *v = rq->value;
	struct program *p;
	struct field_test_verdict verdict;
	enum err err = program_load(request_store(rq), app_handbook(request_app(rq)), &rq->arena,
				    &p, &rq->fault);
	if (err != ERR_OK) return err;
	field_test_judge(&verdict, &r->t, p, &rq->arena);
	if (!verdict.because) return request_fail(rq, ERR_MEMORY, "There is no memory left.");
	int64_t sign = r->t.sign, compared = r->t.compared;
	const char *by = value_text(&v[BY]);
	struct field_test_row row = {
	    .component = doc_int(r->part, "id"),
	    .provider = value_int(&v[PROVIDER], 0),
	    .recorded_by = rq->who.member,
	    .test = field_test_word[r->t.test],
	    .tested_on = record_day(rq, &v[TESTED_ON]),
	    .performed_by = text_empty(by) ? rq->who.name : by,
	    .performer_class = performer_class,
	    .sign = field_test_question[r->t.test] ? &sign : NULL,
	    .compared = r->t.test == TEST_TRIM ? &compared : NULL,
	    .property = value_text(&v[PROPERTY]),
	    .zone = value_text(&v[ZONE]),
	    .place = value_text(&v[PLACE]),
	    .extent = value_text(&v[EXTENT]),
	    .result = field_test_result_word[verdict.result],
	    .because = verdict.because,
	    .note = value_text(&v[NOTE]),
	};
	for (int m = 0; m < MEASURE_COUNT; m++)
		if (r->t.given[m]) row.measure[m] = &r->t.value[m];
	return field_test_insert(request_store(rq), &row, id, &rq->fault);
}

/* Whoever did it: the provider, or else who records it. */
static enum err check_tester(struct request *rq, enum field_test_sort test, struct performer *p) {
	enum work work;
	int64_t provider = value_int(&rq->value[PROVIDER], 0);
	enum err err = performer_find(request_store(rq), provider, rq->who.member,
				      day_parse(record_day(rq, &rq->value[TESTED_ON])), &rq->arena,
				      p, &rq->fault);
	if (err == ERR_INVALID) return request_fault_to_field(rq);
	if (err != ERR_OK || !work_of_field_test(test, &work)) return err;
	const char *no = performer_refusal(p, work, &rq->arena);
	return no ? request_field_fault(rq, provider ? "provider" : "performed_by", "%s", no)
		  : ERR_OK;
}

static enum err field_test_post(struct request *rq) {
	struct reading r = {0};
	struct performer tester;
	bool has_test;
	int64_t at = value_int(&rq->value[PROVIDER], 0), id = 0;
	enum err err = load_subject(rq, &r, &has_test);
	if (err == ERR_OK) err = record_check_done(rq, TESTED_ON);
	if (err == ERR_OK) err = check_tester(rq, r.t.test, &tester);
	if (err == ERR_OK) err = check_part(rq, r.part, at != 0);
	if (err == ERR_OK) err = check_zone(rq, &r);
	if (err == ERR_OK) err = read_test(rq, &r.t);
	if (err == ERR_OK) err = store_test(rq, &r, performer_word(&tester), &id);
	if (err != ERR_OK) return err;
	request_action(rq, "record field test");
	rq->id[0] = id;
	request_go(rq, true, "/field-tests/%lld", (long long)id);
	return show(rq);
}

/* --- one of them --------------------------------------------------------------------------- */

static const struct revocable revocable = {"field test", "/field-tests", field_test_get,
					   field_test_revoke, show};

static enum err show(struct request *rq) {
	struct doc *row, *d = rq->doc = doc_map(&rq->arena);
	enum err err = revocable_load(rq, &revocable, &row);
	if (err != ERR_OK) return err;
	field_test_label_row(doc_set(d, "field_test", row));
	doc_set_bool(d, "is_again", text_equal(doc_text(row, "state"), "not_valid"));
	doc_set_bool(d, "is_out", text_equal(doc_text(row, "state"), "fail"));
	doc_set_bool(d, "is_suspect", text_equal(doc_text(row, "state"), "suspect"));
	revocation_form(rq, row, d);
	rq->title =
	    arena_printf(&rq->arena, "%s of %s", doc_text(row, "test_label"), doc_text(row, "tag"));
	return ERR_OK;
}

static enum err revoke(struct request *rq) { return revocation_apply(rq, &revocable); }

static const char *const list_query[] = {LIST_QUERY, "test", "state", "station", NULL};
static const char *const new_query[] = {"component", "test", NULL};

static const struct route route[] = {
    {METHOD_GET, "/field-tests", ROLE_MEMBER, RUN_READ, .handle = field_test_index,
     .template_name = "field-tests", .query = list_query,
     .summary = "Field tests of gear, and what they came to"},
    {METHOD_GET, "/field-tests.csv", ROLE_MEMBER, RUN_READ, .handle = field_test_csv,
     .query = list_query, .summary = "The list of field tests as CSV"},
    {METHOD_GET, "/field-tests/new", ROLE_INSPECTOR, RUN_READ, .handle = field_test_new,
     .template_name = "field-test-new", .query = new_query,
     .summary = "Form for a field test of a part"},
    {METHOD_POST, "/field-tests", ROLE_INSPECTOR, RUN_CHANGE, .handle = field_test_post,
     .form = field_test_new, .template_name = "field-test-new", .resource = &resource,
     .summary = "Record a field test; what it came to is worked out"},
    {METHOD_GET, "/field-tests/:id", ROLE_MEMBER, RUN_READ, .handle = show,
     .template_name = "field-test", .summary = "One field test, and why it came to that"},
    {METHOD_POST, "/field-tests/:id/revoke", ROLE_OFFICER, RUN_CHANGE, .handle = revoke,
     .form = show, .template_name = "field-test", .resource = &revocation_resource,
     .summary = "Take back a field test recorded in error"},
};
const struct route_table field_test_routes = {route, sizeof route / sizeof *route};
