#include "store/history.h"

#include "base/limits.h"
#include "base/text.h"
#include "rules/kind.h"
#include "rules/verdict.h"
#include "store/handbook.h"

/* --- cleanings and issues ------------------------------------------------------------- */

#define SAME_CLEANING "l.reason = ?4 AND l.performed_by = ?5"
SQL(history_cleaning,
    "SELECT l.reason, l.performed_by, p.code AS provider, coalesce(l.performer_class, 'unknown')"
    " AS performer_class, l.sanitized IS NOT NULL AS sanitized, l.note, l.method, l.water_mf, "
    "l.ph_hundredths, l.force_g, l.bleach, l.dried, l.dry_mf, l.beyond IS NOT NULL AS"
    " beyond, l.washer, l.load_percent, l.prepared FROM cleaning l"
    " LEFT JOIN provider p ON p.id = l.provider_id WHERE l.component_id = ?1"
    " AND l.cleaned_on = ?2 AND l.class = ?3 AND (l.id < ?6 OR (" SAME_CLEANING
    ")) ORDER BY " SAME_CLEANING " DESC, l.id LIMIT 1");
/* Given back and issued again on one day are two issues. */
SQL(history_issue, "SELECT condition_at_issue AS condition, returned_on, condition_at_return, note"
		   " FROM issue WHERE component_id = ?1 AND issued_on = ?3 AND member_id = ?2"
		   " AND (returned_on IS ?4 OR (?4 > ?3 AND coalesce(returned_on, '9999') > ?3))"
		   " ORDER BY returned_on IS ?4 DESC, id LIMIT 1");
SQL(history_issue_add, "INSERT INTO issue (component_id, member_id, issued_on, condition_at_issue,"
		       " returned_on, condition_at_return, note)"
		       " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)");

enum err history_find_cleaning(struct store *st, const struct cleaning_row *r, int64_t before,
			       struct arena *a, struct doc **row, struct fault *f) {
	return store_one(st, &history_cleaning, a, row, f, "itttti", r->component, r->cleaned_on,
			 r->class, r->reason, r->performed_by, before);
}

enum err history_find_issue(struct store *st, const struct history_issue *i, struct arena *a,
			    struct doc **row, struct fault *f) {
	return store_one(st, &history_issue, a, row, f, "iitt", i->component, i->member,
			 i->issued_on, i->returned_on);
}

enum err history_add_issue(struct store *st, const struct history_issue *i, struct fault *f) {
	return store_run(st, &history_issue_add, f, "iittttt", i->component, i->member,
			 i->issued_on, i->condition, i->returned_on, i->return_condition, i->note);
}

/* --- inspections ------------------------------------------------------------------------ */

SQL(history_inspection,
    "SELECT i.id, i.reference IS NULL AS is_own, i.kind, i.inspected_on, m.badge AS inspector,"
    " i.performer, coalesce(i.performer_class, 'unknown') AS performer_class, i.note"
    " FROM inspection i JOIN member m ON m.id = i.inspector_id WHERE i.state = 'signed' AND i.id = "
    "(SELECT id FROM inspection WHERE reference = ?1"
    " UNION ALL SELECT o.id FROM reference_code r JOIN inspection o"
    "  ON o.id = CAST(substr(?1, length(r.code) + 5) AS INTEGER)"
    "  WHERE r.id = 1 AND o.reference IS NULL AND ?1 = 'PW-' || r.code || '-' || o.id LIMIT 1)");
SQL(history_own, "SELECT ?1 GLOB 'PW-' || code || '-*' FROM reference_code WHERE id = 1");
SQL(history_inspection_add,
    "INSERT INTO inspection (kind, ensemble_id, inspector_id, performer, started_at, inspected_on,"
    " state, signed_at, reference, note, performer_class) VALUES (?1, (SELECT ensemble_id FROM"
    " component WHERE id = ?2), ?3, ?4, ?5 || 'T12:00:00Z', ?5, 'signed', ?5 || 'T12:00:00Z', ?6,"
    " ?7, ?8)");
