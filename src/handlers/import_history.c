#include "handlers/import_row.h"

#include <string.h>

#include "base/text.h"
#include "rules/cleaning.h"
#include "store/component.h"
#include "store/dispatch.h"
#include "store/handbook.h"
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
	struct doc *old = NULL;
	err = history_find_issue(r->store, &row, r->arena, &old, r->fault);
	if (err != ERR_OK) return err;
	if (old) return import_on_record(r, old);
	err = import_check_serves(r, HELD_FROM, row.component, row.issued_on);
	return err == ERR_OK ? history_add_issue(r->store, &row, r->fault) : err;
}

/* --- cleanings --- */

enum {
	CLEANED_TAG,
	CLEANED_ON,
	CLEANED_CLASS,
	CLEANED_REASON,
	CLEANED_BY,
	CLEANED_PROVIDER,
	CLEANED_NOTE,
	CLEANED_METHOD,
	CLEANED_WATER,
	CLEANED_PH,
	CLEANED_FORCE,
	CLEANED_BLEACH,
	CLEANED_DRIED,
	CLEANED_DRY,
	CLEANED_BEYOND,
	CLEANED_PERFORMER,
	CLEANED_SANITIZED,
	CLEANED_FIELDS
};
static const struct field cleaning_field[CLEANED_FIELDS] = {
    {.name = "tag", .label = "Tag", .kind = FIELD_TAG, .required = true},
    {.name = "cleaned_on", .label = "Cleaned on", .kind = FIELD_DAY, .required = true},
    {.name = "class",
     .label = "Class",
     .kind = FIELD_CHOICE,
     .choice = cleaning_class_choice,
     .required = true},
    {.name = "reason", .label = "Reason", .kind = FIELD_TEXT, .required = true},
    {.name = "performed_by", .label = "Done by", .kind = FIELD_TEXT, .required = true},
    {.name = "provider", .label = "Provider", .kind = FIELD_TAG},
    {.name = "note", .label = "Note", .kind = FIELD_NOTE},
    {.name = "method", .label = "Washed", .kind = FIELD_CHOICE, .choice = wash_method_choice},
    {.name = "water_mf",
     .label = "Wash water, thousandths of a °F",
     .kind = FIELD_INTEGER,
     .min = 32000,
     .max = 212000},
    {.name = "ph_hundredths",
     .label = "pH of the detergent, hundredths",
     .kind = FIELD_INTEGER,
     .min = 1,
     .max = 1400},
    {.name = "force_g", .label = "Extraction, g", .kind = FIELD_INTEGER, .min = 1, .max = 20000},
    {.name = "bleach", .label = "Chlorine bleach or a solvent", .kind = FIELD_YES_NO},
    {.name = "dried", .label = "Dried", .kind = FIELD_CHOICE, .choice = drying_choice},
    {.name = "dry_mf",
     .label = "Air it was dried in, thousandths of a °F",
     .kind = FIELD_INTEGER,
     .min = 32000,
     .max = 482000},
    {.name = "beyond", .label = "Beyond what gear stands, as was confirmed", .kind = FIELD_YES_NO},
    IMPORT_PERFORMER_COLUMN,
    {.name = "sanitized", .label = "Sanitized too", .kind = FIELD_YES_NO},
};

const struct resource import_cleaning_columns = {"cleaning", "cleanings", cleaning_field,
						 CLEANED_FIELDS};

/* The same limits as in the form: what is beyond them was so only when the row says it was, and
 * how that came about. */
static enum err check_washing(struct import_row *r, struct cleaning_row *row) {
	struct cleaning_limit limit[CLEANING_LIMITS];
	const struct program *p;
	const struct handbook *hb;
	struct doc *part = NULL;
	enum err err = store_handbook(r->store, &hb, r->fault);
	if (err == ERR_OK) err = store_program(r->store, &p, r->fault);
	if (err == ERR_OK) err = component_get(r->store, row->component, r->arena, &part, r->fault);
	if (err != ERR_OK) return err;
	const struct washing w = {.kind = handbook_kind(hb, doc_text(part, "kind")),
				  .reflective = doc_int(part, "reflective") != 0,
				  .has_water = row->has_water,
				  .water_mf = row->water_mf,
				  .ph_hundredths = (int)row->ph_hundredths,
				  .force_g = (int)row->force_g,
				  .by_machine = text_equal(row->method, "machine"),
				  .has_dry = row->has_dry,
				  .dry_mf = row->dry_mf,
				  .machine_dried = text_equal(row->dried, "machine"),
				  .bleach = row->bleach};
	if (!cleaning_beyond(&w, p, r->arena, limit) || (row->beyond && !text_empty(row->note)))
		return ERR_OK;
	return import_fault(r, CLEANED_BEYOND,
			    "Beyond what gear stands: %s (%s). Correct it; or say yes here that it "
			    "really was so, and note how: then an advanced inspection is due.",
			    limit[0].text, limit[0].source);
}

