/*
 * Special incident holds: placing one, the custody log, the release. What a hold
 * forbids is enforced where every change ends (store/hold.h).
 */
#include <string.h>

#include "handlers/app.h"
#include "handlers/list.h"
#include "handlers/record.h"
#include "handlers/resources.h"
#include "handlers/routes.h"
#include "handlers/worn.h"
#include "store/hold.h"

static const struct choice hold_state_choice[] = {
    {"open", "Held"}, {"released", "Released"}, {NULL, NULL}};
static const struct list_column column[] = {{"tag", "tag"},
					    {"kind_label", "kind"},
					    {"incident", "incident"},
					    {"state", "state"},
					    {"placed_on", "placed_on"},
					    {"placed_by_name", "placed_by"},
					    {"kept_where", "kept_where"},
					    {"container", "container"},
					    {"released_on", "released_on"},
					    {"released_by_name", "released_by"},
					    {"authority", "authority"},
					    {"release_reason", "release_reason"},
					    {NULL, NULL}};
/* The list says it in the words of the page. */
static void label_row(struct doc *row) {
	doc_set_text(row, "state_label", choice_label(hold_state_choice, doc_text(row, "state")));
}

static const struct list_page page = {.path = "/holds",
				      .title = "Special incident holds",
				      .source = &hold_list,
				      .filter = {{.label = "State", .choice = hold_state_choice}},
				      .column = column,
				      .label = label_row};

static enum err hold_index(struct request *rq) { return list_answer(rq, &page); }
static enum err hold_csv(struct request *rq) { return list_export(rq, &page); }

/* --- placing one ------------------------------------------------------------------------ */

enum { COMPONENT, INCIDENT, PLACED_ON, KEPT_WHERE, CONTAINER, NOTE, FIELDS };
static const struct field field[FIELDS] = {
    [COMPONENT] = {.name = "component",
		   .label = "What is held",
		   .kind = FIELD_ID_LIST,
		   .required = true},
    [INCIDENT] = {.name = "incident",
		  .label = "The incident",
		  .help = "Its number or day and place, so that everybody knows which.",
		  .kind = FIELD_TEXT,
		  .required = true},
    [PLACED_ON] = {.name = "placed_on",
		   .label = "Held since",
		   .help = "Today when left empty.",
		   .kind = FIELD_DAY},
    [KEPT_WHERE] = {.name = "kept_where",
		    .label = "Kept where",
		    .help = "A place that can be locked, and who has the key.",
		    .kind = FIELD_TEXT,
		    .required = true},
    [CONTAINER] = {.name = "container",
		   .label = "Packed in",
		   .help = "Never plastic, never airtight.",
		   .kind = FIELD_CHOICE,
		   .required = true,
		   .choice = hold_container_choice},
    [NOTE] = {.name = "note", .label = "Note", .kind = FIELD_NOTE},
};
static const struct resource resource = {"hold", "holds", field, FIELDS};

static enum err hold_new(struct request *rq) {
	const struct value *v = request_values(rq, &resource);
	rq->doc = doc_map(&rq->arena);
	enum err err = worn_choices(rq, &field[COMPONENT], v ? &v[COMPONENT] : NULL, 0);
	if (err != ERR_OK) return err;
	struct doc *form = fields_form(&resource, &rq->arena, NULL, v, &rq->faults, rq->stale_form);
	fields_form_remove(form, "component");
	doc_set(rq->doc, "form", form);
	rq->title = "Special incident hold";
	return ERR_OK;
}

static enum err log_entry(struct request *rq, struct custody_row *entry) {
	char now[INSTANT_TEXT_SIZE];
	entry->recorded_at = instant_format(rq->now_s, now);
	return custody_add(request_store(rq), entry, &rq->fault);
}

static enum err place(struct request *rq, int64_t component, int64_t *id) {
	const struct value *v = rq->value;
	const char *on = record_day(rq, &v[PLACED_ON]);
	struct hold_row hold = {.component = component,
				.placed_by = rq->who.member,
				.incident = value_text(&v[INCIDENT]),
				.placed_on = on,
				.kept_where = value_text(&v[KEPT_WHERE]),
				.container = value_text(&v[CONTAINER]),
				.note = value_text(&v[NOTE])};
	enum err err = hold_insert(request_store(rq), &hold, id, &rq->fault);
	if (err == ERR_CONFLICT && store_was_duplicate(request_store(rq))) {
		fault_clear(&rq->fault);
		return request_field_fault(rq, "component", "One of these is held already.");
	}
	struct custody_row entry = {
	    .hold = *id, .happened_on = on, .who = rq->who.name, .purpose = "placed"};
	return err == ERR_OK ? log_entry(rq, &entry) : err;
}

static enum err show(struct request *rq);

