#include "store/pool.h"

#include <pthread.h>
#include <stdlib.h>

struct store_pool {
	pthread_mutex_t mutex;
	pthread_cond_t given;
	struct store **store; /* those not taken, a stack */
	size_t free_count;
	size_t count;
};

enum err store_pool_open(struct store_pool **opened, const char *data_dir, size_t count,
			 struct fault *f) {
	*opened = NULL;
	struct store_pool *pool = calloc(1, sizeof *pool);
	if (pool) pool->store = calloc(count, sizeof *pool->store);
	if (!pool || !pool->store) {
		free(pool);
		return fault_set(f, ERR_MEMORY, NULL, "There is no memory left.");
	}
	pthread_mutex_init(&pool->mutex, NULL);
	pthread_cond_init(&pool->given, NULL);
	enum err err = ERR_OK;
	while (err == ERR_OK && pool->count < count) {
		err = store_open(&pool->store[pool->count], data_dir, NULL, STORE_READ, f);
		if (err == ERR_OK) pool->count++;
	}
	pool->free_count = pool->count;
	if (err != ERR_OK) store_pool_close(pool);
	else *opened = pool;
	return err;
}

void store_pool_close(struct store_pool *pool) {
	if (!pool) return;
	for (size_t i = 0; i < pool->free_count; i++) store_close(pool->store[i]);
	pthread_cond_destroy(&pool->given);
	pthread_mutex_destroy(&pool->mutex);
	free(pool->store);
	free(pool);
}

struct store *store_pool_take(struct store_pool *pool) {
	pthread_mutex_lock(&pool->mutex);
	while (pool->free_count == 0) pthread_cond_wait(&pool->given, &pool->mutex);
	struct store *st = pool->store[--pool->free_count];
	pthread_mutex_unlock(&pool->mutex);
	return st;
}

void store_pool_give(struct store_pool *pool, struct store *st) {
	pthread_mutex_lock(&pool->mutex);
	pool->store[pool->free_count++] = st;
	pthread_cond_signal(&pool->given);
	pthread_mutex_unlock(&pool->mutex);
}
