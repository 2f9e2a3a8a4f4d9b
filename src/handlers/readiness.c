/*
 * Who is ready, and if not, what stands in the way.
 */
#include "store/readiness.h"
#include "handlers/app.h"
#include "handlers/list.h"
#include "handlers/resources.h"
#include "handlers/routes.h"
#include "store/ensemble.h"
#include "store/member.h"
#include "store/station.h"

/* Where to look at what stands in the way. */
static void add_link(struct doc *obstacle) {
	int64_t component = doc_int(obstacle, "component");
	int64_t fit_check = doc_int(obstacle, "fit_check");
	if (component) doc_set_printf(obstacle, "url", "/components/%lld", (long long)component);
	else if (fit_check)
		doc_set_printf(obstacle, "url", "/fit-checks/%lld", (long long)fit_check);
	else doc_set_null(obstacle, "url");
}

static void add_words(struct doc *rows) {
	for (struct doc *r = rows->first; r; r = r->next) {
		const struct doc *obstacles = doc_get(r, "obstacles");
		for (struct doc *o = obstacles ? obstacles->first : NULL; o; o = o->next)
			add_link(o);
		doc_set_text(r, "hazard_label", choice_label(hazard_choice, doc_text(r, "hazard")));
		doc_set_bool(r, "has_obstacles", obstacles && doc_count(obstacles) > 0);
	}
}

static enum err department(struct request *rq) {
	struct doc *d = rq->doc = doc_map(&rq->arena), *rows = doc_set_list(d, "rows");
	enum err err =
	    readiness_of_department(request_store(rq), rq->today, &rq->arena, rows, &rq->fault);
	if (err != ERR_OK) return err;
	add_words(rows);
	int64_t strength = 0, ready = 0;
	for (struct doc *r = rows->first; r; r = r->next) {
		strength += doc_int(r, "strength");
		ready += doc_int(r, "ready");
		doc_set_bool(r, "is_complete", doc_int(r, "not_ready") == 0);
	}
	doc_set_int(d, "strength", strength);
	doc_set_int(d, "ready", ready);
	doc_set_int(d, "not_ready", strength - ready);
	char today[DAY_TEXT_SIZE];
	doc_set_copy(d, "on", day_format(rq->today, today));
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
	add_words(rows);
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
	add_words(rows);
	doc_set(d, "member", row);
	doc_set_bool(d, "has_rows", doc_count(rows) > 0);
	rq->title = arena_printf(&rq->arena, "Readiness of %s", doc_text(row, "name"));
	return ERR_OK;
}

/* --- everybody, as a list --- */

static enum err when_options(struct request *rq, struct doc *options) {
	static const struct {
		const char *word, *label;
		int days;
	} choice[] = {{"from", "Ready", 0},
		      {"before", "Not ready", 0},
		      {"from", "Ready still in 30 days", 30},
		      {"before", "Not ready in 30 days", 30}};
	for (size_t i = 0; i < sizeof choice / sizeof *choice; i++) {
		char on[DAY_TEXT_SIZE];
		struct doc *o = doc_add_map(options);
		doc_set_printf(o, "value", "%s-%s", choice[i].word,
			       day_format(rq->today + choice[i].days, on));
		doc_set_text(o, "label", choice[i].label);
	}
	return ERR_OK;
}

static const struct list_column column[] = {{"badge", "badge"},
					    {"family_name", "family_name"},
					    {"given_name", "given_name"},
					    {"station_code", "station"},
					    {"hazard", "hazard"},
					    {"ready_until", "ready_until"},
					    {"ensemble_code", "ensemble"},
					    {"reason", "what_stands_in_the_way"},
					    {NULL, NULL}};
static const struct list_page page = {
    .path = "/readiness/members",
    .title = "Readiness of members",
    .source = &readiness_list,
    .filter = {{.label = "When", .options = when_options},
	       {.label = "Station", .options = list_station_options},
	       {.label = "Hazard", .choice = hazard_choice}},
    .column = column};

static enum err members(struct request *rq) {
	enum err err = list_answer(rq, &page);
	if (err != ERR_OK) return err;
	struct doc *rows = (struct doc *)(uintptr_t)doc_get(rq->doc, "rows");
	add_words(rows);
	for (struct doc *r = rows->first; r; r = r->next) {
		day until = day_parse(doc_text(r, "ready_until"));
		doc_set_bool(r, "is_ready", until != DAY_NONE && until >= rq->today);
	}
	return ERR_OK;
}

static enum err members_csv(struct request *rq) { return list_export(rq, &page); }

static const char *const list_query[] = {LIST_QUERY, "when", "station", "hazard", NULL};

static const struct route route[] = {
    {METHOD_GET, "/readiness", ROLE_MEMBER, RUN_READ, .handle = department,
     .template_name = "readiness", .summary = "Who is ready, by station and hazard"},
    {METHOD_GET, "/readiness/stations/:id", ROLE_MEMBER, RUN_READ, .handle = station,
     .template_name = "readiness-station",
     .summary = "Who is ready at a station, and what is in the way"},
    {METHOD_GET, "/readiness/members", ROLE_MEMBER, RUN_READ, .handle = members,
     .template_name = "readiness-members", .query = list_query,
     .summary = "Every member and hazard: ready until when, and what is in the way"},
    {METHOD_GET, "/readiness/members.csv", ROLE_MEMBER, RUN_READ, .handle = members_csv,
     .query = list_query, .summary = "The same list as CSV"},
    {METHOD_GET, "/readiness/members/:id", ROLE_MEMBER, RUN_READ, .handle = member,
     .template_name = "readiness-member", .summary = "Whether a member is ready, part by part"},
};
const struct route_table readiness_routes = {route, sizeof route / sizeof *route};
