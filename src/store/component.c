#include "store/component.h"

#include <string.h>

#include "base/text.h"
#include "store/exposure.h"
#include "store/list.h"

#define COMPONENT_FROM " FROM component c JOIN standing t ON t.component_id = c.id"
#define COMPONENT_WHERE                                                                            \
	" WHERE (?1 IS NULL OR c.search_key LIKE ?1 ESCAPE '\\')"                                  \
	" AND (?2 IS NULL OR c.station_id = ?2) AND (?3 IS NULL OR c.kind = ?3)"                   \
	" AND (?4 IS NULL OR t.state = ?4) AND (?5 IS NULL OR c.hazard = ?5)"
#define COMPONENT_ROWS(order)                                                                      \
	"SELECT c.id, c.tag, c.serial, c.kind, k.label AS kind_label, c.hazard, c.maker, c.model," \
	" c.size, c.made, s.code AS station_code, e.code AS ensemble_code, c.ensemble_id AS"       \
	" ensemble, t.state, t.blocker_count, nullif(t.ready_until, '') AS "                       \
	"ready_until" COMPONENT_FROM " JOIN component_kind k ON k.code = c.kind"                   \
	" JOIN station s ON s.id = c.station_id LEFT JOIN ensemble e ON e.id = "                   \
	"c.ensemble_id" COMPONENT_WHERE " ORDER BY " order " LIMIT ?6 OFFSET ?7"
/* Any part of a word is looked for; the search box on top of each page uses the index. */
SQL_SCAN(components_count, "SELECT count(*) AS total" COMPONENT_FROM COMPONENT_WHERE);
SQL_SCAN(components_by_tag, COMPONENT_ROWS("c.tag"));
SQL_SCAN(components_by_kind, COMPONENT_ROWS("k.position, c.tag"));
SQL_SCAN(components_by_made, COMPONENT_ROWS("c.made, c.tag"));
SQL_SCAN(components_by_end, COMPONENT_ROWS("t.ready_until, c.tag"));

const struct list_source component_list = {
    .count = &components_count,
    .filter = {"station", "kind", "state", "hazard"},
    .sort = {{"tag", "Tag", &components_by_tag},
	     {"kind", "Kind", &components_by_kind},
	     {"made", "Made", &components_by_made},
	     {"ready_until", "Ready until", &components_by_end}},
};

/* What a label says, of the same selection and in the same orders, and of one part, one ensemble
 * or what one member has. */
#define LABEL_FROM                                                                                 \
	COMPONENT_FROM " LEFT JOIN issue i ON i.component_id = c.id AND i.returned_on IS NULL"
#define LABEL_WHERE                                                                                \
	COMPONENT_WHERE " AND (?6 IS NULL OR c.id = ?6) AND (?7 IS NULL OR c.ensemble_id = ?7)"    \
			" AND (?8 IS NULL OR i.member_id = ?8)"
#define LABEL_ROWS(order)                                                                          \
	"SELECT c.id, c.tag, k.label AS kind_label, c.size, e.code AS ensemble_code,"              \
	" m.given_name || ' ' || m.family_name AS holder_name" LABEL_FROM                          \
	" JOIN component_kind k ON k.code = c.kind LEFT JOIN ensemble e ON e.id = c.ensemble_id"   \
	" LEFT JOIN member m ON m.id = i.member_id" LABEL_WHERE " ORDER BY " order                 \
	" LIMIT ?9 OFFSET ?10"
SQL_SCAN(labels_count, "SELECT count(*) AS total" LABEL_FROM LABEL_WHERE);
SQL_SCAN(labels_by_tag, LABEL_ROWS("c.tag"));
SQL_SCAN(labels_by_kind, LABEL_ROWS("k.position, c.tag"));
SQL_SCAN(labels_by_made, LABEL_ROWS("c.made, c.tag"));
SQL_SCAN(labels_by_end, LABEL_ROWS("t.ready_until, c.tag"));

const struct list_source label_list = {
    .count = &labels_count,
    .filter = {"station", "kind", "state", "hazard", "component", "ensemble", "member"},
    .sort = {{"tag", "Tag", &labels_by_tag},
	     {"kind", "Kind", &labels_by_kind},
	     {"made", "Made", &labels_by_made},
	     {"ready_until", "Ready until", &labels_by_end}},
};

