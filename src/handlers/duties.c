/*
 * What is due: by day, duty, station and kind; and what next year's retirements
 * will cost, as far as prices are known.
 */
#include "handlers/app.h"
#include "handlers/list.h"
#include "handlers/resources.h"
#include "handlers/routes.h"
#include "store/duty_rows.h"

static enum err duty_options(struct request *rq, struct doc *options) {
	const struct handbook *hb = app_handbook(request_app(rq));
	for (size_t i = 0; i < hb->duty_count; i++) {
		struct doc *o = doc_add_map(options);
		doc_set_text(o, "value", hb->duty[i].code);
		doc_set_text(o, "label", hb->duty[i].label);
	}
	return ERR_OK;
}

/* Ends of the usual spans, as days. */
static enum err until_options(struct request *rq, struct doc *options) {
	static const struct {
		const char *label;
		int days;
	} span[] = {{"Overdue", -1},
		    {"Within 30 days", 30},
		    {"Within 90 days", 90},
		    {"Within a year", 365}};
	for (size_t i = 0; i < sizeof span / sizeof *span; i++) {
		char until[DAY_TEXT_SIZE];
		struct doc *o = doc_add_map(options);
		doc_set_copy(o, "value", day_format(rq->today + span[i].days, until));
		doc_set_text(o, "label", span[i].label);
	}
	struct doc *o = doc_add_map(options);
	doc_set_text(o, "value", "none");
	doc_set_text(o, "label", "Cannot be dated");
	return ERR_OK;
}

static const struct list_column column[] = {
    {"tag", "tag"},   {"kind_label", "kind"}, {"station_code", "station"},
    {"duty", "duty"}, {"due_on", "due_on"},   {"rule", "rule"},
    {"fact", "fact"}, {"fact_on", "fact_on"}, {"reason", "reason"},
    {NULL, NULL}};
static const struct list_page page = {
    .path = "/duties",
    .title = "What is due",
    .source = &duty_list_source,
    .filter = {{.label = "When", .options = until_options},
	       {.label = "Duty", .options = duty_options},
	       {.label = "Station", .options = list_station_options},
	       {.label = "Kind", .choice = kind_choice}},
    .column = column};

static enum err duty_index(struct request *rq) {
	struct store *st = request_store(rq);
	struct doc *d = rq->doc = doc_map(&rq->arena);
	enum err err =
	    duty_summary(st, rq->today, &rq->arena, doc_set_list(d, "summary"), &rq->fault);
	struct doc *retirements = doc_set_list(d, "retirements");
	if (err == ERR_OK)
		err = duty_retirements(st, rq->today, &rq->arena, retirements, &rq->fault);
	if (err == ERR_OK) err = list_answer(rq, &page);
	if (err != ERR_OK) return err;
	char yesterday[DAY_TEXT_SIZE], in_30[DAY_TEXT_SIZE], in_365[DAY_TEXT_SIZE];
	doc_set_copy(d, "until_overdue", day_format(rq->today - 1, yesterday));
	doc_set_copy(d, "until_30", day_format(rq->today + 30, in_30));
	doc_set_copy(d, "until_365", day_format(rq->today + 365, in_365));
	struct doc *rows = (struct doc *)(uintptr_t)doc_get(d, "rows");
	for (struct doc *r = rows->first; r; r = r->next) {
		day due = day_parse(doc_text(r, "due_on"));
		doc_set_bool(r, "is_overdue", due != DAY_NONE && due < rq->today);
		doc_set_bool(r, "is_undated", due == DAY_NONE);
	}
	for (struct doc *r = retirements->first; r; r = r->next)
		doc_set_printf(r, "cost", "%lld", (long long)(doc_int(r, "cost_cents") / 100));
	doc_set_bool(d, "has_retirements", doc_count(retirements) > 0);
	return ERR_OK;
}

static enum err duty_csv(struct request *rq) { return list_export(rq, &page); }

static const char *const list_query[] = {LIST_QUERY, "until", "duty", "station", "kind", NULL};

static const struct route route[] = {
    {METHOD_GET, "/duties", ROLE_MEMBER, RUN_READ, .handle = duty_index, .template_name = "duties",
     .query = list_query, .summary = "What is due, with the rule and the fact behind each"},
    {METHOD_GET, "/duties.csv", ROLE_MEMBER, RUN_READ, .handle = duty_csv, .query = list_query,
     .summary = "The list of duties as CSV"},
};
const struct route_table duty_routes = {route, sizeof route / sizeof *route};
