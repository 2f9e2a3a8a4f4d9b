/*
 * One's own password and one's own PIN: each is changed by whoever knows the password.
 */
#include "base/limits.h"
#include "handlers/app.h"
#include "handlers/routes.h"
#include "handlers/sign_in.h"
#include "rules/pin.h"
#include "store/account.h"
#include "store/pin.h"

struct prepared {
	struct password_check check;
	char hash[PASSWORD_HASH_SIZE]; /* of the new secret */
};

/* Both forms ask for the same three. */
enum { OLD, NEW, AGAIN, FIELDS };

#define OLD_FIELD(name_of, label_of)                                                               \
	[OLD] = {.name = name_of, .label = label_of, .kind = FIELD_PASSWORD, .required = true}

_Static_assert(LIMIT_PASSWORD_CHARS_MIN == 10, "the help says so");
static const struct field password_field[FIELDS] = {
    OLD_FIELD("old_password", "Your password now"),
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
static const struct resource password_resource = {"password", "password", password_field, FIELDS};

_Static_assert(PIN_DIGITS_MIN == 6 && PIN_DIGITS_MAX == 12, "the help says so");
static const struct field pin_field[FIELDS] = {
    OLD_FIELD("password", "Your password"),
    [NEW] = {.name = "pin",
	     .label = "New PIN",
	     .help = "6 to 12 digits that nobody guesses: not 123456, not your badge.",
	     .kind = FIELD_PIN,
	     .required = true,
	     .max = PIN_DIGITS_MAX},
    [AGAIN] = {.name = "pin_again",
	       .label = "The new PIN again",
	       .kind = FIELD_PIN,
	       .required = true,
	       .max = PIN_DIGITS_MAX},
};
static const struct resource pin_resource = {"pin", "pin", pin_field, FIELDS};

/* --- what both do ------------------------------------------------------------------- */

static enum err page(struct request *rq, const struct resource *r, const char *action,
		     const char *title) {
	struct doc *d = rq->doc = doc_map(&rq->arena);
	doc_set(d, "form", fields_form(r, &rq->arena, NULL, rq->value, &rq->faults, false));
	doc_set_text(d, "action", action);
	doc_set_text(d, "back", "/");
	rq->title = title;
	return ERR_OK;
}

/* On the slow thread: is the new one typed twice, does the password hold, what is its hash? */
static enum err prepare(struct request *rq, const char *differ) {
	struct prepared *p = arena_new(&rq->arena, struct prepared);
	if (!p) return request_fail(rq, ERR_MEMORY, "There is no memory left.");
	rq->prepared = p;
	/* An answer kept for repetition would answer another try too. */
	rq->idempotency_key = NULL;
	if (!text_equal(value_text(&rq->value[NEW]), value_text(&rq->value[AGAIN])))
		return request_field_fault(rq, rq->resource->field[AGAIN].name, "%s", differ);
	enum err err = password_check(rq, rq->who.badge, value_text(&rq->value[OLD]), &p->check);
	if (err == ERR_OK && p->check.holds)
		err = password_hash(value_text(&rq->value[NEW]), false, p->hash, &rq->fault);
	return err;
}

static enum err settle(struct request *rq, bool *proved) {
	const struct prepared *p = rq->prepared;
	enum err err = password_settle(rq, &p->check, rq->resource->field[OLD].name,
				       "This is not your password now. Try again.", proved);
	if (err == ERR_OK && *proved) rq->doc = doc_map(&rq->arena);
	return err;
}

/* --- the password ------------------------------------------------------------------- */

static enum err password_page(struct request *rq) {
	return page(rq, &password_resource, "/password", "Your password");
}

static enum err password_prepare(struct request *rq) {
	return prepare(rq, "The two new passwords differ. Type the new one twice.");
}

/* Every session of the account ends; this browser gets a new one. */
static enum err password_store(struct request *rq) {
	const struct prepared *p = rq->prepared;
	bool proved;
	enum err err = settle(rq, &proved);
	if (err != ERR_OK || !proved) return err;
	err = account_set_password(request_store(rq), rq->who.account, p->hash, &rq->fault);
	if (err == ERR_OK && !rq->who.by_token)
		err = session_begin(rq, rq->who.account, rq->who.by_pin);
	if (err != ERR_OK) return err;
	request_action(rq, "change own password");
	request_go(rq, false, "/");
	return ERR_OK;
}

/* --- the PIN ------------------------------------------------------------------------ */

static enum err pin_form(struct request *rq) {
	return page(rq, &pin_resource, "/pin", "Your PIN for shared tablets");
}

static enum err pin_prepare(struct request *rq) {
	const char *why = pin_fault(value_text(&rq->value[NEW]), rq->who.badge);
	if (why) return request_field_fault(rq, "pin", "%s", why);
	return prepare(rq, "The two PINs differ. Type the new one twice.");
}

static enum err pin_store(struct request *rq) {
	const struct prepared *p = rq->prepared;
	bool proved;
	enum err err = settle(rq, &proved);
	if (err != ERR_OK || !proved) return err;
	err = pin_set(request_store(rq), rq->who.account, p->hash, rq->who.session, &rq->fault);
	if (err != ERR_OK) return err;
	request_action(rq, "change own PIN");
	request_go(rq, false, "/");
	return ERR_OK;
}

static const struct route route[] = {
    {METHOD_GET, "/password", ROLE_MEMBER, RUN_READ, .handle = password_page,
     .template_name = "form", .summary = "Form to change one's own password"},
    {METHOD_POST, "/password", ROLE_MEMBER, RUN_SLOW_CHANGE, .handle = password_store,
     .prepare = password_prepare, .form = password_page, .template_name = "form",
     .resource = &password_resource, .summary = "Change one's own password"},
    {METHOD_GET, "/pin", ROLE_MEMBER, RUN_READ, .handle = pin_form, .template_name = "form",
     .summary = "Form to set one's own PIN for the station's shared tablets"},
    {METHOD_POST, "/pin", ROLE_MEMBER, RUN_SLOW_CHANGE, .handle = pin_store, .prepare = pin_prepare,
     .form = pin_form, .template_name = "form", .resource = &pin_resource,
     .summary = "Set one's own PIN for the station's shared tablets"},
};
const struct route_table own_secret_routes = {route, sizeof route / sizeof *route};
