/*
 * The form of an inspection: the questions before the check points, then the
 * check points of one part, group by group. What is answered is stored at once,
 * so a draft is never older than the last page sent.
 */
#include "base/limits.h"
#include "handlers/app.h"
#include "handlers/inspection_opening.h"
#include "handlers/inspection_together.h"
#include "handlers/inspection_view.h"
#include "handlers/photos.h"
#include "handlers/routes.h"
#include "store/inspection.h"
#include "store/photo.h"

/* --- the questions before ----------------------------------------------------------- */

static const struct choice agreement_choice[] = {
    {"yes", "Yes"}, {"no", "No"}, {"not_applicable", "Does not apply"}, {NULL, NULL}};
static const struct choice clean_choice[] = {{"yes", "Yes"}, {"no", "No"}, {NULL, NULL}};

enum { ASK_CLEAN, ASK_MODEL, ASK_SIZE, ASKS };
static const struct {
	const char *key, *label;
	const struct choice *choice;
} ask[ASKS] = {
    {"clean", "Is it clean?", clean_choice},
    {"model_agrees", "Do the labels of shell and liner agree in model?", agreement_choice},
    {"size_agrees", "Do the labels of shell and liner agree in size?", agreement_choice},
};

/* Fields are named "clean.12": the question and the component. */
static const char *ask_name(struct arena *a, int question, int64_t component) {
	return arena_printf(a, "%s.%lld", ask[question].key, (long long)component);
}

/* Yes to every question of a part whose labels are compared, by one tap. */
static const char *all_yes_name(struct arena *a, int64_t component) {
	return arena_printf(a, "all_yes.%lld", (long long)component);
}

static bool is_asked(const struct request *rq, const struct part_view *p, int question) {
	if (question == ASK_CLEAN) return part_asks_clean(&p->record.subject);
	return part_asks_labels(app_handbook(request_app(rq)), &p->record.subject);
}

static bool asks_several(const struct request *rq, const struct part_view *p) {
	return is_asked(rq, p, ASK_CLEAN) + is_asked(rq, p, ASK_MODEL) + is_asked(rq, p, ASK_SIZE) >
	       1;
}

static enum err preparation_resource(struct request *rq, const struct resource **resource) {
	struct inspection_view v;
	enum err err = inspection_view_load(rq, rq->id[0], &v);
	if (err != ERR_OK) return err;
	struct field *field = arena_array(&rq->arena, struct field, v.part_count * (ASKS + 1) + 1);
	struct resource *r = arena_new(&rq->arena, struct resource);
	if (!field || !r) return ERR_MEMORY;
	size_t count = 0;
	for (size_t i = 0; i < v.part_count; i++) {
		if (asks_several(rq, &v.part[i]))
			field[count++] = (struct field){
			    .name = all_yes_name(&rq->arena, v.part[i].component),
			    .label = arena_printf(&rq->arena, "%s: yes to every question",
						  doc_text(v.part[i].row, "kind_label")),
			    .kind = FIELD_YES_NO,
			};
		for (int q = 0; q < ASKS; q++) {
			if (!is_asked(rq, &v.part[i], q)) continue;
			field[count++] = (struct field){
			    .name = ask_name(&rq->arena, q, v.part[i].component),
			    .label =
				arena_printf(&rq->arena, "%s: %s",
					     doc_text(v.part[i].row, "kind_label"), ask[q].label),
			    .kind = FIELD_CHOICE,
			    .choice = ask[q].choice,
			};
		}
	}
	*r = (struct resource){"inspection_preparation", "inspections", field, count};
	*resource = r;
	return ERR_OK;
}

/* The part at that place in the order of work; behind the last, the overview. */
static const char *path_of_part(struct request *rq, const struct inspection_view *v, size_t at) {
	if (at >= v->part_count)
		return arena_printf(&rq->arena, "/inspections/%lld", (long long)v->id);
	return arena_printf(&rq->arena, "/inspections/%lld/parts/%lld", (long long)v->id,
			    (long long)v->part[at].component);
}

