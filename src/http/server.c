#include "http/server.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "base/limits.h"
#include "base/text.h"
#include "http/exchange.h"

int64_t clock_us(void) {
	struct timespec now;
	clock_gettime(CLOCK_MONOTONIC, &now);
	return (int64_t)now.tv_sec * 1000000 + now.tv_nsec / 1000;
}

/* --- one exchange ------------------------------------------------------------------- */

/* Called with the request line, before anything is decoded. */
static void *begin(void *self, const char *target, struct MHD_Connection *connection) {
	struct http_server *s = self;
	struct exchange *x = calloc(1, sizeof *x);
	if (!x) return NULL;
	arena_init(&x->rq.arena, LIMIT_ARENA_BYTES_MAX);
	x->server = s;
	x->connection = connection;
	x->started_us = clock_us();
	x->rq.host = s->config.host.self;
	x->target = strdup(target);
	x->rq.target = x->target;
	pthread_mutex_lock(&s->mutex);
	x->is_late = s->stopping;
	s->running += !x->is_late;
	pthread_mutex_unlock(&s->mutex);
	return x;
}

static void end(void *self, struct MHD_Connection *connection, void **context,
		enum MHD_RequestTerminationCode code) {
	struct http_server *s = self;
	struct exchange *x = *context;
	(void)connection, (void)code;
	if (!x) return;
	if (s->config.host.log)
		s->config.host.log(s->config.host.self, &x->rq, x->sent_status,
				   clock_us() - x->started_us);
	free(x->rq.file);
	arena_clear(&x->rq.arena);
	free(x->body);
	pthread_mutex_lock(&s->mutex);
	if (x->holds_upload) s->upload_bytes -= x->body_expected;
	s->running -= !x->is_late;
	pthread_cond_broadcast(&s->ended);
	pthread_mutex_unlock(&s->mutex);
	free(x->target);
	free(x);
	*context = NULL;
}

static const char *address_text(int family, const void *bytes, struct arena *a) {
	char text[INET6_ADDRSTRLEN];
	return inet_ntop(family, bytes, text, sizeof text) ? arena_strdup(a, text) : NULL;
}

/* The proxy adds whom it heard at the end; what stands before, anybody may have written. */
static const char *forwarded_address(const char *list, struct arena *a) {
	struct in_addr v4;
	struct in6_addr v6;
	const char *comma = list ? strrchr(list, ',') : NULL;
	const char *last = comma ? comma + 1 : list;
	if (!last) return NULL;
	last += strspn(last, " \t");
	const char *text = arena_copy(a, last, strcspn(last, " \t"));
	if (!text || last[strlen(text) + strspn(last + strlen(text), " \t")] != '\0') return NULL;
	if (inet_pton(AF_INET, text, &v4) == 1) return address_text(AF_INET, &v4, a);
	return inet_pton(AF_INET6, text, &v6) == 1 ? address_text(AF_INET6, &v6, a) : NULL;
}

static const char *client_address(struct exchange *x) {
	struct arena *a = &x->rq.arena;
	if (x->server->config.behind_tls) return forwarded_address(x->forwarded_for, a);
	const union MHD_ConnectionInfo *info =
	    MHD_get_connection_info(x->connection, MHD_CONNECTION_INFO_CLIENT_ADDRESS);
	const struct sockaddr *from = info ? info->client_addr : NULL;
	if (!from || from->sa_family != AF_INET) return NULL; /* listen_on takes no other */
	return address_text(AF_INET, &((const struct sockaddr_in *)(const void *)from)->sin_addr,
			    a);
}

/* Files under /static/ need nothing of the rest. */
static enum MHD_Result answer_static(struct exchange *x, const char *name) {
	const char *reads =
	    MHD_lookup_connection_value(x->connection, MHD_HEADER_KIND, "Accept-Encoding");
	const struct static_form *file = static_files_find(x->server->statics, name, reads);
	if (!file) {
		x->outcome = request_fail(&x->rq, ERR_NOT_FOUND, "There is no such file.");
		return respond(x);
	}
	const char *seen =
	    MHD_lookup_connection_value(x->connection, MHD_HEADER_KIND, "If-None-Match");
	bool unchanged = text_equal(seen, file->etag);
	x->sent_status = unchanged ? 304 : 200;
	x->stage = STAGE_ANSWERED;
	return MHD_queue_response(x->connection, unchanged ? 304 : 200,
				  unchanged ? file->unchanged : file->response);
}

