#include "base/text.h"
#include "handlers/components.h"
#include "handlers/import_end.h"
#include "store/component.h"
#include "store/ensemble.h"
#include "store/member.h"
#include "store/provider.h"
#include "store/station.h"

/* What is on record under the row's key; *old is NULL when nothing is. */
static enum err on_record(struct import_row *r, size_t key,
			  enum err (*find)(struct store *, const char *, int64_t *, struct fault *),
			  enum err (*get)(struct store *, int64_t, struct arena *, struct doc **,
					  struct fault *),
			  int64_t *id, struct doc **old) {
	enum err err = find(r->store, import_text(r, key), id, r->fault);
	return err == ERR_OK && *id ? get(r->store, *id, r->arena, old, r->fault) : err;
}

/* --- stations ------------------------------------------------------------------------ */

enum err import_station(struct import_row *r) {
	struct doc *old = NULL;
	int64_t id = 0;
	enum err err = on_record(r, STATION_CODE, station_by_code, station_get, &id, &old);
	if (err == ERR_OK && old) err = import_existing(r, old, STATION_CODE);
	if (err != ERR_OK || r->unchanged) return err;
	import_keep(r, old, STATION_FIELDS);
	struct station_row row = {
	    .id = id,
	    .code = import_text(r, STATION_CODE),
	    .name = import_text(r, STATION_NAME),
	    .address = import_text(r, STATION_ADDRESS),
	    .email = import_text(r, STATION_EMAIL),
	    .active = import_yes(r, STATION_ACTIVE, true),
	};
	return station_save(r->store, &row, r->arena, &id, r->fault);
}

/* --- members --------------------------------------------------------------------------- */

enum err import_member(struct import_row *r) {
	struct doc *old = NULL;
	int64_t id = 0, station;
	enum err err = import_reference(r, MEMBER_STATION, station_by_code, &station);
	if (err == ERR_OK) err = on_record(r, MEMBER_BADGE, member_by_badge, member_get, &id, &old);
	if (err == ERR_OK && old) {
		doc_set_text(old, "station",
			     station == doc_int(old, "station") ? import_text(r, MEMBER_STATION)
								: "");
		err = import_existing(r, old, MEMBER_BADGE);
	}
	if (err != ERR_OK || r->unchanged) return err;
	import_keep(r, old, MEMBER_FIELDS);
	const char *status = import_text(r, MEMBER_STATUS);
	struct member_row row = {
	    .id = id,
	    .badge = import_text(r, MEMBER_BADGE),
	    .family_name = import_text(r, MEMBER_FAMILY_NAME),
	    .given_name = import_text(r, MEMBER_GIVEN_NAME),
	    .station = station,
	    .email = import_text(r, MEMBER_EMAIL),
	    .structural = import_yes(r, MEMBER_STRUCTURAL, true),
	    .proximity = import_yes(r, MEMBER_PROXIMITY, false),
	    .trained_until = import_text(r, MEMBER_TRAINED_UNTIL),
	    .status = status ? status : "active",
	};
	return member_save(r->store, &row, r->arena, &id, r->fault);
}

/* --- providers ---------------------------------------------------------------------------- */

enum err import_provider(struct import_row *r) {
	struct doc *old = NULL;
	int64_t id = 0;
	enum err err = on_record(r, PROVIDER_CODE, provider_by_code, provider_get, &id, &old);
	if (err == ERR_OK && old) err = import_existing(r, old, PROVIDER_CODE);
	if (err != ERR_OK || r->unchanged) return err;
	import_keep(r, old, PROVIDER_FIELDS);
	struct provider_row row = {
	    .id = id,
	    .code = import_text(r, PROVIDER_CODE),
	    .name = import_text(r, PROVIDER_NAME),
	    .class = import_text(r, PROVIDER_CLASS),
	    .verified_until = import_text(r, PROVIDER_VERIFIED_UNTIL),
	    .email = import_text(r, PROVIDER_EMAIL),
	    .phone = import_text(r, PROVIDER_PHONE),
	    .address = import_text(r, PROVIDER_ADDRESS),
	    .active = import_yes(r, PROVIDER_ACTIVE, true),
	    .in_house = import_yes(r, PROVIDER_IN_HOUSE, false),
	};
	return provider_save(r->store, &row, r->arena, &id, r->fault);
}

/* --- components, with the ensembles they name ---------------------------------------------- */

