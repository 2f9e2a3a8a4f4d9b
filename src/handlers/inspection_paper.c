/* Blank forms, and what they share with the record of an inspection that is printed. */
#include "handlers/inspection_paper.h"

#include "handlers/app.h"
#include "handlers/inspection_view.h"
#include "handlers/routes.h"
#include "handlers/words.h"
#include "rules/check_group.h"
#include "store/component.h"
#include "store/inspection.h"

/* --- one part -------------------------------------------------------------------------- */

/* "tear, burn hole, thin": of a list, a word at a time. */
static const char *listed(struct arena *a, const char *words, const char *one) {
	return words ? arena_printf(a, "%s, %s", words, one) : one;
}

static void point_on_paper(struct request *rq, const struct check_point *point,
			   const enum answer *answer, struct doc *m) {
	const char *words = NULL;
	for (size_t i = 0; !answer && i < point->subject->defect_count; i++)
		words = listed(&rq->arena, words, point->subject->defect[i].defect->label);
	doc_set_text(m, "code", point->code);
	doc_set_text(m, "title", point->title);
	doc_set_text(m, "look_for", point->look_for);
	doc_set_bool(m, "may_not_apply", point->is_optional);
	enum answer given = answer ? answer[point->index] : ANSWER_NONE;
	doc_set_bool(m, "is_sound", given == ANSWER_SOUND);
	doc_set_bool(m, "is_finding", given == ANSWER_FINDING);
	doc_set_bool(m, "is_not_applicable", given == ANSWER_NOT_APPLICABLE);
	doc_set_text(m, "defects", words);
}

void inspection_paper(struct request *rq, const struct checklist *list,
		      const struct part_subject *s, const enum answer *answer, struct doc *map) {
	const struct handbook *hb = app_handbook(request_app(rq));
	size_t count;
	const struct check_group *g = check_groups(list, s, &rq->arena, &count);
	struct doc *groups = doc_set_list(map, "paper");
	for (size_t k = 0; k < count; k++) {
		struct doc *group = doc_add_map(groups);
		doc_set_text(group, "title", g[k].title);
		struct doc *points = doc_set_list(group, "points");
		for (size_t i = g[k].first; i < g[k].end; i++)
			if (point_is_asked(&list->point[i], s))
				point_on_paper(rq, &list->point[i], answer, doc_add_map(points));
	}
	const char *zones = NULL;
	for (size_t i = 0; i < hb->zone_count; i++)
		if (hb->zone[i].kind == s->kind)
			zones = listed(&rq->arena, zones, hb->zone[i].label);
	doc_set_text(map, "zones", zones);
	doc_set_bool(map, "asks_clean", part_asks_clean(s));
	doc_set_bool(map, "asks_labels", part_asks_labels(hb, s));
}

/* --- blank ------------------------------------------------------------------------------- */

struct blank {
	enum inspection_kind kind;
	enum hazard hazard;
	char today[DAY_TEXT_SIZE];
};

/* What is asked of a part of that kind: with trim and reflective where such parts are. */
static struct part_subject subject_of(const struct blank *b, const struct kind *kind) {
	return (struct part_subject){.kind = kind,
				     .trim = true,
				     .reflective = b->hazard == HAZARD_PROXIMITY && kind->is_outer,
				     .inspection = b->kind};
}

static void add_blank(struct request *rq, const struct blank *b, const struct part_subject *s,
		      struct doc *row, struct doc *parts) {
	const struct handbook *hb = app_handbook(request_app(rq));
	const struct checklist *list = handbook_checklist_for(hb, s->kind, b->hazard, b->today);
	if (!list) return;
	inspection_paper(rq, list, s, NULL, row);
	doc_set_text(row, "kind_label", s->kind->label);
	doc_add(parts, row);
}

/* The part itself, what it carries and what is open on it. */
static enum err blank_of_component(struct request *rq, struct blank *b, int64_t id,
				   struct doc *parts) {
	struct doc *row = NULL, *m = doc_map(&rq->arena), *findings = doc_list(&rq->arena);
	if (!m || !findings) return ERR_MEMORY;
	enum err err = component_get(request_store(rq), id, &rq->arena, &row, &rq->fault);
	if (err == ERR_OK && !row)
		err = request_fail(rq, ERR_NOT_FOUND, "There is no part %lld.", (long long)id);
	if (err == ERR_OK)
		err =
		    component_findings(request_store(rq), id, 0, &rq->arena, findings, &rq->fault);
	if (err != ERR_OK) return err;
	const struct kind *kind =
	    handbook_kind(app_handbook(request_app(rq)), doc_text(row, "kind"));
	int hazard = word_find(hazard_word, HAZARD_COUNT, doc_text(row, "hazard"));
	if (!kind || hazard < 0)
		return request_fail(rq, ERR_CORRUPT, "Component %lld is of an unknown kind.",
				    (long long)id);
	b->hazard = (enum hazard)hazard;
	struct part_subject s = subject_of(b, kind);
	s.trim = doc_int(row, "trim") != 0;
	s.reflective = doc_int(row, "reflective") != 0;
	static const char *const shown[] = {"tag",  "serial", "maker", "model",
					    "size", "made",   NULL};
	for (const char *const *key = shown; *key; key++)
		doc_set_text(m, *key, doc_text(row, *key));
	struct doc *open = doc_set_list(m, "open");
	for (const struct doc *f = findings->first; f; f = f->next) {
		if (!doc_bool(f, "is_open")) continue;
		struct doc *one = doc_add_map(open);
		doc_set_text(one, "defect_label", doc_text(f, "defect_label"));
		doc_set_text(one, "zone_label", doc_text(f, "zone_label"));
		doc_set_text(one, "place", doc_text(f, "place"));
		doc_set_text(one, "outcome_label", doc_text(f, "outcome_label"));
	}
	add_blank(rq, b, &s, m, parts);
	return ERR_OK;
}