static enum MHD_Result answer(struct exchange *x) {
	static const char statics[] = "/static/";
	bool suspended = false;
	/* Static files have no route; the head's look at the headers still counts. */
	if (x->outcome == ERR_NOT_FOUND && x->rq.method == METHOD_GET &&
	    text_starts(x->target, statics)) {
		fault_clear(&x->rq.fault);
		x->outcome = ERR_OK;
		return answer_static(x, x->rq.path + sizeof statics - 1);
	}
	if (x->outcome != ERR_OK) return respond(x);
	enum err err = process_request(x, &suspended);
	/* Once suspended, the exchange belongs to whoever finishes the change. */
	if (suspended) return MHD_YES;
	x->outcome = err;
	return respond(x);
}

/* The page about an error still greets whoever is signed in. */
static void greet(struct exchange *x) {
	const struct http_host *host = &x->server->config.host;
	if (x->rq.wants_html && x->guarded && host->identify(host->self, &x->rq) != ERR_OK)
		x->rq.who = (struct principal){0};
}

/*
 * Nobody's upload is taken into memory before it is known that they may give it, and never
 * more of them at once than there is room for. The form token, inside the body, is asked
 * afterwards as for every form.
 */
static enum err admit_upload(struct exchange *x) {
	struct http_server *s = x->server;
	enum err err = process_asker(x);
	if (err != ERR_OK) return err;
	pthread_mutex_lock(&s->mutex);
	x->holds_upload = x->body_expected <= LIMIT_UPLOADS_BYTES_MAX - s->upload_bytes;
	if (x->holds_upload) s->upload_bytes += x->body_expected;
	pthread_mutex_unlock(&s->mutex);
	return x->holds_upload
		   ? ERR_OK
		   : request_fail(&x->rq, ERR_BUSY, "Other uploads are just being received.");
}

static enum err admit(struct exchange *x, const char *method) {
	struct request *rq = &x->rq;
	enum err err = x->target ? process_head(x, method)
				 : request_fail(rq, ERR_MEMORY, "There is no memory left.");
	if (err == ERR_OK && x->is_late)
		err = request_fail(rq, ERR_BUSY, "The server is stopping.");
	if (err != ERR_OK) greet(x);
	else if (rq->body_kind == BODY_MULTIPART) err = admit_upload(x);
	return err;
}

/*
 * A refusal before the body ends the connection. A browser that is still sending
 * would show that the connection broke and not why: of what it sends, the rest is
 * read and thrown away first, within the bounds of an upload. A browser asks for a
 * page, or its script says on which page it is.
 */
static bool hears_out(const struct exchange *x) {
	return (x->rq.wants_html || x->rq.referer) && x->has_length && x->outcome != ERR_SYNTAX &&
	       x->body_expected <= LIMIT_IMPORT_BYTES_MAX;
}

/* The head has come, and nothing of the body. */
static enum MHD_Result first_call(struct exchange *x, const char *method) {
	struct request *rq = &x->rq;
	x->stage = STAGE_BODY;
	x->outcome = admit(x, method);
	rq->address = client_address(x);
	bool has_body = !x->has_length || x->body_expected > 0 || x->outcome == ERR_SYNTAX;
	if (rq->method == METHOD_GET) return MHD_YES;
	if (x->outcome != ERR_OK) return has_body && !hears_out(x) ? respond(x) : MHD_YES;
	x->body = malloc(x->body_expected + 1);
	if (!x->body) x->outcome = request_fail(rq, ERR_MEMORY, "There is no memory left.");
	return MHD_YES;
}

static enum MHD_Result handle(void *self, struct MHD_Connection *connection, const char *url,
			      const char *method, const char *version, const char *bytes,
			      size_t *length, void **context) {
	struct exchange *x = *context;
	(void)self, (void)connection, (void)url, (void)version;
	if (!x) return MHD_NO;
	switch (x->stage) {
	case STAGE_NEW: return first_call(x, method);
	case STAGE_BODY:
		if (*length == 0) return answer(x);
		if (x->outcome == ERR_OK && *length <= x->body_expected - x->body_length) {
			memcpy(x->body + x->body_length, bytes, *length);
			x->body_length += *length;
		}
		*length = 0;
		return MHD_YES;
	case STAGE_SUSPENDED: return MHD_YES;
	case STAGE_DONE: return respond(x);
	case STAGE_ANSWERED: break;
	}
	return MHD_YES;
}

