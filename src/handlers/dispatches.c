/*
 * Repair dispatches: making a ticket for who may do the work, and sending it.
 */
#include "handlers/app.h"
#include "handlers/dispatch.h"
#include "handlers/list.h"
#include "handlers/performer.h"
#include "handlers/routes.h"
#include "handlers/words.h"
#include "store/dispatch.h"
#include "store/provider.h"

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

/* --- a new one --- */

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
	dispatch_label_repairs(candidates);
	doc_set_bool(d, "has_candidates", doc_count(candidates) > 0);
	doc_set_text(d, "finding_error", fault_list_find(&rq->faults, "finding"));
	rq->title = "New repair ticket";
	return ERR_OK;
}

static const struct doc *find_candidate(const struct doc *candidates, int64_t finding) {
	for (const struct doc *c = candidates->first; c; c = c->next)
		if (doc_int(c, "finding") == finding) return c;
	return NULL;
}

static enum err check_expected(struct request *rq) {
	const struct value *expected = &rq->value[EXPECTED];
	if (!value_given(expected) || value_day(expected) >= rq->today) return ERR_OK;
	return request_field_fault(rq, "expected_on",
				   "%s is past. Say a day to come, or leave it empty.",
				   value_text(expected));
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
	enum err err = check_expected(rq);
	if (err == ERR_OK) err = load_provider(rq, row.provider, &provider);
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

/* --- send, cancel --- */

static enum err dispatch_send(struct request *rq) {
	struct doc *row, *items = doc_list(&rq->arena);
	struct performer provider;
	char today[DAY_TEXT_SIZE];
	enum err err = dispatch_load_in_state(rq, "draft", &row, items);
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
	return err == ERR_OK ? dispatch_go_back(rq, "send dispatch") : err;
}

static enum err dispatch_cancel(struct request *rq) {
	struct doc *row, *items = doc_list(&rq->arena);
	enum err err = dispatch_load_in_state(rq, "draft", &row, items);
	if (err == ERR_OK) err = dispatch_set_cancelled(request_store(rq), rq->id[0], &rq->fault);
	return err == ERR_OK ? dispatch_go_back(rq, "cancel dispatch") : err;
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
};
const struct route_table dispatch_routes = {route, sizeof route / sizeof *route};
