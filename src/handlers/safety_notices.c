/*
 * Safety notices: recording what a maker, a certification body or an authority says, what
 * it concerns, and closing it. What somebody did about the gear is in safety_answers.c.
 */
#include "handlers/safety_notices.h"

#include "base/limits.h"
#include "handlers/app.h"
#include "handlers/list.h"
#include "handlers/record.h"
#include "handlers/resources.h"
#include "handlers/routes.h"
#include "rules/safety_notice.h"
#include "store/safety_items.h"
#include "store/safety_notice.h"

static const struct choice open_choice[] = {{"open", "Open"}, {"closed", "Closed"}, {NULL, NULL}};
static const struct choice left_choice[] = {
    {"yes", "Something left"}, {"no", "Nothing left"}, {NULL, NULL}};

static const struct list_column column[] = {{"number", "number"},
					    {"issuer", "issuer"},
					    {"reference", "reference"},
					    {"issued_on", "issued_on"},
					    {"title", "title"},
					    {"action", "action"},
					    {"due_on", "due_on"},
					    {"state", "state"},
					    {"hit", "hit"},
					    {"possible", "of_them_possible"},
					    {"done", "done"},
					    {"left", "left"},
					    {"closed_on", "closed_on"},
					    {"closed_reason", "closed_reason"},
					    {NULL, NULL}};
static const struct list_page page = {
    .path = "/safety-notices",
    .title = "Safety notices",
    .source = &safety_notice_list,
    .filter = {{.label = "State", .choice = open_choice},
	       {.label = "Asks for", .choice = safety_action_choice},
	       {.label = "Left", .choice = left_choice}},
    .column = column};

static void label_action(struct doc *row) {
	doc_set_text(row, "action_label",
		     choice_label(safety_action_choice, doc_text(row, "action")));
}

static enum err notice_index(struct request *rq) {
	enum err err = list_answer(rq, &page);
	if (err != ERR_OK) return err;
	for (struct doc *r = doc_get(rq->doc, "rows")->first; r; r = r->next) label_action(r);
	doc_set_bool(rq->doc, "may_record", rq->who.role >= ROLE_OFFICER);
	return ERR_OK;
}

static enum err notice_csv(struct request *rq) { return list_export(rq, &page); }

/* --- what is typed ------------------------------------------------------------------- */

