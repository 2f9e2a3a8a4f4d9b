/*
 * Does the record hold? The chain entry by entry, with the tree over it against
 * what checkpoints stated, then every fact row against the last entry that
 * speaks of it, and the bytes of every photo against the hash that its row states.
 */
#include <assert.h>
#include <string.h>

#include "audit/entry.h"
#include "base/limits.h"
#include "base/text.h"
#include "store/entry.h"
#include "store/internal.h"
#include "store/tree.h"

SQL_SCAN(verify_entries, "SELECT seq, at, actor, account_id, action, records, previous_hash, hash,"
			 " signature FROM audit_entry ORDER BY seq");
SQL_SCAN(verify_count, "SELECT count(*) FROM audit_entry");
/* The last entry of each record that ever was in one. */
SQL_SCAN(verify_records, "SELECT table_name, record_id, max(seq) FROM audit_record"
			 " GROUP BY table_name, record_id");
SQL(verify_records_of, "SELECT records FROM audit_entry WHERE seq = ?1");
SQL_SCAN(verify_record_count, "SELECT count(*) FROM (SELECT DISTINCT table_name, record_id"
			      " FROM audit_record)");

/* Rows of each fact table without an entry: the first one found. */
#define UNRECORDED(table)                                                                          \
	"SELECT min(id) FROM " table " t WHERE NOT EXISTS (SELECT 1 FROM audit_record r"           \
	" WHERE r.table_name = '" table "' AND r.record_id = t.id)"
#define UNRECORDED_SQL(table) SQL_SCAN(unrecorded_##table, UNRECORDED(#table));
FACT_TABLE_LIST(UNRECORDED_SQL)
#define UNRECORDED_ENTRY(table) &unrecorded_##table,
static const struct sql *const unrecorded[FACT_TABLES] = {FACT_TABLE_LIST(UNRECORDED_ENTRY)};

typedef void progress_report(int64_t done, int64_t total);
#define PROGRESS_EVERY 10000

static void report(progress_report *progress, int64_t done, int64_t total) {
	if (progress && (done % PROGRESS_EVERY == 0 || done == total)) progress(done, total);
}

static bool take_hex(char *to, size_t size, const char *from) {
	if (!from || strlen(from) != size - 1) return false;
	memcpy(to, from, size);
	return true;
}

static enum err check_entry(const struct cursor *c, char *previous_hash, int64_t previous_seq,
			    const unsigned char *public_key, struct fault *f) {
	struct audit_entry e = {
	    .seq = cursor_int(c, 0),
	    .at = cursor_text(c, 1),
	    .actor = cursor_text(c, 2),
	    .account = cursor_int(c, 3),
	    .action = cursor_text(c, 4),
	    .records = cursor_text(c, 5),
	};
	if (!take_hex(e.previous_hash, sizeof e.previous_hash, cursor_text(c, 6)) ||
	    !take_hex(e.hash, sizeof e.hash, cursor_text(c, 7)) ||
	    !take_hex(e.signature, sizeof e.signature, cursor_text(c, 8)))
		return fault_set(
		    f, ERR_CORRUPT, NULL,
		    "Entry %lld was edited: a hash or the signature has a wrong length.",
		    (long long)e.seq);
	enum err err = audit_entry_check(&e, previous_hash, previous_seq, public_key, f);
	memcpy(previous_hash, e.hash, sizeof e.hash);
	return err;
}

/* Every checkpoint of just this many entries must have stated this root. */
static enum err check_stated(const struct tree *t, const struct stated *stated, struct fault *f) {
	for (size_t i = 0; i < stated->count; i++) {
		struct checkpoint now;
		if (stated->checkpoint[i].size != t->size) continue;
		checkpoint_of_tree(&now, t);
		if (!checkpoint_equal(&now, &stated->checkpoint[i]))
			return fault_set(f, ERR_CORRUPT, NULL,
					 "The first %lld entries are not those that checkpoint %zu "
					 "stated: the record was rewritten since.",
					 (long long)t->size, i + 1);
	}
	return ERR_OK;
}

/* What was walked against what is kept, and against checkpoints of more than that. */
static enum err check_end(struct store *st, const struct tree *t, const struct stated *stated,
			  struct fault *f) {
	struct tree kept;
	for (size_t i = 0; i < stated->count; i++)
		if (stated->checkpoint[i].size > t->size)
			return fault_set(
			    f, ERR_CORRUPT, NULL,
			    "The record has %lld entries, but checkpoint %zu stated %lld: "
			    "it was rolled back.",
			    (long long)t->size, i + 1, (long long)stated->checkpoint[i].size);
	enum err err = audit_tree_get(st, &kept, f);
	if (err == ERR_OK && !tree_equal(t, &kept))
		err = fault_set(
		    f, ERR_CORRUPT, NULL,
		    "The tree kept over %lld entries is not that of the %lld in the record: "
		    "entries were removed or rewritten.",
		    (long long)kept.size, (long long)t->size);
	return err;
}

