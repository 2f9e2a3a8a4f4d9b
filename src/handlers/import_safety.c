/*
 * Safety notices and what was answered, in tables: a copy of the record keeps what they hit
 * out of service too. A notice has a row for each line of what it concerns.
 */
#include "base/text.h"
#include "handlers/import_row.h"
#include "store/component.h"
#include "store/history.h"
#include "store/member.h"
#include "store/safety_items.h"
#include "store/safety_notice.h"

#define LINES_MAX 10000

enum {
	NUMBER,
	ISSUER,
	REFERENCE,
	ISSUED_ON,
	TITLE,
	WRONG,
	ACTION,
	ACTION_TEXT,
	DUE_ON,
	RECORDED_ON,
	RECORDED_BY,
	ASKED_ON,
	CLOSED_ON,
	CLOSED_BY,
	CLOSED_REASON,
	WITHDRAWN,
	LINE,
	MAKER,
	KIND,
	MODEL,
	SERIAL_FROM,
	SERIAL_TO,
	SERIALS,
	MADE_FROM,
	MADE_TO,
	HAZARD,
	DROPPED_ON,
	DROPPED_REASON,
	FIELDS
};
static const struct field field[FIELDS] = {
    {.name = "number", .label = "Number", .kind = FIELD_TAG, .required = true},
    {.name = "issuer", .label = "Issued by", .kind = FIELD_TEXT, .required = true},
    {.name = "reference", .label = "The issuer's number", .kind = FIELD_TEXT},
    {.name = "issued_on", .label = "Issued on", .kind = FIELD_DAY, .required = true},
    {.name = "title", .label = "Title", .kind = FIELD_TEXT, .required = true},
    {.name = "wrong", .label = "What is wrong", .kind = FIELD_NOTE, .required = true},
    {.name = "action",
     .label = "What is asked for",
     .kind = FIELD_CHOICE,
     .choice = safety_action_choice,
     .required = true},
    {.name = "action_text", .label = "What exactly is to be done", .kind = FIELD_NOTE},
    {.name = "due_on", .label = "By when", .kind = FIELD_DAY},
    {.name = "recorded_on", .label = "Recorded on", .kind = FIELD_DAY, .required = true},
    {.name = "recorded_by", .label = "Recorded by (badge)", .kind = FIELD_TAG, .required = true},
    {.name = "asked_on",
     .label = "Asked for since",
     .help = "The day of recording, unless another action was asked for before.",
     .kind = FIELD_DAY},
    {.name = "closed_on", .label = "Closed on", .kind = FIELD_DAY},
    {.name = "closed_by", .label = "Closed by (badge)", .kind = FIELD_TAG},
    {.name = "closed_reason", .label = "Closed because", .kind = FIELD_TEXT},
    {.name = "withdrawn", .label = "Withdrawn", .kind = FIELD_YES_NO},
    {.name = "line",
     .label = "Line of what it concerns",
     .help = "1, 2, ... of each notice.",
     .kind = FIELD_INTEGER,
     .min = 1,
     .max = LINES_MAX,
     .required = true},
    {.name = "maker", .label = "Maker", .kind = FIELD_TEXT, .required = true},
    {.name = "kind", .label = "Kind", .kind = FIELD_CHOICE, .choice = kind_choice},
    {.name = "model", .label = "Model", .kind = FIELD_TEXT},
    {.name = "serial_from", .label = "Lot or serial from", .kind = FIELD_TEXT},
    {.name = "serial_to", .label = "Lot or serial to", .kind = FIELD_TEXT},
    {.name = "serials", .label = "Single lots or serials", .kind = FIELD_NOTE},
    {.name = "made_from", .label = "Made from", .kind = FIELD_LABEL_DATE},
    {.name = "made_to", .label = "Made to", .kind = FIELD_LABEL_DATE},
    {.name = "hazard", .label = "Hazard", .kind = FIELD_CHOICE, .choice = hazard_choice},
    {.name = "dropped_on", .label = "Line dropped on", .kind = FIELD_DAY},
    {.name = "dropped_reason", .label = "Line dropped because", .kind = FIELD_TEXT},
};
const struct resource import_safety_notice_columns = {"safety_notice", "safety_notices", field,
						      FIELDS};

/* Whether an inspection of that day came before or after is not known: only later ones are
 * what was asked for. */