enum {
	ISSUER,
	REFERENCE,
	ISSUED_ON,
	TITLE,
	WRONG,
	ACTION,
	ACTION_TEXT,
	DUE_ON,
	NOTICE_FIELDS,
	MAKER = NOTICE_FIELDS,
	KIND,
	MODEL,
	SERIAL_FROM,
	SERIAL_TO,
	SERIALS,
	MADE_FROM,
	MADE_TO,
	HAZARD,
	FIELDS
};
static const struct field field[FIELDS] = {
    [ISSUER] = {.name = "issuer",
		.label = "Issued by",
		.help = "The maker, the certification body or the authority.",
		.kind = FIELD_TEXT,
		.required = true,
		.max = LIMIT_NAME_CHARS_MAX},
    [REFERENCE] = {.name = "reference",
		   .label = "The issuer's number",
		   .kind = FIELD_TEXT,
		   .max = LIMIT_NAME_CHARS_MAX},
    [ISSUED_ON] = {.name = "issued_on", .label = "Issued on", .kind = FIELD_DAY, .required = true},
    [TITLE] = {.name = "title",
	       .label = "Title",
	       .kind = FIELD_TEXT,
	       .required = true,
	       .max = LIMIT_NAME_CHARS_MAX},
    [WRONG] = {.name = "wrong", .label = "What is wrong", .kind = FIELD_NOTE, .required = true},
    [ACTION] = {.name = "action",
		.label = "What is asked for",
		.kind = FIELD_CHOICE,
		.required = true,
		.choice = safety_action_choice},
    [ACTION_TEXT] = {.name = "action_text",
		     .label = "What exactly is to be done",
		     .kind = FIELD_NOTE},
    [DUE_ON] = {.name = "due_on",
		.label = "By when",
		.help = "Empty when the notice names no day.",
		.kind = FIELD_DAY},
    [MAKER] = {.name = "maker",
	       .label = "Maker",
	       .help = "As the gear's records spell it; capitals and accents do not matter.",
	       .kind = FIELD_TEXT,
	       .required = true,
	       .max = LIMIT_NAME_CHARS_MAX},
    [KIND] = {.name = "kind",
	      .label = "Kind of part",
	      .help = "Not chosen: any.",
	      .kind = FIELD_CHOICE,
	      .choice = kind_choice},
    [MODEL] = {.name = "model",
	       .label = "Model or design",
	       .help = "Empty: any.",
	       .kind = FIELD_TEXT,
	       .max = LIMIT_NAME_CHARS_MAX},
    [SERIAL_FROM] = {.name = "serial_from",
		     .label = "Lot or serial number from",
		     .help = "The number itself belongs to it. Runs of digits count as numbers: "
			     "K9 comes before K10.",
		     .kind = FIELD_TEXT,
		     .max = LIMIT_TAG_CHARS_MAX},
    [SERIAL_TO] = {.name = "serial_to",
		   .label = "Lot or serial number to",
		   .kind = FIELD_TEXT,
		   .max = LIMIT_TAG_CHARS_MAX},
    [SERIALS] = {.name = "serials",
		 .label = "Single lot or serial numbers",
		 .help = "With commas or on lines of their own.",
		 .kind = FIELD_NOTE},
    [MADE_FROM] = {.name = "made_from",
		   .label = "Made from",
		   .help = "A month, such as 2024-02; it belongs to it.",
		   .kind = FIELD_LABEL_DATE},
    [MADE_TO] = {.name = "made_to", .label = "Made to", .kind = FIELD_LABEL_DATE},
    [HAZARD] = {.name = "hazard",
		.label = "Hazard",
		.help = "Not chosen: any.",
		.kind = FIELD_CHOICE,
		.choice = hazard_choice},
};
static const struct resource resource = {"safety_notice", "safety-notices", field, FIELDS};
static const struct resource change_resource = {"safety_notice_change", "safety-notices", field,
						NOTICE_FIELDS};
static const struct resource scope_resource = {"safety_notice_scope", "safety-notices",
					       field + NOTICE_FIELDS, FIELDS - NOTICE_FIELDS};

/* v: the values from MAKER on. */
static struct safety_scope_row scope_of(const struct value *v) {
	return (struct safety_scope_row){
	    .maker = value_text(&v[MAKER - MAKER]),
	    .kind = value_text(&v[KIND - MAKER]),
	    .model = value_text(&v[MODEL - MAKER]),
	    .serial_from = value_text(&v[SERIAL_FROM - MAKER]),
	    .serial_to = value_text(&v[SERIAL_TO - MAKER]),
	    .serials = value_text(&v[SERIALS - MAKER]),
	    .made_from = value_text(&v[MADE_FROM - MAKER]),
	    .made_to = value_text(&v[MADE_TO - MAKER]),
	    .hazard = value_text(&v[HAZARD - MAKER]),
	};
}

static enum err check_scope(struct request *rq, const struct safety_scope_row *r) {
	struct safety_scope scope;
	const char *entry;
	safety_scope_make(&scope, r, &rq->arena);
	const char *flaw = safety_scope_flaw(&scope, &entry);
	return flaw ? request_field_fault(rq, entry, "%s", flaw) : ERR_OK;
}

/* --- preview --------------------------------------------------------------------------- */

static enum err notice_new(struct request *rq);

struct preview {
	int64_t hit, possible;
};

/* On the slow thread: all gear is looked at. */
static enum err preview_prepare(struct request *rq) {
	struct preview *p = arena_new(&rq->arena, struct preview);
	struct safety_scope_row scope = scope_of(rq->value + MAKER);
	if (!p) return fault_memory(&rq->fault);
	rq->prepared = p;
	enum err err = check_scope(rq, &scope);
	if (err != ERR_OK) return err;
	return safety_scope_count(request_store(rq), &scope, &p->hit, &p->possible, &rq->fault);
}

