/*
 * Answers: the document as JSON or as a page, an error as a problem document or
 * as the form shown again, redirects, downloads.
 */
#include <sodium.h>
#include <stdlib.h>
#include <string.h>

#include "base/limits.h"
#include "base/text.h"
#include "http/decode.h"
#include "http/exchange.h"

/* --- the one table of errors ------------------------------------------------------- */

static const struct {
	unsigned int status;
	const char *title;
} error_table[ERR_COUNT] = {
    [ERR_OK] = {200, "OK"},
    [ERR_SYNTAX] = {400, "The request cannot be read"},
    [ERR_INVALID] = {422, "Something has to be corrected"},
    [ERR_UNAUTHENTICATED] = {401, "Sign in first"},
    [ERR_DENIED] = {403, "Not allowed"},
    [ERR_NOT_FOUND] = {404, "Not found"},
    [ERR_METHOD] = {405, "Not possible at this address"},
    [ERR_CONFLICT] = {409, "Not possible now"},
    [ERR_STALE] = {412, "Changed by somebody else meanwhile"},
    [ERR_PRECONDITION_REQUIRED] = {428, "Say which version you saw"},
    [ERR_LENGTH_REQUIRED] = {411, "The length is missing"},
    [ERR_TOO_LARGE] = {413, "Too large"},
    [ERR_MEDIA_TYPE] = {415, "Neither a form nor JSON"},
    [ERR_TOO_MANY] = {429, "Too many tries"},
    [ERR_MEMORY] = {503, "Too busy just now"},
    [ERR_IO] = {500, "The server could not store it"},
    [ERR_CORRUPT] = {500, "The stored record is damaged"},
    [ERR_BUSY] = {503, "Too busy just now"},
    [ERR_INTERNAL] = {500, "Something went wrong in the server"},
};

/* What a client may read of an error: of our own faults, nothing of the inside. */
static const char *detail_of(const struct request *rq, enum err err) {
	if (err >= ERR_MEMORY)
		return "Nothing was stored. What you sent is safe to send again: try once more in "
		       "a minute, and tell whoever runs the server if it stays so.";
	if (rq->fault.message[0]) return rq->fault.message;
	return rq->faults.count ? rq->faults.fault[0].message : error_table[err].title;
}

static void errors_document(const struct request *rq, struct doc *map) {
	struct doc *errors = doc_set_list(map, "errors");
	for (size_t i = 0; i < rq->faults.count; i++) {
		struct doc *e = doc_add_map(errors);
		doc_set_text(e, "field", rq->faults.fault[i].field);
		doc_set_text(e, "message", rq->faults.fault[i].message);
	}
}

static struct doc *problem_document(struct request *rq, enum err err) {
	struct doc *d = doc_map(&rq->arena);
	doc_set_printf(d, "type", "/problems/%s", err_word(err));
	doc_set_text(d, "title", error_table[err].title);
	doc_set_int(d, "status", error_table[err].status);
	doc_set_text(d, "detail", detail_of(rq, err));
	if (rq->faults.count) errors_document(rq, d);
	return d;
}

/* --- headers -------------------------------------------------------------------------- */

void respond_security_headers(struct MHD_Response *r) {
	static const char *const header[][2] = {
	    {"Content-Security-Policy",
	     "default-src 'none'; style-src 'self'; img-src 'self' data:; script-src 'self'; "
	     "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"},
	    {"X-Content-Type-Options", "nosniff"},
	    {"X-Frame-Options", "DENY"},
	    {"Referrer-Policy", "same-origin"},
	    {"Permissions-Policy", "camera=(self), geolocation=(), microphone=()"},
	    {"Cross-Origin-Opener-Policy", "same-origin"},
	};
	for (size_t i = 0; i < sizeof header / sizeof *header; i++)
		MHD_add_response_header(r, header[i][0], header[i][1]);
}

static void add_cookie(struct exchange *x, struct MHD_Response *r, const char *name,
		       const char *value, const char *attributes) {
	bool secure = x->server->config.behind_tls;
	const char *text =
	    arena_printf(&x->rq.arena, "%s%s=%s; Path=/; HttpOnly; %s%s", secure ? "__Host-" : "",
			 name, value, attributes, secure ? "; Secure" : "");
	if (text) MHD_add_response_header(r, "Set-Cookie", text);
}