SQL(component_of_id,
    "SELECT c.id, c.tag, c.serial, c.kind, k.label AS kind_label, c.hazard, c.maker, c.model,"
    " c.size, c.made, c.life_months, c.in_service_on, c.ensemble_id AS ensemble_id, e.code AS "
    "ensemble, e.line,"
    " c.station_id AS station, st.code || ' ' || st.name AS station_label, c.cbrn, c.trim,"
    " c.reflective, c.cost_cents AS cost, c.withdrawn_reason, c.retired_on, c.retired_ground,"
    " nullif(c.retired_reason, '') AS retired_reason, rb.badge AS retired_by,"
    " rb.given_name || ' ' || rb.family_name AS retired_by_name, c.disposed_on, c.disposal_way,"
    " nullif(c.disposal_method, '') AS disposal_method, c.disposal_witness, c.training_on,"
    " tb.badge AS training_by, tb.given_name || ' ' || tb.family_name AS training_by_name,"
    " c.training_mark, c.replaced_by, (SELECT tag FROM component r"
    " WHERE r.id = c.replaced_by) AS replaced_by_tag, c.note, t.state, t.blocker_count,"
    " t.blockers AS blockers_json, nullif(t.ready_until, '') AS ready_until, i.id AS issue,"
    " i.member_id AS holder, h.given_name || ' ' || h.family_name AS holder_name, i.issued_on,"
    " i.condition_at_issue, c.version"
    " FROM component c JOIN component_kind k ON k.code = c.kind"
    " JOIN station st ON st.id = c.station_id JOIN standing t ON t.component_id = c.id"
    " LEFT JOIN ensemble e ON e.id = c.ensemble_id"
    " LEFT JOIN issue i ON i.component_id = c.id AND i.returned_on IS NULL"
    " LEFT JOIN member h ON h.id = i.member_id LEFT JOIN member rb ON rb.id = c.retired_by"
    " LEFT JOIN member tb ON tb.id = c.training_by WHERE c.id = ?1");
SQL(component_id_of_tag, "SELECT id FROM component WHERE tag = ?1");
SQL(component_insert,
    "INSERT INTO component (tag, serial, kind, hazard, search_key, maker, model, size, made,"
    " in_service_on, ensemble_id, station_id, cbrn, trim, reflective, cost_cents, note,"
    " life_months) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15,"
    " nullif(?16, -1), ?17, ?18)");
SQL(component_update,
    "UPDATE component SET tag = ?2, serial = ?3, kind = ?4, hazard = ?5, search_key = ?6,"
    " maker = ?7, model = ?8, size = ?9, made = ?10, in_service_on = ?11, ensemble_id = ?12,"
    " station_id = ?13,"
    " cbrn = ?14, trim = ?15, reflective = ?16, cost_cents = nullif(?17, -1), note = ?18,"
    " life_months = ?19, version = version + 1 WHERE id = ?1");

SQL(duties_of_component,
    "SELECT d.duty, k.label AS duty_label, d.due_on, d.rule, d.fact, d.fact_on, d.reason,"
    " d.due_on < ?2 AS is_overdue, d.due_on IS NULL AS is_undated"
    " FROM duty d JOIN duty_kind k ON k.code = d.duty WHERE d.component_id = ?1"
    " ORDER BY d.due_on IS NULL DESC, d.due_on");
/* The parts of a component lie together, in order of time; see the schema. */
SQL(inspections_of_component,
    "SELECT inspection_id AS inspection, kind, inspected_on, inspector_name, conclusion,"
    " blocker_count, signed AS is_signed, (SELECT performer_class FROM inspection i"
    " WHERE i.id = inspection_id) AS performer_class FROM inspection_part"
    " WHERE id BETWEEN (?1 << 20) AND (?1 << 20) + 1048575 ORDER BY inspected_on DESC, id DESC"
    " LIMIT ?2");
SQL(findings_of_component,
    "SELECT f.id, f.inspection_id AS inspection, f.check_point, d.label AS defect_label,"
    " f.zone, z.label AS zone_label, f.face, f.side, f.place, f.severity, o.label AS outcome_label,"
    " o.to_ticket AS is_for_ticket, f.note, f.state, f.state = 'open' AS is_open, f.closed_on,"
    " (SELECT i.inspected_on FROM inspection i WHERE i.id = f.inspection_id) AS found_on"
    " FROM finding f JOIN component c ON c.id = f.component_id JOIN defect d ON d.code = f.defect"
    " JOIN outcome o ON o.code = f.outcome"
    " LEFT JOIN kind_zone z ON z.kind = c.kind AND z.code = f.zone"
    " WHERE f.component_id = ?1 AND f.state <> 'withdrawn'"
    " AND (f.state <> 'draft' OR f.inspection_id = ?2) ORDER BY f.id DESC");
SQL(issues_of_component,
    "SELECT i.member_id AS member, m.given_name || ' ' || m.family_name AS name, m.badge,"
    " i.issued_on, i.condition_at_issue, i.returned_on, i.condition_at_return, i.note"
    " FROM issue i JOIN member m ON m.id = i.member_id WHERE i.component_id = ?1"
    " ORDER BY i.issued_on DESC, i.id DESC");
