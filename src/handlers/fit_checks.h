/* Interface checks, on their own pages and on those of the member. */
#ifndef PEGWARDEN_HANDLERS_FIT_CHECKS_H
#define PEGWARDEN_HANDLERS_FIT_CHECKS_H

#include "http/request.h"

/*
 * Adds to the page of a member (row of store/member.h) the list fit_checks, and the list fit: for
 * each hazard that the member is assigned to hazard hazard_label, latest (the latest check that
 * counts, or null), changes (store/fit_check.h) and has_changes.
 */
enum err fit_checks_extend(struct request *rq, const struct doc *member,
			   struct doc *page) MUST_CHECK;

#endif