static void add_cookies(struct exchange *x, struct MHD_Response *r) {
	const char *session = x->rq.set_session, *tablet = x->rq.set_tablet,
		   *outdoors = x->rq.set_outdoors;
	if (session)
		add_cookie(x, r, "pegwarden_session", session,
			   *session ? "SameSite=Lax" : "SameSite=Lax; Max-Age=0");
	/* Browsers keep no cookie for longer than 400 days; each sign-in renews it. */
	if (tablet)
		add_cookie(x, r, "pegwarden_tablet", tablet, "SameSite=Strict; Max-Age=34560000");
	if (outdoors)
		add_cookie(x, r, "pegwarden_outdoors", outdoors,
			   *outdoors ? "SameSite=Lax; Max-Age=34560000"
				     : "SameSite=Lax; Max-Age=0");
}

static void add_links(struct request *rq, struct MHD_Response *r) {
	struct buf b;
	buf_init(&b, 4096);
	if (rq->link_next) buf_printf(&b, "<%s>; rel=\"next\"", rq->link_next);
	if (rq->link_prev)
		buf_printf(&b, "%s<%s>; rel=\"prev\"", rq->link_next ? ", " : "", rq->link_prev);
	if (b.length && !buf_failed(&b)) MHD_add_response_header(r, "Link", buf_text(&b));
	buf_release(&b);
}

/* A quoted name of plain characters; anything else becomes "_". */
static void add_filename(struct request *rq, struct MHD_Response *r) {
	char *name = arena_strdup(&rq->arena, rq->file_name);
	for (char *at = name; at && *at; at++)
		if (!strchr("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789.-_",
			    *at))
			*at = '_';
	const char *text =
	    name ? arena_printf(&rq->arena, "attachment; filename=\"%s\"", name) : NULL;
	if (text) MHD_add_response_header(r, "Content-Disposition", text);
}

static void add_error_headers(struct exchange *x, struct MHD_Response *r, enum err err) {
	char seconds[16];
	snprintf(seconds, sizeof seconds, "%d", x->rq.fault.wait_s > 0 ? x->rq.fault.wait_s : 5);
	if (err == ERR_TOO_MANY || err == ERR_BUSY || err == ERR_MEMORY)
		MHD_add_response_header(r, "Retry-After", seconds);
	if (err == ERR_UNAUTHENTICATED) MHD_add_response_header(r, "WWW-Authenticate", "Bearer");
	if (err == ERR_METHOD)
		MHD_add_response_header(r, "Allow",
					x->rq.method == METHOD_POST ? "GET, HEAD" : "POST");
}

static enum MHD_Result queue(struct exchange *x, unsigned int status, struct MHD_Response *r) {
	struct request *rq = &x->rq;
	x->sent_status = (int)status;
	x->stage = STAGE_ANSWERED;
	if (!r) return MHD_NO;
	respond_security_headers(r);
	/* What a browser keeps is of one session: the next person on the tablet asks again. */
	bool lasts = rq->file_lasts && x->outcome == ERR_OK;
	MHD_add_response_header(r, "Vary", lasts ? "Accept, Cookie" : "Accept");
	MHD_add_response_header(r, "Cache-Control",
				lasts ? "private, max-age=31536000, immutable" : "no-store");
	if (x->server->config.behind_tls)
		MHD_add_response_header(r, "Strict-Transport-Security", "max-age=31536000");
	add_cookies(x, r);
	add_links(rq, r);
	if (rq->file_name) add_filename(rq, r);
	if (rq->location && status < 400) MHD_add_response_header(r, "Location", rq->location);
	if (x->server->stopping || (x->outcome != ERR_OK && status == 400))
		MHD_add_response_header(r, "Connection", "close");
	enum MHD_Result result = MHD_queue_response(x->connection, status, r);
	MHD_destroy_response(r);
	return result;
}

static struct MHD_Response *response_of(struct buf *b, const char *content_type) {
	size_t length;
	char *bytes = buf_take(b, &length);
	struct MHD_Response *r = MHD_create_response_from_buffer(
	    length, bytes, bytes ? MHD_RESPMEM_MUST_FREE : MHD_RESPMEM_PERSISTENT);
	if (r) MHD_add_response_header(r, "Content-Type", content_type);
	return r;
}

