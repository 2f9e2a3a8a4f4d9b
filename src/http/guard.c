/*
 * The guard of framing. libmicrohttpd accepts requests that two readers could
 * take apart differently (two lengths, a length and a transfer coding, two
 * hosts); nothing of the kind gets past here.
 */
#include <string.h>
#include <strings.h>

#include "base/text.h"
#include "http/exchange.h"

struct headers {
	struct exchange *x;
	size_t hosts, lengths, codings, types, cookies, authorizations;
	const char *accept;
	bool bad_name;
};

static bool is_token(const char *name) {
	static const char other[] = "!#$%&'*+-.^_`|~"; /* RFC 9110 5.6.2 */
	if (!*name) return false;
	for (; *name; name++) {
		char c = *name;
		bool letter =
		    (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
		if (!letter && !strchr(other, c)) return false;
	}
	return true;
}

/* The value of a cookie of ours ("name="), or NULL. */
static const char *cookie_value(struct arena *a, const char *cookies, const char *name) {
	static const char secure[] = "__Host-";
	for (const char *at = cookies; *at; at += strcspn(at, ";")) {
		at += strspn(at, "; ");
		if (text_starts(at, secure)) at += sizeof secure - 1;
		if (!text_starts(at, name)) continue;
		at += strlen(name);
		return arena_copy(a, at, strcspn(at, ";"));
	}
	return NULL;
}

static void take_length(struct headers *h, const char *value) {
	int64_t length = 0;
	h->lengths++;
	h->x->has_length = text_to_int(value, 0, INT64_MAX >> 21, &length) && value[0] != '-';
	if (!h->x->has_length) h->bad_name = true;
	h->x->body_expected = (size_t)length;
}

static void take_authorization(struct headers *h, const char *value) {
	h->authorizations++;
	if (strncasecmp(value, "Bearer ", 7) == 0)
		h->x->rq.bearer = value + 7 + strspn(value + 7, " ");
}

/* An entity tag without its quotes: our versions are numbers. */
static const char *entity_tag(struct arena *a, const char *value) {
	if (strncmp(value, "W/", 2) == 0) value += 2;
	size_t length = strlen(value);
	if (length >= 2 && value[0] == '"' && value[length - 1] == '"')
		return arena_copy(a, value + 1, length - 2);
	return value;
}

static enum MHD_Result take_header(void *self, enum MHD_ValueKind kind, const char *name,
				   const char *value) {
	struct headers *h = self;
	struct request *rq = &h->x->rq;
	(void)kind;
	if (!value) value = "";
	if (!is_token(name)) h->bad_name = true;
	if (strcasecmp(name, "Host") == 0) h->hosts++;
	else if (strcasecmp(name, "Content-Length") == 0) take_length(h, value);
	else if (strcasecmp(name, "Transfer-Encoding") == 0) h->codings++;
	else if (strcasecmp(name, "Content-Type") == 0) {
		h->types++;
		h->x->content_type = value;
	} else if (strcasecmp(name, "Accept") == 0) h->accept = value;
	else if (strcasecmp(name, "Authorization") == 0) take_authorization(h, value);
	else if (strcasecmp(name, "Cookie") == 0) {
		h->cookies++;
		rq->cookie_session = cookie_value(&rq->arena, value, "pegwarden_session=");
		rq->cookie_tablet = cookie_value(&rq->arena, value, "pegwarden_tablet=");
		rq->outdoors =
		    text_equal(cookie_value(&rq->arena, value, "pegwarden_outdoors="), "yes");
	} else if (strcasecmp(name, "If-Match") == 0) rq->if_match = entity_tag(&rq->arena, value);
	else if (strcasecmp(name, "If-None-Match") == 0)
		h->x->if_none_match = entity_tag(&rq->arena, value);
	else if (strcasecmp(name, "Referer") == 0) rq->referer = value;
	else if (strcasecmp(name, "X-Forwarded-For") == 0) h->x->forwarded_for = value;
	else if (strcasecmp(name, "Idempotency-Key") == 0)
		rq->idempotency_key = entity_tag(&rq->arena, value);
	return MHD_YES;
}

/* HTML when it is named at least as early as JSON; scripts and tools that send
 * "*" or nothing get JSON, browsers always name HTML. */
static bool prefers_html(const char *accept) {
	const char *html = accept ? strstr(accept, "text/html") : NULL;
	const char *json = accept ? strstr(accept, "application/json") : NULL;
	return html && (!json || html < json);
}

enum err guard_headers(struct exchange *x) {
	struct headers h = {.x = x};
	struct request *rq = &x->rq;
	x->guarded = true;
	MHD_get_connection_values(x->connection, MHD_HEADER_KIND, take_header, &h);
	rq->wants_html = prefers_html(h.accept);
	if (h.hosts != 1 || h.lengths > 1 || h.codings || h.types > 1 || h.cookies > 1 ||
	    h.authorizations > 1 || h.bad_name)
		return request_fail(
		    rq, ERR_SYNTAX,
		    "The request's headers are not well formed: one Host, at most one "
		    "Content-Length, no Transfer-Encoding.");
	return arena_failed(&rq->arena) ? request_fail(rq, ERR_MEMORY, "There is no memory left.")
					: ERR_OK;
}
