#include "handlers/app.h"

#include <sodium.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "base/limits.h"
#include "handlers/drawing.h"
#include "handlers/figure.h"
#include "handlers/identify.h"
#include "handlers/navigation.h"
#include "handlers/repeat.h"
#include "handlers/resend.h"
#include "outbound/post.h"
#include "store/data_dir.h"
#include "store/handbook.h"
#include "store/setting.h"

/* A change on its way: the request's part of it. */
struct job {
	struct change change; /* first: the writer gives this back */
	struct request *rq;
	struct job *next; /* waiting for the slow thread */
	bool changes_settings;
};

struct app {
	struct app_config config;
	int lock;
	struct store *store; /* the writing connection; the writer's once it runs */
	struct store_pool *readers;
	struct writer *writer;
	struct signing_key key;
	struct arena lasting;
	struct handbook *handbook;
	const struct figure *figure;     /* by index of the kind */
	const char *const *drawing_said; /* by place in handbook->point */

	pthread_mutex_t mutex; /* of everything below */
	pthread_cond_t slow_work;
	pthread_t slow_thread;
	pthread_t post_thread;
	pthread_cond_t post_stop;
	bool slow_runs, post_runs, stopping;
	struct job *slow_first, *slow_last;
	char department[LIMIT_LINE_CHARS_MAX * 4 + 1];
	char zone[64];
	day noticed_on;       /* the day whose notices were given; the post's own */
	int64_t today_minute; /* today was worked out for this minute */
	day today;
	struct import_progress import_progress; /* not of the mutex */
};

/* --- settings and the calendar ---------------------------------------------------- */

static enum err read_settings(struct app *app, struct store *st, struct fault *f) {
	struct arena a;
	arena_init(&a, LIMIT_ARENA_BYTES_MAX);
	const char *department = NULL, *zone = NULL;
	enum err err = setting_text(st, "department", "Fire Department", &a, &department, f);
	if (err == ERR_OK) err = setting_text(st, "time_zone", "UTC", &a, &zone, f);
	if (err == ERR_OK) {
		pthread_mutex_lock(&app->mutex);
		snprintf(app->department, sizeof app->department, "%s", department);
		snprintf(app->zone, sizeof app->zone, "%s", zone);
		app->today_minute = -1;
		pthread_mutex_unlock(&app->mutex);
	}
	arena_clear(&a);
	return err;
}

int64_t app_now(struct app *app) {
	return app->config.now ? app->config.now() : (int64_t)time(NULL);
}

day app_today(struct app *app, int64_t now_s) {
	pthread_mutex_lock(&app->mutex);
	if (app->today_minute != now_s / 60) {
		day today = instant_day_in_zone(now_s, app->zone);
		if (today == DAY_NONE) {
			fprintf(stderr,
				"pegwarden: The time zone %s cannot be read on this system: days "
				"are those of UTC meanwhile.\n",
				app->zone);
			today = instant_day_in_zone(now_s, "UTC");
		}
		app->today = today;
		app->today_minute = now_s / 60;
	}
	day today = app->today;
	pthread_mutex_unlock(&app->mutex);
	return today;
}

struct store_pool *app_readers(struct app *app) {
	return app->readers;
}
const struct handbook *app_handbook(struct app *app) { return app->handbook; }
const struct figure *app_figure(struct app *app, const struct kind *k) {
	return &app->figure[k->index];
}
const char *app_drawing_said(struct app *app, const struct check_point *point) {
	return app->drawing_said[point - app->handbook->point];
}
const struct signing_key *app_key(struct app *app) { return &app->key; }
struct import_progress *app_import_progress(struct app *app) {
	return &app->import_progress;
}
const char *app_data_dir(struct app *app) { return app->config.data_dir; }
enum err app_submit(struct app *app, struct change *c) { return writer_submit(app->writer, c); }

/* --- running handlers -------------------------------------------------------------- */