SQL(history_part, "SELECT conclusion, worked_s FROM inspection_part WHERE inspection_id = ?1"
		  " AND component_id = ?2");
SQL(history_part_add,
    "INSERT INTO inspection_part (id, component_id, inspection_id, kind, inspected_on, signed,"
    " inspector_name, position, conclusion, worked_s)"
    " SELECT (SELECT coalesce(max(id), ?2 << 20) + 1 FROM inspection_part"
    "         WHERE id BETWEEN (?2 << 20) AND (?2 << 20) + 1048575), ?2, i.id, i.kind,"
    " i.inspected_on, 1, coalesce(i.performer, m.given_name || ' ' || m.family_name),"
    " (SELECT count(*) FROM inspection_part p WHERE p.inspection_id = i.id), ?3, nullif(?4, -1)"
    " FROM inspection i JOIN member m ON m.id = i.inspector_id WHERE i.id = ?1");
/* Of one day, the order of recording is the order of work. */
SQL(history_part_does, "UPDATE follow_up SET done_by_inspection = ?1, version = version + 1"
		       " WHERE component_id = ?2 AND done_by_inspection IS NULL AND duty = ?3"
		       " AND (due_on, (SELECT inspection_id FROM finding WHERE id = finding_id))"
		       "   < ((SELECT inspected_on FROM inspection WHERE id = ?1), ?1)");

enum err history_find_inspection(struct store *st, const char *reference, struct arena *a,
				 struct doc **row, struct fault *f) {
	return store_one(st, &history_inspection, a, row, f, "t", reference);
}

enum err history_is_own(struct store *st, const char *reference, bool *own, struct fault *f) {
	int64_t is = 0;
	enum err err = store_number(st, &history_own, 0, &is, f, "t", reference);
	*own = is != 0;
	return err;
}

enum err history_add_inspection(struct store *st, const struct history_inspection *i, int64_t *id,
				struct fault *f) {
	enum err err = store_run(st, &history_inspection_add, f, "tiittttt", i->kind, i->component,
				 i->inspector, i->performer, i->inspected_on, i->reference, i->note,
				 i->performer_class);
	*id = store_inserted(st);
	return err;
}

enum err history_find_part(struct store *st, int64_t inspection, int64_t component, struct arena *a,
			   struct doc **row, struct fault *f) {
	return store_one(st, &history_part, a, row, f, "ii", inspection, component);
}

enum err history_add_part(struct store *st, const struct history_part *p, struct fault *f) {
	int kind = word_find(inspection_kind_word, INSPECTION_KIND_COUNT, p->kind);
	enum err err = store_run(st, &history_part_add, f, "iiti", p->inspection, p->component,
				 p->conclusion, p->worked_s);
	if (text_equal(p->conclusion, "clean_first") || kind < 0) return err;
	for (int duty = 0; err == ERR_OK && duty < DUTY_COUNT; duty++)
		if (duty_done_by((enum duty_code)duty, (enum inspection_kind)kind))
			err = store_run(st, &history_part_does, f, "iit", p->inspection,
					p->component, duty_word[duty]);
	return err;
}

SQL(history_together,
    "SELECT t.group_code, t.group_title, t.opened_at, m.badge AS answered_by,"
    " t.away_opened_at, t.away_answered_at FROM answered_together t JOIN member m ON m.id = "
    "t.answered_by WHERE t.inspection_id = ?1"
    " AND t.component_id = ?2 AND t.answered_at = ?3 AND json(t.points) = json(?4) LIMIT 1");

enum err history_find_together(struct store *st, const struct together_row *r, struct arena *a,
			       struct doc **row, struct fault *f) {
	return store_one(st, &history_together, a, row, f, "iitt", r->inspection, r->component,
			 r->answered_at, r->points);
}

/* --- findings ------------------------------------------------------------------------------ */

SQL(history_finding,
    "SELECT length_mm, severity, outcome, override_reason, state, closed_on, closed_reason, note"
    " FROM finding WHERE inspection_id = ?1 AND component_id = ?2 AND check_point = ?3"
    " AND defect = ?4 AND zone IS ?5 AND face IS ?6 AND side IS ?7 AND place IS ?8"
    " ORDER BY id LIMIT 1");
