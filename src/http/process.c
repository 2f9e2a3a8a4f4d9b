/*
 * From a complete request to the handler's outcome: who asks, may they, is it
 * theirs (form token), is it well formed, and then the handler.
 */
#include <string.h>
#include <strings.h>

#include "base/text.h"
#include "http/decode.h"
#include "http/exchange.h"

/* --- before the body ------------------------------------------------------------- */

static enum err no_such_page(struct request *rq) {
	return request_fail(rq, ERR_NOT_FOUND, "There is no page at this address.");
}

static enum err find_route(struct exchange *x, const char *method) {
	struct request *rq = &x->rq;
	struct path path;
	enum err err = decode_target(x->target, &rq->arena, &path, &rq->fault);
	if (err != ERR_OK) return err;
	x->is_head = strcmp(method, "HEAD") == 0;
	rq->method = strcmp(method, "POST") == 0 ? METHOD_POST : METHOD_GET;
	bool known = rq->method == METHOD_POST || x->is_head || strcmp(method, "GET") == 0;
	rq->path = arena_copy(&rq->arena, x->target, strcspn(x->target, "?"));
	if (path.query) {
		err = decode_form(path.query, strlen(path.query), true, &rq->arena, &rq->query,
				  &rq->fault);
		if (err != ERR_OK) return err;
	}
	switch (route_find(x->server->routes, rq->method, path.segment, path.count, rq)) {
	case ROUTE_FOUND:
		if (known) return ERR_OK;
		break;
	case ROUTE_NO_PATH: return no_such_page(rq);
	case ROUTE_NO_METHOD: break;
	}
	/* Whoever loads the page again that a form was answered with comes here. */
	if (known && rq->method == METHOD_GET)
		return request_fail(rq, ERR_METHOD,
				    "There is nothing to look at here: a form is sent to this "
				    "address. Go back to the form, or begin at the start page.");
	return request_fail(rq, ERR_METHOD, "This address does not take %s.",
			    known ? method : "that");
}

/* Names the route does not declare are refused: a typing error must not pass for "all". */
static enum err check_query(struct request *rq) {
	for (size_t i = 0; i < rq->query.count; i++) {
		const char *name = rq->query.pair[i].name;
		const char *const *declared = rq->route->query;
		while (declared && *declared && strcmp(*declared, name) != 0) declared++;
		if (!declared || !*declared)
			return request_fail(
			    rq, ERR_SYNTAX,
			    "The address has a part \"%.40s\" that means nothing here.", name);
	}
	return ERR_OK;
}

static bool is_type(const char *content_type, const char *type) {
	size_t length = strlen(type);
	return content_type && strncasecmp(content_type, type, length) == 0 &&
	       (content_type[length] == '\0' || strchr("; ", content_type[length]));
}

static enum err check_body_kind(struct exchange *x) {
	struct request *rq = &x->rq;
	if (!x->has_length)
		return request_fail(rq, ERR_LENGTH_REQUIRED, "Send Content-Length with the body.");
	bool uploads =
	    rq->route->upload_bytes_max && is_type(x->content_type, "multipart/form-data");
	size_t most = uploads ? rq->route->upload_bytes_max : LIMIT_BODY_BYTES_MAX;
	if (x->body_expected > most)
		return uploads ? request_fail(rq, ERR_TOO_LARGE, "The file is larger than %zu MiB.",
					      most >> 20)
			       : request_fail(rq, ERR_TOO_LARGE, "The body is larger than %zu KiB.",
					      most >> 10);
	if (is_type(x->content_type, "application/x-www-form-urlencoded"))
		rq->body_kind = BODY_FORM;
	else if (is_type(x->content_type, "application/json")) rq->body_kind = BODY_JSON;
	else if (uploads) rq->body_kind = BODY_MULTIPART;
	else if (x->body_expected || x->content_type)
		return request_fail(rq, ERR_MEDIA_TYPE, "Send a form or JSON.");
	return ERR_OK;
}

enum err process_head(struct exchange *x, const char *method) {
	struct request *rq = &x->rq;
	enum err err = guard_headers(x);
	if (err == ERR_OK) err = find_route(x, method);
	if (err == ERR_OK) err = check_query(rq);
	if (err != ERR_OK) return err;
	if (rq->method == METHOD_POST) return check_body_kind(x);
	if (x->has_length && x->body_expected)
		return request_fail(rq, ERR_SYNTAX, "A GET request has no body.");
	return ERR_OK;
}

/* --- with the body ---------------------------------------------------------------- */

enum err process_body(struct exchange *x) {
	struct request *rq = &x->rq;
	const char *bytes = x->body ? x->body : "";
	switch (rq->body_kind) {
	case BODY_FORM:
		return decode_form(bytes, x->body_length, false, &rq->arena, &rq->input,
				   &rq->fault);
	case BODY_JSON:
		return decode_json(bytes, x->body_length, &rq->arena, &rq->input, &rq->fault);
	case BODY_MULTIPART: {
		const char *boundary = multipart_boundary(x->content_type, &rq->arena);
		if (!boundary) return request_fail(rq, ERR_SYNTAX, "The upload has no boundary.");
		return decode_multipart(bytes, x->body_length, boundary, &rq->arena, &rq->input,
					&rq->upload, &rq->fault);
	}
	case BODY_NONE: break;
	}
	return ERR_OK;
}

