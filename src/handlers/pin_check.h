/*
 * Does somebody's PIN hold? Asked where a session begins on a shared tablet, and again by the
 * signature of an inspection in such a session.
 */
#ifndef PEGWARDEN_HANDLERS_PIN_CHECK_H
#define PEGWARDEN_HANDLERS_PIN_CHECK_H

#include "http/request.h"

struct pin_check {
	int64_t account;
	bool holds; /* the PIN as such: locks and waits are the change's */
};

/* On the slow thread. As costly when the account has no PIN, or there is none such. */
enum err pin_prepare_check(struct request *rq, int64_t account, const char *pin,
			   struct pin_check *c) MUST_CHECK;
/* In the change that follows, where tries stand one after another: counts a wrong one by person
 * and tablet, locks the PIN after the last that is allowed. ERR_TOO_MANY while one has to wait.
 * *proved is false when the answer is given already: the form again, with what to do. */
enum err pin_settle(struct request *rq, const struct pin_check *c, bool *proved) MUST_CHECK;

#endif
