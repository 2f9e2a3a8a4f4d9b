/*
 * Signing in and out by password.
 *
 * Checking a password takes about a tenth of a second and 64 MiB, so it runs on
 * the slow thread, one at a time. Every failure sounds the same, and takes as
 * long, whether the badge or the password was wrong.
 */
#include "handlers/sign_in.h"

#include <string.h>

#include "handlers/app.h"
#include "handlers/resend.h"
#include "handlers/routes.h"
#include "handlers/tablet.h"
#include "store/account.h"
#include "store/pin.h"
#include "store/session.h"
#include "store/tablet.h"

enum { BADGE, PASSWORD, NEXT, RESEND, RESEND_TARGET, FIELDS };
static const struct field field[FIELDS] = {
    [BADGE] = {.name = "badge", .label = "Badge", .kind = FIELD_TAG, .required = true},
    [PASSWORD] = {.name = "password",
		  .label = "Password",
		  .kind = FIELD_PASSWORD,
		  .required = true},
    CARRIED_FIELDS(NEXT, RESEND, RESEND_TARGET),
};
static const struct resource resource = {"sign_in", "sign-in", field, FIELDS};

/* --- what is carried through the sign-in -------------------------------------------- */

/* The value of a carried field, 0 to 2; NULL when the body has none. */
static const struct value *carried(const struct request *rq, size_t which) {
	return rq->value ? &rq->value[rq->resource->field_count - CARRIED_COUNT + which] : NULL;
}

static const char *carried_typed(const struct request *rq, size_t which) {
	const struct value *v = carried(rq, which);
	return v ? v->raw : NULL;
}

static const char *carried_next(const struct request *rq) {
	const char *next = carried_typed(rq, 0);
	return next ? next : request_query(rq, "next");
}

void carried_document(const struct request *rq, struct doc *d) {
	doc_set_text(d, "next", carried_next(rq));
	resend_offer(rq, d, carried_typed(rq, 1), carried_typed(rq, 2));
}

const char *carried_link(struct request *rq, const char *path) {
	struct buf b;
	const char *next = carried_next(rq), *link;
	buf_init(&b, 8192);
	buf_add_text(&b, path);
	if (next) {
		buf_add_text(&b, strchr(path, '?') ? "&next=" : "?next=");
		buf_add_url(&b, next);
	}
	link = buf_failed(&b) ? path : arena_strdup(&rq->arena, buf_text(&b));
	buf_release(&b);
	return link;
}

bool is_local_path(const char *next) {
	return next && next[0] == '/' && next[1] != '/' && !strchr(next, '\\') &&
	       text_is_clean(next, false);
}

enum err carried_on(struct request *rq) {
	const char *next = value_text(carried(rq, 0)), *resend = value_text(carried(rq, 1)),
		   *target = value_text(carried(rq, 2));
	bool along = rq->wants_html && resend && is_local_path(target) && rq->cookie_session;
	request_go(rq, false, "%s", is_local_path(next) ? next : "/");
	if (!along) return ERR_OK;
	rq->cookie_session = rq->set_session;
	enum err err = request_identify_session(rq);
	return err == ERR_OK ? resend_page(rq, resend, target, rq->location) : err;
}

/* --- sessions ----------------------------------------------------------------------- */

enum err session_begin(struct request *rq, int64_t account, bool by_pin) {
	struct store *st = request_store(rq);
	const char *cookie = secret_new(&rq->arena), *form_token = secret_new(&rq->arena);
	const char *before =
	    rq->cookie_session ? secret_hash(&rq->arena, rq->cookie_session) : NULL;
	if (!cookie || !form_token) return request_fail(rq, ERR_MEMORY, "There is no memory left.");
	enum err err = before ? session_end(st, before, &rq->fault) : ERR_OK;
	if (err == ERR_OK)
		err = session_start(st, cookie, account, by_pin ? rq->device.tablet : 0, form_token,
				    rq->now_s, &rq->fault);
	if (err == ERR_OK) err = workings_expire(st, rq->now_s, &rq->fault);
	if (err != ERR_OK) return err;
	rq->set_session = cookie;
	if (rq->device.tablet) rq->set_tablet = rq->cookie_tablet;
	rq->doc = doc_map(&rq->arena);
	doc_set_bool(rq->doc, "signed_in", true);
	doc_set_text(rq->doc, "form_token", form_token);
	return ERR_OK;
}

