/*
 * Members: who wears the gear, and against what.
 */
#include "base/limits.h"
#include "handlers/app.h"
#include "handlers/fit_checks.h"
#include "handlers/list.h"
#include "handlers/record.h"
#include "handlers/resources.h"
#include "handlers/routes.h"
#include "store/account.h"
#include "store/member.h"
#include "store/readiness.h"
#include "store/station.h"

static const struct choice status_choice[] = {
    {"active", "Active"}, {"leave", "On leave"}, {"left", "Left"}, {NULL, NULL}};

static const struct field member_field[MEMBER_FIELDS] = {
    [MEMBER_BADGE] = {.name = "badge",
		      .label = "Badge",
		      .kind = FIELD_TAG,
		      .required = true,
		      .max = 20,
		      .example = "4711"},
    [MEMBER_FAMILY_NAME] = {.name = "family_name",
			    .label = "Family name",
			    .kind = FIELD_TEXT,
			    .required = true,
			    .max = LIMIT_NAME_CHARS_MAX,
			    .example = "Example"},
    [MEMBER_GIVEN_NAME] = {.name = "given_name",
			   .label = "Given name",
			   .kind = FIELD_TEXT,
			   .required = true,
			   .max = LIMIT_NAME_CHARS_MAX,
			   .example = "Ada"},
    [MEMBER_STATION] = {.name = "station", .label = "Station", .kind = FIELD_ID, .required = true},
    [MEMBER_EMAIL] = {.name = "email", .label = "Mail address", .kind = FIELD_EMAIL},
    [MEMBER_STRUCTURAL] = {.name = "structural",
			   .label = "Assigned to structural fire fighting",
			   .kind = FIELD_YES_NO},
    [MEMBER_PROXIMITY] = {.name = "proximity",
			  .label = "Assigned to proximity (airfield) fire fighting",
			  .kind = FIELD_YES_NO},
    [MEMBER_TRAINED_UNTIL] = {.name = "trained_until",
			      .label = "Trained in advanced inspection until",
			      .help = "By an element maker or a verified provider.",
			      .kind = FIELD_DAY,
			      .example = "2027-05-31"},
    [MEMBER_STATUS] = {.name = "status",
		       .label = "Status",
		       .kind = FIELD_CHOICE,
		       .choice = status_choice,
		       .example = "active"},
};
const struct resource member_resource = {"member", "members", member_field, MEMBER_FIELDS};

static enum err get(struct request *rq, int64_t id, struct doc **row) {
	return member_get(request_store(rq), id, &rq->arena, row, &rq->fault);
}

static enum err save(struct request *rq, const struct doc *row, int64_t *id) {
	const char *status = keep_text(rq, MEMBER_STATUS, row);
	struct member_row member = {
	    .id = doc_int(row, "id"),
	    .badge = keep_text(rq, MEMBER_BADGE, row),
	    .family_name = keep_text(rq, MEMBER_FAMILY_NAME, row),
	    .given_name = keep_text(rq, MEMBER_GIVEN_NAME, row),
	    .station = keep_int(rq, MEMBER_STATION, row, 0),
	    .email = keep_text(rq, MEMBER_EMAIL, row),
	    .structural = keep_int(rq, MEMBER_STRUCTURAL, row, 1) != 0,
	    .proximity = keep_int(rq, MEMBER_PROXIMITY, row, 0) != 0,
	    .trained_until = keep_text(rq, MEMBER_TRAINED_UNTIL, row),
	    .status = status ? status : "active",
	};
	struct doc *station = NULL;
	enum err err =
	    station_get(request_store(rq), member.station, &rq->arena, &station, &rq->fault);
	if (err == ERR_OK && !station)
		return request_field_fault(rq, "station", "Choose a station from the list.");
	return err == ERR_OK ? member_save(request_store(rq), &member, &rq->arena, id, &rq->fault)
			     : err;
}

