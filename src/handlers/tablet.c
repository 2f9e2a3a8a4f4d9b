/*
 * The shared tablet itself: a code makes it one of the station's, and from then on the people
 * of that station begin a session on it with their PIN.
 *
 * The secret of the tablet goes along as a cookie that no other site can make it send. Without
 * it a PIN opens nothing: its page is not even there.
 */
#include "handlers/tablet.h"

#include "handlers/app.h"
#include "handlers/pin_check.h"
#include "handlers/routes.h"
#include "handlers/sign_in.h"
#include "rules/pin.h"
#include "store/pin.h"
#include "store/session.h"
#include "store/tablet.h"

/* --- enrolling ---------------------------------------------------------------------- */

enum { CODE, CODE_FIELDS };
static const struct field code_field[CODE_FIELDS] = {
    [CODE] = {.name = "code",
	      .label = "Code",
	      .help = "Eight letters and digits, from the page of the tablet.",
	      .kind = FIELD_TEXT,
	      .required = true,
	      .max = 40},
};
static const struct resource code_resource = {"tablet_code", "tablet_codes", code_field,
					      CODE_FIELDS};

static enum err enrol_page(struct request *rq) {
	struct doc *d = rq->doc = doc_map(&rq->arena);
	doc_set(d, "form",
		fields_form(&code_resource, &rq->arena, NULL, rq->value, &rq->faults, false));
	doc_set_text(d, "tablet", rq->device.name);
	doc_set_text(d, "station", rq->device.station_name);
	rq->title = "Make this a shared tablet";
	return ERR_OK;
}

/* Wrong codes slow down their address; those of no known address slow down each other. */
static const char *guesser(struct request *rq) {
	return arena_printf(&rq->arena, "enrol:%s", rq->address ? rq->address : "unknown");
}

static enum err refuse_code(struct request *rq, const char *subject) {
	enum err err = sign_in_failed(request_store(rq), subject, rq->now_s, &rq->fault);
	return err == ERR_OK ? secret_refused(rq, "code",
					      "This code is not valid: mistyped, used already, or "
					      "older than 15 minutes. Ask the officer for another.")
			     : err;
}
_Static_assert(TABLET_CODE_MINUTES == 15, "the words say so");

static enum err enrol(struct request *rq) {
	struct store *st = request_store(rq);
	const char *secret = secret_new(&rq->arena), *subject = guesser(rq);
	int wait_s;
	int64_t id = 0;
	if (!secret || !subject) return request_fail(rq, ERR_MEMORY, "There is no memory left.");
	enum err err = sign_in_wait(st, subject, rq->now_s, &wait_s, &rq->fault);
	if (err == ERR_OK && wait_s) {
		rq->fault.wait_s = wait_s;
		return request_fail(rq, ERR_TOO_MANY,
				    "Too many tries. Wait %d seconds, then try again.", wait_s);
	}
	if (err == ERR_OK)
		err = tablet_enrol(st, value_text(&rq->value[CODE]), secret, rq->now_s, &rq->arena,
				   &id, &rq->fault);
	if (err != ERR_OK) return err;
	if (!id) return refuse_code(rq, subject);
	/* An answer kept for repetition would come without the secret. */
	rq->idempotency_key = NULL;
	rq->set_tablet = secret;
	rq->doc = doc_map(&rq->arena);
	doc_set_bool(rq->doc, "enrolled", true);
	request_action(rq, "enrol tablet");
	request_go(rq, false, "/sign-in?names=yes");
	return sign_in_succeeded(st, subject, &rq->fault);
}

/* --- a session by PIN --------------------------------------------------------------- */

enum { PIN, NEXT, RESEND, RESEND_TARGET, FIELDS };
static const struct field field[FIELDS] = {
    [PIN] =
	{.name = "pin", .label = "PIN", .kind = FIELD_PIN, .required = true, .max = PIN_DIGITS_MAX},
    CARRIED_FIELDS(NEXT, RESEND, RESEND_TARGET),
};
static const struct resource resource = {"tablet_sign_in", "tablet-sign-in", field, FIELDS};