static enum err preview_show(struct request *rq) {
	const struct preview *p = rq->prepared;
	enum err err = notice_new(rq);
	if (err != ERR_OK) return err;
	struct doc *preview = doc_set_map(rq->doc, "preview");
	doc_set_int(preview, "hit", p->hit);
	doc_set_int(preview, "possible", p->possible);
	return ERR_OK;
}

/* --- recording and changing ---------------------------------------------------------------- */

static enum err get_row(struct request *rq, int64_t id, struct doc **row) {
	enum err err = safety_notice_get(request_store(rq), id, &rq->arena, row, &rq->fault);
	if (err == ERR_OK && *row) label_action(*row);
	return err;
}

static enum err check_open(struct request *rq, const struct doc *row) {
	if (!doc_text(row, "closed_on")) return ERR_OK;
	return request_fail(rq, ERR_CONFLICT,
			    "%s was closed on %s. Record what the issuer says now as a new notice.",
			    doc_text(row, "number"), doc_text(row, "closed_on"));
}

static enum err save(struct request *rq, const struct doc *row, int64_t *id) {
	char now[INSTANT_TEXT_SIZE], today[DAY_TEXT_SIZE];
	struct safety_notice_row r = {
	    .id = doc_int(row, "id"),
	    .issuer = keep_text(rq, ISSUER, row),
	    .reference = keep_text(rq, REFERENCE, row),
	    .issued_on = keep_text(rq, ISSUED_ON, row),
	    .title = keep_text(rq, TITLE, row),
	    .wrong = keep_text(rq, WRONG, row),
	    .action = keep_text(rq, ACTION, row),
	    .action_text = keep_text(rq, ACTION_TEXT, row),
	    .due_on = keep_text(rq, DUE_ON, row),
	    .recorded_by = rq->who.member,
	    .recorded_on = day_format(rq->today, today),
	    .asked_on = today,
	    .asked_at = instant_format(rq->now_s, now),
	};
	enum err err = row ? check_open(rq, row) : ERR_OK;
	if (err == ERR_OK) err = record_check_done(rq, ISSUED_ON);
	if (err != ERR_OK) return err;
	if (day_parse(r.due_on) != DAY_NONE && day_parse(r.due_on) < day_parse(r.issued_on))
		return request_field_fault(rq, "due_on", "It is before the day of issue.");
	struct safety_scope_row scope = {0};
	if (!row) scope = scope_of(rq->value + MAKER);
	if (!row) err = check_scope(rq, &scope);
	if (err == ERR_OK)
		err = safety_notice_save(request_store(rq), &r, &rq->arena, id, &rq->fault);
	scope.notice = *id;
	if (err == ERR_OK && !row)
		err = safety_scope_add(request_store(rq), &scope, true, &rq->fault);
	return err;
}

static enum err extend(struct request *rq, const struct doc *row, struct doc *doc);

static const struct record record = {.path = "/safety-notices",
				     .word = "notice",
				     .resource = &resource,
				     .get = get_row,
				     .save = save,
				     .extend = extend,
				     .title_key = "number"};
static const struct record change_record = {.path = "/safety-notices",
					    .word = "notice",
					    .resource = &change_resource,
					    .get = get_row,
					    .save = save,
					    .extend = extend,
					    .title_key = "number"};

static enum err notice_new(struct request *rq) {
	enum err err = record_form(rq, &record);
	rq->title = "New safety notice";
	if (err == ERR_OK) doc_set_null(rq->doc, "preview");
	return err;
}

static enum err notice_store(struct request *rq) {
	enum err err = record_store(rq, &record);
	if (err == ERR_OK) request_action(rq, "record safety notice");
	return err;
}

static enum err notice_edit(struct request *rq) {
	enum err err = record_form(rq, &change_record);
	if (err == ERR_OK)
		rq->title =
		    arena_printf(&rq->arena, "Change safety notice %lld", (long long)rq->id[0]);
	return err;
}