/* --- JSON --------------------------------------------------------------------------------- */

static enum MHD_Result respond_json(struct exchange *x, unsigned int status, const struct doc *d,
				    const char *content_type, enum err err) {
	struct buf b;
	buf_init(&b, LIMIT_PAGE_BYTES_MAX);
	if (d) doc_write_json(d, &b);
	if (buf_failed(&b) || arena_failed(&x->rq.arena)) {
		buf_reset(&b);
		buf_add_text(&b, "{\"type\":\"/problems/memory\",\"title\":\"Too busy just "
				 "now\",\"status\":503}");
		status = 503;
	}
	struct MHD_Response *r = response_of(&b, content_type);
	buf_release(&b);
	char etag[32];
	snprintf(etag, sizeof etag, "\"%lld\"", (long long)x->rq.version);
	if (r && x->rq.version && err == ERR_OK) MHD_add_response_header(r, "ETag", etag);
	if (r) add_error_headers(x, r, err);
	return queue(x, status, r);
}

/* --- pages ---------------------------------------------------------------------------------- */

static void fresh_key(struct request *rq, struct doc *chrome) {
	unsigned char random[16];
	char *text = arena_alloc(&rq->arena, 2 * sizeof random + 1);
	randombytes_buf(random, sizeof random);
	if (text) sodium_bin2hex(text, 2 * sizeof random + 1, random, sizeof random);
	doc_set_text(chrome, "form_key", text);
}

/* A file has to be chosen again: browsers put none into a form. */
static bool has_typed(const struct request *rq) {
	for (size_t i = 0; rq->value && i < rq->resource->field_count; i++)
		if (rq->resource->field[i].kind != FIELD_FILE) return true;
	return rq->value && !rq->resource->field_count;
}

/* What is secret goes into no form again. */
static bool has_typed_secret(const struct request *rq) {
	for (size_t i = 0; rq->value && i < rq->resource->field_count; i++)
		if (field_is_secret(&rq->resource->field[i]) && value_given(&rq->value[i]))
			return true;
	return false;
}

static void page_errors(struct exchange *x, struct doc *chrome, enum err err) {
	struct request *rq = &x->rq;
	struct doc *errors = doc_set_list(chrome, "errors");
	for (size_t i = 0; i < rq->faults.count; i++) {
		struct doc *m = doc_add_map(errors);
		doc_set_text(m, "field", rq->faults.fault[i].field);
		doc_set_text(m, "message", rq->faults.fault[i].message);
		doc_set_printf(m, "id", "f-%s", rq->faults.fault[i].field);
	}
	doc_set_bool(chrome, "has_errors", rq->faults.count > 0 || err != ERR_OK);
	doc_set_bool(chrome, "has_field_errors", rq->faults.count > 0);
	doc_set_bool(chrome, "keeps_typed", has_typed(rq) && !x->form_lost);
	doc_set_bool(chrome, "forgets_secret", has_typed_secret(rq));
	doc_set_bool(chrome, "is_stale", rq->stale_form);
	if (err == ERR_OK) {
		doc_set_null(chrome, "problem");
		return;
	}
	struct doc *problem = doc_set_map(chrome, "problem");
	/* A page of its own has it as its headline already. */
	doc_set_text(problem, "title", x->form_lost ? NULL : error_table[err].title);
	doc_set_text(problem, "detail",
		     err == ERR_INVALID && !rq->fault.message[0] ? NULL : detail_of(rq, err));
	doc_set_int(problem, "status", error_table[err].status);
}

static struct doc *chrome_document(struct exchange *x, enum err err) {
	struct request *rq = &x->rq;
	const struct http_host *host = &x->server->config.host;
	struct doc *chrome = doc_map(&rq->arena);
	doc_set_text(chrome, "page_title", rq->title ? rq->title : error_table[err].title);
	doc_set_text(chrome, "path", rq->path ? rq->path : "/");
	doc_set_bool(chrome, "is_outdoors", rq->outdoors);
	/* Where a change of the look leads back to: what was asked for by a form is not. */
	doc_set_text(chrome, "shown_at", rq->method == METHOD_GET ? rq->target : NULL);
	doc_set_text(chrome, "form_token", rq->who.form_token);
	if (rq->version) doc_set_int(chrome, "version", rq->version);
	else doc_set_null(chrome, "version");
	fresh_key(rq, chrome);
	page_errors(x, chrome, err);
	host->chrome(host->self, rq, chrome);
	return chrome;
}