/* Where no PIN helps, badge and password do, and what was typed goes along that way. */
static void pin_form(struct request *rq, const struct doc *row, struct doc *d) {
	bool helps = doc_bool(row, "has_pin") && !doc_bool(row, "is_locked");
	struct doc *form = helps ? fields_form(&resource, &rq->arena, NULL,
					       request_values(rq, &resource), &rq->faults, false)
				 : sign_in_fields(rq, doc_text(row, "badge"));
	for (size_t i = NEXT; helps && i < FIELDS; i++) fields_form_remove(form, field[i].name);
	doc_set(d, "form", form);
	if (helps)
		doc_set_printf(d, "action", "/tablet/people/%lld",
			       (long long)doc_int(row, "account"));
	else doc_set_text(d, "action", "/sign-in");
	doc_set_bool(d, "has_pin", doc_bool(row, "has_pin"));
	doc_set_bool(d, "is_locked", doc_bool(row, "is_locked"));
	rq->title = arena_printf(&rq->arena, "%s: your %s", doc_text(row, "name"),
				 helps ? "PIN" : "password");
}

enum err pin_page(struct request *rq, int64_t account) {
	struct doc *row = NULL, *d = rq->doc = doc_map(&rq->arena);
	enum err err = pin_of_account(request_store(rq), account, rq->device.tablet, &rq->arena,
				      &row, &rq->fault);
	if (err == ERR_OK && (!row || doc_int(row, "station") != rq->device.station))
		err = request_fail(rq, ERR_NOT_FOUND,
				   "There is nobody of this station with the number %lld.",
				   (long long)account);
	if (err != ERR_OK) return err;
	pin_form(rq, row, d);
	doc_set_int(d, "account", account);
	doc_set_text(d, "name", doc_text(row, "name"));
	doc_set_bool(d, "was_left", rq->device.locked == account);
	doc_set_text(d, "others", carried_link(rq, "/sign-in?names=yes"));
	carried_document(rq, d);
	rq->template_name = "tablet-pin";
	return ERR_OK;
}

static enum err person_page(struct request *rq) { return pin_page(rq, rq->id[0]); }

static enum err person_prepare(struct request *rq) {
	struct pin_check *c = arena_new(&rq->arena, struct pin_check);
	if (!c) return request_fail(rq, ERR_MEMORY, "There is no memory left.");
	rq->prepared = c;
	return pin_prepare_check(rq, rq->id[0], value_text(&rq->value[PIN]), c);
}

static enum err person_sign_in(struct request *rq) {
	const struct pin_check *c = rq->prepared;
	bool proved;
	/* Of this station still, and the page for a wrong one. */
	enum err err = pin_page(rq, c->account);
	if (err == ERR_OK) err = pin_settle(rq, c, &proved);
	if (err != ERR_OK || !proved) return err;
	rq->idempotency_key = NULL;
	err = session_begin(rq, c->account, true);
	return err == ERR_OK ? carried_on(rq) : err;
}

static const char *const page_query[] = {"next", NULL};

static const struct route route[] = {
    {METHOD_GET, "/tablet/enrol", ROLE_NOBODY, RUN_READ, .handle = enrol_page,
     .template_name = "tablet-enrol", .summary = "Form that makes this a shared tablet"},
    {METHOD_POST, "/tablet/enrol", ROLE_NOBODY, RUN_CHANGE, .handle = enrol, .form = enrol_page,
     .template_name = "tablet-enrol", .resource = &code_resource, .no_form_token = true,
     .summary = "Make this a shared tablet, by the one-time code of an officer"},
    {METHOD_GET, "/tablet/people/:id", ROLE_NOBODY, RUN_READ, .handle = person_page,
     .template_name = "tablet-pin", .query = page_query, .on_tablet = true,
     .summary = "Page on which a person of the station gives the PIN"},
    {METHOD_POST, "/tablet/people/:id", ROLE_NOBODY, RUN_SLOW_CHANGE, .handle = person_sign_in,
     .prepare = person_prepare, .form = person_page, .template_name = "tablet-pin",
     .resource = &resource, .query = page_query, .no_form_token = true, .on_tablet = true,
     .summary = "Begin a session on a shared tablet with a PIN"},
};
const struct route_table tablet_routes = {route, sizeof route / sizeof *route};
