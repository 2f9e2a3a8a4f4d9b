/*
 * A repair ticket as all that is done with it needs it: loading, what it asks for, its page.
 *
 * A ticket is made from open findings, sent, and comes back; from then on each part awaits its
 * return inspection.
 */
#ifndef PEGWARDEN_HANDLERS_DISPATCH_H
#define PEGWARDEN_HANDLERS_DISPATCH_H

#include "http/request.h"

/* The ticket of rq->id[0] and its items (rows of store/dispatch.h), added to the list, with the
 * number of each on the ticket: the same in words, in the drawing and in the table. */
enum err dispatch_load(struct request *rq, struct doc **row, struct doc *items) MUST_CHECK;
/* The same to change it: of the version the request speaks of, and in that state;
 * ERR_CONFLICT else. */
enum err dispatch_load_in_state(struct request *rq, const char *state, struct doc **row,
				struct doc *items) MUST_CHECK;

/* A part that is replaced is not repaired by anybody. */
bool dispatch_is_repaired(const struct doc *item);
/* Sets repair_label of each: who may repair it; NULL where nothing is repaired. */
void dispatch_label_repairs(struct doc *items);

/* The page of the ticket of rq->id[0]: dispatch, items (each with its advice; the first of a part
 * with the figure of handlers/figure.h, of only what is on the ticket), state_label, can_send,
 * can_return, is_returned. */
enum err dispatch_show(struct request *rq) MUST_CHECK;
/* Back to that page after a change of the ticket, in the words of the audit entry. */
enum err dispatch_go_back(struct request *rq, const char *action) MUST_CHECK;

#endif
