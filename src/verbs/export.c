#include "verbs/desk.h"

#include <stdio.h>

#include "base/limits.h"
#include "handlers/import_kinds.h"

static enum err write_out(const char *path, const struct buf *table, struct fault *f) {
	FILE *out = path ? fopen(path, "wbx") : stdout;
	bool whole = out && fwrite(buf_text(table), 1, table->length, out) == table->length;
	bool closed = out && (path ? fclose(out) : fflush(out)) == 0;
	if (whole && closed) return ERR_OK;
	return fault_set(f, ERR_IO, "to",
			 "%s cannot be written. Name a file that is not there yet.",
			 path ? path : "Standard output");
}

int verb_export(const struct options *o) {
	struct fault f = {0};
	struct arena a;
	struct store *st = NULL;
	struct buf table;
	arena_init(&a, LIMIT_ARENA_BLOCK_BYTES);
	buf_init(&table, LIMIT_IMPORT_BYTES_MAX);
	const struct import_kind *kind = import_kind_find(o->kind);
	enum err err =
	    kind ? store_open(&st, o->data, NULL, STORE_READ, &f)
		 : fault_set(&f, ERR_INVALID, "kind", "Say which table: --kind with one of %s.",
			     import_kind_names(&a));
	if (err == ERR_OK) err = export_table(st, kind->rows, &table, &f);
	if (err == ERR_OK) err = write_out(o->to, &table, &f);
	store_close(st);
	buf_release(&table);
	arena_clear(&a);
	return err == ERR_OK ? 0 : verb_failed(&f);
}

int verb_kinds(const struct options *o) {
	const struct import_kind *kind;
	(void)o;
	for (size_t i = 0; (kind = import_kind_at(i)); i++) puts(kind->name);
	return 0;
}