/* Inside another reading the request has its connection and its view already. */
enum err app_read(void *self, struct request *rq, enum err (*handle)(struct request *)) {
	struct app *app = self;
	if (rq->connection) return handle(rq);
	struct store *st;
	enum err err = store_pool_take(app->readers, &st, &rq->fault);
	if (err != ERR_OK) return err;
	rq->connection = st;
	err = handle(rq);
	rq->connection = NULL;
	store_pool_give(app->readers, st);
	if (err == ERR_OK && arena_failed(&rq->arena))
		err = request_fail(rq, ERR_MEMORY, "There is no memory left.");
	return err;
}

/* On the writer thread. */
static enum err apply_request(struct change *c, struct store *st) {
	struct request *rq = c->context;
	bool repeated = false;
	rq->connection = st;
	rq->change = c;
	enum err err = repeat_find(rq, &repeated);
	if (err == ERR_OK && !repeated) err = rq->route->handle(rq);
	if (err == ERR_OK && !repeated) err = repeat_keep(rq);
	if (err == ERR_OK && arena_failed(&rq->arena))
		err = request_fail(rq, ERR_MEMORY, "There is no memory left.");
	c->author.action = rq->action ? rq->action : rq->route->summary;
	rq->connection = NULL;
	rq->change = NULL;
	return err;
}

void request_settings_changed(struct request *rq) {
	struct change *c = rq->change;
	((struct job *)c)->changes_settings = true;
}

/* What is stored is stored: when it cannot be read just now, the next start reads it. */
static void read_settings_again(struct app *app) {
	struct fault f = {0};
	struct store *st;
	enum err err = store_pool_take(app->readers, &st, &f);
	if (err == ERR_OK) {
		err = read_settings(app, st, &f);
		store_pool_give(app->readers, st);
	}
	if (err != ERR_OK) fprintf(stderr, "pegwarden: settings: %s\n", f.message);
}

static void request_is_done(struct change *c, enum err outcome) {
	struct request *rq = c->context;
	if (outcome == ERR_OK && ((struct job *)c)->changes_settings)
		read_settings_again(request_app(rq));
	if (c->fault.code != ERR_OK && rq->fault.code == ERR_OK) rq->fault = c->fault;
	if (outcome >= ERR_MEMORY)
		fprintf(stderr, "pegwarden: %s: %s\n", rq->route->pattern, rq->fault.message);
	request_done(rq, outcome);
}

static enum err submit_job(struct app *app, struct job *job) {
	return writer_submit(app->writer, &job->change);
}

static struct job *next_slow_job(struct app *app) {
	pthread_mutex_lock(&app->mutex);
	while (!app->slow_first && !app->stopping) pthread_cond_wait(&app->slow_work, &app->mutex);
	struct job *job = app->slow_first;
	if (job) app->slow_first = job->next;
	if (!app->slow_first) app->slow_last = NULL;
	pthread_mutex_unlock(&app->mutex);
	return job;
}

static void *run_slow(void *self) {
	struct app *app = self;
	struct job *job;
	while ((job = next_slow_job(app)) != NULL) {
		struct request *rq = job->rq;
		enum err err = app_read(app, rq, rq->route->prepare);
		if (err == ERR_OK) err = submit_job(app, job);
		if (err != ERR_OK) request_done(rq, err);
	}
	return NULL;
}

static enum err queue_slow(struct app *app, struct job *job) {
	pthread_mutex_lock(&app->mutex);
	bool takes = !app->stopping;
	if (takes) {
		if (app->slow_last) app->slow_last->next = job;
		else app->slow_first = job;
		app->slow_last = job;
		pthread_cond_signal(&app->slow_work);
	}
	pthread_mutex_unlock(&app->mutex);
	return takes ? ERR_OK : ERR_BUSY;
}

/* The record says where, too, when all that proved who it is was a PIN. */
static const char *actor_of(struct request *rq) {
	const struct principal *who = &rq->who;
	if (!who->account) return "nobody";
	return who->by_pin ? arena_printf(&rq->arena, "%s %s, tablet %s", who->badge, who->name,
					  rq->device.name)
			   : arena_printf(&rq->arena, "%s %s", who->badge, who->name);
}

