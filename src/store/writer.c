#include <pthread.h>
#include <stdlib.h>

#include "base/limits.h"
#include "store/internal.h"
#include "store/pool.h"
#include "store/settle.h"

struct writer {
	pthread_t thread;
	pthread_mutex_t mutex;
	pthread_cond_t submitted;
	struct change *first, *last; /* waiting, in order */
	size_t waiting;
	bool stopping;
	struct store *store;
	struct store_pool *readers;
	const struct signing_key *key;
};

/* The next group, or NULL when stopping and nothing waits. Waits for one. */
static struct change *take_group(struct writer *w) {
	pthread_mutex_lock(&w->mutex);
	while (!w->first && !w->stopping) pthread_cond_wait(&w->submitted, &w->mutex);
	struct change *group = w->first, *end = group;
	size_t count = group != NULL;
	while (end && end->next && count < LIMIT_CHANGES_GROUP_MAX) {
		end = end->next;
		count++;
	}
	if (end) {
		w->first = end->next;
		if (!w->first) w->last = NULL;
		end->next = NULL;
		w->waiting -= count;
	}
	pthread_mutex_unlock(&w->mutex);
	return group;
}

static void fail_group(struct change *group, enum err err, const struct fault *cause) {
	for (struct change *c = group; c; c = c->next) {
		if (c->outcome != ERR_OK) continue;
		c->outcome = fault_set(&c->fault, err, NULL, "%s", cause->message);
	}
}

static void run_group(struct writer *w, struct change *group) {
	struct fault f = {0};
	enum err err = transaction_start(w->store, &f);
	for (struct change *c = group; err == ERR_OK && c; c = c->next) {
		c->outcome = change_apply(c, w->store, w->key);
		err = transaction_spoilt(w->store, &f);
	}
	enum err ended = transaction_end(w->store, err == ERR_OK, &f);
	if (err == ERR_OK) err = ended;
	if (err != ERR_OK) fail_group(group, err, &f);
	store_pool_committed(w->readers);
}

static void *run(void *self) {
	struct writer *w = self;
	struct change *group;
	while ((group = take_group(w)) != NULL) {
		run_group(w, group);
		while (group) { /* done may free the change */
			struct change *next = group->next;
			group->done(group, group->outcome);
			group = next;
		}
	}
	return NULL;
}

enum err writer_start(struct writer **started, struct store *st, struct store_pool *readers,
		      const struct signing_key *key, struct fault *f) {
	struct writer *w = calloc(1, sizeof *w);
	if (!w) return fault_memory(f);
	w->store = st;
	w->readers = readers;
	w->key = key;
	pthread_mutex_init(&w->mutex, NULL);
	pthread_cond_init(&w->submitted, NULL);
	if (pthread_create(&w->thread, NULL, run, w) != 0) {
		pthread_cond_destroy(&w->submitted);
		pthread_mutex_destroy(&w->mutex);
		free(w);
		return fault_set(f, ERR_INTERNAL, NULL, "The writer thread cannot be started.");
	}
	*started = w;
	return ERR_OK;
}

enum err writer_submit(struct writer *w, struct change *c) {
	c->next = NULL;
	c->outcome = ERR_OK;
	pthread_mutex_lock(&w->mutex);
	bool takes = !w->stopping && w->waiting < LIMIT_CHANGES_WAITING_MAX;
	if (takes) {
		if (w->last) w->last->next = c;
		else w->first = c;
		w->last = c;
		w->waiting++;
		pthread_cond_signal(&w->submitted);
	}
	pthread_mutex_unlock(&w->mutex);
	return takes ? ERR_OK : ERR_BUSY;
}

void writer_stop(struct writer *w) {
	if (!w) return;
	pthread_mutex_lock(&w->mutex);
	w->stopping = true;
	pthread_cond_signal(&w->submitted);
	pthread_mutex_unlock(&w->mutex);
	pthread_join(w->thread, NULL);
	pthread_cond_destroy(&w->submitted);
	pthread_mutex_destroy(&w->mutex);
	free(w);
}
