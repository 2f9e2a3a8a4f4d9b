/*
 * Repair dispatches: the ticket, sending it, taking the gear back.
 *
 * After a return each component awaits its return inspection; nothing here can
 * put it back into service.
 */
#include "base/csv.h"
#include "base/limits.h"
#include "handlers/advice.h"
#include "handlers/app.h"
#include "handlers/list.h"
#include "handlers/performer.h"
#include "handlers/photos.h"
#include "handlers/resources.h"
#include "handlers/routes.h"
#include "outbound/symbol.h"
#include "store/advice.h"
#include "store/component.h"
#include "store/dispatch.h"
#include "store/photo.h"
#include "store/provider.h"
#include "store/retirement.h"
#include "store/setting.h"

static const struct list_column column[] = {{"number", "number"},
					    {"state", "state"},
					    {"provider_name", "provider"},
					    {"created_on", "created_on"},
					    {"sent_on", "sent_on"},
					    {"expected_on", "expected_on"},
					    {"returned_on", "returned_on"},
					    {"component_count", "components"},
					    {NULL, NULL}};
static const struct list_page page = {
    .path = "/dispatches",
    .title = "Repairs",
    .source = &dispatch_list,
    .filter = {{.label = "State", .choice = dispatch_state_choice}},
    .column = column};

static enum err dispatch_index(struct request *rq) { return list_answer(rq, &page); }
static enum err dispatch_csv(struct request *rq) { return list_export(rq, &page); }

/* --- who may do it --- */

static const char *const repair_label[REPAIR_CLASS_COUNT] = {
    [REPAIR_TRAINED] = "Trained people, by the maker's instructions",
    [REPAIR_BASIC] = "Basic repair",
    [REPAIR_ADVANCED] = "Advanced repair: verified provider, verified organization or maker",
};

/* A part that is replaced is not repaired by anybody. */
static bool is_repaired(const struct doc *item) {
	const char *outcome = doc_text(item, "outcome");
	return text_equal(outcome, "repair") || text_equal(outcome, "renew");
}

static void label_repairs(struct doc *items) {
	for (struct doc *i = items->first; i; i = i->next)
		doc_set_text(i, "repair_label",
			     is_repaired(i) ? repair_label[performer_repair(i)] : NULL);
}

/* Why what the item asks for is not open to the provider, in the arena; NULL: it is. */
static const char *refusal(struct request *rq, const struct performer *p, const struct doc *item) {
	const char *no = performer_refusal(p, performer_work(item), &rq->arena);
	if (!no || p->is_classless) return no;
	return arena_printf(&rq->arena, "%s of %s: %s", doc_text(item, "defect_label"),
			    doc_text(item, "tag"), no);
}

/* Those that could do one of the candidates today. */
static enum err able_providers(struct request *rq, const struct doc *candidates, struct doc *able) {
	struct doc *all = doc_list(&rq->arena);
	enum err err =
	    all ? provider_options(request_store(rq), &rq->arena, all, &rq->fault) : ERR_MEMORY;
	for (struct doc *p = all ? all->first : NULL, *next; err == ERR_OK && p; p = next) {
		struct performer performer;
		bool can = false;
		err = performer_provider(request_store(rq), p, rq->today, &rq->arena, &performer,
					 &rq->fault);
		for (const struct doc *c = candidates->first; err == ERR_OK && c && !can;
		     c = c->next)
			can = !refusal(rq, &performer, c);
		next = p->next;
		p->next = NULL;
		if (can) doc_add(able, p);
	}
	return err;
}

static enum err check_item(struct request *rq, const struct performer *p, const struct doc *item,
			   const char *field) {
	const char *no = refusal(rq, p, item);
	return no ? request_field_fault(rq, field, "%s", no) : ERR_OK;
}

static enum err load_provider(struct request *rq, int64_t id, struct performer *p) {
	struct doc *provider = NULL;
	enum err err = provider_get(request_store(rq), id, &rq->arena, &provider, &rq->fault);
	if (err != ERR_OK) return err;
	if (!provider || !doc_int(provider, "active"))
		return request_field_fault(rq, "provider", "Choose a provider from the list.");
	err = performer_provider(request_store(rq), provider, rq->today, &rq->arena, p, &rq->fault);
	return err == ERR_OK && p->is_classless
		   ? request_field_fault(rq, "provider", "%s", p->ended)
		   : err;
}

