#include "store/advice.h"

#include "store/price.h"

/* What came instead of a part has its own price; it is no repair of the old one. */
#define CAME_BACK                                                                                  \
	" FROM dispatch_item i JOIN dispatch d ON d.id = i.dispatch_id WHERE i.component_id ="     \
	" c.id AND d.state = 'returned' AND i.result <> 'replaced'"
SQL(advice_of_component,
    "SELECT c.kind, c.reflective, c.cbrn, c.made, c.life_months, c.cost_cents AS paid_cents,"
    " " PRICE_OF_NEW("?2") " AS replacement_cents,"
			   " (SELECT coalesce(sum(i.cost_cents), 0)" CAME_BACK
			   ") AS repaired_cents,"
			   " (SELECT count(*)" CAME_BACK " AND i.cost_cents IS NULL) AS unpriced"
			   " FROM component c WHERE c.id = ?1");
SQL(last_quote, "SELECT quote_cents, quoted_on FROM repair_quote WHERE dispatch_item_id = ?1"
		" ORDER BY id DESC LIMIT 1");
SQL(quote_add, "INSERT INTO repair_quote (dispatch_item_id, quoted_on, quote_cents)"
	       " VALUES (?1, ?2, ?3)");

enum err advice_row(struct store *st, int64_t component, day today, struct arena *a,
		    struct doc **row, struct fault *f) {
	return store_one(st, &advice_of_component, a, row, f, "id", component, today);
}

enum err quote_of_item(struct store *st, int64_t item, struct arena *a, struct doc **row,
		       struct fault *f) {
	return store_one(st, &last_quote, a, row, f, "i", item);
}

enum err quote_insert(struct store *st, int64_t item, const char *on, int64_t cents,
		      struct fault *f) {
	return store_run(st, &quote_add, f, "iti", item, on, cents);
}

/* --- in tables --- */

SQL(quote_item, "SELECT id FROM dispatch_item WHERE dispatch_id = ?1 AND finding_id = ?2");
SQL(quotes_count, "SELECT count(*) FROM repair_quote WHERE dispatch_item_id = ?1");
SQL(quote_of_turn, "SELECT quoted_on, quote_cents AS quote FROM repair_quote"
		   " WHERE dispatch_item_id = ?1 ORDER BY id LIMIT 1 OFFSET ?2 - 1");

enum err quote_item_of(struct store *st, int64_t ticket, int64_t finding, int64_t *item,
		       struct fault *f) {
	return store_number(st, &quote_item, 0, item, f, "ii", ticket, finding);
}

enum err quote_find(struct store *st, int64_t item, int64_t turn, struct arena *a, struct doc **row,
		    int64_t *count, struct fault *f) {
	enum err err = store_number(st, &quotes_count, 0, count, f, "i", item);
	return err == ERR_OK ? store_one(st, &quote_of_turn, a, row, f, "ii", item, turn) : err;
}
