/*
 * Field tests: the list, writing one down with what it came to (rules/field_test.h), its page.
 */
#include "handlers/field_tests.h"
#include "handlers/app.h"
#include "handlers/components.h"
#include "handlers/field_test_reading.h"
#include "handlers/list.h"
#include "handlers/performer.h"
#include "handlers/record.h"
#include "handlers/revocation.h"
#include "handlers/routes.h"
#include "handlers/words.h"
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

/* --- a new one ---- */

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

static enum err check_zone(struct request *rq, const struct field_test_reading *r) {
	const char *zone = value_text(&rq->value[TESTED_ZONE]);
	if (text_empty(zone) || handbook_zone(app_handbook(request_app(rq)), r->kind, zone))
		return ERR_OK;
	return request_field_fault(rq, "zone", "Choose a place from the list.");
}

static enum err show(struct request *rq);

static enum err store_test(struct request *rq, const struct field_test_reading *r,
			   const char *performer_class, int64_t *id) {
	const struct value *v = rq->value;
	struct program *p;
	struct field_test_verdict verdict;
	enum err err = program_load(request_store(rq), app_handbook(request_app(rq)), &rq->arena,
				    &p, &rq->fault);
	if (err != ERR_OK) return err;
	field_test_judge(&verdict, &r->t, p, &rq->arena);
	if (!verdict.because) return request_fail(rq, ERR_MEMORY, "There is no memory left.");
	int64_t sign = r->t.sign, compared = r->t.compared;
	const char *by = value_text(&v[TESTED_BY]);
	struct field_test_row row = {
	    .component = doc_int(r->part, "id"),
	    .provider = value_int(&v[TESTED_PROVIDER], 0),
	    .recorded_by = rq->who.member,
	    .test = field_test_word[r->t.test],
	    .tested_on = record_day(rq, &v[TESTED_DAY]),
	    .performed_by = text_empty(by) ? rq->who.name : by,
	    .performer_class = performer_class,
	    .sign = field_test_question[r->t.test] ? &sign : NULL,
	    .compared = r->t.test == TEST_TRIM ? &compared : NULL,
	    .property = value_text(&v[TESTED_PROPERTY]),
	    .zone = value_text(&v[TESTED_ZONE]),
	    .place = value_text(&v[TESTED_PLACE]),
	    .extent = value_text(&v[TESTED_EXTENT]),
	    .result = field_test_result_word[verdict.result],
	    .because = verdict.because,
	    .note = value_text(&v[TESTED_NOTE]),
	};
	for (int m = 0; m < MEASURE_COUNT; m++)
		if (r->t.given[m]) row.measure[m] = &r->t.value[m];
	return field_test_insert(request_store(rq), &row, id, &rq->fault);
}

/* Whoever did it: the provider, or else who records it. */
static enum err check_tester(struct request *rq, enum field_test_sort test, struct performer *p) {
	enum work work;
	int64_t provider = value_int(&rq->value[TESTED_PROVIDER], 0);
	enum err err = performer_find(request_store(rq), provider, rq->who.member,
				      day_parse(record_day(rq, &rq->value[TESTED_DAY])), &rq->arena,
				      p, &rq->fault);
	if (err == ERR_INVALID) return request_fault_to_field(rq);
	if (err != ERR_OK || !work_of_field_test(test, &work)) return err;
	const char *no = performer_refusal(p, work, &rq->arena);
	return no ? request_field_fault(rq, provider ? "provider" : "performed_by", "%s", no)
		  : ERR_OK;
}

static enum err field_test_post(struct request *rq) {
	struct field_test_reading r = {0};
	struct performer tester;
	bool has_test;
	int64_t at = value_int(&rq->value[TESTED_PROVIDER], 0), id = 0;
	enum err err = field_test_subject(rq, &r, &has_test);
	if (err == ERR_OK) err = record_check_done(rq, TESTED_DAY);
	if (err == ERR_OK) err = check_tester(rq, r.t.test, &tester);
	if (err == ERR_OK) err = check_part(rq, r.part, at != 0);
	if (err == ERR_OK) err = check_zone(rq, &r);
	if (err == ERR_OK) err = field_test_read(rq, &r.t);
	if (err == ERR_OK) err = store_test(rq, &r, performer_word(&tester), &id);
	if (err != ERR_OK) return err;
	request_action(rq, "record field test");
	rq->id[0] = id;
	request_go(rq, true, "/field-tests/%lld", (long long)id);
	return show(rq);
}

/* --- one of them --- */

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
     .form = field_test_new, .template_name = "field-test-new", .resource = &field_test_resource,
     .summary = "Record a field test; what it came to is worked out"},
    {METHOD_GET, "/field-tests/:id", ROLE_MEMBER, RUN_READ, .handle = show,
     .template_name = "field-test", .summary = "One field test, and why it came to that"},
    {METHOD_POST, "/field-tests/:id/revoke", ROLE_OFFICER, RUN_CHANGE, .handle = revoke,
     .form = show, .template_name = "field-test", .resource = &revocation_resource,
     .summary = "Take back a field test recorded in error"},
};
const struct route_table field_test_routes = {route, sizeof route / sizeof *route};
