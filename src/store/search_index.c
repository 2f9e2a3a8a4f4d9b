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
SQL(index_safety_notice,
    "INSERT INTO search (rowid, text, kind, record_id) SELECT id * 8 + 5,"
    " number || ' ' || title || ' ' || issuer || ' ' || coalesce((SELECT"
    " group_concat(DISTINCT maker) FROM safety_notice_scope WHERE notice_id = ?1), ''),"
    " 'safety_notice', id FROM safety_notice WHERE id = ?1");
SQL(index_hold, "INSERT INTO search (rowid, text, kind, record_id) SELECT id * 8 + 6,"
		" incident, 'hold', id FROM hold WHERE id = ?1");
SQL(index_notice_of_scope, "SELECT notice_id FROM safety_notice_scope WHERE id = ?1");

static const struct {
	const char *table;
	int kind;              /* its number */
	const struct sql *sql; /* puts one in */
	const struct sql *of;  /* which one a row is part of; NULL: it is one itself */
} indexed[] = {{"component", 0, &index_component, NULL},
	       {"member", 1, &index_member, NULL},
	       {"ensemble", 2, &index_ensemble, NULL},
	       {"station", 3, &index_station, NULL},
	       {"dispatch", 4, &index_dispatch, NULL},
	       {"safety_notice", 5, &index_safety_notice, NULL},
	       {"safety_notice_scope", 5, &index_safety_notice, &index_notice_of_scope},
	       {"hold", 6, &index_hold, NULL}};

static enum err index_row(struct store *st, const struct touched_row *row, struct fault *f) {
	for (size_t i = 0; i < sizeof indexed / sizeof *indexed; i++) {
		if (strcmp(indexed[i].table, fact_table[row->table]) != 0) continue;
		int64_t id = row->id;
		enum err err = ERR_OK;
		if (indexed[i].of) err = store_number(st, indexed[i].of, 0, &id, f, "i", row->id);
		if (err == ERR_OK)
			err = store_run(st, &index_clear, f, "i", id * 8 + indexed[i].kind);
		if (err == ERR_OK) err = store_run(st, indexed[i].sql, f, "i", id);
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
