/*
 * What a safety notice hits, and what was done about it: the list, answering one or several,
 * taking an answer back.
 */
#include "handlers/app.h"
#include "handlers/components.h"
#include "handlers/list.h"
#include "handlers/record.h"
#include "handlers/retirement.h"
#include "handlers/routes.h"
#include "handlers/safety_notices.h"
#include "handlers/words.h"
#include "store/retirement.h"
#include "store/safety_notice.h"

#define STATE_CHOICE(code, word, label) {word, label},
static const struct choice safety_state_choice[] = {SAFETY_STATE_LIST(STATE_CHOICE){NULL, NULL}};
static const struct choice left_choice[] = {{"yes", "Left"}, {"no", "Answered"}, {NULL, NULL}};
/* --- the list ---------------------------------------------------------------------------- */

static const struct list_column column[] = {{"tag", "tag"},
					    {"kind_label", "kind"},
					    {"station_code", "station"},
					    {"holder_name", "holder"},
					    {"maker", "maker"},
					    {"model", "model"},
					    {"serial", "serial"},
					    {"made", "made"},
					    {"hit", "hit"},
					    {"reason", "reason"},
					    {"state", "state"},
					    {"component_state", "component_state"},
					    {"answer", "answer"},
					    {"note", "note"},
					    {"answered_on", "answered_on"},
					    {"inspection", "inspection"},
					    {NULL, NULL}};

/* Of the notice in the address; every page of one has its own path. */
static struct list_page items_of(struct request *rq) {
	return (struct list_page){
	    .path = arena_printf(&rq->arena, "/safety-notices/%lld/items", (long long)rq->id[0]),
	    .title = "What the notice hits",
	    .source = &safety_item_list,
	    .filter = {{.label = "Notice",
			.fixed = arena_printf(&rq->arena, "%lld", (long long)rq->id[0])},
		       {.label = "Left", .choice = left_choice},
		       {.label = "State", .choice = safety_state_choice},
		       {.label = "Hit", .choice = safety_hit_choice},
		       {.label = "Station", .options = list_station_options}},
	    .column = column};
}

static enum err item_csv(struct request *rq) {
	struct list_page page = items_of(rq);
	struct doc *row = NULL;
	enum err err =
	    safety_notice_get(request_store(rq), rq->id[0], &rq->arena, &row, &rq->fault);
	if (err == ERR_OK && !row)
		err = request_fail(rq, ERR_NOT_FOUND, "There is no notice %lld.",
				   (long long)rq->id[0]);
	if (err == ERR_OK && page.path && page.filter[0].fixed) err = list_export(rq, &page);
	return err;
}

/* --- answering ----------------------------------------------------------------------------- */

enum { COMPONENT, ANSWER, NOTE, ANSWERED_ON, FIELDS };
static const struct field field[FIELDS] = {
    [COMPONENT] = {.name = "component",
		   .label = "What is answered for",
		   .kind = FIELD_ID_LIST,
		   .required = true},
    [ANSWER] = {.name = "answer",
		.label = "What was done",
		.kind = FIELD_CHOICE,
		.required = true,
		.choice = safety_answer_choice},
    [NOTE] = {.name = "note",
	      .label = "Note",
	      .help = "Needed for \"not affected\": what the label says. For \"sent\": to whom. "
		      "For \"retired\": why.",
	      .kind = FIELD_TEXT},
    [ANSWERED_ON] = {.name = "answered_on",
		     .label = "Day",
		     .help = "Today when left empty.",
		     .kind = FIELD_DAY},
};
static const struct resource resource = {"safety_notice_answer", "safety-notices", field, FIELDS};

static bool is_among(const int64_t *list, size_t count, int64_t component) {
	for (size_t i = 0; i < count; i++)
		if (list[i] == component) return true;
	return false;
}

static void tick_rows(const struct doc *rows, const struct value *ticked) {
	size_t number = 0;
	for (struct doc *r = rows->first; r; r = r->next) {
		const char *state = doc_text(r, "state");
		doc_set_text(r, "item_state_label", choice_label(safety_state_choice, state));
		doc_set_text(r, "answer_label",
			     choice_label(safety_answer_choice, doc_text(r, "answer")));
		doc_set_bool(r, "is_possible", text_equal(doc_text(r, "hit"), "possible"));
		doc_set_bool(
		    r, "is_selected",
		    ticked && is_among(ticked->list, ticked->list_count, doc_int(r, "component")));
		if (!doc_bool(r, "is_left")) {
			doc_set_null(r, "option_id");
			continue;
		}
		doc_set_printf(r, "option_id", number ? "f-component-%zu" : "f-component", number);
		number++;
	}
}

