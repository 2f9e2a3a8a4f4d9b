#include "store/chain.h"

#include <assert.h>
#include <string.h>

#include "base/text.h"
#include "store/internal.h"
#include "store/tree.h"

SQL_SCAN(last_entry, /* from the end, one row */
	 "SELECT seq, hash FROM audit_entry ORDER BY seq DESC LIMIT 1");

void chain_forget(struct chain *c) { c->is_known = c->is_new = false; }

static enum err read_last(struct store *st, int64_t *seq, struct fault *f) {
	struct chain *chain = &st->chain;
	struct cursor c;
	bool more = false;
	*seq = 0;
	memset(chain->hash, '0', HASH_HEX_SIZE - 1);
	chain->hash[HASH_HEX_SIZE - 1] = '\0';
	enum err err = cursor_open(&c, st, &last_entry, f, "");
	if (err == ERR_OK) err = cursor_next(&c, &more);
	if (err == ERR_OK && more) {
		const char *hash = cursor_text(&c, 1);
		*seq = cursor_int(&c, 0);
		if (hash && strlen(hash) == HASH_HEX_SIZE - 1)
			memcpy(chain->hash, hash, HASH_HEX_SIZE);
		else err = fault_set(f, ERR_CORRUPT, NULL, "The last audit entry has no hash.");
	}
	cursor_close(&c);
	return err;
}

enum err chain_know(struct store *st, struct fault *f) {
	struct chain *chain = &st->chain;
	int64_t seq;
	if (chain->is_known) return ERR_OK;
	enum err err = read_last(st, &seq, f);
	if (err == ERR_OK) err = audit_tree_get(st, &chain->tree, f);
	if (err == ERR_OK && chain->tree.size != seq)
		err = fault_set(
		    f, ERR_CORRUPT, NULL,
		    "The record has %lld audit entries, but there were %lld: nothing more is "
		    "recorded. Restore a copy that `pegwarden verify` finds whole.",
		    (long long)seq, (long long)chain->tree.size);
	chain->is_known = err == ERR_OK;
	return err;
}

void chain_grow(struct chain *chain, const char *hash) {
	unsigned char leaf[TREE_HASH_BYTES];
	bool read = text_from_hex(hash, leaf, sizeof leaf);
	assert(read); /* it was computed a moment ago */
	tree_add(&chain->tree, leaf);
	memcpy(chain->hash, hash, HASH_HEX_SIZE);
	chain->is_new = true;
}

enum err chain_keep(struct store *st, struct fault *f) {
	if (!st->chain.is_new) return ERR_OK;
	st->chain.is_new = false;
	return audit_tree_put(st, &st->chain.tree, f);
}
