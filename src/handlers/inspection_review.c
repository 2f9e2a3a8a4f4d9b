/*
 * The end of an inspection: everything on one page, and the signature, from
 * which all consequences follow in one change.
 */
#include "handlers/app.h"
#include "handlers/inspection_view.h"
#include "handlers/performer.h"
#include "handlers/pin_check.h"
#include "handlers/routes.h"
#include "rules/kind.h"
#include "rules/pin.h"
#include "store/inspection.h"

enum { CONFIRMED, NOTE, PIN, FIELDS };
static const struct field field[FIELDS] = {
    [CONFIRMED] =
	{.name = "confirmed",
	 .label = "I looked at every part myself, by eye and by hand, and the record says what "
		  "I found.",
	 .kind = FIELD_YES_NO,
	 .required = true},
    [NOTE] = {.name = "note", .label = "Note", .kind = FIELD_NOTE},
    [PIN] = {.name = "pin",
	     .label = "Your PIN",
	     .help = "So that nobody signs in another's name on a shared tablet.",
	     .kind = FIELD_PIN,
	     .max = PIN_DIGITS_MAX},
};
static const struct resource resource = {"inspection_signature", "inspections", field, FIELDS};

static enum err review_document(struct request *rq, struct inspection_view *v) {
	enum err err = inspection_view_load(rq, rq->id[0], v);
	if (err != ERR_OK) return err;
	inspection_view_document(rq, v);
	inspection_where_document(rq, v, NULL);
	struct doc *d = rq->doc;
	doc_set(d, "findings", v->findings);
	size_t blockers = 0, due = 0, follow_ups = 0;
	for (size_t i = 0; i < v->part_count; i++) {
		blockers += v->part[i].verdict.blocker_count - v->part[i].due_count;
		due += v->part[i].due_count > 0;
		follow_ups += v->part[i].verdict.follow_up_count;
	}
	doc_set_int(d, "blocker_count", (int64_t)blockers);
	doc_set_int(d, "follow_up_count", (int64_t)follow_ups);
	doc_set_int(d, "due_count", (int64_t)due);
	doc_set_bool(d, "has_blockers", blockers > 0);
	doc_set_bool(d, "has_due", due > 0);
	doc_set_bool(d, "has_follow_ups", follow_ups > 0);
	doc_set_bool(d, "has_findings", doc_count(v->findings) > 0);
	bool mine = doc_int(v->row, "inspector") == rq->who.member;
	doc_set_bool(d, "can_sign", v->is_draft && v->is_finished && mine);
	doc_set_bool(d, "must_take_over", v->is_draft && v->is_finished && !mine);
	return inspection_view_photos(rq, v);
}

static enum err review_show(struct request *rq) {
	struct inspection_view v;
	enum err err = review_document(rq, &v);
	if (err != ERR_OK) return err;
	struct doc *form = fields_form(&resource, &rq->arena, NULL, request_values(rq, &resource),
				       &rq->faults, rq->stale_form);
	if (!rq->who.by_pin) fields_form_remove(form, "pin");
	doc_set(rq->doc, "form", form);
	rq->title = v.is_draft ? "Review and sign" : "Review";
	return ERR_OK;
}

/* --- what follows from a signature ---------------------------------------------------------- */

static enum err close_mended(struct request *rq, const struct inspection_view *v,
			     const struct part_view *p) {
	enum err err = ERR_OK;
	for (size_t i = 0; err == ERR_OK && i < p->record.subject.open_count; i++) {
		const struct open_finding *open = &p->record.subject.open[i];
		if (verdict_mends(&p->record, open))
			err = finding_mend(request_store(rq), open->id, v->id,
					   doc_text(v->row, "inspected_on"), &rq->fault);
	}
	return err;
}

static enum err open_findings(struct request *rq, const struct part_view *p) {
	const struct handbook *hb = app_handbook(request_app(rq));
	enum err err = ERR_OK;
	for (size_t i = 0; err == ERR_OK && i < p->record.finding_count; i++) {
		const struct outcome *outcome = handbook_outcome(hb, p->record.finding[i].outcome);
		err =
		    finding_set_state(request_store(rq), p->record.finding[i].id,
				      outcome && outcome->blocks ? "open" : "accepted", &rq->fault);
	}
	return err;
}

/* Layers beneath become due, wherever they are in the same ensemble. */
static enum err raise_follow_ups(struct request *rq, const struct inspection_view *v,
				 const struct part_view *p) {
	enum err err = ERR_OK;
	for (size_t i = 0; err == ERR_OK && i < p->verdict.follow_up_count; i++) {
		const struct follow_up *u = &p->verdict.follow_up[i];
		err = follow_up_insert(request_store(rq), p->component, u->kind->code,
				       u->finding->id, duty_word[u->duty],
				       doc_text(v->row, "inspected_on"), u->reason, &rq->fault);
	}
	return err;
}

static enum err finish_follow_ups(struct request *rq, const struct inspection_view *v,
				  const struct part_view *p) {
	enum conclusion c = p->verdict.conclusion;
	enum err err = ERR_OK;
	if (c == CONCLUSION_CLEAN_FIRST || c == CONCLUSION_NOT_FINISHED) return ERR_OK;
	for (int duty = 0; err == ERR_OK && duty < DUTY_COUNT; duty++)
		if (duty_done_by((enum duty_code)duty, v->kind))
			err = follow_up_done(request_store(rq), p->component, duty_word[duty],
					     v->id, &rq->fault);
	return err;
}