static enum err make_notice(struct import_row *r, int64_t *id) {
	struct safety_notice_row row = {
	    .number = import_text(r, NUMBER),
	    .issuer = import_text(r, ISSUER),
	    .reference = import_text(r, REFERENCE),
	    .issued_on = import_text(r, ISSUED_ON),
	    .title = import_text(r, TITLE),
	    .wrong = import_text(r, WRONG),
	    .action = import_text(r, ACTION),
	    .action_text = import_text(r, ACTION_TEXT),
	    .due_on = import_text(r, DUE_ON),
	    .recorded_on = import_text(r, RECORDED_ON),
	    .asked_on = import_text(r, ASKED_ON),
	};
	int64_t closed_by = 0;
	const char *closed_on = import_text(r, CLOSED_ON), *why = import_text(r, CLOSED_REASON);
	bool withdrawn = import_yes(r, WITHDRAWN, false);
	if (!row.asked_on) row.asked_on = row.recorded_on;
	row.asked_at = arena_printf(r->arena, "%sT23:59:59Z", row.asked_on);
	enum err err = import_reference(r, RECORDED_BY, member_by_badge, &row.recorded_by);
	if (err == ERR_OK) err = import_reference(r, CLOSED_BY, member_by_badge, &closed_by);
	if (err != ERR_OK) return err;
	if (!closed_on != !closed_by)
		return import_fault(r, CLOSED_ON, "Closing has its day and who closed it.");
	if (withdrawn && (!closed_on || !why))
		return import_fault(r, WITHDRAWN, "What was withdrawn is closed, with a reason.");
	err = safety_notice_save(r->store, &row, r->arena, id, r->fault);
	if (err != ERR_OK || !closed_on) return err;
	return safety_notice_close(r->store, *id, closed_by, closed_on, why, withdrawn, r->fault);
}

/* What was dropped may be as it was. */
static enum err check_scope(struct import_row *r, const struct safety_scope_row *row) {
	struct safety_scope scope;
	const char *entry;
	safety_scope_make(&scope, row, r->arena);
	const char *flaw = safety_scope_flaw(&scope, &entry);
	if (!flaw || import_text(r, DROPPED_ON)) return ERR_OK;
	size_t at = MAKER;
	while (!text_equal(field[at].name, entry)) at++;
	return import_fault(r, at, "%s", flaw);
}

static enum err add_line(struct import_row *r, int64_t notice, int64_t before) {
	struct safety_scope_row row = {.notice = notice,
				       .kind = import_text(r, KIND),
				       .hazard = import_text(r, HAZARD),
				       .maker = import_text(r, MAKER),
				       .model = import_text(r, MODEL),
				       .serial_from = import_text(r, SERIAL_FROM),
				       .serial_to = import_text(r, SERIAL_TO),
				       .serials = import_text(r, SERIALS),
				       .made_from = import_text(r, MADE_FROM),
				       .made_to = import_text(r, MADE_TO)};
	const char *dropped_on = import_text(r, DROPPED_ON), *why = import_text(r, DROPPED_REASON);
	if (value_int(&r->value[LINE], 0) != before + 1)
		return import_fault(r, LINE, "Line %lld of the notice comes first.",
				    (long long)before + 1);
	if (!dropped_on != !why)
		return import_fault(r, DROPPED_ON, "Dropping a line has its day and its reason.");
	enum err err = check_scope(r, &row);
	if (err == ERR_OK) err = safety_scope_add(r->store, &row, before == 0, r->fault);
	if (err != ERR_OK || !dropped_on) return err;
	return safety_scope_drop(r->store, notice, row.id, dropped_on, why, r->fault);
}

enum err import_safety_notice(struct import_row *r) {
	struct doc *notice = NULL, *line = NULL;
	int64_t id = 0, lines = 0;
	enum err err =
	    safety_notice_find(r->store, import_text(r, NUMBER), r->arena, &notice, r->fault);
	if (err == ERR_OK && notice) {
		err = import_on_record(r, notice);
		r->unchanged = false;
		id = doc_int(notice, "id");
		if (err == ERR_OK)
			err = safety_scope_find(r->store, id, value_int(&r->value[LINE], 0),
						r->arena, &line, &lines, r->fault);
	}
	if (err != ERR_OK) return err;
	if (line) return import_on_record(r, line);
	if (!notice) err = make_notice(r, &id);
	return err == ERR_OK ? add_line(r, id, lines) : err;
}

/* --- answers --- */