/* --- secrets ------------------------------------------------------------------------ */

static enum err look_up(struct request *rq, const char *badge, const char *password,
			struct password_check *c) {
	struct doc *row = NULL;
	enum err err = account_by_badge(request_store(rq), badge, &rq->arena, &row, &rq->fault);
	if (err != ERR_OK) return err;
	bool matches = password_holds(password, row ? doc_text(row, "password_hash") : NULL);
	bool open =
	    row && doc_bool(row, "is_active") && !text_equal(doc_text(row, "status"), "left");
	c->holds = matches && open;
	c->account = c->holds ? doc_int(row, "id") : 0;
	c->badge = doc_text(row, "badge");
	c->name = doc_text(row, "name");
	return ERR_OK;
}

enum err password_check(struct request *rq, const char *badge, const char *password,
			struct password_check *c) {
	c->subject_badge = arena_printf(&rq->arena, "badge:%s", badge);
	if (rq->address) c->subject_address = arena_printf(&rq->arena, "address:%s", rq->address);
	if (arena_failed(&rq->arena))
		return request_fail(rq, ERR_MEMORY, "There is no memory left.");
	int by_badge, by_address = 0;
	enum err err =
	    sign_in_wait(request_store(rq), c->subject_badge, rq->now_s, &by_badge, &rq->fault);
	if (err == ERR_OK && c->subject_address)
		err = sign_in_wait(request_store(rq), c->subject_address, rq->now_s, &by_address,
				   &rq->fault);
	if (err != ERR_OK) return err;
	c->wait_s = by_badge > by_address ? by_badge : by_address;
	return c->wait_s ? ERR_OK : look_up(rq, badge, password, c);
}

