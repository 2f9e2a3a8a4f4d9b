#include "store/export.h"

#include "base/csv.h"

/* The statement of a kind's rows. */
#define EXPORTED(kind, query)                                                                      \
	SQL_SCAN(export_of_##kind, query);                                                         \
	const struct exported export_##kind = {&export_of_##kind}

/* Columns are named as the import's; money and answers are written as people write them.
 * Inspections made here have no reference: the department's code and their number name them. */
#define REFERENCE                                                                                  \
	"coalesce(i.reference,"                                                                    \
	" 'PW-' || (SELECT code FROM reference_code WHERE id = 1) || '-' || i.id)"

EXPORTED(stations, "SELECT code, name, address, email, iif(active, 'yes', 'no') AS active"
		   " FROM station ORDER BY code");
EXPORTED(members, "SELECT m.badge, m.family_name, m.given_name, s.code AS station, m.email,"
		  " iif(m.structural, 'yes', 'no') AS structural,"
		  " iif(m.proximity, 'yes', 'no') AS proximity, m.trained_until, m.status"
		  " FROM member m JOIN station s ON s.id = m.station_id ORDER BY m.badge");
EXPORTED(providers, "SELECT code, name, class, verified_until, email, phone, address,"
		    " iif(active, 'yes', 'no') AS active, iif(in_house, 'yes', 'no') AS"
		    " in_house FROM provider ORDER BY code");
EXPORTED(
    components,
    "SELECT c.tag, c.kind, c.hazard, s.code AS station, e.code AS ensemble, c.serial, c.maker,"
    " c.model, c.size, c.made, c.life_months, c.in_service_on, iif(c.cbrn, 'yes', 'no') AS cbrn,"
    " iif(c.trim, 'yes', 'no') AS trim, iif(c.reflective, 'yes', 'no') AS reflective,"
    " iif(c.cost_cents IS NULL, NULL,"
    "   printf('%d.%02d', c.cost_cents / 100, c.cost_cents % 100)) AS cost, c.note,"
    " e.line, m.badge AS holder, i.issued_on, i.condition_at_issue AS condition,"
    " c.withdrawn_reason, c.retired_on, nullif(c.retired_reason, '') AS retired_reason,"
    " c.disposed_on, nullif(c.disposal_method, '') AS disposal_method, c.retired_ground,"
    " rb.badge AS retired_by, c.disposal_way, c.disposal_witness, c.training_on,"
    " tb.badge AS training_by, c.training_mark"
    " FROM component c JOIN station s ON s.id = c.station_id"
    " LEFT JOIN member rb ON rb.id = c.retired_by LEFT JOIN member tb ON tb.id = c.training_by"
    " LEFT JOIN ensemble e ON e.id = c.ensemble_id"
    " LEFT JOIN issue i ON i.component_id = c.id AND i.returned_on IS NULL"
    " LEFT JOIN member m ON m.id = i.member_id ORDER BY c.tag");
EXPORTED(issues,
	 "SELECT c.tag, m.badge, i.issued_on, i.condition_at_issue AS condition, i.returned_on,"
	 " i.condition_at_return, i.note FROM issue i JOIN component c ON c.id = i.component_id"
	 " JOIN member m ON m.id = i.member_id WHERE i.returned_on IS NOT NULL"
	 " ORDER BY c.tag, i.issued_on, i.id");
EXPORTED(
    cleanings,
    "SELECT c.tag, l.cleaned_on, l.class, l.reason, l.performed_by, p.code AS provider, l.note,"
    " l.method, l.water_mf, l.ph_hundredths, l.force_g,"
    " CASE l.bleach WHEN 1 THEN 'yes' WHEN 0 THEN 'no' END AS bleach,"
    " l.dried, l.dry_mf, iif(l.beyond, 'yes', NULL) AS beyond,"
    " coalesce(l.performer_class, 'unknown') AS performer_class,"
    " iif(l.sanitized, 'yes', NULL) AS sanitized, l.washer, l.load_percent,"
    " CASE l.prepared WHEN 1 THEN 'yes' WHEN 0 THEN 'no' END AS prepared"
    " FROM cleaning l JOIN component c ON c.id = l.component_id"
    " LEFT JOIN provider p ON p.id = l.provider_id ORDER BY l.cleaned_on, c.tag, l.id");
EXPORTED(inspections,
	 "SELECT " REFERENCE " AS reference, i.kind, i.inspected_on, m.badge AS inspector,"
	 " i.performer, i.note, c.tag, p.conclusion,"
	 " coalesce(i.performer_class, 'unknown') AS performer_class, p.worked_s"
	 " FROM inspection i"
	 " JOIN inspection_part p ON p.inspection_id = i.id"
	 " JOIN component c ON c.id = p.component_id JOIN member m ON m.id = i.inspector_id"
	 " WHERE i.state = 'signed' ORDER BY i.inspected_on, i.id, p.position");
/* The points are a list within its cell: codes parted by spaces. */
EXPORTED(answered_together,
	 "SELECT " REFERENCE " AS reference, c.tag, t.group_code, t.group_title,"
	 " (SELECT group_concat(value, ' ') FROM (SELECT value FROM json_each(t.points)"
	 " ORDER BY key)) AS points, t.opened_at, t.answered_at, m.badge AS answered_by,"
	 " t.away_opened_at, t.away_answered_at"
	 " FROM answered_together t JOIN inspection i ON i.id = t.inspection_id"
	 " JOIN inspection_part p ON p.inspection_id = i.id AND p.component_id = t.component_id"
	 " JOIN component c ON c.id = t.component_id JOIN member m ON m.id = t.answered_by"
	 " WHERE i.state = 'signed' ORDER BY i.inspected_on, i.id, p.position, t.id");
/* Without those taken back before their inspection was signed. */
EXPORTED(
    findings,
    "SELECT " REFERENCE " AS reference, c.tag, f.check_point, f.defect, f.zone, f.face, f.side,"
    " f.place, f.length_mm, f.severity, f.outcome, f.override_reason, f.state, f.closed_on,"
    " f.closed_reason, f.note FROM finding f JOIN inspection i ON i.id = f.inspection_id"
    " JOIN component c ON c.id = f.component_id WHERE f.state <> 'draft' AND i.state = 'signed'"
    " AND NOT (f.state = 'withdrawn' AND f.closed_on IS NULL) ORDER BY i.inspected_on, f.id");
EXPORTED(repairs,
	 "SELECT d.number, p.code AS provider, d.state, d.created_on, m.badge AS created_by,"
	 " d.sent_on, d.expected_on, d.returned_on, d.note, " REFERENCE " AS reference, c.tag,"
	 " f.check_point, f.defect, f.zone, f.face, f.side, f.place, t.result, t.work_done,"
	 " iif(t.cost_cents IS NULL, NULL,"
	 "   printf('%d.%02d', t.cost_cents / 100, t.cost_cents % 100)) AS cost,"
	 " r.tag AS replacement, iif(d.state = 'returned',"
	 " coalesce(d.performer_class, 'unknown'), NULL) AS performer_class FROM dispatch_item t "
	 "JOIN dispatch d ON d.id = t.dispatch_id"
	 " JOIN provider p ON p.id = d.provider_id JOIN member m ON m.id = d.created_by"
	 " JOIN finding f ON f.id = t.finding_id JOIN inspection i ON i.id = f.inspection_id"
	 " JOIN component c ON c.id = t.component_id"
	 " LEFT JOIN component r ON r.id = t.replacement_id ORDER BY d.created_on, d.id, t.id");

EXPORTED(exposures,
	 "SELECT c.tag, x.exposed_on, x.cause, x.incident, x.contaminants, m.badge AS reported_by,"
	 " l.cleaned_on AS ended_on, x.revoked_on, x.revoked_reason, x.note FROM exposure x"
	 " JOIN component c ON c.id = x.component_id JOIN member m ON m.id = x.reported_by"
	 " LEFT JOIN cleaning l ON l.id = x.ended_by_cleaning ORDER BY x.exposed_on, c.tag, x.id");

EXPORTED(field_tests,
	 "SELECT c.tag, t.test, t.tested_on, t.performed_by, p.code AS provider,"
	 " m.badge AS recorded_by, iif(t.sign IS NULL, NULL, iif(t.sign, 'yes', 'no')) AS sign,"
	 " iif(t.compared IS NULL, NULL, iif(t.compared, 'yes', 'no')) AS compared, t.distance_um,"
	 " t.alcohol_ul, t.water_ul, t.amount_ul, t.time_ms, t.pressure_pa, t.material_spots,"
	 " t.seam_spots, t.cuff_gap_um, t.hem_gap_um, t.property, t.value_thousandths, t.zone,"
	 " t.place, t.extent, t.result, t.note, t.revoked_on, t.revoked_reason,"
	 " coalesce(t.performer_class, 'unknown') AS performer_class FROM field_test t"
	 " JOIN component c ON c.id = t.component_id JOIN member m ON m.id = t.recorded_by"
	 " LEFT JOIN provider p ON p.id = t.provider_id ORDER BY t.tested_on, c.tag, t.id");

/* What was worn is a list within its cell: tags parted by spaces. */
EXPORTED(fit_checks,
	 "SELECT m.badge, f.hazard, f.checked_on, b.badge AS checked_by, f.coat_trousers,"
	 " f.hood_collar, f.hood_facepiece, f.glove_sleeve, f.trousers_boots, f.helmet_hood,"
	 " f.shroud_coat, f.overcover_faceshield, f.overlap_um, f.leg_um, f.result, (SELECT"
	 " group_concat(tag, ' ') FROM (SELECT c.tag FROM fit_check_part p"
	 " JOIN component c ON c.id = p.component_id WHERE p.fit_check_id = f.id ORDER BY p.id))"
	 " AS worn, f.note, f.revoked_on, f.revoked_reason FROM fit_check f"
	 " JOIN member m ON m.id = f.member_id JOIN member b ON b.id = f.checked_by"
	 " ORDER BY f.checked_on, m.badge, f.id");
EXPORTED(prices, "SELECT kind, hazard, iif(reflective, 'yes', 'no') AS reflective, valid_from,"
		 " printf('%d.%02d', price_cents / 100, price_cents % 100) AS price, note"
		 " FROM replacement_price ORDER BY kind, hazard, reflective, valid_from");
EXPORTED(component_prices,
	 "SELECT c.tag, p.valid_from, printf('%d.%02d', p.price_cents / 100, p.price_cents % 100)"
	 " AS price, p.note FROM component_price p JOIN component c ON c.id = p.component_id"
	 " ORDER BY c.tag, p.valid_from");
EXPORTED(quotes,
	 "SELECT d.number, " REFERENCE " AS reference, c.tag, f.check_point, f.defect, f.zone,"
	 " f.face, f.side, f.place, row_number() OVER (PARTITION BY t.id ORDER BY q.id) AS turn,"
	 " q.quoted_on, printf('%d.%02d', q.quote_cents / 100, q.quote_cents % 100) AS quote"
	 " FROM repair_quote q JOIN dispatch_item t ON t.id = q.dispatch_item_id"
	 " JOIN dispatch d ON d.id = t.dispatch_id JOIN finding f ON f.id = t.finding_id"
	 " JOIN inspection i ON i.id = f.inspection_id JOIN component c ON c.id = t.component_id"
	 " ORDER BY d.created_on, d.id, t.id, q.id");

/* One row a line of what a notice concerns, in their order. */
EXPORTED(safety_notices,
	 "SELECT n.number, n.issuer, n.reference, n.issued_on, n.title, n.wrong, n.action,"
	 " n.action_text, n.due_on, n.recorded_on, r.badge AS recorded_by, n.asked_on,"
	 " n.closed_on, x.badge AS closed_by, n.closed_reason,"
	 " iif(n.withdrawn, 'yes', 'no') AS withdrawn,"
	 " row_number() OVER (PARTITION BY n.id ORDER BY s.id) AS line, s.maker, s.kind, s.model,"
	 " s.serial_from, s.serial_to, s.serials, s.made_from, s.made_to, s.hazard, s.dropped_on,"
	 " s.dropped_reason FROM safety_notice n JOIN safety_notice_scope s ON s.notice_id = n.id"
	 " JOIN member r ON r.id = n.recorded_by LEFT JOIN member x ON x.id = n.closed_by"
	 " ORDER BY n.number, s.id");
EXPORTED(safety_answers,
	 "SELECT n.number, c.tag, row_number() OVER (PARTITION BY w.notice_id, w.component_id"
	 " ORDER BY w.id) AS turn, w.answer, w.note, iif(i.id, " REFERENCE ", NULL) AS reference,"
	 " w.answered_on, m.badge AS answered_by, w.action, w.hit, w.edition, w.revoked_on,"
	 " x.badge AS revoked_by, w.revoked_reason FROM safety_notice_answer w"
	 " JOIN safety_notice n ON n.id = w.notice_id JOIN component c ON c.id = w.component_id"
	 " JOIN member m ON m.id = w.answered_by LEFT JOIN member x ON x.id = w.revoked_by"
	 " LEFT JOIN inspection i ON i.id = w.inspection_id ORDER BY n.number, c.tag, w.id");
EXPORTED(holds,
	 "SELECT c.tag, h.incident, h.placed_on, p.badge AS placed_by, h.kept_where, h.container,"
	 " h.note, h.released_on, r.badge AS released_by, h.authority, h.release_reason FROM hold h"
	 " JOIN component c ON c.id = h.component_id JOIN member p ON p.id = h.placed_by"
	 " LEFT JOIN member r ON r.id = h.released_by ORDER BY h.placed_on, c.tag, h.id");
EXPORTED(custody,
	 "SELECT c.tag, h.placed_on, l.happened_on, l.time_of_day, l.recorded_at, l.who,"
	 " l.purpose, l.note"
	 " FROM custody l JOIN hold h ON h.id = l.hold_id JOIN component c ON c.id = h.component_id"
	 " ORDER BY h.placed_on, c.tag, l.id");

static void write_row(const struct cursor *c, const char *(*text)(const struct cursor *, int),
		      struct buf *out) {
	for (int i = 0; i < cursor_columns(c); i++) {
		if (i) csv_write_comma(out);
		csv_write_guarded(out, text(c, i));
	}
	csv_write_end(out);
}

enum err export_table(struct store *st, const struct exported *table, struct buf *out,
		      struct fault *f) {
	struct cursor c;
	bool more = false;
	enum err err = cursor_open(&c, st, table->rows, f, "");
	if (err == ERR_OK) write_row(&c, cursor_name, out);
	while (err == ERR_OK && (err = cursor_next(&c, &more)) == ERR_OK && more)
		write_row(&c, cursor_text, out);
	cursor_close(&c);
	if (err == ERR_OK && buf_failed(out))
		err = fault_set(f, ERR_TOO_LARGE, NULL,
				"The table is too long to be made in one piece.");
	return err;
}