void request_acts_as(struct request *rq, int64_t account, const char *badge, const char *name) {
	struct change *c = rq->change;
	c->author.account = account;
	c->author.actor = arena_printf(&rq->arena, "%s %s", badge, name);
}

static enum err run_change(void *self, struct request *rq) {
	struct app *app = self;
	struct job *job = arena_new(&rq->arena, struct job);
	if (!job) return request_fail(rq, ERR_MEMORY, "There is no memory left.");
	job->rq = rq;
	job->change.apply = apply_request;
	job->change.done = request_is_done;
	job->change.context = rq;
	job->change.author = (struct author){
	    .account = rq->who.account,
	    .actor = actor_of(rq),
	    .action = rq->route->summary,
	    .now_s = rq->now_s,
	};
	if (!job->change.author.actor)
		return request_fail(rq, ERR_MEMORY, "There is no memory left.");
	return rq->route->run == RUN_SLOW_CHANGE ? queue_slow(app, job) : submit_job(app, job);
}

/* --- what every page shows ----------------------------------------------------------------- */

/* Of "signed_at", "last_seen"; but not the "at" of an audit entry, which is kept as it is signed.
 */
static bool is_instant_key(const char *key) {
	size_t length = strlen(key);
	return text_starts(key, "last_") || (length > 3 && strcmp(key + length - 3, "_at") == 0);
}

/* Instants as the department's clocks show them: for people to read. */
static void show_local_times(struct doc *d, const char *zone) {
	char local[LOCAL_TEXT_SIZE];
	int64_t instant_s;
	if (!d || (d->type != DOC_MAP && d->type != DOC_LIST)) return;
	for (struct doc *m = d->first; m; m = m->next)
		if (m->type != DOC_TEXT) show_local_times(m, zone);
		else if (m->key && is_instant_key(m->key) && instant_parse(m->text, &instant_s) &&
			 instant_format_in_zone(instant_s, zone, local))
			doc_set_copy(d, m->key, local);
		else if (text_equal(m->key, "at") && instant_parse(m->text, &instant_s))
			doc_set_copy(d, "at_here",
				     instant_format_in_zone(instant_s, zone, local) ? local
										    : m->text);
}

static void chrome(void *self, struct request *rq, struct doc *map) {
	struct app *app = self;
	char today[DAY_TEXT_SIZE];
	char zone[sizeof app->zone];
	pthread_mutex_lock(&app->mutex);
	doc_set_copy(map, "department", app->department);
	snprintf(zone, sizeof zone, "%s", app->zone);
	pthread_mutex_unlock(&app->mutex);
	show_local_times(rq->doc, zone);
	doc_set_copy(map, "zone", zone);
	doc_set_text(map, "submit", "Save"); /* where a form has no word of its own */
	doc_set_copy(map, "today", day_format(rq->today, today));
	doc_set_bool(map, "signed_in", rq->who.account != 0);
	doc_set_bool(map, "on_tablet", rq->device.tablet != 0);
	doc_set_int(map, "lock_s", rq->who.by_pin ? rq->device.lock_s : 0);
	const char *q = request_query(rq, "q");
	doc_set_text(map, "q", q ? q : "");
	struct doc *user = doc_set_map(map, "user");
	doc_set_text(user, "name", rq->who.name);
	doc_set_text(user, "badge", rq->who.badge);
	doc_set_int(user, "member", rq->who.member);
	doc_set_text(user, "role_word", role_word(rq->who.role));
	doc_set_bool(user, "is_member", rq->who.role >= ROLE_MEMBER);
	doc_set_bool(user, "is_inspector", rq->who.role >= ROLE_INSPECTOR);
	doc_set_bool(user, "is_officer", rq->who.role >= ROLE_OFFICER);
	doc_set_bool(user, "is_administrator", rq->who.role >= ROLE_ADMINISTRATOR);
	navigation_add(rq, map);
}

