/*
 * What was found in inspections, and how rows of other tables name a finding.
 */
#include "handlers/import_row.h"

#include <string.h>

#include "base/text.h"
#include "rules/verdict.h"
#include "store/component.h"
#include "store/handbook.h"
#include "store/history.h"

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

/* What the newest list of such a part says of that defect at that point; NULL: nothing. */
static const struct subject_defect *in_handbook(const struct handbook *hb, const struct doc *part,
						const struct history_finding *found) {
	const struct kind *kind = handbook_kind(hb, doc_text(part, "kind"));
	int hazard = word_find(hazard_word, HAZARD_COUNT, doc_text(part, "hazard"));
	const struct checklist *list = NULL;
	char end_of_time[DAY_TEXT_SIZE];
	if (kind && hazard >= 0)
		list = handbook_checklist_for(hb, kind, (enum hazard)hazard,
					      day_format(DAY_MAX, end_of_time));
	const struct check_point *point = list ? checklist_point(list, found->check_point) : NULL;
	return point ? subject_defect_find(point->subject, found->defect) : NULL;
}

/* What ended is history. What stands is as bound as what is found here: damage that retires a part
 * does not serve on, or end with a cleaning, because a table says so. */
static enum err check_outcome(struct import_row *r, const struct handbook *hb,
			      const struct history_finding *found) {
	struct doc *part = NULL;
	if (!text_equal(found->state, "open") && !text_equal(found->state, "accepted"))
		return ERR_OK;
	enum err err = component_get(r->store, found->component, r->arena, &part, r->fault);
	if (err != ERR_OK) return err;
	const struct subject_defect *d = in_handbook(hb, part, found);
	if (!d && text_equal(found->state, "accepted"))
		return import_fault(
		    r, FOUND_DEFECT,
		    "The handbook does not know that defect at that point, so nobody "
		    "can say that the part may serve on.");
	const struct finding judged = {.outcome = found->outcome,
				       .severity = found->severity,
				       .override_reason = found->override_reason};
	return !d || finding_check_outcome(&judged, d, r->faults, r->arena) ? ERR_OK : ERR_INVALID;
}

static enum err check_words(struct import_row *r, const struct history_finding *found,
			    const char *found_on) {
	const struct handbook *hb;
	enum err err = store_handbook(r->store, &hb, r->fault);
	if (err != ERR_OK) return err;
	const struct outcome *outcome = handbook_outcome(hb, found->outcome);
	if (!handbook_defect(hb, found->defect))
		return import_fault(r, FOUND_DEFECT, "The handbook has no such word.");
	if (!outcome) return import_fault(r, FOUND_OUTCOME, "The handbook has no such word.");
	err = check_state(r, outcome, found_on);
	return err == ERR_OK ? check_outcome(r, hb, found) : err;
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
		err = import_inspected(r, FOUND_REFERENCE, FOUND_TAG, found.component, &seen);
	if (err == ERR_OK) err = check_words(r, &found, doc_text(seen, "inspected_on"));
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

/* --- named by others --- */

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
	    import_inspected(r, first + NAMED_REFERENCE, first + NAMED_TAG, component, &seen);
	if (err != ERR_OK) return err;
	of.inspection = doc_int(seen, "id");
	err = history_finding_of(r->store, &of, id, r->fault);
	if (err != ERR_OK || *id) return err;
	return import_fault(r, first + NAMED_REFERENCE,
			    "Inspection %s has no such finding at this check point of %s.",
			    import_text(r, first + NAMED_REFERENCE),
			    import_text(r, first + NAMED_TAG));
}
