#include "handlers/import_row.h"

#include <string.h>

#include "base/text.h"
#include "store/component.h"
#include "store/history.h"
#include "store/member.h"
#include "store/provider.h"

/* --- who had it before --- */

enum {
	HELD_TAG,
	HELD_BADGE,
	HELD_FROM,
	HELD_CONDITION,
	HELD_UNTIL,
	HELD_RETURN_CONDITION,
	HELD_NOTE,
	HELD_FIELDS
};
static const struct field issue_field[HELD_FIELDS] = {
    {.name = "tag", .label = "Tag", .kind = FIELD_TAG, .required = true},
    {.name = "badge", .label = "Holder's badge", .kind = FIELD_TAG, .required = true},
    {.name = "issued_on", .label = "Issued on", .kind = FIELD_DAY, .required = true},
    {.name = "condition",
     .label = "Condition at issue",
     .kind = FIELD_CHOICE,
     .choice = issue_condition_choice,
     .required = true},
    {.name = "returned_on", .label = "Returned on", .kind = FIELD_DAY, .required = true},
    {.name = "condition_at_return",
     .label = "Condition at return",
     .kind = FIELD_CHOICE,
     .choice = return_condition_choice,
     .required = true},
    {.name = "note", .label = "Note", .kind = FIELD_NOTE},
};
const struct resource import_issue_columns = {"issue", "issues", issue_field, HELD_FIELDS};

enum err import_issue(struct import_row *r) {
	struct history_issue row = {.issued_on = import_text(r, HELD_FROM),
				    .condition = import_text(r, HELD_CONDITION),
				    .returned_on = import_text(r, HELD_UNTIL),
				    .return_condition = import_text(r, HELD_RETURN_CONDITION),
				    .note = import_text(r, HELD_NOTE)};
	enum err err = import_reference(r, HELD_TAG, component_by_tag, &row.component);
	if (err == ERR_OK) err = import_reference(r, HELD_BADGE, member_by_badge, &row.member);
	if (err != ERR_OK) return err;
	if (strcmp(row.returned_on, row.issued_on) < 0)
		return import_fault(r, HELD_UNTIL, "It was returned before it was issued.");
	return history_add_issue(r->store, &row, &r->unchanged, r->fault);
}

/* --- cleanings --- */

static const struct choice cleaning_class[] = {
    {"routine", ""}, {"advanced", ""}, {"specialized", ""}, {NULL, NULL}};
enum {
	CLEANED_TAG,
	CLEANED_ON,
	CLEANED_CLASS,
	CLEANED_REASON,
	CLEANED_BY,
	CLEANED_PROVIDER,
	CLEANED_FIELDS
};
static const struct field cleaning_field[CLEANED_FIELDS] = {
    {.name = "tag", .label = "Tag", .kind = FIELD_TAG, .required = true},
    {.name = "cleaned_on", .label = "Cleaned on", .kind = FIELD_DAY, .required = true},
    {.name = "class",
     .label = "Class",
     .kind = FIELD_CHOICE,
     .choice = cleaning_class,
     .required = true},
    {.name = "reason", .label = "Reason", .kind = FIELD_TEXT, .required = true},
    {.name = "performed_by", .label = "Done by", .kind = FIELD_TEXT, .required = true},
    {.name = "provider", .label = "Provider", .kind = FIELD_TAG},
};

const struct resource import_cleaning_columns = {"cleaning", "cleanings", cleaning_field,
						 CLEANED_FIELDS};

enum err import_cleaning(struct import_row *r) {
	struct cleaning_row row = {.cleaned_on = import_text(r, CLEANED_ON),
				   .class = import_text(r, CLEANED_CLASS),
				   .reason = import_text(r, CLEANED_REASON),
				   .performed_by = import_text(r, CLEANED_BY)};
	enum err err = import_reference(r, CLEANED_TAG, component_by_tag, &row.component);
	if (err == ERR_OK)
		err = import_reference(r, CLEANED_PROVIDER, provider_by_code, &row.provider);
	if (err == ERR_OK) err = history_has_cleaning(r->store, &row, &r->unchanged, r->fault);
	if (err != ERR_OK || r->unchanged) return err;
	return cleaning_insert(r->store, &row, r->fault);
}

