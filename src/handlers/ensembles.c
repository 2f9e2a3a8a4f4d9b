/*
 * Ensembles: their parts, what is missing, whether they fit.
 */
#include "handlers/app.h"
#include "handlers/list.h"
#include "handlers/record.h"
#include "handlers/resources.h"
#include "handlers/routes.h"
#include "rules/fit.h"
#include "rules/kind.h"
#include "store/ensemble.h"
#include "store/member.h"
#include "store/station.h"

enum { CODE, HAZARD, LINE, STATION, MEMBER, ACTIVE, FIELDS };
static const struct field field[FIELDS] = {
    [CODE] = {.name = "code", .label = "Code", .kind = FIELD_TAG, .required = true, .max = 40},
    [HAZARD] = {.name = "hazard",
		.label = "Hazard",
		.kind = FIELD_CHOICE,
		.required = true,
		.choice = hazard_choice},
    [LINE] = {.name = "line",
	      .label = "Line",
	      .kind = FIELD_CHOICE,
	      .required = true,
	      .choice = line_choice},
    [STATION] = {.name = "station", .label = "Station", .kind = FIELD_ID, .required = true},
    [MEMBER] = {.name = "member",
		.label = "Member",
		.help = "Whose set it is; nobody's when it is reserve gear.",
		.kind = FIELD_ID},
    [ACTIVE] = {.name = "active", .label = "In use", .kind = FIELD_YES_NO},
};
static const struct resource resource = {"ensemble", "ensembles", field, FIELDS};

static enum err get(struct request *rq, int64_t id, struct doc **row) {
	return ensemble_get(request_store(rq), id, &rq->arena, row, &rq->fault);
}

static enum err check_references(struct request *rq, const struct ensemble_row *e) {
	struct doc *station = NULL, *member = NULL;
	enum err err = station_get(request_store(rq), e->station, &rq->arena, &station, &rq->fault);
	if (err == ERR_OK && !station)
		return request_field_fault(rq, "station", "Choose a station from the list.");
	if (err == ERR_OK && e->member)
		err = member_get(request_store(rq), e->member, &rq->arena, &member, &rq->fault);
	if (err == ERR_OK && e->member && !member)
		return request_field_fault(rq, "member", "Choose a member from the list.");
	return err;
}

static enum err save(struct request *rq, const struct doc *row, int64_t *id) {
	struct ensemble_row ensemble = {
	    .id = doc_int(row, "id"),
	    .code = keep_text(rq, CODE, row),
	    .hazard = keep_text(rq, HAZARD, row),
	    .line = keep_text(rq, LINE, row),
	    .station = keep_int(rq, STATION, row, 0),
	    .member = keep_int(rq, MEMBER, row, 0),
	    .active = keep_int(rq, ACTIVE, row, 1) != 0,
	};
	enum err err = check_references(rq, &ensemble);
	return err == ERR_OK ? ensemble_save(request_store(rq), &ensemble, id, &rq->fault) : err;
}

/* The part that fills a slot, or NULL. */
static const struct doc *part_of_slot(const struct handbook *hb, const struct slot *slot,
				      const struct doc *parts) {
	for (const struct doc *p = parts->first; p; p = p->next) {
		const struct kind *kind = handbook_kind(hb, doc_text(p, "kind"));
		if (kind && slot_takes(slot, kind, doc_bool(p, "is_reflective"))) return p;
	}
	return NULL;
}

static void add_missing(struct request *rq, enum hazard h, const struct doc *parts,
			struct doc *missing) {
	const struct handbook *hb = app_handbook(request_app(rq));
	struct slot slot;
	size_t at = 0;
	while (kind_next_slot(hb, h, &at, &slot))
		if (!part_of_slot(hb, &slot, parts)) doc_add_text(missing, slot.label);
}

static struct label label_of(const struct doc *part) {
	return (struct label){doc_text(part, "maker"), doc_text(part, "model"),
			      doc_text(part, "size")};
}

/* Pairs of parts whose labels must agree and do not. */
static void add_misfits(struct request *rq, const struct doc *parts, struct doc *misfits) {
	const struct handbook *hb = app_handbook(request_app(rq));
	for (const struct doc *a = parts->first; a; a = a->next)
		for (const struct doc *b = parts->first; b; b = b->next) {
			const struct kind *shell = handbook_kind(hb, doc_text(a, "kind"));
			const struct kind *part = handbook_kind(hb, doc_text(b, "kind"));
			const struct fit_rule *rule =
			    shell && part ? fit_rule_find(hb, shell, part) : NULL;
			if (!rule) continue;
			struct label of_shell = label_of(a), of_part = label_of(b);
			enum fit fit = fit_compare(rule, &of_shell, &of_part);
			const char *reason = fit_reason(fit, rule, &of_shell, &of_part, &rq->arena);
			if (reason) doc_add_text(misfits, reason);
		}
}

