/*
 * Findings of the whole department, and the maker's answer to a question.
 */
#include "handlers/app.h"
#include "handlers/list.h"
#include "handlers/photos.h"
#include "handlers/resources.h"
#include "handlers/routes.h"
#include "store/dispatch.h"
#include "store/photo.h"

static const struct list_column column[] = {{"tag", "tag"},
					    {"kind_label", "kind"},
					    {"defect_label", "defect"},
					    {"zone_label", "zone"},
					    {"face", "face"},
					    {"side", "side"},
					    {"place", "place"},
					    {"severity", "severity"},
					    {"outcome_label", "outcome"},
					    {"state", "state"},
					    {"found_on", "found_on"},
					    {"closed_on", "closed_on"},
					    {"note", "note"},
					    {NULL, NULL}};
static const struct list_page page = {
    .path = "/findings",
    .title = "Findings",
    .source = &finding_list,
    .filter = {{.label = "State", .choice = finding_state_choice},
	       {.label = "Severity", .choice = severity_choice},
	       {.label = "Kind", .choice = kind_choice},
	       {.label = "Station", .options = list_station_options}},
    .column = column};

static enum err finding_index(struct request *rq) { return list_answer(rq, &page); }
static enum err finding_csv(struct request *rq) { return list_export(rq, &page); }

enum { ANSWER, FIELDS };
static const struct field field[FIELDS] = {
    [ANSWER] =
	{.name = "answer",
	 .label = "The answer",
	 .help = "Who answered (maker or verified provider), when, and what: it ends the finding "
		 "and stands in the record.",
	 .kind = FIELD_NOTE,
	 .required = true},
};
static const struct resource resource = {"finding_answer", "findings", field, FIELDS};

static enum err finding_page(struct request *rq) {
	struct doc *row = NULL;
	enum err err = finding_get(request_store(rq), rq->id[0], &rq->arena, &row, &rq->fault);
	if (err == ERR_OK && !row)
		err = request_fail(rq, ERR_NOT_FOUND, "There is no finding %lld.",
				   (long long)rq->id[0]);
	if (err != ERR_OK) return err;
	struct doc *d = rq->doc = doc_map(&rq->arena);
	doc_set(d, "finding", row);
	rq->version = doc_int(row, "version");
	doc_set_int(d, "version", rq->version);
	doc_set_text(d, "state_label", choice_label(finding_state_choice, doc_text(row, "state")));
	bool open = text_equal(doc_text(row, "state"), "open");
	bool answerable = open && text_equal(doc_text(row, "closed_by"), "answer");
	doc_set_bool(d, "can_answer", answerable && rq->who.role >= ROLE_OFFICER);
	doc_set_bool(d, "can_dispatch",
		     open && doc_bool(row, "is_for_ticket") && rq->who.role >= ROLE_INSPECTOR);
	doc_set(d, "form",
		fields_form(&resource, &rq->arena, NULL, request_values(rq, &resource), &rq->faults,
			    rq->stale_form));
	rq->title = arena_printf(&rq->arena, "Finding on %s", doc_text(row, "tag"));
	struct doc *photos = doc_list(&rq->arena);
	if (!photos) return ERR_MEMORY;
	err = photos_of_finding(request_store(rq), rq->id[0], &rq->arena, photos, &rq->fault);
	if (err != ERR_OK) return err;
	photos_show(d, photos, NULL);
	return finding_dispatches(request_store(rq), rq->id[0], &rq->arena,
				  doc_set_list(d, "dispatches"), &rq->fault);
}

static enum err finding_answer(struct request *rq) {
	struct doc *row = NULL;
	enum err err = finding_get(request_store(rq), rq->id[0], &rq->arena, &row, &rq->fault);
	if (err == ERR_OK && !row)
		err = request_fail(rq, ERR_NOT_FOUND, "There is no such finding.");
	if (err == ERR_OK) err = request_check_version(rq, doc_int(row, "version"));
	if (err != ERR_OK) return err;
	if (!text_equal(doc_text(row, "state"), "open") ||
	    !text_equal(doc_text(row, "closed_by"), "answer"))
		return request_fail(
		    rq, ERR_CONFLICT,
		    "Only an open question to the maker ends with an answer; this finding "
		    "needs %s.",
		    doc_text(row, "outcome_label"));
	char today[DAY_TEXT_SIZE];
	err = finding_answered(request_store(rq), rq->id[0], day_format(rq->today, today),
			       value_text(&rq->value[ANSWER]), &rq->fault);
	if (err != ERR_OK) return err;
	request_action(rq, "record the maker's answer");
	request_go(rq, false, "/findings/%lld", (long long)rq->id[0]);
	return finding_page(rq);
}

static const char *const list_query[] = {LIST_QUERY, "state", "severity", "kind", "station", NULL};

static const struct route route[] = {
    {METHOD_GET, "/findings", ROLE_MEMBER, RUN_READ, .handle = finding_index,
     .template_name = "findings", .query = list_query, .summary = "Findings"},
    {METHOD_GET, "/findings.csv", ROLE_MEMBER, RUN_READ, .handle = finding_csv, .query = list_query,
     .summary = "The list of findings as CSV"},
    {METHOD_GET, "/findings/:id", ROLE_MEMBER, RUN_READ, .handle = finding_page,
     .template_name = "finding", .summary = "One finding, its reason and its way"},
    {METHOD_POST, "/findings/:id/answer", ROLE_OFFICER, RUN_CHANGE, .handle = finding_answer,
     .form = finding_page, .template_name = "finding", .resource = &resource,
     .summary = "Record the maker's answer to a question"},
};
const struct route_table finding_routes = {route, sizeof route / sizeof *route};
