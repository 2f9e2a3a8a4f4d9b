#include "handlers/inspection_view.h"

#include <string.h>

#include "handlers/app.h"
#include "handlers/inspection_opening.h"
#include "handlers/performer.h"
#include "handlers/photos.h"
#include "store/facts.h"
#include "store/handbook.h"
#include "store/inspection.h"
#include "store/photo.h"

/* Whether the training of whoever is an inspector here is still valid is asked at signing. */
bool inspection_is_open_to(enum role role, enum inspection_kind kind) {
	enum performer_class class =
	    role >= ROLE_INSPECTOR ? PERFORMER_TRAINED_ORGANIZATION : PERFORMER_MEMBER;
	return qualification_of(class, work_of_inspection(kind))->allowed;
}

enum err inspection_check_role(struct request *rq, enum inspection_kind kind) {
	if (inspection_is_open_to(rq->who.role, kind)) return ERR_OK;
	return request_fail(rq, ERR_DENIED,
			    "%s is done by trained inspectors. As a member you can do a routine "
			    "inspection.",
			    inspection_kind_label[kind]);
}

static enum agreement agreement_of(const struct doc *row, const char *key) {
	int word = word_find(agreement_word, AGREEMENT_COUNT, doc_text(row, key));
	return word < 0 ? AGREES_UNANSWERED : (enum agreement)word;
}

/* --- from rows to the rules' structs ---------------------------------------- */

static void fill_answers(struct part_view *p, const struct checklist *list, struct arena *a) {
	p->answer = arena_array(a, enum answer, list->point_count);
	if (!p->answer) return;
	p->record.answer = p->answer;
	const struct doc *answers = doc_get(p->row, "answers");
	for (size_t i = 0; i < list->point_count; i++) {
		const struct check_point *point = &list->point[i];
		int word = word_find(answer_word, ANSWER_COUNT, doc_text(answers, point->code));
		p->answer[i] = word < 0 ? ANSWER_NONE : (enum answer)word;
		if (!point_is_asked(point, &p->record.subject)) continue;
		p->asked_count++;
		p->answered_count += p->answer[i] != ANSWER_NONE;
	}
}

static void fill_finding(struct finding *fd, const struct doc *row) {
	*fd = (struct finding){
	    .id = doc_int(row, "id"),
	    .check_point = doc_text(row, "check_point"),
	    .defect = doc_text(row, "defect"),
	    .zone = doc_text(row, "zone"),
	    .face = doc_text(row, "face"),
	    .side = doc_text(row, "side"),
	    .place = doc_text(row, "place"),
	    .severity = doc_text(row, "severity"),
	    .outcome = doc_text(row, "outcome"),
	    .override_reason = doc_text(row, "override_reason"),
	    .length_mm = (int)doc_int(row, "length_mm"),
	};
}

static size_t count_of_component(const struct doc *list, int64_t component) {
	size_t count = 0;
	for (const struct doc *row = list->first; row; row = row->next)
		count += doc_int(row, "component") == component;
	return count;
}

static void fill_findings(struct part_view *p, const struct doc *findings, struct arena *a) {
	size_t count = count_of_component(findings, p->component);
	struct finding *finding = arena_array(a, struct finding, count ? count : 1);
	if (!finding) return;
	p->record.finding = finding;
	for (const struct doc *row = findings->first; row; row = row->next)
		if (doc_int(row, "component") == p->component)
			fill_finding(&finding[p->record.finding_count++], row);
}

/* What is still open from before: standing and mending look at it as at facts. */
static void fill_open(struct part_view *p, const struct doc *earlier, const struct handbook *hb,
		      struct arena *a) {
	size_t count = count_of_component(earlier, p->component);
	struct open_finding *open = arena_array(a, struct open_finding, count ? count : 1);
	if (!open) return;
	p->record.subject.open = open;
	for (const struct doc *row = earlier->first; row; row = row->next) {
		if (doc_int(row, "component") != p->component) continue;
		open[p->record.subject.open_count++] = (struct open_finding){
		    .id = doc_int(row, "id"),
		    .check_point = doc_text(row, "check_point"),
		    .defect = doc_text(row, "defect"),
		    .zone = doc_text(row, "zone"),
		    .place = doc_text(row, "place"),
		    .outcome = handbook_outcome(hb, doc_text(row, "outcome")),
		    .found_on = day_parse(doc_text(row, "found_on")),
		    .came_back_on = day_parse(doc_text(row, "came_back_on")),
		};
	}
}

