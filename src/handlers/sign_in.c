/*
 * Signing in and out, and the password one signs in with.
 *
 * Checking a password takes about a tenth of a second and 64 MiB, so it runs on
 * the slow thread, one at a time. Every failure sounds the same, and takes as
 * long, whether the badge or the password was wrong.
 */
#include <string.h>

#include "base/limits.h"
#include "handlers/app.h"
#include "handlers/resend.h"
#include "handlers/routes.h"
#include "store/account.h"
#include "store/session.h"

enum { BADGE, PASSWORD, NEXT, RESEND, RESEND_TARGET, FIELDS };
static const struct field field[FIELDS] = {
    [BADGE] = {.name = "badge", .label = "Badge", .kind = FIELD_TAG, .required = true},
    [PASSWORD] = {.name = "password",
		  .label = "Password",
		  .kind = FIELD_PASSWORD,
		  .required = true},
    [NEXT] = {.name = "next", .label = "Next page", .kind = FIELD_TEXT, .max = 2000},
    [RESEND] = {.name = "resend",
		.label = "Form that was not stored",
		.kind = FIELD_TEXT,
		.max = LIMIT_RESEND_BYTES_MAX},
    [RESEND_TARGET] = {.name = "resend_target",
		       .label = "Where that form goes",
		       .kind = FIELD_TEXT,
		       .max = 2000},
};
static const struct resource resource = {"sign_in", "sign-in", field, FIELDS};

struct prepared {
	int64_t account;
	bool holds;
	int wait_s;
	const char *subject_badge, *subject_address; /* the latter NULL: address not known */
	char hash[PASSWORD_HASH_SIZE];               /* of a new password */
};

/* What was typed here before; of passwords nothing. */
static const char *typed(const struct request *rq, size_t at) {
	return rq->value ? rq->value[at].raw : NULL;
}

static struct doc *sign_in_document(struct request *rq, const struct value *value,
				    const char *next) {
	struct doc *d = doc_map(&rq->arena);
	struct doc *form = fields_form(&resource, &rq->arena, NULL, value, &rq->faults, false);
	for (size_t i = NEXT; i < FIELDS; i++) fields_form_remove(form, field[i].name);
	doc_set(d, "form", form);
	doc_set_text(d, "next", next);
	rq->title = "Sign in";
	return d;
}

static enum err sign_in_page(struct request *rq) {
	const char *next = typed(rq, NEXT);
	rq->doc = sign_in_document(rq, rq->value, next ? next : request_query(rq, "next"));
	resend_offer(rq, rq->doc, typed(rq, RESEND), typed(rq, RESEND_TARGET));
	return ERR_OK;
}

enum err sign_in_keeping(void *self, struct request *rq, const char *next) {
	(void)self;
	if (!resend_is_possible(rq)) return ERR_OK;
	rq->doc = sign_in_document(rq, NULL, next);
	rq->template_name = "sign-in";
	rq->version = 0;
	resend_pack(rq, rq->doc);
	return ERR_OK;
}

static enum err check_password(struct request *rq, const char *badge, const char *password,
			       struct prepared *p) {
	struct doc *row = NULL;
	enum err err = account_by_badge(request_store(rq), badge, &rq->arena, &row, &rq->fault);
	if (err != ERR_OK) return err;
	bool matches = password_holds(password, row ? doc_text(row, "password_hash") : NULL);
	bool open =
	    row && doc_bool(row, "is_active") && !text_equal(doc_text(row, "status"), "left");
	p->holds = matches && open;
	p->account = p->holds ? doc_int(row, "id") : 0;
	return ERR_OK;
}

