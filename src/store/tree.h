/*
 * The tree over the audit entries as one row: written with each transaction, read
 * for a checkpoint.
 */
#ifndef PEGWARDEN_STORE_TREE_H
#define PEGWARDEN_STORE_TREE_H

#include "audit/note.h"
#include "store/store.h"

/* As kept. ERR_CORRUPT when the row cannot be read as a tree. */
enum err audit_tree_get(struct store *st, struct tree *t, struct fault *f) MUST_CHECK;
/* What the record states of itself now. */
enum err audit_checkpoint(struct store *st, struct checkpoint *c, struct fault *f) MUST_CHECK;

enum err audit_tree_put(struct store *st, const struct tree *t, struct fault *f) MUST_CHECK;
/* Takes in entries written before there was a tree; in one step when there are none. */
enum err audit_tree_catch_up(struct store *st, struct fault *f) MUST_CHECK;

/* Inside a change: is a checkpoint to be mailed today? Not when one was today, nor when
 * nothing was recorded since the last. When *due it counts as mailed. */
enum err audit_checkpoint_mail_due(struct store *st, day today, bool *due,
				   struct fault *f) MUST_CHECK;

#endif