/* Where the component stands now: what this inspection does not lift stays in the way. */
static enum err fill_before(struct request *rq, struct part_view *p) {
	struct store *st = request_store(rq);
	struct arena *a = &rq->arena;
	const struct handbook *hb = app_handbook(request_app(rq));
	struct program *program;
	struct component_facts facts;
	struct duty_list *duties = arena_new(a, struct duty_list);
	struct standing *before = arena_new(a, struct standing);
	if (!duties || !before) return ERR_MEMORY;
	enum err err = program_load(st, hb, a, &program, &rq->fault);
	if (err == ERR_OK) err = facts_of_component(st, hb, p->component, a, &facts, &rq->fault);
	if (err != ERR_OK) return err;
	duty_list_make(duties, &facts, program, a);
	standing_make(before, &facts, duties, hb, a);
	p->record.before = before;
	return ERR_OK;
}

static enum err fill_part(struct request *rq, struct inspection_view *v, struct part_view *p,
			  const struct doc *row) {
	const struct handbook *hb = v->handbook;
	enum err err;
	p->row = row;
	p->id = doc_int(row, "id");
	p->component = doc_int(row, "component");
	p->version = doc_int(row, "version");
	p->tag = doc_text(row, "tag");
	p->record.checklist = handbook_checklist(hb, doc_int(row, "checklist"));
	p->record.subject.kind = handbook_kind(hb, doc_text(row, "kind"));
	p->record.subject.trim = doc_bool(row, "has_trim");
	p->record.subject.reflective = doc_bool(row, "is_reflective");
	p->record.subject.inspection = v->kind;
	if (!p->record.subject.kind)
		return request_fail(rq, ERR_CORRUPT, "Component %s has an unknown kind.", p->tag);
	p->record.on = day_parse(doc_text(v->row, "inspected_on"));
	p->record.started_at = doc_text(v->row, "started_at");
	p->record.has_left = doc_text(row, "left_on") != NULL;
	p->record.clean = agreement_of(row, "clean");
	p->record.model_agrees = agreement_of(row, "model_agrees");
	p->record.size_agrees = agreement_of(row, "size_agrees");
	fill_findings(p, v->findings, &rq->arena);
	fill_open(p, v->earlier, hb, &rq->arena);
	/* Brought in from elsewhere without answers: there is no list to show. */
	if (!p->record.checklist) return ERR_OK;
	p->group =
	    check_groups(p->record.checklist, &p->record.subject, &rq->arena, &p->group_count);
	fill_answers(p, p->record.checklist, &rq->arena);
	err = v->is_draft ? fill_before(rq, p) : ERR_OK;
	if (err != ERR_OK) return err;
	verdict_make(&p->verdict, &p->record, hb, &rq->arena);
	return ERR_OK;
}

static bool part_is_prepared(const struct part_view *p, const struct handbook *hb) {
	if (part_asks_clean(&p->record.subject) && p->record.clean == AGREES_UNANSWERED)
		return false;
	if (p->record.clean == AGREES_NO || !part_asks_labels(hb, &p->record.subject)) return true;
	return p->record.model_agrees != AGREES_UNANSWERED &&
	       p->record.size_agrees != AGREES_UNANSWERED;
}

