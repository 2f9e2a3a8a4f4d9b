/*
 * Exposures in tables. One that a cleaning of its own day ended names that day; cleanings of
 * later days end it by themselves.
 */
#include <string.h>

#include "handlers/import_row.h"
#include "store/component.h"
#include "store/exposure.h"
#include "store/member.h"

enum {
	TAG,
	EXPOSED_ON,
	CAUSE,
	INCIDENT,
	CONTAMINANTS,
	REPORTED_BY,
	ENDED_ON,
	REVOKED_ON,
	REVOKED_REASON,
	NOTE,
	FIELDS
};
static const struct field field[FIELDS] = {
    {.name = "tag", .label = "Tag", .kind = FIELD_TAG, .required = true},
    {.name = "exposed_on", .label = "Exposed on", .kind = FIELD_DAY, .required = true},
    {.name = "cause",
     .label = "To what",
     .kind = FIELD_CHOICE,
     .choice = exposure_cause_choice,
     .required = true},
    {.name = "incident", .label = "Incident", .kind = FIELD_TEXT},
    {.name = "contaminants", .label = "Contaminants", .kind = FIELD_TEXT},
    {.name = "reported_by", .label = "Recorded by (badge)", .kind = FIELD_TAG, .required = true},
    {.name = "ended_on",
     .label = "Ended by the cleaning of its own day",
     .help = "That day; empty where a later cleaning ended it, or none.",
     .kind = FIELD_DAY},
    {.name = "revoked_on", .label = "Taken back on", .kind = FIELD_DAY},
    {.name = "revoked_reason", .label = "Why it was recorded in error", .kind = FIELD_TEXT},
    {.name = "note", .label = "Note", .kind = FIELD_NOTE},
};
const struct resource import_exposure_columns = {"exposure", "exposures", field, FIELDS};

static enum err end_by_cleaning(struct import_row *r, int64_t id) {
	const char *on = import_text(r, ENDED_ON);
	bool ended = false;
	if (!on) return ERR_OK;
	enum err err = exposure_end_on(r->store, id, on, &ended, r->fault);
	if (err != ERR_OK || ended) return err;
	return import_fault(r, ENDED_ON,
			    "No cleaning of that day that could have ended it is on record. Import "
			    "the cleanings first, or correct the day.");
}

enum err import_exposure(struct import_row *r) {
	struct exposure_row row = {.exposed_on = import_text(r, EXPOSED_ON),
				   .cause = import_text(r, CAUSE),
				   .incident = import_text(r, INCIDENT),
				   .contaminants = import_text(r, CONTAMINANTS),
				   .note = import_text(r, NOTE)};
	const char *revoked_on = import_text(r, REVOKED_ON), *why = import_text(r, REVOKED_REASON);
	enum err err = import_reference(r, TAG, component_by_tag, &row.component);
	if (err == ERR_OK)
		err = import_reference(r, REPORTED_BY, member_by_badge, &row.reported_by);
	if (err != ERR_OK) return err;
	if (!revoked_on != !why)
		return import_fault(r, why ? REVOKED_ON : REVOKED_REASON,
				    "One that was taken back has a day and a reason.");
	struct doc *old = NULL;
	int64_t id = 0;
	/* Two of a cause on one day are two when one table says so. */
	int64_t before = *r->first ? *r->first : INT64_MAX;
	err = exposure_find(r->store, &row, why, before, r->arena, &old, r->fault);
	if (err != ERR_OK) return err;
	if (old) return import_on_record(r, old);
	err = exposure_insert(r->store, &row, &id, r->fault);
	if (!*r->first) *r->first = id;
	if (err == ERR_OK) err = end_by_cleaning(r, id);
	if (err == ERR_OK && !why) err = exposure_reopen_follow_ups(r->store, id, r->fault);
	if (err == ERR_OK && why) err = exposure_revoke(r->store, id, revoked_on, why, r->fault);
	return err;
}
