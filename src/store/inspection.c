#include "store/inspection.h"

#include "store/internal.h"
#include "store/list.h"

/* --- reading -------------------------------------------------------------- */

SQL(inspection_by_id,
    "SELECT i.id, i.kind, i.state, i.ensemble_id AS ensemble, e.code AS ensemble_code,"
    " e.hazard, e.line, i.inspector_id AS inspector,"
    " m.given_name || ' ' || m.family_name AS inspector_name, m.badge AS inspector_badge,"
    " i.performer, i.performer_class, i.started_at, i.inspected_on, i.signed_at, i.note, i.version"
    " FROM inspection i JOIN member m ON m.id = i.inspector_id"
    " LEFT JOIN ensemble e ON e.id = i.ensemble_id WHERE i.id = ?1");

SQL(parts_of_inspection,
    "SELECT p.id, p.component_id AS component, c.tag, c.serial, c.kind,"
    " k.label AS kind_label, c.hazard, c.maker, c.model, c.size, c.made,"
    " c.trim AS has_trim, c.reflective AS is_reflective, p.checklist_id AS checklist,"
    " p.clean, p.model_agrees, p.size_agrees, p.answers AS answers_json, p.conclusion,"
    " p.blocker_count, p.worked_s, p.worked_until, p.left_on, p.version,"
    " (SELECT blocker_count > 0 FROM standing WHERE component_id = p.component_id) AS"
    " is_blocked_now,"
    " (SELECT x.id FROM exposure x, inspection_part n WHERE n.id = p.id"
    "   AND x.component_id = p.component_id AND p.signed = 1 AND " EXPOSURE_TAINTS
    "   ORDER BY x.exposed_on LIMIT 1) AS tainted_by"
    " FROM inspection_part p JOIN component c ON c.id = p.component_id"
    " JOIN component_kind k ON k.code = c.kind"
    " WHERE p.inspection_id = ?1 ORDER BY p.position, p.id");

#define FINDING_COLUMNS                                                                            \
	"f.id, f.component_id AS component, f.inspection_id AS inspection, f.check_point,"         \
	" f.defect, d.label AS defect_label, f.zone, z.label AS zone_label, f.face, f.side,"       \
	" f.place, f.severity, f.outcome, o.label AS outcome_label, o.blocks AS is_blocking,"      \
	" f.override_reason, f.length_mm, f.note, f.state, f.version, c.tag,"                      \
	" (SELECT i.inspected_on FROM inspection i WHERE i.id = f.inspection_id) AS found_on,"     \
	" (SELECT max(x.returned_on) FROM dispatch_item t JOIN dispatch x ON x.id ="               \
	"   t.dispatch_id WHERE t.finding_id = f.id AND x.state = 'returned'"                      \
	"   AND t.result IN ('repaired', 'no_fault_found')) AS came_back_on"
#define FINDING_JOINS                                                                              \
	" JOIN defect d ON d.code = f.defect JOIN outcome o ON o.code = f.outcome"                 \
	" JOIN component c ON c.id = f.component_id"                                               \
	" LEFT JOIN kind_zone z ON z.kind = c.kind AND z.code = f.zone"

SQL(findings_of_inspection,
    "SELECT " FINDING_COLUMNS " FROM finding f" FINDING_JOINS
    " WHERE f.inspection_id = ?1 AND f.state <> 'withdrawn' ORDER BY f.component_id, f.id");

SQL(together_of_inspection,
    "SELECT t.component_id AS component, t.group_code, t.group_title, t.points AS points_json,"
    " t.opened_at, t.answered_at, t.answered_by,"
    " t.away_opened_at, t.away_answered_at,"
    " m.given_name || ' ' || m.family_name AS answered_by_name"
    " FROM answered_together t JOIN member m ON m.id = t.answered_by"
    " WHERE t.inspection_id = ?1 ORDER BY t.component_id, t.id");

SQL(earlier_findings, "SELECT " FINDING_COLUMNS " FROM inspection_part p"
		      " JOIN finding f ON f.component_id = p.component_id" FINDING_JOINS
		      " WHERE p.inspection_id = ?1 AND f.state = 'open' AND f.inspection_id <> ?1"
		      " ORDER BY p.position, f.id");

