#include "history.h"

#include <string.h>

#include "base/text.h"
#include "draw.h"
#include "rules/exposure.h"
#include "rules/safety_notice.h"
#include "store/component.h"
#include "store/dispatch.h"
#include "store/exposure.h"
#include "store/hold.h"
#include "store/inspection.h"
#include "store/retirement.h"
#include "store/safety_notice.h"
#include "store/setting.h"

#define PICK(e, list) ((list)[draw_below(&(e)->dice, (int)(sizeof(list) / sizeof *(list)))])

static const char *day_text(const struct event *e) {
	static char text[DAY_TEXT_SIZE];
	return day_format(e->on, text);
}

/* An instant of that day, for what orders by instants. */
static const char *instant(const struct event *e) {
	static char text[40];
	snprintf(text, sizeof text, "%sT12:00:00Z", day_text(e));
	return text;
}

/* --- the department ---------------------------------------------------------------------- */

SQL(test_station,
    "INSERT INTO station (id, code, name, search_key) VALUES (?1, 'S' || ?1, 'S', 's')");
SQL(test_member, "INSERT INTO member (id, badge, family_name, given_name, search_key, station_id)"
		 " VALUES (?1, ?1, 'Example', 'Ada', 'ada', 1)");
SQL(test_ensemble, "INSERT INTO ensemble (id, code, hazard, line, station_id, member_id)"
		   " VALUES (?1, 'E' || ?1, 'structural', 'primary', 1, ?1)");
SQL(test_provider, "INSERT INTO provider (id, code, name, search_key, class)"
		   " VALUES (1, 'P', 'P', 'p', 'verified_provider')");
SQL(test_component,
    "INSERT INTO component (id, tag, serial, kind, hazard, search_key, maker, model, size, made,"
    " in_service_on, ensemble_id, station_id) VALUES (?1, 'T' || ?1, 'N' || ?1, ?2, 'structural',"
    " 't', 'Maker 1', 'A', 'L', '2019-06', '2019-09-01', ?3, 1)");

enum err department_fill(struct store *st, struct fault *f) {
	static const char *const kind[TWINS] = {
	    "coat_shell", "coat_liner", "drd",  "trouser_shell", "trouser_liner", "helmet",
	    "faceshield", "hood",       "hood", "gloves",        "footwear"};
	enum err err = store_run(st, &test_provider, f, "");
	for (int64_t i = 1; err == ERR_OK && i <= STATIONS; i++)
		err = store_run(st, &test_station, f, "i", i);
	for (int64_t m = 1; err == ERR_OK && m <= MEMBERS; m++) {
		err = store_run(st, &test_member, f, "i", m);
		if (err == ERR_OK) err = store_run(st, &test_ensemble, f, "i", m);
		for (int64_t i = 0; err == ERR_OK && i < TWINS; i++)
			err = store_run(st, &test_component, f, "iti", (m - 1) * TWINS + i + 1,
					kind[i], m);
	}
	return err;
}

/* --- what there is to act on: the oldest of the component from before the day ------------ */

SQL(test_open_finding, "SELECT min(f.id) FROM finding f JOIN inspection i ON i.id = f.inspection_id"
		       " WHERE f.component_id = ?1 AND f.state = 'open' AND i.inspected_on < ?2");
SQL(test_repairable,
    "SELECT min(f.id) FROM finding f JOIN inspection i ON i.id = f.inspection_id"
    " WHERE f.component_id = ?1 AND f.state = 'open' AND f.outcome IN ('repair', 'replace')"
    " AND i.inspected_on < ?2 AND NOT EXISTS (SELECT 1 FROM dispatch_item t JOIN dispatch d"
    "  ON d.id = t.dispatch_id WHERE t.finding_id = f.id AND d.state <> 'returned')");
SQL(test_ticket, "SELECT min(d.id) FROM dispatch d JOIN dispatch_item t ON t.dispatch_id = d.id"
		 " WHERE t.component_id = ?1 AND d.state = 'draft' AND d.created_on <= ?2");
