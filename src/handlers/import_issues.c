/* Who had a part before: issues that ended. */
#include "handlers/import_row.h"

#include <string.h>

#include "store/component.h"
#include "store/history.h"
#include "store/member.h"

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
	struct doc *old = NULL;
	err = history_find_issue(r->store, &row, r->arena, &old, r->fault);
	if (err != ERR_OK) return err;
	if (old) return import_on_record(r, old);
	err = import_check_serves(r, HELD_FROM, row.component, row.issued_on);
	bool meets = false;
	if (err == ERR_OK)
		err = issue_meets(r->store, row.component, row.issued_on, row.returned_on, &meets,
				  r->fault);
	if (err == ERR_OK && meets)
		err = import_fault(r, HELD_FROM,
				   "Another issue of it is on record for days between these: two "
				   "cannot have it at once.");
	return err == ERR_OK ? history_add_issue(r->store, &row, r->fault) : err;
}