static const struct field component_column[] = {
    {.name = "line", .label = "Line", .kind = FIELD_CHOICE, .choice = line_choice},
    {.name = "holder", .label = "Holder's badge", .kind = FIELD_TAG},
    {.name = "issued_on", .label = "Issued on", .kind = FIELD_DAY},
    {.name = "condition",
     .label = "Condition at issue",
     .kind = FIELD_CHOICE,
     .choice = issue_condition_choice},
    {.name = "withdrawn_reason", .label = "Withdrawn because", .kind = FIELD_TEXT},
    {.name = "retired_on", .label = "Retired on", .kind = FIELD_DAY},
    {.name = "retired_reason", .label = "Retired because", .kind = FIELD_TEXT},
    {.name = "disposed_on", .label = "Disposed of on", .kind = FIELD_DAY},
    {.name = "disposal_method", .label = "How it was disposed of", .kind = FIELD_TEXT},
    {.name = "retired_ground",
     .label = "Ground of retirement",
     .kind = FIELD_CHOICE,
     .choice = retirement_ground_choice},
    {.name = "retired_by", .label = "Retired by (badge)", .kind = FIELD_TAG},
    {.name = "disposal_way",
     .label = "Method of disposal",
     .kind = FIELD_CHOICE,
     .choice = disposal_way_choice},
    {.name = "disposal_witness", .label = "Witness of the disposal", .kind = FIELD_TEXT},
    {.name = "training_on", .label = "Marked for training on", .kind = FIELD_DAY},
    {.name = "training_by", .label = "Marked for training by (badge)", .kind = FIELD_TAG},
    {.name = "training_mark", .label = "Where and how it is marked", .kind = FIELD_TEXT},
};
const struct resource import_component_columns = {"component", "components", component_column,
						  sizeof component_column /
						      sizeof *component_column};
_Static_assert(ROW_FIELDS == COMPONENT_FIELDS + sizeof component_column / sizeof *component_column,
	       "the columns of components are its fields and these");

static enum err find_or_make_ensemble(struct import_row *r, int64_t station, int64_t holder,
				      int64_t *id) {
	struct doc *row = NULL;
	const char *code = import_text(r, COMPONENT_ENSEMBLE), *line = import_text(r, ROW_LINE);
	*id = 0;
	if (!code) return ERR_OK;
	enum err err = ensemble_by_code(r->store, code, r->arena, &row, r->fault);
	if (err != ERR_OK) return err;
	if (!row) {
		struct ensemble_row make = {.code = code,
					    .hazard = import_text(r, COMPONENT_HAZARD),
					    .line = line ? line : "primary",
					    .station = station,
					    .member = holder,
					    .active = true};
		return ensemble_save(r->store, &make, id, r->fault);
	}
	*id = doc_int(row, "id");
	if (!text_equal(doc_text(row, "hazard"), import_text(r, COMPONENT_HAZARD)))
		return import_fault(r, COMPONENT_ENSEMBLE, "Ensemble %s is for the other hazard.",
				    code);
	if (line && !text_equal(doc_text(row, "line"), line))
		return import_fault(r, ROW_LINE, "Ensemble %s is on record as %s.", code,
				    doc_text(row, "line"));
	return ERR_OK;
}

/* On record as issued already: the table may only say the same. */
static enum err check_issue(struct import_row *r, const struct doc *old, int64_t holder) {
	const char *on = import_text(r, ROW_ISSUED_ON), *condition = import_text(r, ROW_CONDITION);
	if (doc_int(old, "held_by") != holder)
		return import_fault(r, ROW_HOLDER, "It is issued to %s. Take it back first.",
				    doc_text(old, "holder_name"));
	if ((!on || text_equal(on, doc_text(old, "issued_on"))) &&
	    (!condition || text_equal(condition, doc_text(old, "condition"))))
		return ERR_OK;
	return import_fault(r, ROW_ISSUED_ON,
			    "It is issued to %s since %s, in condition \"%s\". Take it back first.",
			    doc_text(old, "holder_name"), doc_text(old, "issued_on"),
			    doc_text(old, "condition"));
}

