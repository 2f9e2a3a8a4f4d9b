/*
 * Components: the list, the page, the printable record, adding and changing.
 * What can be done with one is in component_acts.c.
 */
#include "handlers/components.h"
#include "handlers/duties.h"
#include "handlers/field_tests.h"

#include <string.h>

#include "base/limits.h"
#include "handlers/advice.h"
#include "handlers/app.h"
#include "handlers/checkpoint.h"
#include "handlers/component_act.h"
#include "handlers/figure.h"
#include "handlers/list.h"
#include "handlers/performer.h"
#include "handlers/photos.h"
#include "handlers/record.h"
#include "handlers/resources.h"
#include "handlers/retirement.h"
#include "handlers/routes.h"
#include "handlers/safety_notices.h"
#include "rules/unit.h"
#include "store/component.h"
#include "store/ensemble.h"
#include "store/exposure.h"
#include "store/field_test.h"
#include "store/hold.h"
#include "store/photo.h"
#include "store/price.h"
#include "store/retirement.h"
#include "store/station.h"

/* Words of component_kind in migrations/0002-handbook.sql, in the order of work. */

static const struct field component_field[COMPONENT_FIELDS] = {
    [COMPONENT_TAG] = {.name = "tag",
		       .label = "Tag",
		       .help = "The department's own tag: what is scanned.",
		       .kind = FIELD_TAG,
		       .required = true,
		       .example = "PW-000123"},
    [COMPONENT_KIND] = {.name = "kind",
			.label = "Kind",
			.kind = FIELD_CHOICE,
			.required = true,
			.choice = kind_choice},
    [COMPONENT_HAZARD] = {.name = "hazard",
			  .label = "Hazard",
			  .kind = FIELD_CHOICE,
			  .required = true,
			  .choice = hazard_choice},
    [COMPONENT_STATION] = {.name = "station",
			   .label = "Station",
			   .kind = FIELD_ID,
			   .required = true},
    [COMPONENT_ENSEMBLE] = {.name = "ensemble",
			    .label = "Ensemble",
			    .help = "Code of the set it belongs to; empty for single parts.",
			    .kind = FIELD_TAG},
    [COMPONENT_SERIAL] = {.name = "serial",
			  .label = "Maker's id, lot or serial number",
			  .kind = FIELD_TEXT,
			  .max = LIMIT_TAG_CHARS_MAX},
    [COMPONENT_MAKER] = {.name = "maker",
			 .label = "Maker",
			 .kind = FIELD_TEXT,
			 .max = LIMIT_NAME_CHARS_MAX},
    [COMPONENT_MODEL] = {.name = "model",
			 .label = "Model or design",
			 .kind = FIELD_TEXT,
			 .max = LIMIT_NAME_CHARS_MAX},
    [COMPONENT_SIZE] = {.name = "size", .label = "Size", .kind = FIELD_TEXT, .max = 30},
    [COMPONENT_MADE] =
	{.name = "made",
	 .label = "Made",
	 .help = "Month and year as the label says: 2019-06. Leave it empty only when the "
		 "label cannot tell; then the age is unknown and the part not ready.",
	 .kind = FIELD_LABEL_DATE,
	 .example = "2019-06"},
    [COMPONENT_LIFE_MONTHS] =
	{.name = "life_months",
	 .label = "Maker's limit of life, in months",
	 .help = "From the month of manufacture on, as the maker's instructions say. Empty: none "
		 "known. The rules of the department hold beside it; the earlier day counts.",
	 .kind = FIELD_INTEGER,
	 .min = 1,
	 .max = LIMIT_MONTHS_MAX},
    [COMPONENT_IN_SERVICE_ON] = {.name = "in_service_on",
				 .label = "Placed in service",
				 .kind = FIELD_DAY,
				 .example = "2019-09-01"},
    [COMPONENT_CBRN] = {.name = "cbrn",
			.label = "With the CBRN option",
			.help = "Say it at the liner too: that makes its complete inspection due "
				"sooner.",
			.kind = FIELD_YES_NO},
    [COMPONENT_TRIM] = {.name = "trim",
			.label = "Carries retroreflective trim",
			.kind = FIELD_YES_NO},
    [COMPONENT_REFLECTIVE] = {.name = "reflective",
			      .label = "Radiant reflective (aluminized, gold-coated)",
			      .kind = FIELD_YES_NO},
    [COMPONENT_COST] = {.name = "cost", .label = "Price paid", .kind = FIELD_MONEY},
    [COMPONENT_NOTE] = {.name = "note", .label = "Note", .kind = FIELD_NOTE},
};
const struct resource component_resource = {"component", "components", component_field,
					    COMPONENT_FIELDS};

