/*
 * When a page of the form was shown, and what follows from it when that page is saved.
 *
 * Showing a page changes nothing on record, so the page itself carries its opening: the second it
 * was shown and a seal over that, the part, the page and who saw it. Only this server can make
 * one, and it holds nowhere else. From it the time worked on a part is counted
 * (rules/work_time.h), and the server knows that somebody saw the points that one tap answers.
 */
#ifndef PEGWARDEN_HANDLERS_INSPECTION_OPENING_H
#define PEGWARDEN_HANDLERS_INSPECTION_OPENING_H

#include "handlers/inspection_view.h"

#define OPENING_CHARS_MAX 80
/* The field of a form that carries it. */
#define OPENING_FIELD                                                                              \
	{                                                                                          \
		.name = "opening", .label = "Opening of the page",                                 \
		.help =                                                                            \
		    "As the page or its document said it: from it the time worked is counted.",    \
		.kind = FIELD_TAG, .max = OPENING_CHARS_MAX                                        \
	}

/* Into rq->doc, for a page of a part: a group's code, or a finding's check point. What was sent
 * along with a form that is shown again still holds. */
void inspection_opening_document(struct request *rq, const struct part_view *p, const char *page,
				 const char *sent);
/* Whether it is one of that page; *opened_s is when. */
bool inspection_opening_holds(struct request *rq, const struct part_view *p, const char *page,
			      const char *opening, int64_t *opened_s);
/* The page is saved now: counts the time worked, when the opening holds. */
enum err inspection_opening_count(struct request *rq, const struct inspection_view *v,
				  const struct part_view *p, const char *page,
				  const char *opening) MUST_CHECK;

/* "12 min 5 s"; NULL when it was not measured. */
const char *inspection_worked_words(struct arena *a, const struct doc *row);

#endif
