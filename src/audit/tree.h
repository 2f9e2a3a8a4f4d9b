/*
 * The Merkle tree over the audit entries (RFC 6962, 2.1; the same in RFC 9162).
 *
 * Entry n is leaf n; its leaf hash is the hash the entry carries. The tree is
 * kept as what further leaves need of it: the roots of the perfect subtrees
 * that the leaves so far fall into, largest first. Leaves are fed in order and
 * forgotten, so a walk over any number of entries needs one struct tree.
 *
 * A history contains an earlier one exactly when, walking it, the tree has the
 * earlier root at the earlier size.
 */
#ifndef PEGWARDEN_AUDIT_TREE_H
#define PEGWARDEN_AUDIT_TREE_H

#include <stdbool.h>
#include <stdint.h>

#include "base/buf.h"

#define TREE_HASH_BYTES 32
/* One for each bit of the size. */
#define TREE_PEAKS_MAX 63
/* The peaks as text: hexadecimal, one after the other. */
#define TREE_PEAKS_TEXT_SIZE (TREE_PEAKS_MAX * 2 * TREE_HASH_BYTES + 1)

struct tree {
	int64_t size;      /* leaves */
	size_t peak_count; /* as many as size has bits set */
	unsigned char peak[TREE_PEAKS_MAX][TREE_HASH_BYTES];
};

void tree_init(struct tree *t);
void tree_add(struct tree *t, const unsigned char leaf_hash[TREE_HASH_BYTES]);
/* Of no leaves: the SHA-256 of nothing. */
void tree_root(const struct tree *t, unsigned char root[TREE_HASH_BYTES]);
bool tree_equal(const struct tree *a, const struct tree *b);

/* To keep it and to go on later. Reading is false when size and peaks do not fit. */
void tree_write_peaks(const struct tree *t, char text[TREE_PEAKS_TEXT_SIZE]);
bool tree_read(struct tree *t, int64_t size, const char *peaks);

#endif
