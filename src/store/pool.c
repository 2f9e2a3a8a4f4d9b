#include "store/pool.h"

#include <pthread.h>
#include <stdlib.h>
#include <time.h>

#include "store/internal.h"

struct store_pool {
	pthread_mutex_t mutex;
	pthread_cond_t given;
	struct store **store; /* those not taken, a stack */
	size_t free_count;
	size_t count;
	uint64_t commits; /* so far; a view from before the last one is old */
};

enum err store_pool_open(struct store_pool **opened, const char *data_dir, size_t count,
			 struct fault *f) {
	*opened = NULL;
	struct store_pool *pool = calloc(1, sizeof *pool);
	if (pool) pool->store = calloc(count, sizeof *pool->store);
	if (!pool || !pool->store) {
		free(pool);
		return fault_memory(f);
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

static int64_t now_s(void) {
	struct timespec now;
	clock_gettime(CLOCK_MONOTONIC_COARSE, &now);
	return now.tv_sec;
}

static bool is_current(const struct store_pool *pool, const struct store *st) {
	return st->has_view && st->view_commit == pool->commits && st->view_s == now_s();
}

enum err store_pool_take(struct store_pool *pool, struct store **taken, struct fault *f) {
	pthread_mutex_lock(&pool->mutex);
	while (pool->free_count == 0) pthread_cond_wait(&pool->given, &pool->mutex);
	struct store *st = pool->store[--pool->free_count];
	bool current = is_current(pool, st);
	uint64_t commits = pool->commits;
	pthread_mutex_unlock(&pool->mutex);
	*taken = st;
	if (current) return ERR_OK;
	store_view_end(st);
	enum err err = store_view_begin(st, f);
	st->view_commit = commits;
	st->view_s = now_s();
	if (err == ERR_OK) return err;
	*taken = NULL;
	store_pool_give(pool, st);
	return err;
}

void store_pool_give(struct store_pool *pool, struct store *st) {
	pthread_mutex_lock(&pool->mutex);
	if (!is_current(pool, st)) store_view_end(st);
	pool->store[pool->free_count++] = st;
	pthread_cond_signal(&pool->given);
	pthread_mutex_unlock(&pool->mutex);
}

/* An old view left open would keep the log from being taken over into the database. */
void store_pool_committed(struct store_pool *pool) {
	if (!pool) return;
	pthread_mutex_lock(&pool->mutex);
	pool->commits++;
	for (size_t i = 0; i < pool->free_count; i++) store_view_end(pool->store[i]);
	pthread_mutex_unlock(&pool->mutex);
}