SQL(test_sent, "SELECT min(d.id) FROM dispatch d JOIN dispatch_item t ON t.dispatch_id = d.id"
	       " WHERE t.component_id = ?1 AND d.state = 'sent' AND d.sent_on <= ?2");
SQL(test_item, "SELECT min(id) FROM dispatch_item WHERE dispatch_id = ?1");
SQL(test_exposure, "SELECT min(id) FROM exposure WHERE component_id = ?1 AND exposed_on < ?2"
		   " AND revoked_on IS NULL AND ended_by_cleaning IS NULL");
SQL(test_issue, "SELECT min(id) FROM issue WHERE component_id = ?1 AND returned_on IS NULL"
		" AND issued_on <= ?2");
SQL(test_not_issued, "SELECT NOT EXISTS (SELECT 1 FROM issue WHERE component_id = ?1"
		     " AND (returned_on IS NULL OR returned_on > ?2))");
SQL(test_hold, "SELECT min(id) FROM hold WHERE component_id = ?1 AND released_on IS NULL"
	       " AND ?2 IS NOT NULL");
SQL(test_draft,
    "SELECT min(i.id) FROM inspection i JOIN inspection_part p ON p.inspection_id = i.id"
    " WHERE p.component_id = ?1 AND i.state = 'draft' AND ?2 IS NOT NULL");
SQL(test_part, "SELECT id FROM inspection_part WHERE inspection_id = ?1 AND component_id = ?2");
SQL(test_withdrawn, "SELECT withdrawn_reason IS NOT NULL FROM component WHERE id = ?1"
		    " AND ?2 IS NOT NULL");
SQL(test_retired, "SELECT retired_on IS NOT NULL FROM component WHERE id = ?1 AND ?2 IS NOT NULL");
SQL(test_asked, "SELECT min(notice_id) FROM safety_notice_item WHERE component_id = ?1"
		" AND state IN ('left', 'sent', 'out_of_use') AND ?2 IS NOT NULL");
SQL_SCAN(test_notices, "SELECT count(*) FROM safety_notice WHERE withdrawn = 0");
SQL_SCAN(test_notice, "SELECT min(id) FROM safety_notice WHERE withdrawn = 0");

static enum err look_up(const struct event *e, struct store *st, const struct sql *sql, int64_t *id,
			struct fault *f) {
	return store_number(st, sql, 0, id, f, "id", e->component, e->on);
}

/* --- cleaning and exposure ----------------------------------------------------------------- */

static enum err clean(struct event *e, struct store *st, const char *class, bool after,
		      struct fault *f) {
	const struct cleaning_row row = {.component = e->component,
					 .cleaned_on = day_text(e),
					 .class = class,
					 .reason = "soiled",
					 .performed_by = "Ada Example",
					 .beyond = draw_chance(&e->dice, 3),
					 .done_after = after};
	e->done = true;
	return cleaning_insert(st, &row, f);
}

static enum err cleaned(struct event *e, struct store *st, struct fault *f) {
	static const char *const class[] = {"routine", "advanced", "specialized"};
	return clean(e, st, PICK(e, class), false, f);
}

static enum err cleaned_after(struct event *e, struct store *st, struct fault *f) {
	return clean(e, st, "specialized", true, f);
}

static enum err exposed(struct event *e, struct store *st, struct fault *f) {
	int cause = draw_below(&e->dice, EXPOSURE_CAUSE_COUNT);
	const struct exposure_row row = {.component = e->component,
					 .reported_by = 1,
					 .exposed_on = day_text(e),
					 .cause = exposure_cause_word[cause]};
	int64_t id;
	e->done = true;
	enum err err = exposure_insert(st, &row, &id, f);
	return err == ERR_OK ? exposure_reopen_follow_ups(st, id, f) : err;
}

static enum err exposure_in_error(struct event *e, struct store *st, struct fault *f) {
	int64_t id;
	enum err err = look_up(e, st, &test_exposure, &id, f);
	e->done = id != 0;
	return err == ERR_OK && id ? exposure_revoke(st, id, day_text(e), "In error", f) : err;
}

