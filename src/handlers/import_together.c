/*
 * Check points that one tap answered sound, a row for each tap: what was answered so is told apart
 * from what was answered one by one in a copy of the record, too.
 */
#include <string.h>

#include "base/limits.h"
#include "base/text.h"
#include "handlers/import_row.h"
#include "store/component.h"
#include "store/handbook.h"
#include "store/history.h"
#include "store/member.h"

enum {
	REFERENCE,
	TAG,
	GROUP_CODE,
	GROUP_TITLE,
	POINTS,
	OPENED_AT,
	ANSWERED_AT,
	ANSWERED_BY,
	AWAY_OPENED_AT,
	AWAY_ANSWERED_AT,
	FIELDS
};
static const struct field field[FIELDS] = {
    {.name = "reference", .label = "Inspection", .kind = FIELD_TAG, .required = true},
    {.name = "tag", .label = "Tag", .kind = FIELD_TAG, .required = true},
    {.name = "group_code", .label = "Group of check points", .kind = FIELD_TAG, .required = true},
    {.name = "group_title", .label = "What it was called", .kind = FIELD_TEXT, .required = true},
    {.name = "points",
     .label = "Check points that were answered",
     .help = "Their codes, parted by spaces.",
     .kind = FIELD_TEXT,
     .max = LIMIT_NOTE_CHARS_MAX,
     .required = true},
    {.name = "opened_at",
     .label = "Page opened at",
     .help = "In UTC, like 2026-05-31T14:05:00Z.",
     .kind = FIELD_TEXT,
     .required = true},
    {.name = "answered_at",
     .label = "Answered at",
     .help = "In UTC, too.",
     .kind = FIELD_TEXT,
     .required = true},
    {.name = "answered_by", .label = "Answered by (badge)", .kind = FIELD_TAG, .required = true},
    {.name = "away_opened_at",
     .label = "Page opened at, by the tablet's clock",
     .help = "Of what was answered while the network was away.",
     .kind = FIELD_TEXT},
    {.name = "away_answered_at", .label = "Answered at, by the tablet's clock", .kind = FIELD_TEXT},
};
const struct resource import_together_columns = {"answered_together", "answered_together", field,
						 FIELDS};

/* As they are stored: a JSON list. Codes of the handbook need no escaping. */
static enum err read_points(struct import_row *r, int64_t component, const char **json) {
	const struct handbook *hb;
	struct doc *part = NULL;
	const char *at = import_text(r, POINTS), *end;
	enum err err = store_handbook(r->store, &hb, r->fault);
	if (err == ERR_OK) err = component_get(r->store, component, r->arena, &part, r->fault);
	if (err != ERR_OK) return err;
	const struct kind *kind = handbook_kind(hb, doc_text(part, "kind"));
	*json = "[";
	for (const char *before = ""; !text_empty(at); at = *end ? end + 1 : end, before = ",") {
		end = at + strcspn(at, " ");
		const char *code = arena_printf(r->arena, "%.*s", (int)(end - at), at);
		if (!handbook_check_point(hb, kind, code))
			return import_fault(r, POINTS,
					    "The handbook has no check point \"%s\" of %s.", code,
					    import_text(r, TAG));
		*json = arena_printf(r->arena, "%s%s\"%s\"", *json, before, code);
	}
	*json = arena_printf(r->arena, "%s]", *json);
	return arena_failed(r->arena) ? fault_memory(r->fault) : ERR_OK;
}

static enum err check_instants(struct import_row *r) {
	static const size_t said[] = {OPENED_AT, ANSWERED_AT, AWAY_OPENED_AT, AWAY_ANSWERED_AT};
	int64_t instant[sizeof said / sizeof *said] = {0};
	for (size_t i = 0; i < sizeof said / sizeof *said; i++)
		if (import_text(r, said[i]) && !instant_parse(import_text(r, said[i]), &instant[i]))
			return import_fault(r, said[i],
					    "Say it in UTC, like 2026-05-31T14:05:00Z.");
	return instant[0] <= instant[1]
		   ? ERR_OK
		   : import_fault(r, ANSWERED_AT, "It was answered before the page was opened.");
}

enum err import_together(struct import_row *r) {
	struct together_row row = {.group_code = import_text(r, GROUP_CODE),
				   .group_title = import_text(r, GROUP_TITLE),
				   .opened_at = import_text(r, OPENED_AT),
				   .answered_at = import_text(r, ANSWERED_AT),
				   .away_opened_at = import_text(r, AWAY_OPENED_AT),
				   .away_answered_at = import_text(r, AWAY_ANSWERED_AT)};
	struct doc *seen = NULL, *old = NULL;
	enum err err = import_reference(r, TAG, component_by_tag, &row.component);
	if (err == ERR_OK) err = import_inspected(r, REFERENCE, TAG, row.component, &seen);
	if (err == ERR_OK)
		err = import_reference(r, ANSWERED_BY, member_by_badge, &row.answered_by);
	if (err == ERR_OK) err = read_points(r, row.component, &row.points);
	if (err == ERR_OK) err = check_instants(r);
	if (err != ERR_OK) return err;
	row.inspection = doc_int(seen, "id");
	err = history_find_together(r->store, &row, r->arena, &old, r->fault);
	if (err != ERR_OK) return err;
	if (old) return import_on_record(r, old);
	if (doc_bool(seen, "is_own"))
		return import_fault(r, REFERENCE,
				    "Inspection %s was made here, and these were not answered "
				    "together in it.",
				    import_text(r, REFERENCE));
	return answered_together_insert(r->store, &row, r->fault);
}
