#include "store/tree.h"

#include "base/text.h"
#include "store/internal.h"

SQL(tree_row, "SELECT size, peaks FROM audit_tree WHERE id = 1");
SQL(tree_put, "UPDATE audit_tree SET size = ?1, peaks = ?2 WHERE id = 1");
SQL(tree_entries_after, "SELECT hash FROM audit_entry WHERE seq > ?1 ORDER BY seq");
SQL(tree_mail, "UPDATE audit_tree SET mailed_size = size, mailed_on = ?1 WHERE id = 1"
	       " AND size > mailed_size AND mailed_on IS NOT ?1");

enum err audit_tree_get(struct store *st, struct tree *t, struct fault *f) {
	struct cursor c;
	bool more = false;
	enum err err = cursor_open(&c, st, &tree_row, f, "");
	if (err == ERR_OK) err = cursor_next(&c, &more);
	if (err == ERR_OK && (!more || !tree_read(t, cursor_int(&c, 0), cursor_text(&c, 1))))
		err =
		    fault_set(f, ERR_CORRUPT, NULL, "The tree over the audit entries was edited.");
	cursor_close(&c);
	return err;
}

enum err audit_checkpoint(struct store *st, struct checkpoint *c, struct fault *f) {
	struct tree t;
	enum err err = audit_tree_get(st, &t, f);
	if (err == ERR_OK) checkpoint_of_tree(c, &t);
	return err;
}

enum err audit_tree_put(struct store *st, const struct tree *t, struct fault *f) {
	char peaks[TREE_PEAKS_TEXT_SIZE];
	tree_write_peaks(t, peaks);
	return store_run(st, &tree_put, f, "it", t->size, peaks);
}

static enum err add(struct tree *t, const char *hash, struct fault *f) {
	unsigned char leaf[TREE_HASH_BYTES];
	if (!hash || !text_from_hex(hash, leaf, sizeof leaf))
		return fault_set(f, ERR_CORRUPT, NULL, "Entry %lld has no hash.",
				 (long long)t->size + 1);
	tree_add(t, leaf);
	return ERR_OK;
}

enum err audit_tree_catch_up(struct store *st, struct fault *f) {
	struct tree t;
	struct cursor c = {0};
	bool more;
	enum err err = audit_tree_get(st, &t, f);
	int64_t before = t.size;
	if (err == ERR_OK) err = cursor_open(&c, st, &tree_entries_after, f, "i", before);
	while (err == ERR_OK && (err = cursor_next(&c, &more)) == ERR_OK && more)
		err = add(&t, cursor_text(&c, 0), f);
	cursor_close(&c);
	return err == ERR_OK && t.size > before ? audit_tree_put(st, &t, f) : err;
}

enum err audit_checkpoint_mail_due(struct store *st, day today, bool *due, struct fault *f) {
	enum err err = store_run(st, &tree_mail, f, "d", today);
	*due = err == ERR_OK && store_changes(st) > 0;
	return err;
}