static enum err verify_chain(struct store *st, const unsigned char *public_key,
			     const struct stated *stated, int64_t total, progress_report *progress,
			     struct fault *f) {
	char previous_hash[HASH_HEX_SIZE];
	unsigned char leaf[TREE_HASH_BYTES];
	memset(previous_hash, '0', sizeof previous_hash - 1);
	previous_hash[sizeof previous_hash - 1] = '\0';
	struct tree t;
	struct cursor c;
	bool more;
	tree_init(&t);
	enum err err = cursor_open(&c, st, &verify_entries, f, "");
	if (err == ERR_OK) err = check_stated(&t, stated, f);
	while (err == ERR_OK && (err = cursor_next(&c, &more)) == ERR_OK && more) {
		err = check_entry(&c, previous_hash, t.size, public_key, f);
		if (err != ERR_OK) break;
		bool read = text_from_hex(previous_hash, leaf, sizeof leaf);
		assert(read); /* it equals one that was computed */
		tree_add(&t, leaf);
		err = check_stated(&t, stated, f);
		report(progress, t.size, total);
	}
	cursor_close(&c);
	return err == ERR_OK ? check_end(st, &t, stated, f) : err;
}

/* The row as the entry has it: its text stands in records just as entry_append wrote it. */
static enum err check_record(struct store *st, int table, int64_t id, int64_t seq,
			     struct fault *f) {
	struct buf state;
	bool found = false;
	buf_init(&state, LIMIT_PAGE_BYTES_MAX);
	buf_printf(&state, "{\"table\":\"%s\",\"id\":%lld,\"state\":", fact_table[table],
		   (long long)id);
	enum err err = entry_state(st, table, id, &state, &found, f);
	buf_add_char(&state, '}');
	struct cursor c;
	bool more = false;
	if (err == ERR_OK && !found)
		err = fault_set(f, ERR_CORRUPT, NULL,
				"%s %lld is missing; entry %lld says how it was.",
				fact_table[table], (long long)id, (long long)seq);
	if (err == ERR_OK && buf_failed(&state)) err = fault_memory(f);
	if (err == ERR_OK) err = cursor_open(&c, st, &verify_records_of, f, "i", seq);
	else c = (struct cursor){0};
	if (err == ERR_OK) err = cursor_next(&c, &more);
	const char *records = err == ERR_OK && more ? cursor_text(&c, 0) : NULL;
	if (err == ERR_OK && more && !records) err = fault_memory(f);
	if (err == ERR_OK && (!records || !strstr(records, buf_text(&state))))
		err = fault_set(
		    f, ERR_CORRUPT, NULL,
		    "%s %lld is not as entry %lld, the last about it, says: it was changed "
		    "without an entry.",
		    fact_table[table], (long long)id, (long long)seq);
	cursor_close(&c);
	buf_release(&state);
	return err;
}

static enum err verify_rows(struct store *st, int64_t total, int64_t before,
			    progress_report *progress, struct fault *f) {
	struct cursor c;
	bool more;
	int64_t done = before;
	enum err err = cursor_open(&c, st, &verify_records, f, "");
	while (err == ERR_OK && (err = cursor_next(&c, &more)) == ERR_OK && more) {
		int table = fact_table_index(cursor_text(&c, 0));
		if (table < 0)
			err = fault_set(f, ERR_CORRUPT, NULL, "An entry speaks of a table %s.",
					cursor_text(&c, 0));
		else err = check_record(st, table, cursor_int(&c, 1), cursor_int(&c, 2), f);
		report(progress, ++done, total);
	}
	cursor_close(&c);
	for (int table = 0; err == ERR_OK && table < FACT_TABLES; table++) {
		int64_t id;
		err = store_number(st, unrecorded[table], 0, &id, f, "");
		if (err == ERR_OK && id)
			err = fault_set(
			    f, ERR_CORRUPT, NULL,
			    "%s %lld has no audit entry: it was put in around the program.",
			    fact_table[table], (long long)id);
	}
	return err;
}

static enum err verify_view(struct store *st, const unsigned char *public_key,
			    const struct stated *stated, progress_report *progress,
			    struct fault *f) {
	int64_t entries, records;
	enum err err = store_number(st, &verify_count, 0, &entries, f, "");
	if (err == ERR_OK) err = store_number(st, &verify_record_count, 0, &records, f, "");
	if (err == ERR_OK)
		err = verify_chain(st, public_key, stated, entries + records, progress, f);
	if (err == ERR_OK) err = verify_rows(st, entries + records, entries, progress, f);
	return err == ERR_OK ? photos_verify(st, f) : err;
}

/* In one view, so that changes made meanwhile are not taken for edits. */
enum err store_verify(struct store *st, const unsigned char public_key[PUBLIC_KEY_BYTES],
		      const struct stated *stated, progress_report *progress, struct fault *f) {
	static const struct stated nothing = {0};
	enum err err = store_view_begin(st, f);
	if (err == ERR_OK)
		err = verify_view(st, public_key, stated ? stated : &nothing, progress, f);
	store_view_end(st);
	return err;
}
