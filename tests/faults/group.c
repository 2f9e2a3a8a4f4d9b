/* Changes that share a commit: each must be in the record just when it is told as done. */
#include <check.h>
#include <pthread.h>
#include <stdio.h>
#include <string.h>

#include "store/station.h"
#include "trial.h"

#define GROUP 4

struct group {
	struct change change[GROUP];
	struct station_row station[GROUP];
	pthread_mutex_t mutex;
	pthread_cond_t moved;
	int done;
	bool submitted;
	const struct failing *how;
	long nth;
};

/* Runs before the others, which wait together when it returns; things fail from then on. */
static enum err hold(struct change *c, struct store *st) {
	struct group *g = c->context;
	(void)st;
	pthread_mutex_lock(&g->mutex);
	while (!g->submitted) pthread_cond_wait(&g->moved, &g->mutex);
	pthread_mutex_unlock(&g->mutex);
	g->how->begin(g->nth);
	return ERR_OK;
}

static enum err add_station(struct change *c, struct store *st) {
	struct arena a;
	int64_t id;
	arena_init(&a, 1024 * 1024);
	enum err err = station_save(st, c->context, &a, &id, &c->fault);
	arena_clear(&a);
	return err;
}

static void done(struct change *c, enum err outcome) {
	struct group *g = c->waiter;
	(void)outcome;
	pthread_mutex_lock(&g->mutex);
	g->done++;
	pthread_cond_signal(&g->moved);
	pthread_mutex_unlock(&g->mutex);
}

static void submit(struct writer *w, struct group *g, struct change *c,
		   enum err (*apply)(struct change *, struct store *), void *context) {
	*c = (struct change){.apply = apply,
			     .done = done,
			     .context = context,
			     .waiter = g,
			     .author = {0, "system", "test", SCENE_NOW_S}};
	ck_assert_int_eq(writer_submit(w, c), ERR_OK);
}

static void run_group(struct scene *s, struct group *g) {
	static const char *const code[GROUP] = {"G1", "G2", "G3", "G4"};
	struct change first;
	struct writer *w;
	struct fault f = {0};
	ck_assert_int_eq(writer_start(&w, s->store, NULL, &s->key, &f), ERR_OK);
	submit(w, g, &first, hold, g);
	for (int i = 0; i < GROUP; i++) {
		g->station[i] =
		    (struct station_row){.code = code[i], .name = code[i], .active = true};
		submit(w, g, &g->change[i], add_station, &g->station[i]);
	}
	pthread_mutex_lock(&g->mutex);
	g->submitted = true;
	pthread_cond_broadcast(&g->moved);
	while (g->done < GROUP + 1) pthread_cond_wait(&g->moved, &g->mutex);
	pthread_mutex_unlock(&g->mutex);
	writer_stop(w);
}

static void check_each(struct scene *s, const struct group *g, bool may_be_done, const char *when) {
	for (int i = 0; i < GROUP; i++) {
		const struct change *c = &g->change[i];
		struct fault f = {0};
		int64_t id = 0;
		enum err err = station_by_code(s->store, g->station[i].code, &id, &f);
		ck_assert_msg(err == ERR_OK, "%s: %s", when, f.message);
		if (c->outcome == ERR_OK)
			ck_assert_msg(id != 0, "%s: change %d is lost", when, i + 1);
		else
			ck_assert_msg(id == 0 || may_be_done, "%s: change %d was told as %s (%s)",
				      when, i + 1, err_word(c->outcome), c->fault.message);
	}
}

static bool attempt(struct scene *s, const struct failing *how, long nth) {
	struct group g = {.how = how, .nth = nth};
	struct fault f = {0};
	char when[200];
	snprintf(when, sizeof when, "a group, %s at %ld", how->name, nth);
	scene_fresh(s, false);
	ck_assert_msg(scene_open(s, &f) == ERR_OK, "%s", f.message);
	pthread_mutex_init(&g.mutex, NULL);
	pthread_cond_init(&g.moved, NULL);
	run_group(s, &g);
	if (how->lasting) scene_close(s);
	bool failed = how->end();
	for (int i = 0; i < GROUP; i++) {
		const struct change *c = &g.change[i];
		ck_assert_msg(c->outcome == ERR_OK || (failed && how->is_told(c->outcome)),
			      "%s: change %d told as %s: %s", when, i + 1, err_word(c->outcome),
			      c->fault.message);
		ck_assert_msg(c->outcome == ERR_OK || c->fault.message[0], "%s: nothing is said",
			      when);
	}
	if (s->store) {
		scene_holds(s, when);
		check_each(s, &g, false, when);
		scene_close(s);
	}
	ck_assert_msg(scene_open(s, &f) == ERR_OK, "%s: %s", when, f.message);
	scene_holds(s, when);
	check_each(s, &g, how->may_be_done, when);
	scene_close(s);
	pthread_cond_destroy(&g.moved);
	pthread_mutex_destroy(&g.mutex);
	return failed;
}

void group_run(struct scene *s, const struct failing *how) {
	long nth = 1;
	while (attempt(s, how, nth)) nth = trial_next(nth);
	ck_assert_msg(nth > 1, "a group: nothing ever failed");
}
