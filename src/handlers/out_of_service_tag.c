/*
 * The tag that hangs on gear which may not serve: what it is, why, since when, whom to ask.
 */
#include "handlers/app.h"
#include "handlers/components.h"
#include "handlers/routes.h"
#include "outbound/symbol.h"
#include "store/dispatch.h"
#include "store/exposure.h"
#include "store/field_test.h"
#include "store/hold.h"
#include "store/safety_notice.h"
#include "store/setting.h"

/* The records that blockers speak of: the day each is of, and who knows more of it. */
static const struct {
	const char *key; /* of the blocker: the record's id */
	enum err (*get)(struct store *st, int64_t id, struct arena *a, struct doc **row,
			struct fault *f);
	const char *day, *who;
} source[] = {
    {"finding", finding_get, "found_on", "inspector_name"},
    {"exposure", exposure_get, "exposed_on", "reported_by_name"},
    {"field_test", field_test_get, "tested_on", "performed_by"},
    {"safety_notice", safety_notice_get, "issued_on", "issuer"},
};

static void set_reason(struct doc *reason, const char *text, const char *since, const char *ask) {
	doc_set_text(reason, "text", text);
	doc_set_text(reason, "since", since);
	doc_set_text(reason, "ask", ask);
}

static enum err add_reason(struct request *rq, const struct doc *blocker, struct doc *reasons) {
	struct doc *reason = doc_add_map(reasons), *row = NULL;
	set_reason(reason, doc_text(blocker, "text"), NULL, NULL);
	for (size_t i = 0; i < sizeof source / sizeof *source; i++) {
		int64_t id = doc_int(blocker, source[i].key);
		if (!id) continue;
		enum err err = source[i].get(request_store(rq), id, &rq->arena, &row, &rq->fault);
		if (err != ERR_OK || !row) return err;
		set_reason(reason, doc_text(blocker, "text"), doc_text(row, source[i].day),
			   doc_text(row, source[i].who));
	}
	return ERR_OK;
}

/* Of gear that is held the tag says that, and nothing of what else is in the way: whoever reads
 * it leaves it alone. */
static enum err add_hold(struct request *rq, int64_t component, struct doc *reasons) {
	struct doc *holds = doc_list(&rq->arena);
	enum err err =
	    holds_of_component(request_store(rq), component, &rq->arena, holds, &rq->fault);
	for (const struct doc *h = holds ? holds->first : NULL; h; h = h->next)
		if (!doc_text(h, "released_on"))
			set_reason(doc_add_map(reasons), doc_text(h, "incident"),
				   doc_text(h, "placed_on"), doc_text(h, "placed_by_name"));
	return err;
}

/* The first day of those known; days as text sort. */
static const char *first_day(const struct doc *reasons) {
	const char *first = NULL;
	for (const struct doc *r = reasons->first; r; r = r->next) {
		const char *since = doc_text(r, "since");
		if (since && (!first || strcmp(since, first) < 0)) first = since;
	}
	return first;
}

static enum err out_of_service_tag(struct request *rq) {
	struct doc *row;
	enum err err = component_get_row(rq, rq->id[0], &row);
	if (err != ERR_OK) return err;
	if (!row)
		return request_fail(rq, ERR_NOT_FOUND, "There is no part %lld.",
				    (long long)rq->id[0]);
	const char *tag = doc_text(row, "tag"), *officer;
	if (!doc_int(row, "blocker_count") || doc_text(row, "disposed_on"))
		return request_fail(rq, ERR_CONFLICT, "%s is not out of service.", tag);
	struct doc *d = rq->doc = doc_map(&rq->arena), *reasons = doc_set_list(d, "reasons");
	if (!reasons) return request_fail(rq, ERR_MEMORY, "There is no memory left.");
	bool held = component_has_blocker(row, "special_incident_hold");
	if (held) err = add_hold(rq, rq->id[0], reasons);
	else
		for (const struct doc *b = doc_get(row, "blockers")->first; err == ERR_OK && b;
		     b = b->next)
			err = add_reason(rq, b, reasons);
	if (err == ERR_OK)
		err = setting_text(request_store(rq), "officer_email", NULL, &rq->arena, &officer,
				   &rq->fault);
	if (err != ERR_OK) return err;
	doc_set(d, "component", row);
	doc_set_bool(d, "is_held", held);
	doc_set_text(d, "since", first_day(reasons));
	doc_set_text(d, "officer_email", officer);
	doc_set_text(d, "qr_text", tag);
	rq->title = arena_printf(&rq->arena, "Out of service tag of %s", tag);
	return symbol_make(SYMBOLOGY_QR, tag, doc_set_map(d, "qr"), &rq->fault);
}

static const struct route route[] = {
    {METHOD_GET, "/components/:id/out-of-service-tag", ROLE_MEMBER, RUN_READ,
     .handle = out_of_service_tag, .template_name = "out-of-service-tag",
     .summary = "The tag to hang on gear that is out of service or held, to print"},
};
const struct route_table out_of_service_tag_routes = {route, sizeof route / sizeof *route};