/* --- inspection ------------------------------------------------------------------------------ */

SQL(test_list,
    "SELECT min(l.id) FROM checklist l JOIN component c ON c.kind = l.kind WHERE c.id = ?1");
SQL(test_brought_in, "UPDATE inspection_part SET checklist_id = NULL WHERE id = ?1");

struct look {
	const char *kind, *clean, *labels, *conclusion;
	bool brought_in;
	const char *outcome; /* of a finding; NULL: none */
};

static enum err begin_look(struct event *e, struct store *st, const struct look *l,
			   int64_t *inspection, int64_t *part, struct fault *f) {
	const struct inspection_start start = {
	    .kind = l->kind, .inspector = 1, .started_at = instant(e), .inspected_on = day_text(e)};
	int64_t list = 0;
	e->done = true;
	enum err err = inspection_insert(st, &start, inspection, f);
	if (err == ERR_OK) err = store_number(st, &test_list, 0, &list, f, "i", e->component);
	if (err == ERR_OK) err = inspection_part_insert(st, *inspection, e->component, list, 1, f);
	if (err == ERR_OK)
		err = store_number(st, &test_part, 0, part, f, "ii", *inspection, e->component);
	if (err != ERR_OK) return err;
	if (l->brought_in) return store_run(st, &test_brought_in, f, "i", *part);
	return inspection_part_prepare(st, *part, l->clean, l->labels, l->labels, f);
}

static enum err write_finding(struct event *e, struct store *st, const char *outcome,
			      int64_t inspection, int64_t *id, struct fault *f) {
	const struct finding_row row = {.component = e->component,
					.inspection = inspection,
					.check_point = "label",
					.defect = "tear",
					.severity = "major",
					.outcome = outcome};
	enum err err = finding_save(st, &row, id, f);
	const char *state = strcmp(outcome, "serve_on") == 0 ? "accepted" : "open";
	return err == ERR_OK ? finding_set_state(st, *id, state, f) : err;
}

static enum err sign(struct event *e, struct store *st, int64_t inspection, int64_t part,
		     const char *conclusion, struct fault *f) {
	enum err err = inspection_part_sign(st, part, conclusion, 0, f);
	return err == ERR_OK
		   ? inspection_sign(st, inspection, instant(e), NULL, "trained_organization", f)
		   : err;
}

/* *finding may be 0 afterwards. */
static enum err look(struct event *e, struct store *st, const struct look *l, int64_t *finding,
		     struct fault *f) {
	int64_t inspection = 0, part = 0;
	*finding = 0;
	enum err err = begin_look(e, st, l, &inspection, &part, f);
	if (err == ERR_OK && l->outcome)
		err = write_finding(e, st, l->outcome, inspection, finding, f);
	return err == ERR_OK ? sign(e, st, inspection, part, l->conclusion, f) : err;
}

static struct look sound_look(struct event *e) {
	static const char *const kind[] = {"routine", "advanced", "liner", "return"};
	return (struct look){.kind = PICK(e, kind),
			     .clean = "yes",
			     .labels = "yes",
			     .conclusion = "return_to_service"};
}

static enum err looked_at(struct event *e, struct store *st, struct fault *f) {
	static const char *const outcome[] = {"serve_on", "clean",   "clean", "repair", "ask_maker",
					      "test",     "replace", "hold",  "retire"};
	int64_t finding;
	struct look l = sound_look(e);
	switch (draw_below(&e->dice, 8)) {
	case 0: l.clean = "no", l.conclusion = "clean_first"; break;
	case 1: l.labels = "no", l.conclusion = "out_of_service"; break;
	case 2:
	case 3: l.outcome = PICK(e, outcome), l.conclusion = "out_of_service"; break;
	case 4: l.brought_in = true, l.conclusion = "out_of_service"; break;
	default: break;
	}
	return look(e, st, &l, &finding, f);
}