enum err component_get_row(struct request *rq, int64_t id, struct doc **row) {
	enum err err = component_get(request_store(rq), id, &rq->arena, row, &rq->fault);
	if (err == ERR_OK && *row) retirement_words(*row, &rq->arena);
	return err;
}

/* The ensemble named by its code; 0 when none is named. */
static enum err find_ensemble(struct request *rq, const char *code, const char *hazard,
			      int64_t *id) {
	struct doc *ensemble = NULL;
	*id = 0;
	if (!code) return ERR_OK;
	enum err err = ensemble_by_code(request_store(rq), code, &rq->arena, &ensemble, &rq->fault);
	if (err != ERR_OK) return err;
	if (!ensemble)
		return request_field_fault(rq, "ensemble", "There is no ensemble with the code %s.",
					   code);
	if (!text_equal(doc_text(ensemble, "hazard"), hazard))
		return request_field_fault(rq, "ensemble", "Ensemble %s is for the other hazard.",
					   code);
	*id = doc_int(ensemble, "id");
	return ERR_OK;
}

/* What is looked at follows from the kind and the hazard; a list that was begun is of the old. */
static enum err check_kind(struct request *rq, const struct doc *row) {
	char today[DAY_TEXT_SIZE];
	struct doc *hindrance = NULL;
	if (text_equal(keep_text(rq, COMPONENT_KIND, row), doc_text(row, "kind")) &&
	    text_equal(keep_text(rq, COMPONENT_HAZARD, row), doc_text(row, "hazard")))
		return ERR_OK;
	enum err err =
	    retirement_hindrance(request_store(rq), doc_int(row, "id"),
				 day_format(rq->today, today), &rq->arena, &hindrance, &rq->fault);
	if (err != ERR_OK || !doc_int(hindrance, "draft")) return err;
	return request_field_fault(rq, "kind",
				   "It is being inspected as what it was, in inspection %lld. Sign "
				   "or abandon that one first.",
				   (long long)doc_int(hindrance, "draft"));
}

bool component_serves_before_made(const char *made, const char *in_service_on) {
	struct label_date label;
	day in_service = day_parse(in_service_on);
	label_date_parse(made, &label);
	return label_date_known(label) && in_service != DAY_NONE &&
	       in_service < label_date_first(label);
}

static enum err save(struct request *rq, const struct doc *row, int64_t *id) {
	enum err err = row ? component_check_serves(rq, row) : ERR_OK;
	if (err == ERR_OK && row) err = check_kind(rq, row);
	if (err != ERR_OK) return err;
	const char *trim = value_text(&rq->value[COMPONENT_TRIM]);
	struct component_row c = {
	    .id = doc_int(row, "id"),
	    .tag = keep_text(rq, COMPONENT_TAG, row),
	    .serial = keep_text(rq, COMPONENT_SERIAL, row),
	    .kind = keep_text(rq, COMPONENT_KIND, row),
	    .hazard = keep_text(rq, COMPONENT_HAZARD, row),
	    .maker = keep_text(rq, COMPONENT_MAKER, row),
	    .model = keep_text(rq, COMPONENT_MODEL, row),
	    .size = keep_text(rq, COMPONENT_SIZE, row),
	    .made = keep_text(rq, COMPONENT_MADE, row),
	    .in_service_on = keep_text(rq, COMPONENT_IN_SERVICE_ON, row),
	    .note = keep_text(rq, COMPONENT_NOTE, row),
	    .station = keep_int(rq, COMPONENT_STATION, row, 0),
	    .cbrn = keep_int(rq, COMPONENT_CBRN, row, 0) != 0,
	    .trim = trim ? text_equal(trim, "yes") : doc_int(row, "trim") != 0,
	    .reflective = keep_int(rq, COMPONENT_REFLECTIVE, row, 0) != 0,
	    .cost_cents = keep_int(rq, COMPONENT_COST, row, -1),
	    .life_months = keep_int(rq, COMPONENT_LIFE_MONTHS, row, 0),
	};
	struct doc *station = NULL;
	err = record_check_done(rq, COMPONENT_MADE);
	if (err == ERR_OK) err = record_check_done(rq, COMPONENT_IN_SERVICE_ON);
	if (err == ERR_OK && component_serves_before_made(c.made, c.in_service_on))
		err = request_field_fault(
		    rq, "in_service_on",
		    "It was made %s and cannot have served before. Correct one of the two.",
		    c.made);
	if (err == ERR_OK)
		err = station_get(request_store(rq), c.station, &rq->arena, &station, &rq->fault);
	if (err == ERR_OK && !station)
		return request_field_fault(rq, "station", "Choose a station from the list.");
	if (err == ERR_OK)
		err = find_ensemble(rq, keep_text(rq, COMPONENT_ENSEMBLE, row), c.hazard,
				    &c.ensemble);
	return err == ERR_OK ? component_save(request_store(rq), &c, &rq->arena, id, &rq->fault)
			     : err;
}