SQL(finding_of_inspection, "SELECT " FINDING_COLUMNS " FROM finding f" FINDING_JOINS
			   " WHERE f.id = ?1 AND f.inspection_id = ?2");

#define CANDIDATE_COLUMNS                                                                          \
	"c.id AS component, c.tag, c.kind, k.label AS kind_label, c.hazard, c.trim AS has_trim,"   \
	" c.reflective AS is_reflective, c.ensemble_id AS ensemble, s.state, c.retired_on,"        \
	" s.blockers LIKE '%\"code\":\"contaminated\"%' AS is_contaminated,"                       \
	" (SELECT p.inspection_id FROM inspection_part p JOIN inspection i"                        \
	"   ON i.id = p.inspection_id WHERE p.id BETWEEN (c.id << 20) AND (c.id << 20) + 1048575"  \
	"   AND i.state = 'draft' LIMIT 1) AS draft"                                               \
	" FROM component c JOIN component_kind k ON k.code = c.kind"                               \
	" LEFT JOIN standing s ON s.component_id = c.id"

SQL(candidates_of_ensemble,
    "SELECT " CANDIDATE_COLUMNS " WHERE c.ensemble_id = ?1 AND c.retired_on IS NULL"
    " ORDER BY k.position, c.id");

SQL(candidate_by_id, "SELECT " CANDIDATE_COLUMNS " WHERE c.id = ?1");

enum err inspection_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
			struct fault *f) {
	return store_one(st, &inspection_by_id, a, row, f, "i", id);
}

enum err inspection_parts(struct store *st, int64_t id, struct arena *a, struct doc *list,
			  struct fault *f) {
	return store_list(st, &parts_of_inspection, a, list, f, "i", id);
}

enum err inspection_findings(struct store *st, int64_t id, struct arena *a, struct doc *list,
			     struct fault *f) {
	return store_list(st, &findings_of_inspection, a, list, f, "i", id);
}

enum err inspection_answered_together(struct store *st, int64_t id, struct arena *a,
				      struct doc *list, struct fault *f) {
	return store_list(st, &together_of_inspection, a, list, f, "i", id);
}

enum err inspection_earlier_findings(struct store *st, int64_t id, struct arena *a,
				     struct doc *list, struct fault *f) {
	return store_list(st, &earlier_findings, a, list, f, "i", id);
}

enum err inspection_finding_get(struct store *st, int64_t inspection, int64_t finding,
				struct arena *a, struct doc **row, struct fault *f) {
	return store_one(st, &finding_of_inspection, a, row, f, "ii", finding, inspection);
}

enum err inspection_candidates_of_ensemble(struct store *st, int64_t ensemble, struct arena *a,
					   struct doc *list, struct fault *f) {
	return store_list(st, &candidates_of_ensemble, a, list, f, "i", ensemble);
}

enum err inspection_candidate(struct store *st, int64_t component, struct arena *a,
			      struct doc **row, struct fault *f) {
	return store_one(st, &candidate_by_id, a, row, f, "i", component);
}

/* --- writing -------------------------------------------------------------- */

SQL(insert_inspection,
    "INSERT INTO inspection (kind, ensemble_id, inspector_id, started_at, inspected_on)"
    " VALUES (?1, ?2, ?3, ?4, ?5)");

/* The next id of the component's range; see inspection_part in the schema. */
SQL(insert_part, "INSERT INTO inspection_part (id, component_id, inspection_id, kind, inspected_on,"
		 " inspector_name, checklist_id, position)"
		 " SELECT (SELECT coalesce(max(id), ?2 << 20) + 1 FROM inspection_part"
		 "         WHERE id BETWEEN (?2 << 20) AND (?2 << 20) + 1048575),"
		 " ?2, i.id, i.kind, i.inspected_on, m.given_name || ' ' || m.family_name, ?3, ?4"
		 " FROM inspection i JOIN member m ON m.id = i.inspector_id WHERE i.id = ?1");

SQL(prepare_part, "UPDATE inspection_part SET clean = ?2, model_agrees = ?3, size_agrees = ?4,"
		  " version = version + 1 WHERE id = ?1");

