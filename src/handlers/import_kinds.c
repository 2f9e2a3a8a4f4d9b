#include "handlers/import_kinds.h"

#include <stdarg.h>
#include <string.h>

#include "base/limits.h"
#include "base/text.h"
#include "handlers/resources.h"
#include "store/component.h"
#include "store/ensemble.h"
#include "store/history.h"
#include "store/member.h"
#include "store/provider.h"
#include "store/station.h"

/* --- what rows have in common ------------------------------------------------------ */

static const char *text_of(const struct import_row *r, size_t field) {
	return value_text(&r->value[field]);
}

static bool yes_of(const struct import_row *r, size_t field, bool absent) {
	return value_int(&r->value[field], absent) != 0;
}

__attribute__((format(printf, 3, 4))) static enum err row_fault(struct import_row *r, size_t field,
								const char *format, ...) {
	va_list args;
	va_start(args, format);
	const char *text = arena_vprintf(r->arena, format, args);
	va_end(args);
	fault_list_add(r->faults, r->arena, r->resource->field[field].name, "%s", text ? text : "");
	return ERR_INVALID;
}

/* The record a natural key names. */
static enum err reference(struct import_row *r, size_t field,
			  enum err (*find)(struct store *, const char *, int64_t *, struct fault *),
			  int64_t *id) {
	const char *key = text_of(r, field);
	*id = 0;
	if (!key) return ERR_OK;
	enum err err = find(r->store, key, id, r->fault);
	if (err != ERR_OK || *id) return err;
	return row_fault(r, field,
			 "There is no %s \"%s\" on record. Import that first, or correct it.",
			 r->resource->field[field].name, key);
}

/* Does every value given stand in the stored row already? */
static bool is_same(const struct import_row *r, const struct doc *row) {
	for (size_t i = 0; i < r->resource->field_count; i++) {
		const struct doc *stored = doc_get(row, r->resource->field[i].name);
		const struct value *v = &r->value[i];
		if (!value_given(v)) continue;
		if (!stored) continue; /* a column that makes other records */
		if (stored->type == DOC_TEXT   ? !text_equal(stored->text, v->text)
		    : stored->type == DOC_NULL ? v->text != NULL
					       : !v->text || stored->integer != v->number)
			return false;
	}
	return true;
}

/* For a record that is there: leave it, change it, or refuse. */
static enum err existing(struct import_row *r, const struct doc *row, size_t key) {
	r->unchanged = is_same(r, row);
	if (r->unchanged || r->update) return ERR_OK;
	return row_fault(
	    r, key,
	    "\"%s\" is on record with other values. Say --update to change it, or take the "
	    "row out.",
	    text_of(r, key));
}

/* --- stations ------------------------------------------------------------------------ */

static enum err take_station(struct import_row *r) {
	struct doc *old = NULL;
	int64_t id;
	struct station_row row = {
	    .code = text_of(r, STATION_CODE),
	    .name = text_of(r, STATION_NAME),
	    .address = text_of(r, STATION_ADDRESS),
	    .email = text_of(r, STATION_EMAIL),
	    .active = yes_of(r, STATION_ACTIVE, true),
	};
	enum err err = station_by_code(r->store, row.code, &row.id, r->fault);
	if (err == ERR_OK && row.id) err = station_get(r->store, row.id, r->arena, &old, r->fault);
	if (err == ERR_OK && old) err = existing(r, old, STATION_CODE);
	if (err != ERR_OK || r->unchanged) return err;
	return station_save(r->store, &row, r->arena, &id, r->fault);
}

/* --- members --------------------------------------------------------------------------- */