/* --- inspections, part by part --- */

static const struct choice inspection_kind[] = {
    {"routine", ""}, {"advanced", ""}, {"liner", ""}, {"return", ""}, {NULL, NULL}};
static const struct choice conclusion[] = {{"return_to_service", ""},
					   {"out_of_service", ""},
					   {"retire", ""},
					   {"clean_first", ""},
					   {NULL, NULL}};
enum {
	SEEN_REFERENCE,
	SEEN_KIND,
	SEEN_ON,
	SEEN_INSPECTOR,
	SEEN_PERFORMER,
	SEEN_TAG,
	SEEN_CONCLUSION,
	SEEN_FIELDS
};
static const struct field inspection_field[SEEN_FIELDS] = {
    {.name = "reference", .label = "Reference", .kind = FIELD_TAG, .required = true},
    {.name = "kind",
     .label = "Kind",
     .kind = FIELD_CHOICE,
     .choice = inspection_kind,
     .required = true},
    {.name = "inspected_on", .label = "Inspected on", .kind = FIELD_DAY, .required = true},
    {.name = "inspector", .label = "Inspector's badge", .kind = FIELD_TAG, .required = true},
    {.name = "performer", .label = "Done by (outside)", .kind = FIELD_TEXT},
    {.name = "tag", .label = "Tag", .kind = FIELD_TAG, .required = true},
    {.name = "conclusion",
     .label = "Conclusion",
     .kind = FIELD_CHOICE,
     .choice = conclusion,
     .required = true},
};

const struct resource import_inspection_columns = {"inspection", "inspections", inspection_field,
						   SEEN_FIELDS};

enum err import_inspection(struct import_row *r) {
	struct history_part part = {.reference = import_text(r, SEEN_REFERENCE),
				    .kind = import_text(r, SEEN_KIND),
				    .inspected_on = import_text(r, SEEN_ON),
				    .performer = import_text(r, SEEN_PERFORMER),
				    .conclusion = import_text(r, SEEN_CONCLUSION)};
	enum err err = import_reference(r, SEEN_INSPECTOR, member_by_badge, &part.inspector);
	if (err == ERR_OK) err = import_reference(r, SEEN_TAG, component_by_tag, &part.component);
	if (err != ERR_OK) return err;
	return history_add_part(r->store, &part, &r->unchanged, r->fault);
}

/* --- what was found --- */

static const struct choice face[] = {{"front", ""}, {"back", ""}, {NULL, NULL}};
static const struct choice side[] = {{"outside", ""}, {"inside", ""}, {NULL, NULL}};
static const struct choice severity[] = {
    {"minor", ""}, {"major", ""}, {"critical", ""}, {NULL, NULL}};
static const struct choice finding_state[] = {{"open", ""},     {"accepted", ""},  {"mended", ""},
					      {"replaced", ""}, {"withdrawn", ""}, {NULL, NULL}};
