/*
 * Inspections, the parts looked at, and what was found on them.
 *
 * Reading fills documents. Writing runs inside a change; what follows from a
 * fact (duties, standing, readiness) is the settle step's, never done here.
 */
#ifndef PEGWARDEN_STORE_INSPECTION_H
#define PEGWARDEN_STORE_INSPECTION_H

#include "store/store.h"

/* --- reading -------------------------------------------------------------- */

/* id kind state ensemble ensemble_code hazard line inspector inspector_name performer
 * performer_class started_at inspected_on signed_at note version; NULL when there is none. */
enum err inspection_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
			struct fault *f) MUST_CHECK;
/* In the order of work: id component tag serial kind hazard maker model size made
 * has_trim is_reflective checklist clean model_agrees size_agrees answers conclusion
 * blocker_count worked_s worked_until version. */
enum err inspection_parts(struct store *st, int64_t id, struct arena *a, struct doc *list,
			  struct fault *f) MUST_CHECK;
/* Those not withdrawn: id component check_point defect defect_label zone zone_label face
 * side place severity outcome outcome_label override_reason length_mm note state version tag. */
enum err inspection_findings(struct store *st, int64_t id, struct arena *a, struct doc *list,
			     struct fault *f) MUST_CHECK;
/* Open findings of earlier inspections on the parts of this one; same columns. */
enum err inspection_earlier_findings(struct store *st, int64_t id, struct arena *a,
				     struct doc *list, struct fault *f) MUST_CHECK;
/* What one tap answered sound, in the order in which it was: component group_code group_title
 * points (a list of codes) opened_at answered_at answered_by answered_by_name. */
enum err inspection_answered_together(struct store *st, int64_t id, struct arena *a,
				      struct doc *list, struct fault *f) MUST_CHECK;
enum err inspection_finding_get(struct store *st, int64_t inspection, int64_t finding,
				struct arena *a, struct doc **row, struct fault *f) MUST_CHECK;

/* What an inspection could be made of, in the order of work: component tag kind kind_label
 * hazard has_trim is_reflective state draft (the open inspection it is in, or null). */
enum err inspection_candidates_of_ensemble(struct store *st, int64_t ensemble, struct arena *a,
					   struct doc *list, struct fault *f) MUST_CHECK;
enum err inspection_candidate(struct store *st, int64_t component, struct arena *a,
			      struct doc **row, struct fault *f) MUST_CHECK;

/* --- writing -------------------------------------------------------------- */

struct inspection_start {
	const char *kind;
	int64_t ensemble; /* 0: single components */
	int64_t inspector;
	const char *started_at;
	const char *inspected_on;
};
enum err inspection_insert(struct store *st, const struct inspection_start *start, int64_t *id,
			   struct fault *f) MUST_CHECK;
/* Adds a component to it, at that place in the order of work. */
enum err inspection_part_insert(struct store *st, int64_t inspection, int64_t component,
				int64_t checklist, int64_t position, struct fault *f) MUST_CHECK;

enum err inspection_part_prepare(struct store *st, int64_t part, const char *clean,
				 const char *model_agrees, const char *size_agrees,
				 struct fault *f) MUST_CHECK;
/* answers: a JSON object, check point code -> word. */
enum err inspection_part_answer(struct store *st, int64_t part, const char *answers,
				struct fault *f) MUST_CHECK;
/* Adds the seconds worked on it; until is the instant up to which they are counted. */
enum err inspection_part_work(struct store *st, int64_t part, int64_t seconds, const char *until,
			      struct fault *f) MUST_CHECK;
struct together_row {
	int64_t inspection, component;
	const char *group_code, *group_title;
	const char *points;                  /* a JSON list of their codes */
	const char *opened_at, *answered_at; /* by the server's clock: shown, arrived */
	int64_t answered_by;
	/* By the tablet's clock, when it was answered while the network was away; else NULL. */
	const char *away_opened_at, *away_answered_at;
};
enum err answered_together_insert(struct store *st, const struct together_row *row,
				  struct fault *f) MUST_CHECK;
enum err inspection_part_sign(struct store *st, int64_t part, const char *conclusion,
			      int64_t blocker_count, struct fault *f) MUST_CHECK;
enum err inspection_sign(struct store *st, int64_t id, const char *signed_at, const char *note,
			 const char *performer_class, struct fault *f) MUST_CHECK;
enum err inspection_abandon(struct store *st, int64_t id, const char *reason,
			    struct fault *f) MUST_CHECK;
enum err inspection_take_over(struct store *st, int64_t id, int64_t inspector,
			      struct fault *f) MUST_CHECK;

/* Counts up the version: a page loaded before is stale now. */
enum err inspection_touch(struct store *st, int64_t id, struct fault *f) MUST_CHECK;
enum err inspection_part_touch(struct store *st, int64_t part, struct fault *f) MUST_CHECK;

struct finding_row {
	int64_t id; /* 0: a new one */
	int64_t component;
	int64_t inspection;
	const char *check_point, *defect, *zone, *face, *side, *place;
	const char *severity, *outcome, *override_reason, *note;
	int64_t length_mm; /* 0: none */
};
enum err finding_save(struct store *st, const struct finding_row *row, int64_t *id,
		      struct fault *f) MUST_CHECK;
/* state 'open' or 'accepted' when its inspection is signed, 'withdrawn' in the draft. */
enum err finding_set_state(struct store *st, int64_t id, const char *state,
			   struct fault *f) MUST_CHECK;
/* A signed inspection found the place sound again. */
enum err finding_mend(struct store *st, int64_t id, int64_t by_inspection, const char *on,
		      struct fault *f) MUST_CHECK;

/* The parts of that kind beneath a component, in its ensemble or worn with it: component, tag. */
enum err inspection_parts_beneath(struct store *st, int64_t component, const char *beneath_kind,
				  struct arena *a, struct doc *list, struct fault *f) MUST_CHECK;
/* These parts become due because of the finding. */
enum err follow_up_insert(struct store *st, int64_t component, const char *beneath_kind,
			  int64_t finding, const char *duty, const char *due_on, const char *reason,
			  struct fault *f) MUST_CHECK;
/* Open ones of a component and duty are done by this inspection. */
enum err follow_up_done(struct store *st, int64_t component, const char *duty, int64_t inspection,
			struct fault *f) MUST_CHECK;

#endif
