#include "store/history.h"

SQL(history_cleaning, "SELECT count(*) FROM cleaning WHERE component_id = ?1 AND cleaned_on = ?2"
		      " AND class = ?3");
SQL(history_inspection, "SELECT id FROM inspection WHERE reference = ?1");
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
SQL(history_finding_known, "SELECT count(*) FROM finding WHERE inspection_id = ?1"
			   " AND component_id = ?2 AND check_point = ?3 AND defect = ?4");
SQL(history_words, "SELECT (SELECT count(*) FROM defect WHERE code = ?1) +"
		   " (SELECT count(*) FROM outcome WHERE code = ?2)");
SQL(history_finding_add,
    "INSERT INTO finding (component_id, inspection_id, check_point, defect, zone, face, side, "
    "place,"
    " severity, outcome, state, closed_on, note) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10,"
    " ?11, ?12, ?13)");

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
	int64_t id, count = 0, words = 0;
	enum err err = store_number(st, &history_inspection, 0, &id, f, "t", h->reference);
	if (err == ERR_OK)
		err = store_number(st, &history_words, 0, &words, f, "tt", h->defect, h->outcome);
	*found = id && words == 2;
	if (err != ERR_OK || !*found) return err;
	err = store_number(st, &history_finding_known, 0, &count, f, "iitt", id, h->component,
			   h->check_point, h->defect);
	*known = count > 0;
	if (err != ERR_OK || *known) return err;
	return store_run(st, &history_finding_add, f, "iittttttttttt", h->component, id,
			 h->check_point, h->defect, h->zone, h->face, h->side, h->place,
			 h->severity, h->outcome, h->state, h->closed_on, h->note);
}