/* A burnt shell: what lies beneath becomes due. */
static enum err burnt(struct event *e, struct store *st, struct fault *f) {
	static const char *const beneath[] = {"coat_liner", "drd", "trouser_liner"};
	int64_t finding = 0;
	struct look l = sound_look(e);
	l.kind = "advanced", l.outcome = "repair", l.conclusion = "out_of_service";
	enum err err = look(e, st, &l, &finding, f);
	if (err != ERR_OK) return err;
	return follow_up_insert(st, e->component, PICK(e, beneath), finding, "advanced_inspection",
				day_text(e), "Burnt above.", f);
}

static enum err look_begun(struct event *e, struct store *st, struct fault *f) {
	int64_t inspection, part;
	struct look l = sound_look(e);
	return begin_look(e, st, &l, &inspection, &part, f);
}

static enum err look_signed(struct event *e, struct store *st, struct fault *f) {
	int64_t inspection = 0, part = 0;
	enum err err = look_up(e, st, &test_draft, &inspection, f);
	if (err == ERR_OK)
		err = store_number(st, &test_part, 0, &part, f, "ii", inspection, e->component);
	e->done = part != 0;
	return err == ERR_OK && part ? sign(e, st, inspection, part, "return_to_service", f) : err;
}

/* --- who has it, where it is ------------------------------------------------------------------ */

/* The member whose gear it was in the beginning, or the other one. */
static int64_t own_member(struct event *e, int percent) {
	bool is_first = (e->component <= TWINS) == draw_chance(&e->dice, percent);
	return is_first ? 1 : 2;
}

static enum err issued(struct event *e, struct store *st, struct fault *f) {
	int64_t is_free = 0, member = own_member(e, 80);
	enum err err = look_up(e, st, &test_not_issued, &is_free, f);
	e->done = is_free;
	if (err != ERR_OK || !is_free) return err;
	return issue_insert(st, e->component, member, day_text(e), "good", NULL, f);
}

static enum err handed_in(struct event *e, struct store *st, struct fault *f) {
	int64_t id = 0;
	enum err err = look_up(e, st, &test_issue, &id, f);
	e->done = id != 0;
	return err == ERR_OK && id ? issue_end(st, id, day_text(e), "good", f) : err;
}

static enum err ticket_written(struct event *e, struct store *st, struct fault *f) {
	int64_t finding = 0, id = 0;
	const struct dispatch_row row = {.provider = 1, .created_by = 1, .created_on = day_text(e)};
	enum err err = look_up(e, st, &test_repairable, &finding, f);
	e->done = finding != 0;
	if (err != ERR_OK || !finding) return err;
	err = dispatch_insert(st, &row, &id, f);
	return err == ERR_OK ? dispatch_item_insert(st, id, finding, f) : err;
}

static enum err sent(struct event *e, struct store *st, struct fault *f) {
	int64_t id = 0;
	enum err err = look_up(e, st, &test_ticket, &id, f);
	e->done = id != 0;
	return err == ERR_OK && id ? dispatch_set_sent(st, id, day_text(e), NULL, f) : err;
}

static enum err came_back(struct event *e, struct store *st, struct fault *f) {
	int64_t id = 0, item = 0;
	enum err err = look_up(e, st, &test_sent, &id, f);
	e->done = id != 0;
	if (err != ERR_OK || !id) return err;
	err = store_number(st, &test_item, 0, &item, f, "i", id);
	if (err == ERR_OK) err = dispatch_item_result(st, item, "repaired", "Sewn.", 100, 0, f);
	return err == ERR_OK ? dispatch_set_returned(st, id, day_text(e), "verified_provider", f)
			     : err;
}

static enum err held(struct event *e, struct store *st, struct fault *f) {
	const struct hold_row row = {.component = e->component,
				     .placed_by = 1,
				     .incident = "Example 1",
				     .placed_on = day_text(e),
				     .kept_where = "Locked room",
				     .container = "paper"};
	int64_t open = 0, id;
	enum err err = look_up(e, st, &test_hold, &open, f);
	e->done = !open;
	return err == ERR_OK && !open ? hold_insert(st, &row, &id, f) : err;
}