enum err safety_items_document(struct request *rq, const struct doc *notice) {
	struct list_page page = items_of(rq);
	const struct value *v = request_values(rq, &resource);
	struct doc *answers = doc_set_list(rq->doc, "answers");
	if (!page.path || !page.filter[0].fixed) return fault_memory(&rq->fault);
	enum err err = list_answer(rq, &page);
	if (err != ERR_OK) return err;
	tick_rows(doc_get(rq->doc, "rows"), v ? &v[COMPONENT] : NULL);
	err = safety_answers(request_store(rq), rq->id[0], 0, &rq->arena, answers, &rq->fault);
	bool may = rq->who.role >= ROLE_INSPECTOR;
	for (struct doc *w = answers->first; w; w = w->next) {
		doc_set_text(w, "answer_label",
			     choice_label(safety_answer_choice, doc_text(w, "answer")));
		doc_set_bool(w, "can_revoke", may && !doc_bool(w, "is_revoked"));
	}
	doc_set_bool(rq->doc, "has_answers", doc_count(answers) > 0);
	doc_set_bool(rq->doc, "may_answer", may && doc_int(notice, "left") > 0);
	doc_set_text(rq->doc, "component_error", fault_list_find(&rq->faults, "component"));
	struct doc *form = fields_form(&resource, &rq->arena, NULL, v, &rq->faults, rq->stale_form);
	fields_form_remove(form, "component");
	doc_set(doc_set_map(rq->doc, "answering"), "form", form);
	return ERR_OK;
}

/* The inspection that the notice asks for must have been made since: it is the answer. */
static enum err find_inspection(struct request *rq, const struct doc *item,
				struct safety_answer_row *r) {
	enum err err = safety_inspection_of(request_store(rq), r->component,
					    doc_bool(item, "is_liner"), doc_text(item, "asked_on"),
					    doc_text(item, "asked_at"), &r->inspection, &rq->fault);
	if (err != ERR_OK || r->inspection) return err;
	return request_field_fault(
	    rq, "component",
	    "%s was not inspected since the notice asks for it (%s). Sign %s first, then answer.",
	    doc_text(item, "tag"), doc_text(item, "asked_on"),
	    doc_bool(item, "is_liner") ? "a complete liner inspection" : "an advanced inspection");
}

static enum err retire(struct request *rq, const struct doc *notice,
		       const struct safety_answer_row *answer) {
	struct doc *row = NULL;
	struct retirement_row r = {.component = answer->component,
				   .on = answer->on,
				   .ground = retirement_ground_word[GROUND_RECALL],
				   .reason = arena_printf(&rq->arena, "Safety notice %s: %s",
							  doc_text(notice, "number"), answer->note),
				   .by = answer->by};
	enum err err = component_get_row(rq, r.component, &row);
	if (err == ERR_OK) err = retirement_check(rq, row, r.on);
	return err == ERR_OK ? component_retire(request_store(rq), &r, &rq->fault) : err;
}

static enum err answer_one(struct request *rq, const struct doc *notice,
			   struct safety_answer_row *r) {
	struct doc *item = NULL;
	enum err err = safety_item_get(request_store(rq), r->notice, r->component, &rq->arena,
				       &item, &rq->fault);
	if (err != ERR_OK) return err;
	if (!item)
		return request_field_fault(rq, "component", "The notice does not hit part %lld.",
					   (long long)r->component);
	if (!doc_bool(item, "is_left"))
		return request_field_fault(
		    rq, "component", "Nothing is left to answer for %s: %s.", doc_text(item, "tag"),
		    choice_label(safety_state_choice, doc_text(item, "state")));
	r->inspection = 0;
	if (text_equal(r->answer, "done") && text_equal(doc_text(notice, "action"), "inspect"))
		err = find_inspection(rq, item, r);
	if (err == ERR_OK) err = safety_answer_add(request_store(rq), r, &rq->fault);
	if (err == ERR_OK && text_equal(r->answer, "retired")) err = retire(rq, notice, r);
	return err;
}

/* Who looked at the label says what it says; who sends it says where; retiring is the officer's. */
static enum err check_answer(struct request *rq, const struct safety_answer_row *r) {
	if (text_equal(r->answer, "retired") && rq->who.role < ROLE_OFFICER)
		return request_field_fault(rq, "answer",
					   "Retiring is the safety officer's. Leave it out until "
					   "the officer answers.");
	if (!text_equal(r->answer, "done") && !r->note)
		return request_field_fault(rq, "note", "%s",
					   text_equal(r->answer, "not_affected")
					       ? "Say what the label says, and who read it."
					   : text_equal(r->answer, "sent")
					       ? "Say to whom it was sent."
					       : "Say why it is retired.");
	return record_check_done(rq, ANSWERED_ON);
}

