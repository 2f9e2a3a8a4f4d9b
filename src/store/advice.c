#include "store/advice.h"

/* What came instead of a part has its own price; it is no repair of the old one. */
#define CAME_BACK                                                                                  \
	" FROM dispatch_item i JOIN dispatch d ON d.id = i.dispatch_id WHERE i.component_id ="     \
	" c.id AND d.state = 'returned' AND i.result <> 'replaced'"
#define PRICE_NOW(column)                                                                          \
	"(SELECT p." column " FROM replacement_price p WHERE p.kind = c.kind AND p.hazard ="       \
	" c.hazard AND p.reflective = c.reflective AND p.valid_from <= ?2"                         \
	" ORDER BY p.valid_from DESC LIMIT 1)"
SQL(advice_of_component,
    "SELECT c.kind, c.reflective, c.cbrn, c.made, c.life_months, c.cost_cents AS paid_cents,"
    " " PRICE_NOW(
	"price_cents") " AS replacement_cents,"
		       " " PRICE_NOW(
			   "valid_from") " AS replacement_from,"
					 " (SELECT coalesce(sum(i.cost_cents), 0)" CAME_BACK
					 ") AS repaired_cents,"
					 " (SELECT count(*)" CAME_BACK
					 " AND i.cost_cents IS NULL) AS unpriced"
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