static enum err take_cleaner(struct import_row *r, struct cleaning_row *row) {
	struct performer who;
	enum err err = import_performer(r, CLEANED_PERFORMER, row->provider, row->cleaned_on, &who);
	if (err == ERR_OK)
		err = import_check_performer(r, CLEANED_PERFORMER, &who,
					     work_of_cleaning(row->class));
	if (err == ERR_OK && row->sanitized)
		err = import_check_performer(r, CLEANED_SANITIZED, &who, WORK_SANITIZATION);
	row->performer_class = performer_word(&who);
	return err;
}

enum err import_cleaning(struct import_row *r) {
	struct cleaning_row row = {.cleaned_on = import_text(r, CLEANED_ON),
				   .class = import_text(r, CLEANED_CLASS),
				   .reason = import_text(r, CLEANED_REASON),
				   .performed_by = import_text(r, CLEANED_BY),
				   .note = import_text(r, CLEANED_NOTE),
				   .method = import_text(r, CLEANED_METHOD),
				   .has_water = value_given(&r->value[CLEANED_WATER]),
				   .water_mf = value_int(&r->value[CLEANED_WATER], 0),
				   .ph_hundredths = value_int(&r->value[CLEANED_PH], 0),
				   .force_g = value_int(&r->value[CLEANED_FORCE], 0),
				   .has_bleach = value_given(&r->value[CLEANED_BLEACH]),
				   .bleach = import_yes(r, CLEANED_BLEACH, false),
				   .dried = import_text(r, CLEANED_DRIED),
				   .has_dry = value_given(&r->value[CLEANED_DRY]),
				   .dry_mf = value_int(&r->value[CLEANED_DRY], 0),
				   .beyond = import_yes(r, CLEANED_BEYOND, false),
				   .sanitized = import_yes(r, CLEANED_SANITIZED, false)};
	enum err err = import_reference(r, CLEANED_TAG, component_by_tag, &row.component);
	if (err == ERR_OK)
		err = import_reference(r, CLEANED_PROVIDER, provider_by_code, &row.provider);
	bool is_told = row.method || row.has_water || row.ph_hundredths || row.force_g ||
		       row.has_bleach || row.dried || row.has_dry;
	if (err == ERR_OK && is_told) err = check_washing(r, &row);
	struct doc *old = NULL;
	/* Two of a class on one day are two when one table says so. */
	int64_t before = *r->first ? *r->first : INT64_MAX;
	if (err == ERR_OK)
		err = history_find_cleaning(r->store, &row, before, r->arena, &old, r->fault);
	if (err != ERR_OK) return err;
	if (old) return import_on_record(r, old);
	err = take_cleaner(r, &row);
	if (err != ERR_OK) return err;
	err = cleaning_insert(r->store, &row, r->fault);
	if (!*r->first) *r->first = store_inserted(r->store);
	return err;
}

/* --- inspections, part by part --- */

enum {
	SEEN_REFERENCE,
	SEEN_KIND,
	SEEN_ON,
	SEEN_INSPECTOR,
	SEEN_PERFORMER,
	SEEN_NOTE,
	SEEN_TAG,
	SEEN_CONCLUSION,
	SEEN_PERFORMER_CLASS,
	SEEN_FIELDS
};
static const struct field inspection_field[SEEN_FIELDS] = {
    {.name = "reference", .label = "Reference", .kind = FIELD_TAG, .required = true},
    {.name = "kind",
     .label = "Kind",
     .kind = FIELD_CHOICE,
     .choice = inspection_kind_choice,
     .required = true},
    {.name = "inspected_on", .label = "Inspected on", .kind = FIELD_DAY, .required = true},
    {.name = "inspector", .label = "Inspector's badge", .kind = FIELD_TAG, .required = true},
    {.name = "performer", .label = "Done by (outside)", .kind = FIELD_TEXT},
    {.name = "note", .label = "Note", .kind = FIELD_NOTE},
    {.name = "tag", .label = "Tag", .kind = FIELD_TAG, .required = true},
    {.name = "conclusion",
     .label = "Conclusion",
     .kind = FIELD_CHOICE,
     .choice = conclusion_choice,
     .required = true},
    IMPORT_PERFORMER_COLUMN,
};

const struct resource import_inspection_columns = {"inspection", "inspections", inspection_field,
						   SEEN_FIELDS};