static enum err check_role(struct request *rq) {
	if (rq->route->on_tablet && !rq->device.tablet) return no_such_page(rq);
	if (rq->who.role >= rq->route->role) return ERR_OK;
	if (rq->who.role == ROLE_NOBODY)
		return request_fail(rq, ERR_UNAUTHENTICATED, "Sign in first.");
	return request_fail(rq, ERR_DENIED,
			    "This needs the role %s or above; you are signed in as %s.",
			    role_word(rq->route->role), role_word(rq->who.role));
}

/* A cookie goes along with requests that other sites make; the form token does not. */
static enum err check_form_token(struct request *rq) {
	if (rq->who.by_token || rq->route->no_form_token) return ERR_OK;
	const char *sent = request_hidden(rq, "_token");
	if (sent && rq->who.form_token && text_equal_secret(sent, rq->who.form_token))
		return ERR_OK;
	return request_fail(
	    rq, ERR_DENIED,
	    "The form has expired. Go back, load the page again and send it once more; "
	    "nothing was stored.");
}

static enum err check_key(struct request *rq) {
	if (!rq->idempotency_key) rq->idempotency_key = request_hidden(rq, "_key");
	if (text_empty(rq->idempotency_key)) rq->idempotency_key = NULL;
	if (!rq->idempotency_key) return ERR_OK;
	if (strlen(rq->idempotency_key) <= LIMIT_IDEMPOTENCY_KEY_CHARS_MAX &&
	    text_is_utf8(rq->idempotency_key, strlen(rq->idempotency_key)) &&
	    text_is_clean(rq->idempotency_key, false))
		return ERR_OK;
	return request_fail(rq, ERR_SYNTAX, "The Idempotency-Key is longer than %d characters.",
			    LIMIT_IDEMPOTENCY_KEY_CHARS_MAX);
}

static enum err find_resource(struct request *rq) {
	rq->resource = rq->route->resource;
	return rq->route->resource_of ? rq->route->resource_of(rq, &rq->resource) : ERR_OK;
}

static enum err read_fields(struct exchange *x) {
	static const struct resource nothing = {"nothing", "nothing", NULL, 0};
	struct request *rq = &x->rq;
	const struct http_host *host = &x->server->config.host;
	enum err err = host->read(host->self, rq, find_resource);
	if (err != ERR_OK) return err;
	const struct resource *r = rq->resource ? rq->resource : &nothing;
	struct value *value = arena_array(&rq->arena, struct value, r->field_count + 1);
	if (!value) return request_fail(rq, ERR_MEMORY, "There is no memory left.");
	struct field_reading how = {.date_order = DATE_ISO_ONLY, .partial = rq->route->partial};
	/* Without a resource there are no values that anybody could look at. */
	rq->value = rq->resource ? value : NULL;
	rq->is_read = true;
	return fields_read(r, &rq->input, &how, &rq->arena, value, &rq->faults);
}

static enum err identify(struct request *rq) {
	const struct http_host *host = &((struct exchange *)rq)->server->config.host;
	enum err err = host->identify(host->self, rq);
	return err == ERR_OK ? check_role(rq) : err;
}

static enum err answer_reading(struct request *rq) {
	enum err err = identify(rq);
	return err == ERR_OK ? rq->route->handle(rq) : err;
}

static enum err prepare_change(struct request *rq) {
	struct exchange *x = (struct exchange *)rq;
	enum err err = identify(rq);
	if (err == ERR_OK) err = process_body(x);
	if (err == ERR_OK) err = check_form_token(rq);
	if (err == ERR_OK) err = check_key(rq);
	if (err == ERR_OK) err = read_fields(x);
	return err;
}

enum err process_asker(struct exchange *x) {
	const struct http_host *host = &x->server->config.host;
	return host->read(host->self, &x->rq, identify);
}

/* Who asks and what is answered are read in one view of the database. */
enum err process_request(struct exchange *x, bool *suspended) {
	struct request *rq = &x->rq;
	const struct http_host *host = &x->server->config.host;
	*suspended = false;
	if (rq->method == METHOD_GET) return host->read(host->self, rq, answer_reading);
	enum err err = host->read(host->self, rq, prepare_change);
	if (err != ERR_OK) return err;
	/* Suspended first: the change may be done before the call returns. */
	x->stage = STAGE_SUSPENDED;
	MHD_suspend_connection(x->connection);
	*suspended = true;
	err = host->change(host->self, rq);
	if (err != ERR_OK) request_done(rq, err);
	return ERR_OK;
}

void request_done(struct request *rq, enum err outcome) {
	struct exchange *x = (struct exchange *)rq;
	x->outcome = outcome;
	x->stage = STAGE_DONE;
	MHD_resume_connection(x->connection);
}