static void log_request(void *self, const struct request *rq, int status, int64_t duration_us) {
	struct app *app = self;
	if (app->config.quiet && status < 500) return;
	fprintf(stderr, "%s %s %d %lld us%s%s\n", rq->method == METHOD_POST ? "POST" : "GET",
		rq->path ? rq->path : "-", status, (long long)duration_us, status < 500 ? "" : ": ",
		status < 500 ? "" : rq->fault.message);
}

void app_host(struct app *app, struct http_host *host) {
	*host = (struct http_host){
	    .self = app,
	    .identify = identify,
	    .read = app_read,
	    .change = run_change,
	    .sign_in = sign_in_keeping,
	    .chrome = chrome,
	    .log = log_request,
	};
}

/* --- the post --- */

/* A change that its submitter waits for. */
struct waited {
	struct change *change;
	pthread_mutex_t mutex;
	pthread_cond_t done;
	enum err outcome;
	bool is_done;
};

static void waited_is_done(struct change *c, enum err outcome) {
	struct waited *w = c->waiter;
	pthread_mutex_lock(&w->mutex);
	w->outcome = outcome;
	w->is_done = true;
	pthread_cond_signal(&w->done);
	pthread_mutex_unlock(&w->mutex);
}

static enum err change_and_wait(void *self, struct change *c) {
	struct app *app = self;
	struct waited w = {.change = c};
	pthread_mutex_init(&w.mutex, NULL);
	pthread_cond_init(&w.done, NULL);
	c->done = waited_is_done;
	c->waiter = &w;
	enum err err = writer_submit(app->writer, c);
	pthread_mutex_lock(&w.mutex);
	while (err == ERR_OK && !w.is_done) pthread_cond_wait(&w.done, &w.mutex);
	pthread_mutex_unlock(&w.mutex);
	pthread_cond_destroy(&w.done);
	pthread_mutex_destroy(&w.mutex);
	return err == ERR_OK ? w.outcome : err;
}

static enum err take_reader(void *self, struct store **st, struct fault *f) {
	return store_pool_take(((struct app *)self)->readers, st, f);
}

static void give_reader(void *self, struct store *st) {
	store_pool_give(((struct app *)self)->readers, st);
}

#define POST_EVERY_S 30

/* The first round of a day gives its notices; each round sends what waits. */
static void post_round(struct app *app) {
	struct post_office office = {app, change_and_wait, take_reader, give_reader};
	struct fault f = {0};
	int64_t now_s = app_now(app), count = 0, sent, failed;
	day today = app_today(app, now_s);
	enum err err =
	    today == app->noticed_on ? ERR_OK : post_notices(&office, today, now_s, &count, &f);
	if (err == ERR_OK) app->noticed_on = today;
	if (err == ERR_OK) err = post_deliver(&office, now_s, &sent, &failed, &f);
	if (err != ERR_OK && err != ERR_BUSY) fprintf(stderr, "pegwarden: post: %s\n", f.message);
}

static enum err change_at_once(void *self, struct change *c) {
	struct app *app = self;
	return store_change(app->store, &app->key, c);
}

/* Before the writer starts: what fell due since the last time is told first. When that
 * fails, the record is served all the same, and the post tries again. */
static void first_notices(struct app *app) {
	struct post_office office = {app, change_at_once, NULL, NULL};
	struct fault f = {0};
	int64_t now_s = app_now(app), count;
	day today = app_today(app, now_s);
	if (post_notices(&office, today, now_s, &count, &f) == ERR_OK) app->noticed_on = today;
	else fprintf(stderr, "pegwarden: notices: %s\n", f.message);
}

