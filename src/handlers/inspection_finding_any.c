/*
 * The form for any finding on a part: all of its check points, defects and outcomes at once. A
 * tablet out of reach keeps it.
 */
#include "base/text.h"
#include "handlers/inspection_finding.h"

static bool has_code(const struct doc *list, const char *code) {
	for (const struct doc *m = list->first; m; m = m->next)
		if (text_equal(doc_text(m, "code"), code)) return true;
	return false;
}

/* What may follow from a defect at a point; what is new of it goes into the list of all. */
static const char *possible_outcomes(struct request *rq, const struct subject_defect *d,
				     struct doc *all) {
	struct allowed_outcome allowed[ALLOWED_OUTCOMES_MAX];
	size_t count = allowed_outcomes(d, allowed);
	const char *codes = "";
	for (size_t i = 0; i < count; i++) {
		const struct outcome *o = allowed[i].outcome;
		codes = arena_printf(&rq->arena, "%s%s%s", codes, i ? " " : "", o->code);
		if (has_code(all, o->code)) continue;
		struct doc *m = doc_add_map(all);
		doc_set_text(m, "code", o->code);
		doc_set_text(m, "label", o->label);
	}
	return codes;
}

static void possible_defects(struct request *rq, const struct check_point *point,
			     struct doc *defects, struct doc *outcomes, struct doc *list) {
	for (size_t i = 0; i < point->subject->defect_count; i++) {
		const struct subject_defect *d = &point->subject->defect[i];
		struct doc *m = doc_add_map(list);
		doc_set_text(m, "at_point", point->code);
		doc_set_text(m, "code", d->defect_code);
		doc_set_text(m, "label", d->defect->label);
		doc_set_text(m, "outcome_label", d->outcome->label);
		doc_set_text(m, "outcomes", possible_outcomes(rq, d, outcomes));
		if (has_code(defects, d->defect_code)) continue;
		m = doc_add_map(defects);
		doc_set_text(m, "code", d->defect_code);
		doc_set_text(m, "label", d->defect->label);
	}
}

static void points_document(struct request *rq, const struct finding_page *p) {
	struct doc *d = rq->doc, *points = doc_set_list(d, "points"),
		   *defects = doc_set_list(d, "defects"), *outcomes = doc_set_list(d, "outcomes");
	const struct checklist *list = p->part->record.checklist;
	for (size_t i = 0; i < list->point_count; i++) {
		const struct check_point *point = &list->point[i];
		if (!point_is_asked(point, &p->part->record.subject)) continue;
		struct doc *m = doc_add_map(points);
		doc_set_text(m, "code", point->code);
		doc_set_text(m, "title", point->title);
		doc_set_text(m, "group", inspection_view_group(p->part, point)->code);
		doc_set_text(m, "seen", finding_seen_at(rq, p, point));
		possible_defects(rq, point, defects, outcomes, doc_set_list(m, "possible"));
	}
}

enum err finding_any_page(struct request *rq) {
	struct finding_page p = {0};
	enum err err = inspection_view_load(rq, rq->id[0], &p.view);
	if (err == ERR_OK) err = inspection_view_form_part(rq, &p.view, rq->id[1], &p.part);
	if (err != ERR_OK) return err;
	inspection_view_document(rq, &p.view);
	inspection_part_document(&p.view, p.part, doc_set_map(rq->doc, "part"));
	points_document(rq, &p);
	err = finding_where_document(rq, &p);
	finding_severities_document(rq, &p);
	doc_set_bool(rq->doc, "may_override", true);
	finding_inputs_document(rq, &p);
	rq->version = p.part->version;
	doc_set_int(rq->doc, "version", rq->version);
	rq->template_name = "inspection-finding-any";
	rq->title = arena_printf(&rq->arena, "Finding: %s %s", doc_text(p.part->row, "kind_label"),
				 p.part->tag);
	return err;
}