static enum err hold_place(struct request *rq) {
	const struct value *chosen = &rq->value[COMPONENT];
	int64_t first = 0, id = 0;
	enum err err = record_check_done(rq, PLACED_ON);
	if (err == ERR_OK) err = worn_check(rq, chosen);
	for (size_t i = 0; err == ERR_OK && i < chosen->list_count; i++) {
		err = place(rq, chosen->list[i], &id);
		if (!first) first = id;
	}
	if (err != ERR_OK) return err;
	request_action(rq, "place special incident hold");
	rq->id[0] = first;
	if (chosen->list_count == 1) request_go(rq, true, "/holds/%lld", (long long)first);
	else request_go(rq, true, "/holds?state=open");
	return show(rq);
}

/* --- one of them ------------------------------------------------------------------------ */

enum { HAPPENED_ON, TIME_OF_DAY, WHO, PURPOSE, CUSTODY_NOTE, CUSTODY_FIELDS };
static const struct field custody_field[CUSTODY_FIELDS] = {
    [HAPPENED_ON] = {.name = "happened_on",
		     .label = "Day",
		     .help = "Today when left empty.",
		     .kind = FIELD_DAY},
    [TIME_OF_DAY] = {.name = "time_of_day",
		     .label = "Time of day",
		     .help = "Such as 14:05, where the department is; empty when nobody looked.",
		     .kind = FIELD_TIME},
    [WHO] = {.name = "who",
	     .label = "Who had access",
	     .help = "Name and agency of everybody who was there.",
	     .kind = FIELD_TEXT,
	     .required = true},
    [PURPOSE] = {.name = "purpose",
		 .label = "What for",
		 .kind = FIELD_CHOICE,
		 .required = true,
		 .choice = custody_purpose_choice},
    [CUSTODY_NOTE] = {.name = "note", .label = "Note", .kind = FIELD_NOTE},
};
static const struct resource custody_resource = {"custody", "holds", custody_field, CUSTODY_FIELDS};

enum { AUTHORITY, REASON, RELEASE_FIELDS };
static const struct field release_field[RELEASE_FIELDS] = {
    [AUTHORITY] = {.name = "authority",
		   .label = "Who ordered the release",
		   .help = "Name and agency; it stands in the record.",
		   .kind = FIELD_TEXT,
		   .required = true},
    [REASON] = {.name = "reason",
		.label = "Reason, and what becomes of it",
		.kind = FIELD_TEXT,
		.required = true},
};
static const struct resource release_resource = {"hold_release", "holds", release_field,
						 RELEASE_FIELDS};

static enum err load(struct request *rq, struct doc **row) {
	enum err err = hold_get(request_store(rq), rq->id[0], &rq->arena, row, &rq->fault);
	if (err == ERR_OK && !*row)
		err =
		    request_fail(rq, ERR_NOT_FOUND, "There is no hold %lld.", (long long)rq->id[0]);
	return err;
}

static enum err load_open(struct request *rq, struct doc **row) {
	enum err err = load(rq, row);
	if (err == ERR_OK) err = request_check_version(rq, doc_int(*row, "version"));
	if (err == ERR_OK && doc_text(*row, "released_on"))
		err = request_fail(rq, ERR_CONFLICT, "%s was released on %s.",
				   doc_text(*row, "tag"), doc_text(*row, "released_on"));
	return err;
}

static void add_form(struct request *rq, const struct resource *r, const char *key) {
	struct doc *own = doc_set_map(rq->doc, key);
	doc_set(
	    own, "form",
	    fields_form(r, &rq->arena, NULL, request_values(rq, r), &rq->faults, rq->stale_form));
}

static enum err show(struct request *rq) {
	struct doc *row, *d = rq->doc = doc_map(&rq->arena), *log = doc_set_list(d, "log");
	enum err err = load(rq, &row);
	if (err == ERR_OK)
		err = hold_custody(request_store(rq), rq->id[0], &rq->arena, log, &rq->fault);
	if (err != ERR_OK) return err;
	doc_set(d, "hold", row);
	bool open = !doc_text(row, "released_on");
	label_row(row);
	doc_set_text(d, "container_label",
		     choice_label(hold_container_choice, doc_text(row, "container")));
	doc_set_bool(d, "is_open", open);
	for (struct doc *e = log->first; e; e = e->next)
		doc_set_text(e, "purpose_label",
			     choice_label(custody_purpose_choice, doc_text(e, "purpose")));
	if (open) add_form(rq, &custody_resource, "access");
	else doc_set_null(d, "access");
	if (open && rq->who.role >= ROLE_OFFICER) add_form(rq, &release_resource, "release");
	else doc_set_null(d, "release");
	rq->version = doc_int(row, "version");
	doc_set_int(d, "version", rq->version);
	rq->title = arena_printf(&rq->arena, "Hold of %s", doc_text(row, "tag"));
	return ERR_OK;
}