SQL(history_finding_add,
    "INSERT INTO finding (component_id, inspection_id, check_point, defect, zone, face, side,"
    " place, severity, outcome, state, closed_on, note, length_mm, override_reason, closed_reason)"
    " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, nullif(?14, -1), ?15, ?16)");
SQL(history_found_on, "SELECT c.kind, c.hazard, i.inspected_on FROM component c, inspection i"
		      " WHERE c.id = ?1 AND i.id = ?2");
SQL(history_due_is_done,
    "UPDATE follow_up SET done_by_inspection ="
    " (SELECT p.inspection_id FROM inspection_part p WHERE p.signed = 1 AND p.kind = ?3"
    "   AND p.id BETWEEN (follow_up.component_id << 20)"
    "   AND (follow_up.component_id << 20) + 1048575"
    "   AND p.conclusion NOT IN ('clean_first', 'not_finished')"
    "   AND (p.inspected_on, p.inspection_id) > (follow_up.due_on, ?4)"
    "   ORDER BY p.inspected_on, p.inspection_id LIMIT 1)"
    " WHERE finding_id = ?1 AND duty = ?2 AND done_by_inspection IS NULL");

enum err history_find_finding(struct store *st, const struct history_finding *h, struct arena *a,
			      struct doc **row, struct fault *f) {
	return store_one(st, &history_finding, a, row, f, "iitttttt", h->inspection, h->component,
			 h->check_point, h->defect, h->zone, h->face, h->side, h->place);
}

/* One thing due beneath, unless what does it was done since. */
static enum err make_due(struct store *st, const struct history_finding *h, int64_t id,
			 const struct follow_up *u, const char *on, struct fault *f) {
	const char *duty = duty_word[u->duty];
	enum err err =
	    follow_up_insert(st, h->component, u->kind->code, id, duty, on, u->reason, f);
	for (int kind = 0; err == ERR_OK && kind < INSPECTION_KIND_COUNT; kind++)
		if (duty_done_by(u->duty, (enum inspection_kind)kind))
			err = store_run(st, &history_due_is_done, f, "itti", id, duty,
					inspection_kind_word[kind], h->inspection);
	return err;
}

/* What signing its inspection would have made due, by the list of today. */
static enum err follow(struct store *st, const struct history_finding *h, int64_t id,
		       const struct handbook *hb, struct arena *a, struct fault *f) {
	struct doc *row = NULL;
	enum err err =
	    store_one(st, &history_found_on, a, &row, f, "ii", h->component, h->inspection);
	if (err != ERR_OK) return err;
	int hazard = word_find(hazard_word, HAZARD_COUNT, doc_text(row, "hazard"));
	const struct kind *kind = handbook_kind(hb, doc_text(row, "kind"));
	const struct checklist *list = handbook_checklist_for(
	    hb, kind, hazard < 0 ? HAZARD_STRUCTURAL : (enum hazard)hazard, "9999-12-31");
	if (!kind || !list) return ERR_OK;
	struct finding found = {
	    .id = id, .check_point = h->check_point, .defect = h->defect, .outcome = h->outcome};
	struct part_record part = {.subject = {.kind = kind, .inspection = INSPECTION_ADVANCED},
				   .checklist = list,
				   .answer = arena_array(a, enum answer, list->point_count + 1),
				   .finding = &found,
				   .finding_count = 1};
	struct verdict verdict;
	if (part.answer) verdict_make(&verdict, &part, hb, a);
	if (arena_failed(a)) return fault_memory(f);
	for (size_t i = 0; err == ERR_OK && i < verdict.follow_up_count; i++)
		err = make_due(st, h, id, &verdict.follow_up[i], doc_text(row, "inspected_on"), f);
	return err;
}

