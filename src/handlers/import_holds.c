/*
 * Special incident holds and their custody logs in tables: a copy of the record keeps what is
 * held out of service too. They come last, for nothing of a held part changes afterwards.
 */
#include "handlers/import_row.h"
#include "store/component.h"
#include "store/hold.h"
#include "store/member.h"

enum {
	TAG,
	INCIDENT,
	PLACED_ON,
	PLACED_BY,
	KEPT_WHERE,
	CONTAINER,
	NOTE,
	RELEASED_ON,
	RELEASED_BY,
	AUTHORITY,
	RELEASE_REASON,
	FIELDS
};
static const struct field field[FIELDS] = {
    {.name = "tag", .label = "Tag", .kind = FIELD_TAG, .required = true},
    {.name = "incident", .label = "The incident", .kind = FIELD_TEXT, .required = true},
    {.name = "placed_on", .label = "Held since", .kind = FIELD_DAY, .required = true},
    {.name = "placed_by", .label = "Placed by (badge)", .kind = FIELD_TAG, .required = true},
    {.name = "kept_where", .label = "Kept where", .kind = FIELD_TEXT, .required = true},
    {.name = "container",
     .label = "Packed in",
     .kind = FIELD_CHOICE,
     .choice = hold_container_choice,
     .required = true},
    {.name = "note", .label = "Note", .kind = FIELD_NOTE},
    {.name = "released_on", .label = "Released on", .kind = FIELD_DAY},
    {.name = "released_by", .label = "Released by (badge)", .kind = FIELD_TAG},
    {.name = "authority", .label = "Who ordered the release", .kind = FIELD_TEXT},
    {.name = "release_reason", .label = "Reason of the release", .kind = FIELD_TEXT},
};
const struct resource import_hold_columns = {"hold", "holds", field, FIELDS};

static enum err release(struct import_row *r, int64_t id) {
	int64_t by = 0;
	const char *on = import_text(r, RELEASED_ON), *authority = import_text(r, AUTHORITY),
		   *reason = import_text(r, RELEASE_REASON);
	enum err err = import_reference(r, RELEASED_BY, member_by_badge, &by);
	if (err != ERR_OK || (!on && !by && !authority && !reason)) return err;
	if (!on || !by || !authority || !reason)
		return import_fault(r, RELEASED_ON,
				    "A release has its day, who released, who ordered it and why.");
	return hold_release(r->store, id, by, on, authority, reason, r->fault);
}

enum err import_hold(struct import_row *r) {
	struct hold_row row = {.incident = import_text(r, INCIDENT),
			       .placed_on = import_text(r, PLACED_ON),
			       .kept_where = import_text(r, KEPT_WHERE),
			       .container = import_text(r, CONTAINER),
			       .note = import_text(r, NOTE)};
	struct doc *old = NULL;
	int64_t id = 0;
	enum err err = import_reference(r, TAG, component_by_tag, &row.component);
	if (err == ERR_OK) err = import_reference(r, PLACED_BY, member_by_badge, &row.placed_by);
	if (err == ERR_OK)
		err = hold_find(r->store, row.component, row.placed_on, r->arena, &old, r->fault);
	if (err != ERR_OK) return err;
	if (old) return import_on_record(r, old);
	err = hold_insert(r->store, &row, &id, r->fault);
	if (err == ERR_CONFLICT && store_was_duplicate(r->store)) {
		fault_clear(r->fault);
		return import_fault(r, TAG, "It is held already, since another day.");
	}
	return err == ERR_OK ? release(r, id) : err;
}

/* --- the log --- */

enum {
	LOG_TAG,
	LOG_PLACED_ON,
	HAPPENED_ON,
	TIME_OF_DAY,
	RECORDED_AT,
	WHO,
	PURPOSE,
	LOG_NOTE,
	LOG_FIELDS
};
static const struct field log_field[LOG_FIELDS] = {
    {.name = "tag", .label = "Tag", .kind = FIELD_TAG, .required = true},
    {.name = "placed_on", .label = "Held since", .kind = FIELD_DAY, .required = true},
    {.name = "happened_on", .label = "Day", .kind = FIELD_DAY, .required = true},
    {.name = "time_of_day", .label = "Time of day", .kind = FIELD_TIME},
    {.name = "recorded_at",
     .label = "Written down at",
     .help = "In UTC, like 2026-05-31T14:05:00Z.",
     .kind = FIELD_TEXT,
     .required = true},
    {.name = "who", .label = "Who had access", .kind = FIELD_TEXT, .required = true},
    {.name = "purpose",
     .label = "What for",
     .kind = FIELD_CHOICE,
     .choice = custody_purpose_choice,
     .required = true},
    {.name = "note", .label = "Note", .kind = FIELD_NOTE},
};
const struct resource import_custody_columns = {"custody", "custody", log_field, LOG_FIELDS};

enum err import_custody(struct import_row *r) {
	struct custody_row row = {.recorded_at = import_text(r, RECORDED_AT),
				  .happened_on = import_text(r, HAPPENED_ON),
				  .time_of_day = import_text(r, TIME_OF_DAY),
				  .who = import_text(r, WHO),
				  .purpose = import_text(r, PURPOSE),
				  .note = import_text(r, LOG_NOTE)};
	struct doc *hold = NULL;
	int64_t component, at;
	bool known = false;
	enum err err = import_reference(r, LOG_TAG, component_by_tag, &component);
	if (err == ERR_OK)
		err = hold_find(r->store, component, import_text(r, LOG_PLACED_ON), r->arena, &hold,
				r->fault);
	if (err != ERR_OK) return err;
	if (!hold)
		return import_fault(r, LOG_PLACED_ON,
				    "It is not held since that day. Import the holds first.");
	if (!instant_parse(row.recorded_at, &at))
		return import_fault(r, RECORDED_AT, "Say it in UTC, like 2026-05-31T14:05:00Z.");
	row.hold = doc_int(hold, "id");
	err = custody_find(r->store, &row, &known, r->fault);
	if (known) r->unchanged = true;
	return err != ERR_OK || known ? err : custody_add(r->store, &row, r->fault);
}
