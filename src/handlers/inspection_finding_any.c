/*
 * The form for any finding on a part: all of its check points, defects and outcomes at once. A
 * tablet out of reach keeps it.
 */
#include "base/text.h"
#include "handlers/inspection_finding.h"
#include "handlers/photos.h"

/* The place in the list of what has this code, from 1; new, it goes to the end of the list. */
static size_t number_of(struct doc *list, const char *code, const char *label) {
	size_t number = 1;
	for (const struct doc *m = list->first; m; m = m->next, number++)
		if (text_equal(doc_text(m, "code"), code)) return number;
	struct doc *m = doc_add_map(list);
	doc_set_text(m, "code", code);
	doc_set_text(m, "label", label);
	return number;
}

/* A defect and what may follow from it at a point: its number in the list of all defects, then
 * theirs in that of all outcomes. Words for each of a hundred would be a third of the page. */
static const char *numbers_of(struct request *rq, const struct subject_defect *d,
			      struct doc *defects, struct doc *outcomes) {
	struct allowed_outcome allowed[ALLOWED_OUTCOMES_MAX];
	size_t count = allowed_outcomes(d, allowed);
	const char *numbers =
	    arena_printf(&rq->arena, "%zu", number_of(defects, d->defect_code, d->defect->label));
	for (size_t i = 0; i < count; i++)
		numbers = arena_printf(
		    &rq->arena, "%s %zu", numbers,
		    number_of(outcomes, allowed[i].outcome->code, allowed[i].outcome->label));
	return numbers;
}

static void possible_defects(struct request *rq, const struct check_point *point,
			     struct doc *defects, struct doc *outcomes, struct doc *list) {
	for (size_t i = 0; i < point->subject->defect_count; i++) {
		const struct subject_defect *d = &point->subject->defect[i];
		struct doc *m = doc_add_map(list);
		doc_set_text(m, "code", d->defect_code);
		doc_set_text(m, "label", d->defect->label);
		doc_set_text(m, "outcome_label", d->outcome->label);
		doc_set_text(m, "numbers", numbers_of(rq, d, defects, outcomes));
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
		const char *seen = finding_seen_at(rq, p, point);
		doc_set_text(m, "seen", text_equal(seen, FINDING_SEEN_NOTHING) ? NULL : seen);
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
	photos_show(rq->doc, doc_list(&rq->arena), NULL);
	photo_form(rq,
		   arena_printf(&rq->arena, "/inspections/%lld/parts/%lld/findings/photos",
				(long long)p.view.id, (long long)p.part->component),
		   true);
	rq->version = p.part->version;
	doc_set_int(rq->doc, "version", rq->version);
	rq->template_name = "inspection-finding-any";
	rq->title = arena_printf(&rq->arena, "Finding: %s %s", doc_text(p.part->row, "kind_label"),
				 p.part->tag);
	return err;
}