static void add_question(struct request *rq, const struct part_view *p, int question,
			 struct doc *questions) {
	struct doc *m = doc_add_map(questions);
	const char *name = ask_name(&rq->arena, question, p->component);
	const struct value *typed = request_value(rq, name);
	const char *chosen = typed && typed->raw ? typed->raw : doc_text(p->row, ask[question].key);
	doc_set_text(m, "name", name);
	doc_set_printf(m, "id", "f-%s", name);
	doc_set_text(m, "label", ask[question].label);
	doc_set_text(m, "error", fault_list_find(&rq->faults, name));
	struct doc *options = doc_set_list(m, "options");
	for (const struct choice *c = ask[question].choice; c->value; c++) {
		struct doc *o = doc_add_map(options);
		doc_set_text(o, "value", c->value);
		doc_set_text(o, "label", c->label);
		doc_set_printf(o, "option_id", "f-%s%s%s", name,
			       c == ask[question].choice ? "" : "-",
			       c == ask[question].choice ? "" : c->value);
		doc_set_bool(o, "is_selected", text_equal(c->value, chosen));
	}
}

/* The one tap, while nothing is answered one by one; else the questions are open. */
static void add_all_yes(struct request *rq, const struct part_view *p, struct doc *m) {
	const char *name = all_yes_name(&rq->arena, p->component);
	const struct value *typed = request_value(rq, name);
	bool is_open = !asks_several(rq, p);
	for (int q = 0; q < ASKS; q++) {
		const char *question = ask_name(&rq->arena, q, p->component);
		const struct value *one = request_value(rq, question);
		is_open |= !text_empty(doc_text(p->row, ask[q].key)) || (one && one->raw) ||
			   fault_list_find(&rq->faults, question);
	}
	doc_set_bool(m, "is_open", is_open);
	doc_set_bool(m, "has_several", asks_several(rq, p));
	doc_set_text(m, "all_yes", name);
	doc_set_bool(m, "all_yes_selected", typed && value_yes(typed));
}

static enum err preparation_show(struct request *rq) {
	struct inspection_view v;
	enum err err = inspection_view_load(rq, rq->id[0], &v);
	if (err != ERR_OK) return err;
	inspection_view_document(rq, &v);
	struct doc *list = doc_set_list(rq->doc, "preparation");
	for (size_t i = 0; i < v.part_count; i++) {
		struct doc *m = doc_add_map(list);
		doc_set_text(m, "tag", v.part[i].tag);
		doc_set_text(m, "kind_label", doc_text(v.part[i].row, "kind_label"));
		doc_set_int(m, "component", v.part[i].component);
		struct doc *questions = doc_set_list(m, "questions");
		for (int q = 0; q < ASKS; q++)
			if (is_asked(rq, &v.part[i], q)) add_question(rq, &v.part[i], q, questions);
		doc_set_bool(m, "has_questions", doc_count(questions) > 0);
		add_all_yes(rq, &v.part[i], m);
	}
	doc_set_text(rq->doc, "after", path_of_part(rq, &v, 0));
	inspection_where_document(rq, &v, NULL);
	rq->title = "Before the check points";
	return ERR_OK;
}

/* The answer sent, else the one that is stored. Yes to all says yes where nothing else is said;
 * cleared again, it takes that back. */
static enum err answer_of(struct request *rq, const struct part_view *p, int question,
			  const char **answer) {
	const char *name = ask_name(&rq->arena, question, p->component);
	const struct value *v = request_value(rq, name);
	const struct value *all = request_value(rq, all_yes_name(&rq->arena, p->component));
	*answer = v && value_given(v) ? value_text(v) : doc_text(p->row, ask[question].key);
	if (!all || !is_asked(rq, p, question)) return ERR_OK;
	bool takes_back = value_given(all) && !value_text(all);
	if (takes_back && !(v && value_given(v))) *answer = NULL;
	if (!value_yes(all)) return ERR_OK;
	if (*answer && !text_equal(*answer, "yes"))
		return request_field_fault(rq, name,
					   "Yes to all is ticked too. Say one or the other.");
	*answer = "yes";
	return ERR_OK;
}

static enum err prepare_part(struct request *rq, const struct part_view *p) {
	const char *answer[ASKS];
	enum err err = ERR_OK;
	for (int q = 0; err == ERR_OK && q < ASKS; q++) err = answer_of(rq, p, q, &answer[q]);
	if (err != ERR_OK) return err;
	return inspection_part_prepare(request_store(rq), p->id, answer[ASK_CLEAN],
				       answer[ASK_MODEL], answer[ASK_SIZE], &rq->fault);
}

