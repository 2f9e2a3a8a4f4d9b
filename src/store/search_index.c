/*
 * The search index: one row a thing that can be found, in the search table.
 * Its rowid is record id * 8 + the kind's number, so that it is replaced by key.
 */
#include <string.h>

#include "store/internal.h"
#include "store/settle.h"

SQL(index_clear, "DELETE FROM search WHERE rowid = ?1");
SQL(index_component, "INSERT INTO search (rowid, text, kind, record_id) SELECT id * 8 + 0,"
		     " tag || ' ' || coalesce(serial, '') || ' ' || coalesce(maker, '') || ' ' || "
		     "coalesce(model, ''), 'component', id FROM component WHERE id = ?1");
SQL(index_member, "INSERT INTO search (rowid, text, kind, record_id) SELECT id * 8 + 1,"
		  " badge || ' ' || given_name || ' ' || family_name, 'member', id FROM member"
		  " WHERE id = ?1");
SQL(index_ensemble, "INSERT INTO search (rowid, text, kind, record_id) SELECT id * 8 + 2,"
		    " code, 'ensemble', id FROM ensemble WHERE id = ?1");
SQL(index_station, "INSERT INTO search (rowid, text, kind, record_id) SELECT id * 8 + 3,"
		   " code || ' ' || name, 'station', id FROM station WHERE id = ?1");
SQL(index_dispatch, "INSERT INTO search (rowid, text, kind, record_id) SELECT id * 8 + 4,"
		    " number, 'dispatch', id FROM dispatch WHERE id = ?1");

static const struct {
	const char *table;
	const struct sql *sql;
} indexed[] = {{"component", &index_component},
	       {"member", &index_member},
	       {"ensemble", &index_ensemble},
	       {"station", &index_station},
	       {"dispatch", &index_dispatch}};

static enum err index_row(struct store *st, const struct touched_row *row, struct fault *f) {
	for (size_t kind = 0; kind < sizeof indexed / sizeof *indexed; kind++) {
		if (strcmp(indexed[kind].table, fact_table[row->table]) != 0) continue;
		enum err err = store_run(st, &index_clear, f, "i", row->id * 8 + (int64_t)kind);
		if (err == ERR_OK) err = store_run(st, indexed[kind].sql, f, "i", row->id);
		return err;
	}
	return ERR_OK;
}

enum err search_touched(struct store *st, const struct touched *touched, struct fault *f) {
	enum err err = ERR_OK;
	for (size_t i = 0; err == ERR_OK && i < touched->count; i++)
		err = index_row(st, &touched->row[i], f);
	return err;
}