static enum err go_back(struct request *rq, const char *action) {
	request_action(rq, action);
	request_go(rq, false, "/holds/%lld", (long long)rq->id[0]);
	rq->value = NULL;
	return show(rq);
}

/* So many minutes ago it was still yesterday. */
static bool is_yet_to_come(struct request *rq, const char *on, const struct value *time) {
	if (!value_text(time) || day_parse(on) != rq->today) return false;
	return app_today(request_app(rq), rq->now_s - time->number * 60) < rq->today;
}

static enum err custody_store(struct request *rq) {
	struct doc *row;
	const struct value *v = rq->value;
	enum err err = load_open(rq, &row);
	if (err == ERR_OK) err = record_check_done(rq, HAPPENED_ON);
	const char *purpose = value_text(&v[PURPOSE]), *on = record_day(rq, &v[HAPPENED_ON]);
	struct custody_row entry = {.hold = rq->id[0],
				    .happened_on = on,
				    .time_of_day = value_text(&v[TIME_OF_DAY]),
				    .who = value_text(&v[WHO]),
				    .purpose = purpose,
				    .note = value_text(&v[CUSTODY_NOTE])};
	if (err == ERR_OK && (text_equal(purpose, "released") || text_equal(purpose, "placed")))
		return request_field_fault(rq, "purpose",
					   "Placing and releasing are recorded by themselves: the "
					   "release by the safety officer, with who ordered it.");
	if (err == ERR_OK && on && strcmp(on, doc_text(row, "placed_on")) < 0)
		return request_field_fault(rq, "happened_on",
					   "It is held since %s; before that there was no custody.",
					   doc_text(row, "placed_on"));
	if (err == ERR_OK && is_yet_to_come(rq, on, &v[TIME_OF_DAY]))
		return request_field_fault(rq, "time_of_day",
					   "It is not so late yet. Give the time it was done.");
	if (err == ERR_OK) err = log_entry(rq, &entry);
	return err == ERR_OK ? go_back(rq, "log access to held gear") : err;
}

static enum err release_store(struct request *rq) {
	struct doc *row;
	char today[DAY_TEXT_SIZE];
	const char *reason = value_text(&rq->value[REASON]);
	day_format(rq->today, today);
	enum err err = load_open(rq, &row);
	if (err == ERR_OK)
		err = hold_release(request_store(rq), rq->id[0], rq->who.member, today,
				   value_text(&rq->value[AUTHORITY]), reason, &rq->fault);
	struct custody_row entry = {.hold = rq->id[0],
				    .happened_on = today,
				    .who = rq->who.name,
				    .purpose = "released",
				    .note = reason};
	if (err == ERR_OK) err = log_entry(rq, &entry);
	return err == ERR_OK ? go_back(rq, "release special incident hold") : err;
}

static const char *const list_query[] = {LIST_QUERY, "state", NULL};
static const char *const new_query[] = {"component", "member", NULL};

static const struct route route[] = {
    {METHOD_GET, "/holds", ROLE_INSPECTOR, RUN_READ, .handle = hold_index, .template_name = "holds",
     .query = list_query, .summary = "Gear held as it was found after a special incident"},
    {METHOD_GET, "/holds.csv", ROLE_INSPECTOR, RUN_READ, .handle = hold_csv, .query = list_query,
     .summary = "The list of special incident holds as CSV"},
    {METHOD_GET, "/holds/new", ROLE_INSPECTOR, RUN_READ, .handle = hold_new,
     .template_name = "hold-new", .query = new_query,
     .summary = "Form to hold what a member wore, as it was found"},
    {METHOD_POST, "/holds", ROLE_INSPECTOR, RUN_CHANGE, .handle = hold_place, .form = hold_new,
     .template_name = "hold-new", .resource = &resource,
     .summary = "Hold gear: nothing about it changes until the officer releases it"},
    {METHOD_GET, "/holds/:id", ROLE_INSPECTOR, RUN_READ, .handle = show, .template_name = "hold",
     .summary = "One hold with its custody log, to print"},
    {METHOD_POST, "/holds/:id/custody", ROLE_INSPECTOR, RUN_CHANGE, .handle = custody_store,
     .form = show, .template_name = "hold", .resource = &custody_resource,
     .summary = "Log an access to held gear"},
    {METHOD_POST, "/holds/:id/release", ROLE_OFFICER, RUN_CHANGE, .handle = release_store,
     .form = show, .template_name = "hold", .resource = &release_resource,
     .summary = "Release held gear, with who ordered it and why"},
};
const struct route_table hold_routes = {route, sizeof route / sizeof *route};