static enum err take_member(struct import_row *r) {
	struct doc *old = NULL;
	int64_t id;
	const char *status = text_of(r, MEMBER_STATUS);
	struct member_row row = {
	    .badge = text_of(r, MEMBER_BADGE),
	    .family_name = text_of(r, MEMBER_FAMILY_NAME),
	    .given_name = text_of(r, MEMBER_GIVEN_NAME),
	    .email = text_of(r, MEMBER_EMAIL),
	    .structural = yes_of(r, MEMBER_STRUCTURAL, true),
	    .proximity = yes_of(r, MEMBER_PROXIMITY, false),
	    .trained_until = text_of(r, MEMBER_TRAINED_UNTIL),
	    .status = status ? status : "active",
	};
	enum err err = reference(r, MEMBER_STATION, station_by_code, &row.station);
	if (err == ERR_OK) err = member_by_badge(r->store, row.badge, &row.id, r->fault);
	if (err == ERR_OK && row.id) err = member_get(r->store, row.id, r->arena, &old, r->fault);
	if (err == ERR_OK && old) {
		doc_set_text(old, "station",
			     row.station == doc_int(old, "station") ? text_of(r, MEMBER_STATION)
								    : "");
		err = existing(r, old, MEMBER_BADGE);
	}
	if (err != ERR_OK || r->unchanged) return err;
	return member_save(r->store, &row, r->arena, &id, r->fault);
}

/* --- providers ---------------------------------------------------------------------------- */

static enum err take_provider(struct import_row *r) {
	struct doc *old = NULL;
	int64_t id;
	struct provider_row row = {
	    .code = text_of(r, PROVIDER_CODE),
	    .name = text_of(r, PROVIDER_NAME),
	    .class = text_of(r, PROVIDER_CLASS),
	    .verified_until = text_of(r, PROVIDER_VERIFIED_UNTIL),
	    .email = text_of(r, PROVIDER_EMAIL),
	    .phone = text_of(r, PROVIDER_PHONE),
	    .address = text_of(r, PROVIDER_ADDRESS),
	    .active = yes_of(r, PROVIDER_ACTIVE, true),
	};
	enum err err = provider_by_code(r->store, row.code, &row.id, r->fault);
	if (err == ERR_OK && row.id) err = provider_get(r->store, row.id, r->arena, &old, r->fault);
	if (err == ERR_OK && old) err = existing(r, old, PROVIDER_CODE);
	if (err != ERR_OK || r->unchanged) return err;
	return provider_save(r->store, &row, r->arena, &id, r->fault);
}

/* --- components, with the ensembles they name ---------------------------------------------- */

enum { ROW_LINE = COMPONENT_FIELDS, ROW_HOLDER, ROW_ISSUED_ON, ROW_FIELDS };

static enum err find_or_make_ensemble(struct import_row *r, int64_t station, int64_t holder,
				      int64_t *id) {
	struct doc *row = NULL;
	const char *code = text_of(r, COMPONENT_ENSEMBLE), *line = text_of(r, ROW_LINE);
	*id = 0;
	if (!code) return ERR_OK;
	enum err err = ensemble_by_code(r->store, code, r->arena, &row, r->fault);
	if (err != ERR_OK) return err;
	if (!row) {
		struct ensemble_row make = {.code = code,
					    .hazard = text_of(r, COMPONENT_HAZARD),
					    .line = line ? line : "primary",
					    .station = station,
					    .member = holder,
					    .active = true};
		return ensemble_save(r->store, &make, id, r->fault);
	}
	*id = doc_int(row, "id");
	if (!text_equal(doc_text(row, "hazard"), text_of(r, COMPONENT_HAZARD)))
		return row_fault(r, COMPONENT_ENSEMBLE, "Ensemble %s is for the other hazard.",
				 code);
	return ERR_OK;
}

/* Whoever holds it now, unless an issue of it is on record already. */
static enum err issue_to(struct import_row *r, int64_t component, int64_t holder) {
	const char *on = text_of(r, ROW_ISSUED_ON) ? text_of(r, ROW_ISSUED_ON)
						   : text_of(r, COMPONENT_IN_SERVICE_ON);
	struct doc *row = NULL;
	if (!holder) return ERR_OK;
	if (!on)
		return row_fault(r, ROW_HOLDER,
				 "Say since when it is issued: issued_on or in_service_on.");
	enum err err = component_get(r->store, component, r->arena, &row, r->fault);
	if (err != ERR_OK || (row && doc_int(row, "holder"))) return err;
	return issue_insert(r->store, component, holder, on, "serviceable", NULL, r->fault);
}

