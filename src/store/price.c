#include "store/price.h"

#include "store/list.h"

#define PRICE_WHERE                                                                                \
	" FROM replacement_price p JOIN component_kind k ON k.code = p.kind"                       \
	" WHERE (?1 IS NULL OR lower(k.label || ' ' || coalesce(p.note, '')) LIKE ?1 ESCAPE '\\')" \
	" AND (?2 IS NULL OR p.kind = ?2) AND (?3 IS NULL OR p.hazard = ?3)"
#define MONEY(cents) "printf('%d.%02d', " cents " / 100, " cents " % 100)"
#define PRICE_COLUMNS                                                                              \
	"SELECT p.id, p.kind, k.label AS kind_label, p.hazard, p.reflective, p.valid_from,"        \
	" p.price_cents AS price, " MONEY("p.price_cents") " AS price_text, p.note, p.version"
/* A department keeps a few dozen of them. */
SQL_SCAN(prices_count, "SELECT count(*) AS total" PRICE_WHERE);
SQL_SCAN(prices_by_kind, PRICE_COLUMNS PRICE_WHERE " ORDER BY k.position, p.hazard, p.reflective,"
						   " p.valid_from DESC LIMIT ?4 OFFSET ?5");
SQL_SCAN(prices_by_day,
	 PRICE_COLUMNS PRICE_WHERE " ORDER BY p.valid_from DESC, p.id LIMIT ?4 OFFSET ?5");
SQL_SCAN(prices_by_price,
	 PRICE_COLUMNS PRICE_WHERE " ORDER BY p.price_cents DESC, p.id LIMIT ?4 OFFSET ?5");

const struct list_source price_list = {
    .count = &prices_count,
    .filter = {"kind", "hazard"},
    .sort = {{"kind", "Kind", &prices_by_kind},
	     {"valid_from", "Valid from", &prices_by_day},
	     {"price", "Price", &prices_by_price}},
};

SQL(price_of_id, PRICE_COLUMNS " FROM replacement_price p JOIN component_kind k ON k.code = p.kind"
			       " WHERE p.id = ?1");
SQL(price_of_day, PRICE_COLUMNS " FROM replacement_price p JOIN component_kind k ON k.code = p.kind"
				" WHERE p.kind = ?1 AND p.hazard = ?2 AND p.reflective = ?3"
				" AND p.valid_from = ?4");
SQL(price_insert,
    "INSERT INTO replacement_price (kind, hazard, reflective, valid_from, price_cents,"
    " note) VALUES (?1, ?2, ?3, ?4, ?5, ?6)");
SQL(price_update,
    "UPDATE replacement_price SET kind = ?2, hazard = ?3, reflective = ?4, valid_from = ?5,"
    " price_cents = ?6, note = ?7, version = version + 1 WHERE id = ?1");

enum err price_save(struct store *st, const struct price_row *r, int64_t *id, struct fault *f) {
	*id = r->id;
	if (r->id)
		return store_run(st, &price_update, f, "ittbtit", r->id, r->kind, r->hazard,
				 r->reflective, r->valid_from, r->price_cents, r->note);
	enum err err = store_run(st, &price_insert, f, "ttbtit", r->kind, r->hazard, r->reflective,
				 r->valid_from, r->price_cents, r->note);
	*id = store_inserted(st);
	return err;
}

enum err price_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
		   struct fault *f) {
	return store_one(st, &price_of_id, a, row, f, "i", id);
}

enum err price_find(struct store *st, const struct price_row *key, struct arena *a,
		    struct doc **row, struct fault *f) {
	return store_one(st, &price_of_day, a, row, f, "ttbt", key->kind, key->hazard,
			 key->reflective, key->valid_from);
}

/* --- of a single part --- */

#define OF_COMPONENT                                                                               \
	"SELECT valid_from, price_cents AS price, " MONEY(                                         \
	    "price_cents") " AS price_text, note FROM component_price WHERE component_id = ?1"
SQL(component_prices_of, OF_COMPONENT " ORDER BY valid_from DESC");
SQL(component_price_of_day, OF_COMPONENT " AND valid_from = ?2");
SQL(component_price_put,
    "INSERT INTO component_price (component_id, valid_from, price_cents, note)"
    " VALUES (?1, ?2, ?3, ?4) ON CONFLICT (component_id, valid_from) DO UPDATE SET"
    " price_cents = excluded.price_cents, note = excluded.note, version = version + 1");

enum err component_price_save(struct store *st, const struct component_price *p, struct fault *f) {
	return store_run(st, &component_price_put, f, "itit", p->component, p->valid_from,
			 p->price_cents, p->note);
}

enum err component_prices(struct store *st, int64_t component, struct arena *a, struct doc *list,
			  struct fault *f) {
	return store_list(st, &component_prices_of, a, list, f, "i", component);
}

enum err component_price_find(struct store *st, int64_t component, const char *valid_from,
			      struct arena *a, struct doc **row, struct fault *f) {
	return store_one(st, &component_price_of_day, a, row, f, "it", component, valid_from);
}
