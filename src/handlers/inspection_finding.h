/*
 * A finding as its pages and its storing share it: which point of which part is spoken of, and the
 * inputs of the form.
 *
 * Two pages have the form. That of one finding first asks which defect, and then offers what the
 * rules allow for it. That of any finding on a part has all of the part's points, defects and
 * outcomes: a tablet out of reach keeps it. Both are sent to the same place
 * (inspection_findings.c), where the rules decide.
 */
#ifndef PEGWARDEN_HANDLERS_INSPECTION_FINDING_H
#define PEGWARDEN_HANDLERS_INSPECTION_FINDING_H

#include "handlers/inspection_view.h"

enum {
	FINDING_POINT,
	FINDING_DEFECT,
	FINDING_ZONE,
	FINDING_FACE,
	FINDING_SIDE,
	FINDING_PLACE,
	FINDING_LENGTH,
	FINDING_SEVERITY,
	FINDING_OUTCOME,
	FINDING_OVERRIDE,
	FINDING_NOTE,
	FINDING_OPENING,
	FINDING_FIELDS
};
extern const struct resource inspection_finding_resource;

struct finding_page {
	struct inspection_view view;
	struct part_view *part;
	const struct check_point *point;     /* NULL: any of the part's */
	const struct subject_defect *defect; /* NULL: not chosen yet, or of any point */
	const struct doc *stored;            /* the finding being changed, or NULL */
};

/* What the request speaks of: is_new when the path names a part, else it names a finding. What is
 * sent in the body counts before the address, and that before what is stored; but a finding stays
 * at the point where it was made. The fault is of the field where a form was sent. */
enum err finding_page_load(struct request *rq, struct finding_page *p, bool is_new) MUST_CHECK;

/* --- the pages; those of one finding are declared in handlers/photos.h --- */

enum err finding_any_page(struct request *rq) MUST_CHECK;

/* --- their inputs, into rq->doc --- */

/* The list of places, and the drawing in which one is tapped, with what was found on the part
 * before. */
enum err finding_where_document(struct request *rq, const struct finding_page *p) MUST_CHECK;
/* Those that the rules allow for the defect; may_override, when one of them needs a reason. */
void finding_outcomes_document(struct request *rq, const struct finding_page *p);
/* The usual one is said, not chosen: how bad it is, only who looks can tell. */
void finding_severities_document(struct request *rq, const struct finding_page *p);
/* The inputs that need no rules: place, length, face, side, reason, note. After the others. */
void finding_inputs_document(struct request *rq, const struct finding_page *p);
/* The answer at a point and the findings there: what a tablet compares with what it saw. */
#define FINDING_SEEN_NOTHING "|"
const char *finding_seen_at(struct request *rq, const struct finding_page *p,
			    const struct check_point *point);

#endif
