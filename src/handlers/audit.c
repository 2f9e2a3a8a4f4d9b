/*
 * The audit entries: who changed what, when, and how the records stood after it.
 */
#include <string.h>

#include "handlers/app.h"
#include "handlers/checkpoint.h"
#include "handlers/list.h"
#include "handlers/routes.h"
#include "store/audit_rows.h"

static const struct list_column column[] = {{"seq", "entry"},
					    {"at", "at"},
					    {"actor", "actor"},
					    {"action", "action"},
					    {"record_count", "records"},
					    {NULL, NULL}};
static const struct list_page page = {.path = "/audit",
				      .title = "Audit",
				      .source = &audit_list,
				      .filter = {{.label = "Day", .hidden = true}},
				      .column = column};

static enum err audit_index(struct request *rq) {
	enum err err = list_answer(rq, &page);
	return err == ERR_OK ? checkpoint_show(rq, rq->doc) : err;
}

static enum err audit_csv(struct request *rq) { return list_export(rq, &page); }

/* Where a record has a page of its own. */
static const char *record_url(struct request *rq, const char *table, int64_t id) {
	static const struct {
		const char *table, *path;
	} place[] = {{"station", "stations"},       {"member", "members"},
		     {"provider", "providers"},     {"ensemble", "ensembles"},
		     {"component", "components"},   {"finding", "findings"},
		     {"inspection", "inspections"}, {"dispatch", "dispatches"}};
	for (size_t i = 0; i < sizeof place / sizeof *place; i++)
		if (text_equal(place[i].table, table))
			return arena_printf(&rq->arena, "/%s/%lld", place[i].path, (long long)id);
	return NULL;
}

/* {"tag":"X"} -> a list of {"key":"tag","value":"X"}, to show it row by row. */
static void flatten_state(struct request *rq, struct doc *record) {
	struct doc *list = doc_set_list(record, "columns");
	const struct doc *state = doc_get(record, "state");
	for (const struct doc *m = state && state->type == DOC_MAP ? state->first : NULL; m;
	     m = m->next) {
		struct doc *c = doc_add_map(list);
		doc_set_text(c, "key", m->key);
		if (m->type == DOC_TEXT) doc_set_text(c, "value", m->text);
		else if (m->type == DOC_NULL) doc_set_text(c, "value", NULL);
		else doc_set_printf(c, "value", "%lld", (long long)m->integer);
	}
	doc_set_text(record, "url",
		     record_url(rq, doc_text(record, "table"), doc_int(record, "id")));
}

static enum err audit_show(struct request *rq) {
	struct doc *row = NULL;
	enum err err = audit_entry_get(request_store(rq), rq->id[0], &rq->arena, &row, &rq->fault);
	if (err == ERR_OK && !row)
		err = request_fail(rq, ERR_NOT_FOUND, "There is no audit entry %lld.",
				   (long long)rq->id[0]);
	if (err != ERR_OK) return err;
	const struct doc *records = doc_get(row, "records");
	for (struct doc *r = records ? records->first : NULL; r; r = r->next) flatten_state(rq, r);
	rq->doc = doc_map(&rq->arena);
	doc_set(rq->doc, "entry", row);
	int64_t previous = doc_int(row, "seq") - 1;
	if (previous) doc_set_int(rq->doc, "previous", previous);
	else doc_set_null(rq->doc, "previous");
	rq->title = arena_printf(&rq->arena, "Audit entry %lld", (long long)rq->id[0]);
	return ERR_OK;
}

static const char *const list_query[] = {LIST_QUERY, "day", NULL};

static const struct route route[] = {
    {METHOD_GET, "/audit", ROLE_OFFICER, RUN_READ, .handle = audit_index, .template_name = "audit",
     .query = list_query, .summary = "Audit entries, newest first"},
    {METHOD_GET, "/audit.csv", ROLE_OFFICER, RUN_READ, .handle = audit_csv, .query = list_query,
     .summary = "The list of audit entries as CSV"},
    {METHOD_GET, "/audit/:id", ROLE_OFFICER, RUN_READ, .handle = audit_show,
     .template_name = "audit-entry", .summary = "One audit entry with the state of its records"},
};
const struct route_table audit_routes = {route, sizeof route / sizeof *route};
