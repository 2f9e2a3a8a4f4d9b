/*
 * The HTTP server: libmicrohttpd behind a guard, a pool of epoll threads.
 *
 * A request is delivered whole to dispatch, with framing, sizes and decoding
 * already checked. The pool threads never block: reading handlers run on them
 * directly, changes are handed to the host's queue while the connection is
 * suspended, and answered from request_done().
 */
#ifndef PEGWARDEN_HTTP_SERVER_H
#define PEGWARDEN_HTTP_SERVER_H

#include "http/request.h"
#include "http/route.h"
#include "http/template.h"

/* What the server asks of the program around it. All may be called from
 * several threads at once. */
struct http_host {
	void *self; /* becomes request.host */
	/* Fills rq->now_s and today, and rq->who from cookie or bearer token.
	 * ERR_UNAUTHENTICATED only for a bearer token that does not hold. */
	enum err (*identify)(void *self, struct request *rq);
	/* Runs handle(rq) with a reader connection (see request_store of handlers) and one
	 * view of the database; inside another read, with that one's. */
	enum err (*read)(void *self, struct request *rq, enum err (*handle)(struct request *));
	/* Queues a RUN_CHANGE or RUN_SLOW_CHANGE; calls request_done(rq, err) from any
	 * thread once the outcome is durable. ERR_BUSY when it takes no more. */
	enum err (*change)(void *self, struct request *rq);
	/* Nobody is signed in (any more) and rq is a form: fills rq->doc, title and template
	 * with the page on which to sign in, what was typed (rq->input) going along. next:
	 * where the form is. Leaves rq->doc NULL when there is nothing to keep. */
	enum err (*sign_in)(void *self, struct request *rq, const char *next);
	/* Adds what every page shows (user, navigation, department) to chrome. */
	void (*chrome)(void *self, struct request *rq, struct doc *chrome);
	/* A line for the log: method, path, status, microseconds; never bodies. */
	void (*log)(void *self, const struct request *rq, int status, int64_t duration_us);
};

struct http_config {
	const char *address;   /* "127.0.0.1" */
	int port;              /* 0: any free one, see http_server_port */
	int threads;           /* 0: number of processors */
	const char *templates; /* folder */
	const char *statics;   /* folder; read whole at start */
	bool strict_templates; /* tests */
	/* Behind a TLS proxy: cookies are Secure, and the client's address is the last one of
	 * X-Forwarded-For, which the proxy adds; without a proper one it is not known. */
	bool behind_tls;
	struct http_host host;
	struct route_table const *tables;
	size_t table_count;
};

struct http_server;
/* Loads templates and static files, checks the routes against the templates, listens. */
struct http_server *http_server_start(const struct http_config *config, struct fault *f);
int http_server_port(const struct http_server *s);
/* Takes no new connection, answers what is running, then stops. */
void http_server_stop(struct http_server *s);
const struct route_index *http_server_routes(const struct http_server *s);

/* The host is done with a change. The answer is rendered on a pool thread. */
void request_done(struct request *rq, enum err outcome);

#endif