SQL(answer_part, "UPDATE inspection_part SET answers = ?2, version = version + 1 WHERE id = ?1");

SQL(work_on_part, "UPDATE inspection_part SET worked_s = coalesce(worked_s, 0) + ?2,"
		  " worked_until = ?3 WHERE id = ?1");

SQL(insert_together,
    "INSERT INTO answered_together (inspection_id, component_id, group_code, group_title,"
    " points, opened_at, answered_at, answered_by, away_opened_at, away_answered_at)"
    " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)");

SQL(sign_part, "UPDATE inspection_part SET signed = 1, conclusion = ?2, blocker_count = ?3,"
	       " version = version + 1 WHERE id = ?1");

SQL(sign_inspection,
    "UPDATE inspection SET state = 'signed', signed_at = ?2, note = coalesce(?3, note),"
    " performer_class = ?4, version = version + 1 WHERE id = ?1");

SQL(abandon_inspection,
    "UPDATE inspection SET state = 'abandoned', note = ?2, version = version + 1"
    " WHERE id = ?1");

SQL(take_over_inspection,
    "UPDATE inspection SET inspector_id = ?2, version = version + 1 WHERE id = ?1");

SQL(take_over_parts, "UPDATE inspection_part SET inspector_name ="
		     " (SELECT given_name || ' ' || family_name FROM member WHERE id = ?2),"
		     " version = version + 1 WHERE inspection_id = ?1");

SQL(withdraw_findings, "UPDATE finding SET state = 'withdrawn', version = version + 1"
		       " WHERE inspection_id = ?1 AND state = 'draft'");

SQL(insert_finding,
    "INSERT INTO finding (component_id, inspection_id, check_point, defect, zone, face,"
    " side, place, severity, outcome, override_reason, length_mm, note)"
    " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13)");

SQL(update_finding,
    "UPDATE finding SET defect = ?2, zone = ?3, face = ?4, side = ?5, place = ?6,"
    " severity = ?7, outcome = ?8, override_reason = ?9, length_mm = ?10, note = ?11,"
    " version = version + 1 WHERE id = ?1");

SQL(finding_state, "UPDATE finding SET state = ?2, version = version + 1 WHERE id = ?1");

SQL(mend_finding, "UPDATE finding SET state = 'mended', closed_on = ?3, closed_by_inspection = ?2,"
		  " version = version + 1 WHERE id = ?1 AND state = 'open'");

/* Who wears c: who has it, else whose ensemble it is in. */
#define WEARER                                                                                     \
	"coalesce((SELECT member_id FROM issue WHERE component_id = c.id AND returned_on IS "      \
	"NULL),"                                                                                   \
	" (SELECT member_id FROM ensemble WHERE id = c.ensemble_id AND active = 1))"
/* Of the same ensemble; or against the same hazard on loan to who wears it; or, beneath what is
 * itself on loan and came without one, of any ensemble of its wearer: nobody knows of which. */
#define PARTS_BENEATH(columns)                                                                     \
	"SELECT " columns " FROM component c JOIN component b ON b.ensemble_id = c.ensemble_id"    \
	" WHERE c.id = ?1 AND b.kind = ?2 AND b.retired_on IS NULL"                                \
	" UNION SELECT " columns " FROM component c"                                               \
	" JOIN issue y ON y.member_id = " WEARER " AND y.returned_on IS NULL"                      \
	" JOIN component b ON b.id = y.component_id AND b.hazard = c.hazard"                       \
	" WHERE c.id = ?1 AND b.kind = ?2 AND b.retired_on IS NULL"                                \
	" UNION SELECT " columns " FROM component c JOIN issue x ON x.component_id = c.id"         \
	"   AND x.returned_on IS NULL"                                                             \
	" JOIN ensemble e ON e.member_id = x.member_id AND e.hazard = c.hazard AND e.active = 1"   \
	" JOIN component b ON b.ensemble_id = e.id"                                                \
	" WHERE c.id = ?1 AND b.kind = ?2 AND b.retired_on IS NULL"                                \
	" AND NOT EXISTS (SELECT 1 FROM ensemble o WHERE o.id = c.ensemble_id"                     \
	"   AND o.member_id = x.member_id)"                                                        \
	" AND NOT EXISTS (SELECT 1 FROM issue y JOIN component l ON l.id = y.component_id"         \
	"   AND l.kind = b.kind AND l.hazard = c.hazard"                                           \
	"   WHERE y.member_id = x.member_id AND y.returned_on IS NULL)"                            \
	" AND NOT EXISTS (SELECT 1 FROM issue y WHERE y.component_id = b.id"                       \
	"   AND y.returned_on IS NULL AND y.member_id <> x.member_id)"