static enum err take_component(struct import_row *r) {
	struct doc *old = NULL;
	int64_t id, holder;
	struct component_row row = {
	    .tag = text_of(r, COMPONENT_TAG),
	    .serial = text_of(r, COMPONENT_SERIAL),
	    .kind = text_of(r, COMPONENT_KIND),
	    .hazard = text_of(r, COMPONENT_HAZARD),
	    .maker = text_of(r, COMPONENT_MAKER),
	    .model = text_of(r, COMPONENT_MODEL),
	    .size = text_of(r, COMPONENT_SIZE),
	    .made = text_of(r, COMPONENT_MADE),
	    .in_service_on = text_of(r, COMPONENT_IN_SERVICE_ON),
	    .note = text_of(r, COMPONENT_NOTE),
	    .cbrn = yes_of(r, COMPONENT_CBRN, false),
	    .trim = yes_of(r, COMPONENT_TRIM, false),
	    .reflective = yes_of(r, COMPONENT_REFLECTIVE, false),
	    .cost_cents = value_int(&r->value[COMPONENT_COST], -1),
	};
	enum err err = reference(r, COMPONENT_STATION, station_by_code, &row.station);
	if (err == ERR_OK) err = reference(r, ROW_HOLDER, member_by_badge, &holder);
	if (err == ERR_OK) err = component_by_tag(r->store, row.tag, &row.id, r->fault);
	if (err == ERR_OK && row.id)
		err = component_get(r->store, row.id, r->arena, &old, r->fault);
	if (err == ERR_OK && old) {
		doc_set_text(old, "station",
			     row.station == doc_int(old, "station") ? text_of(r, COMPONENT_STATION)
								    : "");
		if (text_equal(doc_text(old, "line"), NULL))
			doc_set_text(old, "line", text_of(r, ROW_LINE));
		doc_set_text(old, "holder",
			     holder == doc_int(old, "holder") ? text_of(r, ROW_HOLDER) : "");
		err = existing(r, old, COMPONENT_TAG);
	}
	if (err != ERR_OK || r->unchanged) return err;
	err = find_or_make_ensemble(r, row.station, holder, &row.ensemble);
	if (err == ERR_OK) err = component_save(r->store, &row, r->arena, &id, r->fault);
	return err == ERR_OK && !old ? issue_to(r, id, holder) : err;
}

/* --- history --- */

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

static enum err take_cleaning(struct import_row *r) {
	struct cleaning_row row = {.cleaned_on = text_of(r, CLEANED_ON),
				   .class = text_of(r, CLEANED_CLASS),
				   .reason = text_of(r, CLEANED_REASON),
				   .performed_by = text_of(r, CLEANED_BY)};
	enum err err = reference(r, CLEANED_TAG, component_by_tag, &row.component);
	if (err == ERR_OK) err = reference(r, CLEANED_PROVIDER, provider_by_code, &row.provider);
	if (err == ERR_OK) err = history_has_cleaning(r->store, &row, &r->unchanged, r->fault);
	if (err != ERR_OK || r->unchanged) return err;
	return cleaning_insert(r->store, &row, r->fault);
}

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

static enum err take_inspection(struct import_row *r) {
	struct history_part part = {.reference = text_of(r, SEEN_REFERENCE),
				    .kind = text_of(r, SEEN_KIND),
				    .inspected_on = text_of(r, SEEN_ON),
				    .performer = text_of(r, SEEN_PERFORMER),
				    .conclusion = text_of(r, SEEN_CONCLUSION)};
	enum err err = reference(r, SEEN_INSPECTOR, member_by_badge, &part.inspector);
	if (err == ERR_OK) err = reference(r, SEEN_TAG, component_by_tag, &part.component);
	if (err != ERR_OK) return err;
	return history_add_part(r->store, &part, &r->unchanged, r->fault);
}

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
	FOUND_SEVERITY,
	FOUND_OUTCOME,
	FOUND_STATE,
	FOUND_CLOSED_ON,
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
    {.name = "severity",
     .label = "Severity",
     .kind = FIELD_CHOICE,
     .choice = severity,
     .required = true},
    {.name = "outcome", .label = "Outcome", .kind = FIELD_TAG, .required = true},
    {.name = "state",
     .label = "State",
     .kind = FIELD_CHOICE,
     .choice = finding_state,
     .required = true},
    {.name = "closed_on", .label = "Closed on", .kind = FIELD_DAY},
    {.name = "note", .label = "Note", .kind = FIELD_NOTE},
};