/* Whoever holds it now. old: as it was before this row; NULL: it is new. */
static enum err issue_to(struct import_row *r, const struct doc *old, int64_t component,
			 int64_t holder) {
	const char *on = import_text(r, ROW_ISSUED_ON), *condition = import_text(r, ROW_CONDITION);
	const struct doc *blockers = old ? doc_get(old, "blockers") : NULL;
	if (!holder) return ERR_OK;
	if (old && doc_int(old, "held_by")) return check_issue(r, old, holder);
	if (import_text(r, ROW_RETIRED_ON) || (old && doc_text(old, "retired_on")))
		return import_fault(r, ROW_HOLDER, "What is retired is issued to nobody.");
	if (blockers && doc_count(blockers))
		return import_fault(r, ROW_HOLDER, "It cannot be issued: %s",
				    doc_text(blockers->first, "text"));
	if (!on && !old) on = import_text(r, COMPONENT_IN_SERVICE_ON);
	if (!on) return import_fault(r, ROW_HOLDER, "Say since when it is issued: issued_on.");
	bool meets = false;
	enum err err = issue_meets(r->store, component, on, NULL, &meets, r->fault);
	if (err == ERR_OK && meets)
		err =
		    import_fault(r, ROW_ISSUED_ON,
				 "Somebody else had it then, or later: it came back after %s.", on);
	if (err != ERR_OK) return err;
	return issue_insert(r->store, component, holder, on, condition ? condition : "serviceable",
			    NULL, r->fault);
}

/* The stored row in the words of the table, so that both can be compared. */
static void in_words(const struct import_row *r, struct doc *old, int64_t station, int64_t holder) {
	int64_t held_by = doc_int(old, "holder");
	doc_set_int(old, "held_by", held_by);
	doc_set_text(old, "station",
		     station == doc_int(old, "station") ? import_text(r, COMPONENT_STATION) : "");
	doc_set_text(old, "holder", holder == held_by ? import_text(r, ROW_HOLDER) : "");
	doc_set_text(old, "condition", doc_text(old, "condition_at_issue"));
	if (!doc_text(old, "line")) doc_set_text(old, "line", import_text(r, ROW_LINE));
}

static struct component_row component_of(const struct import_row *r) {
	return (struct component_row){
	    .tag = import_text(r, COMPONENT_TAG),
	    .serial = import_text(r, COMPONENT_SERIAL),
	    .kind = import_text(r, COMPONENT_KIND),
	    .hazard = import_text(r, COMPONENT_HAZARD),
	    .maker = import_text(r, COMPONENT_MAKER),
	    .model = import_text(r, COMPONENT_MODEL),
	    .size = import_text(r, COMPONENT_SIZE),
	    .made = import_text(r, COMPONENT_MADE),
	    .in_service_on = import_text(r, COMPONENT_IN_SERVICE_ON),
	    .note = import_text(r, COMPONENT_NOTE),
	    .cbrn = import_yes(r, COMPONENT_CBRN, false),
	    .trim = import_yes(r, COMPONENT_TRIM, false),
	    .reflective = import_yes(r, COMPONENT_REFLECTIVE, false),
	    .cost_cents = value_int(&r->value[COMPONENT_COST], -1),
	    .life_months = value_int(&r->value[COMPONENT_LIFE_MONTHS], 0),
	};
}

enum err import_component(struct import_row *r) {
	struct doc *old = NULL;
	int64_t id = 0, station, holder;
	enum err err = import_reference(r, COMPONENT_STATION, station_by_code, &station);
	if (err == ERR_OK) err = import_reference(r, ROW_HOLDER, member_by_badge, &holder);
	if (err == ERR_OK)
		err = on_record(r, COMPONENT_TAG, component_by_tag, component_get, &id, &old);
	if (err == ERR_OK && old) {
		in_words(r, old, station, holder);
		err = import_existing(r, old, COMPONENT_TAG);
	}
	if (err != ERR_OK || r->unchanged) return err;
	import_keep(r, old, COMPONENT_FIELDS);
	struct component_row row = component_of(r);
	row.id = id;
	row.station = station;
	if (component_serves_before_made(row.made, row.in_service_on))
		return import_fault(r, COMPONENT_IN_SERVICE_ON,
				    "It was made %s and cannot have served before.", row.made);
	err = import_check_end(r, old);
	if (err == ERR_OK) err = find_or_make_ensemble(r, station, holder, &row.ensemble);
	if (err == ERR_OK) err = component_save(r->store, &row, r->arena, &id, r->fault);
	if (err == ERR_OK) err = import_end_service(r, old, id);
	return err == ERR_OK ? issue_to(r, old, id, holder) : err;
}
