/*
 * What is worn together, offered as ticks of a form's field "component": what happens to one
 * part of an outfit (an exposure, an incident) happened to the others too.
 */
#ifndef PEGWARDEN_HANDLERS_WORN_H
#define PEGWARDEN_HANDLERS_WORN_H

#include "http/request.h"

/*
 * The page's list "worn" (component tag kind_label ensemble is_selected option_id), has_worn and
 * component_error, and worn_label, for the component or the member that the address names, or for
 * wearer (0: nobody). Ticked at first: the outfit itself; other sets of the same member are
 * offered. typed: the value of the field, or NULL. The document must be there.
 */
enum err worn_choices(struct request *rq, const struct field *field, const struct value *typed,
		      int64_t wearer) MUST_CHECK;
/* ERR_INVALID, at the field, for a component named twice or that there is not. */
enum err worn_check(struct request *rq, const struct value *chosen) MUST_CHECK;

#endif