static void label_degrees(struct doc *cleaning, const char *mf, const char *label) {
	const struct doc *kept = doc_get(cleaning, mf);
	bool given = kept && kept->type == DOC_INT;
	doc_set_text(cleaning, label,
		     given ? unit_text(UNIT_FAHRENHEIT, kept->integer, cleaning->arena) : NULL);
}

static void label_washing(struct doc *cleaning) {
	int64_t ph = doc_int(cleaning, "ph_hundredths");
	const char *dried = doc_text(cleaning, "dried"), *washer = doc_text(cleaning, "washer");
	label_degrees(cleaning, "water_mf", "water_label");
	label_degrees(cleaning, "dry_mf", "dry_label");
	doc_set_text(cleaning, "dried_label", dried ? choice_label(drying_choice, dried) : NULL);
	doc_set_text(cleaning, "washer_label", washer ? choice_label(washer_choice, washer) : NULL);
	if (ph) doc_set_printf(cleaning, "ph_label", "%.2f", (double)ph / 100);
	else doc_set_null(cleaning, "ph_label");
}

/* What it was exposed to, and how often it was washed for it: laundering wears gear out. */
static enum err add_exposures(struct request *rq, int64_t id, struct doc *page) {
	struct doc *exposures = doc_set_list(page, "exposures");
	int64_t washed = 0;
	const char *last = NULL;
	for (struct doc *c = doc_get(page, "cleanings")->first; c; c = c->next) {
		bool counts = !text_equal(doc_text(c, "class"), "routine");
		if (counts && !last) last = doc_text(c, "cleaned_on");
		washed += counts;
		label_washing(c);
	}
	doc_set_int(page, "cleaning_count", washed);
	doc_set_text(page, "cleaned_last_on", last);
	return exposures_of_component(request_store(rq), id, &rq->arena, exposures, &rq->fault);
}

/* What was held, and everybody who came near it. */
static enum err add_holds(struct request *rq, int64_t id, struct doc *page) {
	struct doc *holds = doc_set_list(page, "holds");
	enum err err = holds_of_component(request_store(rq), id, &rq->arena, holds, &rq->fault);
	for (struct doc *h = holds->first; err == ERR_OK && h; h = h->next)
		err = hold_custody(request_store(rq), doc_int(h, "id"), &rq->arena,
				   doc_set_list(h, "custody"), &rq->fault);
	doc_set_bool(page, "has_holds", doc_count(holds) > 0);
	return err;
}

static enum err add_field_tests(struct request *rq, int64_t id, struct doc *page) {
	struct doc *tests = doc_set_list(page, "field_tests");
	enum err err =
	    field_tests_of_component(request_store(rq), id, &rq->arena, tests, &rq->fault);
	for (struct doc *t = tests->first; err == ERR_OK && t; t = t->next) field_test_label_row(t);
	return err;
}

static enum err add_photos(struct request *rq, int64_t id, int64_t limit, struct doc *page) {
	struct doc *rows = doc_list(&rq->arena);
	if (!rows) return ERR_MEMORY;
	enum err err =
	    photos_of_component(request_store(rq), id, limit, &rq->arena, rows, &rq->fault);
	if (err == ERR_OK) photos_show(page, rows, NULL);
	return err;
}