static enum err fill_parts(struct request *rq, struct inspection_view *v, const struct doc *parts) {
	v->part_count = doc_count(parts);
	v->part = arena_array(&rq->arena, struct part_view, v->part_count ? v->part_count : 1);
	if (!v->part) return ERR_MEMORY;
	v->is_prepared = v->is_finished = true;
	struct part_view *p = v->part;
	for (const struct doc *row = parts->first; row; row = row->next, p++) {
		enum err err = fill_part(rq, v, p, row);
		if (err != ERR_OK) return err;
		p->number = (size_t)(p - v->part) + 1;
		v->is_prepared &= part_is_prepared(p, v->handbook);
		v->is_finished &= p->verdict.unanswered_count == 0;
	}
	return ERR_OK;
}

/* --- what damage on one part does to another -------------------------------- */

/* Looked at in this same inspection or not, what lies beneath is due. */
static void keep_out(struct request *rq, struct inspection_view *v, const struct part_view *above,
		     const struct follow_up *u, const struct doc *beneath) {
	for (const struct doc *row = beneath->first; row; row = row->next)
		for (size_t i = 0; i < v->part_count; i++) {
			struct part_view *p = &v->part[i];
			if (p->component != doc_int(row, "component")) continue;
			verdict_lies_beneath(&p->verdict, u, above->tag, &rq->arena);
			p->due_count++;
		}
}

static enum err look_beneath(struct request *rq, struct inspection_view *v, struct part_view *p) {
	size_t count = p->verdict.follow_up_count;
	if (!count) return ERR_OK;
	p->beneath = arena_array(&rq->arena, struct doc *, count);
	for (size_t i = 0; i < count; i++) {
		const struct follow_up *u = &p->verdict.follow_up[i];
		struct doc *list = doc_list(&rq->arena);
		if (!p->beneath || !list) return ERR_MEMORY;
		enum err err = inspection_parts_beneath(
		    request_store(rq), p->component, u->kind->code, &rq->arena, list, &rq->fault);
		if (err != ERR_OK) return err;
		p->beneath[i] = list;
		keep_out(rq, v, p, u, list);
	}
	return ERR_OK;
}

enum err inspection_view_load(struct request *rq, int64_t id, struct inspection_view *v) {
	struct store *st = request_store(rq);
	*v = (struct inspection_view){.id = id, .handbook = app_handbook(request_app(rq))};
	enum err err = inspection_get(st, id, &rq->arena, &v->row, &rq->fault);
	if (err != ERR_OK) return err;
	if (!v->row)
		return request_fail(rq, ERR_NOT_FOUND, "There is no inspection %lld.",
				    (long long)id);
	int kind = word_find(inspection_kind_word, INSPECTION_KIND_COUNT, doc_text(v->row, "kind"));
	if (kind < 0) return request_fail(rq, ERR_CORRUPT, "The inspection has an unknown kind.");
	v->kind = (enum inspection_kind)kind;
	v->version = doc_int(v->row, "version");
	v->is_draft = text_equal(doc_text(v->row, "state"), "draft");
	v->findings = doc_list(&rq->arena);
	v->earlier = doc_list(&rq->arena);
	v->together = doc_list(&rq->arena);
	struct doc *parts = doc_list(&rq->arena);
	if (!v->findings || !v->earlier || !v->together || !parts) return ERR_MEMORY;
	err = inspection_findings(st, id, &rq->arena, v->findings, &rq->fault);
	if (err == ERR_OK)
		err = inspection_earlier_findings(st, id, &rq->arena, v->earlier, &rq->fault);
	if (err == ERR_OK)
		err = inspection_answered_together(st, id, &rq->arena, v->together, &rq->fault);
	if (err == ERR_OK) err = inspection_parts(st, id, &rq->arena, parts, &rq->fault);
	if (err == ERR_OK) err = fill_parts(rq, v, parts);
	for (size_t i = 0; err == ERR_OK && v->is_draft && i < v->part_count; i++)
		err = look_beneath(rq, v, &v->part[i]);
	return err;
}

struct part_view *inspection_view_part(struct request *rq, struct inspection_view *v,
				       int64_t component) {
	for (size_t i = 0; i < v->part_count; i++)
		if (v->part[i].component == component) return &v->part[i];
	request_fail(rq, ERR_NOT_FOUND, "That part is not in inspection %lld.", (long long)v->id);
	return NULL;
}

