/*
 * The look for out of doors: larger, black on white, for reading in sunlight. It belongs to the
 * device and not to whoever holds it, so a cookie remembers it and nothing is recorded.
 */
#include "handlers/app.h"
#include "handlers/routes.h"
#include "handlers/sign_in.h"

enum { OUTDOORS, NEXT, FIELDS };
static const struct field field[FIELDS] = {
    [OUTDOORS] = {.name = "outdoors",
		  .label = "Out of doors",
		  .kind = FIELD_YES_NO,
		  .required = true},
    [NEXT] = {.name = "next", .label = "Next page", .kind = FIELD_TEXT, .max = 2000},
};
static const struct resource resource = {"look", "look", field, FIELDS};

static enum err look_store(struct request *rq) {
	const char *next = value_text(&rq->value[NEXT]);
	rq->set_outdoors = value_yes(&rq->value[OUTDOORS]) ? "yes" : "";
	request_go(rq, false, "%s", is_local_path(next) ? next : "/");
	return ERR_OK;
}

static const struct route route[] = {
    {METHOD_POST, "/look", ROLE_MEMBER, RUN_CHANGE, .handle = look_store, .resource = &resource,
     .summary = "Show this device's pages for out of doors, or as usual again"},
};
const struct route_table look_routes = {route, sizeof route / sizeof *route};