/* An inspection that is there gets another part, when it was brought in itself. */
static enum err add_to(struct import_row *r, const struct doc *seen, struct history_part *part) {
	struct doc *old = NULL;
	enum err err = import_on_record(r, seen);
	r->unchanged = false; /* its part is another matter */
	part->inspection = doc_int(seen, "id");
	if (err == ERR_OK)
		err = history_find_part(r->store, part->inspection, part->component, r->arena, &old,
					r->fault);
	if (err != ERR_OK) return err;
	if (old) return import_on_record(r, old);
	if (doc_bool(seen, "is_own"))
		return import_fault(r, SEEN_TAG,
				    "Inspection %s was made here, and this was no part of it.",
				    import_text(r, SEEN_REFERENCE));
	err = import_check_serves(r, SEEN_ON, part->component, import_text(r, SEEN_ON));
	return err == ERR_OK ? history_add_part(r->store, part, r->fault) : err;
}

/* Unless somebody outside did it, or the row says otherwise, it is the inspector's class. */
static enum err take_inspector(struct import_row *r, struct history_inspection *made) {
	struct performer who;
	enum err err = import_performer(r, SEEN_PERFORMER_CLASS, 0, made->inspected_on, &who);
	if (err == ERR_OK && !import_text(r, SEEN_PERFORMER_CLASS) && !made->performer)
		err = performer_member(r->store, made->inspector, day_parse(made->inspected_on),
				       r->arena, &who, r->fault);
	if (err != ERR_OK) return err;
	int kind = word_find(inspection_kind_word, INSPECTION_KIND_COUNT, made->kind);
	made->performer_class = performer_word(&who);
	return import_check_performer(r, SEEN_PERFORMER_CLASS, &who,
				      work_of_inspection((enum inspection_kind)kind));
}

static enum err add_inspection(struct import_row *r, struct history_inspection *made,
			       struct history_part *part) {
	bool own = false;
	enum err err = take_inspector(r, made);
	if (err == ERR_OK) err = history_is_own(r->store, made->reference, &own, r->fault);
	if (err == ERR_OK && own)
		return import_fault(r, SEEN_REFERENCE,
				    "This names an inspection made here, but none is signed as %s.",
				    made->reference);
	if (err == ERR_OK)
		err = import_check_serves(r, SEEN_ON, made->component, made->inspected_on);
	if (err == ERR_OK)
		err = history_add_inspection(r->store, made, &part->inspection, r->fault);
	return err == ERR_OK ? history_add_part(r->store, part, r->fault) : err;
}

enum err import_inspection(struct import_row *r) {
	struct doc *seen = NULL;
	struct history_inspection made = {.reference = import_text(r, SEEN_REFERENCE),
					  .kind = import_text(r, SEEN_KIND),
					  .inspected_on = import_text(r, SEEN_ON),
					  .performer = import_text(r, SEEN_PERFORMER),
					  .note = import_text(r, SEEN_NOTE)};
	enum err err = import_reference(r, SEEN_INSPECTOR, member_by_badge, &made.inspector);
	if (err == ERR_OK) err = import_reference(r, SEEN_TAG, component_by_tag, &made.component);
	if (err == ERR_OK)
		err = history_find_inspection(r->store, made.reference, r->arena, &seen, r->fault);
	if (err != ERR_OK) return err;
	struct history_part part = {.component = made.component,
				    .kind = made.kind,
				    .conclusion = import_text(r, SEEN_CONCLUSION)};
	return seen ? add_to(r, seen, &part) : add_inspection(r, &made, &part);
}

/* --- what was found --- */

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
    {.name = "face", .label = "Face", .kind = FIELD_CHOICE, .choice = face_choice},
    {.name = "side", .label = "Side", .kind = FIELD_CHOICE, .choice = side_choice},
    {.name = "place", .label = "Place", .kind = FIELD_TEXT},
    {.name = "length_mm", .label = "Length in mm", .kind = FIELD_INTEGER, .max = 10000},
    {.name = "severity",
     .label = "Severity",
     .kind = FIELD_CHOICE,
     .choice = severity_choice,
     .required = true},
    {.name = "outcome", .label = "Outcome", .kind = FIELD_TAG, .required = true},
    {.name = "override_reason", .label = "Reason for that outcome", .kind = FIELD_TEXT},
    {.name = "state",
     .label = "State",
     .kind = FIELD_CHOICE,
     .choice = finding_state_choice,
     .required = true},
    {.name = "closed_on", .label = "Closed on", .kind = FIELD_DAY},
    {.name = "closed_reason", .label = "Closed because", .kind = FIELD_TEXT},
    {.name = "note", .label = "Note", .kind = FIELD_NOTE},
};

const struct resource import_finding_columns = {"finding", "findings", finding_field, FOUND_FIELDS};