enum err inspection_view_form_part(struct request *rq, struct inspection_view *v, int64_t component,
				   struct part_view **p) {
	*p = inspection_view_part(rq, v, component);
	if (!*p) return ERR_NOT_FOUND;
	if ((*p)->record.checklist) return ERR_OK;
	return request_fail(rq, ERR_CONFLICT,
			    "This inspection was brought in without its answers.");
}

enum err inspection_view_check_draft(struct request *rq, const struct inspection_view *v) {
	if (v->is_draft) return inspection_check_role(rq, v->kind);
	return request_fail(rq, ERR_CONFLICT,
			    "This inspection is %s and stays as it is. Start a new one to record "
			    "what you see now.",
			    doc_text(v->row, "state"));
}

/* --- where to go next ---------------------------------------------------------- */

const struct doc *inspection_view_finding(const struct doc *findings, int64_t component,
					  const char *check_point, const struct doc *after) {
	const struct doc *row = after ? after->next : findings->first;
	for (; row; row = row->next)
		if (doc_int(row, "component") == component &&
		    text_equal(doc_text(row, "check_point"), check_point))
			return row;
	return NULL;
}

const struct check_group *inspection_view_group(const struct part_view *p,
						const struct check_point *point) {
	return check_group_find(p->group, p->group_count, p->record.checklist, point->group_code);
}

enum err inspection_view_store_answers(struct request *rq, const struct part_view *p) {
	const struct checklist *list = p->record.checklist;
	struct doc *answers = doc_map(&rq->arena);
	for (size_t i = 0; i < list->point_count; i++)
		if (p->answer[i] != ANSWER_NONE)
			doc_set_text(answers, list->point[i].code, answer_word[p->answer[i]]);
	const char *text = doc_json(answers, &rq->arena);
	if (!text) return ERR_MEMORY;
	return inspection_part_answer(request_store(rq), p->id, text, &rq->fault);
}

bool inspection_view_is_open(const struct part_view *p, const char *check_point) {
	for (size_t i = 0; i < p->record.subject.open_count; i++)
		if (text_equal(p->record.subject.open[i].check_point, check_point)) return true;
	return false;
}

void inspection_view_stand(struct inspection_view *v, int64_t component, size_t point) {
	v->here = NULL;
	for (size_t i = 0; !v->here && i < v->part_count; i++)
		if (v->part[i].component == component) v->here = &v->part[i];
	v->here_point = point;
}

/* What has no answer at that point of the part or behind it; a question before the points is asked
 * whatever the point. */
static const struct unanswered *unanswered_from(const struct part_view *p, size_t point) {
	const struct verdict *verdict = &p->verdict;
	for (size_t i = 0; i < verdict->unanswered_count; i++) {
		const struct check_point *at = verdict->unanswered[i].point;
		if (!at || at->index >= point) return &verdict->unanswered[i];
	}
	return NULL;
}

static const char *path_to(struct request *rq, const struct inspection_view *v,
			   const struct part_view *p, const struct check_point *point) {
	long long id = (long long)v->id, component = (long long)p->component;
	if (!point) return arena_printf(&rq->arena, "/inspections/%lld/preparation", id);
	/* Answered "finding", but what it is has not been written down yet. */
	if (p->answer[point->index] == ANSWER_FINDING)
		return arena_printf(&rq->arena, "/inspections/%lld/parts/%lld/findings?point=%s",
				    id, component, point->code);
	return arena_printf(&rq->arena, "/inspections/%lld/parts/%lld?group=%s", id, component,
			    inspection_view_group(p, point)->code);
}