static enum MHD_Result respond_page(struct exchange *x, const char *name, unsigned int status,
				    enum err err) {
	struct request *rq = &x->rq;
	struct fault f = {0};
	struct buf b;
	buf_init(&b, LIMIT_PAGE_BYTES_MAX);
	const struct doc *context[] = {chrome_document(x, err), rq->doc};
	enum err rendered = template_render(x->server->templates, name, context, 2,
					    x->server->config.strict_templates, &b, &f);
	if (rendered != ERR_OK || arena_failed(&rq->arena)) {
		fault_clear(&rq->fault);
		fault_set(&rq->fault, ERR_INTERNAL, NULL, "%s", f.message);
		buf_reset(&b);
		buf_add_text(
		    &b, "<!DOCTYPE html><html lang=\"en\"><title>Pegwarden</title><h1>Something "
			"went wrong in the server</h1><p>Nothing you sent was lost from your "
			"side: go back and send it again.</p>");
		status = 500;
	}
	struct MHD_Response *r = response_of(&b, "text/html; charset=utf-8");
	buf_release(&b);
	if (r) add_error_headers(x, r, err);
	return queue(x, status, r);
}

static enum MHD_Result respond_redirect(struct exchange *x, unsigned int status) {
	return queue(x, status, MHD_create_response_from_buffer(0, NULL, MHD_RESPMEM_PERSISTENT));
}

/* A page of ours that asks for somebody signed in. */
static bool is_page(struct exchange *x, const char *target) {
	struct path path;
	struct fault f = {0};
	struct request probe = {0};
	return decode_target(target, &x->rq.arena, &path, &f) == ERR_OK &&
	       route_find(x->server->routes, METHOD_GET, path.segment, path.count, &probe) ==
		   ROUTE_FOUND &&
	       probe.route->role > ROLE_NOBODY;
}

/* The page of ours that somebody came from, or NULL. */
static const char *page_before(struct exchange *x) {
	const char *referer = x->rq.referer;
	const char *authority = referer ? strstr(referer, "://") : NULL;
	const char *page = authority ? strchr(authority + 3, '/') : NULL;
	return page && is_page(x, page) ? page : NULL;
}

/* Where somebody goes after signing in: of a change, to the page with its form. */
static const char *next_page(struct exchange *x) {
	if (x->rq.method == METHOD_GET) return x->target;
	const char *page = page_before(x);
	if (page) return page;
	return is_page(x, x->target) ? x->target : "/";
}

/* A form that came when the session had ended: the sign-in page keeps what was typed. */
static bool keeps_form(struct exchange *x, const char *next) {
	struct request *rq = &x->rq;
	const struct http_host *host = &x->server->config.host;
	struct fault kept = rq->fault;
	if (rq->method != METHOD_POST || rq->body_kind != BODY_FORM || !x->body) return false;
	fault_clear(&rq->fault);
	rq->doc = NULL;
	enum err err = process_body(x);
	if (err == ERR_OK) err = host->sign_in(host->self, rq, next);
	rq->fault = kept;
	return err == ERR_OK && rq->doc;
}

/* To the sign-in page, and from there back to where somebody wanted to go. */
static enum MHD_Result respond_sign_in(struct exchange *x) {
	struct request *rq = &x->rq;
	const char *page = next_page(x);
	struct buf next;
	if (keeps_form(x, page)) {
		fault_clear(&rq->fault);
		request_fail(rq, ERR_UNAUTHENTICATED,
			     "Your session has ended, and nothing was stored.");
		return respond_page(x, rq->template_name, 401, ERR_UNAUTHENTICATED);
	}
	buf_init(&next, 2000);
	buf_add_url(&next, page);
	bool home = buf_failed(&next) || strcmp(page, "/") == 0;
	rq->location =
	    home ? "/sign-in" : arena_printf(&rq->arena, "/sign-in?next=%s", buf_text(&next));
	buf_release(&next);
	return respond_redirect(x, 303);
}