/* What was found in its life, and where: drawn once there is something to draw. */
static enum err add_findings(struct request *rq, const struct doc *row, struct doc *page) {
	struct doc *findings = doc_set_list(page, "findings");
	enum err err = component_findings(request_store(rq), doc_int(row, "id"), 0, &rq->arena,
					  findings, &rq->fault);
	const struct doc *placed = findings->first;
	while (placed && !doc_text(placed, "zone")) placed = placed->next;
	doc_set_null(page, "figure");
	if (err != ERR_OK || !placed) return err;
	const struct handbook *hb = app_handbook(request_app(rq));
	figure_document(rq, page, handbook_kind(hb, doc_text(row, "kind")), findings, NULL);
	return ERR_OK;
}

/* inspections: at most so many, and so many photos. */
static enum err add_life(struct request *rq, const struct doc *row, int64_t inspections,
			 struct doc *page) {
	static const char *const performed[] = {"inspections", "cleanings", "repairs", NULL};
	struct store *st = request_store(rq);
	struct arena *a = &rq->arena;
	int64_t id = doc_int(row, "id");
	struct doc *duties = doc_set_list(page, "duties");
	enum err err = component_duties(st, id, rq->today, a, duties, &rq->fault);
	if (err == ERR_OK) err = duty_sources(rq, duties);
	if (err == ERR_OK)
		err = component_inspections(st, id, inspections, a,
					    doc_set_list(page, "inspections"), &rq->fault);
	if (err == ERR_OK) err = add_findings(rq, row, page);
	if (err == ERR_OK)
		err = component_issues(st, id, a, doc_set_list(page, "issues"), &rq->fault);
	if (err == ERR_OK)
		err = component_cleanings(st, id, a, doc_set_list(page, "cleanings"), &rq->fault);
	if (err == ERR_OK)
		err = component_repairs(st, id, a, doc_set_list(page, "repairs"), &rq->fault);
	for (const char *const *list = performed; err == ERR_OK && *list; list++)
		performer_remarks(doc_get(page, *list));
	if (err == ERR_OK) err = add_exposures(rq, id, page);
	if (err == ERR_OK) err = add_field_tests(rq, id, page);
	if (err == ERR_OK) err = add_photos(rq, id, inspections, page);
	if (err == ERR_OK) err = safety_notices_on_page(rq, id, page);
	return err == ERR_OK ? add_holds(rq, id, page) : err;
}

static int64_t open_hold(const struct doc *page) {
	for (const struct doc *h = doc_get(page, "holds")->first; h; h = h->next)
		if (!doc_text(h, "released_on")) return doc_int(h, "id");
	return 0;
}

bool component_has_blocker(const struct doc *row, const char *code) {
	for (const struct doc *b = doc_get(row, "blockers")->first; b; b = b->next)
		if (text_equal(doc_text(b, "code"), code)) return true;
	return false;
}

/* The repair ticket it is away with, or 0. */
static int64_t sent_ticket(const struct doc *page) {
	for (const struct doc *r = doc_get(page, "repairs")->first; r; r = r->next)
		if (text_equal(doc_text(r, "state"), "sent")) return doc_int(r, "dispatch");
	return 0;
}