const char *inspection_view_next(struct request *rq, const struct inspection_view *v) {
	long long id = (long long)v->id;
	if (!v->is_prepared) return arena_printf(&rq->arena, "/inspections/%lld/preparation", id);
	size_t begin = v->here ? (size_t)(v->here - v->part) : 0;
	/* Around, so that the part where it begins comes once more, from its beginning. */
	for (size_t i = 0; v->part_count && i <= v->part_count; i++) {
		const struct part_view *p = &v->part[(begin + i) % v->part_count];
		size_t from = v->here && i == 0 ? v->here_point : 0;
		const struct unanswered *u = unanswered_from(p, from);
		if (u) return path_to(rq, v, p, u->point);
	}
	return arena_printf(&rq->arena, "/inspections/%lld/review", id);
}

/* --- documents ------------------------------------------------------------------- */

static void beneath_document(const struct doc *beneath, struct doc *parts) {
	for (const struct doc *row = beneath->first; row; row = row->next) {
		struct doc *part = doc_add_map(parts);
		doc_set_int(part, "component", doc_int(row, "component"));
		doc_set_text(part, "tag", doc_text(row, "tag"));
	}
}

/* A conclusion with its blockers, and what it makes due on which parts. */
static void verdict_document(const struct part_view *p, const struct verdict *v, struct doc *map) {
	doc_set_text(map, "conclusion", conclusion_word[v->conclusion]);
	doc_set_text(map, "conclusion_label", conclusion_label[v->conclusion]);
	struct doc *blockers = doc_set_list(map, "blockers");
	for (size_t i = 0; i < v->blocker_count; i++) {
		struct doc *b = doc_add_map(blockers);
		doc_set_text(b, "code", v->blocker[i].code);
		doc_set_text(b, "text", v->blocker[i].text);
	}
	struct doc *unanswered = doc_set_list(map, "unanswered");
	for (size_t i = 0; i < v->unanswered_count; i++) {
		const struct check_point *point = v->unanswered[i].point;
		struct doc *u = doc_add_map(unanswered);
		doc_set_text(u, "code", v->unanswered[i].code);
		doc_set_text(u, "text", v->unanswered[i].text);
		doc_set_text(u, "title", point ? point->title : "Before the check points");
		doc_set_text(u, "group", point ? inspection_view_group(p, point)->code : NULL);
		/* That it has no answer needs no words in a list of what is still to do. */
		doc_set_bool(u, "is_blank", point && p->answer[point->index] == ANSWER_NONE);
	}
	struct doc *follow_ups = doc_set_list(map, "follow_ups");
	for (size_t i = 0; i < v->follow_up_count; i++) {
		struct doc *d = doc_add_map(follow_ups);
		doc_set_text(d, "kind", v->follow_up[i].kind->code);
		doc_set_text(d, "kind_label", v->follow_up[i].kind->label);
		doc_set_text(d, "duty", duty_word[v->follow_up[i].duty]);
		doc_set_text(d, "reason", v->follow_up[i].reason);
		beneath_document(p->beneath[i], doc_set_list(d, "parts"));
	}
	doc_set_bool(map, "has_blockers", v->blocker_count > 0);
	doc_set_bool(map, "has_unanswered", v->unanswered_count > 0);
	doc_set_bool(map, "has_follow_ups", v->follow_up_count > 0);
}

static const struct check_point *answered_point(const struct inspection_view *v,
						const struct part_view *p, const char *code) {
	return p->record.checklist
		   ? checklist_point(p->record.checklist, code)
		   : handbook_check_point(v->handbook, p->record.subject.kind, code);
}

/* "Answered together": which points, when and by whom. Of a point that was answered anew after
 * that, its answer says so. */