/* On the slow thread: is there a wait, and does the password hold? */
static enum err prepare(struct request *rq, const char *badge, const char *password) {
	struct prepared *p = arena_new(&rq->arena, struct prepared);
	if (!p) return request_fail(rq, ERR_MEMORY, "There is no memory left.");
	rq->prepared = p;
	p->subject_badge = arena_printf(&rq->arena, "badge:%s", badge);
	if (rq->address) p->subject_address = arena_printf(&rq->arena, "address:%s", rq->address);
	if (arena_failed(&rq->arena))
		return request_fail(rq, ERR_MEMORY, "There is no memory left.");
	int by_badge, by_address = 0;
	enum err err =
	    sign_in_wait(request_store(rq), p->subject_badge, rq->now_s, &by_badge, &rq->fault);
	if (err == ERR_OK && p->subject_address)
		err = sign_in_wait(request_store(rq), p->subject_address, rq->now_s, &by_address,
				   &rq->fault);
	if (err != ERR_OK) return err;
	p->wait_s = by_badge > by_address ? by_badge : by_address;
	return p->wait_s ? ERR_OK : check_password(rq, badge, password, p);
}

static enum err sign_in_prepare(struct request *rq) {
	return prepare(rq, value_text(&rq->value[BADGE]), value_text(&rq->value[PASSWORD]));
}

static bool is_local_path(const char *next) {
	return next && next[0] == '/' && next[1] != '/' && !strchr(next, '\\') &&
	       text_is_clean(next, false);
}

static enum err refuse(struct request *rq, const struct prepared *p, const char *name,
		       const char *words) {
	/* The count must stay although the request fails: it is the change. */
	struct store *st = request_store(rq);
	enum err err = sign_in_failed(st, p->subject_badge, rq->now_s, &rq->fault);
	if (err == ERR_OK && p->subject_address)
		err = sign_in_failed(st, p->subject_address, rq->now_s, &rq->fault);
	if (err != ERR_OK) return err;
	rq->status = 422;
	rq->template_name = rq->route->template_name;
	fault_list_add(&rq->faults, &rq->arena, name, "%s", words);
	if (rq->wants_html) return rq->route->form(rq);
	rq->doc = doc_map(&rq->arena);
	doc_set_text(rq->doc, "type", "/problems/invalid");
	doc_set_text(rq->doc, "title", "Something has to be corrected");
	doc_set_int(rq->doc, "status", 422);
	doc_set_text(rq->doc, "detail", words);
	struct doc *error = doc_add_map(doc_set_list(rq->doc, "errors"));
	doc_set_text(error, "field", name);
	doc_set_text(error, "message", words);
	return ERR_OK;
}

static enum err wait(struct request *rq, const struct prepared *p) {
	rq->fault.wait_s = p->wait_s;
	return request_fail(rq, ERR_TOO_MANY, "Too many tries. Wait %d seconds, then try again.",
			    p->wait_s);
}

/* A session of its own for this browser; the document says its form token. */
static enum err begin_session(struct request *rq, const struct prepared *p) {
	struct store *st = request_store(rq);
	const char *cookie = secret_new(&rq->arena), *form_token = secret_new(&rq->arena);
	if (!cookie || !form_token) return request_fail(rq, ERR_MEMORY, "There is no memory left.");
	enum err err = session_start(st, cookie, p->account, form_token, rq->now_s, &rq->fault);
	if (err == ERR_OK) err = sign_in_succeeded(st, p->subject_badge, &rq->fault);
	if (err == ERR_OK) err = workings_expire(st, rq->now_s, &rq->fault);
	if (err != ERR_OK) return err;
	rq->set_session = cookie;
	rq->doc = doc_map(&rq->arena);
	doc_set_bool(rq->doc, "signed_in", true);
	doc_set_text(rq->doc, "form_token", form_token);
	return ERR_OK;
}

static enum err sign_in_handle(struct request *rq) {
	const struct prepared *p = rq->prepared;
	if (p->wait_s) return wait(rq, p);
	if (!p->holds)
		return refuse(rq, p, "badge",
			      "Badge and password do not fit together, or the account is closed. "
			      "Try again, or ask an administrator.");
	const char *resend = value_text(&rq->value[RESEND]), *next = value_text(&rq->value[NEXT]),
		   *target = value_text(&rq->value[RESEND_TARGET]);
	bool along = rq->wants_html && resend && is_local_path(target) && rq->cookie_session;
	/* An answer kept for repetition would keep the secret too. */
	rq->idempotency_key = NULL;
	enum err err = begin_session(rq, p);
	if (err != ERR_OK) return err;
	request_go(rq, false, "%s", is_local_path(next) ? next : "/");
	if (!along) return ERR_OK;
	rq->cookie_session = rq->set_session;
	err = request_identify_session(rq);
	return err == ERR_OK ? resend_page(rq, resend, target, rq->location) : err;
}

