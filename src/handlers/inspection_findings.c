/*
 * Writing down a finding: first which defect, then where and what follows. Only
 * outcomes that the rules allow for the defect at that check point are offered.
 * Without a point the form has all of the part's: a tablet out of reach keeps it.
 */
#include "handlers/app.h"
#include "handlers/figure.h"
#include "handlers/inspection_opening.h"
#include "handlers/inspection_view.h"
#include "handlers/photos.h"
#include "handlers/routes.h"
#include "handlers/words.h"
#include "store/component.h"
#include "store/inspection.h"
#include "store/photo.h"

enum {
	POINT,
	DEFECT,
	ZONE,
	FACE,
	SIDE,
	PLACE,
	LENGTH,
	SEVERITY,
	OUTCOME,
	OVERRIDE,
	NOTE,
	OPENING,
	FIELDS
};
static const struct field field[FIELDS] = {
    [POINT] = {.name = "check_point", .label = "Check point", .kind = FIELD_TAG, .required = true},
    [DEFECT] = {.name = "defect", .label = "Defect", .kind = FIELD_TAG, .required = true},
    [ZONE] = {.name = "zone", .label = "Where on it", .kind = FIELD_TAG, .required = true},
    [FACE] = {.name = "face",
	      .label = "Front or back",
	      .help = "For the places marked so in the list above.",
	      .kind = FIELD_CHOICE,
	      .in_sight = true,
	      .choice = face_choice},
    [SIDE] = {.name = "side",
	      .label = "Outside or inside",
	      .help = "For the places marked so in the list above.",
	      .kind = FIELD_CHOICE,
	      .in_sight = true,
	      .choice = side_choice},
    [PLACE] = {.name = "place",
	       .label = "Exact place",
	       .help =
		   "In words, so that the provider finds it: \"left sleeve seam, 10 cm above the "
		   "cuff\".",
	       .kind = FIELD_TEXT},
    [LENGTH] = {.name = "length_mm",
		.label = "Length in millimetres",
		.help = "Of a tear or of broken stitching; 25 mm is about an inch.",
		.kind = FIELD_INTEGER,
		.min = 1,
		.max = 3000},
    [SEVERITY] = {.name = "severity",
		  .label = "Severity",
		  .kind = FIELD_CHOICE,
		  .required = true,
		  .choice = severity_choice},
    [OUTCOME] = {.name = "outcome", .label = "Outcome", .kind = FIELD_TAG, .required = true},
    [OVERRIDE] = {.name = "override_reason",
		  .label = "Reason for a looser outcome",
		  .help = "Needed only when the outcome chosen is marked so.",
		  .kind = FIELD_TEXT},
    [NOTE] = {.name = "note", .label = "Note", .kind = FIELD_NOTE},
    [OPENING] = OPENING_FIELD,
};
static const struct resource resource = {"inspection_finding", "inspections", field, FIELDS};

struct finding_page {
	struct inspection_view view;
	struct part_view *part;
	const struct check_point *point;
	const struct subject_defect *defect; /* NULL: not chosen yet, or of any point */
	const struct doc *stored;            /* the finding being changed, or NULL */
};

static enum err load_stored(struct request *rq, struct finding_page *p) {
	struct doc *row = NULL;
	enum err err = inspection_finding_get(request_store(rq), rq->id[0], rq->id[1], &rq->arena,
					      &row, &rq->fault);
	if (err == ERR_OK && !row)
		err = request_fail(rq, ERR_NOT_FOUND, "There is no such finding.");
	p->stored = row;
	return err;
}

/* What is spoken of: sent in the body, named in the address, or stored. */
static const char *named(const struct request *rq, int index, const char *query,
			 const struct doc *stored) {
	const struct value *v = request_values(rq, &resource);
	if (v && v[index].state == VALUE_VALID) return v[index].text;
	const char *text = request_query(rq, query);
	return text ? text : doc_text(stored, field[index].name);
}

