/*
 * One request and its answer on their way through the server. Not for other rooms.
 */
#ifndef PEGWARDEN_HTTP_EXCHANGE_H
#define PEGWARDEN_HTTP_EXCHANGE_H

#include <microhttpd.h>
#include <pthread.h>

#include "http/server.h"
#include "http/static_files.h"

struct http_server {
	struct http_config config;
	struct MHD_Daemon *daemon;
	struct route_index *routes;
	struct template_set *templates;
	struct static_files *statics;
	pthread_mutex_t mutex;
	pthread_cond_t ended;
	size_t running;      /* exchanges that have begun and not ended, without late ones */
	size_t upload_bytes; /* announced by the uploads among them */
	bool stopping;
};

enum stage { STAGE_NEW, STAGE_BODY, STAGE_SUSPENDED, STAGE_DONE, STAGE_ANSWERED };

struct exchange {
	struct request rq; /* first, so that request_done finds the rest */
	struct http_server *server;
	struct MHD_Connection *connection;
	enum stage stage;
	enum err outcome;
	bool is_head;
	bool guarded; /* the headers were read */
	char *target; /* as sent */
	char *body;
	size_t body_length;
	size_t body_expected;
	bool has_length;
	bool holds_upload; /* body_expected is counted in the server's upload_bytes */
	const char *content_type;
	const char *if_none_match;
	const char *forwarded_for; /* the last such header */
	int64_t started_us;
	int sent_status;
	bool is_late;   /* begun while the server stops: answered 503, and not waited for */
	bool form_lost; /* an error is answered on a page of its own, without the form */
};

/* guard.c: reads the headers once and refuses what could be read in two ways. */
enum err guard_headers(struct exchange *x) MUST_CHECK;
/* process.c: finds the route and what the body may be; before the body is read. */
enum err process_head(struct exchange *x, const char *method) MUST_CHECK;
/* Who asks, and may they? Before the body where that is large, and again with it. */
enum err process_asker(struct exchange *x) MUST_CHECK;
/* Takes the body apart into rq->input. */
enum err process_body(struct exchange *x) MUST_CHECK;
/* Everything up to the handler's outcome; *suspended when the answer comes later. */
enum err process_request(struct exchange *x, bool *suspended) MUST_CHECK;
/* respond.c: queues the answer. */
enum MHD_Result respond(struct exchange *x);
void respond_security_headers(struct MHD_Response *r);

int64_t clock_us(void);

#endif