SQL(cleanings_of_component,
    "SELECT c.cleaned_on, c.class, c.reason, c.performed_by,"
    " nullif(p.name, c.performed_by) AS provider_name, c.note,"
    " c.performer_class, c.sanitized AND NOT k.is_hard AS is_sanitized,"
    " c.sanitized AND k.is_hard AS is_disinfected, c.method, c.water_mf,"
    " c.ph_hundredths, c.force_g, c.bleach, c.dried, c.dry_mf, c.beyond IS NOT NULL AS is_beyond,"
    " c.washer, c.load_percent, c.prepared = 0 AS is_unprepared"
    " FROM cleaning c JOIN component x ON x.id = c.component_id"
    " JOIN component_kind k ON k.code = x.kind"
    " LEFT JOIN provider p ON p.id = c.provider_id WHERE c.component_id = ?1"
    " ORDER BY c.cleaned_on DESC, c.id DESC");
SQL(repairs_of_component,
    "SELECT d.id AS dispatch, d.number, d.state, p.name AS provider_name, d.sent_on, d.returned_on,"
    " d.performer_class, i.result, i.work_done, i.cost_cents, f.id AS finding,"
    " df.label AS defect_label FROM dispatch_item i JOIN dispatch d ON d.id = i.dispatch_id"
    " JOIN provider p ON p.id = d.provider_id JOIN finding f ON f.id = i.finding_id"
    " JOIN defect df ON df.code = f.defect WHERE i.component_id = ?1 ORDER BY d.id DESC, i.id");
SQL(entries_of_component,
    "SELECT e.seq, e.at, e.actor, e.action, e.hash FROM audit_record r"
    " JOIN audit_entry e ON e.seq = r.seq WHERE r.table_name = 'component' AND r.record_id = ?1"
    " ORDER BY r.seq DESC LIMIT 100");

SQL(withdraw_component, "UPDATE component SET withdrawn_reason = ?2, version = version + 1"
			" WHERE id = ?1");
SQL(insert_issue, "INSERT INTO issue (component_id, member_id, issued_on, condition_at_issue, note)"
		  " VALUES (?1, ?2, ?3, ?4, ?5)");
SQL(issues_meeting, "SELECT EXISTS (SELECT 1 FROM issue WHERE component_id = ?1"
		    " AND issued_on < coalesce(?3, '9999')"
		    " AND coalesce(returned_on, '9999') > ?2)");
SQL(end_issue, "UPDATE issue SET returned_on = ?2, condition_at_return = ?3, version = version + 1"
	       " WHERE id = ?1 AND returned_on IS NULL");
SQL(insert_cleaning,
    "INSERT INTO cleaning (component_id, cleaned_on, class, reason, performed_by,"
    " provider_id, note, method, water_mf, ph_hundredths, force_g, bleach, beyond, dried,"
    " dry_mf, performer_class, sanitized, washer, load_percent, prepared)"
    " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, iif(?9, ?10, NULL), ?11, ?12,"
    " iif(?13, ?14, NULL), nullif(?15, 0), ?16, iif(?17, ?18, NULL), ?19, nullif(?20, 0), ?21, ?22,"
    " iif(?23, ?24, NULL))");
/* What waits for cleaning ends with one of a later day; with one of its own day only when that
 * is said to have been done after it: the order of writing down tells nothing. */
SQL(end_soiled_findings,
    "UPDATE finding SET state = 'mended', closed_on = ?2, closed_reason = 'Cleaned',"
    " version = version + 1 WHERE component_id = ?1 AND state = 'open'"
    " AND (SELECT closed_by FROM outcome WHERE code = finding.outcome) = 'cleaning'"
    " AND (SELECT inspected_on FROM inspection WHERE id = finding.inspection_id)"
    "   < iif(?3, date(?2, '+1 day'), ?2)");
SQL(waits_since_that_day,
    "SELECT EXISTS (SELECT 1 FROM exposure WHERE component_id = ?1 AND exposed_on = ?2"
    "   AND ended_by_cleaning IS NULL AND revoked_on IS NULL)"
    " OR EXISTS (SELECT 1 FROM finding f JOIN outcome o ON o.code = f.outcome"
    "   JOIN inspection i ON i.id = f.inspection_id WHERE f.component_id = ?1"
    "   AND f.state = 'open' AND o.closed_by = 'cleaning' AND i.inspected_on = ?2)");

