#include "audit/tree.h"

#include <assert.h>
#include <sodium.h>
#include <string.h>

#include "base/text.h"

/* RFC 6962 2.1: an inner node is hashed behind a one byte. */
static void hash_pair(const unsigned char *left, const unsigned char *right,
		      unsigned char parent[TREE_HASH_BYTES]) {
	crypto_hash_sha256_state state;
	unsigned char one = 1;
	crypto_hash_sha256_init(&state);
	crypto_hash_sha256_update(&state, &one, 1);
	crypto_hash_sha256_update(&state, left, TREE_HASH_BYTES);
	crypto_hash_sha256_update(&state, right, TREE_HASH_BYTES);
	crypto_hash_sha256_final(&state, parent);
}

void tree_init(struct tree *t) { *t = (struct tree){0}; }

/* A new leaf is a peak of its own; two peaks of one height become one above them. How often
 * that happens is how many bits the size carries over. */
void tree_add(struct tree *t, const unsigned char leaf_hash[TREE_HASH_BYTES]) {
	assert(t->size < INT64_MAX);
	unsigned char node[TREE_HASH_BYTES];
	memcpy(node, leaf_hash, sizeof node);
	for (int64_t bits = t->size; bits & 1; bits >>= 1)
		hash_pair(t->peak[--t->peak_count], node, node);
	memcpy(t->peak[t->peak_count++], node, sizeof node);
	t->size++;
}

void tree_root(const struct tree *t, unsigned char root[TREE_HASH_BYTES]) {
	if (t->peak_count == 0) {
		crypto_hash_sha256(root, NULL, 0);
		return;
	}
	size_t i = t->peak_count - 1;
	memcpy(root, t->peak[i], TREE_HASH_BYTES);
	while (i > 0) hash_pair(t->peak[--i], root, root);
}

bool tree_equal(const struct tree *a, const struct tree *b) {
	return a->size == b->size && a->peak_count == b->peak_count &&
	       memcmp(a->peak, b->peak, a->peak_count * TREE_HASH_BYTES) == 0;
}

void tree_write_peaks(const struct tree *t, char text[TREE_PEAKS_TEXT_SIZE]) {
	sodium_bin2hex(text, TREE_PEAKS_TEXT_SIZE, t->peak[0], t->peak_count * TREE_HASH_BYTES);
}

bool tree_read(struct tree *t, int64_t size, const char *peaks) {
	tree_init(t);
	if (size < 0 || !peaks) return false;
	size_t count = (size_t)__builtin_popcountll((unsigned long long)size);
	if (!text_from_hex(peaks, t->peak, count * TREE_HASH_BYTES)) return false;
	t->size = size;
	t->peak_count = count;
	return true;
}