/* --- a new one -------------------------------------------------------------------------- */

enum { PROVIDER, FINDING, EXPECTED, NOTE, FIELDS };
static const struct field field[FIELDS] = {
    [PROVIDER] = {.name = "provider", .label = "Provider", .kind = FIELD_ID, .required = true},
    [FINDING] = {.name = "finding",
		 .label = "Findings to be mended",
		 .kind = FIELD_ID_LIST,
		 .required = true},
    [EXPECTED] = {.name = "expected_on", .label = "Expected back", .kind = FIELD_DAY},
    [NOTE] = {.name = "note", .label = "Note to the provider", .kind = FIELD_NOTE},
};
static const struct resource resource = {"dispatch", "dispatches", field, FIELDS};

static bool is_chosen(const struct request *rq, int64_t finding, bool preselected) {
	if (!rq->value) return preselected;
	const struct value *v = &rq->value[FINDING];
	for (size_t i = 0; i < v->list_count; i++)
		if (v->list[i] == finding) return true;
	return false;
}

static enum err dispatch_new(struct request *rq) {
	int64_t component, finding;
	enum err err = request_query_int(rq, "component", 1, INT64_MAX, 0, &component);
	if (err == ERR_OK) err = request_query_int(rq, "finding", 1, INT64_MAX, 0, &finding);
	if (err != ERR_OK) return err;
	struct doc *d = rq->doc = doc_map(&rq->arena);
	struct doc *candidates = doc_set_list(d, "candidates"), *providers = doc_list(&rq->arena);
	err = dispatch_candidates(request_store(rq), 0, 0, &rq->arena, candidates, &rq->fault);
	if (err == ERR_OK) err = able_providers(rq, candidates, providers);
	if (err != ERR_OK) return err;
	size_t number = 0;
	for (struct doc *c = candidates->first; c; c = c->next) {
		bool wanted =
		    doc_int(c, "component") == component || doc_int(c, "finding") == finding;
		doc_set_bool(c, "is_selected", is_chosen(rq, doc_int(c, "finding"), wanted));
		doc_set_printf(c, "option_id", number ? "f-finding-%zu" : "f-finding", number);
		number++;
	}
	struct doc *form =
	    fields_form(&resource, &rq->arena, NULL, rq->value, &rq->faults, rq->stale_form);
	fields_form_options(form, "provider", providers);
	fields_form_remove(form, "finding");
	doc_set(d, "form", form);
	label_repairs(candidates);
	doc_set_bool(d, "has_candidates", doc_count(candidates) > 0);
	doc_set_text(d, "finding_error", fault_list_find(&rq->faults, "finding"));
	rq->title = "New repair ticket";
	return ERR_OK;
}

static enum err load(struct request *rq, struct doc **row, struct doc *items) {
	enum err err = dispatch_get(request_store(rq), rq->id[0], &rq->arena, row, &rq->fault);
	if (err == ERR_OK && !*row)
		err = request_fail(rq, ERR_NOT_FOUND, "There is no repair ticket %lld.",
				   (long long)rq->id[0]);
	if (err == ERR_OK)
		err = dispatch_items(request_store(rq), rq->id[0], &rq->arena, items, &rq->fault);
	return err;
}

/* What the provider asks for it, and whether that is worth it. */
static enum err advise(struct request *rq, struct doc *item, bool can_quote) {
	struct doc *quote = NULL;
	enum err err =
	    quote_of_item(request_store(rq), doc_int(item, "id"), &rq->arena, &quote, &rq->fault);
	if (err != ERR_OK) return err;
	int64_t cents = quote ? doc_int(quote, "quote_cents") : -1;
	doc_set_bool(item, "is_repaired", is_repaired(item));
	doc_set_bool(item, "can_quote", can_quote);
	doc_set_text(item, "quoted_on", doc_text(quote, "quoted_on"));
	doc_set_text(item, "quote_text", NULL);
	if (quote)
		doc_set_printf(item, "quote_text", "%lld.%02lld", (long long)(cents / 100),
			       (long long)(cents % 100));
	return advice_document(rq, item, doc_int(item, "component"), cents);
}

