/*
 * Signing in and out.
 *
 * Checking a password takes about a tenth of a second and 64 MiB, so it runs on
 * the slow thread, one at a time. Every failure sounds the same, and takes as
 * long, whether the badge or the password was wrong.
 */
#include <sodium.h>
#include <string.h>

#include "base/limits.h"
#include "handlers/app.h"
#include "handlers/routes.h"
#include "store/session.h"

enum { BADGE, PASSWORD, NEXT, FIELDS };
static const struct field field[FIELDS] = {
    [BADGE] = {.name = "badge", .label = "Badge", .kind = FIELD_TAG, .required = true},
    [PASSWORD] = {.name = "password",
		  .label = "Password",
		  .kind = FIELD_PASSWORD,
		  .required = true},
    [NEXT] = {.name = "next", .label = "Next page", .kind = FIELD_TEXT},
};
static const struct resource resource = {"sign_in", "sign-in", field, FIELDS};

/* The hash of a password nobody has, checked when there is no such account. */
static const char nobody_hash[] = "$argon2id$v=19$m=65536,t=2,p=1$kCHr/"
				  "Xh3TnL7H8aG+4Zd9A$N7mJlH1uz52f2sS6cs/xQeRuYO5gONH3xJENBQVwWYs";

struct prepared {
	int64_t account;
	bool holds;
	int wait_s;
	const char *subject_badge, *subject_address;
};

static enum err sign_in_page(struct request *rq) {
	struct doc *d = rq->doc = doc_map(&rq->arena);
	struct doc *form = fields_form(&resource, &rq->arena, NULL, rq->value, &rq->faults, false);
	fields_form_remove(form, "next");
	const char *next =
	    rq->value && rq->value[NEXT].raw ? rq->value[NEXT].raw : request_query(rq, "next");
	doc_set(d, "form", form);
	doc_set_text(d, "next", next);
	rq->title = "Sign in";
	return ERR_OK;
}

static enum err check_password(struct request *rq, struct prepared *p) {
	const char *badge = value_text(&rq->value[BADGE]);
	const char *password = value_text(&rq->value[PASSWORD]);
	struct doc *row = NULL;
	enum err err = account_by_badge(request_store(rq), badge, &rq->arena, &row, &rq->fault);
	if (err != ERR_OK) return err;
	const char *hash = row ? doc_text(row, "password_hash") : NULL;
	bool matches =
	    crypto_pwhash_str_verify(hash ? hash : nobody_hash, password, strlen(password)) == 0;
	bool open =
	    row && doc_bool(row, "is_active") && !text_equal(doc_text(row, "status"), "left");
	p->holds = matches && hash && open;
	p->account = p->holds ? doc_int(row, "id") : 0;
	return ERR_OK;
}

/* On the slow thread. */
static enum err sign_in_prepare(struct request *rq) {
	struct prepared *p = arena_new(&rq->arena, struct prepared);
	if (!p) return ERR_MEMORY;
	rq->prepared = p;
	p->subject_badge = arena_printf(&rq->arena, "badge:%s", value_text(&rq->value[BADGE]));
	p->subject_address = arena_printf(&rq->arena, "address:%s", rq->address);
	if (!p->subject_badge || !p->subject_address) return ERR_MEMORY;
	int by_badge, by_address;
	enum err err =
	    sign_in_wait(request_store(rq), p->subject_badge, rq->now_s, &by_badge, &rq->fault);
	if (err == ERR_OK)
		err = sign_in_wait(request_store(rq), p->subject_address, rq->now_s, &by_address,
				   &rq->fault);
	if (err != ERR_OK) return err;
	p->wait_s = by_badge > by_address ? by_badge : by_address;
	return p->wait_s ? ERR_OK : check_password(rq, p);
}

static bool is_local_path(const char *next) {
	return next && next[0] == '/' && next[1] != '/' && !strchr(next, '\\') &&
	       text_is_clean(next, false);
}

static enum err refuse(struct request *rq, const struct prepared *p) {
	/* The count must stay although the request fails: it is the change. */
	struct store *st = request_store(rq);
	enum err err = sign_in_failed(st, p->subject_badge, rq->now_s, &rq->fault);
	if (err == ERR_OK) err = sign_in_failed(st, p->subject_address, rq->now_s, &rq->fault);
	if (err != ERR_OK) return err;
	rq->status = 422;
	rq->template_name = "sign-in";
	fault_list_add(
	    &rq->faults, &rq->arena, "badge",
	    "Badge and password do not fit together, or the account is closed. Try again, or "
	    "ask an administrator.");
	if (rq->wants_html) return sign_in_page(rq);
	rq->doc = doc_map(&rq->arena);
	doc_set_text(rq->doc, "type", "/problems/invalid");
	doc_set_text(rq->doc, "title", "Something has to be corrected");
	doc_set_int(rq->doc, "status", 422);
	doc_set_text(rq->doc, "detail", rq->faults.fault[0].message);
	return ERR_OK;
}

static enum err sign_in_handle(struct request *rq) {
	const struct prepared *p = rq->prepared;
	struct store *st = request_store(rq);
	if (p->wait_s) {
		rq->fault.wait_s = p->wait_s;
		return request_fail(rq, ERR_TOO_MANY,
				    "Too many tries. Wait %d seconds, then try again.", p->wait_s);
	}
	if (!p->holds) return refuse(rq, p);
	const char *cookie = secret_new(&rq->arena), *form_token = secret_new(&rq->arena);
	if (!cookie || !form_token) return ERR_MEMORY;
	enum err err = session_start(st, cookie, p->account, form_token, rq->now_s, &rq->fault);
	if (err == ERR_OK) err = sign_in_succeeded(st, p->subject_badge, &rq->fault);
	if (err == ERR_OK) err = workings_expire(st, rq->now_s, &rq->fault);
	if (err != ERR_OK) return err;
	rq->set_session = cookie;
	const char *next = value_text(&rq->value[NEXT]);
	request_go(rq, false, "%s", is_local_path(next) ? next : "/");
	rq->doc = doc_map(&rq->arena);
	doc_set_bool(rq->doc, "signed_in", true);
	doc_set_text(rq->doc, "form_token", form_token);
	return ERR_OK;
}

static enum err sign_out(struct request *rq) {
	enum err err =
	    rq->who.session ? session_end(request_store(rq), rq->who.session, &rq->fault) : ERR_OK;
	if (err != ERR_OK) return err;
	rq->set_session = "";
	request_go(rq, false, "/sign-in");
	return ERR_OK;
}

static const char *const next_query[] = {"next", NULL};

static const struct route route[] = {
    {METHOD_GET, "/sign-in", ROLE_NOBODY, RUN_READ, .handle = sign_in_page,
     .template_name = "sign-in", .query = next_query, .summary = "Sign-in page"},
    {METHOD_POST, "/sign-in", ROLE_NOBODY, RUN_SLOW_CHANGE, .handle = sign_in_handle,
     .prepare = sign_in_prepare, .form = sign_in_page, .template_name = "sign-in",
     .resource = &resource, .query = next_query, .no_form_token = true, .summary = "Sign in"},
    {METHOD_POST, "/sign-out", ROLE_MEMBER, RUN_CHANGE, .handle = sign_out, .summary = "Sign out"},
};
const struct route_table sign_in_routes = {route, sizeof route / sizeof *route};
