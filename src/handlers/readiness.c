/*
 * Who is ready, and if not, what stands in the way.
 */
#include "store/readiness.h"
#include "handlers/app.h"
#include "handlers/resources.h"
#include "handlers/routes.h"
#include "store/ensemble.h"
#include "store/member.h"
#include "store/station.h"

static void label_hazards(struct doc *rows) {
	for (struct doc *r = rows->first; r; r = r->next)
		doc_set_text(r, "hazard_label", choice_label(hazard_choice, doc_text(r, "hazard")));
}

static enum err department(struct request *rq) {
	struct doc *d = rq->doc = doc_map(&rq->arena), *rows = doc_set_list(d, "rows");
	enum err err =
	    readiness_of_department(request_store(rq), rq->today, &rq->arena, rows, &rq->fault);
	if (err != ERR_OK) return err;
	label_hazards(rows);
	int64_t strength = 0, ready = 0;
	for (struct doc *r = rows->first; r; r = r->next) {
		strength += doc_int(r, "strength");
		ready += doc_int(r, "ready");
		doc_set_bool(r, "is_complete", doc_int(r, "not_ready") == 0);
	}
	doc_set_int(d, "strength", strength);
	doc_set_int(d, "ready", ready);
	doc_set_int(d, "not_ready", strength - ready);
	doc_set_bool(d, "has_rows", doc_count(rows) > 0);
	rq->title = "Readiness";
	return ERR_OK;
}

static enum err station(struct request *rq) {
	struct doc *row = NULL, *d = rq->doc = doc_map(&rq->arena), *rows = doc_set_list(d, "rows");
	enum err err = station_get(request_store(rq), rq->id[0], &rq->arena, &row, &rq->fault);
	if (err == ERR_OK && !row)
		err = request_fail(rq, ERR_NOT_FOUND, "There is no such station.");
	if (err == ERR_OK)
		err = readiness_of_station(request_store(rq), rq->id[0], rq->today, &rq->arena,
					   rows, &rq->fault);
	if (err != ERR_OK) return err;
	label_hazards(rows);
	doc_set(d, "station", row);
	doc_set_bool(d, "has_rows", doc_count(rows) > 0);
	rq->title = arena_printf(&rq->arena, "Readiness of %s", doc_text(row, "name"));
	return ERR_OK;
}

/* The parts of the ensemble that counts, so that each obstacle can be looked at. */
static enum err add_parts(struct request *rq, struct doc *rows) {
	enum err err = ERR_OK;
	for (struct doc *r = rows->first; r && err == ERR_OK; r = r->next) {
		struct doc *parts = doc_set_list(r, "parts");
		int64_t ensemble = doc_int(r, "ensemble");
		if (ensemble)
			err = ensemble_parts(request_store(rq), ensemble, &rq->arena, parts,
					     &rq->fault);
	}
	return err;
}

static enum err member(struct request *rq) {
	struct doc *row = NULL, *d = rq->doc = doc_map(&rq->arena), *rows = doc_set_list(d, "rows");
	enum err err = member_get(request_store(rq), rq->id[0], &rq->arena, &row, &rq->fault);
	if (err == ERR_OK && !row)
		err = request_fail(rq, ERR_NOT_FOUND, "There is no such member.");
	if (err == ERR_OK)
		err = readiness_of_member(request_store(rq), rq->id[0], rq->today, &rq->arena, rows,
					  &rq->fault);
	if (err == ERR_OK) err = add_parts(rq, rows);
	if (err != ERR_OK) return err;
	label_hazards(rows);
	doc_set(d, "member", row);
	doc_set_bool(d, "has_rows", doc_count(rows) > 0);
	rq->title = arena_printf(&rq->arena, "Readiness of %s", doc_text(row, "name"));
	return ERR_OK;
}

static const struct route route[] = {
    {METHOD_GET, "/readiness", ROLE_MEMBER, RUN_READ, .handle = department,
     .template_name = "readiness", .summary = "Who is ready, by station and hazard"},
    {METHOD_GET, "/readiness/stations/:id", ROLE_MEMBER, RUN_READ, .handle = station,
     .template_name = "readiness-station",
     .summary = "Who is ready at a station, and what is in the way"},
    {METHOD_GET, "/readiness/members/:id", ROLE_MEMBER, RUN_READ, .handle = member,
     .template_name = "readiness-member", .summary = "Whether a member is ready, part by part"},
};
const struct route_table readiness_routes = {route, sizeof route / sizeof *route};
