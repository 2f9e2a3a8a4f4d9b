#include "store/setting.h"

SQL(setting_by_name, "SELECT id, name, value, reason, version FROM setting WHERE name = ?1");
SQL(setting_upsert, "INSERT INTO setting (name, value, reason) VALUES (?1, ?2, ?3)"
		    " ON CONFLICT (name) DO UPDATE SET value = excluded.value,"
		    " reason = excluded.reason, version = version + 1"
		    " WHERE value <> excluded.value OR reason IS NOT excluded.reason");

enum err setting_get(struct store *st, const char *name, struct arena *a, struct doc **row,
		     struct fault *f) {
	return store_one(st, &setting_by_name, a, row, f, "t", name);
}

enum err setting_text(struct store *st, const char *name, const char *absent, struct arena *a,
		      const char **value, struct fault *f) {
	struct doc *row = NULL;
	*value = absent;
	enum err err = setting_get(st, name, a, &row, f);
	if (err == ERR_OK && row) *value = doc_text(row, "value");
	return err;
}

enum err setting_put(struct store *st, const char *name, const char *value, const char *reason,
		     struct fault *f) {
	return store_run(st, &setting_upsert, f, "ttt", name, value, reason);
}
