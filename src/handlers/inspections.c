/*
 * Inspections: the list, starting one, its overview, taking over, abandoning.
 * The form itself is in inspection_parts.c and inspection_finding.h, the end
 * in inspection_review.c.
 */
#include "handlers/app.h"
#include "handlers/inspection_paper.h"
#include "handlers/inspection_view.h"
#include "handlers/list.h"
#include "handlers/routes.h"
#include "handlers/words.h"
#include "store/inspection.h"
#include "store/photo.h"

/* --- starting -------------------------------------------------------------- */

enum { START_KIND, START_ENSEMBLE, START_COMPONENT, START_FIELDS };
static const struct field start_field[START_FIELDS] = {
    [START_KIND] = {.name = "kind",
		    .label = "Kind of inspection",
		    .kind = FIELD_CHOICE,
		    .choice = inspection_kind_choice,
		    .required = true},
    [START_ENSEMBLE] = {.name = "ensemble",
			.label = "Whole ensemble",
			.help = "Its id; or name single parts instead.",
			.kind = FIELD_ID},
    [START_COMPONENT] = {.name = "component",
			 .label = "Parts",
			 .help = "Their ids, when not the whole ensemble is looked at.",
			 .kind = FIELD_ID_LIST},
};
static const struct resource start_resource = {"inspection_start", "inspections", start_field,
					       START_FIELDS};

static bool is_repeated(const struct value *chosen, size_t at) {
	for (size_t i = 0; i < at; i++)
		if (chosen->list[i] == chosen->list[at]) return true;
	return false;
}

/* Puts the chosen candidates into list, each once and only those there are. */
static enum err load_candidates(struct request *rq, int64_t ensemble, const struct value *chosen,
				struct doc *list) {
	struct store *st = request_store(rq);
	enum err err = ERR_OK;
	if (ensemble)
		err = inspection_candidates_of_ensemble(st, ensemble, &rq->arena, list, &rq->fault);
	for (size_t i = 0; err == ERR_OK && chosen && i < chosen->list_count; i++) {
		struct doc *row = NULL;
		if (is_repeated(chosen, i)) continue;
		err = inspection_candidate(st, chosen->list[i], &rq->arena, &row, &rq->fault);
		if (err == ERR_OK && row) doc_add(list, row);
	}
	return err;
}

static bool has_candidate(const struct doc *list, int64_t component) {
	for (const struct doc *c = list->first; c; c = c->next)
		if (doc_int(c, "component") == component) return true;
	return false;
}

/* A part inspected twice in one inspection could never be finished. */
static enum err check_chosen(struct request *rq, const struct value *chosen,
			     const struct doc *candidates) {
	for (size_t i = 0; i < chosen->list_count; i++) {
		if (is_repeated(chosen, i))
			return request_field_fault(rq, "component",
						   "Part %lld is named twice. Name each once.",
						   (long long)chosen->list[i]);
		if (!has_candidate(candidates, chosen->list[i]))
			return request_field_fault(rq, "component", "There is no part %lld.",
						   (long long)chosen->list[i]);
	}
	return ERR_OK;
}

/* Why a candidate can't be looked at now, or NULL. */
static const char *candidate_obstacle(const struct doc *c) {
	const char *state = doc_text(c, "state");
	if (text_equal(state, "at_provider")) return "at the provider";
	if (doc_text(c, "retired_on")) return "retired";
	return NULL;
}

static enum err add_part(struct request *rq, int64_t inspection, const struct doc *c,
			 int64_t position, const char *day_text) {
	const struct handbook *hb = app_handbook(request_app(rq));
	int hazard = word_find(hazard_word, HAZARD_COUNT, doc_text(c, "hazard"));
	const struct kind *kind = handbook_kind(hb, doc_text(c, "kind"));
	const struct checklist *list =
	    hazard < 0 || !kind ? NULL
				: handbook_checklist_for(hb, kind, (enum hazard)hazard, day_text);
	if (!list)
		return request_fail(rq, ERR_CONFLICT, "There is no check list for %s (%s, %s).",
				    doc_text(c, "tag"), doc_text(c, "kind_label"),
				    doc_text(c, "hazard"));
	return inspection_part_insert(request_store(rq), inspection, doc_int(c, "component"),
				      list->id, position, &rq->fault);
}