static enum err dispatch_show(struct request *rq) {
	struct doc *row, *d = rq->doc = doc_map(&rq->arena), *items = doc_set_list(d, "items");
	enum err err = load(rq, &row, items);
	bool open = err == ERR_OK && (text_equal(doc_text(row, "state"), "draft") ||
				      text_equal(doc_text(row, "state"), "sent"));
	for (struct doc *i = items->first; err == ERR_OK && i; i = i->next)
		err = advise(rq, i, open && rq->who.role >= ROLE_INSPECTOR);
	if (err != ERR_OK) return err;
	performer_remark(row);
	doc_set(d, "dispatch", row);
	label_repairs(items);
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

static const struct doc *find_candidate(const struct doc *candidates, int64_t finding) {
	for (const struct doc *c = candidates->first; c; c = c->next)
		if (doc_int(c, "finding") == finding) return c;
	return NULL;
}

static enum err dispatch_post(struct request *rq) {
	struct store *st = request_store(rq);
	const struct value *chosen = &rq->value[FINDING];
	struct doc *candidates = doc_list(&rq->arena);
	struct performer provider;
	int64_t id;
	char today[DAY_TEXT_SIZE];
	struct dispatch_row row = {
	    .provider = value_int(&rq->value[PROVIDER], 0),
	    .created_by = rq->who.member,
	    .created_on = day_format(rq->today, today),
	    .expected_on = value_text(&rq->value[EXPECTED]),
	    .note = value_text(&rq->value[NOTE]),
	};
	enum err err = load_provider(rq, row.provider, &provider);
	if (err == ERR_OK) err = dispatch_candidates(st, 0, 0, &rq->arena, candidates, &rq->fault);
	if (err == ERR_OK) err = dispatch_insert(st, &row, &id, &rq->fault);
	for (size_t i = 0; err == ERR_OK && i < chosen->list_count; i++) {
		const struct doc *item = find_candidate(candidates, chosen->list[i]);
		if (!item)
			return request_field_fault(
			    rq, "finding",
			    "Finding %lld is not open for repair, or is on another "
			    "ticket already.",
			    (long long)chosen->list[i]);
		err = check_item(rq, &provider, item, "finding");
		if (err == ERR_OK) err = dispatch_item_insert(st, id, chosen->list[i], &rq->fault);
	}
	if (err == ERR_CONFLICT && store_was_duplicate(st)) {
		fault_clear(&rq->fault);
		return request_field_fault(rq, "finding", "A finding is named twice.");
	}
	if (err != ERR_OK) return err;
	request_action(rq, "make repair ticket");
	rq->id[0] = id;
	request_go(rq, true, "/dispatches/%lld", (long long)id);
	return dispatch_show(rq);
}

/* --- send, cancel --------------------------------------------------------------------------- */

static enum err load_in_state(struct request *rq, const char *state, struct doc **row,
			      struct doc *items) {
	enum err err = load(rq, row, items);
	if (err == ERR_OK) err = request_check_version(rq, doc_int(*row, "version"));
	if (err == ERR_OK && !text_equal(doc_text(*row, "state"), state))
		err = request_fail(rq, ERR_CONFLICT,
				   "This ticket is %s, so this is not possible now.",
				   doc_text(*row, "state"));
	return err;
}

static enum err go_back(struct request *rq, const char *action) {
	request_action(rq, action);
	request_go(rq, false, "/dispatches/%lld", (long long)rq->id[0]);
	enum err err = request_derive(rq);
	return err == ERR_OK ? dispatch_show(rq) : err;
}

static enum err dispatch_send(struct request *rq) {
	struct doc *row, *items = doc_list(&rq->arena);
	struct performer provider;
	char today[DAY_TEXT_SIZE];
	enum err err = load_in_state(rq, "draft", &row, items);
	if (err == ERR_OK) err = load_provider(rq, doc_int(row, "provider"), &provider);
	for (const struct doc *i = items->first; err == ERR_OK && i; i = i->next) {
		err = check_item(rq, &provider, i, "provider");
		if (err == ERR_OK && text_equal(doc_text(i, "component_state"), "at_provider"))
			err = request_fail(rq, ERR_CONFLICT, "%s is at a provider already.",
					   doc_text(i, "tag"));
		else if (doc_text(i, "retired_on"))
			err = request_fail(rq, ERR_CONFLICT,
					   "%s was retired on %s and is not repaired any more. "
					   "Cancel this ticket.",
					   doc_text(i, "tag"), doc_text(i, "retired_on"));
	}
	if (err == ERR_OK)
		err = dispatch_set_sent(request_store(rq), rq->id[0], day_format(rq->today, today),
					NULL, &rq->fault);
	return err == ERR_OK ? go_back(rq, "send dispatch") : err;
}

static enum err dispatch_cancel(struct request *rq) {
	struct doc *row, *items = doc_list(&rq->arena);
	enum err err = load_in_state(rq, "draft", &row, items);
	if (err == ERR_OK) err = dispatch_set_cancelled(request_store(rq), rq->id[0], &rq->fault);
	return err == ERR_OK ? go_back(rq, "cancel dispatch") : err;
}

/* --- what the provider asks for it --- */

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
	enum err err = load(rq, row, items);
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
	if (!is_repaired(item))
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
	return err == ERR_OK ? go_back(rq, "enter repair quote") : err;
}

