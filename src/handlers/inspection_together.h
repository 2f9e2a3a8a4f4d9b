/*
 * Check points of a group that one tap answers sound together.
 *
 * Whoever answers so must have opened the page of that group (inspection_opening.h), and it is
 * recorded, with the points it answered: never one that has an answer, nor one with a finding still
 * open from before, where sound would mean mended. "all_sound" leaves it to the server which points
 * are left. A tablet whose network may be away says itself which ones its page showed ("together"),
 * sends their answers with it, and when it was by its own clock if that is some time ago.
 */
#ifndef PEGWARDEN_HANDLERS_INSPECTION_TOGETHER_H
#define PEGWARDEN_HANDLERS_INSPECTION_TOGETHER_H

#include "handlers/inspection_view.h"

/* Fields of the form beside the check points, whose codes have no such names. */
#define TOGETHER_FIELDS 5
extern const struct field together_field[TOGETHER_FIELDS];

/* Into d, for the page of a group: is anything left to answer so, and what is not. */
void together_offer(const struct part_view *p, const struct check_group *g, struct doc *d);
/* Is the answer of this point, which has none yet, left to together_answer? */
bool together_takes(const struct request *rq, const struct part_view *p, size_t point);
/* Answers in p->answer what is sent so, if anything, and records that. */
enum err together_answer(struct request *rq, const struct inspection_view *v, struct part_view *p,
			 const struct check_group *g) MUST_CHECK;

#endif
