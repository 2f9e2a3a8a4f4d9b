/*
 * Safe repetition: the same Idempotency-Key with the same request gets the
 * first answer again; with another request it is refused.
 */
#ifndef PEGWARDEN_HANDLERS_REPEAT_H
#define PEGWARDEN_HANDLERS_REPEAT_H

#include "http/request.h"

/* *repeated: the answer is in rq already. */
enum err repeat_find(struct request *rq, bool *repeated) MUST_CHECK;
/* Keeps the answer, in the transaction of the change. */
enum err repeat_keep(struct request *rq) MUST_CHECK;

#endif
