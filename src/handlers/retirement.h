/* What other files need of retiring. */
#ifndef PEGWARDEN_HANDLERS_RETIREMENT_H
#define PEGWARDEN_HANDLERS_RETIREMENT_H

#include "http/request.h"

/* May it be retired on that day? ERR_CONFLICT when it was already, somebody has it still, an
 * inspection of it is under way, or it was issued, inspected or tested later. */
enum err retirement_check(struct request *rq, const struct doc *row, const char *on) MUST_CHECK;
/* Adds retired_text and disposal_text to a component's row: code and words as one line. */
void retirement_words(struct doc *row, struct arena *a);

#endif
