/*
 * What a provider asks for mending one finding of a ticket.
 */
#include "handlers/app.h"
#include "handlers/dispatch.h"
#include "handlers/routes.h"
#include "store/advice.h"

static const struct field quote_field[] = {
    {.name = "quote",
     .label = "Quote",
     .help = "What the provider asks for mending this finding. A later quote counts instead of it.",
     .kind = FIELD_MONEY,
     .required = true,
     .example = "180.00"},
};
static const struct resource quote_resource = {"quote", "quotes", quote_field, 1};

static enum err find_item(struct request *rq, struct doc **row, const struct doc **item) {
	struct doc *items = doc_list(&rq->arena);
	enum err err = dispatch_load(rq, row, items);
	if (err != ERR_OK) return err;
	*item = items->first;
	while (*item && doc_int(*item, "id") != rq->id[1]) *item = (*item)->next;
	if (!*item)
		return request_fail(rq, ERR_NOT_FOUND, "This ticket has no item %lld.",
				    (long long)rq->id[1]);
	return ERR_OK;
}

static enum err check_quotable(struct request *rq, const struct doc *row, const struct doc *item) {
	const char *state = doc_text(row, "state");
	if (!dispatch_is_repaired(item))
		return request_fail(rq, ERR_CONFLICT,
				    "%s is not to be repaired; a quote is for a repair.",
				    doc_text(item, "tag"));
	if (text_equal(state, "draft") || text_equal(state, "sent")) return ERR_OK;
	return request_fail(rq, ERR_CONFLICT,
			    "This ticket is %s; a quote is for work still to be done.", state);
}

static enum err quote_form(struct request *rq) {
	struct doc *row, *d = rq->doc = doc_map(&rq->arena);
	const struct doc *item;
	enum err err = find_item(rq, &row, &item);
	if (err == ERR_OK && !rq->value) err = check_quotable(rq, row, item);
	if (err != ERR_OK) return err;
	doc_set(d, "form",
		fields_form(&quote_resource, &rq->arena, NULL, request_values(rq, &quote_resource),
			    &rq->faults, rq->stale_form));
	doc_set_printf(d, "action", "/dispatches/%lld/items/%lld/quote", (long long)rq->id[0],
		       (long long)rq->id[1]);
	doc_set_printf(d, "back", "/dispatches/%lld", (long long)rq->id[0]);
	rq->version = doc_int(row, "version");
	rq->title = arena_printf(&rq->arena, "Quote for %s %s: %s", doc_text(item, "kind_label"),
				 doc_text(item, "tag"), doc_text(item, "defect_label"));
	return ERR_OK;
}

static enum err quote_store(struct request *rq) {
	struct doc *row;
	const struct doc *item;
	char today[DAY_TEXT_SIZE];
	enum err err = find_item(rq, &row, &item);
	if (err == ERR_OK) err = request_check_version(rq, doc_int(row, "version"));
	if (err == ERR_OK) err = check_quotable(rq, row, item);
	if (err == ERR_OK)
		err = quote_insert(request_store(rq), rq->id[1], day_format(rq->today, today),
				   value_int(&rq->value[0], 0), &rq->fault);
	return err == ERR_OK ? dispatch_go_back(rq, "enter repair quote") : err;
}

static const struct route route[] = {
    {METHOD_GET, "/dispatches/:id/items/:id/quote", ROLE_INSPECTOR, RUN_READ, .handle = quote_form,
     .template_name = "form", .summary = "Form for a provider's quote"},
    {METHOD_POST, "/dispatches/:id/items/:id/quote", ROLE_INSPECTOR, RUN_CHANGE,
     .handle = quote_store, .form = quote_form, .template_name = "form",
     .resource = &quote_resource, .summary = "Record what a provider asks for one repair"},
};
const struct route_table dispatch_quote_routes = {route, sizeof route / sizeof *route};
