/*
 * Exposures: what gear came into contact with. The wearer makes the first evaluation after
 * each use, so members record it for what they wear; inspectors for all gear. From then on it
 * is contaminated until the cleaning it asks for (rules/exposure.h).
 */
#include <string.h>

#include "handlers/app.h"
#include "handlers/list.h"
#include "handlers/record.h"
#include "handlers/resources.h"
#include "handlers/revocation.h"
#include "handlers/routes.h"
#include "handlers/worn.h"
#include "rules/exposure.h"
#include "store/exposure.h"

static const struct choice state_choice_of[] = {{"open", "Waits for its cleaning"},
						{"cleaned", "Cleaned"},
						{"revoked", "Recorded in error"},
						{NULL, NULL}};
static const struct list_column column[] = {{"tag", "tag"},
					    {"kind_label", "kind"},
					    {"exposed_on", "exposed_on"},
					    {"cause", "cause"},
					    {"incident", "incident"},
					    {"contaminants", "contaminants"},
					    {"state", "state"},
					    {"cleaned_on", "cleaned_on"},
					    {"cleaning_class", "class"},
					    {"reported_by_name", "reported_by"},
					    {"note", "note"},
					    {"revoked_reason", "revoked_reason"},
					    {NULL, NULL}};
/* The list says it in the words of the page; of a cause what stands before its examples. */
static void label_row(struct doc *row) {
	const char *cause = choice_label(exposure_cause_choice, doc_text(row, "cause"));
	doc_set_printf(row, "cause_label", "%.*s", (int)strcspn(cause, ":"), cause);
	doc_set_text(row, "state_label", choice_label(state_choice_of, doc_text(row, "state")));
}

static const struct list_page page = {
    .path = "/exposures",
    .title = "Exposures",
    .source = &exposure_list,
    .filter = {{.label = "State", .choice = state_choice_of},
	       {.label = "Cause", .choice = exposure_cause_choice},
	       {.label = "Station", .options = list_station_options}},
    .column = column,
    .label = label_row};

static enum err exposure_index(struct request *rq) { return list_answer(rq, &page); }
static enum err exposure_csv(struct request *rq) { return list_export(rq, &page); }

/* --- a new one -------------------------------------------------------------------------- */

enum { COMPONENT, CAUSE, EXPOSED_ON, INCIDENT, CONTAMINANTS, NOTE, FIELDS };
static const struct field field[FIELDS] = {
    [COMPONENT] = {.name = "component",
		   .label = "What was exposed",
		   .kind = FIELD_ID_LIST,
		   .required = true},
    [CAUSE] = {.name = "cause",
	       .label = "To what",
	       .kind = FIELD_CHOICE,
	       .required = true,
	       .choice = exposure_cause_choice},
    [EXPOSED_ON] = {.name = "exposed_on",
		    .label = "Day",
		    .help = "Today when left empty.",
		    .kind = FIELD_DAY},
    [INCIDENT] = {.name = "incident",
		  .label = "Incident",
		  .help = "Its number, or where it was.",
		  .kind = FIELD_TEXT},
    [CONTAMINANTS] = {.name = "contaminants",
		      .label = "Contaminants",
		      .help = "What it is known or suspected to be: the cleaner has to know.",
		      .kind = FIELD_TEXT},
    [NOTE] = {.name = "note", .label = "Note", .kind = FIELD_NOTE},
};
static const struct resource resource = {"exposure", "exposures", field, FIELDS};

static enum err exposure_new(struct request *rq) {
	const struct value *v = request_values(rq, &resource);
	rq->doc = doc_map(&rq->arena);
	enum err err =
	    worn_choices(rq, &field[COMPONENT], v ? &v[COMPONENT] : NULL, rq->who.member);
	if (err != ERR_OK) return err;
	struct doc *form = fields_form(&resource, &rq->arena, NULL, v, &rq->faults, rq->stale_form);
	fields_form_remove(form, "component");
	doc_set(rq->doc, "form", form);
	rq->title = "Record an exposure";
	return ERR_OK;
}

/* Members speak of what they wear. */
static enum err check_wearer(struct request *rq, int64_t component) {
	bool worn = true;
	if (rq->who.role >= ROLE_INSPECTOR) return ERR_OK;
	enum err err =
	    component_is_worn_by(request_store(rq), component, rq->who.member, &worn, &rq->fault);
	if (err != ERR_OK || worn) return err;
	return request_fail(rq, ERR_DENIED,
			    "You can record exposures of your own gear. Tell an inspector of other "
			    "gear.");
}

static enum err show(struct request *rq);

