/*
 * The page of one finding: first which defect, then where and what follows. Only outcomes that the
 * rules allow for the defect at that check point are offered.
 */
#include "handlers/app.h"
#include "handlers/inspection_finding.h"
#include "handlers/inspection_opening.h"
#include "handlers/photos.h"
#include "store/photo.h"

static void defects_document(struct request *rq, const struct finding_page *p) {
	struct doc *list = doc_set_list(rq->doc, "defects");
	for (size_t i = 0; i < p->point->subject->defect_count; i++) {
		const struct subject_defect *d = &p->point->subject->defect[i];
		struct doc *m = doc_add_map(list);
		doc_set_text(m, "code", d->defect_code);
		doc_set_text(m, "label", d->defect->label);
		doc_set_text(m, "outcome_label", d->outcome->label);
		doc_set_bool(m, "is_selected", d == p->defect);
	}
}

/* Those of the finding, or of the point where it is about to be written down. */
static enum err add_photos(struct request *rq, const struct finding_page *p) {
	struct doc *rows = doc_list(&rq->arena);
	if (!rows) return ERR_MEMORY;
	struct photo_of of = {.finding = doc_int(p->stored, "id"),
			      .component = p->part->component,
			      .check_point = p->point->code};
	enum err err =
	    photos_of_inspection(request_store(rq), p->view.id, &rq->arena, rows, &rq->fault);
	if (err != ERR_OK) return err;
	photos_show(rq->doc, rows, &of);
	const char *action = arena_printf(&rq->arena, "%s/photos", doc_text(rq->doc, "action"));
	if (!p->stored && p->defect)
		action = arena_printf(&rq->arena, "%s?point=%s&defect=%s", action, p->point->code,
				      p->defect->defect_code);
	bool open = p->view.is_draft && inspection_is_open_to(rq->who.role, p->view.kind);
	photo_form(rq, open ? action : NULL, false);
	return ERR_OK;
}

static void point_document(struct request *rq, const struct finding_page *p, struct doc *map) {
	doc_set_text(map, "code", p->point->code);
	doc_set_text(map, "title", p->point->title);
	doc_set_text(map, "look_for", p->point->look_for);
	doc_set_text(map, "group", inspection_view_group(p->part, p->point)->code);
	doc_set_bool(map, "is_seam", p->point->is_seam);
	doc_set_text(map, "seen", finding_seen_at(rq, p, p->point));
}

/* Of what, and where the form is sent to. */
static void subject_document(struct request *rq, const struct finding_page *p) {
	struct doc *d = rq->doc;
	inspection_part_document(&p->view, p->part, doc_set_map(d, "part"));
	point_document(rq, p, doc_set_map(d, "point"));
	defects_document(rq, p);
	doc_set_bool(d, "has_defect", p->defect != NULL);
	if (p->stored) doc_set(d, "finding", (struct doc *)(uintptr_t)p->stored);
	else doc_set_null(d, "finding");
	doc_set_text(d, "outcome_error", fault_list_find(&rq->faults, "outcome"));
	doc_set_text(d, "severity_error", fault_list_find(&rq->faults, "severity"));
	if (p->stored)
		doc_set_printf(d, "action", "/inspections/%lld/findings/%lld",
			       (long long)p->view.id, (long long)rq->id[1]);
	else
		doc_set_printf(d, "action", "/inspections/%lld/parts/%lld/findings",
			       (long long)p->view.id, (long long)p->part->component);
}

/* What follows from the defect, once it is chosen. */
static enum err defect_document(struct request *rq, const struct finding_page *p) {
	if (!p->defect) return ERR_OK;
	struct doc *defect = doc_set_map(rq->doc, "defect");
	doc_set_text(defect, "code", p->defect->defect_code);
	doc_set_text(defect, "label", p->defect->defect->label);
	doc_set_text(defect, "source", p->defect->source);
	enum err err = finding_where_document(rq, p);
	finding_outcomes_document(rq, p);
	finding_severities_document(rq, p);
	finding_inputs_document(rq, p);
	return err;
}

static enum err finding_page(struct request *rq, bool is_new) {
	struct finding_page p;
	enum err err = finding_page_load(rq, &p, is_new);
	if (err != ERR_OK) return err;
	p.view.here = p.part;
	inspection_view_document(rq, &p.view);
	inspection_where_document(rq, &p.view, inspection_view_group(p.part, p.point));
	subject_document(rq, &p);
	err = defect_document(rq, &p);
	const struct value *typed = request_values(rq, &inspection_finding_resource);
	inspection_opening_document(rq, p.part, p.point->code,
				    typed ? value_text(&typed[FINDING_OPENING]) : NULL);
	rq->version = p.stored ? doc_int(p.stored, "version") : p.part->version;
	doc_set_int(rq->doc, "version", rq->version);
	rq->title = arena_printf(&rq->arena, "Finding: %s", p.point->title);
	return err == ERR_OK ? add_photos(rq, &p) : err;
}

enum err inspection_finding_new_page(struct request *rq) {
	bool is_named =
	    request_query(rq, "point") || request_values(rq, &inspection_finding_resource);
	return is_named ? finding_page(rq, true) : finding_any_page(rq);
}
enum err inspection_finding_page(struct request *rq) { return finding_page(rq, false); }
