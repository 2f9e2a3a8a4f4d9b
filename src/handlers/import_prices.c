/*
 * What new parts and repairs cost, in tables: a copy of the record gives the same advice.
 */
#include "handlers/import_row.h"
#include "store/advice.h"
#include "store/component.h"
#include "store/history.h"
#include "store/price.h"

#define QUOTES_MAX 10000

/* --- of new parts, by kind --- */

enum err import_price(struct import_row *r) {
	struct doc *old = NULL;
	struct price_row row = {.kind = import_text(r, PRICE_KIND),
				.hazard = import_text(r, PRICE_HAZARD),
				.reflective = import_yes(r, PRICE_REFLECTIVE, false),
				.valid_from = import_text(r, PRICE_VALID_FROM)};
	enum err err = price_find(r->store, &row, r->arena, &old, r->fault);
	if (err == ERR_OK && old) err = import_existing(r, old, PRICE_VALID_FROM);
	if (err != ERR_OK || r->unchanged) return err;
	import_keep(r, old, PRICE_FIELDS);
	row.id = doc_int(old, "id");
	row.price_cents = value_int(&r->value[PRICE_PRICE], 0);
	row.note = import_text(r, PRICE_NOTE);
	return price_save(r->store, &row, &row.id, r->fault);
}

/* --- of a single part --- */

enum { TAG, VALID_FROM, PRICE, NOTE, FIELDS };
static const struct field field[FIELDS] = {
    {.name = "tag", .label = "Tag", .kind = FIELD_TAG, .required = true},
    {.name = "valid_from", .label = "Valid from", .kind = FIELD_DAY, .required = true},
    {.name = "price",
     .label = "Price of a new one",
     .kind = FIELD_MONEY,
     .required = true,
     .min = 1,
     .max = PRICE_CENTS_MAX},
    {.name = "note", .label = "Note", .kind = FIELD_NOTE},
};
const struct resource import_component_price_columns = {"component_price", "component_prices",
							field, FIELDS};

enum err import_component_price(struct import_row *r) {
	struct doc *old = NULL;
	struct component_price row = {.valid_from = import_text(r, VALID_FROM),
				      .price_cents = value_int(&r->value[PRICE], 0)};
	enum err err = import_reference(r, TAG, component_by_tag, &row.component);
	if (err == ERR_OK)
		err = component_price_find(r->store, row.component, row.valid_from, r->arena, &old,
					   r->fault);
	if (err == ERR_OK && old) err = import_existing(r, old, VALID_FROM);
	if (err != ERR_OK || r->unchanged) return err;
	import_keep(r, old, FIELDS);
	row.note = import_text(r, NOTE);
	return component_price_save(r->store, &row, r->fault);
}

/* --- of repairs --- */

enum {
	NUMBER,
	FINDING, /* the columns that name it */
	TURN = FINDING + NAMED_FIELDS,
	QUOTED_ON,
	QUOTE,
	QUOTE_FIELDS
};
static const struct field quote_field[QUOTE_FIELDS] = {
    {.name = "number", .label = "Ticket", .kind = FIELD_TAG, .required = true},
    IMPORT_NAMED_FINDING,
    {.name = "turn",
     .label = "Which quote for it",
     .help = "1, 2, ... for each finding on the ticket; the last one counts.",
     .kind = FIELD_INTEGER,
     .min = 1,
     .max = QUOTES_MAX,
     .required = true},
    {.name = "quoted_on", .label = "Quoted on", .kind = FIELD_DAY, .required = true},
    {.name = "quote", .label = "Quote", .kind = FIELD_MONEY, .required = true},
};
const struct resource import_quote_columns = {"quote", "quotes", quote_field, QUOTE_FIELDS};

static enum err find_item(struct import_row *r, int64_t *item) {
	struct doc *ticket = NULL;
	int64_t component, finding;
	*item = 0;
	enum err err = import_reference(r, FINDING + NAMED_TAG, component_by_tag, &component);
	if (err == ERR_OK) err = import_named_finding(r, FINDING, component, &finding);
	if (err == ERR_OK)
		err = history_find_ticket(r->store, import_text(r, NUMBER), r->arena, &ticket,
					  r->fault);
	if (err == ERR_OK)
		err = quote_item_of(r->store, doc_int(ticket, "id"), finding, item, r->fault);
	if (err != ERR_OK || *item) return err;
	return import_fault(r, NUMBER,
			    "There is no ticket \"%s\" with this finding on record. Import the "
			    "repairs first, or correct it.",
			    import_text(r, NUMBER));
}

enum err import_quote(struct import_row *r) {
	struct doc *old = NULL;
	int64_t item, quotes = 0, turn = value_int(&r->value[TURN], 0);
	enum err err = find_item(r, &item);
	if (err == ERR_OK)
		err = quote_find(r->store, item, turn, r->arena, &old, &quotes, r->fault);
	if (err != ERR_OK) return err;
	if (old) return import_on_record(r, old);
	if (turn != quotes + 1)
		return import_fault(r, TURN, "Quote %lld for it comes first.",
				    (long long)quotes + 1);
	return quote_insert(r->store, item, import_text(r, QUOTED_ON),
			    value_int(&r->value[QUOTE], 0), r->fault);
}
