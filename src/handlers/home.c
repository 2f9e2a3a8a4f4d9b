/*
 * The start page, the search box, and what the program says of itself.
 */
#include <string.h>

#include "base/limits.h"
#include "handlers/app.h"
#include "handlers/duties.h"
#include "handlers/routes.h"
#include "http/openapi.h"
#include "store/home.h"
#include "store/readiness.h"
#include "store/safety_notice.h"
#include "store/search.h"

static enum err home(struct request *rq) {
	struct store *st = request_store(rq);
	struct arena *a = &rq->arena;
	struct doc *d = rq->doc = doc_map(a);
	enum err err = home_drafts(st, rq->who.member, a, doc_set_list(d, "drafts"), &rq->fault);
	if (err == ERR_OK)
		err =
		    home_due(st, rq->who.station, rq->today, a, doc_set_list(d, "due"), &rq->fault);
	if (err == ERR_OK)
		err = readiness_of_member(st, rq->who.member, rq->today, a,
					  doc_set_list(d, "readiness"), &rq->fault);
	if (err == ERR_OK) err = home_counts(st, rq->today, a, d, &rq->fault);
	if (err == ERR_OK) err = risk_review_document(rq, d);
	int64_t notices = 0;
	if (err == ERR_OK) err = safety_notices_left_count(st, &notices, &rq->fault);
	doc_set_int(d, "safety_notices", notices);
	duty_spans(d, rq->today);
	doc_set_int(d, "my_station", rq->who.station);
	doc_set_bool(d, "scans", true);
	rq->title = "Home";
	return err;
}

/* The kinds of what is found, in words, and where they are. */
static const struct {
	const char *kind, *label, *path;
} found[] = {{"component", "Gear", "/components"},
	     {"member", "Member", "/members"},
	     {"ensemble", "Ensemble", "/ensembles"},
	     {"station", "Station", "/stations"},
	     {"dispatch", "Repair ticket", "/dispatches"},
	     {"safety_notice", "Safety notice", "/safety-notices"},
	     {"hold", "Special incident hold", "/holds"}};

static void label_result(struct doc *row) {
	size_t i = 0;
	while (!text_equal(found[i].kind, doc_text(row, "kind"))) i++;
	doc_set_text(row, "kind_label", found[i].label);
	doc_set_printf(row, "url", "%s/%lld", found[i].path, (long long)doc_int(row, "id"));
}

static enum err search(struct request *rq) {
	struct doc *d = rq->doc = doc_map(&rq->arena);
	struct doc *results = doc_set_list(d, "results");
	const char *typed = request_query(rq, "q");
	const char *q = typed ? text_normalize(&rq->arena, typed, strlen(typed)) : NULL;
	rq->title = "Search";
	doc_set_text(d, "search", q ? q : "");
	doc_set_bool(d, "nothing_typed", text_empty(q));
	doc_set_int(d, "total", 0);
	struct doc *similar = doc_set_list(d, "similar");
	bool is_tag = !text_empty(q) && !strchr(q, ' ') && text_chars(q) <= LIMIT_TAG_CHARS_MAX;
	doc_set_bool(d, "is_tag", is_tag);
	doc_set_bool(d, "has_similar", false);
	doc_set_bool(d, "scans", true); /* the box waits for the next code */
	if (text_empty(q)) return ERR_OK;
	int64_t component;
	enum err err = search_tag(request_store(rq), q, &component, &rq->fault);
	if (err != ERR_OK) return err;
	if (component && rq->wants_html) {
		request_go(rq, false, "/components/%lld", (long long)component);
		return ERR_OK;
	}
	if (component) doc_set_int(d, "component", component);
	err = search_words(request_store(rq), q, rq->who.role >= ROLE_INSPECTOR, 50, &rq->arena,
			   results, &rq->fault);
	for (struct doc *r = results ? results->first : NULL; r; r = r->next) label_result(r);
	doc_set_int(d, "total", (int64_t)doc_count(results));
	doc_set_bool(d, "scans", doc_count(results) == 0); /* else the keyboard walks them */
	if (err == ERR_OK && is_tag && !component && doc_count(results) == 0)
		err = search_similar(request_store(rq), q, &rq->arena, similar, &rq->fault);
	doc_set_bool(d, "has_similar", doc_count(similar) > 0);
	return err;
}

/* What a tablet keeps, the tablet knows: the page's script shows it. */
static enum err kept(struct request *rq) {
	rq->doc = doc_map(&rq->arena);
	doc_set_int(rq->doc, "member", rq->who.member);
	rq->title = "Kept on this tablet";
	return ERR_OK;
}

static enum err health(struct request *rq) {
	rq->doc = doc_map(&rq->arena);
	doc_set_text(rq->doc, "status", "ok");
	return ERR_OK;
}

static enum err openapi(struct request *rq) {
	size_t count;
	const struct route_table *tables = all_routes(&count);
	rq->doc = openapi_document(tables, count, &rq->arena);
	rq->wants_html = false;
	return ERR_OK;
}

static const char *const search_query[] = {"q", NULL};

static const struct route route[] = {
    {METHOD_GET, "/", ROLE_MEMBER, RUN_READ, .handle = home, .template_name = "home",
     .summary = "What is to do: my drafts, what is due at my station, my readiness"},
    {METHOD_GET, "/search", ROLE_MEMBER, RUN_READ, .handle = search, .template_name = "search",
     .query = search_query,
     .summary = "Find by tag, serial, badge, name, safety notice or incident"},
    {METHOD_GET, "/kept", ROLE_MEMBER, RUN_READ, .handle = kept, .template_name = "kept",
     .summary = "What this tablet keeps and has not sent yet; the tablet itself fills it in"},
    {METHOD_GET, "/health", ROLE_NOBODY, RUN_READ, .handle = health,
     .summary = "Whether the service answers"},
    {METHOD_GET, "/openapi.json", ROLE_NOBODY, RUN_READ, .handle = openapi,
     .summary = "This interface as an OpenAPI 3.1 document"},
};
const struct route_table home_routes = {route, sizeof route / sizeof *route};