static void together_document(const struct inspection_view *v, const struct part_view *p,
			      struct doc *map) {
	struct doc *list = doc_set_list(map, "together");
	for (const struct doc *row = v->together->first; row; row = row->next) {
		if (doc_int(row, "component") != p->component) continue;
		struct doc *m = doc_add_map(list);
		doc_set_text(m, "group", doc_text(row, "group_code"));
		doc_set_text(m, "group_title", doc_text(row, "group_title"));
		doc_set_text(m, "opened_at", doc_text(row, "opened_at"));
		doc_set_text(m, "answered_at", doc_text(row, "answered_at"));
		doc_set_text(m, "answered_by", doc_text(row, "answered_by_name"));
		doc_set_text(m, "away_opened_at", doc_text(row, "away_opened_at"));
		doc_set_text(m, "away_answered_at", doc_text(row, "away_answered_at"));
		struct doc *points = doc_set_list(m, "points");
		const struct doc *codes = doc_get(row, "points");
		for (const struct doc *c = codes ? codes->first : NULL; c; c = c->next) {
			const struct check_point *point = answered_point(v, p, c->text);
			struct doc *one = doc_add_map(points);
			doc_set_text(one, "code", c->text);
			doc_set_text(one, "title", point ? point->title : c->text);
		}
		doc_set_int(m, "point_count", (int64_t)doc_count(points));
	}
	doc_set_bool(map, "has_together", doc_count(list) > 0);
	doc_set_int(map, "together_count", (int64_t)doc_count(list));
}

void inspection_part_document(const struct inspection_view *v, const struct part_view *p,
			      struct doc *map) {
	doc_set_int(map, "component", p->component);
	doc_set_text(map, "tag", p->tag);
	doc_set_text(map, "kind", doc_text(p->row, "kind"));
	doc_set_text(map, "kind_label", doc_text(p->row, "kind_label"));
	doc_set_text(map, "maker", doc_text(p->row, "maker"));
	doc_set_text(map, "model", doc_text(p->row, "model"));
	doc_set_text(map, "size", doc_text(p->row, "size"));
	doc_set_text(map, "serial", doc_text(p->row, "serial"));
	doc_set_text(map, "made", doc_text(p->row, "made"));
	doc_set_int(map, "number", (int64_t)p->number);
	doc_set_bool(map, "is_here", p == v->here);
	doc_set_int(map, "asked", (int64_t)p->asked_count);
	doc_set_int(map, "answered", (int64_t)p->answered_count);
	doc_set_int(map, "finding_count", (int64_t)p->record.finding_count);
	doc_set_bool(map, "has_findings", p->record.finding_count > 0);
	doc_set_bool(map, "has_one_finding", p->record.finding_count == 1);
	doc_set_bool(map, "is_finished", p->verdict.unanswered_count == 0);
	doc_set_bool(map, "is_begun", p->answered_count > 0);
	doc_set_int(map, "version", p->version);
	doc_set_bool(map, "is_dirty", part_is_dirty(&p->record));
	doc_set_bool(map, "waits_for_cleaning", part_waits_for_cleaning(&p->record));
	doc_set_text(map, "clean", doc_text(p->row, "clean"));
	doc_set_text(map, "model_agrees", doc_text(p->row, "model_agrees"));
	doc_set_text(map, "size_agrees", doc_text(p->row, "size_agrees"));
	doc_set_null(map, "tainted_by");
	if (doc_get(p->row, "worked_s")->type == DOC_INT)
		doc_set_int(map, "worked_s", doc_int(p->row, "worked_s"));
	else doc_set_null(map, "worked_s");
	doc_set_text(map, "worked", inspection_worked_words(map->arena, p->row));
	together_document(v, p, map);
	doc_set_bool(map, "is_blocked_now", doc_bool(p->row, "is_blocked_now"));
	/* What was signed stays; only a draft's conclusion is computed afresh. */
	static const struct verdict settled;
	verdict_document(p, v->is_draft ? &p->verdict : &settled, map);
	if (v->is_draft) return;
	int word = word_find(conclusion_word, CONCLUSION_COUNT, doc_text(p->row, "conclusion"));
	doc_set_text(map, "conclusion", doc_text(p->row, "conclusion"));
	doc_set_text(map, "conclusion_label", word < 0 ? NULL : conclusion_label[word]);
	if (doc_int(p->row, "tainted_by"))
		doc_set_int(map, "tainted_by", doc_int(p->row, "tainted_by"));
}

