/*
 * The menu of every page: where somebody of a role may go, in groups.
 */
#ifndef PEGWARDEN_HANDLERS_NAVIGATION_H
#define PEGWARDEN_HANDLERS_NAVIGATION_H

#include "http/request.h"

/* "navigation" of the chrome: groups of heading and places [{path label is_here}]. */
void navigation_add(const struct request *rq, struct doc *chrome);

#endif
