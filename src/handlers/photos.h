/*
 * Photos on the pages of others: which record shows which, with what words, and the form that
 * takes another one.
 */
#ifndef PEGWARDEN_HANDLERS_PHOTOS_H
#define PEGWARDEN_HANDLERS_PHOTOS_H

#include "http/request.h"

/* Of what: of a finding; else of a part, where no finding was written down for it. */
struct photo_of {
	int64_t finding;         /* 0: none */
	int64_t component;       /* looked at only without a finding */
	const char *check_point; /* of that part; NULL: of whichever, and of the part as a whole */
};

/* Sets photos [{id alt url picture small width height}] and has_photos of a map: those of the rows
 * (store/photo.h) that are of it; of NULL: all. */
void photos_show(struct doc *map, const struct doc *rows, const struct photo_of *of);

/* Sets photo_form {action error asks_point} of a page: where another photo is given; action NULL:
 * none is. asks_point: the page's script says of which point, so without scripts there is no form.
 */
void photo_form(struct request *rq, const char *action, bool asks_point);

/* Pages with that form in them, which show it again when the photo could not be taken. */
enum err inspection_part_page(struct request *rq) MUST_CHECK;        /* :id/parts/:id */
enum err inspection_finding_new_page(struct request *rq) MUST_CHECK; /* :id/parts/:id/findings */
enum err inspection_finding_page(struct request *rq) MUST_CHECK;     /* :id/findings/:id */

#endif