/* is_new: the path names a part; else a finding. */
static enum err load_page(struct request *rq, struct finding_page *p, bool is_new) {
	*p = (struct finding_page){0};
	enum err err = inspection_view_load(rq, rq->id[0], &p->view);
	if (err == ERR_OK && !is_new) err = load_stored(rq, p);
	if (err != ERR_OK) return err;
	int64_t component = is_new ? rq->id[1] : doc_int(p->stored, "component");
	err = inspection_view_form_part(rq, &p->view, component, &p->part);
	if (err != ERR_OK) return err;
	/* A finding stays at the point where it was made. */
	const char *code =
	    is_new ? named(rq, POINT, "point", NULL) : doc_text(p->stored, "check_point");
	p->point = code ? checklist_point(p->part->record.checklist, code) : NULL;
	if (!p->point || !point_is_asked(p->point, &p->part->record.subject))
		return request_values(rq, &resource)
			   ? request_field_fault(rq, "check_point",
						 "This part has no such check point in this "
						 "inspection.")
			   : request_fail(rq, ERR_NOT_FOUND, "There is no such check point here.");
	const char *defect = named(rq, DEFECT, "defect", p->stored);
	if (defect) p->defect = subject_defect_find(p->point->subject, defect);
	return ERR_OK;
}

/* --- the page --------------------------------------------------------------------------- */

static const char *chosen_text(const struct request *rq, const struct finding_page *p, int index) {
	const struct value *v = request_values(rq, &resource);
	if (v && v[index].raw) return v[index].raw;
	return doc_text(p->stored, field[index].name);
}

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

