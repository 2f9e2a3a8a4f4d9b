#include "handlers/app.h"
#include "handlers/figure.h"
#include "handlers/inspection_finding.h"
#include "handlers/words.h"
#include "store/component.h"

static const char *chosen_text(const struct request *rq, const struct finding_page *p, int index) {
	const struct value *v = request_values(rq, &inspection_finding_resource);
	if (v && v[index].raw) return v[index].raw;
	return doc_text(p->stored, inspection_finding_resource.field[index].name);
}

static void zones_document(struct request *rq, const struct finding_page *p) {
	const struct handbook *hb = app_handbook(request_app(rq));
	struct doc *list = doc_set_list(rq->doc, "zones");
	const char *chosen = chosen_text(rq, p, FINDING_ZONE);
	bool faces = false, sides = false;
	for (size_t i = 0; i < hb->zone_count; i++) {
		const struct zone *z = &hb->zone[i];
		if (z->kind != p->part->record.subject.kind) continue;
		struct doc *m = doc_add_map(list);
		doc_set_text(m, "value", z->code);
		doc_set_text(m, "label", z->label);
		doc_set_printf(m, "option_id", "f-zone%s%s", doc_count(list) > 1 ? "-" : "",
			       doc_count(list) > 1 ? z->code : "");
		doc_set_bool(m, "is_selected", text_equal(z->code, chosen));
		doc_set_bool(m, "has_faces", z->has_faces);
		doc_set_bool(m, "has_sides", z->has_sides);
		faces |= z->has_faces;
		sides |= z->has_sides;
	}
	doc_set_bool(rq->doc, "asks_face", faces);
	doc_set_bool(rq->doc, "asks_side", sides);
}

enum err finding_where_document(struct request *rq, const struct finding_page *p) {
	zones_document(rq, p);
	doc_set_text(rq->doc, "zone_error", fault_list_find(&rq->faults, "zone"));
	struct doc *findings = doc_list(&rq->arena);
	const struct figure_place asked = {.zone = chosen_text(rq, p, FINDING_ZONE),
					   .face = chosen_text(rq, p, FINDING_FACE),
					   .side = chosen_text(rq, p, FINDING_SIDE)};
	enum err err = component_findings(request_store(rq), p->part->component, p->view.id,
					  &rq->arena, findings, &rq->fault);
	if (err == ERR_OK)
		figure_document(rq, rq->doc, p->part->record.subject.kind, findings, &asked);
	return err;
}

void finding_outcomes_document(struct request *rq, const struct finding_page *p) {
	struct allowed_outcome allowed[ALLOWED_OUTCOMES_MAX];
	size_t count = allowed_outcomes(p->defect, allowed);
	struct doc *list = doc_set_list(rq->doc, "outcomes");
	const char *chosen = chosen_text(rq, p, FINDING_OUTCOME);
	bool any_reason = false;
	for (size_t i = 0; i < count; i++) {
		struct doc *m = doc_add_map(list);
		doc_set_text(m, "value", allowed[i].outcome->code);
		doc_set_text(m, "label", allowed[i].outcome->label);
		doc_set_printf(m, "option_id", "f-outcome%s%s", i ? "-" : "",
			       i ? allowed[i].outcome->code : "");
		doc_set_bool(m, "is_default", allowed[i].is_default);
		doc_set_bool(m, "needs_reason", allowed[i].needs_reason);
		bool only = count == 1;
		doc_set_bool(m, "is_selected",
			     only || text_equal(allowed[i].outcome->code, chosen));
		any_reason |= allowed[i].needs_reason;
	}
	doc_set_bool(rq->doc, "may_override", any_reason);
}

void finding_severities_document(struct request *rq, const struct finding_page *p) {
	struct doc *list = doc_set_list(rq->doc, "severities");
	const char *chosen = chosen_text(rq, p, FINDING_SEVERITY);
	for (const struct choice *c = severity_choice; c->value; c++) {
		struct doc *m = doc_add_map(list);
		doc_set_text(m, "value", c->value);
		doc_set_text(m, "label", c->label);
		doc_set_printf(m, "option_id", "f-severity%s%s", c == severity_choice ? "" : "-",
			       c == severity_choice ? "" : c->value);
		doc_set_bool(m, "is_selected", text_equal(c->value, chosen));
		doc_set_bool(m, "is_usual",
			     p->defect && text_equal(c->value, severity_word[p->defect->severity]));
	}
}

void finding_inputs_document(struct request *rq, const struct finding_page *p) {
	struct doc *form = fields_form(&inspection_finding_resource, &rq->arena, p->stored,
				       request_values(rq, &inspection_finding_resource),
				       &rq->faults, rq->stale_form);
	static const char *const own[] = {"check_point", "defect",  "zone", "severity",
					  "outcome",     "opening", NULL};
	static const char *const refused[] = {"face", "side", NULL};
	for (const char *const *name = own; *name; name++) fields_form_remove(form, *name);
	for (const char *const *name = refused; *name; name++)
		if (fault_list_find(&rq->faults, *name)) fields_form_clear(form, *name);
	if (p->defect && !p->defect->basic_up_to_mm) fields_form_remove(form, "length_mm");
	if (!doc_bool(rq->doc, "asks_face")) fields_form_remove(form, "face");
	if (!doc_bool(rq->doc, "asks_side")) fields_form_remove(form, "side");
	if (!doc_bool(rq->doc, "may_override")) fields_form_remove(form, "override_reason");
	/* A reason and a note follow the severity and the outcome. */
	for (struct doc *m = form ? form->first : NULL; m; m = m->next)
		doc_set_bool(m, "follows",
			     text_equal(doc_text(m, "name"), "override_reason") ||
				 text_equal(doc_text(m, "name"), "note"));
	doc_set(rq->doc, "form", form);
}

const char *finding_seen_at(struct request *rq, const struct finding_page *p,
			    const struct check_point *point) {
	const char *seen =
	    arena_printf(&rq->arena, "%s|", answer_word[p->part->answer[point->index]]);
	const struct doc *row = NULL;
	while ((row = inspection_view_finding(p->view.findings, p->part->component, point->code,
					      row)) != NULL)
		seen = arena_printf(&rq->arena, "%s%lld,", seen, (long long)doc_int(row, "id"));
	return seen;
}
