/*
 * What happens next, after an inspection is signed: for each part where it goes, what has to be
 * done first and by whom, what stands in for it meanwhile, and what is due after that.
 *
 * It speaks of each part as it stands now, so the page can be opened again until all is done.
 */
#include "handlers/app.h"
#include "handlers/components.h"
#include "handlers/inspection_view.h"
#include "handlers/routes.h"
#include "handlers/words.h"
#include "store/component.h"
#include "store/cover.h"

/* Of the reserve gear that fits, so many are named. */
#define RESERVE_NAMED 5

/* What the findings of this inspection that are still open ask for. */
static void findings_document(const struct handbook *hb, const struct inspection_view *v,
			      const struct part_view *p, struct doc *m) {
	bool ticket = false, cleaning = false, retirement = false;
	struct doc *asks = doc_set_list(m, "asks");
	for (const struct doc *row = v->findings->first; row; row = row->next) {
		if (doc_int(row, "component") != p->component ||
		    !text_equal(doc_text(row, "state"), "open"))
			continue;
		const struct outcome *o = handbook_outcome(hb, doc_text(row, "outcome"));
		if (!o) continue;
		ticket |= o->to_ticket;
		cleaning |= o->closed_by == CLOSED_BY_CLEANING;
		retirement |= o->closed_by == CLOSED_BY_RETIREMENT;
		if (o->closed_by != CLOSED_BY_ANSWER) continue;
		struct doc *ask = doc_add_map(asks);
		doc_set_int(ask, "finding", doc_int(row, "id"));
		doc_set_text(ask, "text", doc_text(row, "defect_label"));
	}
	doc_set_bool(m, "wants_ticket", ticket);
	doc_set_bool(m, "wants_cleaning", cleaning);
	doc_set_bool(m, "wants_retirement", retirement);
}

static enum err cover_document(struct request *rq, const struct part_view *p, struct doc *m) {
	struct doc *wearer = NULL, *reserve = doc_set_list(m, "reserve");
	enum err err =
	    cover_wearer(request_store(rq), p->component, &rq->arena, &wearer, &rq->fault);
	if (err == ERR_OK && wearer)
		err = cover_reserve(request_store(rq), p->component, rq->today, RESERVE_NAMED,
				    &rq->arena, reserve, &rq->fault);
	if (wearer) doc_set(m, "wearer", wearer);
	return err;
}

static enum err part_next(struct request *rq, const struct inspection_view *v,
			  const struct part_view *p, struct doc *list) {
	struct doc *row = NULL;
	enum err err = component_get_row(rq, p->component, &row);
	if (err != ERR_OK) return err;
	struct doc *m = doc_add_map(list);
	const char *state = doc_text(row, "state");
	bool gone = doc_text(row, "retired_on") != NULL, away = text_equal(state, "at_provider");
	bool out = doc_int(row, "blocker_count") > 0;
	inspection_part_document(v, p, m);
	findings_document(app_handbook(request_app(rq)), v, p, m);
	doc_set_text(m, "state", state);
	doc_set_text(m, "state_label", choice_label(state_choice, state));
	struct doc *in_the_way = doc_set_list(m, "in_the_way");
	for (const struct doc *b = doc_get(row, "blockers")->first; b; b = b->next)
		doc_add_text(in_the_way, doc_text(b, "text"));
	doc_set_bool(m, "is_out", out && !gone);
	doc_set_bool(m, "is_away", away);
	doc_set_bool(m, "is_retired", gone);
	doc_set_bool(m, "is_waiting", text_equal(state, "awaiting_inspection"));
	bool soiled = doc_bool(m, "wants_cleaning") || component_has_blocker(row, "not_clean") ||
		      component_has_blocker(row, "contaminated");
	doc_set_bool(m, "cleans_first", soiled && !gone);
	doc_set_bool(m, "gets_ticket", doc_bool(m, "wants_ticket") && !gone && !away);
	doc_set_bool(m, "is_retired_next", doc_bool(m, "wants_retirement") && !gone);
	doc_set_null(m, "wearer");
	if (out && !gone) err = cover_document(rq, p, m);
	else doc_set_list(m, "reserve");
	if (err == ERR_OK)
		err = component_duties(request_store(rq), p->component, rq->today, &rq->arena,
				       doc_set_list(m, "duties"), &rq->fault);
	return err;
}

/* Of what serves on, the first of what is due stands for the rest until it is opened. */
static void first_due(struct doc *m) {
	const struct doc *first = doc_get(m, "duties")->first;
	doc_set_text(m, "first_duty", first ? doc_text(first, "duty_label") : NULL);
	doc_set_text(m, "first_due_on", first ? doc_text(first, "due_on") : NULL);
}

static enum err next_show(struct request *rq) {
	struct inspection_view v;
	enum err err = inspection_view_load(rq, rq->id[0], &v);
	if (err != ERR_OK) return err;
	if (!text_equal(doc_text(v.row, "state"), "signed"))
		return request_fail(rq, ERR_CONFLICT,
				    "Nothing follows from this inspection: it is not signed.");
	inspection_view_document(rq, &v);
	int64_t out = 0;
	struct doc *list = doc_set_list(rq->doc, "next_of_parts");
	for (size_t i = 0; err == ERR_OK && i < v.part_count; i++)
		err = part_next(rq, &v, &v.part[i], list);
	for (struct doc *m = list->first; err == ERR_OK && m; m = m->next) {
		out += doc_bool(m, "is_out");
		first_due(m);
	}
	doc_set_int(rq->doc, "out_count", out);
	doc_set_bool(rq->doc, "has_out", out > 0);
	rq->title = "What happens next";
	return err;
}

static const struct route route[] = {
    {METHOD_GET, "/inspections/:id/next", ROLE_MEMBER, RUN_READ, .handle = next_show,
     .template_name = "inspection-next",
     .summary = "What follows from a signed inspection, part by part, as the parts stand now"},
};
const struct route_table inspection_next_routes = {route, sizeof route / sizeof *route};