static enum err preparation_store(struct request *rq) {
	struct inspection_view v;
	enum err err = inspection_view_load(rq, rq->id[0], &v);
	if (err == ERR_OK) err = inspection_view_check_draft(rq, &v);
	if (err == ERR_OK) err = request_check_version(rq, v.version);
	for (size_t i = 0; err == ERR_OK && i < v.part_count; i++)
		err = prepare_part(rq, &v.part[i]);
	if (err == ERR_OK) err = inspection_touch(request_store(rq), v.id, &rq->fault);
	if (err == ERR_OK) err = inspection_view_load(rq, v.id, &v);
	if (err != ERR_OK) return err;
	request_action(rq, "prepare inspection");
	inspection_view_document(rq, &v);
	request_go(rq, false, "%s", inspection_view_next(rq, &v));
	return ERR_OK;
}

/* --- the check points of a part ------------------------------------------------------ */

static const struct choice answer_choice[] = {
    {"sound", "Sound"}, {"finding", "Finding"}, {"not_applicable", "Does not apply"}, {NULL, NULL}};

/* The group asked for, or the first with something unanswered, or the first; NULL: none such. */
static const struct check_group *wanted_group(const struct request *rq, const struct part_view *p) {
	const char *asked = request_query(rq, "group");
	for (size_t i = 0; !asked && i < p->verdict.unanswered_count; i++)
		if (p->verdict.unanswered[i].point)
			asked = p->verdict.unanswered[i].point->group_code;
	if (!asked) return p->group_count ? p->group : NULL;
	return check_group_find(p->group, p->group_count, p->record.checklist, asked);
}

static enum err find_group(struct request *rq, const struct part_view *p,
			   const struct check_group **group) {
	*group = wanted_group(rq, p);
	if (*group) return ERR_OK;
	const char *asked = request_query(rq, "group");
	return request_fail(rq, ERR_NOT_FOUND, "This part has no group of check points \"%.40s\".",
			    asked ? asked : "");
}

static enum err load_part(struct request *rq, struct inspection_view *v, struct part_view **p) {
	enum err err = inspection_view_load(rq, rq->id[0], v);
	return err == ERR_OK ? inspection_view_form_part(rq, v, rq->id[1], p) : err;
}

static enum err answers_resource(struct request *rq, const struct resource **resource) {
	struct inspection_view v;
	struct part_view *p;
	enum err err = load_part(rq, &v, &p);
	if (err != ERR_OK) return err;
	const struct checklist *list = p->record.checklist;
	struct field *field =
	    arena_array(&rq->arena, struct field, list->point_count + 1 + TOGETHER_FIELDS);
	struct resource *r = arena_new(&rq->arena, struct resource);
	if (!field || !r) return ERR_MEMORY;
	size_t count = 0;
	for (size_t i = 0; i < list->point_count; i++)
		if (point_is_asked(&list->point[i], &p->record.subject))
			field[count++] = (struct field){.name = list->point[i].code,
							.label = list->point[i].title,
							.kind = FIELD_CHOICE,
							.choice = answer_choice};
	field[count++] = (struct field)OPENING_FIELD;
	for (int i = 0; i < TOGETHER_FIELDS; i++) field[count++] = together_field[i];
	*r = (struct resource){"inspection_answers", "inspections", field, count};
	*resource = r;
	return ERR_OK;
}

static void point_options(struct request *rq, const struct part_view *p,
			  const struct check_point *point, struct doc *m) {
	const struct value *typed = request_value(rq, point->code);
	const char *chosen =
	    typed && typed->raw ? typed->raw : answer_word[p->answer[point->index]];
	struct doc *options = doc_set_list(m, "options");
	for (const struct choice *c = answer_choice; c->value; c++) {
		bool skips = text_equal(c->value, "not_applicable");
		if (skips && !point->is_optional) continue;
		struct doc *o = doc_add_map(options);
		doc_set_text(o, "value", c->value);
		doc_set_text(o, "label", c->label);
		doc_set_printf(o, "option_id", "f-%s%s%s", point->code,
			       c == answer_choice ? "" : "-", c == answer_choice ? "" : c->value);
		doc_set_bool(o, "is_selected", text_equal(c->value, chosen));
		doc_set_bool(o, "is_finding", text_equal(c->value, "finding"));
		doc_set_bool(o, "is_sound", text_equal(c->value, "sound"));
	}
}

