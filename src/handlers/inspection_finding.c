#include "handlers/inspection_finding.h"

#include "handlers/app.h"
#include "handlers/inspection_opening.h"
#include "handlers/words.h"
#include "store/inspection.h"

static const struct field field[FINDING_FIELDS] = {
    [FINDING_POINT] = {.name = "check_point",
		       .label = "Check point",
		       .kind = FIELD_TAG,
		       .picked = true,
		       .required = true},
    [FINDING_DEFECT] =
	{.name = "defect", .label = "Defect", .kind = FIELD_TAG, .picked = true, .required = true},
    [FINDING_ZONE] = {.name = "zone",
		      .label = "Where on it",
		      .kind = FIELD_TAG,
		      .picked = true,
		      .required = true},
    [FINDING_FACE] = {.name = "face",
		      .label = "Front or back",
		      .help = "For the places marked so in the list above.",
		      .kind = FIELD_CHOICE,
		      .in_sight = true,
		      .choice = face_choice},
    [FINDING_SIDE] = {.name = "side",
		      .label = "Outside or inside",
		      .help = "For the places marked so in the list above.",
		      .kind = FIELD_CHOICE,
		      .in_sight = true,
		      .choice = side_choice},
    [FINDING_PLACE] =
	{.name = "place",
	 .label = "Exact place",
	 .help = "In words, so that the provider finds it: \"left sleeve seam, 10 cm above the "
		 "cuff\".",
	 .kind = FIELD_TEXT},
    [FINDING_LENGTH] = {.name = "length_mm",
			.label = "Length in millimetres",
			.help = "Of a tear or of broken stitching; 25 mm is about an inch.",
			.kind = FIELD_INTEGER,
			.min = 1,
			.max = 3000},
    [FINDING_SEVERITY] = {.name = "severity",
			  .label = "Severity",
			  .kind = FIELD_CHOICE,
			  .required = true,
			  .choice = severity_choice},
    [FINDING_OUTCOME] = {.name = "outcome",
			 .label = "Outcome",
			 .kind = FIELD_TAG,
			 .picked = true,
			 .required = true},
    [FINDING_OVERRIDE] = {.name = "override_reason",
			  .label = "Reason for a looser outcome",
			  .help = "Needed only when the outcome chosen is marked so.",
			  .kind = FIELD_TEXT},
    [FINDING_NOTE] = {.name = "note", .label = "Note", .kind = FIELD_NOTE},
    [FINDING_OPENING] = OPENING_FIELD,
};
const struct resource inspection_finding_resource = {"inspection_finding", "inspections", field,
						     FINDING_FIELDS};

static enum err load_stored(struct request *rq, struct finding_page *p) {
	struct doc *row = NULL;
	enum err err = inspection_finding_get(request_store(rq), rq->id[0], rq->id[1], &rq->arena,
					      &row, &rq->fault);
	if (err == ERR_OK && !row)
		err = request_fail(rq, ERR_NOT_FOUND, "There is no such finding.");
	p->stored = row;
	return err;
}

static const char *named(const struct request *rq, int index, const char *query,
			 const struct doc *stored) {
	const struct value *v = request_values(rq, &inspection_finding_resource);
	if (v && v[index].state == VALUE_VALID) return v[index].text;
	const char *text = request_query(rq, query);
	return text ? text : doc_text(stored, field[index].name);
}

static enum err find_point(struct request *rq, struct finding_page *p, bool is_new) {
	const char *code =
	    is_new ? named(rq, FINDING_POINT, "point", NULL) : doc_text(p->stored, "check_point");
	p->point = code ? checklist_point(p->part->record.checklist, code) : NULL;
	if (p->point && point_is_asked(p->point, &p->part->record.subject)) return ERR_OK;
	return request_values(rq, &inspection_finding_resource)
		   ? request_field_fault(rq, "check_point",
					 "This part has no such check point in this inspection.")
		   : request_fail(rq, ERR_NOT_FOUND, "There is no such check point here.");
}

enum err finding_page_load(struct request *rq, struct finding_page *p, bool is_new) {
	*p = (struct finding_page){0};
	enum err err = inspection_view_load(rq, rq->id[0], &p->view);
	if (err == ERR_OK && !is_new) err = load_stored(rq, p);
	if (err != ERR_OK) return err;
	int64_t component = is_new ? rq->id[1] : doc_int(p->stored, "component");
	err = inspection_view_form_part(rq, &p->view, component, &p->part);
	if (err != ERR_OK) return err;
	err = find_point(rq, p, is_new);
	if (err != ERR_OK) return err;
	const char *defect = named(rq, FINDING_DEFECT, "defect", p->stored);
	if (defect) p->defect = subject_defect_find(p->point->subject, defect);
	return ERR_OK;
}