/* Every candidate that is here becomes a part; one in another draft refuses the start. */
static enum err add_parts(struct request *rq, int64_t inspection, const struct doc *candidates,
			  bool routine, const char *day_text) {
	int64_t position = 0;
	for (const struct doc *c = candidates->first; c; c = c->next) {
		int64_t draft = doc_int(c, "draft");
		if (draft)
			return request_fail(rq, ERR_CONFLICT,
					    "%s is being inspected already, in inspection %lld. "
					    "Finish or abandon that one first.",
					    doc_text(c, "tag"), (long long)draft);
		if (candidate_obstacle(c)) continue;
		if (doc_bool(c, "is_contaminated") && !routine)
			return request_fail(rq, ERR_CONFLICT,
					    "%s is contaminated: it was exposed and not cleaned "
					    "since. Record the cleaning it asks for, then inspect "
					    "it; or inspect the other parts one by one.",
					    doc_text(c, "tag"));
		enum err err = add_part(rq, inspection, c, position++, day_text);
		if (err != ERR_OK) return err;
	}
	if (position) return ERR_OK;
	return request_fail(rq, ERR_CONFLICT,
			    "There is nothing here to inspect: every part is away or retired.");
}

static enum err inspection_post(struct request *rq) {
	int kind = (int)value_int(&rq->value[START_KIND], 0);
	int64_t ensemble = value_int(&rq->value[START_ENSEMBLE], 0);
	if (!ensemble == !rq->value[START_COMPONENT].list_count)
		return request_field_fault(rq, "component",
					   "Choose a whole ensemble, or single parts.");
	enum err err = inspection_check_role(rq, (enum inspection_kind)kind);
	if (err != ERR_OK) return err;
	struct doc *candidates = doc_list(&rq->arena);
	if (!candidates) return ERR_MEMORY;
	err = load_candidates(rq, ensemble, &rq->value[START_COMPONENT], candidates);
	if (err == ERR_OK) err = check_chosen(rq, &rq->value[START_COMPONENT], candidates);
	if (err != ERR_OK) return err;

	char started[INSTANT_TEXT_SIZE], today[DAY_TEXT_SIZE];
	int64_t only = doc_count(candidates) ? doc_int(candidates->first, "ensemble") : 0;
	struct inspection_start start = {
	    .kind = inspection_kind_word[kind],
	    .ensemble = ensemble ? ensemble : only,
	    .inspector = rq->who.member,
	    .started_at = instant_format(rq->now_s, started),
	    .inspected_on = day_format(rq->today, today),
	};
	int64_t id = 0;
	err = inspection_insert(request_store(rq), &start, &id, &rq->fault);
	if (err == ERR_OK) err = add_parts(rq, id, candidates, kind == INSPECTION_ROUTINE, today);
	if (err != ERR_OK) return err;
	request_action(rq, "start inspection");
	struct inspection_view v;
	err = inspection_view_load(rq, id, &v);
	if (err != ERR_OK) return err;
	inspection_view_document(rq, &v);
	/* Who fills the form goes on at once; a program is told where the inspection is. */
	if (rq->wants_html) request_go(rq, true, "%s", inspection_view_next(rq, &v));
	else request_go(rq, true, "/inspections/%lld", (long long)id);
	return ERR_OK;
}

static void kinds_document(struct request *rq, const struct value *typed) {
	struct doc *kinds = doc_set_list(rq->doc, "kinds");
	const char *wanted =
	    typed && typed[START_KIND].raw ? typed[START_KIND].raw : request_query(rq, "kind");
	for (int k = 0; k < INSPECTION_KIND_COUNT; k++) {
		if (k != INSPECTION_ROUTINE && rq->who.role < ROLE_INSPECTOR) continue;
		struct doc *m = doc_add_map(kinds);
		doc_set_text(m, "value", inspection_kind_choice[k].value);
		doc_set_text(m, "label", inspection_kind_choice[k].label);
		doc_set_bool(m, "is_selected", text_equal(wanted, inspection_kind_choice[k].value));
	}
}