static enum err released(struct event *e, struct store *st, struct fault *f) {
	int64_t id = 0;
	enum err err = look_up(e, st, &test_hold, &id, f);
	e->done = id != 0;
	if (err != ERR_OK || !id) return err;
	return hold_release(st, id, 1, day_text(e), "The coroner", "Done", f);
}

/* --- what it is --------------------------------------------------------------------------------
 */

SQL(test_relabel, "UPDATE component SET made = ?2, maker = ?3, life_months = ?4, cbrn = ?5,"
		  " in_service_on = ?6, version = version + 1 WHERE id = ?1");
SQL(test_move, "UPDATE component SET ensemble_id = ?2, version = version + 1 WHERE id = ?1");

static enum err relabelled(struct event *e, struct store *st, struct fault *f) {
	static const char *const maker[] = {"Maker 1", "Maker 2"};
	day made_on = e->on - draw_below(&e->dice, 3000);
	char made[DAY_TEXT_SIZE];
	bool is_known = draw_chance(&e->dice, 90);
	day_format(made_on, made)[strlen("2026-01")] = '\0';
	e->done = true;
	return store_run(st, &test_relabel, f, "itt0bd", e->component, is_known ? made : NULL,
			 PICK(e, maker),
			 (int64_t)(draw_chance(&e->dice, 30) ? 60 + draw_below(&e->dice, 100) : 0),
			 draw_chance(&e->dice, 20), is_known ? made_on + 40 : DAY_NONE);
}

static enum err set_aside(struct event *e, struct store *st, struct fault *f) {
	int64_t is_withdrawn = 0;
	enum err err = look_up(e, st, &test_withdrawn, &is_withdrawn, f);
	e->done = true;
	return err == ERR_OK
		   ? component_withdraw(st, e->component, is_withdrawn ? NULL : "To be seen", f)
		   : err;
}

static enum err retired(struct event *e, struct store *st, struct fault *f) {
	const struct retirement_row row = {
	    .component = e->component, .on = day_text(e), .reason = "Worn out"};
	int64_t is_retired = 0;
	enum err err = look_up(e, st, &test_retired, &is_retired, f);
	e->done = !is_retired;
	return err == ERR_OK && !is_retired ? component_retire(st, &row, f) : err;
}

static enum err marked_for_training(struct event *e, struct store *st, struct fault *f) {
	const struct training_row row = {.component = e->component, .on = day_text(e), .by = 1};
	int64_t is_retired = 0;
	enum err err = look_up(e, st, &test_retired, &is_retired, f);
	e->done = is_retired;
	return err == ERR_OK && is_retired ? component_mark_training(st, &row, f) : err;
}

static enum err moved(struct event *e, struct store *st, struct fault *f) {
	int64_t ensemble = draw_chance(&e->dice, 20) ? 0 : own_member(e, 80);
	e->done = true;
	return store_run(st, &test_move, f, "i0", e->component, ensemble);
}

/* --- what concerns many --------------------------------------------------------------------------
 */

SQL(test_ensemble_change, "UPDATE ensemble SET member_id = ?2, active = ?3, line = ?4,"
			  " version = version + 1 WHERE id = ?1");
SQL(test_member_change, "UPDATE member SET station_id = ?2, status = ?3, proximity = ?4,"
			" family_name = ?5, version = version + 1 WHERE id = ?1");

static enum err ensemble_changed(struct event *e, struct store *st, struct fault *f) {
	static const char *const line[] = {"primary", "second", "reserve"};
	int64_t id = 1 + draw_below(&e->dice, MEMBERS);
	int64_t member = draw_chance(&e->dice, 70) ? id : draw_below(&e->dice, MEMBERS + 1);
	e->done = true;
	return store_run(st, &test_ensemble_change, f, "i0bt", id, member,
			 draw_chance(&e->dice, 90), PICK(e, line));
}

