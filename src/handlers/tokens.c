/*
 * One's own API tokens: made here or on the command line, shown once, revocable.
 */
#include "base/limits.h"
#include "handlers/app.h"
#include "handlers/routes.h"
#include "store/account.h"
#include "store/session.h"

enum { NAME, FIELDS };
static const struct field field[FIELDS] = {
    [NAME] = {.name = "name",
	      .label = "What it is for",
	      .kind = FIELD_TEXT,
	      .required = true,
	      .max = LIMIT_NAME_CHARS_MAX},
};
static const struct resource resource = {"token", "tokens", field, FIELDS};

static enum err token_index(struct request *rq) {
	struct doc *d = rq->doc = doc_map(&rq->arena), *rows = doc_set_list(d, "tokens");
	enum err err = token_list(request_store(rq), rq->who.account, &rq->arena, rows, &rq->fault);
	doc_set_bool(d, "has_tokens", doc_count(rows) > 0);
	doc_set_text(d, "secret", NULL);
	doc_set(d, "form",
		fields_form(&resource, &rq->arena, NULL, request_values(rq, &resource), &rq->faults,
			    false));
	rq->title = "API tokens";
	return err;
}

/* The secret is in this answer and nowhere else. */
static enum err token_post(struct request *rq) {
	int64_t id;
	char at[INSTANT_TEXT_SIZE];
	const char *secret = secret_new(&rq->arena);
	/* A token is bound to no tablet, as a PIN is. */
	if (rq->who.by_pin)
		return request_fail(rq, ERR_DENIED,
				    "Sign in with your password to make an API token.");
	if (!secret) return request_fail(rq, ERR_MEMORY, "There is no memory left.");
	/* An answer that is kept for repetition would keep the secret too. */
	rq->idempotency_key = NULL;
	enum err err =
	    token_insert(request_store(rq), rq->who.account, value_text(&rq->value[NAME]), secret,
			 instant_format(rq->now_s, at), &id, &rq->fault);
	rq->value = NULL;
	if (err == ERR_OK) err = token_index(rq);
	if (err != ERR_OK) return err;
	request_action(rq, "make API token");
	doc_set_text(rq->doc, "secret", secret);
	rq->status = 201;
	return ERR_OK;
}

static enum err token_end(struct request *rq) {
	char at[INSTANT_TEXT_SIZE];
	enum err err = token_revoke(request_store(rq), rq->who.account, rq->id[0],
				    instant_format(rq->now_s, at), &rq->fault);
	if (err != ERR_OK) return err;
	request_action(rq, "revoke API token");
	request_go(rq, false, "/tokens");
	return token_index(rq);
}

static const struct route route[] = {
    {METHOD_GET, "/tokens", ROLE_MEMBER, RUN_READ, .handle = token_index, .template_name = "tokens",
     .summary = "Your API tokens"},
    {METHOD_POST, "/tokens", ROLE_MEMBER, RUN_CHANGE, .handle = token_post, .form = token_index,
     .template_name = "tokens", .resource = &resource, .summary = "Make an API token, shown once"},
    {METHOD_POST, "/tokens/:id/revoke", ROLE_MEMBER, RUN_CHANGE, .handle = token_end,
     .form = token_index, .template_name = "tokens", .summary = "Revoke an API token"},
};
const struct route_table token_routes = {route, sizeof route / sizeof *route};