static enum err extend(struct request *rq, const struct doc *row, struct doc *page) {
	struct store *st = request_store(rq);
	int64_t id = doc_int(row, "id");
	doc_set_text(page, "status_label", choice_label(status_choice, doc_text(row, "status")));
	struct doc *gear = doc_set_list(page, "gear");
	enum err err = member_gear(st, id, &rq->arena, gear, &rq->fault);
	doc_set_bool(page, "has_gear", doc_count(gear) > 0);
	if (err == ERR_OK)
		err = member_ensembles(st, id, &rq->arena, doc_set_list(page, "ensembles"),
				       &rq->fault);
	if (err == ERR_OK)
		err = readiness_of_member(st, id, rq->today, &rq->arena,
					  doc_set_list(page, "readiness"), &rq->fault);
	if (err == ERR_OK) err = fit_checks_extend(rq, row, page);
	int64_t account = 0;
	if (err == ERR_OK) err = account_of_member(st, id, &account, &rq->fault);
	if (account) doc_set_int(page, "account", account);
	else doc_set_null(page, "account");
	return err;
}

static enum err options(struct request *rq, struct doc *form) {
	struct doc *stations = doc_list(&rq->arena);
	enum err err = station_options(request_store(rq), &rq->arena, stations, &rq->fault);
	if (err == ERR_OK) fields_form_options(form, "station", stations);
	return err;
}

static const struct record record = {.path = "/members",
				     .word = "member",
				     .resource = &member_resource,
				     .get = get,
				     .save = save,
				     .extend = extend,
				     .options = options,
				     .title_key = "name",
				     .unique = "badge"};

static const struct list_column column[] = {{"badge", "badge"},
					    {"family_name", "family_name"},
					    {"given_name", "given_name"},
					    {"station_code", "station"},
					    {"email", "email"},
					    {"is_structural", "structural"},
					    {"is_proximity", "proximity"},
					    {"trained_until", "trained_until"},
					    {"status", "status"},
					    {NULL, NULL}};
static const struct list_page page = {
    .path = "/members",
    .title = "Members",
    .source = &member_list,
    .filter = {{.label = "Station", .options = list_station_options},
	       {.label = "Status", .choice = status_choice},
	       {.label = "Hazard", .choice = hazard_choice}},
    .column = column};

static enum err member_index(struct request *rq) { return list_answer(rq, &page); }
static enum err member_csv(struct request *rq) { return list_export(rq, &page); }
static enum err member_show(struct request *rq) { return record_show(rq, &record); }
static enum err member_form(struct request *rq) { return record_form(rq, &record); }
static enum err member_store(struct request *rq) { return record_store(rq, &record); }

static const char *const list_query[] = {LIST_QUERY, "station", "status", "hazard", NULL};

static const struct route route[] = {
    {METHOD_GET, "/members", ROLE_MEMBER, RUN_READ, .handle = member_index,
     .template_name = "members", .query = list_query, .summary = "Members"},
    {METHOD_GET, "/members.csv", ROLE_OFFICER, RUN_READ, .handle = member_csv, .query = list_query,
     .summary = "The list of members as CSV"},
    {METHOD_GET, "/members/new", ROLE_OFFICER, RUN_READ, .handle = member_form,
     .template_name = "form", .summary = "Form for a new member"},
    {METHOD_POST, "/members", ROLE_OFFICER, RUN_CHANGE, .handle = member_store, .form = member_form,
     .template_name = "form", .resource = &member_resource, .summary = "Add a member"},
    {METHOD_GET, "/members/:id", ROLE_MEMBER, RUN_READ, .handle = member_show,
     .template_name = "member", .summary = "One member, the gear and whether it is complete"},
    {METHOD_GET, "/members/:id/edit", ROLE_OFFICER, RUN_READ, .handle = member_form,
     .template_name = "form", .summary = "Form to change a member"},
    {METHOD_POST, "/members/:id", ROLE_OFFICER, RUN_CHANGE, .handle = member_store,
     .form = member_form, .template_name = "form", .resource = &member_resource, .partial = true,
     .summary = "Change a member"},
};
const struct route_table member_routes = {route, sizeof route / sizeof *route};
