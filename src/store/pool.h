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
/* Waits when all are taken; give it back soon. */
struct store *store_pool_take(struct store_pool *pool);
void store_pool_give(struct store_pool *pool, struct store *st);

#endif