SQL(parts_beneath, PARTS_BENEATH("b.id AS component, b.tag") " ORDER BY 2");
SQL(insert_follow_up, "INSERT INTO follow_up (component_id, finding_id, duty, due_on, reason)"
		      " " PARTS_BENEATH("b.id, ?3, ?4, ?5, ?6"));

/* Only what was known when the inspection began. */
SQL(follow_up_done_by,
    "UPDATE follow_up SET done_by_inspection = ?3, version = version + 1"
    " WHERE component_id = ?1 AND duty = ?2 AND done_by_inspection IS NULL"
    " AND coalesce((SELECT r.signed_at FROM finding f JOIN inspection r ON r.id = f.inspection_id"
    "   WHERE f.id = follow_up.finding_id), '') <="
    "  (SELECT started_at FROM inspection WHERE id = ?3)");

enum err inspection_insert(struct store *st, const struct inspection_start *start, int64_t *id,
			   struct fault *f) {
	enum err err = store_run(st, &insert_inspection, f, "t0itt", start->kind, start->ensemble,
				 start->inspector, start->started_at, start->inspected_on);
	*id = store_inserted(st);
	return err;
}

enum err inspection_part_insert(struct store *st, int64_t inspection, int64_t component,
				int64_t checklist, int64_t position, struct fault *f) {
	return store_run(st, &insert_part, f, "iiii", inspection, component, checklist, position);
}

enum err inspection_part_prepare(struct store *st, int64_t part, const char *clean,
				 const char *model_agrees, const char *size_agrees,
				 struct fault *f) {
	return store_run(st, &prepare_part, f, "ittt", part, clean, model_agrees, size_agrees);
}

enum err inspection_part_answer(struct store *st, int64_t part, const char *answers,
				struct fault *f) {
	return store_run(st, &answer_part, f, "it", part, answers);
}

enum err inspection_part_work(struct store *st, int64_t part, int64_t seconds, const char *until,
			      struct fault *f) {
	return store_run(st, &work_on_part, f, "iit", part, seconds, until);
}

enum err answered_together_insert(struct store *st, const struct together_row *r, struct fault *f) {
	return store_run(st, &insert_together, f, "iitttttitt", r->inspection, r->component,
			 r->group_code, r->group_title, r->points, r->opened_at, r->answered_at,
			 r->answered_by, r->away_opened_at, r->away_answered_at);
}

enum err inspection_part_sign(struct store *st, int64_t part, const char *conclusion,
			      int64_t blocker_count, struct fault *f) {
	return store_run(st, &sign_part, f, "iti", part, conclusion, blocker_count);
}

enum err inspection_sign(struct store *st, int64_t id, const char *signed_at, const char *note,
			 const char *performer_class, struct fault *f) {
	return store_run(st, &sign_inspection, f, "ittt", id, signed_at, note, performer_class);
}

enum err inspection_abandon(struct store *st, int64_t id, const char *reason, struct fault *f) {
	enum err err = store_run(st, &withdraw_findings, f, "i", id);
	if (err == ERR_OK) err = store_run(st, &abandon_inspection, f, "it", id, reason);
	return err;
}

enum err inspection_take_over(struct store *st, int64_t id, int64_t inspector, struct fault *f) {
	enum err err = store_run(st, &take_over_inspection, f, "ii", id, inspector);
	if (err == ERR_OK) err = store_run(st, &take_over_parts, f, "ii", id, inspector);
	return err;
}

