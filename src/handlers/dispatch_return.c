/*
 * Gear back from repair: what was done to each part, and the part that came instead.
 *
 * After a return each component awaits its return inspection; nothing here can
 * put it back into service.
 */
#include "base/limits.h"
#include "handlers/app.h"
#include "handlers/dispatch.h"
#include "handlers/performer.h"
#include "handlers/routes.h"
#include "handlers/words.h"
#include "store/component.h"
#include "store/dispatch.h"
#include "store/provider.h"
#include "store/retirement.h"

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
	enum err err = dispatch_load(rq, &row, items);
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
			/* What is missing says of which. */
			if (q == RESULT && doc_count(items) > 1)
				f[count].label =
				    arena_printf(&rq->arena, "Result for %s, %s",
						 doc_text(i, "tag"), doc_text(i, "defect_label"));
			count++;
		}
	*r = (struct resource){"dispatch_return", "dispatches", f, count};
	*out = r;
	return ERR_OK;
}

/* What describes a new part is folded where nothing was replaced, as far as is known. */
static bool tells_of_new(const struct request *rq, const struct resource *r, size_t at) {
	const struct value *result = rq->value ? &rq->value[at + RESULT] : NULL;
	if (result && text_equal(result->raw, "replaced")) return true;
	for (int q = NEW_TAG; q < ASKS; q++)
		if ((rq->value && !text_empty(rq->value[at + (size_t)q].raw)) ||
		    fault_list_find(&rq->faults, r->field[at + (size_t)q].name))
			return true;
	return false;
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
	size_t at = 0;
	for (struct doc *i = items->first; i; i = i->next, at += ASKS) {
		struct doc *own = doc_set_list(i, "form");
		doc_set_bool(i, "shows_new", doc_bool(i, "is_replace") || tells_of_new(rq, r, at));
		for (int q = 0; q < ASKS && input; q++) {
			struct doc *next = input->next;
			input->next = NULL;
			doc_set_bool(input, "is_of_new", q >= NEW_TAG);
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
		return request_field_fault(rq, item_id, "Another part has the tag %s.", tag);
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
	enum err err = dispatch_load_in_state(rq, "sent", &row, items);
	if (err == ERR_OK) err = load_performer(rq, row, &provider);
	const struct value *v = rq->value;
	for (const struct doc *i = items->first; err == ERR_OK && i; i = i->next, v += ASKS)
		err = store_result(rq, i, v, &provider, doc_text(row, "number"), today, replaced);
	if (err == ERR_OK)
		err = dispatch_set_returned(request_store(rq), rq->id[0], today,
					    performer_word(&provider), &rq->fault);
	return err == ERR_OK ? dispatch_go_back(rq, "take dispatch back") : err;
}

static const struct route route[] = {
    {METHOD_GET, "/dispatches/:id/return", ROLE_INSPECTOR, RUN_READ, .handle = return_form,
     .template_name = "dispatch-return", .summary = "Form for gear that came back"},
    {METHOD_POST, "/dispatches/:id/return", ROLE_INSPECTOR, RUN_CHANGE, .handle = dispatch_return,
     .form = return_form, .template_name = "dispatch-return", .resource_of = return_resource,
     .summary = "The gear came back; each part now awaits its return inspection"},
};
const struct route_table dispatch_return_routes = {route, sizeof route / sizeof *route};