/* --- back again --- */

/* Fields of each item are named "result.12": the question and the item. */
enum {
	RESULT,
	WORK,
	COST,
	NEW_TAG,
	NEW_SERIAL,
	NEW_MAKER,
	NEW_MODEL,
	NEW_SIZE,
	NEW_MADE,
	NEW_LIFE,
	ASKS
};
static const struct field ask[ASKS] = {
    [RESULT] = {.name = "result",
		.label = "Result",
		.kind = FIELD_CHOICE,
		.choice = repair_result_choice,
		.required = true},
    [WORK] = {.name = "work_done", .label = "Work done", .kind = FIELD_TEXT},
    [COST] = {.name = "cost", .label = "Cost", .kind = FIELD_MONEY},
    [NEW_TAG] = {.name = "new_tag",
		 .label = "Tag of the new part",
		 .help = "Only when it was replaced; the old one is retired.",
		 .kind = FIELD_TAG},
    [NEW_SERIAL] = {.name = "new_serial", .label = "Its serial", .kind = FIELD_TEXT, .max = 40},
    [NEW_MAKER] = {.name = "new_maker", .label = "Its maker", .kind = FIELD_TEXT, .max = 80},
    [NEW_MODEL] = {.name = "new_model", .label = "Its model", .kind = FIELD_TEXT, .max = 80},
    [NEW_SIZE] = {.name = "new_size", .label = "Its size", .kind = FIELD_TEXT, .max = 30},
    [NEW_MADE] = {.name = "new_made",
		  .label = "Made",
		  .help = "As its label says: 2026-03.",
		  .kind = FIELD_LABEL_DATE},
    [NEW_LIFE] = {.name = "new_life_months",
		  .label = "Its maker's limit of life, in months",
		  .help = "From manufacture, as the maker's instructions say. Empty: none known.",
		  .kind = FIELD_INTEGER,
		  .min = 1,
		  .max = LIMIT_MONTHS_MAX},
};

static enum err return_resource(struct request *rq, const struct resource **out) {
	struct doc *row, *items = doc_list(&rq->arena);
	enum err err = load(rq, &row, items);
	if (err != ERR_OK) return err;
	struct field *f = arena_array(&rq->arena, struct field, doc_count(items) * ASKS + 1);
	struct resource *r = arena_new(&rq->arena, struct resource);
	if (!f || !r) return ERR_MEMORY;
	size_t count = 0;
	for (const struct doc *i = items->first; i; i = i->next)
		for (int q = 0; q < ASKS; q++) {
			f[count] = ask[q];
			f[count].name = arena_printf(&rq->arena, "%s.%lld", ask[q].name,
						     (long long)doc_int(i, "id"));
			count++;
		}
	*r = (struct resource){"dispatch_return", "dispatches", f, count};
	*out = r;
	return ERR_OK;
}