static enum err exposure_post(struct request *rq) {
	const struct value *v = rq->value, *chosen = &v[COMPONENT];
	int64_t id = 0;
	enum err err = record_check_done(rq, EXPOSED_ON);
	if (err == ERR_OK) err = worn_check(rq, chosen);
	for (size_t i = 0; err == ERR_OK && i < chosen->list_count; i++) {
		struct exposure_row row = {.component = chosen->list[i],
					   .reported_by = rq->who.member,
					   .exposed_on = record_day(rq, &v[EXPOSED_ON]),
					   .cause = value_text(&v[CAUSE]),
					   .incident = value_text(&v[INCIDENT]),
					   .contaminants = value_text(&v[CONTAMINANTS]),
					   .note = value_text(&v[NOTE])};
		err = check_wearer(rq, row.component);
		if (err == ERR_OK) err = exposure_insert(request_store(rq), &row, &id, &rq->fault);
		if (err == ERR_OK)
			err = exposure_reopen_follow_ups(request_store(rq), id, &rq->fault);
	}
	if (err != ERR_OK) return err;
	request_action(rq, "record exposure");
	rq->id[0] = id;
	if (chosen->list_count == 1)
		request_go(rq, true, "/components/%lld", (long long)chosen->list[0]);
	else request_go(rq, true, "/exposures?state=open");
	return show(rq);
}

/* --- one of them ------------------------------------------------------------------------ */

static const struct revocable revocable = {"exposure", "/exposures", exposure_get, exposure_revoke,
					   show};

static enum err show(struct request *rq) {
	struct doc *row, *d = rq->doc = doc_map(&rq->arena);
	enum err err = revocable_load(rq, &revocable, &row);
	if (err != ERR_OK) return err;
	doc_set(d, "exposure", row);
	int word = word_find(exposure_cause_word, EXPOSURE_CAUSE_COUNT, doc_text(row, "cause"));
	enum exposure_cause cause = (enum exposure_cause)(word < 0 ? EXPOSURE_OTHER : word);
	label_row(row);
	doc_set_text(d, "asks",
		     exposure_asks_specialized(cause) ? "Specialized cleaning"
						      : "Advanced cleaning");
	doc_set_text(d, "source", exposure_source(cause));
	doc_set_text(d, "advice", exposure_advice(cause));
	bool open = text_equal(doc_text(row, "state"), "open");
	doc_set_bool(d, "can_clean", open && rq->who.role >= ROLE_INSPECTOR);
	revocation_form(rq, row, d);
	rq->title = arena_printf(&rq->arena, "Exposure of %s", doc_text(row, "tag"));
	struct doc *tainted = doc_set(d, "tainted", doc_list(&rq->arena));
	if (!tainted) return ERR_MEMORY;
	err = exposure_tainted(request_store(rq), rq->id[0], &rq->arena, tainted, &rq->fault);
	doc_set_bool(d, "has_tainted", doc_count(tainted) > 0);
	return err;
}

static enum err revoke(struct request *rq) { return revocation_apply(rq, &revocable); }

static const char *const list_query[] = {LIST_QUERY, "state", "cause", "station", NULL};
static const char *const new_query[] = {"component", "member", NULL};

static const struct route route[] = {
    {METHOD_GET, "/exposures", ROLE_MEMBER, RUN_READ, .handle = exposure_index,
     .template_name = "exposures", .query = list_query,
     .summary = "What gear was exposed to, and what waits for its cleaning"},
    {METHOD_GET, "/exposures.csv", ROLE_MEMBER, RUN_READ, .handle = exposure_csv,
     .query = list_query, .summary = "The list of exposures as CSV"},
    {METHOD_GET, "/exposures/new", ROLE_MEMBER, RUN_READ, .handle = exposure_new,
     .template_name = "exposure-new", .query = new_query,
     .summary = "Form for an exposure of what was worn"},
    {METHOD_POST, "/exposures", ROLE_MEMBER, RUN_CHANGE, .handle = exposure_post,
     .form = exposure_new, .template_name = "exposure-new", .resource = &resource,
     .summary = "Record an exposure: contaminated until the cleaning it asks for"},
    {METHOD_GET, "/exposures/:id", ROLE_MEMBER, RUN_READ, .handle = show,
     .template_name = "exposure", .summary = "One exposure, and what ended it"},
    {METHOD_POST, "/exposures/:id/revoke", ROLE_OFFICER, RUN_CHANGE, .handle = revoke, .form = show,
     .template_name = "exposure", .resource = &revocation_resource,
     .summary = "Take back an exposure recorded in error"},
};
const struct route_table exposure_routes = {route, sizeof route / sizeof *route};