void inspection_view_document(struct request *rq, const struct inspection_view *v) {
	struct doc *d = rq->doc = doc_map(&rq->arena);
	struct doc *i = doc_set(d, "inspection", v->row);
	doc_set_text(i, "kind_label", inspection_kind_label[v->kind]);
	performer_remark(i);
	doc_set_bool(i, "is_draft", v->is_draft);
	doc_set_bool(i, "is_signed", text_equal(doc_text(v->row, "state"), "signed"));
	doc_set_bool(i, "is_abandoned", text_equal(doc_text(v->row, "state"), "abandoned"));
	doc_set_bool(i, "is_mine", doc_int(v->row, "inspector") == rq->who.member);
	doc_set_bool(i, "can_edit", v->is_draft && inspection_is_open_to(rq->who.role, v->kind));
	doc_set_bool(i, "is_prepared", v->is_prepared);
	doc_set_bool(i, "is_finished", v->is_finished);
	doc_set_int(i, "part_count", (int64_t)v->part_count);
	doc_set_text(i, "next", v->is_draft ? inspection_view_next(rq, v) : NULL);
	struct doc *parts = doc_set_list(d, "parts");
	for (size_t k = 0; k < v->part_count; k++)
		inspection_part_document(v, &v->part[k], doc_add_map(parts));
	rq->version = v->version;
}

bool inspection_view_in_group(const struct part_view *p, size_t point,
			      const struct check_group *g) {
	return point >= g->first && point < g->end &&
	       point_is_asked(&p->record.checklist->point[point], &p->record.subject);
}

static void group_document(const struct part_view *p, const struct check_group *g,
			   const struct check_group *current, struct doc *m) {
	size_t answered = 0;
	for (size_t i = g->first; i < g->end; i++)
		answered += inspection_view_in_group(p, i, g) && p->answer[i] != ANSWER_NONE;
	doc_set_text(m, "code", g->code);
	doc_set_text(m, "title", g->title);
	doc_set_int(m, "number", g - p->group + 1);
	doc_set_bool(m, "is_current", g == current);
	doc_set_int(m, "asked", (int64_t)g->asked);
	doc_set_int(m, "answered", (int64_t)answered);
	doc_set_bool(m, "is_finished", answered == g->asked);
}

void inspection_where_document(struct request *rq, const struct inspection_view *v,
			       const struct check_group *current) {
	struct doc *d = rq->doc, *groups = doc_set_list(d, "groups");
	const struct part_view *p = v->here;
	doc_set_null(d, "group");
	if (!p || !current) {
		doc_set_printf(d, "where", "%s · %zu %s", inspection_kind_label[v->kind],
			       v->part_count, v->part_count == 1 ? "part" : "parts");
		return;
	}
	for (size_t k = 0; k < p->group_count; k++)
		group_document(p, &p->group[k], current, doc_add_map(groups));
	doc_set_text(d, "group", current->code);
	doc_set_text(d, "group_title", current->title);
	doc_set_int(d, "group_number", current - p->group + 1);
	doc_set_int(d, "group_count", (int64_t)p->group_count);
	doc_set_printf(d, "where", "%s: group %lld of %zu · part %zu of %zu",
		       doc_text(p->row, "kind_label"), (long long)(current - p->group + 1),
		       p->group_count, p->number, v->part_count);
}

enum err inspection_view_photos(struct request *rq, const struct inspection_view *v) {
	struct doc *rows = doc_list(&rq->arena);
	if (!rows) return ERR_MEMORY;
	enum err err = photos_of_inspection(request_store(rq), v->id, &rq->arena, rows, &rq->fault);
	if (err != ERR_OK) return err;
	for (struct doc *f = v->findings->first; f; f = f->next)
		photos_show(f, rows, &(struct photo_of){.finding = doc_int(f, "id")});
	for (struct doc *p = doc_get(rq->doc, "parts")->first; p; p = p->next)
		photos_show(p, rows, &(struct photo_of){.component = doc_int(p, "component")});
	return ERR_OK;
}