static enum err sign_out(struct request *rq) {
	enum err err =
	    rq->who.session ? session_end(request_store(rq), rq->who.session, &rq->fault) : ERR_OK;
	if (err != ERR_OK) return err;
	rq->set_session = "";
	request_go(rq, false, "/sign-in");
	return ERR_OK;
}

/* --- one's own password ----------------------------------------------------------- */

_Static_assert(LIMIT_PASSWORD_CHARS_MIN == 10, "the help says so");
enum { OLD, NEW, AGAIN, PASSWORD_FIELDS };
static const struct field password_field[PASSWORD_FIELDS] = {
    [OLD] = {.name = "old_password",
	     .label = "Your password now",
	     .kind = FIELD_PASSWORD,
	     .required = true},
    [NEW] = {.name = "password",
	     .label = "New password",
	     .help = "At least 10 characters. Several words are easier to keep than odd signs.",
	     .kind = FIELD_PASSWORD,
	     .required = true,
	     .min = LIMIT_PASSWORD_CHARS_MIN},
    [AGAIN] = {.name = "password_again",
	       .label = "The new password again",
	       .kind = FIELD_PASSWORD,
	       .required = true,
	       .min = LIMIT_PASSWORD_CHARS_MIN},
};
static const struct resource password_resource = {"password", "password", password_field,
						  PASSWORD_FIELDS};

static enum err password_page(struct request *rq) {
	struct doc *d = rq->doc = doc_map(&rq->arena);
	doc_set(d, "form",
		fields_form(&password_resource, &rq->arena, NULL, rq->value, &rq->faults, false));
	doc_set_text(d, "action", "/password");
	doc_set_text(d, "back", "/");
	rq->title = "Your password";
	return ERR_OK;
}

/* On the slow thread. */
static enum err password_prepare(struct request *rq) {
	const char *password = value_text(&rq->value[NEW]);
	/* What is kept for repetition has a fast hash of what was sent: not of passwords. */
	rq->idempotency_key = NULL;
	if (!text_equal(password, value_text(&rq->value[AGAIN])))
		return request_field_fault(rq, "password_again",
					   "The two new passwords differ. Type the new one twice.");
	enum err err = prepare(rq, rq->who.badge, value_text(&rq->value[OLD]));
	struct prepared *p = rq->prepared;
	if (err == ERR_OK && p->holds) err = password_hash(password, false, p->hash, &rq->fault);
	return err;
}

/* Every session of the account ends; this browser gets a new one. */
static enum err password_store(struct request *rq) {
	const struct prepared *p = rq->prepared;
	if (p->wait_s) return wait(rq, p);
	if (!p->holds)
		return refuse(rq, p, "old_password", "This is not your password now. Try again.");
	enum err err =
	    account_set_password(request_store(rq), rq->who.account, p->hash, &rq->fault);
	rq->doc = doc_map(&rq->arena);
	if (err == ERR_OK && !rq->who.by_token) err = begin_session(rq, p);
	if (err != ERR_OK) return err;
	request_action(rq, "change own password");
	request_go(rq, false, "/");
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
    {METHOD_GET, "/password", ROLE_MEMBER, RUN_READ, .handle = password_page,
     .template_name = "form", .summary = "Form to change one's own password"},
    {METHOD_POST, "/password", ROLE_MEMBER, RUN_SLOW_CHANGE, .handle = password_store,
     .prepare = password_prepare, .form = password_page, .template_name = "form",
     .resource = &password_resource, .summary = "Change one's own password"},
};
const struct route_table sign_in_routes = {route, sizeof route / sizeof *route};