enum err finding_save(struct store *st, const struct finding_row *r, int64_t *id, struct fault *f) {
	enum err err;
	if (r->id) {
		*id = r->id;
		return store_run(st, &update_finding, f, "itttttttt0t", r->id, r->defect, r->zone,
				 r->face, r->side, r->place, r->severity, r->outcome,
				 r->override_reason, r->length_mm, r->note);
	}
	err = store_run(st, &insert_finding, f, "iittttttttt0t", r->component, r->inspection,
			r->check_point, r->defect, r->zone, r->face, r->side, r->place, r->severity,
			r->outcome, r->override_reason, r->length_mm, r->note);
	*id = store_inserted(st);
	return err;
}

enum err finding_set_state(struct store *st, int64_t id, const char *state, struct fault *f) {
	return store_run(st, &finding_state, f, "it", id, state);
}

enum err finding_mend(struct store *st, int64_t id, int64_t by_inspection, const char *on,
		      struct fault *f) {
	return store_run(st, &mend_finding, f, "iit", id, by_inspection, on);
}

enum err inspection_parts_beneath(struct store *st, int64_t component, const char *beneath_kind,
				  struct arena *a, struct doc *list, struct fault *f) {
	return store_list(st, &parts_beneath, a, list, f, "it", component, beneath_kind);
}

enum err follow_up_insert(struct store *st, int64_t component, const char *beneath_kind,
			  int64_t finding, const char *duty, const char *due_on, const char *reason,
			  struct fault *f) {
	return store_run(st, &insert_follow_up, f, "itittt", component, beneath_kind, finding, duty,
			 due_on, reason);
}

enum err follow_up_done(struct store *st, int64_t component, const char *duty, int64_t inspection,
			struct fault *f) {
	return store_run(st, &follow_up_done_by, f, "iti", component, duty, inspection);
}

SQL(touch_inspection, "UPDATE inspection SET version = version + 1 WHERE id = ?1");
SQL(touch_part, "UPDATE inspection_part SET version = version + 1 WHERE id = ?1");

enum err inspection_touch(struct store *st, int64_t id, struct fault *f) {
	return store_run(st, &touch_inspection, f, "i", id);
}

enum err inspection_part_touch(struct store *st, int64_t part, struct fault *f) {
	return store_run(st, &touch_part, f, "i", part);
}

/* --- the list ---------------------------------------------------------------- */

#define INSPECTION_WHERE                                                                           \
	" FROM inspection i JOIN member m ON m.id = i.inspector_id"                                \
	" LEFT JOIN ensemble e ON e.id = i.ensemble_id"                                            \
	" WHERE (?1 IS NULL OR m.search_key LIKE ?1 ESCAPE '\\' OR e.code LIKE ?1 ESCAPE '\\')"    \
	" AND (?2 IS NULL OR i.kind = ?2) AND (?3 IS NULL OR i.state = ?3)"
#define INSPECTION_ROWS(order)                                                                     \
	"SELECT i.id, i.kind, i.state, i.inspected_on, e.code AS ensemble_code,"                   \
	" m.given_name || ' ' || m.family_name AS inspector_name,"                                 \
	" (SELECT count(*) FROM inspection_part p WHERE p.inspection_id = i.id) AS part_count,"    \
	" (SELECT count(*) FROM finding f WHERE f.inspection_id = i.id"                            \
	"  AND f.state <> 'withdrawn') AS finding_count,"                                          \
	" (SELECT (sum(p.worked_s) + 30) / 60 FROM inspection_part p WHERE p.inspection_id = "     \
	"i.id)"                                                                                    \
	"  AS worked_min" INSPECTION_WHERE " ORDER BY " order " LIMIT ?4 OFFSET ?5"
/* Counting a filtered list means looking at it. */
SQL_SCAN(inspections_count, "SELECT count(*) AS total" INSPECTION_WHERE);
SQL_SCAN(inspections_by_day, INSPECTION_ROWS("i.inspected_on DESC, i.id DESC"));
SQL_SCAN(inspections_by_inspector, INSPECTION_ROWS("m.family_name, i.inspected_on DESC, i.id"));

const struct list_source inspection_list = {
    .count = &inspections_count,
    .filter = {"kind", "state"},
    .sort = {{"day", "Newest first", &inspections_by_day},
	     {"inspector", "Inspector", &inspections_by_inspector}},
};
