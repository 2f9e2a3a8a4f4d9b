/*
 * Stations.
 */
#include "base/limits.h"
#include "handlers/app.h"
#include "handlers/list.h"
#include "handlers/record.h"
#include "handlers/resources.h"
#include "handlers/routes.h"
#include "store/station.h"

static const struct field station_field[STATION_FIELDS] = {
    [STATION_CODE] = {.name = "code",
		      .label = "Code",
		      .help = "Short and unique, as painted on the door: ST3.",
		      .kind = FIELD_TAG,
		      .required = true,
		      .max = 12,
		      .example = "ST3"},
    [STATION_NAME] = {.name = "name",
		      .label = "Name",
		      .kind = FIELD_TEXT,
		      .required = true,
		      .max = LIMIT_NAME_CHARS_MAX,
		      .example = "Airfield"},
    [STATION_ADDRESS] = {.name = "address", .label = "Address", .kind = FIELD_TEXT},
    [STATION_EMAIL] = {.name = "email",
		       .label = "Mail address",
		       .help = "Notices about this station's gear go there.",
		       .kind = FIELD_EMAIL,
		       .example = "st3@example.org"},
    [STATION_ACTIVE] = {.name = "active", .label = "In use", .kind = FIELD_YES_NO},
};
const struct resource station_resource = {"station", "stations", station_field, STATION_FIELDS};

static enum err get(struct request *rq, int64_t id, struct doc **row) {
	return station_get(request_store(rq), id, &rq->arena, row, &rq->fault);
}

static enum err save(struct request *rq, const struct doc *row, int64_t *id) {
	struct station_row station = {
	    .id = doc_int(row, "id"),
	    .code = keep_text(rq, STATION_CODE, row),
	    .name = keep_text(rq, STATION_NAME, row),
	    .address = keep_text(rq, STATION_ADDRESS, row),
	    .email = keep_text(rq, STATION_EMAIL, row),
	    .active = keep_int(rq, STATION_ACTIVE, row, 1) != 0,
	};
	return station_save(request_store(rq), &station, &rq->arena, id, &rq->fault);
}

static const struct record record = {.path = "/stations",
				     .word = "station",
				     .resource = &station_resource,
				     .get = get,
				     .save = save,
				     .title_key = "name",
				     .unique = "code"};

static const struct choice active_choice[] = {{"1", "In use"}, {"0", "Closed"}, {NULL, NULL}};
static const struct list_column column[] = {{"code", "code"},
					    {"name", "name"},
					    {"address", "address"},
					    {"email", "email"},
					    {"is_active", "active"},
					    {"member_count", "members"},
					    {"component_count", "components"},
					    {NULL, NULL}};
static const struct list_page page = {.path = "/stations",
				      .title = "Stations",
				      .source = &station_list,
				      .filter = {{.label = "In use", .choice = active_choice}},
				      .column = column};

static enum err station_index(struct request *rq) { return list_answer(rq, &page); }
static enum err station_csv(struct request *rq) { return list_export(rq, &page); }
static enum err station_show(struct request *rq) { return record_show(rq, &record); }
static enum err station_form(struct request *rq) { return record_form(rq, &record); }
static enum err station_store(struct request *rq) { return record_store(rq, &record); }

static const char *const list_query[] = {LIST_QUERY, "active", NULL};

static const struct route route[] = {
    {METHOD_GET, "/stations", ROLE_MEMBER, RUN_READ, .handle = station_index,
     .template_name = "stations", .query = list_query, .summary = "Stations"},
    {METHOD_GET, "/stations.csv", ROLE_MEMBER, RUN_READ, .handle = station_csv, .query = list_query,
     .summary = "The list of stations as CSV"},
    {METHOD_GET, "/stations/new", ROLE_OFFICER, RUN_READ, .handle = station_form,
     .template_name = "form", .summary = "Form for a new station"},
    {METHOD_POST, "/stations", ROLE_OFFICER, RUN_CHANGE, .handle = station_store,
     .form = station_form, .template_name = "form", .resource = &station_resource,
     .summary = "Add a station"},
    {METHOD_GET, "/stations/:id", ROLE_MEMBER, RUN_READ, .handle = station_show,
     .template_name = "station", .summary = "One station"},
    {METHOD_GET, "/stations/:id/edit", ROLE_OFFICER, RUN_READ, .handle = station_form,
     .template_name = "form", .summary = "Form to change a station"},
    {METHOD_POST, "/stations/:id", ROLE_OFFICER, RUN_CHANGE, .handle = station_store,
     .form = station_form, .template_name = "form", .resource = &station_resource, .partial = true,
     .summary = "Change a station"},
};
const struct route_table station_routes = {route, sizeof route / sizeof *route};