static enum err notice_change(struct request *rq) {
	enum err err = record_store(rq, &change_record);
	if (err == ERR_OK) request_action(rq, "change safety notice");
	return err;
}

/* --- one of them ------------------------------------------------------------------------------ */

enum { REASON, REASON_FIELDS };
static const struct field reason_field[REASON_FIELDS] = {
    [REASON] = {.name = "reason", .label = "Reason", .kind = FIELD_TEXT, .required = true},
};
static const struct resource drop_resource = {"safety_notice_scope_drop", "safety-notices",
					      reason_field, REASON_FIELDS};

enum { CLOSED_REASON, WITHDRAWN, CLOSE_FIELDS };
static const struct field close_field[CLOSE_FIELDS] = {
    [CLOSED_REASON] = {.name = "closed_reason",
		       .label = "Reason",
		       .help = "Needed while something is left: why it is closed all the same.",
		       .kind = FIELD_TEXT},
    [WITHDRAWN] = {.name = "withdrawn",
		   .label = "Withdrawn by its issuer, or recorded by mistake",
		   .help = "Then it holds nothing back any more, and the reason says why. "
			   "Otherwise what is left stays out, and what comes later is looked at.",
		   .kind = FIELD_YES_NO},
};
static const struct resource close_resource = {"safety_notice_close", "safety-notices", close_field,
					       CLOSE_FIELDS};

/* The form of a change to the notice, for those who may make it. */
static void add_form(struct request *rq, const struct resource *r, const char *key, bool may) {
	if (!may) {
		doc_set_null(rq->doc, key);
		return;
	}
	struct doc *own = doc_set_map(rq->doc, key);
	doc_set(
	    own, "form",
	    fields_form(r, &rq->arena, NULL, request_values(rq, r), &rq->faults, rq->stale_form));
}

static enum err extend(struct request *rq, const struct doc *row, struct doc *doc) {
	struct store *st = request_store(rq);
	struct doc *scopes = doc_set_list(doc, "scopes");
	int64_t id = doc_int(row, "id");
	bool may = rq->who.role >= ROLE_OFFICER && !doc_text(row, "closed_on");
	enum err err = safety_scopes(st, id, &rq->arena, scopes, &rq->fault);
	int64_t said = 0;
	for (struct doc *s = scopes->first; s; s = s->next) said += !doc_bool(s, "is_dropped");
	for (struct doc *s = scopes->first; s; s = s->next) {
		doc_set_text(s, "hazard_label", choice_label(hazard_choice, doc_text(s, "hazard")));
		doc_set_bool(s, "can_drop", may && said > 1 && !doc_bool(s, "is_dropped"));
	}
	if (err == ERR_OK)
		err =
		    safety_stations(st, id, &rq->arena, doc_set_list(doc, "stations"), &rq->fault);
	doc_set_bool(doc, "may_change", may);
	add_form(rq, &scope_resource, "scope", may);
	add_form(rq, &close_resource, "closing", may);
	rq->title =
	    arena_printf(&rq->arena, "%s: %s", doc_text(row, "number"), doc_text(row, "title"));
	return err == ERR_OK ? safety_items_document(rq, row) : err;
}

enum err safety_notice_show(struct request *rq) { return record_show(rq, &record); }

enum err safety_notice_load(struct request *rq, struct doc **row) {
	enum err err = record_load(rq, &record, row);
	return err == ERR_OK ? request_check_version(rq, doc_int(*row, "version")) : err;
}

enum err safety_notice_again(struct request *rq, const char *action) {
	enum err err = request_derive(rq);
	if (err != ERR_OK) return err;
	request_action(rq, action);
	request_go(rq, false, "/safety-notices/%lld", (long long)rq->id[0]);
	rq->value = NULL;
	return safety_notice_show(rq);
}

