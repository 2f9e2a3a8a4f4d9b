/* What the handlers of safety notices share: the page of one. */
#ifndef PEGWARDEN_HANDLERS_SAFETY_NOTICES_H
#define PEGWARDEN_HANDLERS_SAFETY_NOTICES_H

#include "http/request.h"

enum err safety_notice_show(struct request *rq) MUST_CHECK;
/* ERR_NOT_FOUND; ERR_STALE when the request speaks of another version. */
enum err safety_notice_load(struct request *rq, struct doc **row) MUST_CHECK;
/* Back to the page after a change of something about the notice. */
enum err safety_notice_again(struct request *rq, const char *action) MUST_CHECK;

/* The items of rq->id[0] as a list, and the form to answer some; of safety_answers.c. */
enum err safety_items_document(struct request *rq, const struct doc *notice) MUST_CHECK;

/* Adds "safety_notices" of a component to its page. */
enum err safety_notices_on_page(struct request *rq, int64_t component, struct doc *page) MUST_CHECK;

#endif