static enum err answer_store(struct request *rq) {
	const struct value *v = rq->value;
	char today[DAY_TEXT_SIZE];
	const char *on = value_text(&v[ANSWERED_ON]);
	struct doc *notice;
	struct safety_answer_row r = {.notice = rq->id[0],
				      .by = rq->who.member,
				      .answer = value_text(&v[ANSWER]),
				      .note = value_text(&v[NOTE]),
				      .on = on ? on : day_format(rq->today, today)};
	enum err err = safety_notice_load(rq, &notice);
	if (err == ERR_OK) err = check_answer(rq, &r);
	for (size_t i = 0; err == ERR_OK && i < v[COMPONENT].list_count; i++) {
		r.component = v[COMPONENT].list[i];
		if (!is_among(v[COMPONENT].list, i, r.component)) err = answer_one(rq, notice, &r);
	}
	return err == ERR_OK ? safety_notice_again(rq, "answer safety notice") : err;
}

/* --- taking an answer back ---------------------------------------------------------------------
 */

enum { REASON, REASON_FIELDS };
static const struct field reason_field[REASON_FIELDS] = {
    [REASON] = {.name = "reason", .label = "Reason", .kind = FIELD_TEXT, .required = true},
};
static const struct resource revoke_resource = {"safety_notice_answer_revoke", "safety-notices",
						reason_field, REASON_FIELDS};

static enum err revoke_form(struct request *rq) {
	struct doc *row = NULL;
	enum err err =
	    safety_notice_get(request_store(rq), rq->id[0], &rq->arena, &row, &rq->fault);
	if (err == ERR_OK && !row)
		err = request_fail(rq, ERR_NOT_FOUND, "There is no notice %lld.",
				   (long long)rq->id[0]);
	if (err != ERR_OK) return err;
	struct doc *d = rq->doc = doc_map(&rq->arena);
	doc_set(d, "form",
		fields_form(&revoke_resource, &rq->arena, NULL,
			    request_values(rq, &revoke_resource), &rq->faults, rq->stale_form));
	doc_set_printf(d, "action", "/safety-notices/%lld/answers/%lld/revoke",
		       (long long)rq->id[0], (long long)rq->id[1]);
	doc_set_printf(d, "back", "/safety-notices/%lld", (long long)rq->id[0]);
	rq->version = doc_int(row, "version");
	rq->title = arena_printf(&rq->arena, "%s: take an answer back", doc_text(row, "number"));
	return ERR_OK;
}

/* Of several answers the one before counts again; it blocks again where there is none. */
static enum err revoke_store(struct request *rq) {
	struct doc *notice;
	char today[DAY_TEXT_SIZE];
	enum err err = safety_notice_load(rq, &notice);
	if (err == ERR_OK)
		err = safety_answer_revoke(request_store(rq), rq->id[0], rq->id[1], rq->who.member,
					   day_format(rq->today, today),
					   value_text(&rq->value[REASON]), &rq->fault);
	return err == ERR_OK ? safety_notice_again(rq, "take back an answer to a safety notice")
			     : err;
}

static const char *const item_query[] = {LIST_QUERY, "left", "state", "hit", "station", NULL};

static const struct route route[] = {
    {METHOD_GET, "/safety-notices/:id/items.csv", ROLE_MEMBER, RUN_READ, .handle = item_csv,
     .query = item_query, .summary = "What a safety notice hits, as CSV"},
    {METHOD_POST, "/safety-notices/:id/answers", ROLE_INSPECTOR, RUN_CHANGE, .handle = answer_store,
     .form = safety_notice_show, .template_name = "safety-notice", .resource = &resource,
     .summary = "Record what was done about gear that a safety notice hits"},
    {METHOD_GET, "/safety-notices/:id/answers/:id/revoke", ROLE_INSPECTOR, RUN_READ,
     .handle = revoke_form, .template_name = "form", .summary = "Form to take an answer back"},
    {METHOD_POST, "/safety-notices/:id/answers/:id/revoke", ROLE_INSPECTOR, RUN_CHANGE,
     .handle = revoke_store, .form = revoke_form, .template_name = "form",
     .resource = &revoke_resource,
     .summary = "Take back an answer that was wrong: what it let off is held back again"},
};
const struct route_table safety_answer_routes = {route, sizeof route / sizeof *route};