static enum err member_changed(struct event *e, struct store *st, struct fault *f) {
	static const char *const status[] = {"active", "active", "active", "leave"};
	static const char *const name[] = {"Example", "Sample"};
	int64_t id = 1 + draw_below(&e->dice, MEMBERS);
	e->done = true;
	return store_run(st, &test_member_change, f, "iitbt", id,
			 (int64_t)(1 + draw_below(&e->dice, STATIONS)), PICK(e, status),
			 draw_chance(&e->dice, 20), PICK(e, name));
}

static enum err setting_changed(struct event *e, struct store *st, struct fault *f) {
	static const struct {
		const char *name, *value[3];
	} setting[] = {
	    {"rule_set", {"nfpa_1851_2020", "nfpa_1851_2014", "washington"}},
	    {"age_reading", {"strict", "end_of_month", "strict"}},
	    {"cleaning_reading", {"interval", "count", "interval"}},
	    {"advanced_inspection_repeat_months", {"6", "12", "18"}},
	    {"routine_duty_days", {"0", "3", "7"}},
	    {"department_name", {"Example", "Sample", "Example"}},
	};
	int which = draw_below(&e->dice, (int)(sizeof setting / sizeof *setting));
	e->done = true;
	return setting_put(st, setting[which].name, PICK(e, setting[which].value), "Tried", f);
}

/* id 0: a new one. Its words and what it asks for, as they are now. */
static enum err write_notice(struct event *e, struct store *st, int64_t *id, struct fault *f) {
	static const char *const title[] = {"Threads", "Threads and tapes"};
	struct arena a;
	const struct safety_notice_row row = {
	    .id = *id,
	    .issuer = "Maker 1",
	    .issued_on = day_text(e),
	    .title = PICK(e, title),
	    .wrong = "Threads give way",
	    .action = safety_action_word[draw_below(&e->dice, SAFETY_ACTION_COUNT)],
	    .recorded_by = 1,
	    .recorded_on = day_text(e),
	    .asked_on = day_text(e),
	    .asked_at = instant(e)};
	arena_init(&a, 100000);
	enum err err = safety_notice_save(st, &row, &a, id, f);
	arena_clear(&a);
	return err;
}

static enum err notice_came(struct event *e, struct store *st, struct fault *f) {
	int64_t count = 0;
	struct safety_scope_row scope = {.maker = "Maker 1"};
	enum err err = store_number(st, &test_notices, 0, &count, f, "");
	e->done = count < 3;
	if (err != ERR_OK || !e->done) return err;
	err = write_notice(e, st, &scope.notice, f);
	return err == ERR_OK ? safety_scope_add(st, &scope, true, f) : err;
}

static enum err notice_reworded(struct event *e, struct store *st, struct fault *f) {
	int64_t id = 0;
	enum err err = store_number(st, &test_notice, 0, &id, f, "");
	e->done = id != 0;
	return err == ERR_OK && id ? write_notice(e, st, &id, f) : err;
}

static enum err notice_withdrawn(struct event *e, struct store *st, struct fault *f) {
	int64_t id = 0;
	enum err err = store_number(st, &test_notice, 0, &id, f, "");
	e->done = id != 0;
	if (err != ERR_OK || !id) return err;
	return safety_notice_close(st, id, 1, day_text(e), "By its issuer", true, f);
}

static enum err notice_answered(struct event *e, struct store *st, struct fault *f) {
	static const char *const answer[] = {"done", "not_affected", "sent"};
	int64_t id = 0;
	enum err err = look_up(e, st, &test_asked, &id, f);
	struct safety_answer_row row = {.notice = id,
					.component = e->component,
					.by = 1,
					.answer = PICK(e, answer),
					.on = day_text(e)};
	e->done = id != 0;
	return err == ERR_OK && id ? safety_answer_add(st, &row, f) : err;
}

/* --- everything in order again -------------------------------------------------------------------
 */

