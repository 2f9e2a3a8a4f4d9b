/*
 * The form of a field test: which test, and then what is asked in that one.
 */
#include "base/text.h"
#include "handlers/app.h"
#include "handlers/field_test_reading.h"
#include "store/handbook.h"
#include "store/provider.h"

/* Which fields a test's form has. */
static bool is_asked(enum field_test_sort test, size_t i, bool confirms) {
	bool gap_or_mix = test == TEST_TRIM || test == TEST_LEAKAGE || test == TEST_WATER ||
			  test == TEST_LINER_GAP;
	for (size_t m = 0; m < field_test_measured_count; m++)
		if (field_test_measured[m].field == i)
			return field_test_measures(test, field_test_measured[m].measure);
	switch (i) {
	case TESTED_COMPONENT:
	case TESTED_TEST: return false; /* in the page itself */
	case TESTED_UNIT: return gap_or_mix;
	case TESTED_MINUTES:
	case TESTED_SECONDS: return field_test_measures(test, MEASURE_TIME);
	case TESTED_COMPARED: return test == TEST_TRIM;
	case TESTED_SIGN: return field_test_question[test] != NULL;
	case TESTED_PROPERTY: return test == TEST_LABORATORY;
	case TESTED_EXTENT: return test == TEST_LEAKAGE || test == TEST_WATER;
	case TESTED_ZONE:
	case TESTED_PLACE: return test != TEST_LABORATORY && test != TEST_LINER_GAP;
	case TESTED_CONFIRMED: return confirms;
	default: return true;
	}
}

/* Only the units that the test's measures may be given in. */
static void keep_units(struct doc *form, enum field_test_sort test) {
	struct doc *f = form->first;
	while (f && !text_equal(doc_text(f, "name"), "unit")) f = f->next;
	for (size_t m = 0; f && m < field_test_measured_count; m++) {
		if (!field_test_measured[m].units ||
		    !field_test_measures(test, field_test_measured[m].measure))
			continue;
		struct doc *kept = doc_list(form->arena), *next;
		for (struct doc *o = doc_get(f, "options")->first; o; o = next) {
			next = o->next;
			for (size_t u = 0; u < field_test_measured[m].units; u++)
				if (text_equal(doc_text(o, "value"),
					       unit_word[field_test_measured[m].unit[u]]))
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
	for (size_t m = 0; m < field_test_measured_count; m++)
		if (text_equal(field_test_resource.field[field_test_measured[m].field].name, name))
			return field_test_needs(test, field_test_measured[m].measure);
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

static enum err add_form(struct request *rq, struct doc *d, const struct field_test_reading *r) {
	const struct value *v = request_values(rq, &field_test_resource);
	struct doc *form =
	    fields_form(&field_test_resource, &rq->arena, NULL, v, &rq->faults, rq->stale_form);
	struct doc *providers = doc_list(&rq->arena);
	bool confirms =
	    fault_list_find(&rq->faults, "confirmed") || (v && value_given(&v[TESTED_CONFIRMED]));
	struct program *p;
	enum err err = provider_options(request_store(rq), &rq->arena, providers, &rq->fault);
	if (err == ERR_OK)
		err = program_load(request_store(rq), app_handbook(request_app(rq)), &rq->arena, &p,
				   &rq->fault);
	if (err != ERR_OK) return err;
	fields_form_options(form, "provider", providers);
	offer_zones(rq, form, r->kind);
	for (size_t i = 0; i < TESTED_FIELDS; i++)
		if (!is_asked(r->t.test, i, confirms))
			fields_form_remove(form, field_test_resource.field[i].name);
	keep_units(form, r->t.test);
	word_form(form, r->t.test);
	doc_set(d, "form", form);
	add_limits(rq, d, p, r->t.test);
	return ERR_OK;
}

enum err field_test_new(struct request *rq) {
	struct field_test_reading r = {0};
	bool has_test;
	enum err err = field_test_subject(rq, &r, &has_test);
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