/* What may be done with it now; the acts check it again. */
static void add_acts(const struct request *rq, const struct doc *row, struct doc *page) {
	const char *state = doc_text(row, "state");
	bool retired = doc_text(row, "retired_on") != NULL, held = doc_int(row, "holder") != 0;
	bool gone = doc_text(row, "disposed_on") != NULL; /* retired gear is cleaned for training */
	bool away = text_equal(state, "at_provider");
	struct doc *can = doc_set_map(page, "can");
	int64_t hold = open_hold(page);
	/* Of what is held, nothing but the log. */
	enum role role = hold ? ROLE_NOBODY : rq->who.role;
	if (hold && rq->who.role >= ROLE_INSPECTOR) doc_set_int(can, "custody", hold);
	else doc_set_null(can, "custody");
	if (away && role >= ROLE_INSPECTOR) doc_set_int(can, "come_back", sent_ticket(page));
	else doc_set_null(can, "come_back");
	doc_set_bool(can, "hold", role >= ROLE_INSPECTOR);
	bool soiled =
	    component_has_blocker(row, "contaminated"); /* cleaned first, then inspected */
	doc_set_bool(can, "clean_first", role >= ROLE_INSPECTOR && !gone && soiled);
	doc_set_bool(can, "inspect", role >= ROLE_INSPECTOR && !retired && !away && !soiled);
	doc_set_bool(can, "tag", !gone && doc_int(row, "blocker_count") > 0);
	doc_set_bool(can, "look", !hold && !retired && !away);
	doc_set_bool(can, "issue", role >= ROLE_INSPECTOR && !retired && !away && !held);
	doc_set_bool(can, "take_back", role >= ROLE_INSPECTOR && held);
	doc_set_bool(can, "expose", !hold && (!retired || text_equal(state, "training_only")));
	doc_set_bool(can, "test", role >= ROLE_INSPECTOR && !retired && !soiled);
	doc_set_bool(can, "clean", role >= ROLE_INSPECTOR && !gone && !soiled);
	doc_set_bool(can, "withdraw",
		     role >= ROLE_OFFICER && !retired && !doc_text(row, "withdrawn_reason"));
	doc_set_bool(can, "release", role >= ROLE_OFFICER && doc_text(row, "withdrawn_reason"));
	doc_set_bool(can, "retire", role >= ROLE_OFFICER && !retired && !held);
	doc_set_bool(can, "train",
		     role >= ROLE_OFFICER && retired && !gone && !doc_text(row, "training_on"));
	doc_set_bool(can, "dispose", role >= ROLE_OFFICER && retired && !gone);
	doc_set_bool(can, "change", role >= ROLE_OFFICER && !retired);
	doc_set_bool(can, "price", role >= ROLE_OFFICER && !retired);
	bool for_ticket = false;
	const struct doc *findings = doc_get(page, "findings");
	for (const struct doc *f = findings ? findings->first : NULL; f; f = f->next)
		for_ticket |= doc_bool(f, "is_open") && doc_bool(f, "is_for_ticket");
	doc_set_bool(can, "dispatch", role >= ROLE_INSPECTOR && for_ticket && !away);
}

/* Where each thing in the way is on record. */
static void link_blockers(const struct doc *row, const struct doc *page) {
	static const struct {
		const char *key, *path;
	} record_of[] = {{"finding", "/findings/"},
			 {"exposure", "/exposures/"},
			 {"field_test", "/field-tests/"},
			 {"safety_notice", "/safety-notices/"}};
	for (struct doc *b = doc_get(row, "blockers")->first; b; b = b->next) {
		doc_set_null(b, "url");
		for (size_t i = 0; i < sizeof record_of / sizeof *record_of; i++)
			if (doc_int(b, record_of[i].key))
				doc_set_printf(b, "url", "%s%lld", record_of[i].path,
					       (long long)doc_int(b, record_of[i].key));
		if (text_equal(doc_text(b, "code"), "at_provider"))
			doc_set_printf(b, "url", "/dispatches/%lld", (long long)sent_ticket(page));
	}
}

/* What a new one of just this part costs, for those who may see prices. */
static enum err add_prices(struct request *rq, int64_t id, struct doc *page) {
	struct doc *prices = doc_set_list(page, "prices");
	enum err err = ERR_OK;
	if (rq->who.role >= ROLE_OFFICER)
		err = component_prices(request_store(rq), id, &rq->arena, prices, &rq->fault);
	doc_set_bool(page, "has_prices", doc_count(prices) > 0);
	return err;
}

static enum err extend(struct request *rq, const struct doc *row, struct doc *page) {
	enum err err = add_life(rq, row, 20, page);
	if (err == ERR_OK) err = advice_document(rq, page, doc_int(row, "id"), -1);
	if (err == ERR_OK) err = add_prices(rq, doc_int(row, "id"), page);
	if (err != ERR_OK) return err;
	doc_set_text(page, "state_label", choice_label(state_choice, doc_text(row, "state")));
	doc_set_text(page, "hazard_label", choice_label(hazard_choice, doc_text(row, "hazard")));
	const char *until = doc_text(row, "ready_until");
	doc_set_bool(page, "was_ready", until && day_parse(until) < rq->today);
	link_blockers(row, page);
	add_acts(rq, row, page);
	return ERR_OK;
}

static enum err options(struct request *rq, struct doc *form) {
	struct doc *stations = doc_list(&rq->arena);
	enum err err = station_options(request_store(rq), &rq->arena, stations, &rq->fault);
	if (err == ERR_OK) fields_form_options(form, "station", stations);
	return err;
}

static const struct record record = {.path = "/components",
				     .word = "component",
				     .titled = "part",
				     .resource = &component_resource,
				     .get = component_get_row,
				     .save = save,
				     .extend = extend,
				     .options = options,
				     .title_key = "tag",
				     .unique = "tag"};

