/*
 * Audit entries of touched rows: what the rows were like after the change.
 *
 * The state of a row is a JSON object of its columns in declared order, without
 * search_key (it follows from the others). Secrets (password_hash, pin_hash, token_hash)
 * stand there as the SHA-256 of what is stored: enough to prove a change of
 * them, of no use to anybody else.
 */
#ifndef PEGWARDEN_STORE_ENTRY_H
#define PEGWARDEN_STORE_ENTRY_H

#include "base/buf.h"
#include "store/change.h"
#include "store/touched.h"

/* The state of a fact row as JSON, appended to out; *found is false when the row is gone. */
enum err entry_state(struct store *st, int table, int64_t id, struct buf *out, bool *found,
		     struct fault *f) MUST_CHECK;
/* Appends one entry about the touched rows, or none when nothing was touched. */
enum err entry_append(struct store *st, const struct signing_key *key, const struct author *author,
		      const struct touched *touched, struct fault *f) MUST_CHECK;

#endif