/* The page that asks what to inspect: reached from a component or an ensemble, or shown again
 * with what was chosen. */
static enum err inspection_new(struct request *rq) {
	int64_t ensemble, component;
	enum err err = request_query_int(rq, "ensemble", 1, INT64_MAX, 0, &ensemble);
	if (err == ERR_OK) err = request_query_int(rq, "component", 1, INT64_MAX, 0, &component);
	if (err != ERR_OK) return err;
	const struct value *typed = request_values(rq, &start_resource);
	struct value one = {
	    .state = VALUE_VALID, .list = &component, .list_count = component ? 1 : 0};
	const struct value *chosen = typed ? &typed[START_COMPONENT] : &one;
	if (typed) ensemble = value_int(&typed[START_ENSEMBLE], 0);
	if (chosen->list_count) ensemble = 0;
	struct doc *d = rq->doc = doc_map(&rq->arena);
	struct doc *list = doc_list(&rq->arena);
	if (!d || !list) return ERR_MEMORY;
	err = load_candidates(rq, ensemble, chosen, list);
	if (err != ERR_OK) return err;
	if (!doc_count(list))
		return request_fail(rq, ERR_NOT_FOUND,
				    "There is nothing here to inspect. Scan a tag "
				    "to find the gear first.");
	struct doc *singles = doc_set_list(d, "chosen");
	for (struct doc *c = list->first; c; c = c->next) {
		doc_set_text(c, "obstacle", candidate_obstacle(c));
		if (!ensemble) doc_set_int(doc_add_map(singles), "id", doc_int(c, "component"));
	}
	doc_set(d, "candidates", list);
	doc_set_int(d, "ensemble", ensemble);
	kinds_document(rq, typed);
	rq->title = "New inspection";
	return ERR_OK;
}

/* --- one inspection ---------------------------------------------------------- */

/* Every check point of each part with its answer: printed, the page is the form filled in. */
static void add_paper(struct request *rq, const struct inspection_view *v) {
	struct doc *map = doc_get(rq->doc, "parts")->first;
	bool any = false;
	for (size_t i = 0; map && i < v->part_count; i++, map = map->next) {
		const struct part_record *record = &v->part[i].record;
		doc_set_bool(map, "has_paper", record->checklist != NULL);
		if (!record->checklist) continue;
		inspection_paper(rq, record->checklist, &record->subject, record->answer, map);
		any = true;
	}
	doc_set_bool(rq->doc, "has_form", any);
}

static enum err inspection_show(struct request *rq) {
	struct inspection_view v;
	enum err err = inspection_view_load(rq, rq->id[0], &v);
	if (err != ERR_OK) return err;
	inspection_view_document(rq, &v);
	doc_set(rq->doc, "findings", v.findings);
	doc_set(rq->doc, "earlier_findings", v.earlier);
	rq->title =
	    arena_printf(&rq->arena, "%s %lld", inspection_kind_label[v.kind], (long long)v.id);
	add_paper(rq, &v);
	return inspection_view_photos(rq, &v);
}

static enum err inspection_take(struct request *rq) {
	struct inspection_view v;
	enum err err = inspection_view_load(rq, rq->id[0], &v);
	if (err == ERR_OK) err = inspection_view_check_draft(rq, &v);
	if (err == ERR_OK) err = request_check_version(rq, v.version);
	if (err == ERR_OK)
		err = inspection_take_over(request_store(rq), v.id, rq->who.member, &rq->fault);
	if (err != ERR_OK) return err;
	request_action(rq, "take over inspection");
	request_go(rq, false, "/inspections/%lld", (long long)v.id);
	return inspection_show(rq);
}

enum { ABANDON_REASON, ABANDON_FIELDS };
static const struct field abandon_field[ABANDON_FIELDS] = {
    [ABANDON_REASON] = {.name = "reason",
			.label = "Why it is abandoned",
			.help = "What was written stays in the record; nothing follows from it.",
			.kind = FIELD_TEXT,
			.required = true},
};
static const struct resource abandon_resource = {"inspection_abandon", "inspections", abandon_field,
						 ABANDON_FIELDS};

