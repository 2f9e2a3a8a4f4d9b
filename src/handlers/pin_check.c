#include "handlers/pin_check.h"

#include "handlers/app.h"
#include "handlers/sign_in.h"
#include "rules/pin.h"
#include "store/account.h"
#include "store/pin.h"

static enum err load(struct request *rq, int64_t account, struct doc **row) {
	*row = NULL;
	return pin_of_account(request_store(rq), account, rq->device.tablet, &rq->arena, row,
			      &rq->fault);
}

enum err pin_prepare_check(struct request *rq, int64_t account, const char *pin,
			   struct pin_check *c) {
	struct doc *row;
	enum err err = load(rq, account, &row);
	if (err != ERR_OK) return err;
	*c = (struct pin_check){
	    .account = account,
	    .holds = password_holds(pin ? pin : "", doc_text(row, "pin_hash")),
	};
	return ERR_OK;
}

/* Why no PIN helps, whatever it is; NULL when one does. */
static const char *no_pin_helps(struct request *rq, const struct doc *row) {
	if (!row) return "This person has no account that is open. Ask an officer.";
	if (!doc_bool(row, "has_pin"))
		return arena_printf(&rq->arena,
				    "%s has no PIN yet. Sign in with badge and password, then set "
				    "one under Your PIN.",
				    doc_text(row, "name"));
	if (doc_bool(row, "is_locked"))
		return arena_printf(&rq->arena,
				    "The PIN of %s is locked after %d wrong ones. Sign in with "
				    "badge and password, or ask an officer to unlock it.",
				    doc_text(row, "name"), PIN_FAILURES_MAX);
	return NULL;
}

static enum err lock(struct request *rq, const struct doc *row) {
	char at[INSTANT_TEXT_SIZE];
	enum err err = pin_lock(request_store(rq), doc_int(row, "account"),
				instant_format(rq->now_s, at), &rq->fault);
	request_action(rq, arena_printf(&rq->arena, "lock PIN after %d wrong ones, tablet %s",
					PIN_FAILURES_MAX, rq->device.name));
	return err;
}

static enum err wrong(struct request *rq, const struct doc *row) {
	int64_t failures = doc_int(row, "failures") + 1, left = PIN_FAILURES_MAX - failures;
	enum err err = pin_failed(request_store(rq), doc_int(row, "account"), rq->device.tablet,
				  rq->now_s, &rq->fault);
	if (err == ERR_OK && left <= 0) err = lock(rq, row);
	if (err != ERR_OK) return err;
	const char *words =
	    left > 0
		? arena_printf(&rq->arena,
			       "This is not the PIN of %s. Try again; after %lld more wrong "
			       "%s it is locked.",
			       doc_text(row, "name"), (long long)left, left == 1 ? "one" : "ones")
		: arena_printf(&rq->arena,
			       "This is not the PIN of %s, and it is locked now. Sign in with "
			       "badge and password, or ask an officer to unlock it.",
			       doc_text(row, "name"));
	return secret_refused(rq, "pin", words);
}

enum err pin_settle(struct request *rq, const struct pin_check *c, bool *proved) {
	struct doc *row;
	*proved = false;
	enum err err = load(rq, c->account, &row);
	if (err != ERR_OK) return err;
	const char *words = no_pin_helps(rq, row);
	if (words) return secret_refused(rq, "pin", words);
	int64_t wait =
	    doc_int(row, "last_s") + pin_wait_s((int)doc_int(row, "failures")) - rq->now_s;
	if (wait > 0) {
		rq->fault.wait_s = (int)wait;
		return request_fail(rq, ERR_TOO_MANY,
				    "Too many wrong PINs. Wait %lld seconds, then try again.",
				    (long long)wait);
	}
	if (!c->holds) return wrong(rq, row);
	*proved = true;
	return pin_held(request_store(rq), c->account, rq->device.tablet, &rq->fault);
}
