/*
 * What is due: by day, duty, station and kind; and what next year's retirements
 * will cost, as far as prices are known.
 */
#include "handlers/duties.h"

#include <string.h>

#include "base/text.h"
#include "handlers/app.h"
#include "handlers/list.h"
#include "handlers/resources.h"
#include "handlers/routes.h"
#include "rules/duty.h"
#include "store/duty_rows.h"
#include "store/handbook.h"
#include "store/setting.h"

static enum err duty_options(struct request *rq, struct doc *options) {
	const struct handbook *hb = app_handbook(request_app(rq));
	for (size_t i = 0; i < hb->duty_count; i++) {
		struct doc *o = doc_add_map(options);
		doc_set_text(o, "value", hb->duty[i].code);
		doc_set_text(o, "label", hb->duty[i].label);
	}
	return ERR_OK;
}

/* "2026-05-31", "2026-05-01..2026-05-31" or "none". */
static bool is_span(const char *when) {
	char first[DAY_TEXT_SIZE];
	size_t length = strlen(when);
	if (text_equal(when, "none")) return true;
	if (length != 10 && (length != 22 || strncmp(when + 10, "..", 2) != 0)) return false;
	memcpy(first, when, 10);
	first[10] = '\0';
	return day_parse(first) != DAY_NONE && (length == 10 || day_parse(when + 12) != DAY_NONE);
}

static enum err check_span(struct request *rq) {
	const char *when = request_query(rq, "when");
	if (text_empty(when) || is_span(when)) return ERR_OK;
	return request_fail(rq, ERR_INVALID,
			    "\"when\" is a day such as 2026-05-31 (due by then), a span of days "
			    "such as 2026-05-01..2026-05-31, or none.");
}

static void set_span(struct doc *d, const char *key, day first, day last) {
	char from[DAY_TEXT_SIZE], to[DAY_TEXT_SIZE];
	doc_set_printf(d, key, "%s..%s", day_format(first, from), day_format(last, to));
}

void duty_spans(struct doc *d, day today) {
	char yesterday[DAY_TEXT_SIZE];
	doc_set_copy(d, "when_overdue", day_format(today - 1, yesterday));
	set_span(d, "when_30", today, today + 30);
	set_span(d, "when_365", today, today + 365);
}

enum err duty_sources(struct request *rq, struct doc *rows) {
	struct program *p;
	enum err err = program_load(request_store(rq), app_handbook(request_app(rq)), &rq->arena,
				    &p, &rq->fault);
	for (struct doc *r = err == ERR_OK ? rows->first : NULL; r; r = r->next)
		doc_set_text(r, "source", duty_source(p, doc_text(r, "rule")));
	return err;
}

enum err risk_review_document(struct request *rq, struct doc *d) {
	const char *on;
	char due[DAY_TEXT_SIZE];
	enum err err =
	    setting_text(request_store(rq), RISK_REVIEWED_ON, NULL, &rq->arena, &on, &rq->fault);
	if (err != ERR_OK) return err;
	day due_on = risk_review_due(day_parse(on));
	doc_set_text(d, "risk_reviewed_on", on);
	if (due_on == DAY_NONE) doc_set_null(d, "risk_review_due_on");
	else doc_set_copy(d, "risk_review_due_on", day_format(due_on, due));
	doc_set_bool(d, "is_risk_review_overdue",
		     rq->who.role >= ROLE_OFFICER && due_on != DAY_NONE && due_on < rq->today);
	return ERR_OK;
}

enum err duty_rules_named(struct request *rq, struct doc *d) {
	struct store *st = request_store(rq);
	struct program *p;
	const char *name = NULL;
	enum err err = program_load(st, app_handbook(request_app(rq)), &rq->arena, &p, &rq->fault);
	if (err == ERR_OK)
		err = setting_text(st, "own_rules_name", NULL, &rq->arena, &name, &rq->fault);
	if (err != ERR_OK) return err;
	doc_set_text(d, "own_rules_name", name);
	doc_set_text(d, "rule_set_label", p->set->label);
	return ERR_OK;
}

static void add_option(struct doc *options, const char *label, const char *value) {
	struct doc *o = doc_add_map(options);
	doc_set_copy(o, "value", value);
	doc_set_text(o, "label", label);
}

static enum err when_options(struct request *rq, struct doc *options) {
	static const struct {
		const char *label;
		int days;
	} span[] = {{"Within 30 days", 30}, {"Within 90 days", 90}, {"Within a year", 365}};
	char day_text[DAY_TEXT_SIZE];
	add_option(options, "Overdue", day_format(rq->today - 1, day_text));
	add_option(options, "Overdue or within 30 days", day_format(rq->today + 30, day_text));
	for (size_t i = 0; i < sizeof span / sizeof *span; i++) {
		struct doc *o = doc_add_map(options);
		set_span(o, "value", rq->today, rq->today + span[i].days);
		doc_set_text(o, "label", span[i].label);
	}
	add_option(options, "Cannot be dated", "none");
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
    .filter = {{.label = "When", .options = when_options},
	       {.label = "Duty", .options = duty_options},
	       {.label = "Station", .options = list_station_options},
	       {.label = "Kind", .choice = kind_choice}},
    .column = column};

static enum err duty_index(struct request *rq) {
	struct store *st = request_store(rq);
	struct doc *d = rq->doc = doc_map(&rq->arena);
	enum err err = check_span(rq);
	if (err == ERR_OK)
		err =
		    duty_summary(st, rq->today, &rq->arena, doc_set_list(d, "summary"), &rq->fault);
	struct doc *retirements = doc_set_list(d, "retirements");
	if (err == ERR_OK)
		err = duty_retirements(st, rq->today, &rq->arena, retirements, &rq->fault);
	if (err == ERR_OK) err = list_answer(rq, &page);
	struct doc *rows = (struct doc *)(uintptr_t)doc_get(d, "rows");
	if (err == ERR_OK) err = duty_sources(rq, rows);
	if (err == ERR_OK) err = duty_rules_named(rq, d);
	if (err != ERR_OK) return err;
	duty_spans(d, rq->today);
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

static enum err duty_csv(struct request *rq) {
	enum err err = check_span(rq);
	return err == ERR_OK ? list_export(rq, &page) : err;
}

static const char *const list_query[] = {LIST_QUERY, "when", "duty", "station", "kind", NULL};

static const struct route route[] = {
    {METHOD_GET, "/duties", ROLE_MEMBER, RUN_READ, .handle = duty_index, .template_name = "duties",
     .query = list_query, .summary = "What is due, with the rule and the fact behind each"},
    {METHOD_GET, "/duties.csv", ROLE_MEMBER, RUN_READ, .handle = duty_csv, .query = list_query,
     .summary = "The list of duties as CSV"},
};
const struct route_table duty_routes = {route, sizeof route / sizeof *route};
