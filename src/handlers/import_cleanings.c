/*
 * Cleanings done. The limits of washing and drying are those of the form (rules/cleaning.h).
 */
#include "base/text.h"
#include "handlers/import_row.h"
#include "rules/cleaning.h"
#include "store/component.h"
#include "store/handbook.h"
#include "store/history.h"
#include "store/provider.h"

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
	CLEANED_WASHER,
	CLEANED_LOAD,
	CLEANED_PREPARED,
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
    {.name = "sanitized", .label = "Sanitized or disinfected too", .kind = FIELD_YES_NO},
    {.name = "washer", .label = "Washer", .kind = FIELD_CHOICE, .choice = washer_choice},
    {.name = "load_percent",
     .label = "How full the drum was, %",
     .kind = FIELD_INTEGER,
     .min = 1,
     .max = 100},
    {.name = "prepared", .label = "Made ready for washing", .kind = FIELD_YES_NO},
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
				  .top_loader = text_equal(row->washer, "top"),
				  .load_percent = (int)row->load_percent,
				  .unprepared = row->has_prepared && !row->prepared,
				  .has_dry = row->has_dry,
				  .dry_mf = row->dry_mf,
				  .machine_dried = text_equal(row->dried, "machine"),
				  .bleach = row->bleach};
	if (row->washer && !w.by_machine)
		return import_fault(r, CLEANED_WASHER,
				    "A washer is for what was washed by machine.");
	if (!cleaning_beyond(&w, p, r->arena, limit) || (row->beyond && !text_empty(row->note)))
		return ERR_OK;
	return import_fault(r, CLEANED_BEYOND,
			    "Beyond what gear stands: %s (%s). Correct it; or say yes here that it "
			    "really was so, and note how: then an advanced inspection is due.",
			    limit[0].text, limit[0].source);
}

/* What is hard is disinfected by whoever may clean it; sanitizing is a work by itself. */
static enum err check_germs(struct import_row *r, const struct cleaning_row *row,
			    const struct performer *who) {
	const struct handbook *hb;
	struct doc *part = NULL;
	enum err err = store_handbook(r->store, &hb, r->fault);
	if (err == ERR_OK) err = component_get(r->store, row->component, r->arena, &part, r->fault);
	if (err != ERR_OK || handbook_kind(hb, doc_text(part, "kind"))->is_hard) return err;
	return import_check_performer(r, CLEANED_SANITIZED, who, WORK_SANITIZATION);
}

static enum err take_cleaner(struct import_row *r, struct cleaning_row *row) {
	struct performer who;
	enum err err = import_performer(r, CLEANED_PERFORMER, row->provider, row->cleaned_on, &who);
	if (err == ERR_OK)
		err = import_check_performer(r, CLEANED_PERFORMER, &who,
					     work_of_cleaning(row->class));
	if (err == ERR_OK && row->sanitized) err = check_germs(r, row, &who);
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
				   .sanitized = import_yes(r, CLEANED_SANITIZED, false),
				   .washer = import_text(r, CLEANED_WASHER),
				   .load_percent = value_int(&r->value[CLEANED_LOAD], 0),
				   .has_prepared = value_given(&r->value[CLEANED_PREPARED]),
				   .prepared = import_yes(r, CLEANED_PREPARED, false)};
	enum err err = import_reference(r, CLEANED_TAG, component_by_tag, &row.component);
	if (err == ERR_OK)
		err = import_reference(r, CLEANED_PROVIDER, provider_by_code, &row.provider);
	bool is_told = row.method || row.washer || row.load_percent || row.has_prepared ||
		       row.has_water || row.ph_hundredths || row.force_g || row.has_bleach ||
		       row.dried || row.has_dry;
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