enum {
	FOUND_REFERENCE,
	FOUND_TAG,
	FOUND_POINT,
	FOUND_DEFECT,
	FOUND_ZONE,
	FOUND_FACE,
	FOUND_SIDE,
	FOUND_PLACE,
	FOUND_LENGTH,
	FOUND_SEVERITY,
	FOUND_OUTCOME,
	FOUND_REASON,
	FOUND_STATE,
	FOUND_CLOSED_ON,
	FOUND_CLOSED_REASON,
	FOUND_NOTE,
	FOUND_FIELDS
};
static const struct field finding_field[FOUND_FIELDS] = {
    {.name = "reference", .label = "Reference", .kind = FIELD_TAG, .required = true},
    {.name = "tag", .label = "Tag", .kind = FIELD_TAG, .required = true},
    {.name = "check_point", .label = "Check point", .kind = FIELD_TAG, .required = true},
    {.name = "defect", .label = "Defect", .kind = FIELD_TAG, .required = true},
    {.name = "zone", .label = "Zone", .kind = FIELD_TAG},
    {.name = "face", .label = "Face", .kind = FIELD_CHOICE, .choice = face},
    {.name = "side", .label = "Side", .kind = FIELD_CHOICE, .choice = side},
    {.name = "place", .label = "Place", .kind = FIELD_TEXT},
    {.name = "length_mm", .label = "Length in mm", .kind = FIELD_INTEGER, .max = 10000},
    {.name = "severity",
     .label = "Severity",
     .kind = FIELD_CHOICE,
     .choice = severity,
     .required = true},
    {.name = "outcome", .label = "Outcome", .kind = FIELD_TAG, .required = true},
    {.name = "override_reason", .label = "Reason for that outcome", .kind = FIELD_TEXT},
    {.name = "state",
     .label = "State",
     .kind = FIELD_CHOICE,
     .choice = finding_state,
     .required = true},
    {.name = "closed_on", .label = "Closed on", .kind = FIELD_DAY},
    {.name = "closed_reason", .label = "Closed because", .kind = FIELD_TEXT},
    {.name = "note", .label = "Note", .kind = FIELD_NOTE},
};

const struct resource import_finding_columns = {"finding", "findings", finding_field, FOUND_FIELDS};

enum err import_finding(struct import_row *r) {
	struct history_finding found = {.reference = import_text(r, FOUND_REFERENCE),
					.check_point = import_text(r, FOUND_POINT),
					.defect = import_text(r, FOUND_DEFECT),
					.zone = import_text(r, FOUND_ZONE),
					.face = import_text(r, FOUND_FACE),
					.side = import_text(r, FOUND_SIDE),
					.place = import_text(r, FOUND_PLACE),
					.severity = import_text(r, FOUND_SEVERITY),
					.length_mm = value_int(&r->value[FOUND_LENGTH], -1),
					.outcome = import_text(r, FOUND_OUTCOME),
					.override_reason = import_text(r, FOUND_REASON),
					.state = import_text(r, FOUND_STATE),
					.closed_on = import_text(r, FOUND_CLOSED_ON),
					.closed_reason = import_text(r, FOUND_CLOSED_REASON),
					.note = import_text(r, FOUND_NOTE)};
	enum err err = import_reference(r, FOUND_TAG, component_by_tag, &found.component);
	if (err != ERR_OK) return err;
	bool known = false;
	err = history_add_finding(r->store, &found, &r->unchanged, &known, r->fault);
	if (err == ERR_OK && !known)
		return import_fault(
		    r, FOUND_REFERENCE,
		    "There is no inspection %s of this tag, or a word of the row is not in the "
		    "handbook.",
		    found.reference);
	return err;
}

/* --- repairs: a row for each finding on a ticket --- */

