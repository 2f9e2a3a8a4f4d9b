/*
 * The form of an inspection: the questions before the check points, then the
 * check points of one part, group by group. What is answered is stored at once,
 * so a draft is never older than the last page sent.
 */
#include "handlers/app.h"
#include "handlers/inspection_view.h"
#include "handlers/routes.h"
#include "store/inspection.h"

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

static bool is_asked(const struct request *rq, const struct part_view *p, int question) {
	if (question == ASK_CLEAN) return part_asks_clean(&p->record.subject);
	return part_asks_labels(app_handbook(request_app(rq)), &p->record.subject);
}

static enum err preparation_resource(struct request *rq, const struct resource **resource) {
	struct inspection_view v;
	enum err err = inspection_view_load(rq, rq->id[0], &v);
	if (err != ERR_OK) return err;
	struct field *field = arena_array(&rq->arena, struct field, v.part_count * ASKS + 1);
	struct resource *r = arena_new(&rq->arena, struct resource);
	if (!field || !r) return ERR_MEMORY;
	size_t count = 0;
	for (size_t i = 0; i < v.part_count; i++)
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
	*r = (struct resource){"inspection_preparation", "inspections", field, count};
	*resource = r;
	return ERR_OK;
}

/* What was typed for a field of the dynamic table, or NULL. */
static const struct value *typed_value(const struct request *rq, const char *name) {
	for (size_t i = 0; rq->value && rq->resource && i < rq->resource->field_count; i++)
		if (text_equal(rq->resource->field[i].name, name)) return &rq->value[i];
	return NULL;
}

static void add_question(struct request *rq, const struct part_view *p, int question,
			 struct doc *questions) {
	struct doc *m = doc_add_map(questions);
	const char *name = ask_name(&rq->arena, question, p->component);
	const struct value *typed = typed_value(rq, name);
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
	}
	rq->title = "Before the check points";
	return ERR_OK;
}

/* The answer sent, else the one that is stored. */
static const char *answer_or_stored(const struct request *rq, const struct part_view *p,
				    int question) {
	const struct value *v = typed_value(
	    rq, ask_name((struct arena *)(uintptr_t)&rq->arena, question, p->component));
	return v && value_given(v) ? value_text(v) : doc_text(p->row, ask[question].key);
}

