/*
 * The parts of a change that its two runners share (change.c, writer.c).
 */
#ifndef PEGWARDEN_STORE_SETTLE_H
#define PEGWARDEN_STORE_SETTLE_H

#include "store/change.h"
#include "store/touched.h"

/* Inside a transaction: a savepoint, apply, derived rows, audit entry; or nothing. When
 * not even that can be had, the whole transaction is spoilt, and ending it undoes it. */
enum err change_apply(struct change *c, struct store *st, const struct signing_key *key) MUST_CHECK;
/* The cause is told in f; ERR_OK while it is whole. */
enum err transaction_spoilt(const struct store *st, struct fault *f) MUST_CHECK;

enum err transaction_start(struct store *st, struct fault *f) MUST_CHECK;
/* Commits, or rolls back when keep is false, it is spoilt or the commit fails. */
enum err transaction_end(struct store *st, bool keep, struct fault *f) MUST_CHECK;

/* What is kept of the settings is read again: they may be other ones now. */
void store_forget_settings(struct store *st);

/* The search index of touched rows. */
enum err search_touched(struct store *st, const struct touched *touched,
			struct fault *f) MUST_CHECK;

#endif
