/* The advice to repair or to replace, as part of a document. */
#ifndef PEGWARDEN_HANDLERS_ADVICE_H
#define PEGWARDEN_HANDLERS_ADVICE_H

#include "http/request.h"

/* Sets "has_advice" (there is something to weigh) and "advice": outcome label, and a list "rules"
 * of outcome label arithmetic source. quote_cents: -1 when there is none. */
enum err advice_document(struct request *rq, struct doc *page, int64_t component,
			 int64_t quote_cents) MUST_CHECK;

#endif
