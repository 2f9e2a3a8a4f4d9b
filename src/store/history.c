#include "store/history.h"

SQL(history_cleaning, "SELECT count(*) FROM cleaning WHERE component_id = ?1 AND cleaned_on = ?2"
		      " AND class = ?3");
/* Those made here are named by their number in exports. */
SQL(history_inspection,
    "SELECT id FROM inspection WHERE reference = ?1"
    " UNION ALL SELECT id FROM inspection WHERE reference IS NULL"
    " AND id = CASE WHEN ?1 GLOB 'PW-[0-9]*' THEN CAST(substr(?1, 4) AS INTEGER) END"
    " AND ?1 = 'PW-' || id LIMIT 1");
SQL(history_issue_known, "SELECT count(*) FROM issue WHERE component_id = ?1 AND member_id = ?2"
			 " AND issued_on = ?3 AND returned_on IS ?4");
SQL(history_issue_add, "INSERT INTO issue (component_id, member_id, issued_on, condition_at_issue,"
		       " returned_on, condition_at_return, note)"
		       " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)");
SQL(history_finding_of, "SELECT id FROM finding WHERE inspection_id = ?1 AND component_id = ?2"
			" AND check_point = ?3 AND defect = ?4");
SQL(history_dispatch, "SELECT id FROM dispatch WHERE number = ?1");
SQL(history_dispatch_add,
    "INSERT INTO dispatch (number, provider_id, state, created_on, created_by, sent_on,"
    " expected_on, returned_on) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)");
SQL(history_item_known,
    "SELECT count(*) FROM dispatch_item WHERE dispatch_id = ?1 AND finding_id = ?2");
SQL(history_item_add, "INSERT INTO dispatch_item (dispatch_id, component_id, finding_id, result,"
		      " work_done, cost_cents, replacement_id)"
		      " VALUES (?1, ?2, ?3, ?4, ?5, nullif(?6, -1), ?7)");
SQL(history_inspection_add,
    "INSERT INTO inspection (kind, ensemble_id, inspector_id, performer, started_at, inspected_on,"
    " state, signed_at, reference) VALUES (?1, (SELECT ensemble_id FROM component WHERE id = ?2), "
    "?3,"
    " ?4, ?5 || 'T12:00:00Z', ?5, 'signed', ?5 || 'T12:00:00Z', ?6)");
SQL(history_part_known, "SELECT count(*) FROM inspection_part WHERE inspection_id = ?1"
			" AND component_id = ?2");
SQL(history_part_add,
    "INSERT INTO inspection_part (id, component_id, inspection_id, kind, inspected_on, signed,"
    " inspector_name, position, conclusion)"
    " SELECT (SELECT coalesce(max(id), ?2 << 20) + 1 FROM inspection_part"
    "         WHERE id BETWEEN (?2 << 20) AND (?2 << 20) + 1048575), ?2, i.id, i.kind,"
    " i.inspected_on, 1, coalesce(i.performer, m.given_name || ' ' || m.family_name),"
    " (SELECT count(*) FROM inspection_part p WHERE p.inspection_id = i.id), ?3"
    " FROM inspection i JOIN member m ON m.id = i.inspector_id WHERE i.id = ?1");
SQL(history_words, "SELECT (SELECT count(*) FROM defect WHERE code = ?1) +"
		   " (SELECT count(*) FROM outcome WHERE code = ?2)");
SQL(history_finding_add,
    "INSERT INTO finding (component_id, inspection_id, check_point, defect, zone, face, side,"
    " place, severity, outcome, state, closed_on, note, length_mm, override_reason, closed_reason)"
    " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, nullif(?14, -1), ?15, ?16)");

enum err history_has_cleaning(struct store *st, const struct cleaning_row *r, bool *known,
			      struct fault *f) {
	int64_t count;
	enum err err = store_number(st, &history_cleaning, 0, &count, f, "itt", r->component,
				    r->cleaned_on, r->class);
	*known = count > 0;
	return err;
}

enum err history_add_part(struct store *st, const struct history_part *p, bool *known,
			  struct fault *f) {
	int64_t id, count = 0;
	enum err err = store_number(st, &history_inspection, 0, &id, f, "t", p->reference);
	if (err == ERR_OK && !id) {
		err = store_run(st, &history_inspection_add, f, "tiittt", p->kind, p->component,
				p->inspector, p->performer, p->inspected_on, p->reference);
		id = store_inserted(st);
	}
	if (err == ERR_OK)
		err = store_number(st, &history_part_known, 0, &count, f, "ii", id, p->component);
	*known = count > 0;
	if (err != ERR_OK || *known) return err;
	return store_run(st, &history_part_add, f, "iit", id, p->component, p->conclusion);
}

enum err history_add_finding(struct store *st, const struct history_finding *h, bool *known,
			     bool *found, struct fault *f) {
	int64_t id, finding = 0, words = 0;
	enum err err = store_number(st, &history_inspection, 0, &id, f, "t", h->reference);
	if (err == ERR_OK)
		err = store_number(st, &history_words, 0, &words, f, "tt", h->defect, h->outcome);
	*found = id && words == 2;
	if (err != ERR_OK || !*found) return err;
	err = store_number(st, &history_finding_of, 0, &finding, f, "iitt", id, h->component,
			   h->check_point, h->defect);
	*known = finding != 0;
	if (err != ERR_OK || *known) return err;
	return store_run(st, &history_finding_add, f, "iitttttttttttitt", h->component, id,
			 h->check_point, h->defect, h->zone, h->face, h->side, h->place,
			 h->severity, h->outcome, h->state, h->closed_on, h->note, h->length_mm,
			 h->override_reason, h->closed_reason);
}

enum err history_add_issue(struct store *st, const struct history_issue *i, bool *known,
			   struct fault *f) {
	int64_t count = 0;
	enum err err = store_number(st, &history_issue_known, 0, &count, f, "iitt", i->component,
				    i->member, i->issued_on, i->returned_on);
	*known = count > 0;
	if (err != ERR_OK || *known) return err;
	return store_run(st, &history_issue_add, f, "iittttt", i->component, i->member,
			 i->issued_on, i->condition, i->returned_on, i->return_condition, i->note);
}

static enum err find_finding(struct store *st, const struct history_repair *r, int64_t *id,
			     struct fault *f) {
	int64_t inspection;
	enum err err = store_number(st, &history_inspection, 0, &inspection, f, "t", r->reference);
	*id = 0;
	if (err != ERR_OK || !inspection) return err;
	return store_number(st, &history_finding_of, 0, id, f, "iitt", inspection, r->component,
			    r->check_point, r->defect);
}

enum err history_add_repair(struct store *st, const struct history_repair *r, bool *known,
			    bool *found, struct fault *f) {
	int64_t dispatch, finding, count = 0;
	enum err err = find_finding(st, r, &finding, f);
	*found = finding != 0;
	if (err != ERR_OK || !*found) return err;
	err = store_number(st, &history_dispatch, 0, &dispatch, f, "t", r->number);
	if (err == ERR_OK && !dispatch) {
		err = store_run(st, &history_dispatch_add, f, "tittittt", r->number, r->provider,
				r->state, r->created_on, r->created_by, r->sent_on, r->expected_on,
				r->returned_on);
		dispatch = store_inserted(st);
	}
	if (err == ERR_OK)
		err = store_number(st, &history_item_known, 0, &count, f, "ii", dispatch, finding);
	*known = count > 0;
	if (err != ERR_OK || *known) return err;
	return store_run(st, &history_item_add, f, "iiitti0", dispatch, r->component, finding,
			 r->result, r->work_done, r->cost_cents, r->replacement);
}