/* The page with the form again, everything typed still in it. */
static bool rebuild_form(struct exchange *x, enum err err) {
	struct request *rq = &x->rq;
	const struct http_host *host = &x->server->config.host;
	if (!rq->route || !rq->route->form || !rq->is_read || err == ERR_NOT_FOUND) return false;
	struct fault kept = rq->fault;
	fault_clear(&rq->fault);
	rq->doc = NULL;
	rq->location = NULL;
	enum err built = host->read(host->self, rq, rq->route->form);
	rq->fault = kept;
	return built == ERR_OK && rq->doc;
}

/* How somebody goes on from a page that only says what went wrong. */
static struct doc *ways_on(struct exchange *x, enum err err) {
	struct doc *d = doc_map(&x->rq.arena);
	const char *before = page_before(x);
	bool passes = err == ERR_TOO_MANY || err >= ERR_MEMORY;
	bool asked = x->rq.method == METHOD_GET && x->target;
	doc_set_text(d, "again", passes && asked ? x->target : NULL);
	doc_set_text(d, "back", before && !text_equal(before, x->target) ? before : NULL);
	doc_set_bool(d, "is_missing", err == ERR_NOT_FOUND);
	return d;
}

static enum MHD_Result respond_error(struct exchange *x, enum err err) {
	struct request *rq = &x->rq;
	unsigned int status = error_table[err].status;
	rq->set_session = rq->set_tablet = rq->set_outdoors = NULL;
	if (!rq->wants_html)
		return respond_json(x, status, problem_document(rq, err),
				    "application/problem+json", err);
	if (err == ERR_UNAUTHENTICATED && !rq->who.by_token) return respond_sign_in(x);
	if (rebuild_form(x, err)) return respond_page(x, rq->route->template_name, status, err);
	x->form_lost = true;
	rq->doc = ways_on(x, err); /* the chrome has the errors */
	rq->title = error_table[err].title;
	rq->version = 0;
	return respond_page(x, "error", status, err);
}

/* --- all ------------------------------------------------------------------------------------- */

static enum MHD_Result respond_file(struct exchange *x) {
	struct request *rq = &x->rq;
	struct MHD_Response *r =
	    MHD_create_response_from_buffer(rq->file_length, rq->file, MHD_RESPMEM_MUST_FREE);
	if (r) rq->file = NULL;
	if (r)
		MHD_add_response_header(r, "Content-Type",
					rq->file_type ? rq->file_type : "text/csv; charset=utf-8");
	return queue(x, rq->status ? (unsigned int)rq->status : 200, r);
}

static bool is_unchanged(const struct exchange *x) {
	int64_t seen;
	return x->if_none_match && x->rq.version && !x->rq.wants_html &&
	       text_to_int(x->if_none_match, 1, INT64_MAX >> 21, &seen) && seen == x->rq.version;
}

enum MHD_Result respond(struct exchange *x) {
	struct request *rq = &x->rq;
	if (x->outcome != ERR_OK) return respond_error(x, x->outcome);
	if (rq->file) return respond_file(x);
	if (rq->location && (rq->wants_html || rq->method == METHOD_GET))
		return respond_redirect(x, 303);
	if (is_unchanged(x)) {
		struct MHD_Response *r =
		    MHD_create_response_from_buffer(0, NULL, MHD_RESPMEM_PERSISTENT);
		char etag[32];
		snprintf(etag, sizeof etag, "\"%lld\"", (long long)rq->version);
		if (r) MHD_add_response_header(r, "ETag", etag);
		return queue(x, 304, r);
	}
	unsigned int status = rq->status ? (unsigned int)rq->status : 200;
	const char *name =
	    rq->template_name ? rq->template_name : (rq->route ? rq->route->template_name : NULL);
	if (rq->wants_html && name) return respond_page(x, name, status, ERR_OK);
	if (!rq->doc) rq->doc = doc_map(&rq->arena);
	return respond_json(x, status, rq->doc, "application/json", ERR_OK);
}
