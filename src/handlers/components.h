/* What the files about components share. */
#ifndef PEGWARDEN_HANDLERS_COMPONENTS_H
#define PEGWARDEN_HANDLERS_COMPONENTS_H

#include "http/request.h"

enum err component_get_row(struct request *rq, int64_t id, struct doc **row) MUST_CHECK;
/* The page of component rq->id[0]. */
enum err component_show(struct request *rq) MUST_CHECK;
/* May it be retired? ERR_CONFLICT when it was already, or somebody has it still. */
enum err component_check_retire(struct request *rq, const struct doc *row) MUST_CHECK;

#endif