/* What ends a finding from before, said where its point is looked at again. */
static const char *earlier_ends(const struct part_view *p, int64_t finding) {
	const struct part_subject *s = &p->record.subject;
	for (size_t i = 0; i < s->open_count; i++) {
		const struct open_finding *open = &s->open[i];
		if (open->id != finding || !open->outcome) continue;
		return verdict_can_mend(&p->record, open)
			   ? "Sound now means: mended."
			   : closed_by_ends[open->outcome->closed_by];
	}
	return "";
}

static void point_findings(const struct doc *all, const struct part_view *p, const char *code,
			   const char *key, struct doc *m) {
	struct doc *list = doc_set_list(m, key);
	const struct doc *row = NULL;
	while ((row = inspection_view_finding(all, p->component, code, row)) != NULL) {
		struct doc *f = doc_add_map(list);
		doc_set_int(f, "id", doc_int(row, "id"));
		doc_set_text(f, "defect_label", doc_text(row, "defect_label"));
		doc_set_text(f, "zone_label", doc_text(row, "zone_label"));
		doc_set_text(f, "place", doc_text(row, "place"));
		doc_set_text(f, "outcome_label", doc_text(row, "outcome_label"));
		doc_set_text(f, "ends", earlier_ends(p, doc_int(row, "id")));
	}
}

static void add_point(struct request *rq, const struct inspection_view *v,
		      const struct part_view *p, const struct check_point *point,
		      struct doc *points) {
	struct doc *m = doc_add_map(points);
	doc_set_text(m, "code", point->code);
	doc_set_text(m, "title", point->title);
	doc_set_text(m, "look_for", point->look_for);
	doc_set_text(m, "how", point->how);
	doc_set_text(m, "drawing", point->drawing);
	doc_set_text(m, "drawing_said", app_drawing_said(request_app(rq), point));
	doc_set_text(m, "source", point->source);
	doc_set_bool(m, "is_seam", point->is_seam);
	doc_set_text(m, "answer", answer_word[p->answer[point->index]]);
	doc_set_text(m, "error", fault_list_find(&rq->faults, point->code));
	bool wants = p->answer[point->index] == ANSWER_FINDING;
	doc_set_bool(m, "wants_finding", wants);
	point_options(rq, p, point, m);
	point_findings(v->findings, p, point->code, "findings", m);
	point_findings(v->earlier, p, point->code, "earlier", m);
}

/* What follows this group in the order of work, answered or not: the way on while nobody can ask
 * what is unanswered. */
static const char *path_after(struct request *rq, const struct inspection_view *v,
			      const struct part_view *p, const struct doc *groups) {
	const struct doc *group = groups->first;
	while (group && !doc_bool(group, "is_current")) group = group->next;
	if (!group || !group->next) return path_of_part(rq, v, p->number);
	return arena_printf(&rq->arena, "/inspections/%lld/parts/%lld?group=%s", (long long)v->id,
			    (long long)p->component, doc_text(group->next, "code"));
}

/* Of the part as a whole, and of points where no finding was written down. */
static enum err add_photos(struct request *rq, const struct inspection_view *v,
			   const struct part_view *p, const char *group) {
	struct doc *rows = doc_list(&rq->arena);
	if (!rows) return ERR_MEMORY;
	struct photo_of of = {.component = p->component};
	enum err err = photos_of_inspection(request_store(rq), v->id, &rq->arena, rows, &rq->fault);
	if (err != ERR_OK) return err;
	photos_show(rq->doc, rows, &of);
	bool open = v->is_draft && inspection_is_open_to(rq->who.role, v->kind);
	photo_form(rq,
		   open ? arena_printf(&rq->arena, "/inspections/%lld/parts/%lld/photos?group=%s",
				       (long long)v->id, (long long)p->component, group)
			: NULL,
		   false);
	return ERR_OK;
}

enum err inspection_part_page(struct request *rq) {
	struct inspection_view v;
	struct part_view *p;
	const struct check_group *g;
	enum err err = load_part(rq, &v, &p);
	if (err == ERR_OK) err = find_group(rq, p, &g);
	if (err != ERR_OK) return err;
	inspection_view_stand(&v, p->component, g->first);
	inspection_view_document(rq, &v);
	struct doc *d = rq->doc;
	inspection_part_document(&v, p, doc_set_map(d, "part"));
	inspection_where_document(rq, &v, g);
	together_offer(p, g, d);
	struct doc *points = doc_set_list(d, "points");
	const struct checklist *list = p->record.checklist;
	for (size_t i = g->first; i < g->end; i++)
		if (inspection_view_in_group(p, i, g))
			add_point(rq, &v, p, &list->point[i], points);
	const struct value *sent = request_value(rq, "opening");
	inspection_opening_document(rq, p, g->code, sent ? value_text(sent) : NULL);
	doc_set_int(d, "checklist_version", list->version);
	doc_set_text(d, "after", path_after(rq, &v, p, doc_get(d, "groups")));
	rq->version = p->version;
	doc_set_int(d, "version", p->version);
	rq->title = arena_printf(&rq->arena, "%s %s", doc_text(p->row, "kind_label"), p->tag);
	return add_photos(rq, &v, p, g->code);
}