enum err component_save(struct store *st, const struct component_row *r, struct arena *a,
			int64_t *id, struct fault *f) {
	const char *words = arena_printf(a, "%s %s %s %s", r->tag, r->serial ? r->serial : "",
					 r->maker ? r->maker : "", r->model ? r->model : "");
	const char *key = words ? text_fold(a, words) : NULL;
	if (!key) return fault_set(f, ERR_MEMORY, NULL, "There is no memory left.");
	*id = r->id;
	if (r->id)
		return store_run(st, &component_update, f, "itttttttttt0ibbbit0", r->id, r->tag,
				 r->serial, r->kind, r->hazard, key, r->maker, r->model, r->size,
				 r->made, r->in_service_on, r->ensemble, r->station, r->cbrn,
				 r->trim, r->reflective, r->cost_cents, r->note, r->life_months);
	enum err err = store_run(st, &component_insert, f, "tttttttttt0ibbbit0", r->tag, r->serial,
				 r->kind, r->hazard, key, r->maker, r->model, r->size, r->made,
				 r->in_service_on, r->ensemble, r->station, r->cbrn, r->trim,
				 r->reflective, r->cost_cents, r->note, r->life_months);
	*id = store_inserted(st);
	return err;
}

enum err component_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
		       struct fault *f) {
	return store_one(st, &component_of_id, a, row, f, "i", id);
}

enum err component_by_tag(struct store *st, const char *tag, int64_t *id, struct fault *f) {
	return store_number(st, &component_id_of_tag, 0, id, f, "t", tag);
}

enum err component_duties(struct store *st, int64_t id, day today, struct arena *a,
			  struct doc *list, struct fault *f) {
	return store_list(st, &duties_of_component, a, list, f, "id", id, today);
}

enum err component_inspections(struct store *st, int64_t id, int64_t limit, struct arena *a,
			       struct doc *list, struct fault *f) {
	return store_list(st, &inspections_of_component, a, list, f, "ii", id, limit);
}

enum err component_findings(struct store *st, int64_t id, int64_t draft, struct arena *a,
			    struct doc *list, struct fault *f) {
	return store_list(st, &findings_of_component, a, list, f, "ii", id, draft);
}

enum err component_issues(struct store *st, int64_t id, struct arena *a, struct doc *list,
			  struct fault *f) {
	return store_list(st, &issues_of_component, a, list, f, "i", id);
}

enum err component_cleanings(struct store *st, int64_t id, struct arena *a, struct doc *list,
			     struct fault *f) {
	return store_list(st, &cleanings_of_component, a, list, f, "i", id);
}

enum err component_repairs(struct store *st, int64_t id, struct arena *a, struct doc *list,
			   struct fault *f) {
	return store_list(st, &repairs_of_component, a, list, f, "i", id);
}

enum err component_entries(struct store *st, int64_t id, struct arena *a, struct doc *list,
			   struct fault *f) {
	return store_list(st, &entries_of_component, a, list, f, "i", id);
}

enum err component_withdraw(struct store *st, int64_t id, const char *reason, struct fault *f) {
	return store_run(st, &withdraw_component, f, "it", id, reason);
}

enum err issue_insert(struct store *st, int64_t component, int64_t member, const char *on,
		      const char *condition, const char *note, struct fault *f) {
	return store_run(st, &insert_issue, f, "iittt", component, member, on, condition, note);
}

enum err issue_meets(struct store *st, int64_t component, const char *from, const char *until,
		     bool *meets, struct fault *f) {
	int64_t count = 0;
	enum err err =
	    store_number(st, &issues_meeting, 0, &count, f, "itt", component, from, until);
	*meets = count > 0;
	return err;
}

enum err issue_end(struct store *st, int64_t issue, const char *on, const char *condition,
		   struct fault *f) {
	return store_run(st, &end_issue, f, "itt", issue, on, condition);
}

enum err cleaning_insert(struct store *st, const struct cleaning_row *r, struct fault *f) {
	enum err err = store_run(st, &insert_cleaning, f, "itttt0ttbi00bbbtbitbt0bb", r->component,
				 r->cleaned_on, r->class, r->reason, r->performed_by, r->provider,
				 r->note, r->method, r->has_water, r->water_mf, r->ph_hundredths,
				 r->force_g, r->has_bleach, r->bleach, r->beyond, r->dried,
				 r->has_dry, r->dry_mf, r->performer_class, r->sanitized, r->washer,
				 r->load_percent, r->has_prepared, r->prepared);
	if (err == ERR_OK && r->done_after)
		err = exposures_end(st, r->component, store_inserted(st), f);
	if (err != ERR_OK || strcmp(r->class, "routine") == 0) return err;
	return store_run(st, &end_soiled_findings, f, "itb", r->component, r->cleaned_on,
			 r->done_after);
}

enum err cleaning_meets(struct store *st, int64_t component, const char *on, bool *meets,
			struct fault *f) {
	int64_t waits = 0;
	enum err err = store_number(st, &waits_since_that_day, 0, &waits, f, "it", component, on);
	*meets = waits != 0;
	return err;
}
