/*
 * Safety notices: what is recorded of them, what they concern, what was answered. What
 * they hit is derived: safety_items.h.
 */
#ifndef PEGWARDEN_STORE_SAFETY_NOTICE_H
#define PEGWARDEN_STORE_SAFETY_NOTICE_H

#include "store/store.h"

struct safety_notice_row {
	int64_t id;         /* 0: a new one */
	const char *number; /* of a new one; NULL: the next */
	const char *issuer, *reference, *issued_on, *title, *wrong, *action, *action_text, *due_on;
	int64_t recorded_by;
	const char *recorded_on;
	const char *asked_on, *asked_at; /* day and instant, when the action is another one */
};
/* A new one is numbered "S-<year>-<one more than the last of that year>". Another action than
 * before is asked for from now on: what was done for the one before counts no more. */
enum err safety_notice_save(struct store *st, const struct safety_notice_row *r, struct arena *a,
			    int64_t *id, struct fault *f) MUST_CHECK;
/* Columns of the list, and wrong action_text recorded_by_name closed_by_name asked_on asked_at
 * edition version; NULL: none. */
enum err safety_notice_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
			   struct fault *f) MUST_CHECK;
enum err safety_notice_close(struct store *st, int64_t id, int64_t by, const char *on,
			     const char *reason, bool withdrawn, struct fault *f) MUST_CHECK;

struct safety_scope_row {
	int64_t notice;
	const char *kind, *hazard, *maker, *model, *serial_from, *serial_to, *serials, *made_from,
	    *made_to;
	int64_t id; /* set when it is added */
};
/* Beyond the first it counts the notice's edition up. */
enum err safety_scope_add(struct store *st, struct safety_scope_row *r, bool is_first,
			  struct fault *f) MUST_CHECK;
/* ERR_NOT_FOUND when it is none of the notice, or dropped. */
enum err safety_scope_drop(struct store *st, int64_t notice, int64_t id, const char *on,
			   const char *reason, struct fault *f) MUST_CHECK;
/* id kind kind_label hazard maker model serial_from serial_to serials made_from made_to
 * dropped_on dropped_reason is_dropped. */
enum err safety_scopes(struct store *st, int64_t notice, struct arena *a, struct doc *list,
		       struct fault *f) MUST_CHECK;

struct safety_answer_row {
	int64_t notice, component, inspection, by;
	const char *answer, *note, *on;
	/* As they were then; action NULL: as they are now. */
	const char *action, *hit;
	int64_t edition;
	int64_t id; /* set */
};
enum err safety_answer_add(struct store *st, struct safety_answer_row *r,
			   struct fault *f) MUST_CHECK;
/* ERR_NOT_FOUND when it is none of the notice, or taken back already. */
enum err safety_answer_revoke(struct store *st, int64_t notice, int64_t id, int64_t by,
			      const char *on, const char *reason, struct fault *f) MUST_CHECK;
/* id component tag answer note inspection answered_on answered_by_name revoked_on
 * revoked_by_name revoked_reason is_revoked; of one component, or 0: of all, the latest 200. */
enum err safety_answers(struct store *st, int64_t notice, int64_t component, struct arena *a,
			struct doc *list, struct fault *f) MUST_CHECK;

/* The row of a notice for a component: component tag kind is_liner hit state is_left
 * retired_on asked_at asked_on; NULL: it does not hit it. */
enum err safety_item_get(struct store *st, int64_t notice, int64_t component, struct arena *a,
			 struct doc **row, struct fault *f) MUST_CHECK;
/* The latest inspection that does what the notice asks: signed after it was asked for, finished,
 * advanced or of the opened liner (only that, for a liner); 0: none. */
enum err safety_inspection_of(struct store *st, int64_t component, bool is_liner,
			      const char *asked_on, const char *asked_at, int64_t *inspection,
			      struct fault *f) MUST_CHECK;
/* Of a notice by station: station station_label hit left. */
enum err safety_stations(struct store *st, int64_t notice, struct arena *a, struct doc *list,
			 struct fault *f) MUST_CHECK;
/* Of a component: notice number title action action_text due_on hit reason state is_left, and
 * answers, what was done about it. */
enum err safety_notices_of_component(struct store *st, int64_t component, struct arena *a,
				     struct doc *list, struct fault *f) MUST_CHECK;
/* Those with something left: number title action due_on hit done left, the oldest first. */
enum err safety_notices_left(struct store *st, struct arena *a, struct doc *list,
			     struct fault *f) MUST_CHECK;
enum err safety_notices_left_count(struct store *st, int64_t *count, struct fault *f) MUST_CHECK;

/* --- as tables have them --- */

/* The notice of that number: id, and its columns; NULL: none. */
enum err safety_notice_find(struct store *st, const char *number, struct arena *a, struct doc **row,
			    struct fault *f) MUST_CHECK;
/* Its line-th line, from 1 on, as a table has it; *count: how many it has. */
enum err safety_scope_find(struct store *st, int64_t notice, int64_t line, struct arena *a,
			   struct doc **row, int64_t *count, struct fault *f) MUST_CHECK;
/* The turn-th answer for a component, from 1 on; *count: how many there are. */
enum err safety_answer_find(struct store *st, int64_t notice, int64_t component, int64_t turn,
			    struct arena *a, struct doc **row, int64_t *count,
			    struct fault *f) MUST_CHECK;

#endif
