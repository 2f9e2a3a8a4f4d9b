/* What the files about components share. */
#ifndef PEGWARDEN_HANDLERS_COMPONENTS_H
#define PEGWARDEN_HANDLERS_COMPONENTS_H

#include "http/request.h"

/* Of store/component.h, with retired_text and disposal_text; *row is NULL when there is none. */
enum err component_get_row(struct request *rq, int64_t id, struct doc **row) MUST_CHECK;
/* Does a blocker of this code keep it out of service? Of a row as above. */
bool component_has_blocker(const struct doc *row, const char *code);
/* Nothing serves before it was made: then one of the days is wrong, and of one its age is counted.
 */
bool component_serves_before_made(const char *made, const char *in_service_on);
/* The page of component rq->id[0]. */
enum err component_show(struct request *rq) MUST_CHECK;

#endif