static enum err mend_findings(struct event *e, struct store *st, int64_t inspection,
			      struct fault *f) {
	struct event later = *e;
	later.on++; /* those of the day itself too */
	for (;;) {
		int64_t finding = 0;
		enum err err = look_up(&later, st, &test_open_finding, &finding, f);
		if (err != ERR_OK || !finding) return err;
		err = finding_mend(st, finding, inspection, day_text(e), f);
		if (err != ERR_OK) return err;
	}
}

static enum err answer_notices(struct event *e, struct store *st, struct fault *f) {
	int64_t id = 0, before = 0;
	enum err err;
	while ((err = look_up(e, st, &test_asked, &id, f)) == ERR_OK && id > before) {
		struct safety_answer_row row = {.notice = id,
						.component = e->component,
						.by = 1,
						.answer = "done",
						.on = day_text(e)};
		before = id;
		err = safety_answer_add(st, &row, f);
		if (err != ERR_OK) return err;
	}
	return err;
}

static enum err inspect_all(struct event *e, struct store *st, struct fault *f) {
	static const char *const kind[] = {"return", "advanced", "liner"};
	struct look l = sound_look(e);
	enum err err = ERR_OK;
	for (size_t i = 0; err == ERR_OK && i < sizeof kind / sizeof *kind; i++) {
		int64_t inspection = 0, part = 0;
		l.kind = kind[i];
		err = begin_look(e, st, &l, &inspection, &part, f);
		if (err == ERR_OK) err = mend_findings(e, st, inspection, f);
		if (err == ERR_OK)
			err =
			    follow_up_done(st, e->component, "advanced_inspection", inspection, f);
		if (err == ERR_OK) err = sign(e, st, inspection, part, l.conclusion, f);
	}
	return err;
}

SQL(test_in_order, "UPDATE component SET training_on = NULL, training_by = NULL, retired_on = NULL,"
		   " retired_reason = NULL, withdrawn_reason = NULL, maker = 'Maker 1',"
		   " ensemble_id = ?3, in_service_on = coalesce(in_service_on, ?2),"
		   " made = coalesce(made, strftime('%Y-%m', ?2, '-1 year')),"
		   " version = version + 1 WHERE id = ?1");
SQL(test_ensemble_in_order, "UPDATE ensemble SET member_id = id, active = 1, version = version + 1"
			    " WHERE id = ?1");
SQL(test_member_in_order, "UPDATE member SET status = 'active', version = version + 1"
			  " WHERE id = ?1");

/* As it was in the beginning. Nobody can end a retirement: that is another piece, which goes on
 * under the number of the one before. */
static enum err put_in_order(struct event *e, struct store *st, struct fault *f) {
	int64_t own = e->component <= TWINS ? 1 : 2;
	enum err err = store_run(st, &test_in_order, f, "idi", e->component, e->on, own);
	if (err == ERR_OK) err = store_run(st, &test_ensemble_in_order, f, "i", own);
	return err == ERR_OK ? store_run(st, &test_member_in_order, f, "i", own) : err;
}

static enum err all_came_back(struct event *e, struct store *st, struct fault *f) {
	enum err err;
	do err = came_back(e, st, f);
	while (err == ERR_OK && e->done);
	return err;
}

static enum err mended(struct event *e, struct store *st, struct fault *f) {
	static enum err (*const step[])(struct event *, struct store *, struct fault *) = {
	    put_in_order, handed_in, all_came_back, cleaned_after, inspect_all, answer_notices};
	enum err err = ERR_OK;
	for (size_t i = 0; err == ERR_OK && i < sizeof step / sizeof *step; i++)
		err = step[i](e, st, f);
	e->done = true;
	return err;
}

/* --- drawing
 * -------------------------------------------------------------------------------------- */

/* Groups of which one day has one event, lest the order of two should matter: one is of what the
 * other made, or they contradict each other. 0: any number; GROUP_ORDERED: none in such a day. */
