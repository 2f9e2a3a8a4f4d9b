/*
 * Storing what was found in an inspection, and taking it back while that is a draft. Pages: see
 * handlers/inspection_finding.h.
 */
#include "handlers/app.h"
#include "handlers/inspection_finding.h"
#include "handlers/inspection_opening.h"
#include "handlers/photos.h"
#include "handlers/routes.h"
#include "store/inspection.h"
#include "store/photo.h"

static struct finding finding_of(const struct request *rq, int64_t id) {
	const struct value *v = rq->value;
	return (struct finding){
	    .id = id,
	    .check_point = value_text(&v[FINDING_POINT]),
	    .defect = value_text(&v[FINDING_DEFECT]),
	    .zone = value_text(&v[FINDING_ZONE]),
	    .face = value_text(&v[FINDING_FACE]),
	    .side = value_text(&v[FINDING_SIDE]),
	    .place = value_text(&v[FINDING_PLACE]),
	    .severity = value_text(&v[FINDING_SEVERITY]),
	    .outcome = value_text(&v[FINDING_OUTCOME]),
	    .override_reason = value_text(&v[FINDING_OVERRIDE]),
	    .length_mm = (int)value_int(&v[FINDING_LENGTH], 0),
	};
}

/* The point is a finding now, whatever was answered before. */
static enum err mark_point(struct request *rq, const struct finding_page *p) {
	if (p->part->answer[p->point->index] == ANSWER_FINDING) return ERR_OK;
	p->part->answer[p->point->index] = ANSWER_FINDING;
	return inspection_view_store_answers(rq, p->part);
}

/* May it be written down or changed as it was sent? */
static enum err check_sent(struct request *rq, const struct finding_page *p,
			   const struct finding *sent) {
	int64_t version = p->stored ? doc_int(p->stored, "version") : p->part->version;
	enum err err = inspection_view_check_draft(rq, &p->view);
	if (err == ERR_OK && p->part->record.clean == AGREES_NO)
		err =
		    request_fail(rq, ERR_CONFLICT,
				 "%s is not clean. Clean it first, then inspect it.", p->part->tag);
	if (err == ERR_OK) err = request_check_version(rq, version);
	if (err != ERR_OK) return err;
	if (!text_equal(sent->check_point, p->point->code))
		return request_field_fault(
		    rq, "check_point",
		    "This finding was made at \"%s\". Take it back and write "
		    "down a new one where it belongs.",
		    p->point->title);
	return finding_check(sent, app_handbook(request_app(rq)), p->part->record.checklist,
			     &rq->faults, &rq->arena)
		   ? ERR_OK
		   : ERR_INVALID;
}

static enum err save(struct request *rq, const struct finding_page *p, const struct finding *sent,
		     int64_t *id) {
	struct finding_row row = {
	    .id = sent->id,
	    .component = p->part->component,
	    .inspection = p->view.id,
	    .check_point = sent->check_point,
	    .defect = sent->defect,
	    .zone = sent->zone,
	    .face = sent->face,
	    .side = sent->side,
	    .place = sent->place,
	    .severity = sent->severity,
	    .outcome = sent->outcome,
	    .override_reason = sent->override_reason,
	    .length_mm = sent->length_mm,
	    .note = value_text(&rq->value[FINDING_NOTE]),
	};
	return finding_save(request_store(rq), &row, id, &rq->fault);
}

static enum err finding_store(struct request *rq, bool is_new) {
	struct finding_page p;
	int64_t id;
	enum err err = finding_page_load(rq, &p, is_new);
	if (err != ERR_OK) return err;
	const struct finding sent = finding_of(rq, is_new ? 0 : rq->id[1]);
	const struct check_group *group = inspection_view_group(p.part, p.point);
	int64_t component = p.part->component;
	err = check_sent(rq, &p, &sent);
	if (err == ERR_OK) err = save(rq, &p, &sent, &id);
	if (err == ERR_OK) err = mark_point(rq, &p);
	if (err == ERR_OK)
		err = inspection_opening_count(rq, &p.view, p.part, p.point->code,
					       value_text(&rq->value[FINDING_OPENING]));
	if (err == ERR_OK && is_new) err = photos_to_finding(request_store(rq), id, &rq->fault);
	if (err == ERR_OK && is_new)
		err = inspection_part_touch(request_store(rq), p.part->id, &rq->fault);
	if (err == ERR_OK) err = inspection_view_load(rq, p.view.id, &p.view);
	if (err != ERR_OK) return err;
	request_action(rq, is_new ? "write down finding" : "change finding");
	inspection_view_stand(&p.view, component, group->first);
	inspection_view_document(rq, &p.view);
	doc_set_int(rq->doc, "finding", id);
	request_go(rq, is_new, "%s", inspection_view_next(rq, &p.view));
	return ERR_OK;
}

static enum err finding_post(struct request *rq) { return finding_store(rq, true); }
static enum err finding_change(struct request *rq) { return finding_store(rq, false); }

/* Taken back in the draft, and its photos with it: the point is open again. */
static enum err finding_withdraw(struct request *rq) {
	struct finding_page p;
	char now[INSTANT_TEXT_SIZE];
	enum err err = finding_page_load(rq, &p, false);
	if (err == ERR_OK) err = inspection_view_check_draft(rq, &p.view);
	if (err == ERR_OK) err = request_check_version(rq, doc_int(p.stored, "version"));
	if (err == ERR_OK)
		err = finding_set_state(request_store(rq), rq->id[1], "withdrawn", &rq->fault);
	if (err == ERR_OK)
		err = photos_withdraw_of_finding(request_store(rq), rq->id[1], rq->who.member,
						 instant_format(rq->now_s, now), &rq->fault);
	if (err != ERR_OK) return err;
	request_action(rq, "take back finding");
	request_go(rq, false, "/inspections/%lld/parts/%lld?group=%s", (long long)p.view.id,
		   (long long)p.part->component, inspection_view_group(p.part, p.point)->code);
	return ERR_OK;
}

static const char *const new_query[] = {"point", "defect", NULL};

static const struct route route[] = {
    {METHOD_GET, "/inspections/:id/parts/:id/findings", ROLE_MEMBER, RUN_READ,
     .handle = inspection_finding_new_page, .template_name = "inspection-finding",
     .query = new_query, .summary = "Form for a finding at a check point, or at any of the part"},
    {METHOD_POST, "/inspections/:id/parts/:id/findings", ROLE_MEMBER, RUN_CHANGE,
     .handle = finding_post, .form = inspection_finding_new_page,
     .template_name = "inspection-finding", .resource = &inspection_finding_resource,
     .query = new_query, .summary = "Write down a finding"},
    {METHOD_GET, "/inspections/:id/findings/:id", ROLE_MEMBER, RUN_READ,
     .handle = inspection_finding_page, .template_name = "inspection-finding", .query = new_query,
     .summary = "Form to change a finding of a draft"},
    {METHOD_POST, "/inspections/:id/findings/:id", ROLE_MEMBER, RUN_CHANGE,
     .handle = finding_change, .form = inspection_finding_page,
     .template_name = "inspection-finding", .resource = &inspection_finding_resource,
     .query = new_query, .summary = "Change a finding of a draft"},
    {METHOD_POST, "/inspections/:id/findings/:id/withdraw", ROLE_MEMBER, RUN_CHANGE,
     .handle = finding_withdraw, .form = inspection_finding_page,
     .template_name = "inspection-finding", .summary = "Take back a finding of a draft"},
};
const struct route_table inspection_finding_routes = {route, sizeof route / sizeof *route};