static enum err scope_store(struct request *rq) {
	struct doc *row;
	struct safety_scope_row scope = scope_of(rq->value);
	scope.notice = rq->id[0];
	enum err err = safety_notice_load(rq, &row);
	if (err == ERR_OK) err = check_open(rq, row);
	if (err == ERR_OK) err = check_scope(rq, &scope);
	if (err == ERR_OK) err = safety_scope_add(request_store(rq), &scope, false, &rq->fault);
	return err == ERR_OK ? safety_notice_again(rq, "add to what a safety notice concerns")
			     : err;
}

/* Of the last line nothing would be left to concern: then it is closed as withdrawn. */
static enum err check_drop(struct request *rq) {
	struct doc *scopes = doc_list(&rq->arena);
	int64_t said = 0;
	enum err err = safety_scopes(request_store(rq), rq->id[0], &rq->arena, scopes, &rq->fault);
	for (const struct doc *s = scopes->first; s; s = s->next)
		said += !doc_bool(s, "is_dropped");
	if (err != ERR_OK || said > 1) return err;
	return request_fail(rq, ERR_CONFLICT,
			    "The notice would concern nothing. Close it as withdrawn instead.");
}

static enum err scope_drop(struct request *rq) {
	struct doc *row;
	char today[DAY_TEXT_SIZE];
	enum err err = safety_notice_load(rq, &row);
	if (err == ERR_OK) err = check_open(rq, row);
	if (err == ERR_OK) err = check_drop(rq);
	if (err == ERR_OK)
		err = safety_scope_drop(request_store(rq), rq->id[0], rq->id[1],
					day_format(rq->today, today),
					value_text(&rq->value[REASON]), &rq->fault);
	return err == ERR_OK ? safety_notice_again(rq, "drop a line of a safety notice") : err;
}

static enum err drop_form(struct request *rq) {
	struct doc *row;
	enum err err = record_load(rq, &record, &row);
	if (err != ERR_OK) return err;
	struct doc *d = rq->doc = doc_map(&rq->arena);
	doc_set(d, "form",
		fields_form(&drop_resource, &rq->arena, NULL, request_values(rq, &drop_resource),
			    &rq->faults, rq->stale_form));
	doc_set_printf(d, "action", "/safety-notices/%lld/scopes/%lld/drop", (long long)rq->id[0],
		       (long long)rq->id[1]);
	doc_set_printf(d, "back", "/safety-notices/%lld", (long long)rq->id[0]);
	rq->version = doc_int(row, "version");
	rq->title = arena_printf(&rq->arena, "%s: drop a line", doc_text(row, "number"));
	return ERR_OK;
}

static enum err close_store(struct request *rq) {
	struct doc *row;
	char today[DAY_TEXT_SIZE];
	const char *reason = value_text(&rq->value[CLOSED_REASON]);
	bool withdrawn = value_yes(&rq->value[WITHDRAWN]);
	enum err err = safety_notice_load(rq, &row);
	if (err == ERR_OK) err = check_open(rq, row);
	if (err != ERR_OK) return err;
	if (!reason && withdrawn)
		return request_field_fault(rq, "closed_reason",
					   "Say who withdrew it, or what the mistake was.");
	if (!reason && doc_int(row, "left"))
		return request_field_fault(rq, "closed_reason",
					   "%lld of %lld are left. Follow them to the last, or say "
					   "why it is closed all the same.",
					   (long long)doc_int(row, "left"),
					   (long long)doc_int(row, "hit"));
	err = safety_notice_close(request_store(rq), rq->id[0], rq->who.member,
				  day_format(rq->today, today), reason, withdrawn, &rq->fault);
	return err == ERR_OK ? safety_notice_again(rq, "close safety notice") : err;
}