enum err secret_refused(struct request *rq, const char *name, const char *words) {
	/* Kept for repetition it would answer the next try too. */
	rq->idempotency_key = NULL;
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

static enum err count_wrong(struct request *rq, const struct password_check *c) {
	struct store *st = request_store(rq);
	enum err err = sign_in_failed(st, c->subject_badge, rq->now_s, &rq->fault);
	if (err == ERR_OK && c->subject_address)
		err = sign_in_failed(st, c->subject_address, rq->now_s, &rq->fault);
	return err;
}

static enum err count_right(struct request *rq, const struct password_check *c) {
	struct store *st = request_store(rq);
	bool was_locked;
	enum err err = sign_in_succeeded(st, c->subject_badge, &rq->fault);
	if (err == ERR_OK) err = pin_unlock(st, c->account, &was_locked, &rq->fault);
	if (err != ERR_OK || !was_locked) return err;
	request_acts_as(rq, c->account, c->badge, c->name);
	request_action(rq, "unlock own PIN by password");
	return arena_failed(&rq->arena) ? request_fail(rq, ERR_MEMORY, "There is no memory left.")
					: ERR_OK;
}

enum err password_settle(struct request *rq, const struct password_check *c, const char *name,
			 const char *words, bool *proved) {
	*proved = c->holds && !c->wait_s;
	if (*proved) return count_right(rq, c);
	if (c->wait_s) {
		rq->fault.wait_s = c->wait_s;
		return request_fail(rq, ERR_TOO_MANY,
				    "Too many tries. Wait %d seconds, then try again.", c->wait_s);
	}
	enum err err = count_wrong(rq, c);
	return err == ERR_OK ? secret_refused(rq, name, words) : err;
}

/* --- the page ----------------------------------------------------------------------- */

static struct doc *inputs(struct request *rq, const struct doc *current,
			  const struct value *value) {
	struct doc *form = fields_form(&resource, &rq->arena, current, value, &rq->faults, false);
	for (size_t i = NEXT; i < FIELDS; i++) fields_form_remove(form, field[i].name);
	return form;
}

struct doc *sign_in_fields(struct request *rq, const char *badge) {
	struct doc *current = doc_map(&rq->arena);
	doc_set_text(current, "badge", badge);
	return inputs(rq, current, NULL);
}

static struct doc *sign_in_document(struct request *rq, const struct value *value) {
	struct doc *d = doc_map(&rq->arena);
	doc_set(d, "form", inputs(rq, NULL, value));
	rq->title = "Sign in";
	return d;
}

/* On a shared tablet the people of its station stand first. */
static enum err add_people(struct request *rq) {
	struct doc *people = doc_set_list(rq->doc, "people");
	doc_set_text(rq->doc, "tablet", rq->device.name);
	doc_set_text(rq->doc, "station", rq->device.station_name);
	if (!rq->device.tablet) return ERR_OK;
	enum err err =
	    tablet_people(request_store(rq), rq->device.station, &rq->arena, people, &rq->fault);
	for (struct doc *m = people ? people->first : NULL; err == ERR_OK && m; m = m->next)
		doc_set_text(m, "link",
			     carried_link(rq, arena_printf(&rq->arena, "/tablet/people/%lld",
							   (long long)doc_int(m, "account"))));
	return err;
}

/* Whose session on the tablet is locked is asked for the PIN first. */
static enum err sign_in_page(struct request *rq) {
	if (rq->device.locked && rq->method == METHOD_GET && !request_query(rq, "names"))
		return pin_page(rq, rq->device.locked);
	rq->doc = sign_in_document(rq, rq->value);
	carried_document(rq, rq->doc);
	return add_people(rq);
}

/* Who typed the form: a person of the tablet's station gives the PIN, others the password. */
static enum err keeping_person(struct request *rq, int64_t *account) {
	*account = rq->device.locked;
	if (!rq->device.tablet || *account) return ERR_OK;
	return tablet_person(request_store(rq), rq->device.station, request_hidden(rq, "_who"),
			     account, &rq->fault);
}

static enum err keeping_page(struct request *rq) {
	int64_t account;
	enum err err = keeping_person(rq, &account);
	if (err == ERR_OK && account) return pin_page(rq, account);
	rq->doc = sign_in_document(rq, NULL);
	rq->template_name = "sign-in";
	return err == ERR_OK ? add_people(rq) : err;
}

enum err sign_in_keeping(void *self, struct request *rq, const char *next) {
	if (!resend_is_possible(rq)) return ERR_OK;
	enum err err = app_read(self, rq, keeping_page);
	if (err != ERR_OK) return err;
	rq->version = 0;
	doc_set_text(rq->doc, "next", next);
	resend_pack(rq, rq->doc);
	return ERR_OK;
}

/* --- signing in and out ------------------------------------------------------------- */

static enum err sign_in_prepare(struct request *rq) {
	struct password_check *c = arena_new(&rq->arena, struct password_check);
	if (!c) return request_fail(rq, ERR_MEMORY, "There is no memory left.");
	rq->prepared = c;
	return password_check(rq, value_text(&rq->value[BADGE]), value_text(&rq->value[PASSWORD]),
			      c);
}

static enum err sign_in_handle(struct request *rq) {
	const struct password_check *c = rq->prepared;
	bool proved;
	enum err err = password_settle(
	    rq, c, "badge",
	    "Badge and password do not fit together, or the account is closed. Try again, or ask "
	    "an administrator.",
	    &proved);
	if (err != ERR_OK || !proved) return err;
	/* An answer kept for repetition would keep the secret too. */
	rq->idempotency_key = NULL;
	err = session_begin(rq, c->account, false);
	return err == ERR_OK ? carried_on(rq) : err;
}

/* On a shared tablet the next page has the names: it is handed over. */
static enum err sign_out(struct request *rq) {
	enum err err =
	    rq->who.session ? session_end(request_store(rq), rq->who.session, &rq->fault) : ERR_OK;
	if (err != ERR_OK) return err;
	rq->set_session = "";
	request_go(rq, false, "/sign-in");
	return ERR_OK;
}

static const char *const page_query[] = {"next", "names", NULL};

static const struct route route[] = {
    {METHOD_GET, "/sign-in", ROLE_NOBODY, RUN_READ, .handle = sign_in_page,
     .template_name = "sign-in", .query = page_query,
     .summary = "Sign-in page; on a shared tablet the people of its station"},
    {METHOD_POST, "/sign-in", ROLE_NOBODY, RUN_SLOW_CHANGE, .handle = sign_in_handle,
     .prepare = sign_in_prepare, .form = sign_in_page, .template_name = "sign-in",
     .resource = &resource, .query = page_query, .no_form_token = true, .summary = "Sign in"},
    {METHOD_POST, "/sign-out", ROLE_MEMBER, RUN_CHANGE, .handle = sign_out,
     .summary = "Sign out; a shared tablet is handed over so"},
};
const struct route_table sign_in_routes = {route, sizeof route / sizeof *route};
