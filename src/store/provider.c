#include "store/provider.h"

#include "base/text.h"
#include "store/list.h"

#define PROVIDER_WHERE                                                                             \
	" FROM provider p WHERE (?1 IS NULL OR p.search_key LIKE ?1 ESCAPE '\\')"                  \
	" AND (?2 IS NULL OR p.class = ?2)"
#define PROVIDER_COLUMNS                                                                           \
	"SELECT p.id, p.code, p.name, p.class, p.verified_until, p.email, p.phone, p.address,"     \
	" p.active, p.in_house IS NOT NULL AS in_house, p.version"
/* A department has a handful of providers. */
SQL_SCAN(providers_count, "SELECT count(*) AS total" PROVIDER_WHERE);
SQL_SCAN(providers_by_name, PROVIDER_COLUMNS PROVIDER_WHERE " ORDER BY p.name LIMIT ?3 OFFSET ?4");
SQL_SCAN(providers_by_code, PROVIDER_COLUMNS PROVIDER_WHERE " ORDER BY p.code LIMIT ?3 OFFSET ?4");

const struct list_source provider_list = {
    .count = &providers_count,
    .filter = {"class"},
    .sort = {{"name", "Name", &providers_by_name}, {"code", "Code", &providers_by_code}},
};

SQL(provider_of_id, PROVIDER_COLUMNS " FROM provider p WHERE p.id = ?1");
SQL(provider_of_code, "SELECT id FROM provider WHERE code = ?1");
SQL_SCAN(provider_choices,
	 "SELECT id, name, name AS label, class, verified_until, in_house IS NOT NULL"
	 " AS in_house FROM provider WHERE active = 1 ORDER BY name");
SQL(provider_insert,
    "INSERT INTO provider (code, name, search_key, class, verified_until, email,"
    " phone, address, active, in_house) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9,"
    " nullif(?10, 0))");
SQL(provider_update,
    "UPDATE provider SET code = ?2, name = ?3, search_key = ?4, class = ?5, verified_until = ?6,"
    " email = ?7, phone = ?8, address = ?9, active = ?10, in_house = nullif(?11, 0),"
    " version = version + 1 WHERE id = ?1");

enum err provider_save(struct store *st, const struct provider_row *r, struct arena *a, int64_t *id,
		       struct fault *f) {
	const char *words = arena_printf(a, "%s %s", r->code, r->name);
	const char *key = words ? text_fold(a, words) : NULL;
	if (!key) return fault_set(f, ERR_MEMORY, NULL, "There is no memory left.");
	if (r->in_house && !text_equal(r->class, "trained_organization"))
		return fault_set(
		    f, ERR_INVALID, "in_house",
		    "The department's own workshop is entered as manufacturer-trained "
		    "organization; what it may do beyond follows from the setting that "
		    "the department is verified.");
	*id = r->id;
	if (r->id)
		return store_run(st, &provider_update, f, "ittttttttbb", r->id, r->code, r->name,
				 key, r->class, r->verified_until, r->email, r->phone, r->address,
				 r->active, r->in_house);
	enum err err =
	    store_run(st, &provider_insert, f, "ttttttttbb", r->code, r->name, key, r->class,
		      r->verified_until, r->email, r->phone, r->address, r->active, r->in_house);
	*id = store_inserted(st);
	return err;
}

enum err provider_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
		      struct fault *f) {
	return store_one(st, &provider_of_id, a, row, f, "i", id);
}

enum err provider_by_code(struct store *st, const char *code, int64_t *id, struct fault *f) {
	return store_number(st, &provider_of_code, 0, id, f, "t", code);
}

enum err provider_options(struct store *st, struct arena *a, struct doc *options, struct fault *f) {
	return store_list(st, &provider_choices, a, options, f, "");
}