static enum err take_finding(struct import_row *r) {
	struct history_finding found = {.reference = text_of(r, FOUND_REFERENCE),
					.check_point = text_of(r, FOUND_POINT),
					.defect = text_of(r, FOUND_DEFECT),
					.zone = text_of(r, FOUND_ZONE),
					.face = text_of(r, FOUND_FACE),
					.side = text_of(r, FOUND_SIDE),
					.place = text_of(r, FOUND_PLACE),
					.severity = text_of(r, FOUND_SEVERITY),
					.outcome = text_of(r, FOUND_OUTCOME),
					.state = text_of(r, FOUND_STATE),
					.closed_on = text_of(r, FOUND_CLOSED_ON),
					.note = text_of(r, FOUND_NOTE)};
	enum err err = reference(r, FOUND_TAG, component_by_tag, &found.component);
	if (err != ERR_OK) return err;
	bool known = false;
	err = history_add_finding(r->store, &found, &r->unchanged, &known, r->fault);
	if (err == ERR_OK && !known)
		return row_fault(
		    r, FOUND_REFERENCE,
		    "There is no inspection %s of this tag, or a word of the row is not in the "
		    "handbook.",
		    found.reference);
	return err;
}

/* --- the kinds --- */

static const struct field holder_field[] = {
    {.name = "line", .label = "Line", .kind = FIELD_CHOICE, .choice = line_choice},
    {.name = "holder", .label = "Holder's badge", .kind = FIELD_TAG},
    {.name = "issued_on", .label = "Issued on", .kind = FIELD_DAY},
};
_Static_assert(ROW_FIELDS == COMPONENT_FIELDS + sizeof holder_field / sizeof *holder_field,
	       "the columns of components are its fields and these");

static const struct import_kind kinds[] = {
    {"stations", "import station", &station_resource, NULL, 0, take_station},
    {"members", "import member", &member_resource, NULL, 0, take_member},
    {"providers", "import provider", &provider_resource, NULL, 0, take_provider},
    {"components", "import component", &component_resource, holder_field,
     ROW_FIELDS - COMPONENT_FIELDS, take_component},
    {"cleanings", "import cleaning", NULL, cleaning_field, CLEANED_FIELDS, take_cleaning},
    {"inspections", "import inspection", NULL, inspection_field, SEEN_FIELDS, take_inspection},
    {"findings", "import finding", NULL, finding_field, FOUND_FIELDS, take_finding},
};

const struct import_kind *import_kind_find(const char *name) {
	for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
		if (text_equal(kinds[i].name, name)) return &kinds[i];
	return NULL;
}

const char *import_kind_names(void) {
	return "stations, members, providers, components, cleanings, inspections, findings";
}

static size_t copy_fields(struct field *to, const struct field *from, size_t count) {
	for (size_t i = 0; i < count; i++) {
		to[i] = from[i];
		/* A table names other records by their codes, badges and tags. */
		if (to[i].kind == FIELD_ID) to[i].kind = FIELD_TAG;
	}
	return count;
}

const struct resource *import_kind_resource(const struct import_kind *kind, struct arena *a) {
	size_t shared = kind->resource ? kind->resource->field_count : 0;
	struct field *field = arena_array(a, struct field, shared + kind->extra_count);
	struct resource *r = arena_new(a, struct resource);
	if (!field || !r) return NULL;
	size_t count = shared ? copy_fields(field, kind->resource->field, shared) : 0;
	if (kind->extra_count) count += copy_fields(field + count, kind->extra, kind->extra_count);
	*r = (struct resource){kind->name, kind->name, field, count};
	return r;
}