enum {
	OF_NUMBER,
	TAG,
	TURN,
	ANSWER,
	NOTE,
	INSPECTION,
	ANSWERED_ON,
	ANSWERED_BY,
	OF_ACTION,
	HIT,
	EDITION,
	REVOKED_ON,
	REVOKED_BY,
	REVOKED_REASON,
	ANSWER_FIELDS
};
static const struct field answer_field[ANSWER_FIELDS] = {
    {.name = "number", .label = "Number", .kind = FIELD_TAG, .required = true},
    {.name = "tag", .label = "Tag", .kind = FIELD_TAG, .required = true},
    {.name = "turn",
     .label = "Which answer for it",
     .help = "1, 2, ... for each part.",
     .kind = FIELD_INTEGER,
     .min = 1,
     .max = LINES_MAX,
     .required = true},
    {.name = "answer",
     .label = "What was done",
     .kind = FIELD_CHOICE,
     .choice = safety_answer_choice,
     .required = true},
    {.name = "note", .label = "Note", .kind = FIELD_TEXT},
    {.name = "reference", .label = "Inspection", .kind = FIELD_TAG},
    {.name = "answered_on", .label = "Day", .kind = FIELD_DAY, .required = true},
    {.name = "answered_by", .label = "By (badge)", .kind = FIELD_TAG, .required = true},
    {.name = "action",
     .label = "What was asked for then",
     .kind = FIELD_CHOICE,
     .choice = safety_action_choice,
     .required = true},
    {.name = "hit",
     .label = "Hit then",
     .kind = FIELD_CHOICE,
     .choice = safety_hit_choice,
     .required = true},
    {.name = "edition",
     .label = "Lines of the notice then",
     .kind = FIELD_INTEGER,
     .min = 1,
     .max = LINES_MAX,
     .required = true},
    {.name = "revoked_on", .label = "Taken back on", .kind = FIELD_DAY},
    {.name = "revoked_by", .label = "Taken back by (badge)", .kind = FIELD_TAG},
    {.name = "revoked_reason", .label = "Taken back because", .kind = FIELD_TEXT},
};
const struct resource import_safety_answer_columns = {"safety_answer", "safety_answers",
						      answer_field, ANSWER_FIELDS};

/* An answer "done" to a notice that asks for an inspection names it. */
static enum err find_inspection(struct import_row *r, struct safety_answer_row *row) {
	struct doc *seen = NULL, *part = NULL;
	const char *name = import_text(r, INSPECTION);
	if (!name && text_equal(row->answer, "done") && text_equal(row->action, "inspect"))
		return import_fault(r, INSPECTION, "Name the inspection that was asked for.");
	if (!name) return ERR_OK;
	enum err err = history_find_inspection(r->store, name, r->arena, &seen, r->fault);
	row->inspection = doc_int(seen, "id");
	if (err == ERR_OK && seen)
		err = history_find_part(r->store, row->inspection, row->component, r->arena, &part,
					r->fault);
	if (err != ERR_OK || part) return err;
	return import_fault(r, INSPECTION, "No inspection \"%s\" of %s is on record.", name,
			    import_text(r, TAG));
}

static enum err take_back(struct import_row *r, const struct safety_answer_row *row) {
	int64_t by = 0;
	const char *on = import_text(r, REVOKED_ON), *why = import_text(r, REVOKED_REASON);
	enum err err = import_reference(r, REVOKED_BY, member_by_badge, &by);
	if (err != ERR_OK || (!on && !by && !why)) return err;
	if (!on || !by || !why)
		return import_fault(r, REVOKED_ON, "Taking back has its day, who did it and why.");
	return safety_answer_revoke(r->store, row->notice, row->id, by, on, why, r->fault);
}

enum err import_safety_answer(struct import_row *r) {
	struct safety_answer_row row = {.answer = import_text(r, ANSWER),
					.note = import_text(r, NOTE),
					.on = import_text(r, ANSWERED_ON),
					.action = import_text(r, OF_ACTION),
					.hit = import_text(r, HIT),
					.edition = value_int(&r->value[EDITION], 0)};
	struct doc *notice = NULL, *old = NULL;
	int64_t turns = 0, turn = value_int(&r->value[TURN], 0);
	enum err err =
	    safety_notice_find(r->store, import_text(r, OF_NUMBER), r->arena, &notice, r->fault);
	if (err == ERR_OK && !notice)
		return import_fault(r, OF_NUMBER, "There is no notice of that number on record.");
	row.notice = doc_int(notice, "id");
	if (err == ERR_OK) err = import_reference(r, TAG, component_by_tag, &row.component);
	if (err == ERR_OK) err = import_reference(r, ANSWERED_BY, member_by_badge, &row.by);
	if (err == ERR_OK) err = find_inspection(r, &row);
	if (err == ERR_OK)
		err = safety_answer_find(r->store, row.notice, row.component, turn, r->arena, &old,
					 &turns, r->fault);
	if (err != ERR_OK) return err;
	if (old && doc_int(old, "inspection") != row.inspection)
		return import_fault(r, INSPECTION, "Another inspection is on record for it.");
	if (old) return import_on_record(r, old);
	if (turn != turns + 1)
		return import_fault(r, TURN, "Answer %lld for it comes first.",
				    (long long)turns + 1);
	err = safety_answer_add(r->store, &row, r->fault);
	return err == ERR_OK ? take_back(r, &row) : err;
}