/* Decoding is ours: libmicrohttpd would cut at %00 and turn %2f into a slash. */
static size_t leave_escaped(void *self, struct MHD_Connection *connection, char *text) {
	(void)self, (void)connection;
	return strlen(text);
}

/* --- starting and stopping ------------------------------------------------------------- */

static enum err check_templates(const struct http_server *s, struct fault *f) {
	const struct route *r;
	for (size_t i = 0; (r = route_at(s->routes, i)) != NULL; i++)
		if (r->template_name && !template_exists(s->templates, r->template_name))
			return fault_set(f, ERR_INTERNAL, NULL, "%s has no template %s.html.",
					 r->pattern, r->template_name);
	return template_exists(s->templates, "error")
		   ? ERR_OK
		   : fault_set(f, ERR_INTERNAL, NULL, "There is no template error.html.");
}

static enum err listen_on(struct http_server *s, struct fault *f) {
	struct sockaddr_in address = {.sin_family = AF_INET,
				      .sin_port = htons((uint16_t)s->config.port)};
	long processors = sysconf(_SC_NPROCESSORS_ONLN);
	int threads =
	    s->config.threads ? s->config.threads : (processors > 1 ? (int)processors : 2);
	if (inet_pton(AF_INET, s->config.address, &address.sin_addr) != 1)
		return fault_set(f, ERR_INVALID, "address", "%s is not an IPv4 address.",
				 s->config.address);
	s->daemon = MHD_start_daemon(
	    MHD_USE_EPOLL_INTERNAL_THREAD | MHD_ALLOW_SUSPEND_RESUME | MHD_USE_ITC, 0, NULL, NULL,
	    handle, s, MHD_OPTION_SOCK_ADDR, &address, MHD_OPTION_THREAD_POOL_SIZE,
	    (unsigned int)threads, MHD_OPTION_CONNECTION_LIMIT, (unsigned int)LIMIT_CONNECTIONS_MAX,
	    MHD_OPTION_CONNECTION_TIMEOUT, (unsigned int)LIMIT_CONNECTION_TIMEOUT_S,
	    MHD_OPTION_CONNECTION_MEMORY_LIMIT, (size_t)LIMIT_CONNECTION_MEMORY_BYTES,
	    MHD_OPTION_STRICT_FOR_CLIENT, 1, MHD_OPTION_LISTENING_ADDRESS_REUSE, 1u,
	    MHD_OPTION_NOTIFY_COMPLETED, end, s, MHD_OPTION_URI_LOG_CALLBACK, begin, s,
	    MHD_OPTION_UNESCAPE_CALLBACK, leave_escaped, NULL, MHD_OPTION_END);
	if (s->daemon) return ERR_OK;
	return fault_set(f, ERR_IO, "port",
			 "Cannot listen on %s port %d: is something else using it?",
			 s->config.address, s->config.port);
}

struct http_server *http_server_start(const struct http_config *config, struct fault *f) {
	struct http_server *s = calloc(1, sizeof *s);
	if (!s) return NULL;
	s->config = *config;
	pthread_mutex_init(&s->mutex, NULL);
	pthread_cond_init(&s->ended, NULL);
	s->routes = route_index_new(config->tables, config->table_count, f);
	if (s->routes) s->templates = template_set_load(config->templates, f);
	if (s->templates)
		s->statics = static_files_load(config->statics, respond_security_headers, f);
	if (s->statics && check_templates(s, f) == ERR_OK && listen_on(s, f) == ERR_OK) return s;
	http_server_stop(s);
	return NULL;
}

int http_server_port(const struct http_server *s) {
	const union MHD_DaemonInfo *info =
	    MHD_get_daemon_info(s->daemon, MHD_DAEMON_INFO_BIND_PORT);
	return info ? info->port : 0;
}

const struct route_index *http_server_routes(const struct http_server *s) { return s->routes; }

void http_server_stop(struct http_server *s) {
	if (!s) return;
	if (s->daemon) {
		/* Not by MHD_quiesce_daemon: it and a thread that waits in epoll may both take the
		 * listening socket out of the set, and the second one aborts the process. */
		pthread_mutex_lock(&s->mutex);
		s->stopping = true;
		while (s->running) pthread_cond_wait(&s->ended, &s->mutex);
		pthread_mutex_unlock(&s->mutex);
		MHD_stop_daemon(s->daemon);
	}
	static_files_free(s->statics);
	template_set_free(s->templates);
	route_index_free(s->routes);
	pthread_cond_destroy(&s->ended);
	pthread_mutex_destroy(&s->mutex);
	free(s);
}