enum err history_add_finding(struct store *st, const struct history_finding *h, struct fault *f) {
	const struct handbook *hb;
	struct arena a;
	enum err err = store_handbook(st, &hb, f);
	if (err == ERR_OK)
		err = store_run(st, &history_finding_add, f, "iitttttttttttitt", h->component,
				h->inspection, h->check_point, h->defect, h->zone, h->face, h->side,
				h->place, h->severity, h->outcome, h->state, h->closed_on, h->note,
				h->length_mm, h->override_reason, h->closed_reason);
	if (err != ERR_OK) return err;
	int64_t id = store_inserted(st);
	arena_init(&a, LIMIT_ARENA_BYTES_MAX);
	err = follow(st, h, id, hb, &a, f);
	arena_clear(&a);
	return err;
}

/* --- repairs --------------------------------------------------------------------------------- */

SQL(history_ticket,
    "SELECT d.id, p.code AS provider, d.state, d.created_on, m.badge AS created_by, d.sent_on,"
    " d.expected_on, d.returned_on, iif(d.state = 'returned',"
    " coalesce(d.performer_class, 'unknown'), NULL) AS performer_class, d.note"
    " FROM dispatch d JOIN provider p ON p.id = d.provider_id JOIN member m ON m.id = d.created_by "
    "WHERE d.number = ?1");
SQL(history_ticket_add,
    "INSERT INTO dispatch (number, provider_id, state, created_on, created_by, sent_on,"
    " expected_on, returned_on, note, performer_class)"
    " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)");
SQL(history_finding_named,
    "SELECT id FROM finding WHERE inspection_id = ?1 AND component_id = ?2 AND check_point = ?3"
    " AND defect = ?4 AND (?5 IS NULL OR zone = ?5) AND (?6 IS NULL OR face = ?6)"
    " AND (?7 IS NULL OR side = ?7) AND (?8 IS NULL OR place = ?8)"
    " ORDER BY (zone IS ?5) + (face IS ?6) + (side IS ?7) + (place IS ?8) DESC, id LIMIT 1");
SQL(history_repair, "SELECT t.result, t.work_done, t.cost_cents AS cost, r.tag AS replacement"
		    " FROM dispatch_item t LEFT JOIN component r ON r.id = t.replacement_id"
		    " WHERE t.dispatch_id = ?1 AND t.finding_id = ?2");
SQL(history_replaced_by, "UPDATE component SET replaced_by = ?2, version = version + 1"
			 " WHERE id = ?1 AND replaced_by IS NULL");
SQL(history_repair_add, "INSERT INTO dispatch_item (dispatch_id, component_id, finding_id, result,"
			" work_done, cost_cents, replacement_id)"
			" VALUES (?1, ?2, ?3, ?4, ?5, nullif(?6, -1), ?7)");

enum err history_find_ticket(struct store *st, const char *number, struct arena *a,
			     struct doc **row, struct fault *f) {
	return store_one(st, &history_ticket, a, row, f, "t", number);
}

enum err history_add_ticket(struct store *st, const struct history_ticket *t, int64_t *id,
			    struct fault *f) {
	enum err err = store_run(st, &history_ticket_add, f, "tittittttt", t->number, t->provider,
				 t->state, t->created_on, t->created_by, t->sent_on, t->expected_on,
				 t->returned_on, t->note, t->performer_class);
	*id = store_inserted(st);
	return err;
}

enum err history_finding_of(struct store *st, const struct history_finding *h, int64_t *id,
			    struct fault *f) {
	return store_number(st, &history_finding_named, 0, id, f, "iitttttt", h->inspection,
			    h->component, h->check_point, h->defect, h->zone, h->face, h->side,
			    h->place);
}

enum err history_find_repair(struct store *st, int64_t ticket, int64_t finding, struct arena *a,
			     struct doc **row, struct fault *f) {
	return store_one(st, &history_repair, a, row, f, "ii", ticket, finding);
}

enum err history_add_repair(struct store *st, const struct history_repair *r, struct fault *f) {
	enum err err = r->replacement ? store_run(st, &history_replaced_by, f, "ii", r->component,
						  r->replacement)
				      : ERR_OK;
	if (err != ERR_OK) return err;
	return store_run(st, &history_repair_add, f, "iiitti0", r->ticket, r->component, r->finding,
			 r->result, r->work_done, r->cost_cents, r->replacement);
}