static enum err return_form(struct request *rq) {
	enum err err = dispatch_show(rq);
	if (err != ERR_OK) return err;
	if (!rq->value && !doc_bool(rq->doc, "can_return"))
		return request_fail(rq, ERR_CONFLICT, "Only a ticket that was sent can come back.");
	const struct resource *r;
	err = return_resource(rq, &r);
	if (err != ERR_OK) return err;
	struct doc *form = fields_form(r, &rq->arena, NULL, rq->value, &rq->faults, rq->stale_form);
	struct doc *items = (struct doc *)(uintptr_t)doc_get(rq->doc, "items"),
		   *input = form->first;
	for (struct doc *i = items->first; i; i = i->next) {
		struct doc *own = doc_set_list(i, "form");
		for (int q = 0; q < ASKS && input; q++) {
			struct doc *next = input->next;
			input->next = NULL;
			doc_add(own, input);
			input = next;
		}
	}
	rq->title = arena_printf(&rq->arena, "Back from repair: %s",
				 doc_text(doc_get(rq->doc, "dispatch"), "number"));
	return ERR_OK;
}

/* What was retired while it was away stays retired as it was written. */
static enum err retire_replaced(struct request *rq, const struct doc *old, const char *number,
				const char *today, int64_t by) {
	struct retirement_row r = {.component = doc_int(old, "id"),
				   .on = today,
				   .ground = retirement_ground_word[GROUND_REPLACED],
				   .reason = arena_printf(&rq->arena, "Repair ticket %s", number),
				   .by = rq->who.member,
				   .replaced_by = by};
	if (doc_text(old, "retired_on"))
		return component_replaced_by(request_store(rq), r.component, by, &rq->fault);
	return component_retire(request_store(rq), &r, &rq->fault);
}

/* The part that came instead: in the old one's place, not yet inspected. */
static enum err take_replacement(struct request *rq, const struct doc *item, const struct value *v,
				 const char *number, const char *today, int64_t *id) {
	struct doc *old = NULL;
	const char *tag = value_text(&v[NEW_TAG]);
	enum err err = component_get(request_store(rq), doc_int(item, "component"), &rq->arena,
				     &old, &rq->fault);
	if (err != ERR_OK) return err;
	const char *item_id =
	    arena_printf(&rq->arena, "new_tag.%lld", (long long)doc_int(item, "id"));
	if (!tag)
		return request_field_fault(rq, item_id,
					   "Give the tag of the part that came instead.");
	struct component_row c = {
	    .tag = tag,
	    .serial = value_text(&v[NEW_SERIAL]),
	    .kind = doc_text(old, "kind"),
	    .hazard = doc_text(old, "hazard"),
	    .maker = value_text(&v[NEW_MAKER]),
	    .model = value_text(&v[NEW_MODEL]),
	    .size = value_text(&v[NEW_SIZE]),
	    .made = value_text(&v[NEW_MADE]),
	    .in_service_on = today,
	    .ensemble = doc_int(old, "ensemble_id"),
	    .station = doc_int(old, "station"),
	    .cbrn = doc_int(old, "cbrn") != 0,
	    .trim = doc_int(old, "trim") != 0,
	    .reflective = doc_int(old, "reflective") != 0,
	    .cost_cents = value_int(&v[COST], -1),
	    .life_months = value_int(&v[NEW_LIFE], 0),
	};
	err = component_save(request_store(rq), &c, &rq->arena, id, &rq->fault);
	if (err == ERR_CONFLICT && store_was_duplicate(request_store(rq))) {
		fault_clear(&rq->fault);
		return request_field_fault(rq, item_id, "Another component has the tag %s.", tag);
	}
	if (err == ERR_OK && doc_int(old, "holder"))
		err = issue_end(request_store(rq), doc_int(old, "issue"), today, "damaged",
				&rq->fault);
	if (err == ERR_OK && doc_int(old, "holder"))
		err = issue_insert(request_store(rq), *id, doc_int(old, "holder"), today, "new",
				   NULL, &rq->fault);
	return err == ERR_OK ? retire_replaced(rq, old, number, today, *id) : err;
}

/* What a reflective faceshield's finding asks for is a new one, never a repair; and what the
 * provider may not do was not done. */
static enum err check_result(struct request *rq, const struct doc *item, const struct value *v,
			     const struct performer *provider) {
	const char *result = value_text(&v[RESULT]), *no = NULL;
	const char *ask_id =
	    arena_printf(&rq->arena, "result.%lld", (long long)doc_int(item, "id"));
	enum work done;
	if (doc_bool(item, "is_replace") && text_equal(result, "repaired"))
		return request_field_fault(rq, ask_id, "%s must be replaced, not repaired.",
					   doc_text(item, "kind_label"));
	if (work_of_result(result, performer_work(item), &done))
		no = performer_refusal(provider, done, &rq->arena);
	return no ? request_field_fault(rq, ask_id, "%s", no) : ERR_OK;
}