static enum err inspection_give_up(struct request *rq) {
	struct inspection_view v;
	enum err err = inspection_view_load(rq, rq->id[0], &v);
	if (err == ERR_OK) err = inspection_view_check_draft(rq, &v);
	if (err == ERR_OK) err = request_check_version(rq, v.version);
	if (err == ERR_OK)
		err = inspection_abandon(request_store(rq), v.id,
					 value_text(&rq->value[ABANDON_REASON]), &rq->fault);
	if (err != ERR_OK) return err;
	request_action(rq, "abandon inspection");
	request_go(rq, false, "/inspections/%lld", (long long)v.id);
	return inspection_show(rq);
}

/* The overview with the abandon form in it. */
static enum err inspection_abandon_form(struct request *rq) {
	enum err err = inspection_show(rq);
	if (err != ERR_OK) return err;
	doc_set(rq->doc, "form",
		fields_form(&abandon_resource, &rq->arena, NULL,
			    request_values(rq, &abandon_resource), &rq->faults, false));
	rq->title = "Abandon inspection";
	return ERR_OK;
}

static const struct choice inspection_state[] = {
    {"draft", "Draft"}, {"signed", "Signed"}, {"abandoned", "Abandoned"}, {NULL, NULL}};
static const struct list_column column[] = {{"id", "inspection"},
					    {"kind", "kind"},
					    {"state", "state"},
					    {"inspected_on", "inspected_on"},
					    {"ensemble_code", "ensemble"},
					    {"inspector_name", "inspector"},
					    {"part_count", "parts"},
					    {"finding_count", "findings"},
					    {"worked_min", "minutes_worked"},
					    {NULL, NULL}};
static const struct list_page page = {
    .path = "/inspections",
    .title = "Inspections",
    .source = &inspection_list,
    .filter = {{.label = "Kind", .choice = inspection_kind_choice},
	       {.label = "State", .choice = inspection_state}},
    .column = column};

static enum err inspection_index(struct request *rq) { return list_answer(rq, &page); }
static enum err inspection_csv(struct request *rq) { return list_export(rq, &page); }

static const char *const list_query[] = {LIST_QUERY, "kind", "state", NULL};
static const char *const new_query[] = {"ensemble", "component", "kind", NULL};

static const struct route route[] = {
    {METHOD_GET, "/inspections", ROLE_MEMBER, RUN_READ, .handle = inspection_index,
     .template_name = "inspections", .query = list_query, .summary = "Inspections"},
    {METHOD_GET, "/inspections.csv", ROLE_MEMBER, RUN_READ, .handle = inspection_csv,
     .query = list_query, .summary = "The list of inspections as CSV"},
    {METHOD_GET, "/inspections/new", ROLE_MEMBER, RUN_READ, .handle = inspection_new,
     .template_name = "inspection-new", .query = new_query,
     .summary = "What can be inspected here"},
    {METHOD_POST, "/inspections", ROLE_MEMBER, RUN_CHANGE, .handle = inspection_post,
     .form = inspection_new, .template_name = "inspection-new", .resource = &start_resource,
     .summary = "Start an inspection"},
    {METHOD_GET, "/inspections/:id", ROLE_MEMBER, RUN_READ, .handle = inspection_show,
     .template_name = "inspection", .summary = "One inspection, its parts and findings"},
    {METHOD_POST, "/inspections/:id/take-over", ROLE_MEMBER, RUN_CHANGE, .handle = inspection_take,
     .form = inspection_show, .template_name = "inspection",
     .summary = "Become the inspector of a draft begun by somebody else"},
    {METHOD_GET, "/inspections/:id/abandon", ROLE_MEMBER, RUN_READ,
     .handle = inspection_abandon_form, .template_name = "inspection-abandon",
     .summary = "Form to abandon a draft"},
    {METHOD_POST, "/inspections/:id/abandon", ROLE_MEMBER, RUN_CHANGE, .handle = inspection_give_up,
     .form = inspection_abandon_form, .template_name = "inspection-abandon",
     .resource = &abandon_resource, .summary = "Abandon a draft; nothing follows from it"},
};
const struct route_table inspection_routes = {route, sizeof route / sizeof *route};
