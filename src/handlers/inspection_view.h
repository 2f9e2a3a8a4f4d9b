/*
 * An inspection as its pages and its conclusion need it: the rows as documents,
 * and the same as the rules' structs.
 *
 * Built anew for each request from one inspection's rows; lives in the
 * request's arena. Pages and the signature use the same view, so what the
 * review page says is what signing does.
 */
#ifndef PEGWARDEN_HANDLERS_INSPECTION_VIEW_H
#define PEGWARDEN_HANDLERS_INSPECTION_VIEW_H

#include "http/request.h"
#include "rules/check_group.h"

struct part_view {
	int64_t id; /* of the inspection_part */
	int64_t component;
	int64_t version;
	const char *tag;
	const struct doc *row;
	struct part_record record;
	enum answer *answer;             /* record.answer, to be written */
	const struct check_group *group; /* as they are worked */
	size_t group_count;
	struct verdict verdict;
	struct doc **beneath; /* by follow-up of the verdict: the parts that become due */
	size_t due_count;     /* of its blockers: damage found above it in this inspection */
	size_t number;        /* 1-based place in the order of work */
	size_t asked_count;   /* check points this inspection asks of this part */
	size_t answered_count;
};

struct inspection_view {
	int64_t id;
	int64_t version;
	struct doc *row;
	const struct handbook *handbook;
	enum inspection_kind kind;
	bool is_draft;
	bool is_prepared; /* the questions before the check points are answered */
	struct part_view *part;
	size_t part_count;
	struct doc *findings;         /* of this inspection, not withdrawn */
	struct doc *earlier;          /* open findings of earlier inspections */
	struct doc *together;         /* what one tap answered sound, see store/inspection.h */
	bool is_finished;             /* nothing is unanswered: may be signed */
	const struct part_view *here; /* the part of the page, marked in the list; or NULL */
	size_t here_point;            /* index of the first check point of the page's group */
};

/* ERR_NOT_FOUND when there is no such inspection. */
enum err inspection_view_load(struct request *rq, int64_t id, struct inspection_view *v) MUST_CHECK;
/* The part of a component; NULL, with the fault set, when it has none. */
struct part_view *inspection_view_part(struct request *rq, struct inspection_view *v,
				       int64_t component);
/* The same, of a part with check points to answer: what was brought in without answers is
 * refused. */
enum err inspection_view_form_part(struct request *rq, struct inspection_view *v, int64_t component,
				   struct part_view **p) MUST_CHECK;
/* ERR_CONFLICT unless it is a draft, saying why it can't be changed. */
enum err inspection_view_check_draft(struct request *rq,
				     const struct inspection_view *v) MUST_CHECK;
/* May people of this role do inspections of this kind? */
bool inspection_is_open_to(enum role role, enum inspection_kind kind);
/* ERR_DENIED unless who asks may do inspections of this kind. */
enum err inspection_check_role(struct request *rq, enum inspection_kind kind) MUST_CHECK;
/* The group that the point, which is asked of the part, is worked in. */
const struct check_group *inspection_view_group(const struct part_view *p,
						const struct check_point *point);
/* Has the point a finding from before that is still open? */
bool inspection_view_is_open(const struct part_view *p, const char *check_point);
/* Stores p->answer. */
enum err inspection_view_store_answers(struct request *rq, const struct part_view *p) MUST_CHECK;
/* Stands v->here at that point of the part of the component, if it has one. */
void inspection_view_stand(struct inspection_view *v, int64_t component, size_t point);
/* Where the inspector goes next: the first thing without an answer from v->here on, then from the
 * beginning; else the review. */
const char *inspection_view_next(struct request *rq, const struct inspection_view *v);

/* The part of every page of an inspection: what it is, its parts and how far they are. */
void inspection_view_document(struct request *rq, const struct inspection_view *v);
/* "Coat shell: group 3 of 7 · part 2 of 9", and the groups of v->here with how far each is. */
void inspection_where_document(struct request *rq, const struct inspection_view *v,
			       const struct check_group *current);
/* Is the point asked of the part, and in that group? */
bool inspection_view_in_group(const struct part_view *p, size_t point, const struct check_group *g);
/* Each finding with its photos, each part of rq->doc with those that are of none. */
enum err inspection_view_photos(struct request *rq, const struct inspection_view *v) MUST_CHECK;
/* One part of it, as in the list of parts. */
void inspection_part_document(const struct inspection_view *v, const struct part_view *p,
			      struct doc *map);
/* The stored finding of that point on that part, or NULL; from: to begin after. */
const struct doc *inspection_view_finding(const struct doc *findings, int64_t component,
					  const char *check_point, const struct doc *after);

#endif
