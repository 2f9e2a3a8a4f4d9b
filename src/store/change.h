/*
 * Changing facts: one transaction, its derived rows, its signed audit entry.
 *
 * A change is a function that runs on the writing connection. Rows of fact
 * tables it inserts or updates are noticed by the connection itself, so no
 * author can forget them. When it returns ERR_OK the store settles it:
 *   1. derived rows of every component and member touched are computed anew,
 *   2. one audit entry with the state of every touched fact row is appended.
 * Any error undoes all of it. DELETE on a fact table is refused always.
 */
#ifndef PEGWARDEN_STORE_CHANGE_H
#define PEGWARDEN_STORE_CHANGE_H

#include "audit/key.h"
#include "audit/note.h"
#include "store/pool.h"
#include "store/store.h"

/* Who makes the change; goes into the audit entry. Texts are borrowed. */
struct author {
	int64_t account;    /* 0: the system */
	const char *actor;  /* "4711 Ada Example", or "system" */
	const char *action; /* what was done, in words: "sign inspection" */
	int64_t now_s;
};

struct change {
	/* Given by the submitter. */
	enum err (*apply)(struct change *c, struct store *st);
	void (*done)(struct change *c,
		     enum err outcome); /* after the commit is durable, or undone */
	void *context;
	void *waiter;         /* of a submitter that waits; the store leaves it alone */
	struct author author; /* apply may still set action */
	struct fault fault;
	/* The store's own. */
	struct change *next;
	enum err outcome;
	const struct signing_key *key;
};

/*
 * For a change of very many rows, called by apply: what was touched so far goes
 * into an audit entry of its own, now; derived rows still follow at the end.
 */
enum err change_entry(struct change *c, struct store *st) MUST_CHECK;

/* Runs attempt and takes back everything it did, whatever it says: to see what would
 * happen. Its error is returned. */
enum err change_try(struct change *c, struct store *st,
		    enum err (*attempt)(struct change *c, struct store *st)) MUST_CHECK;

/* Derived rows of what was touched so far, for a change that answers with them. */
enum err change_derive(struct store *st, struct fault *f) MUST_CHECK;

/* Runs one change now, in a transaction of its own (commands, tests). */
enum err store_change(struct store *st, const struct signing_key *key, struct change *c) MUST_CHECK;

/*
 * The writer: one thread that owns the writing connection and commits queued
 * changes in groups, a savepoint each. A change is done only after its group's
 * commit is durable; a failed commit fails every change of the group. Readers
 * (may be NULL) see it from then on.
 */
struct writer;
enum err writer_start(struct writer **w, struct store *st, struct store_pool *readers,
		      const struct signing_key *key, struct fault *f) MUST_CHECK;
/* ERR_BUSY when LIMIT_CHANGES_WAITING_MAX wait or the writer is stopping. */
enum err writer_submit(struct writer *w, struct change *c) MUST_CHECK;
/* Finishes what is queued, then stops. */
void writer_stop(struct writer *w);

/* All derived rows from the facts, in a transaction of its own when write is true.
 * *differences counts components and members whose rows were not as computed. */
enum err store_rebuild(struct store *st, bool write, int64_t *differences,
		       struct fault *f) MUST_CHECK;

/* Checkpoints taken earlier, to be found again in the record. */
struct stated {
	const struct checkpoint *checkpoint;
	size_t count;
};

/*
 * Checks the whole audit chain, the tree over it, and every fact row against its
 * last entry; and that the record still contains what was stated (NULL: nothing).
 * progress may be NULL. The fault names the first entry, record or checkpoint
 * (by its place, from 1) that does not hold; ERR_CORRUPT then.
 */
enum err store_verify(struct store *st, const unsigned char public_key[PUBLIC_KEY_BYTES],
		      const struct stated *stated, void (*progress)(int64_t done, int64_t total),
		      struct fault *f) MUST_CHECK;

#endif