enum err safety_notices_on_page(struct request *rq, int64_t component, struct doc *doc) {
	struct doc *list = doc_set_list(doc, "safety_notices");
	enum err err =
	    safety_notices_of_component(request_store(rq), component, &rq->arena, list, &rq->fault);
	for (struct doc *n = list->first; err == ERR_OK && n; n = n->next) {
		label_action(n);
		doc_set_bool(n, "is_possible", text_equal(doc_text(n, "hit"), "possible"));
		for (struct doc *w = doc_get(n, "answers")->first; w; w = w->next)
			doc_set_text(w, "answer_label",
				     choice_label(safety_answer_choice, doc_text(w, "answer")));
	}
	doc_set_bool(doc, "has_safety_notices", doc_count(list) > 0);
	return err;
}

static const char *const list_query[] = {LIST_QUERY, "state", "action", "left", NULL};
static const char *const item_query[] = {LIST_QUERY, "left", "state", "hit", "station", NULL};

static const struct route route[] = {
    {METHOD_GET, "/safety-notices", ROLE_MEMBER, RUN_READ, .handle = notice_index,
     .template_name = "safety-notices", .query = list_query,
     .summary = "Safety notices: what makers, certification bodies and authorities say of gear"},
    {METHOD_GET, "/safety-notices.csv", ROLE_MEMBER, RUN_READ, .handle = notice_csv,
     .query = list_query, .summary = "The list of safety notices as CSV"},
    {METHOD_GET, "/safety-notices/new", ROLE_OFFICER, RUN_READ, .handle = notice_new,
     .template_name = "safety-notice-new", .summary = "Form for a new safety notice"},
    {METHOD_POST, "/safety-notices/preview", ROLE_OFFICER, RUN_SLOW_CHANGE,
     .prepare = preview_prepare, .handle = preview_show, .form = notice_new,
     .template_name = "safety-notice-new", .resource = &resource,
     .summary = "How much gear a safety notice would hit; stores nothing"},
    {METHOD_POST, "/safety-notices", ROLE_OFFICER, RUN_CHANGE, .handle = notice_store,
     .form = notice_new, .template_name = "safety-notice-new", .resource = &resource,
     .summary = "Record a safety notice: what it hits is out at once"},
    {METHOD_GET, "/safety-notices/:id", ROLE_MEMBER, RUN_READ, .handle = safety_notice_show,
     .template_name = "safety-notice", .query = item_query,
     .summary = "One safety notice and what it hits"},
    {METHOD_GET, "/safety-notices/:id/items", ROLE_MEMBER, RUN_READ, .handle = safety_notice_show,
     .template_name = "safety-notice", .query = item_query,
     .summary = "The same, where what it hits is searched"},
    {METHOD_GET, "/safety-notices/:id/edit", ROLE_OFFICER, RUN_READ, .handle = notice_edit,
     .template_name = "form", .summary = "Form to change what a safety notice says"},
    {METHOD_POST, "/safety-notices/:id", ROLE_OFFICER, RUN_CHANGE, .handle = notice_change,
     .form = notice_edit, .template_name = "form", .resource = &change_resource, .partial = true,
     .summary = "Change what a safety notice says; another action asks anew"},
    {METHOD_POST, "/safety-notices/:id/scopes", ROLE_OFFICER, RUN_CHANGE, .handle = scope_store,
     .form = safety_notice_show, .template_name = "safety-notice", .resource = &scope_resource,
     .summary = "Add to what a safety notice concerns"},
    {METHOD_GET, "/safety-notices/:id/scopes/:id/drop", ROLE_OFFICER, RUN_READ, .handle = drop_form,
     .template_name = "form", .summary = "Form to drop a line of what a notice concerns"},
    {METHOD_POST, "/safety-notices/:id/scopes/:id/drop", ROLE_OFFICER, RUN_CHANGE,
     .handle = scope_drop, .form = drop_form, .template_name = "form", .resource = &drop_resource,
     .summary = "Drop a line that was recorded by mistake"},
    {METHOD_POST, "/safety-notices/:id/close", ROLE_OFFICER, RUN_CHANGE, .handle = close_store,
     .form = safety_notice_show, .template_name = "safety-notice", .resource = &close_resource,
     .summary = "Close a safety notice that is followed to the last item, or with a reason"},
};
const struct route_table safety_notice_routes = {route, sizeof route / sizeof *route};