static enum err blank_of_ensemble(struct request *rq, struct blank *b, int64_t id,
				  struct doc *parts) {
	struct doc *list = doc_list(&rq->arena);
	if (!list) return ERR_MEMORY;
	enum err err =
	    inspection_candidates_of_ensemble(request_store(rq), id, &rq->arena, list, &rq->fault);
	for (const struct doc *c = list->first; err == ERR_OK && c; c = c->next)
		err = blank_of_component(rq, b, doc_int(c, "component"), parts);
	return err;
}

/* A page for each kind of part that there is against the hazard, or for the one asked for. */
static void blank_of_kinds(struct request *rq, const struct blank *b, const char *only,
			   struct doc *parts) {
	const struct handbook *hb = app_handbook(request_app(rq));
	for (size_t i = 0; i < hb->kind_count; i++) {
		if (!hb->kind[i].hazard[b->hazard] || (only && !text_equal(only, hb->kind[i].code)))
			continue;
		struct part_subject s = subject_of(b, &hb->kind[i]);
		struct doc *m = doc_map(&rq->arena);
		static const char *const unknown[] = {"tag",  "serial", "maker", "model",
						      "size", "made",   NULL};
		for (const char *const *key = unknown; *key; key++) doc_set_null(m, *key);
		doc_set_list(m, "open");
		add_blank(rq, b, &s, m, parts);
	}
}

static enum err word_of_query(struct request *rq, const char *name, const char *const *word,
			      int count, int *found) {
	const char *text = request_query(rq, name);
	if (!text) return ERR_OK;
	*found = word_find(word, count, text);
	if (*found >= 0) return ERR_OK;
	return request_fail(rq, ERR_INVALID, "There is no %s \"%.40s\".", name, text);
}

static void kinds_document(struct request *rq, const struct blank *b, const char *rest) {
	struct doc *kinds = doc_set_list(rq->doc, "kinds");
	for (int k = 0; k < INSPECTION_KIND_COUNT; k++) {
		struct doc *m = doc_add_map(kinds);
		doc_set_text(m, "label", inspection_kind_label[k]);
		doc_set_bool(m, "is_this", k == (int)b->kind);
		doc_set_printf(m, "path", "/inspections/blank?kind=%s&%s", inspection_kind_word[k],
			       rest);
	}
}

static enum err blank_show(struct request *rq) {
	int64_t ensemble, component;
	int kind = INSPECTION_ADVANCED, hazard = HAZARD_STRUCTURAL;
	const char *part = request_query(rq, "part"), *rest;
	enum err err = request_query_int(rq, "ensemble", 1, INT64_MAX, 0, &ensemble);
	if (err == ERR_OK) err = request_query_int(rq, "component", 1, INT64_MAX, 0, &component);
	if (err == ERR_OK)
		err = word_of_query(rq, "kind", inspection_kind_word, INSPECTION_KIND_COUNT, &kind);
	if (err == ERR_OK) err = word_of_query(rq, "hazard", hazard_word, HAZARD_COUNT, &hazard);
	if (err != ERR_OK) return err;
	struct blank b = {.kind = (enum inspection_kind)kind, .hazard = (enum hazard)hazard};
	day_format(rq->today, b.today);
	struct doc *d = rq->doc = doc_map(&rq->arena), *parts = doc_set_list(d, "parts");
	if (!parts) return ERR_MEMORY;
	if (component) {
		err = blank_of_component(rq, &b, component, parts);
		rest = arena_printf(&rq->arena, "component=%lld", (long long)component);
	} else if (ensemble) {
		err = blank_of_ensemble(rq, &b, ensemble, parts);
		rest = arena_printf(&rq->arena, "ensemble=%lld", (long long)ensemble);
	} else {
		blank_of_kinds(rq, &b, part, parts);
		rest = arena_printf(&rq->arena, "hazard=%s%s%s", hazard_word[hazard],
				    part ? "&part=" : "", part ? part : "");
	}
	if (err != ERR_OK) return err;
	if (!doc_count(parts))
		return request_fail(rq, ERR_NOT_FOUND,
				    "There is no such part to print a form for.");
	kinds_document(rq, &b, rest);
	doc_set_text(d, "kind_label", inspection_kind_label[kind]);
	const struct handbook *hb = app_handbook(request_app(rq));
	const char *outcomes = NULL;
	for (size_t i = 0; i < hb->outcome_count; i++)
		outcomes = listed(&rq->arena, outcomes, hb->outcome[i].label);
	doc_set_text(d, "outcomes", outcomes);
	doc_set_text(d, "hazard", choice_label(hazard_choice, hazard_word[b.hazard]));
	rq->title =
	    arena_printf(&rq->arena, "%s: form to fill in by hand", inspection_kind_label[kind]);
	return ERR_OK;
}

static const char *const blank_query[] = {"kind", "hazard", "part", "component", "ensemble", NULL};

static const struct route route[] = {
    {METHOD_GET, "/inspections/blank", ROLE_MEMBER, RUN_READ, .handle = blank_show,
     .template_name = "inspection-blank", .query = blank_query,
     .summary = "Blank forms to print: of a component, an ensemble, or of kinds of parts"},
};
const struct route_table inspection_paper_routes = {route, sizeof route / sizeof *route};