static enum err preparation_store(struct request *rq) {
	struct inspection_view v;
	enum err err = inspection_view_load(rq, rq->id[0], &v);
	if (err == ERR_OK) err = inspection_view_check_draft(rq, &v);
	if (err == ERR_OK) err = request_check_version(rq, v.version);
	for (size_t i = 0; err == ERR_OK && i < v.part_count; i++) {
		const struct part_view *p = &v.part[i];
		err = inspection_part_prepare(request_store(rq), p->id,
					      answer_or_stored(rq, p, ASK_CLEAN),
					      answer_or_stored(rq, p, ASK_MODEL),
					      answer_or_stored(rq, p, ASK_SIZE), &rq->fault);
	}
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

/* The group asked for, or the first with something unanswered, or the first. */
static const char *wanted_group(struct request *rq, const struct part_view *p) {
	const char *asked = request_query(rq, "group");
	if (asked) return asked;
	for (size_t i = 0; i < p->verdict.unanswered_count; i++)
		if (p->verdict.unanswered[i].point)
			return p->verdict.unanswered[i].point->group_code;
	const struct checklist *list = p->record.checklist;
	for (size_t i = 0; list && i < list->point_count; i++)
		if (point_is_asked(&list->point[i], &p->record.subject))
			return list->point[i].group_code;
	return "";
}

static bool in_group(const struct part_view *p, size_t i, const char *group) {
	const struct check_point *point = &p->record.checklist->point[i];
	return point_is_asked(point, &p->record.subject) && text_equal(point->group_code, group);
}

static enum err load_part(struct request *rq, struct inspection_view *v, struct part_view **p) {
	enum err err = inspection_view_load(rq, rq->id[0], v);
	if (err != ERR_OK) return err;
	*p = inspection_view_part(rq, v, rq->id[1]);
	if (!*p) return ERR_NOT_FOUND;
	if ((*p)->record.checklist) return ERR_OK;
	return request_fail(rq, ERR_CONFLICT,
			    "This inspection was brought in without its answers.");
}

static enum err answers_resource(struct request *rq, const struct resource **resource) {
	struct inspection_view v;
	struct part_view *p;
	enum err err = load_part(rq, &v, &p);
	if (err != ERR_OK) return err;
	const struct checklist *list = p->record.checklist;
	struct field *field = arena_array(&rq->arena, struct field, list->point_count + 1);
	struct resource *r = arena_new(&rq->arena, struct resource);
	if (!field || !r) return ERR_MEMORY;
	size_t count = 0;
	for (size_t i = 0; i < list->point_count; i++)
		if (point_is_asked(&list->point[i], &p->record.subject))
			field[count++] = (struct field){.name = list->point[i].code,
							.label = list->point[i].title,
							.kind = FIELD_CHOICE,
							.choice = answer_choice};
	*r = (struct resource){"inspection_answers", "inspections", field, count};
	*resource = r;
	return ERR_OK;
}

static void point_options(struct request *rq, const struct part_view *p,
			  const struct check_point *point, struct doc *m) {
	const struct value *typed = typed_value(rq, point->code);
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

/* The groups in working order, with how far each is. */
static void add_groups(const struct part_view *p, const char *current, struct doc *d) {
	struct doc *groups = doc_set_list(d, "groups"), *group = NULL;
	const struct checklist *list = p->record.checklist;
	int64_t number = 0, asked = 0, answered = 0;
	for (size_t i = 0; i < list->point_count; i++) {
		const struct check_point *point = &list->point[i];
		if (!point_is_asked(point, &p->record.subject)) continue;
		if (!group || !text_equal(doc_text(group, "code"), point->group_code)) {
			group = doc_add_map(groups);
			asked = answered = 0;
			number++;
			doc_set_text(group, "code", point->group_code);
			doc_set_text(group, "title", point->group_title);
			doc_set_int(group, "number", number);
			bool here = text_equal(point->group_code, current);
			doc_set_bool(group, "is_current", here);
			if (here) {
				doc_set_text(d, "group", point->group_code);
				doc_set_text(d, "group_title", point->group_title);
				doc_set_int(d, "group_number", number);
			}
		}
		asked++;
		answered += p->answer[i] != ANSWER_NONE;
		doc_set_int(group, "asked", asked);
		doc_set_int(group, "answered", answered);
		doc_set_bool(group, "is_finished", answered == asked);
	}
	doc_set_int(d, "group_count", number);
}

static enum err part_show(struct request *rq) {
	struct inspection_view v;
	struct part_view *p;
	enum err err = load_part(rq, &v, &p);
	if (err != ERR_OK) return err;
	inspection_view_document(rq, &v);
	struct doc *d = rq->doc, *part = doc_set_map(d, "part");
	const char *group = wanted_group(rq, p);
	inspection_part_document(&v, p, part);
	doc_set_text(d, "group", NULL);
	add_groups(p, group, d);
	if (!doc_text(d, "group"))
		return request_fail(rq, ERR_NOT_FOUND,
				    "This part has no group of check points \"%.40s\".", group);
	struct doc *points = doc_set_list(d, "points");
	const struct checklist *list = p->record.checklist;
	for (size_t i = 0; i < list->point_count; i++)
		if (in_group(p, i, group)) add_point(rq, &v, p, &list->point[i], points);
	doc_set_int(d, "checklist_version", list->version);
	rq->version = p->version;
	doc_set_int(d, "version", p->version);
	rq->title = arena_printf(&rq->arena, "%s %s", doc_text(p->row, "kind_label"), p->tag);
	return ERR_OK;
}

/* The stored answers with the new ones over them, in the order of the list. */
static const char *merged_answers(struct request *rq, const struct part_view *p) {
	const struct checklist *list = p->record.checklist;
	struct doc *answers = doc_map(&rq->arena);
	for (size_t i = 0; i < list->point_count; i++) {
		const struct value *typed = typed_value(rq, list->point[i].code);
		const char *word =
		    typed && value_given(typed) ? value_text(typed) : answer_word[p->answer[i]];
		if (!text_empty(word)) doc_set_text(answers, list->point[i].code, word);
	}
	struct buf b;
	buf_init(&b, 64 * 1024);
	doc_write_json(answers, &b);
	const char *text = buf_failed(&b) ? NULL : arena_copy(&rq->arena, buf_text(&b), b.length);
	buf_release(&b);
	return text;
}

static enum err check_answers(struct request *rq, const struct part_view *p) {
	if (p->record.clean == AGREES_NO)
		return request_fail(
		    rq, ERR_CONFLICT,
		    "%s is not clean: dirt hides damage. Clean it first, then inspect it.", p->tag);
	const struct checklist *list = p->record.checklist;
	for (size_t i = 0; i < list->point_count; i++) {
		const struct value *typed = typed_value(rq, list->point[i].code);
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
	enum err err = load_part(rq, &v, &p);
	if (err == ERR_OK) err = inspection_view_check_draft(rq, &v);
	if (err == ERR_OK) err = request_check_version(rq, p->version);
	if (err == ERR_OK) err = check_answers(rq, p);
	if (err != ERR_OK) return err;
	const char *answers = merged_answers(rq, p);
	if (!answers) return ERR_MEMORY;
	err = inspection_part_answer(request_store(rq), p->id, answers, &rq->fault);
	if (err == ERR_OK) err = part_show(rq);
	if (err == ERR_OK) err = inspection_view_load(rq, v.id, &v);
	if (err != ERR_OK) return err;
	request_action(rq, "answer check points");
	request_go(rq, false, "%s", inspection_view_next(rq, &v));
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
    {METHOD_GET, "/inspections/:id/parts/:id", ROLE_MEMBER, RUN_READ, .handle = part_show,
     .template_name = "inspection-part", .query = group_query,
     .summary = "Check points of one part, a group at a time"},
    {METHOD_POST, "/inspections/:id/parts/:id", ROLE_MEMBER, RUN_CHANGE, .handle = part_answer,
     .form = part_show, .template_name = "inspection-part", .resource_of = answers_resource,
     .partial = true, .query = group_query, .summary = "Answer check points of one part"},
};
const struct route_table inspection_part_routes = {route, sizeof route / sizeof *route};
