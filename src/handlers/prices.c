/*
 * What new parts cost: the officer's table, and of a single part where that is known better;
 * for the advice to repair or to replace and for what next year's retirements will cost.
 */
#include "handlers/app.h"
#include "handlers/component_act.h"
#include "handlers/list.h"
#include "handlers/record.h"
#include "handlers/resources.h"
#include "handlers/routes.h"
#include "store/price.h"

static const struct field field[PRICE_FIELDS] = {
    [PRICE_KIND] = {.name = "kind",
		    .label = "Kind",
		    .kind = FIELD_CHOICE,
		    .required = true,
		    .choice = kind_choice},
    [PRICE_HAZARD] = {.name = "hazard",
		      .label = "Hazard",
		      .kind = FIELD_CHOICE,
		      .required = true,
		      .choice = hazard_choice},
    [PRICE_REFLECTIVE] = {.name = "reflective",
			  .label = "Radiant reflective (aluminized, gold-coated)",
			  .kind = FIELD_YES_NO,
			  .required = true},
    [PRICE_VALID_FROM] = {.name = "valid_from",
			  .label = "Valid from",
			  .help = "It counts from this day on, until the next price of such parts.",
			  .kind = FIELD_DAY,
			  .required = true,
			  .example = "2026-01-01"},
    [PRICE_PRICE] = {.name = "price",
		     .label = "Price of a new one",
		     .kind = FIELD_MONEY,
		     .required = true,
		     .min = 1,
		     .max = PRICE_CENTS_MAX,
		     .example = "1200.00"},
    [PRICE_NOTE] = {.name = "note",
		    .label = "Note",
		    .help = "Where it is known from: an offer, an invoice.",
		    .kind = FIELD_NOTE},
};
const struct resource price_resource = {"price", "prices", field, PRICE_FIELDS};

static enum err get(struct request *rq, int64_t id, struct doc **row) {
	return price_get(request_store(rq), id, &rq->arena, row, &rq->fault);
}

static enum err save(struct request *rq, const struct doc *row, int64_t *id) {
	struct price_row price = {
	    .id = doc_int(row, "id"),
	    .kind = keep_text(rq, PRICE_KIND, row),
	    .hazard = keep_text(rq, PRICE_HAZARD, row),
	    .reflective = keep_int(rq, PRICE_REFLECTIVE, row, 0) != 0,
	    .valid_from = keep_text(rq, PRICE_VALID_FROM, row),
	    .price_cents = keep_int(rq, PRICE_PRICE, row, -1),
	    .note = keep_text(rq, PRICE_NOTE, row),
	};
	return price_save(request_store(rq), &price, id, &rq->fault);
}

static enum err extend(struct request *rq, const struct doc *row, struct doc *page) {
	(void)rq;
	doc_set_text(page, "hazard_label", choice_label(hazard_choice, doc_text(row, "hazard")));
	return ERR_OK;
}

static const struct record record = {.path = "/prices",
				     .word = "price",
				     .resource = &price_resource,
				     .get = get,
				     .save = save,
				     .extend = extend,
				     .title_key = "kind_label",
				     .unique = "valid_from"};

static const struct list_column column[] = {{"kind", "kind"},
					    {"hazard", "hazard"},
					    {"reflective", "reflective"},
					    {"valid_from", "valid_from"},
					    {"price_text", "price"},
					    {"note", "note"},
					    {NULL, NULL}};
static const struct list_page page = {.path = "/prices",
				      .title = "Replacement prices",
				      .source = &price_list,
				      .filter = {{.label = "Kind", .choice = kind_choice},
						 {.label = "Hazard", .choice = hazard_choice}},
				      .column = column};