/* --- storing answers ------------------------------------------------------------------ */

/* The answers sent one by one, over those that are stored. */
static void take_answers(const struct request *rq, struct part_view *p) {
	const struct checklist *list = p->record.checklist;
	for (size_t i = 0; i < list->point_count; i++) {
		const struct value *typed = request_value(rq, list->point[i].code);
		if (!typed || !value_given(typed) || together_takes(rq, p, i)) continue;
		int word = word_find(answer_word, ANSWER_COUNT, value_text(typed));
		p->answer[i] = word < 0 ? ANSWER_NONE : (enum answer)word;
	}
}

static enum err check_answers(struct request *rq, const struct part_view *p) {
	if (p->record.clean == AGREES_NO)
		return request_fail(
		    rq, ERR_CONFLICT,
		    "%s is not clean: dirt hides damage. Clean it first, then inspect it.", p->tag);
	const struct checklist *list = p->record.checklist;
	for (size_t i = 0; i < list->point_count; i++) {
		const struct value *typed = request_value(rq, list->point[i].code);
		if (typed && value_given(typed) &&
		    text_equal(value_text(typed), "not_applicable") && !list->point[i].is_optional)
			return request_field_fault(
			    rq, list->point[i].code,
			    "Every part of this kind has it: answer sound or finding.");
	}
	return ERR_OK;
}

static enum err part_answer(struct request *rq) {
	struct inspection_view v;
	struct part_view *p;
	const struct check_group *g;
	enum err err = load_part(rq, &v, &p);
	if (err == ERR_OK) err = inspection_view_check_draft(rq, &v);
	if (err == ERR_OK) err = request_check_version(rq, p->version);
	if (err == ERR_OK) err = check_answers(rq, p);
	if (err == ERR_OK) err = find_group(rq, p, &g);
	if (err != ERR_OK) return err;
	const struct value *sent = request_value(rq, "opening");
	request_action(rq, "answer check points");
	take_answers(rq, p);
	err = together_answer(rq, &v, p, g);
	if (err == ERR_OK)
		err = inspection_opening_count(rq, &v, p, g->code, sent ? value_text(sent) : NULL);
	if (err == ERR_OK) err = inspection_view_store_answers(rq, p);
	if (err == ERR_OK) err = inspection_part_page(rq);
	if (err != ERR_OK) return err;
	request_go(rq, false, "%s", doc_text(doc_get(rq->doc, "inspection"), "next"));
	return ERR_OK;
}

static const char *const group_query[] = {"group", NULL};

static const struct route route[] = {
    {METHOD_GET, "/inspections/:id/preparation", ROLE_MEMBER, RUN_READ, .handle = preparation_show,
     .template_name = "inspection-preparation",
     .summary = "Questions before the check points: clean, labels agree"},
    {METHOD_POST, "/inspections/:id/preparation", ROLE_MEMBER, RUN_CHANGE,
     .handle = preparation_store, .form = preparation_show,
     .template_name = "inspection-preparation", .resource_of = preparation_resource,
     .partial = true, .summary = "Answer the questions before the check points"},
    {METHOD_GET, "/inspections/:id/parts/:id", ROLE_MEMBER, RUN_READ,
     .handle = inspection_part_page, .template_name = "inspection-part", .query = group_query,
     .summary = "Check points of one part, a group at a time"},
    {METHOD_POST, "/inspections/:id/parts/:id", ROLE_MEMBER, RUN_CHANGE, .handle = part_answer,
     .form = inspection_part_page, .template_name = "inspection-part",
     .resource_of = answers_resource, .partial = true, .query = group_query,
     .summary = "Answer check points of one part"},
};
const struct route_table inspection_part_routes = {route, sizeof route / sizeof *route};
