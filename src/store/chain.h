/*
 * The end of the audit chain, kept in memory during one transaction: what the
 * next entry follows, and the tree over all of them. Read from the record when
 * first asked for, written back before the commit. Not for other rooms.
 */
#ifndef PEGWARDEN_STORE_CHAIN_H
#define PEGWARDEN_STORE_CHAIN_H

#include "audit/entry.h"
#include "audit/tree.h"
#include "base/fault.h"

struct store;

/* Copied as a whole by who may have to take back what follows. */
struct chain {
	bool is_known, is_new; /* read in this transaction; other than stored */
	struct tree tree;      /* its size is the number of the last entry */
	char hash[HASH_HEX_SIZE];
};

/* At the begin of a transaction, and when one is undone. */
void chain_forget(struct chain *c);
/* ERR_CORRUPT when the tree has other entries than the chain: some were taken out. */
enum err chain_know(struct store *st, struct fault *f) MUST_CHECK;
/* An entry was appended. */
void chain_grow(struct chain *c, const char *hash);
/* Before the commit. */
enum err chain_keep(struct store *st, struct fault *f) MUST_CHECK;

#endif