/* The inspection that a row names, and it looked at the component. */
static enum err find_inspection(struct import_row *r, size_t reference, size_t tag,
				int64_t component, struct doc **seen) {
	struct doc *part = NULL;
	const char *name = import_text(r, reference);
	enum err err = history_find_inspection(r->store, name, r->arena, seen, r->fault);
	if (err == ERR_OK && !*seen)
		return import_fault(
		    r, reference,
		    "There is no inspection \"%s\" on record. Import that first, or correct it.",
		    name);
	if (err == ERR_OK)
		err = history_find_part(r->store, doc_int(*seen, "id"), component, r->arena, &part,
					r->fault);
	if (err == ERR_OK && !part)
		return import_fault(r, tag, "Inspection %s did not look at %s.", name,
				    import_text(r, tag));
	return err;
}

/* The state is one that the outcome can have, with the day on which it ended. */
static enum err check_state(struct import_row *r, const struct outcome *outcome,
			    const char *found_on) {
	const char *state = import_text(r, FOUND_STATE),
		   *closed_on = import_text(r, FOUND_CLOSED_ON);
	bool accepted = text_equal(state, "accepted"), open = text_equal(state, "open");
	if (accepted && outcome->blocks)
		return import_fault(
		    r, FOUND_STATE,
		    "\"%s\" keeps it out of service: such a finding is not accepted.",
		    outcome->label);
	if (open && !outcome->blocks)
		return import_fault(r, FOUND_STATE,
				    "\"%s\" keeps nothing open: such a finding is accepted.",
				    outcome->label);
	if (!(accepted || open) && !closed_on)
		return import_fault(r, FOUND_CLOSED_ON, "Say when it was %s.", state);
	if ((accepted || open) && closed_on)
		return import_fault(r, FOUND_CLOSED_ON, "It is %s; it did not end.", state);
	if (closed_on && strcmp(closed_on, found_on) < 0)
		return import_fault(r, FOUND_CLOSED_ON, "It ended before it was found.");
	return ERR_OK;
}

static enum err check_words(struct import_row *r, const char *found_on) {
	const struct handbook *hb;
	enum err err = store_handbook(r->store, &hb, r->fault);
	if (err != ERR_OK) return err;
	const struct outcome *outcome = handbook_outcome(hb, import_text(r, FOUND_OUTCOME));
	if (!handbook_defect(hb, import_text(r, FOUND_DEFECT)))
		return import_fault(r, FOUND_DEFECT, "The handbook has no such word.");
	if (!outcome) return import_fault(r, FOUND_OUTCOME, "The handbook has no such word.");
	return check_state(r, outcome, found_on);
}

enum err import_finding(struct import_row *r) {
	struct doc *seen = NULL, *old = NULL;
	struct history_finding found = {.check_point = import_text(r, FOUND_POINT),
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
	if (err == ERR_OK)
		err = find_inspection(r, FOUND_REFERENCE, FOUND_TAG, found.component, &seen);
	if (err == ERR_OK) err = check_words(r, doc_text(seen, "inspected_on"));
	if (err != ERR_OK) return err;
	found.inspection = doc_int(seen, "id");
	err = history_find_finding(r->store, &found, r->arena, &old, r->fault);
	if (err != ERR_OK) return err;
	if (old) return import_on_record(r, old);
	if (doc_bool(seen, "is_own"))
		return import_fault(r, FOUND_REFERENCE,
				    "Inspection %s was made here, and this was not found in it.",
				    import_text(r, FOUND_REFERENCE));
	return history_add_finding(r->store, &found, r->fault);
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

enum err import_named_finding(struct import_row *r, size_t first, int64_t component, int64_t *id) {
	struct doc *seen = NULL;
	struct history_finding of = {.component = component,
				     .check_point = import_text(r, first + NAMED_POINT),
				     .defect = import_text(r, first + NAMED_DEFECT),
				     .zone = import_text(r, first + NAMED_ZONE),
				     .face = import_text(r, first + NAMED_FACE),
				     .side = import_text(r, first + NAMED_SIDE),
				     .place = import_text(r, first + NAMED_PLACE)};
	enum err err =
	    find_inspection(r, first + NAMED_REFERENCE, first + NAMED_TAG, component, &seen);
	if (err != ERR_OK) return err;
	of.inspection = doc_int(seen, "id");
	err = history_finding_of(r->store, &of, id, r->fault);
	if (err != ERR_OK || *id) return err;
	return import_fault(r, first + NAMED_REFERENCE,
			    "Inspection %s has no such finding at this check point of %s.",
			    import_text(r, first + NAMED_REFERENCE),
			    import_text(r, first + NAMED_TAG));
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