enum {
	GROUP_ANY,
	GROUP_LOOK,
	GROUP_HOLDER,
	GROUP_PROVIDER,
	GROUP_LABEL,
	GROUP_ASIDE,
	GROUP_ORDERED
};

enum { ACT_MENDED, ACT_RELEASED };
static const struct {
	const char *name;
	enum err (*happens)(struct event *e, struct store *st, struct fault *f);
	int weight, group;
} act[] = {
    [ACT_MENDED] = {"mended", mended, 20, GROUP_ORDERED},
    [ACT_RELEASED] = {"released", released, 8, GROUP_ORDERED},
    {"cleaned", cleaned, 20, GROUP_ANY},
    {"cleaned after what was", cleaned_after, 3, GROUP_ORDERED},
    {"exposed", exposed, 4, GROUP_ANY},
    {"exposure in error", exposure_in_error, 2, GROUP_ANY},
    {"looked at", looked_at, 15, GROUP_LOOK},
    {"burnt", burnt, 3, GROUP_ORDERED},
    {"look begun", look_begun, 2, GROUP_ANY},
    {"look signed", look_signed, 2, GROUP_ORDERED},
    {"issued", issued, 10, GROUP_HOLDER},
    {"handed in", handed_in, 10, GROUP_HOLDER},
    {"ticket written", ticket_written, 6, GROUP_PROVIDER},
    {"sent", sent, 8, GROUP_PROVIDER},
    {"came back", came_back, 4, GROUP_PROVIDER},
    {"held", held, 1, GROUP_ORDERED},
    {"relabelled", relabelled, 2, GROUP_LABEL},
    {"set aside", set_aside, 1, GROUP_ASIDE},
    {"retired", retired, 2, GROUP_ORDERED},
    {"marked for training", marked_for_training, 3, GROUP_ORDERED},
    {"moved", moved, 3, GROUP_ORDERED},
    {"ensemble changed", ensemble_changed, 3, GROUP_ORDERED},
    {"member changed", member_changed, 3, GROUP_ORDERED},
    {"setting changed", setting_changed, 1, GROUP_ORDERED},
    {"notice came", notice_came, 2, GROUP_ORDERED},
    {"notice reworded", notice_reworded, 2, GROUP_ORDERED},
    {"notice withdrawn", notice_withdrawn, 2, GROUP_ORDERED},
    {"notice answered", notice_answered, 3, GROUP_ORDERED},
};
const int ACT_COUNT = sizeof act / sizeof *act;

static int draw_act(uint64_t *seed) {
	int sum = 0, i = 0;
	for (int k = 0; k < ACT_COUNT; k++) sum += act[k].weight;
	for (int rest = draw_below(seed, sum); rest >= act[i].weight; i++) rest -= act[i].weight;
	return i;
}

struct event event_draw(uint64_t *seed, int64_t component, day today) {
	int act_number = draw_act(seed);
	day on = today - (draw_chance(seed, 15) ? draw_below(seed, 31) : 0);
	return (struct event){act_number, component, on, draw(seed), false};
}

struct event event_draw_orderless(uint64_t *seed, int64_t component, day today,
				  unsigned *groups_taken) {
	for (;;) {
		int i = draw_act(seed), group = act[i].group;
		if (group == GROUP_ORDERED || *groups_taken & (1u << group)) continue;
		if (group != GROUP_ANY) *groups_taken |= 1u << group;
		return (struct event){i, component, today, draw(seed), false};
	}
}

struct event event_mends(int64_t component, day on) {
	return (struct event){ACT_MENDED, component, on, 0, false};
}

struct event event_releases(int64_t component, day on) {
	return (struct event){ACT_RELEASED, component, on, 0, false};
}

enum err event_happens(struct event *e, struct store *st, struct fault *f) {
	struct event own = *e; /* a change that is tried again draws the same */
	enum err err = act[e->act].happens(&own, st, f);
	e->done = own.done;
	return err;
}

const char *event_name(const struct event *e) { return act[e->act].name; }