static enum err store_result(struct request *rq, const struct doc *item, const struct value *v,
			     const struct performer *provider, const char *number,
			     const char *today, struct doc *replaced) {
	enum err err = check_result(rq, item, v, provider);
	if (err != ERR_OK) return err;
	int64_t replacement = 0;
	const char *result = value_text(&v[RESULT]);
	if (text_equal(result, "replaced")) {
		const char *key =
		    arena_printf(&rq->arena, "%lld", (long long)doc_int(item, "component"));
		replacement = doc_int(replaced, key);
		if (!replacement) err = take_replacement(rq, item, v, number, today, &replacement);
		if (err == ERR_OK) doc_set_int(replaced, key, replacement);
		if (err == ERR_OK)
			err = finding_replaced(request_store(rq), doc_int(item, "finding"), today,
					       arena_printf(&rq->arena, "Replaced on %s.", number),
					       &rq->fault);
	}
	if (err != ERR_OK) return err;
	return dispatch_item_result(request_store(rq), doc_int(item, "id"), result,
				    value_text(&v[WORK]), value_int(&v[COST], -1), replacement,
				    &rq->fault);
}

/* Of the class of the day it was sent: what ended since was in force when the work was given. */
static enum err load_performer(struct request *rq, const struct doc *row, struct performer *p) {
	struct doc *provider = NULL;
	enum err err = provider_get(request_store(rq), doc_int(row, "provider"), &rq->arena,
				    &provider, &rq->fault);
	if (err != ERR_OK) return err;
	return performer_provider(request_store(rq), provider, day_parse(doc_text(row, "sent_on")),
				  &rq->arena, p, &rq->fault);
}

static enum err dispatch_return(struct request *rq) {
	struct doc *row, *items = doc_list(&rq->arena), *replaced = doc_map(&rq->arena);
	struct performer provider;
	char today[DAY_TEXT_SIZE];
	day_format(rq->today, today);
	enum err err = load_in_state(rq, "sent", &row, items);
	if (err == ERR_OK) err = load_performer(rq, row, &provider);
	const struct value *v = rq->value;
	for (const struct doc *i = items->first; err == ERR_OK && i; i = i->next, v += ASKS)
		err = store_result(rq, i, v, &provider, doc_text(row, "number"), today, replaced);
	if (err == ERR_OK)
		err = dispatch_set_returned(request_store(rq), rq->id[0], today,
					    performer_word(&provider), &rq->fault);
	return err == ERR_OK ? go_back(rq, "take dispatch back") : err;
}

/* --- the ticket as it leaves the house --- */

static enum err dispatch_ticket(struct request *rq) {
	enum err err = dispatch_show(rq);
	if (err != ERR_OK) return err;
	const char *number = doc_text(doc_get(rq->doc, "dispatch"), "number"), *base = NULL;
	err = setting_text(request_store(rq), "public_address", "", &rq->arena, &base, &rq->fault);
	if (err != ERR_OK) return err;
	struct doc *photos = doc_list(&rq->arena);
	if (!photos) return ERR_MEMORY;
	err = photos_of_dispatch(request_store(rq), rq->id[0], &rq->arena, photos, &rq->fault);
	if (err != ERR_OK) return err;
	for (struct doc *item = doc_get(rq->doc, "items")->first; item; item = item->next)
		photos_show(item, photos, &(struct photo_of){.finding = doc_int(item, "finding")});
	const char *text =
	    *base ? arena_printf(&rq->arena, "%s/dispatches/%lld", base, (long long)rq->id[0])
		  : number;
	doc_set_text(rq->doc, "qr_text", text);
	return symbol_make(SYMBOLOGY_QR, text, doc_set_map(rq->doc, "qr"), &rq->fault);
}

