/*
 * The form of an inspection as it is on paper: every check point of a part in the order of work
 * with its boxes, and the words that are needed to write down what was found. Filled in from a
 * record, or blank.
 */
#ifndef PEGWARDEN_HANDLERS_INSPECTION_PAPER_H
#define PEGWARDEN_HANDLERS_INSPECTION_PAPER_H

#include "http/request.h"
#include "rules/verdict.h"

/* Sets of a map: paper [{title points [{code title look_for may_not_apply is_sound is_finding
 * is_not_applicable defects}]}], zones, asks_clean, asks_labels. answer: one for each point of the
 * list, or NULL for a blank form, which has the words for what may be found. */
void inspection_paper(struct request *rq, const struct checklist *list,
		      const struct part_subject *s, const enum answer *answer, struct doc *map);

#endif