enum {
	MENDED_NUMBER,
	MENDED_PROVIDER,
	MENDED_STATE,
	MENDED_CREATED_ON,
	MENDED_CREATED_BY,
	MENDED_SENT_ON,
	MENDED_EXPECTED_ON,
	MENDED_RETURNED_ON,
	MENDED_REFERENCE,
	MENDED_TAG,
	MENDED_POINT,
	MENDED_DEFECT,
	MENDED_RESULT,
	MENDED_WORK,
	MENDED_COST,
	MENDED_REPLACEMENT,
	MENDED_FIELDS
};
static const struct field repair_field[MENDED_FIELDS] = {
    {.name = "number", .label = "Ticket", .kind = FIELD_TAG, .required = true},
    {.name = "provider", .label = "Provider", .kind = FIELD_TAG, .required = true},
    {.name = "state",
     .label = "State of the ticket",
     .kind = FIELD_CHOICE,
     .choice = dispatch_state_choice,
     .required = true},
    {.name = "created_on", .label = "Made on", .kind = FIELD_DAY, .required = true},
    {.name = "created_by", .label = "Made by (badge)", .kind = FIELD_TAG, .required = true},
    {.name = "sent_on", .label = "Sent on", .kind = FIELD_DAY},
    {.name = "expected_on", .label = "Expected back", .kind = FIELD_DAY},
    {.name = "returned_on", .label = "Came back on", .kind = FIELD_DAY},
    {.name = "reference", .label = "Inspection", .kind = FIELD_TAG, .required = true},
    {.name = "tag", .label = "Tag", .kind = FIELD_TAG, .required = true},
    {.name = "check_point", .label = "Check point", .kind = FIELD_TAG, .required = true},
    {.name = "defect", .label = "Defect", .kind = FIELD_TAG, .required = true},
    {.name = "result", .label = "Result", .kind = FIELD_CHOICE, .choice = result_choice},
    {.name = "work_done", .label = "Work done", .kind = FIELD_TEXT},
    {.name = "cost", .label = "Cost", .kind = FIELD_MONEY},
    {.name = "replacement", .label = "Tag of the part that came instead", .kind = FIELD_TAG},
};
const struct resource import_repair_columns = {"repair", "repairs", repair_field, MENDED_FIELDS};

/* A ticket has the days of the way it went, and a result once it came back. */
static enum err check_way(struct import_row *r) {
	const char *state = import_text(r, MENDED_STATE);
	bool came_back = text_equal(state, "returned"),
	     left = came_back || text_equal(state, "sent");
	if (left != (import_text(r, MENDED_SENT_ON) != NULL))
		return import_fault(r, MENDED_SENT_ON,
				    left ? "Say when it was sent." : "It was not sent.");
	if (came_back != (import_text(r, MENDED_RETURNED_ON) != NULL))
		return import_fault(r, MENDED_RETURNED_ON,
				    came_back ? "Say when it came back." : "It did not come back.");
	if (came_back != (import_text(r, MENDED_RESULT) != NULL))
		return import_fault(r, MENDED_RESULT,
				    came_back ? "Say what the provider did."
					      : "There is no result before it came back.");
	return ERR_OK;
}

enum err import_repair(struct import_row *r) {
	struct history_repair row = {.number = import_text(r, MENDED_NUMBER),
				     .state = import_text(r, MENDED_STATE),
				     .created_on = import_text(r, MENDED_CREATED_ON),
				     .sent_on = import_text(r, MENDED_SENT_ON),
				     .expected_on = import_text(r, MENDED_EXPECTED_ON),
				     .returned_on = import_text(r, MENDED_RETURNED_ON),
				     .reference = import_text(r, MENDED_REFERENCE),
				     .check_point = import_text(r, MENDED_POINT),
				     .defect = import_text(r, MENDED_DEFECT),
				     .result = import_text(r, MENDED_RESULT),
				     .work_done = import_text(r, MENDED_WORK),
				     .cost_cents = value_int(&r->value[MENDED_COST], -1)};
	bool found = false;
	enum err err = import_reference(r, MENDED_PROVIDER, provider_by_code, &row.provider);
	if (err == ERR_OK)
		err = import_reference(r, MENDED_CREATED_BY, member_by_badge, &row.created_by);
	if (err == ERR_OK) err = import_reference(r, MENDED_TAG, component_by_tag, &row.component);
	if (err == ERR_OK)
		err = import_reference(r, MENDED_REPLACEMENT, component_by_tag, &row.replacement);
	if (err == ERR_OK) err = check_way(r);
	if (err == ERR_OK)
		err = history_add_repair(r->store, &row, &r->unchanged, &found, r->fault);
	if (err == ERR_OK && !found)
		return import_fault(r, MENDED_REFERENCE,
				    "Inspection %s has no such finding at this check point of %s.",
				    row.reference, import_text(r, MENDED_TAG));
	return err;
}