static enum err price_index(struct request *rq) {
	enum err err = list_answer(rq, &page);
	if (err != ERR_OK) return err;
	struct doc *rows = (struct doc *)(uintptr_t)doc_get(rq->doc, "rows");
	for (struct doc *r = rows ? rows->first : NULL; r; r = r->next)
		doc_set_text(r, "hazard_label", choice_label(hazard_choice, doc_text(r, "hazard")));
	return ERR_OK;
}
static enum err price_csv(struct request *rq) { return list_export(rq, &page); }
static enum err price_show(struct request *rq) { return record_show(rq, &record); }
static enum err price_form(struct request *rq) { return record_form(rq, &record); }
static enum err price_store(struct request *rq) { return record_store(rq, &record); }

/* --- of a single part --- */

enum { OWN_PRICE, OWN_VALID_FROM, OWN_NOTE, OWN_FIELDS };
static const struct field own_field[OWN_FIELDS] = {
    [OWN_PRICE] = {.name = "price",
		   .label = "Price of a new one",
		   .help =
		       "Of just this make and size; it counts instead of the price of its kind.",
		   .kind = FIELD_MONEY,
		   .required = true,
		   .min = 1,
		   .max = PRICE_CENTS_MAX,
		   .example = "1200.00"},
    [OWN_VALID_FROM] = {.name = "valid_from",
			.label = "Valid from",
			.help = "Today when left empty. A price from the same day on is corrected.",
			.kind = FIELD_DAY},
    [OWN_NOTE] = {.name = "note",
		  .label = "Note",
		  .help = "Where it is known from: an offer, an invoice.",
		  .kind = FIELD_NOTE},
};
static const struct resource own_resource = {"component_price", "components", own_field,
					     OWN_FIELDS};

static enum err own_apply(struct request *rq, const struct doc *row) {
	const struct component_price price = {
	    .component = doc_int(row, "id"),
	    .price_cents = value_int(&rq->value[OWN_PRICE], 0),
	    .valid_from = record_day(rq, &rq->value[OWN_VALID_FROM]),
	    .note = value_text(&rq->value[OWN_NOTE]),
	};
	return component_price_save(request_store(rq), &price, &rq->fault);
}

COMPONENT_ACT(own, "prices", .title = "Replacement price", .submit = "Save",
	      .resource = &own_resource, .check = component_check_serves, .apply = own_apply,
	      .action = "record replacement price")

static const char *const list_query[] = {LIST_QUERY, "kind", "hazard", NULL};

static const struct route route[] = {
    {METHOD_GET, "/prices", ROLE_OFFICER, RUN_READ, .handle = price_index,
     .template_name = "prices", .query = list_query, .summary = "What new parts cost"},
    {METHOD_GET, "/prices.csv", ROLE_OFFICER, RUN_READ, .handle = price_csv, .query = list_query,
     .summary = "The list of replacement prices as CSV"},
    {METHOD_GET, "/prices/new", ROLE_OFFICER, RUN_READ, .handle = price_form,
     .template_name = "form", .summary = "Form for a new price"},
    {METHOD_POST, "/prices", ROLE_OFFICER, RUN_CHANGE, .handle = price_store, .form = price_form,
     .template_name = "form", .resource = &price_resource, .summary = "Add a price"},
    {METHOD_GET, "/prices/:id", ROLE_OFFICER, RUN_READ, .handle = price_show,
     .template_name = "price", .summary = "One price"},
    {METHOD_GET, "/prices/:id/edit", ROLE_OFFICER, RUN_READ, .handle = price_form,
     .template_name = "form", .summary = "Form to change a price"},
    {METHOD_POST, "/prices/:id", ROLE_OFFICER, RUN_CHANGE, .handle = price_store,
     .form = price_form, .template_name = "form", .resource = &price_resource, .partial = true,
     .summary = "Change a price"},
    COMPONENT_ACT_ROUTES(own, "prices", ROLE_OFFICER, "form",
			 "Form for what a new one of a component costs",
			 "Record what a new one of a component costs"),
};
const struct route_table price_routes = {route, sizeof route / sizeof *route};
