#include "handlers/dispatch.h"

#include "handlers/advice.h"
#include "handlers/app.h"
#include "handlers/figure.h"
#include "handlers/performer.h"
#include "handlers/words.h"
#include "store/advice.h"
#include "store/dispatch.h"

/* --- what it asks for --- */

static const char *const repair_label[REPAIR_CLASS_COUNT] = {
    [REPAIR_TRAINED] = "Trained people, by the maker's instructions",
    [REPAIR_BASIC] = "Basic repair",
    [REPAIR_ADVANCED] = "Advanced repair: verified provider, verified organization or maker",
};

bool dispatch_is_repaired(const struct doc *item) {
	const char *outcome = doc_text(item, "outcome");
	return text_equal(outcome, "repair") || text_equal(outcome, "renew");
}

void dispatch_label_repairs(struct doc *items) {
	for (struct doc *i = items->first; i; i = i->next)
		doc_set_text(i, "repair_label",
			     dispatch_is_repaired(i) ? repair_label[performer_repair(i)] : NULL);
}

/* --- loading --- */

static void number_items(struct doc *items) {
	int64_t number = 0;
	for (struct doc *i = items->first; i; i = i->next) doc_set_int(i, "number", ++number);
}

enum err dispatch_load(struct request *rq, struct doc **row, struct doc *items) {
	enum err err = dispatch_get(request_store(rq), rq->id[0], &rq->arena, row, &rq->fault);
	if (err == ERR_OK && !*row)
		err = request_fail(rq, ERR_NOT_FOUND, "There is no repair ticket %lld.",
				   (long long)rq->id[0]);
	if (err == ERR_OK)
		err = dispatch_items(request_store(rq), rq->id[0], &rq->arena, items, &rq->fault);
	number_items(items);
	return err;
}

enum err dispatch_load_in_state(struct request *rq, const char *state, struct doc **row,
				struct doc *items) {
	enum err err = dispatch_load(rq, row, items);
	if (err == ERR_OK) err = request_check_version(rq, doc_int(*row, "version"));
	if (err == ERR_OK && !text_equal(doc_text(*row, "state"), state))
		err = request_fail(rq, ERR_CONFLICT,
				   "This ticket is %s, so this is not possible now.",
				   doc_text(*row, "state"));
	return err;
}

/* --- the page --- */

/* What the provider asks for it, and whether that is worth it. */
static enum err advise(struct request *rq, struct doc *item, bool can_quote) {
	struct doc *quote = NULL;
	enum err err =
	    quote_of_item(request_store(rq), doc_int(item, "id"), &rq->arena, &quote, &rq->fault);
	if (err != ERR_OK) return err;
	int64_t cents = quote ? doc_int(quote, "quote_cents") : -1;
	doc_set_bool(item, "is_repaired", dispatch_is_repaired(item));
	doc_set_bool(item, "can_quote", can_quote);
	doc_set_text(item, "quoted_on", doc_text(quote, "quoted_on"));
	doc_set_text(item, "quote_text", NULL);
	if (quote)
		doc_set_printf(item, "quote_text", "%lld.%02lld", (long long)(cents / 100),
			       (long long)(cents % 100));
	return advice_document(rq, item, doc_int(item, "component"), cents);
}

/* The first item of each part has the drawing with all of that part. */
static void draw(struct request *rq, struct doc *items) {
	const struct handbook *hb = app_handbook(request_app(rq));
	int64_t before = 0;
	for (struct doc *i = items->first; i; i = i->next) {
		int64_t component = doc_int(i, "component");
		const struct kind *kind = handbook_kind(hb, doc_text(i, "kind"));
		if (kind && component != before) figure_numbered(rq, i, kind, items, component);
		else doc_set_null(i, "figure");
		before = component;
	}
}

enum err dispatch_show(struct request *rq) {
	struct doc *row, *d = rq->doc = doc_map(&rq->arena), *items = doc_set_list(d, "items");
	enum err err = dispatch_load(rq, &row, items);
	bool open = err == ERR_OK && (text_equal(doc_text(row, "state"), "draft") ||
				      text_equal(doc_text(row, "state"), "sent"));
	for (struct doc *i = items->first; err == ERR_OK && i; i = i->next)
		err = advise(rq, i, open && rq->who.role >= ROLE_INSPECTOR);
	if (err != ERR_OK) return err;
	performer_remark(row);
	doc_set(d, "dispatch", row);
	dispatch_label_repairs(items);
	draw(rq, items);
	const char *state = doc_text(row, "state");
	doc_set_text(d, "state_label", choice_label(dispatch_state_choice, state));
	bool may = rq->who.role >= ROLE_INSPECTOR;
	doc_set_bool(d, "can_send", may && text_equal(state, "draft"));
	doc_set_bool(d, "can_return", may && text_equal(state, "sent"));
	doc_set_bool(d, "is_returned", text_equal(state, "returned"));
	rq->version = doc_int(row, "version");
	doc_set_int(d, "version", rq->version);
	rq->title = arena_printf(&rq->arena, "Repair ticket %s", doc_text(row, "number"));
	return ERR_OK;
}

enum err dispatch_go_back(struct request *rq, const char *action) {
	request_action(rq, action);
	request_go(rq, false, "/dispatches/%lld", (long long)rq->id[0]);
	enum err err = request_derive(rq);
	return err == ERR_OK ? dispatch_show(rq) : err;
}