static enum err sign_parts(struct request *rq, const struct inspection_view *v) {
	enum err err = ERR_OK;
	/* First what this inspection settles, then what it raises: a liner looked at in the
	 * same inspection, before the burn above it was known, is due all the same. */
	for (size_t i = 0; err == ERR_OK && i < v->part_count; i++) {
		const struct part_view *p = &v->part[i];
		err = close_mended(rq, v, p);
		if (err == ERR_OK) err = finish_follow_ups(rq, v, p);
		if (err == ERR_OK)
			err = inspection_part_sign(request_store(rq), p->id,
						   conclusion_word[p->verdict.conclusion],
						   (int64_t)p->verdict.blocker_count, &rq->fault);
	}
	for (size_t i = 0; err == ERR_OK && i < v->part_count; i++) {
		err = open_findings(rq, &v->part[i]);
		if (err == ERR_OK) err = raise_follow_ups(rq, v, &v->part[i]);
	}
	return err;
}

/* Whose training lapsed, or is not on record, vouches for nothing on that day; a routine look is
 * everybody's. */
static enum err check_class(struct request *rq, const struct inspection_view *v,
			    struct performer *signer) {
	enum err err = performer_member(request_store(rq), rq->who.member, rq->today, &rq->arena,
					signer, &rq->fault);
	if (err != ERR_OK) return err;
	const char *no = performer_refusal(signer, work_of_inspection(v->kind), &rq->arena);
	if (!no) return ERR_OK;
	return request_fail(rq, ERR_CONFLICT,
			    "%s Have an officer record the day on your page, or let somebody whose "
			    "training is valid take the inspection over and sign it. Nothing of it "
			    "is lost.",
			    no);
}

static enum err check_signer(struct request *rq, const struct inspection_view *v) {
	if (doc_int(v->row, "inspector") != rq->who.member)
		return request_fail(
		    rq, ERR_CONFLICT,
		    "%s began this inspection. Take it over first: who signs vouches for "
		    "all of it.",
		    doc_text(v->row, "inspector_name"));
	if (!value_yes(&rq->value[CONFIRMED]))
		return request_field_fault(rq, "confirmed",
					   "Confirm that you looked at every part.");
	if (v->is_finished) return ERR_OK;
	for (size_t i = 0; i < v->part_count; i++)
		if (v->part[i].verdict.unanswered_count)
			return request_fail(rq, ERR_CONFLICT, "Not finished: %s %s: %s",
					    doc_text(v->part[i].row, "kind_label"), v->part[i].tag,
					    v->part[i].verdict.unanswered[0].text);
	return ERR_OK;
}

/* On the slow thread. A tablet that was left open signs for nobody. */
static enum err review_prepare(struct request *rq) {
	if (!rq->who.by_pin) return ERR_OK;
	struct pin_check *c = arena_new(&rq->arena, struct pin_check);
	if (!c) return request_fail(rq, ERR_MEMORY, "There is no memory left.");
	rq->prepared = c;
	return pin_prepare_check(rq, rq->who.account, value_text(&rq->value[PIN]), c);
}

/* *proved is false when the answer is given already: the page again, at the PIN. */
static enum err check_pin(struct request *rq, bool *proved) {
	*proved = true;
	if (!rq->who.by_pin) return ERR_OK;
	if (!value_text(&rq->value[PIN]))
		return request_field_fault(rq, "pin", "Give your PIN: it is your signature.");
	return pin_settle(rq, rq->prepared, proved);
}

static enum err review_sign(struct request *rq) {
	struct inspection_view v;
	struct performer signer;
	bool proved;
	enum err err = inspection_view_load(rq, rq->id[0], &v);
	if (err == ERR_OK) err = inspection_view_check_draft(rq, &v);
	if (err == ERR_OK) err = request_check_version(rq, v.version);
	if (err == ERR_OK) err = check_signer(rq, &v);
	if (err == ERR_OK) err = check_class(rq, &v, &signer);
	if (err == ERR_OK) err = check_pin(rq, &proved);
	if (err != ERR_OK || !proved) return err;
	err = sign_parts(rq, &v);
	char signed_at[INSTANT_TEXT_SIZE];
	if (err == ERR_OK)
		err = inspection_sign(request_store(rq), v.id, instant_format(rq->now_s, signed_at),
				      value_text(&rq->value[NOTE]), performer_word(&signer),
				      &rq->fault);
	if (err == ERR_OK) err = review_document(rq, &v);
	if (err != ERR_OK) return err;
	request_action(rq, "sign inspection");
	request_go(rq, false, "/inspections/%lld/next", (long long)v.id);
	return ERR_OK;
}

static const struct route route[] = {
    {METHOD_GET, "/inspections/:id/review", ROLE_MEMBER, RUN_READ, .handle = review_show,
     .template_name = "inspection-review",
     .summary = "Every finding, what is unanswered, the conclusion and its reasons"},
    {METHOD_POST, "/inspections/:id/signature", ROLE_MEMBER, RUN_SLOW_CHANGE, .handle = review_sign,
     .prepare = review_prepare, .form = review_show, .template_name = "inspection-review",
     .resource = &resource,
     .summary = "Sign an inspection; everything that follows from it happens now"},
};
const struct route_table inspection_review_routes = {route, sizeof route / sizeof *route};
