/*
 * The program as its handlers see it.
 *
 * Built in main, passed down as request.host. It decides where a handler runs:
 * reading ones on the caller's thread with a reader connection, changes whole
 * on the writer thread inside their own savepoint, slow work before a change on
 * one thread of its own. Nothing else in the program knows.
 */
#ifndef PEGWARDEN_HANDLERS_APP_H
#define PEGWARDEN_HANDLERS_APP_H

#include <pthread.h>

#include "audit/key.h"
#include "base/text.h"
#include "http/server.h"
#include "rules/figure.h"
#include "store/change.h"
#include "store/pool.h"

struct app_config {
	const char *data_dir;
	const char *share_dir; /* templates/, static/, migrations/ */
	size_t readers;        /* connections; 0: one a processor and one */
	bool quiet;            /* no line for each request */
	int64_t (*now)(void);  /* seconds since 1970; NULL: the system's clock */
};

struct app;

/* The import that the writer works on, written by it and read by anybody. */
struct import_progress {
	_Atomic int64_t id; /* 0: none */
	_Atomic int percent;
};
struct import_progress *app_import_progress(struct app *app);

/* Opens everything and starts the writer and the slow thread. Takes the data
 * folder's lock: one process writes at a time. */
enum err app_start(struct app **app, const struct app_config *config, struct fault *f) MUST_CHECK;
void app_stop(struct app *app);

/* What the server needs to know of it. */
void app_host(struct app *app, struct http_host *host);

/* Queues a change of the program's own (mail sent, notices given). */
enum err app_submit(struct app *app, struct change *c) MUST_CHECK;
struct store_pool *app_readers(struct app *app);
const struct handbook *app_handbook(struct app *app);
const struct figure *app_figure(struct app *app, const struct kind *k);
/* What the drawing of how says in words; NULL where there is none. */
const char *app_drawing_said(struct app *app, const struct check_point *point);
const struct signing_key *app_key(struct app *app);
const char *app_data_dir(struct app *app);
int64_t app_now(struct app *app);
/* In the department's time zone; in UTC, and said on standard error, while the system cannot
 * read that zone. */
day app_today(struct app *app, int64_t now_s);

/* Runs handle with a connection of the readers and one view of the record; inside another such
 * reading with that one's. self is the app. */
enum err app_read(void *self, struct request *rq, enum err (*handle)(struct request *)) MUST_CHECK;

/* --- for handlers ------------------------------------------------------------- */

static inline struct app *request_app(const struct request *rq) { return rq->host; }
/* The connection lent for this run: the writing one for a change. */
static inline struct store *request_store(const struct request *rq) { return rq->connection; }

/* rq->who by the session of rq->cookie_session; nobody when there is none such. */
enum err request_identify_session(struct request *rq) MUST_CHECK;

/* Of a change that itself proves who makes it: the account that its audit entry names. */
void request_acts_as(struct request *rq, int64_t account, const char *badge, const char *name);

/* For a change of settings: name and time zone of the department are read again when it is
 * durable, before it is answered. */
void request_settings_changed(struct request *rq);

/* Derived rows follow at the end of a change; a handler that answers with them asks
 * for those of what it has touched so far. */
static inline enum err request_derive(struct request *rq) {
	return change_derive(request_store(rq), &rq->fault);
}

#endif
