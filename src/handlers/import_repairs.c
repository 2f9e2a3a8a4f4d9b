/*
 * Repair tickets, a row for each finding on one.
 */
#include "base/text.h"
#include "handlers/import_row.h"
#include "store/component.h"
#include "store/dispatch.h"
#include "store/history.h"
#include "store/member.h"
#include "store/provider.h"

enum {
	MENDED_NUMBER,
	MENDED_PROVIDER,
	MENDED_STATE,
	MENDED_CREATED_ON,
	MENDED_CREATED_BY,
	MENDED_SENT_ON,
	MENDED_EXPECTED_ON,
	MENDED_RETURNED_ON,
	MENDED_NOTE,
	MENDED_FINDING, /* the columns that name it */
	MENDED_TAG = MENDED_FINDING + NAMED_TAG,
	MENDED_RESULT = MENDED_FINDING + NAMED_FIELDS,
	MENDED_WORK,
	MENDED_COST,
	MENDED_REPLACEMENT,
	MENDED_PERFORMER_CLASS,
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
    {.name = "note", .label = "Note to the provider", .kind = FIELD_NOTE},
    IMPORT_NAMED_FINDING,
    {.name = "result", .label = "Result", .kind = FIELD_CHOICE, .choice = repair_result_choice},
    {.name = "work_done", .label = "Work done", .kind = FIELD_TEXT},
    {.name = "cost", .label = "Cost", .kind = FIELD_MONEY},
    {.name = "replacement", .label = "Tag of the part that came instead", .kind = FIELD_TAG},
    IMPORT_PERFORMER_COLUMN,
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
	if (!came_back && import_text(r, MENDED_PERFORMER_CLASS))
		return import_fault(r, MENDED_PERFORMER_CLASS,
				    "Nobody has done it before it came back.");
	return ERR_OK;
}

/* Asked for on the ticket, or done by its result, as far as something is. */
static enum err check_mender(struct import_row *r, int64_t finding, const struct performer *who) {
	struct doc *item = NULL;
	enum err err = dispatch_finding(r->store, finding, r->arena, &item, r->fault);
	if (err != ERR_OK || text_equal(import_text(r, MENDED_STATE), "cancelled")) return err;
	const char *result = import_text(r, MENDED_RESULT);
	enum work work = performer_work(item);
	if (result && !work_of_result(result, work, &work)) return ERR_OK;
	return import_check_performer(r, result ? MENDED_PERFORMER_CLASS : MENDED_PROVIDER, who,
				      work);
}

/* The class of the day it was sent; what is not sent yet is judged by the day it was made. */
static enum err read_mender(struct import_row *r, int64_t *provider, struct performer *who) {
	const char *on = import_text(r, MENDED_SENT_ON);
	enum err err = import_reference(r, MENDED_PROVIDER, provider_by_code, provider);
	if (err != ERR_OK) return err;
	return import_performer(r, MENDED_PERFORMER_CLASS, *provider,
				on ? on : import_text(r, MENDED_CREATED_ON), who);
}

static enum err find_or_make_ticket(struct import_row *r, int64_t provider,
				    const struct performer *who, int64_t *id) {
	struct doc *old = NULL;
	const char *returned_on = import_text(r, MENDED_RETURNED_ON);
	struct history_ticket t = {.provider = provider,
				   .performer_class = returned_on ? performer_word(who) : NULL,
				   .number = import_text(r, MENDED_NUMBER),
				   .state = import_text(r, MENDED_STATE),
				   .created_on = import_text(r, MENDED_CREATED_ON),
				   .sent_on = import_text(r, MENDED_SENT_ON),
				   .expected_on = import_text(r, MENDED_EXPECTED_ON),
				   .returned_on = returned_on,
				   .note = import_text(r, MENDED_NOTE)};
	enum err err = import_reference(r, MENDED_CREATED_BY, member_by_badge, &t.created_by);
	if (err == ERR_OK) err = history_find_ticket(r->store, t.number, r->arena, &old, r->fault);
	if (err != ERR_OK) return err;
	if (!old) return history_add_ticket(r->store, &t, id, r->fault);
	*id = doc_int(old, "id");
	err = import_on_record(r, old);
	r->unchanged = false; /* what is on it is another matter */
	return err;
}

enum err import_repair(struct import_row *r) {
	struct doc *old = NULL;
	struct performer who;
	int64_t provider;
	struct history_repair row = {.result = import_text(r, MENDED_RESULT),
				     .work_done = import_text(r, MENDED_WORK),
				     .cost_cents = value_int(&r->value[MENDED_COST], -1)};
	enum err err = import_reference(r, MENDED_TAG, component_by_tag, &row.component);
	if (err == ERR_OK)
		err = import_reference(r, MENDED_REPLACEMENT, component_by_tag, &row.replacement);
	if (err == ERR_OK) err = check_way(r);
	if (err == ERR_OK)
		err = import_named_finding(r, MENDED_FINDING, row.component, &row.finding);
	if (err == ERR_OK) err = read_mender(r, &provider, &who);
	if (err == ERR_OK) err = find_or_make_ticket(r, provider, &who, &row.ticket);
	if (err == ERR_OK)
		err = history_find_repair(r->store, row.ticket, row.finding, r->arena, &old,
					  r->fault);
	if (err != ERR_OK) return err;
	if (old) return import_on_record(r, old);
	err = check_mender(r, row.finding, &who);
	if (err == ERR_OK && import_text(r, MENDED_SENT_ON))
		err = import_check_serves(r, MENDED_SENT_ON, row.component,
					  import_text(r, MENDED_SENT_ON));
	return err == ERR_OK ? history_add_repair(r->store, &row, r->fault) : err;
}
