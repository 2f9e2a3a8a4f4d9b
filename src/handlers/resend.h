/*
 * A form that came when its session had ended, on its way through the sign-in.
 */
#ifndef PEGWARDEN_HANDLERS_RESEND_H
#define PEGWARDEN_HANDLERS_RESEND_H

#include "http/request.h"

/* Was something typed that may go along? Not by other sites, not with a password in it. */
bool resend_is_possible(const struct request *rq);
/* What the form of the sign-in page sends along, into its document. What is longer than
 * LIMIT_RESEND_BYTES_MAX does not go along: the list "typed" shows it, to be copied. */
void resend_pack(struct request *rq, struct doc *d);
/* The same from what the sign-in was given, for the next try. Each may be NULL. */
void resend_offer(const struct request *rq, struct doc *d, const char *packed, const char *target);
/* For the server: see sign_in of http_host. In sign_in.c. */
enum err sign_in_keeping(void *self, struct request *rq, const char *next) MUST_CHECK;
/* Signed in: the answer is the page with a button that sends it to target, unless it was
 * typed by somebody else than rq->who. page: where its form is. */
enum err resend_page(struct request *rq, const char *packed, const char *target,
		     const char *page) MUST_CHECK;

#endif