static const struct list_column column[] = {{"tag", "tag"},
					    {"kind", "kind"},
					    {"hazard", "hazard"},
					    {"station_code", "station"},
					    {"ensemble_code", "ensemble"},
					    {"serial", "serial"},
					    {"maker", "maker"},
					    {"model", "model"},
					    {"size", "size"},
					    {"made", "made"},
					    {"state", "state"},
					    {"blocker_count", "blockers"},
					    {"ready_until", "ready_until"},
					    {NULL, NULL}};
static const struct list_page page = {
    .path = "/components",
    .title = "Gear",
    .source = &component_list,
    .filter = {{.label = "Station", .options = list_station_options},
	       {.label = "Kind", .choice = kind_choice},
	       {.label = "State", .choice = state_choice},
	       {.label = "Hazard", .choice = hazard_choice}},
    .column = column};

static enum err component_index(struct request *rq) {
	enum err err = list_answer(rq, &page);
	doc_set_text(rq->doc, "labels_url", list_address(rq, &page, "/labels"));
	return err;
}
static enum err component_csv(struct request *rq) { return list_export(rq, &page); }
enum err component_show(struct request *rq) { return record_show(rq, &record); }
static enum err component_form(struct request *rq) { return record_form(rq, &record); }
static enum err component_new(struct request *rq) {
	enum err err = record_offer(rq, &component_resource, COMPONENT_TAG);
	return err == ERR_OK ? component_form(rq) : err;
}
static enum err component_store(struct request *rq) { return record_store(rq, &record); }

/* The eleven record items (as reported of NFPA 1851, 4.3) on one page, to print. */
static enum err component_record(struct request *rq) {
	struct doc *row;
	enum err err = record_load(rq, &record, &row);
	if (err != ERR_OK) return err;
	struct doc *d = rq->doc = doc_map(&rq->arena);
	doc_set(d, "component", row);
	err = add_life(rq, row, 1000, d);
	if (err == ERR_OK)
		err = component_entries(request_store(rq), rq->id[0], &rq->arena,
					doc_set_list(d, "entries"), &rq->fault);
	if (err == ERR_OK) err = checkpoint_show(rq, d);
	if (err == ERR_OK) err = duty_rules_named(rq, d);
	doc_set_text(d, "state_label", choice_label(state_choice, doc_text(row, "state")));
	doc_set_text(d, "hazard_label", choice_label(hazard_choice, doc_text(row, "hazard")));
	rq->title = arena_printf(&rq->arena, "Record of %s", doc_text(row, "tag"));
	return err;
}

static const char *const new_query[] = {"tag", NULL};
static const char *const list_query[] = {LIST_QUERY, "station", "kind", "state", "hazard", NULL};

static const struct route route[] = {
    {METHOD_GET, "/components", ROLE_MEMBER, RUN_READ, .handle = component_index,
     .template_name = "components", .query = list_query, .summary = "Gear, every separable part"},
    {METHOD_GET, "/components.csv", ROLE_MEMBER, RUN_READ, .handle = component_csv,
     .query = list_query, .summary = "The list of gear as CSV"},
    {METHOD_GET, "/components/new", ROLE_OFFICER, RUN_READ, .handle = component_new,
     .template_name = "form", .query = new_query, .summary = "Form for a new component"},
    {METHOD_POST, "/components", ROLE_OFFICER, RUN_CHANGE, .handle = component_store,
     .form = component_form, .template_name = "form", .resource = &component_resource,
     .summary = "Add a component"},
    {METHOD_GET, "/components/:id", ROLE_MEMBER, RUN_READ, .handle = component_show,
     .template_name = "component", .summary = "One component: standing, duties, its life"},
    {METHOD_GET, "/components/:id/edit", ROLE_OFFICER, RUN_READ, .handle = component_form,
     .template_name = "form", .summary = "Form to change a component"},
    {METHOD_POST, "/components/:id", ROLE_OFFICER, RUN_CHANGE, .handle = component_store,
     .form = component_form, .template_name = "form", .resource = &component_resource,
     .partial = true, .summary = "Change a component"},
    {METHOD_GET, "/components/:id/record", ROLE_MEMBER, RUN_READ, .handle = component_record,
     .template_name = "component-record", .summary = "The whole record of a component, to print"},
};
const struct route_table component_routes = {route, sizeof route / sizeof *route};
