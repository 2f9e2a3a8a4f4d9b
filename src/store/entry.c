#include "store/entry.h"

#include <sodium.h>
#include <string.h>

#include "audit/entry.h"
#include "base/limits.h"
#include "store/internal.h"

/* Every column of every fact table, in declared order. */
#define STATE_SQL(table) SQL(state_##table, "SELECT * FROM " #table " WHERE id = ?1");
FACT_TABLE_LIST(STATE_SQL)
#define STATE_ENTRY(table) &state_##table,
static const struct sql *const state_sql[FACT_TABLES] = {FACT_TABLE_LIST(STATE_ENTRY)};

SQL(entry_insert, "INSERT INTO audit_entry (seq, at, actor, account_id, action, records,"
		  " previous_hash, hash, signature) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)");
SQL(entry_record, "INSERT INTO audit_record (table_name, record_id, seq) VALUES (?1, ?2, ?3)");

static bool is_secret(const char *column) {
	return strcmp(column, "password_hash") == 0 || strcmp(column, "token_hash") == 0 ||
	       strcmp(column, "pin_hash") == 0;
}

static void add_secret(struct buf *out, const char *text, size_t length) {
	unsigned char hash[crypto_hash_sha256_BYTES];
	crypto_hash_sha256(hash, (const unsigned char *)text, length);
	buf_add_char(out, '"');
	buf_add_hex(out, hash, sizeof hash);
	buf_add_char(out, '"');
}

static void add_column(struct buf *out, sqlite3_stmt *s, int i, const char *key) {
	buf_add_json(out, key, strlen(key));
	buf_add_char(out, ':');
	switch (sqlite3_column_type(s, i)) {
	case SQLITE_NULL: buf_add_text(out, "null"); return;
	case SQLITE_INTEGER: buf_add_int(out, sqlite3_column_int64(s, i)); return;
	default: break;
	}
	const char *text = (const char *)sqlite3_column_text(s, i);
	size_t length = (size_t)sqlite3_column_bytes(s, i);
	if (!text) out->failed = true;
	else if (is_secret(key)) add_secret(out, text, length);
	else buf_add_json(out, text, length);
}

/* A column that came later, so that the entries of before still tell the whole record: it is
 * in a state only where it holds something. Columns are added behind the others. */
static bool came_later(const char *column) {
	static const char *const later[] = {"life_months",
					    "method",
					    "water_mf",
					    "ph_hundredths",
					    "force_g",
					    "bleach",
					    "beyond",
					    "dried",
					    "dry_mf",
					    "retired_ground",
					    "retired_by",
					    "disposal_way",
					    "disposal_witness",
					    "training_on",
					    "training_by",
					    "training_mark",
					    "time_of_day",
					    "performer_class",
					    "sanitized",
					    "in_house",
					    "pin_hash",
					    "pin_locked_at",
					    "worked_s",
					    "worked_until",
					    "left_on",
					    "away_opened_at",
					    "away_answered_at",
					    "washer",
					    "load_percent",
					    "prepared",
					    "leg_um"};
	for (size_t i = 0; i < sizeof later / sizeof *later; i++)
		if (strcmp(later[i], column) == 0) return true;
	return false;
}

static bool is_told(sqlite3_stmt *s, int i, const char *column) {
	if (strcmp(column, "search_key") == 0) return false;
	return !came_later(column) || sqlite3_column_type(s, i) != SQLITE_NULL;
}

enum err entry_state(struct store *st, int table, int64_t id, struct buf *out, bool *found,
		     struct fault *f) {
	struct kept_statement *k;
	enum err err = store_prepare(st, state_sql[table], &k, f);
	if (err != ERR_OK) return err;
	sqlite3_bind_int64(k->handle, 1, id);
	int rc = sqlite3_step(k->handle);
	*found = rc == SQLITE_ROW;
	if (rc == SQLITE_ROW) {
		char before = '{';
		for (int i = 0; i < k->column_count; i++) {
			if (!is_told(k->handle, i, k->column[i].key)) continue;
			buf_add_char(out, before);
			add_column(out, k->handle, i, k->column[i].key);
			before = ',';
		}
		buf_add_char(out, '}');
	} else if (rc != SQLITE_DONE) {
		err = store_sqlite_fault(st, state_sql[table]->name, f);
	}
	sqlite3_reset(k->handle);
	return err;
}

static enum err add_records(struct store *st, const struct touched *touched, struct buf *records,
			    struct fault *f) {
	enum err err = ERR_OK;
	buf_add_char(records, '[');
	for (size_t i = 0; err == ERR_OK && i < touched->count; i++) {
		const struct touched_row *row = &touched->row[i];
		bool found;
		buf_printf(records, "%s{\"table\":\"%s\",\"id\":%lld,\"state\":", i ? "," : "",
			   fact_table[row->table], (long long)row->id);
		err = entry_state(st, row->table, row->id, records, &found, f);
		/* Inserted and rolled back within the change; nothing to tell. */
		if (err == ERR_OK && !found) buf_add_text(records, "null");
		buf_add_char(records, '}');
	}
	buf_add_char(records, ']');
	if (err == ERR_OK && buf_failed(records)) err = fault_memory(f);
	return err;
}

static enum err insert_entry(struct store *st, const struct audit_entry *e,
			     const struct touched *touched, struct fault *f) {
	enum err err =
	    store_run(st, &entry_insert, f, "itt0ttttt", e->seq, e->at, e->actor, e->account,
		      e->action, e->records, e->previous_hash, e->hash, e->signature);
	for (size_t i = 0; err == ERR_OK && i < touched->count; i++)
		err = store_run(st, &entry_record, f, "tii", fact_table[touched->row[i].table],
				touched->row[i].id, e->seq);
	return err;
}

enum err entry_append(struct store *st, const struct signing_key *key, const struct author *author,
		      const struct touched *touched, struct fault *f) {
	if (touched->count == 0) return ERR_OK;
	char at[INSTANT_TEXT_SIZE];
	struct buf records;
	buf_init(&records, LIMIT_PAGE_BYTES_MAX);
	struct audit_entry e = {
	    .at = instant_format(author->now_s, at),
	    .actor = author->actor,
	    .account = author->account,
	    .action = author->action,
	};
	enum err err = add_records(st, touched, &records, f);
	if (err == ERR_OK) err = chain_know(st, f);
	if (err == ERR_OK) {
		e.seq = st->chain.tree.size + 1;
		memcpy(e.previous_hash, st->chain.hash, HASH_HEX_SIZE);
		e.records = buf_text(&records);
		err = audit_entry_seal(&e, key);
		if (err == ERR_MEMORY) fault_memory(f);
	}
	if (err == ERR_OK) err = insert_entry(st, &e, touched, f);
	if (err == ERR_OK) chain_grow(&st->chain, e.hash);
	buf_release(&records);
	return err;
}