static void zones_document(struct request *rq, const struct finding_page *p) {
	const struct handbook *hb = app_handbook(request_app(rq));
	struct doc *list = doc_set_list(rq->doc, "zones");
	const char *chosen = chosen_text(rq, p, ZONE);
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

/* The list of places, and the drawing in which one is tapped, with what was found on the part
 * before. */
static enum err where_document(struct request *rq, const struct finding_page *p) {
	zones_document(rq, p);
	doc_set_text(rq->doc, "zone_error", fault_list_find(&rq->faults, "zone"));
	struct doc *findings = doc_list(&rq->arena);
	const struct figure_place asked = {.zone = chosen_text(rq, p, ZONE),
					   .face = chosen_text(rq, p, FACE),
					   .side = chosen_text(rq, p, SIDE)};
	enum err err = component_findings(request_store(rq), p->part->component, p->view.id,
					  &rq->arena, findings, &rq->fault);
	if (err == ERR_OK)
		figure_document(rq, rq->doc, p->part->record.subject.kind, findings, &asked);
	return err;
}

static void outcomes_document(struct request *rq, const struct finding_page *p) {
	struct allowed_outcome allowed[ALLOWED_OUTCOMES_MAX];
	size_t count = allowed_outcomes(p->defect, allowed);
	struct doc *list = doc_set_list(rq->doc, "outcomes");
	const char *chosen = chosen_text(rq, p, OUTCOME);
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

/* The usual one is said, not chosen: how bad it is, only who looks can tell. */
static void severities_document(struct request *rq, const struct finding_page *p) {
	struct doc *list = doc_set_list(rq->doc, "severities");
	const char *chosen = chosen_text(rq, p, SEVERITY);
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

/* The inputs that need no rules: place, length, face, side, reason, note. */
static void inputs_document(struct request *rq, const struct finding_page *p) {
	struct doc *form = fields_form(&resource, &rq->arena, p->stored,
				       request_values(rq, &resource), &rq->faults, rq->stale_form);
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
	doc_set(rq->doc, "form", form);
}

/* The answer at a point and the findings there: what a tablet compares with what it saw. */
static const char *seen_at(struct request *rq, const struct finding_page *p,
			   const struct check_point *point) {
	const char *seen =
	    arena_printf(&rq->arena, "%s|", answer_word[p->part->answer[point->index]]);
	const struct doc *row = NULL;
	while ((row = inspection_view_finding(p->view.findings, p->part->component, point->code,
					      row)) != NULL)
		seen = arena_printf(&rq->arena, "%s%lld,", seen, (long long)doc_int(row, "id"));
	return seen;
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
	photo_form(rq, open ? action : NULL);
	return ERR_OK;
}

static enum err finding_page(struct request *rq, bool is_new) {
	struct finding_page p;
	enum err err = load_page(rq, &p, is_new);
	if (err != ERR_OK) return err;
	p.view.here = p.part;
	inspection_view_document(rq, &p.view);
	struct doc *d = rq->doc;
	inspection_where_document(rq, &p.view, inspection_view_group(p.part, p.point));
	inspection_part_document(&p.view, p.part, doc_set_map(d, "part"));
	struct doc *point = doc_set_map(d, "point");
	doc_set_text(point, "code", p.point->code);
	doc_set_text(point, "title", p.point->title);
	doc_set_text(point, "look_for", p.point->look_for);
	doc_set_text(point, "group", inspection_view_group(p.part, p.point)->code);
	doc_set_bool(point, "is_seam", p.point->is_seam);
	doc_set_text(point, "seen", seen_at(rq, &p, p.point));
	defects_document(rq, &p);
	doc_set_bool(d, "has_defect", p.defect != NULL);
	if (p.stored) doc_set(d, "finding", (struct doc *)(uintptr_t)p.stored);
	else doc_set_null(d, "finding");
	doc_set_text(d, "outcome_error", fault_list_find(&rq->faults, "outcome"));
	doc_set_text(d, "severity_error", fault_list_find(&rq->faults, "severity"));
	if (is_new)
		doc_set_printf(d, "action", "/inspections/%lld/parts/%lld/findings",
			       (long long)p.view.id, (long long)p.part->component);
	else
		doc_set_printf(d, "action", "/inspections/%lld/findings/%lld", (long long)p.view.id,
			       (long long)rq->id[1]);
	if (p.defect) {
		struct doc *defect = doc_set_map(d, "defect");
		doc_set_text(defect, "code", p.defect->defect_code);
		doc_set_text(defect, "label", p.defect->defect->label);
		doc_set_text(defect, "source", p.defect->source);
		err = where_document(rq, &p);
		outcomes_document(rq, &p);
		severities_document(rq, &p);
		inputs_document(rq, &p);
	}
	const struct value *typed = request_values(rq, &resource);
	inspection_opening_document(rq, p.part, p.point->code,
				    typed ? value_text(&typed[OPENING]) : NULL);
	rq->version = p.stored ? doc_int(p.stored, "version") : p.part->version;
	doc_set_int(d, "version", rq->version);
	rq->title = arena_printf(&rq->arena, "Finding: %s", p.point->title);
	return err == ERR_OK ? add_photos(rq, &p) : err;
}

/* --- the form for any finding on a part --------------------------------------------------------
 */

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

static enum err finding_any(struct request *rq) {
	struct finding_page p = {0};
	enum err err = inspection_view_load(rq, rq->id[0], &p.view);
	if (err == ERR_OK) err = inspection_view_form_part(rq, &p.view, rq->id[1], &p.part);
	if (err != ERR_OK) return err;
	inspection_view_document(rq, &p.view);
	struct doc *d = rq->doc;
	inspection_part_document(&p.view, p.part, doc_set_map(d, "part"));
	struct doc *points = doc_set_list(d, "points"), *defects = doc_set_list(d, "defects"),
		   *outcomes = doc_set_list(d, "outcomes");
	const struct checklist *list = p.part->record.checklist;
	for (size_t i = 0; i < list->point_count; i++) {
		const struct check_point *point = &list->point[i];
		if (!point_is_asked(point, &p.part->record.subject)) continue;
		struct doc *m = doc_add_map(points);
		doc_set_text(m, "code", point->code);
		doc_set_text(m, "title", point->title);
		doc_set_text(m, "group", inspection_view_group(p.part, point)->code);
		doc_set_text(m, "seen", seen_at(rq, &p, point));
		possible_defects(rq, point, defects, outcomes, doc_set_list(m, "possible"));
	}
	err = where_document(rq, &p);
	severities_document(rq, &p);
	doc_set_bool(d, "may_override", true);
	inputs_document(rq, &p);
	rq->version = p.part->version;
	doc_set_int(d, "version", rq->version);
	rq->template_name = "inspection-finding-any";
	rq->title = arena_printf(&rq->arena, "Finding: %s %s", doc_text(p.part->row, "kind_label"),
				 p.part->tag);
	return err;
}

enum err inspection_finding_new_page(struct request *rq) {
	bool is_named = request_query(rq, "point") || request_values(rq, &resource);
	return is_named ? finding_page(rq, true) : finding_any(rq);
}
enum err inspection_finding_page(struct request *rq) { return finding_page(rq, false); }

/* --- storing ---------------------------------------------------------------------------------- */

static struct finding finding_of(const struct request *rq, int64_t id) {
	const struct value *v = rq->value;
	return (struct finding){
	    .id = id,
	    .check_point = value_text(&v[POINT]),
	    .defect = value_text(&v[DEFECT]),
	    .zone = value_text(&v[ZONE]),
	    .face = value_text(&v[FACE]),
	    .side = value_text(&v[SIDE]),
	    .place = value_text(&v[PLACE]),
	    .severity = value_text(&v[SEVERITY]),
	    .outcome = value_text(&v[OUTCOME]),
	    .override_reason = value_text(&v[OVERRIDE]),
	    .length_mm = (int)value_int(&v[LENGTH], 0),
	};
}

/* The point is a finding now, whatever was answered before. */
static enum err mark_point(struct request *rq, const struct finding_page *p) {
	if (p->part->answer[p->point->index] == ANSWER_FINDING) return ERR_OK;
	struct doc *answers = doc_map(&rq->arena);
	const struct checklist *list = p->part->record.checklist;
	p->part->answer[p->point->index] = ANSWER_FINDING;
	for (size_t i = 0; i < list->point_count; i++)
		if (p->part->answer[i] != ANSWER_NONE)
			doc_set_text(answers, list->point[i].code, answer_word[p->part->answer[i]]);
	struct buf b;
	buf_init(&b, 64 * 1024);
	doc_write_json(answers, &b);
	enum err err = buf_failed(&b) ? ERR_MEMORY
				      : inspection_part_answer(request_store(rq), p->part->id,
							       buf_text(&b), &rq->fault);
	buf_release(&b);
	return err;
}

static enum err finding_store(struct request *rq, bool is_new) {
	struct finding_page p;
	enum err err = load_page(rq, &p, is_new);
	if (err == ERR_OK) err = inspection_view_check_draft(rq, &p.view);
	if (err == ERR_OK && p.part->record.clean == AGREES_NO)
		err =
		    request_fail(rq, ERR_CONFLICT,
				 "%s is not clean. Clean it first, then inspect it.", p.part->tag);
	if (err == ERR_OK)
		err = request_check_version(rq, is_new ? p.part->version
						       : doc_int(p.stored, "version"));
	if (err != ERR_OK) return err;
	struct finding fd = finding_of(rq, is_new ? 0 : rq->id[1]);
	if (!text_equal(fd.check_point, p.point->code))
		return request_field_fault(
		    rq, "check_point",
		    "This finding was made at \"%s\". Take it back and write "
		    "down a new one where it belongs.",
		    p.point->title);
	if (!finding_check(&fd, app_handbook(request_app(rq)), p.part->record.checklist,
			   &rq->faults, &rq->arena))
		return ERR_INVALID;
	struct finding_row row = {
	    .id = fd.id,
	    .component = p.part->component,
	    .inspection = p.view.id,
	    .check_point = fd.check_point,
	    .defect = fd.defect,
	    .zone = fd.zone,
	    .face = fd.face,
	    .side = fd.side,
	    .place = fd.place,
	    .severity = fd.severity,
	    .outcome = fd.outcome,
	    .override_reason = fd.override_reason,
	    .length_mm = fd.length_mm,
	    .note = value_text(&rq->value[NOTE]),
	};
	int64_t id;
	err = finding_save(request_store(rq), &row, &id, &rq->fault);
	if (err == ERR_OK) err = mark_point(rq, &p);
	if (err == ERR_OK)
		err = inspection_opening_count(rq, &p.view, p.part, p.point->code,
					       value_text(&rq->value[OPENING]));
	if (err == ERR_OK && is_new) err = photos_to_finding(request_store(rq), id, &rq->fault);
	if (err == ERR_OK && is_new)
		err = inspection_part_touch(request_store(rq), p.part->id, &rq->fault);
	if (err == ERR_OK) err = inspection_view_load(rq, p.view.id, &p.view);
	if (err != ERR_OK) return err;
	request_action(rq, is_new ? "write down finding" : "change finding");
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
	enum err err = load_page(rq, &p, false);
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
     .template_name = "inspection-finding", .resource = &resource, .query = new_query,
     .summary = "Write down a finding"},
    {METHOD_GET, "/inspections/:id/findings/:id", ROLE_MEMBER, RUN_READ,
     .handle = inspection_finding_page, .template_name = "inspection-finding", .query = new_query,
     .summary = "Form to change a finding of a draft"},
    {METHOD_POST, "/inspections/:id/findings/:id", ROLE_MEMBER, RUN_CHANGE,
     .handle = finding_change, .form = inspection_finding_page,
     .template_name = "inspection-finding", .resource = &resource, .query = new_query,
     .summary = "Change a finding of a draft"},
    {METHOD_POST, "/inspections/:id/findings/:id/withdraw", ROLE_MEMBER, RUN_CHANGE,
     .handle = finding_withdraw, .form = inspection_finding_page,
     .template_name = "inspection-finding", .summary = "Take back a finding of a draft"},
};
const struct route_table inspection_finding_routes = {route, sizeof route / sizeof *route};
