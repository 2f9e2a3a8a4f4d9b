/*
 * Reader connections, one for each thread that reads at the same time.
 */
#ifndef PEGWARDEN_STORE_POOL_H
#define PEGWARDEN_STORE_POOL_H

#include "store/store.h"

struct store_pool;
enum err store_pool_open(struct store_pool **pool, const char *data_dir, size_t count,
			 struct fault *f) MUST_CHECK;
void store_pool_close(struct store_pool *pool);
/*
 * Waits when all are taken; give it back soon. What is read with it is one view
 * of the database, as of the last commit or later. A view is kept from one
 * taker to the next until something is committed, or a second has gone by.
 */
enum err store_pool_take(struct store_pool *pool, struct store **st, struct fault *f) MUST_CHECK;
void store_pool_give(struct store_pool *pool, struct store *st);
/* Something was committed: views from before are given up, whoever takes next sees it.
 * pool may be NULL. */
void store_pool_committed(struct store_pool *pool);

#endif
