#include "store/change.h"

#include "store/derive.h"
#include "store/entry.h"
#include "store/hold.h"
#include "store/internal.h"
#include "store/retirement.h"
#include "store/settle.h"

SQL(change_savepoint, "SAVEPOINT change");
SQL(change_release, "RELEASE change");
SQL(change_undo, "ROLLBACK TO change");
SQL(transaction_begin, "BEGIN IMMEDIATE");
SQL(transaction_commit, "COMMIT");
SQL(transaction_undo, "ROLLBACK");

/* Rows that already have their audit entry still want their derived rows. */
static void keep_for_derive(struct store *st) {
	for (size_t i = 0; i < st->touched.count; i++)
		touched_add(&st->entered, st->touched.row[i].table, st->touched.row[i].id);
	touched_reset(&st->touched);
}

enum err change_entry(struct change *c, struct store *st) {
	if (st->touched.failed) return fault_memory(&c->fault);
	touched_settle(&st->touched);
	enum err err = entry_append(st, c->key, &c->author, &st->touched, &c->fault);
	keep_for_derive(st);
	return err;
}

SQL(attempt_begin, "SAVEPOINT attempt");
SQL(attempt_undo, "ROLLBACK TO attempt");
SQL(attempt_end, "RELEASE attempt");

enum err change_try(struct change *c, struct store *st,
		    enum err (*attempt)(struct change *c, struct store *st)) {
	enum err err = store_run(st, &attempt_begin, &c->fault, "");
	if (err != ERR_OK) return err;
	struct chain chain = st->chain;
	err = attempt(c, st);
	st->chain = chain;
	struct fault f = {0};
	enum err undone = store_run(st, &attempt_undo, &f, "");
	if (undone == ERR_OK) undone = store_run(st, &attempt_end, &f, "");
	touched_reset(&st->touched);
	touched_reset(&st->entered);
	store_forget_settings(st);
	return undone == ERR_OK ? err : undone;
}

enum err change_derive(struct store *st, struct fault *f) {
	if (st->touched.failed) return fault_memory(f);
	touched_settle(&st->touched);
	enum err err = derive_touched(st, &st->touched, f);
	st->touched.derived = err == ERR_OK;
	return err;
}

static enum err settle(struct change *c, struct store *st) {
	/* Already, when the change itself asked for them and nothing followed. */
	bool derived = st->touched.derived && st->entered.count == 0;
	enum err err = change_entry(c, st);
	if (err == ERR_OK && st->entered.failed) err = fault_memory(&c->fault);
	if (err != ERR_OK) return err;
	touched_settle(&st->entered);
	err = hold_guard(st, &st->entered, &c->fault);
	if (err == ERR_OK) err = retirement_guard(st, &st->entered, &c->fault);
	if (err == ERR_OK) err = search_touched(st, &st->entered, &c->fault);
	if (err == ERR_OK && !derived) err = derive_touched(st, &st->entered, &c->fault);
	return err;
}

/* The transaction must not be committed: it holds half a change, or SQLite gave it up. */
static void spoil(struct store *st, const struct fault *cause) {
	fault_set(&st->spoilt, cause->code == ERR_OK ? ERR_INTERNAL : cause->code, NULL, "%s",
		  cause->message);
}

/* Some failures (no memory, a full disk) make SQLite take back the whole transaction,
 * changes before this one too; the next one must not run outside of it. */
static void undo(struct change *c, struct store *st) {
	struct fault f = {0};
	if (sqlite3_get_autocommit(st->db)) spoil(st, &c->fault);
	else if (store_run(st, &change_undo, &f, "") != ERR_OK ||
		 store_run(st, &change_release, &f, "") != ERR_OK)
		spoil(st, &f);
	store_forget_settings(st);
}

static enum err run(struct change *c, struct store *st, const struct signing_key *key) {
	c->key = key;
	touched_reset(&st->touched);
	touched_reset(&st->entered);
	enum err err = c->apply(c, st);
	return err == ERR_OK ? settle(c, st) : err;
}

enum err change_apply(struct change *c, struct store *st, const struct signing_key *key) {
	enum err err = store_run(st, &change_savepoint, &c->fault, "");
	if (err != ERR_OK) {
		spoil(st, &c->fault);
		return err;
	}
	struct chain chain = st->chain;
	err = run(c, st, key);
	if (err != ERR_OK) {
		st->chain = chain;
		undo(c, st);
	} else if ((err = store_run(st, &change_release, &c->fault, "")) != ERR_OK)
		spoil(st, &c->fault);
	return err;
}

/* The statements that end things are made ready while nothing is under way: what
 * cannot be prepared for want of memory could not be taken back either. */
static enum err prepare_ends(struct store *st, struct fault *f) {
	static const struct sql *const end[] = {&change_release, &change_undo, &transaction_commit,
						&transaction_undo};
	struct kept_statement *kept;
	enum err err = ERR_OK;
	for (size_t i = 0; err == ERR_OK && i < sizeof end / sizeof *end; i++)
		err = store_prepare(st, end[i], &kept, f);
	return err;
}

enum err transaction_start(struct store *st, struct fault *f) {
	fault_clear(&st->spoilt);
	chain_forget(&st->chain);
	enum err err = prepare_ends(st, f);
	/* One that could not be taken back at its end is taken back now. */
	if (err == ERR_OK && !sqlite3_get_autocommit(st->db))
		err = store_run(st, &transaction_undo, f, "");
	return err == ERR_OK ? store_run(st, &transaction_begin, f, "") : err;
}

enum err transaction_spoilt(const struct store *st, struct fault *f) {
	if (st->spoilt.code == ERR_OK) return ERR_OK;
	return fault_set(f, st->spoilt.code, NULL, "%s", st->spoilt.message);
}

enum err transaction_end(struct store *st, bool keep, struct fault *f) {
	enum err err = keep ? transaction_spoilt(st, f) : ERR_OK;
	if (keep && err == ERR_OK) err = chain_keep(st, f);
	if (keep && err == ERR_OK) err = store_run(st, &transaction_commit, f, "");
	if (keep && err == ERR_OK) return ERR_OK;
	struct fault ignored = {0}; /* after some failures SQLite has rolled back itself */
	enum err undone = store_run(st, &transaction_undo, &ignored, "");
	(void)undone;
	store_forget_settings(st);
	return err;
}

/* Alone in its transaction it needs no savepoint, which would note every page it changes. */
enum err store_change(struct store *st, const struct signing_key *key, struct change *c) {
	enum err err = transaction_start(st, &c->fault);
	if (err != ERR_OK) return err;
	err = run(c, st, key);
	enum err ended = transaction_end(st, err == ERR_OK, &c->fault);
	return err == ERR_OK ? ended : err;
}

enum err store_rebuild(struct store *st, bool write, int64_t *differences, struct fault *f) {
	enum err err = transaction_start(st, f);
	if (err != ERR_OK) return err;
	err = derive_all(st, write, differences, f);
	enum err ended = transaction_end(st, err == ERR_OK && write, f);
	return err == ERR_OK ? ended : err;
}