static enum err ticket_csv(struct request *rq) {
	static const char *const key[] = {
	    "tag",       "serial",       "kind_label",    "maker",        "model", "size",
	    "made",      "defect_label", "zone_label",    "face",         "side",  "place",
	    "length_mm", "severity",     "outcome_label", "repair_label", "note",  NULL};
	struct doc *row, *items = doc_list(&rq->arena);
	enum err err = load(rq, &row, items);
	if (err != ERR_OK) return err;
	label_repairs(items);
	struct buf b;
	buf_init(&b, LIMIT_PAGE_BYTES_MAX);
	csv_write_cell(&b, "ticket");
	for (const char *const *k = key; *k; k++) {
		csv_write_comma(&b);
		csv_write_cell(&b, *k);
	}
	csv_write_end(&b);
	for (const struct doc *i = items->first; i; i = i->next) {
		csv_write_guarded(&b, doc_text(row, "number"));
		for (const char *const *k = key; *k; k++) {
			const struct doc *d = doc_get(i, *k);
			csv_write_comma(&b);
			if (d && d->type == DOC_INT) buf_add_int(&b, d->integer);
			else csv_write_guarded(&b, doc_text(i, *k));
		}
		csv_write_end(&b);
	}
	return request_csv(rq, &b, arena_printf(&rq->arena, "%s.csv", doc_text(row, "number")));
}

static const char *const list_query[] = {LIST_QUERY, "state", NULL};
static const char *const new_query[] = {"component", "finding", NULL};

static const struct route route[] = {
    {METHOD_GET, "/dispatches", ROLE_INSPECTOR, RUN_READ, .handle = dispatch_index,
     .template_name = "dispatches", .query = list_query, .summary = "Repair tickets"},
    {METHOD_GET, "/dispatches.csv", ROLE_INSPECTOR, RUN_READ, .handle = dispatch_csv,
     .query = list_query, .summary = "The list of repair tickets as CSV"},
    {METHOD_GET, "/dispatches/new", ROLE_INSPECTOR, RUN_READ, .handle = dispatch_new,
     .template_name = "dispatch-new", .query = new_query, .summary = "Form for a repair ticket"},
    {METHOD_POST, "/dispatches", ROLE_INSPECTOR, RUN_CHANGE, .handle = dispatch_post,
     .form = dispatch_new, .template_name = "dispatch-new", .resource = &resource,
     .summary = "Make a repair ticket from open findings"},
    {METHOD_GET, "/dispatches/:id", ROLE_INSPECTOR, RUN_READ, .handle = dispatch_show,
     .template_name = "dispatch", .summary = "One repair ticket"},
    {METHOD_POST, "/dispatches/:id/send", ROLE_INSPECTOR, RUN_CHANGE, .handle = dispatch_send,
     .form = dispatch_show, .template_name = "dispatch",
     .summary = "The gear left for the provider"},
    {METHOD_POST, "/dispatches/:id/cancel", ROLE_INSPECTOR, RUN_CHANGE, .handle = dispatch_cancel,
     .form = dispatch_show, .template_name = "dispatch", .summary = "Cancel a ticket not yet sent"},
    {METHOD_GET, "/dispatches/:id/items/:id/quote", ROLE_INSPECTOR, RUN_READ, .handle = quote_form,
     .template_name = "form", .summary = "Form for a provider's quote"},
    {METHOD_POST, "/dispatches/:id/items/:id/quote", ROLE_INSPECTOR, RUN_CHANGE,
     .handle = quote_store, .form = quote_form, .template_name = "form",
     .resource = &quote_resource, .summary = "Record what a provider asks for one repair"},
    {METHOD_GET, "/dispatches/:id/return", ROLE_INSPECTOR, RUN_READ, .handle = return_form,
     .template_name = "dispatch-return", .summary = "Form for gear that came back"},
    {METHOD_POST, "/dispatches/:id/return", ROLE_INSPECTOR, RUN_CHANGE, .handle = dispatch_return,
     .form = return_form, .template_name = "dispatch-return", .resource_of = return_resource,
     .summary = "The gear came back; each part now awaits its return inspection"},
    {METHOD_GET, "/dispatches/:id/ticket", ROLE_INSPECTOR, RUN_READ, .handle = dispatch_ticket,
     .template_name = "dispatch-ticket", .summary = "The ticket to print, with its code"},
    {METHOD_GET, "/dispatches/:id/ticket.csv", ROLE_INSPECTOR, RUN_READ, .handle = ticket_csv,
     .summary = "The ticket as CSV for the provider"},
};
const struct route_table dispatch_routes = {route, sizeof route / sizeof *route};