static void *run_post(void *self) {
	struct app *app = self;
	pthread_mutex_lock(&app->mutex);
	while (!app->stopping) {
		pthread_mutex_unlock(&app->mutex);
		post_round(app);
		pthread_mutex_lock(&app->mutex);
		struct timespec until;
		clock_gettime(CLOCK_REALTIME, &until);
		until.tv_sec += POST_EVERY_S;
		if (!app->stopping) pthread_cond_timedwait(&app->post_stop, &app->mutex, &until);
	}
	pthread_mutex_unlock(&app->mutex);
	return NULL;
}

/* --- starting and stopping ------------------------------------------------------------------- */

static enum err open_all(struct app *app, struct fault *f) {
	char path[DATA_PATH_SIZE], migrations[DATA_PATH_SIZE];
	const char *dir = app->config.data_dir;
	enum err err = data_dir_lock(dir, &app->lock, f);
	if (err == ERR_OK) err = data_dir_path(dir, DATA_KEY, path, f);
	if (err == ERR_OK) err = signing_key_load(&app->key, path, f);
	if (err == ERR_OK) err = data_dir_path(app->config.share_dir, "migrations", migrations, f);
	if (err == ERR_OK) err = store_open(&app->store, dir, migrations, STORE_WRITE, f);
	if (err == ERR_OK) err = handbook_load(app->store, &app->lasting, &app->handbook, f);
	if (err == ERR_OK)
		err = figures_load(&app->figure, app->config.share_dir, app->handbook,
				   &app->lasting, f);
	if (err == ERR_OK)
		err = drawings_load(&app->drawing_said, app->config.share_dir, app->handbook,
				    &app->lasting, f);
	if (err == ERR_OK) err = read_settings(app, app->store, f);
	long processors = sysconf(_SC_NPROCESSORS_ONLN);
	size_t readers = app->config.readers ? app->config.readers
					     : (size_t)(processors > 0 ? processors : 1) + 2;
	if (err == ERR_OK) err = store_pool_open(&app->readers, dir, readers, f);
	if (err == ERR_OK) first_notices(app);
	if (err == ERR_OK) err = writer_start(&app->writer, app->store, app->readers, &app->key, f);
	if (err != ERR_OK) return err;
	if (pthread_create(&app->slow_thread, NULL, run_slow, app) != 0)
		return fault_set(f, ERR_INTERNAL, NULL, "A thread cannot be started.");
	app->slow_runs = true;
	if (pthread_create(&app->post_thread, NULL, run_post, app) != 0)
		return fault_set(f, ERR_INTERNAL, NULL, "A thread cannot be started.");
	app->post_runs = true;
	return ERR_OK;
}

enum err app_start(struct app **started, const struct app_config *config, struct fault *f) {
	*started = NULL;
	struct app *app = calloc(1, sizeof *app);
	if (!app) return fault_set(f, ERR_MEMORY, NULL, "There is no memory left.");
	app->config = *config;
	app->lock = -1;
	arena_init(&app->lasting, LIMIT_ARENA_BYTES_MAX);
	pthread_mutex_init(&app->mutex, NULL);
	pthread_cond_init(&app->slow_work, NULL);
	pthread_cond_init(&app->post_stop, NULL);
	enum err err = open_all(app, f);
	if (err == ERR_OK) *started = app;
	else app_stop(app);
	return err;
}

void app_stop(struct app *app) {
	if (!app) return;
	pthread_mutex_lock(&app->mutex);
	app->stopping = true;
	pthread_cond_signal(&app->slow_work);
	pthread_cond_signal(&app->post_stop);
	pthread_mutex_unlock(&app->mutex);
	if (app->slow_runs) pthread_join(app->slow_thread, NULL);
	if (app->post_runs) pthread_join(app->post_thread, NULL);
	writer_stop(app->writer);
	store_pool_close(app->readers);
	store_close(app->store);
	signing_key_clear(&app->key);
	arena_clear(&app->lasting);
	pthread_cond_destroy(&app->slow_work);
	pthread_cond_destroy(&app->post_stop);
	pthread_mutex_destroy(&app->mutex);
	data_dir_unlock(app->lock);
	free(app);
}