static enum err extend(struct request *rq, const struct doc *row, struct doc *page) {
	struct doc *parts = doc_set_list(page, "parts");
	enum err err =
	    ensemble_parts(request_store(rq), doc_int(row, "id"), &rq->arena, parts, &rq->fault);
	if (err != ERR_OK) return err;
	int hazard = word_find(hazard_word, HAZARD_COUNT, doc_text(row, "hazard"));
	struct doc *missing = doc_set_list(page, "missing"),
		   *misfits = doc_set_list(page, "misfits");
	if (hazard >= 0) add_missing(rq, (enum hazard)hazard, parts, missing);
	add_misfits(rq, parts, misfits);
	doc_set_bool(page, "is_complete", doc_count(missing) == 0);
	doc_set_bool(page, "has_misfits", doc_count(misfits) > 0);
	doc_set_text(page, "hazard_label", choice_label(hazard_choice, doc_text(row, "hazard")));
	doc_set_text(page, "line_label", choice_label(line_choice, doc_text(row, "line")));
	return ERR_OK;
}

static enum err options(struct request *rq, struct doc *form) {
	struct doc *stations = doc_list(&rq->arena), *members = doc_list(&rq->arena);
	enum err err = station_options(request_store(rq), &rq->arena, stations, &rq->fault);
	if (err == ERR_OK) err = member_options(request_store(rq), &rq->arena, members, &rq->fault);
	if (err != ERR_OK) return err;
	fields_form_options(form, "station", stations);
	fields_form_options(form, "member", members);
	return ERR_OK;
}

static const struct record record = {.path = "/ensembles",
				     .word = "ensemble",
				     .resource = &resource,
				     .get = get,
				     .save = save,
				     .extend = extend,
				     .options = options,
				     .title_key = "code",
				     .unique = "code"};

static const struct list_column column[] = {{"code", "code"},
					    {"hazard", "hazard"},
					    {"line", "line"},
					    {"station_code", "station"},
					    {"badge", "member"},
					    {"part_count", "parts"},
					    {"blocked_count", "blocked"},
					    {NULL, NULL}};
static const struct list_page page = {
    .path = "/ensembles",
    .title = "Ensembles",
    .source = &ensemble_list,
    .filter = {{.label = "Station", .options = list_station_options},
	       {.label = "Hazard", .choice = hazard_choice},
	       {.label = "Line", .choice = line_choice}},
    .column = column};

static enum err ensemble_index(struct request *rq) { return list_answer(rq, &page); }
static enum err ensemble_csv(struct request *rq) { return list_export(rq, &page); }
static enum err ensemble_show(struct request *rq) { return record_show(rq, &record); }
static enum err ensemble_form(struct request *rq) { return record_form(rq, &record); }
static enum err ensemble_store(struct request *rq) { return record_store(rq, &record); }

static const char *const list_query[] = {LIST_QUERY, "station", "hazard", "line", NULL};

static const struct route route[] = {
    {METHOD_GET, "/ensembles", ROLE_MEMBER, RUN_READ, .handle = ensemble_index,
     .template_name = "ensembles", .query = list_query, .summary = "Ensembles"},
    {METHOD_GET, "/ensembles.csv", ROLE_MEMBER, RUN_READ, .handle = ensemble_csv,
     .query = list_query, .summary = "The list of ensembles as CSV"},
    {METHOD_GET, "/ensembles/new", ROLE_OFFICER, RUN_READ, .handle = ensemble_form,
     .template_name = "form", .summary = "Form for a new ensemble"},
    {METHOD_POST, "/ensembles", ROLE_OFFICER, RUN_CHANGE, .handle = ensemble_store,
     .form = ensemble_form, .template_name = "form", .resource = &resource,
     .summary = "Add an ensemble"},
    {METHOD_GET, "/ensembles/:id", ROLE_MEMBER, RUN_READ, .handle = ensemble_show,
     .template_name = "ensemble", .summary = "One ensemble, its parts and whether they fit"},
    {METHOD_GET, "/ensembles/:id/edit", ROLE_OFFICER, RUN_READ, .handle = ensemble_form,
     .template_name = "form", .summary = "Form to change an ensemble"},
    {METHOD_POST, "/ensembles/:id", ROLE_OFFICER, RUN_CHANGE, .handle = ensemble_store,
     .form = ensemble_form, .template_name = "form", .resource = &resource, .partial = true,
     .summary = "Change an ensemble"},
};
const struct route_table ensemble_routes = {route, sizeof route / sizeof *route};
