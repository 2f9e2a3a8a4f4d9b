/*
 * From what was found on one part to what follows from it.
 *
 * The conclusion is computed, never typed. A check point without an answer
 * means "not finished", never "sound".
 */
#ifndef PEGWARDEN_RULES_VERDICT_H
#define PEGWARDEN_RULES_VERDICT_H

#include "base/arena.h"
#include "base/day.h"
#include "base/fault.h"
#include "rules/handbook.h"
#include "rules/standing.h"

enum answer { ANSWER_NONE, ANSWER_SOUND, ANSWER_FINDING, ANSWER_NOT_APPLICABLE, ANSWER_COUNT };
/* "", "sound", "finding", "not_applicable" */
extern const char *const answer_word[ANSWER_COUNT];

/* Answers to the questions before the check points. */
enum agreement { AGREES_UNANSWERED, AGREES_YES, AGREES_NO, AGREES_NOT_APPLICABLE, AGREEMENT_COUNT };
/* "", "yes", "no", "not_applicable" */
extern const char *const agreement_word[AGREEMENT_COUNT];

enum conclusion {
	CONCLUSION_NOT_FINISHED,
	CONCLUSION_CLEAN_FIRST,
	CONCLUSION_RETURN_TO_SERVICE,
	CONCLUSION_OUT_OF_SERVICE,
	CONCLUSION_RETIRE,
	CONCLUSION_COUNT
};
extern const char *const conclusion_word[CONCLUSION_COUNT];
extern const char *const conclusion_label[CONCLUSION_COUNT];

/* Which questions a part is asked. */
struct part_subject {
	const struct kind *kind;
	bool trim;
	bool reflective;
	enum inspection_kind inspection;
	/* findings open from before: a return inspection asks their check points too */
	const struct open_finding *open;
	size_t open_count;
};
bool point_is_asked(const struct check_point *point, const struct part_subject *s);
/* Whether the inspection asks "is it clean?", and "do the labels agree?", of such a part. */
bool part_asks_clean(const struct part_subject *s);
bool part_asks_labels(const struct handbook *hb, const struct part_subject *s);

/* A finding as it is written down. */
struct finding {
	int64_t id;              /* 0: not stored yet */
	const char *check_point; /* code */
	const char *defect;      /* code */
	const char *zone;        /* code, or NULL */
	const char *face;        /* 'front', 'back', or NULL */
	const char *side;        /* 'outside', 'inside', or NULL */
	const char *place;       /* words, or NULL */
	const char *severity;    /* word */
	const char *outcome;     /* code */
	const char *override_reason;
	int length_mm; /* 0: not given */
};

/* An outcome that may be chosen for a defect at a check point. */
struct allowed_outcome {
	const struct outcome *outcome;
	bool is_default;   /* the trade's own */
	bool needs_reason; /* looser than the trade's own: the department overrides it */
};
#define ALLOWED_OUTCOMES_MAX (1 + 2 * SUBJECT_OUTCOMES_MAX)
/* In the order of the rows, the default first; returns how many. Where only
 * the default and stricter ones come out, nobody can override it. */
size_t allowed_outcomes(const struct subject_defect *d,
			struct allowed_outcome allowed[ALLOWED_OUTCOMES_MAX]);

/* May what was found come to that outcome, for that reason? Faults as below; true: there is none.
 */
bool finding_check_outcome(const struct finding *fd, const struct subject_defect *d,
			   struct fault_list *faults, struct arena *a);

/* Checks a finding against the list and the rules. Faults carry the field's
 * name: check_point, defect, zone, face, side, place, severity, outcome,
 * override_reason, length_mm. True when there is none. */
bool finding_check(const struct finding *fd, const struct handbook *hb,
		   const struct checklist *list, struct fault_list *faults, struct arena *a);

/* How hard it is to mend (who may: qualification.h): a length not given is taken for too long. */
enum repair_class finding_repair_class(const struct subject_defect *d, int length_mm);

/* What has been seen of one part so far. */
struct part_record {
	struct part_subject subject;
	const struct checklist *checklist;
	enum agreement clean; /* YES, NO or UNANSWERED */
	enum agreement model_agrees;
	enum agreement size_agrees;
	const enum answer *answer;     /* one for each point of the list */
	const struct finding *finding; /* those of this inspection, not withdrawn */
	size_t finding_count;
	/* where the component stands before this inspection is signed, or NULL: a blocker
	 * that this inspection does not lift stays one */
	const struct standing *before;
	day on;                 /* of the inspection */
	const char *started_at; /* instant, RFC 3339; what became due later is not lifted */
	bool has_left;          /* for a provider, while it was being inspected; back or not */
};

/* Dirty by the record, and no cleaning is on it since: exposed, taken back soiled or contaminated,
 * or with a finding that cleaning ends. Of what is signed: no. */
bool part_waits_for_cleaning(const struct part_record *part);

/* Found not clean, or waiting for cleaning: nothing more is asked of it and nothing is
 * settled by this inspection, since dirt hides damage. What was written down before that was said
 * stays. */
bool part_is_dirty(const struct part_record *part);

/* It left for a provider while it was being inspected: nobody can tell what was seen before and
 * what was only written down after. Nothing more is asked of it, so that the other parts can be
 * signed; it is not finished, and nothing is settled, also when it is back. */
bool part_is_away(const struct part_record *part);

/* Something without an answer. */
struct unanswered {
	const struct check_point *point; /* NULL: a question before the points */
	const char *code; /* of the point, or "clean", "model_agrees", "size_agrees" */
	const char *text; /* what is still to do */
};

/* A kind of part that became due because of a finding on this one. */
struct follow_up {
	const struct finding *finding;
	const struct kind *kind; /* lies beneath; of the same ensemble */
	enum duty_code duty;
	const char *reason;
};

struct verdict {
	enum conclusion conclusion;
	const struct blocker *blocker; /* arena memory, all of these */
	size_t blocker_count;
	const struct unanswered *unanswered;
	size_t unanswered_count;
	const struct follow_up *follow_up;
	size_t follow_up_count;
};

/* The findings must have passed finding_check. */
void verdict_make(struct verdict *v, const struct part_record *part, const struct handbook *hb,
		  struct arena *a);

/*
 * The part lies beneath damage found in the same inspection, so it becomes due for a thorough
 * look however sound it was answered: the look was made before the damage above was known. above
 * is the tag of the damaged part. Until that duty is done, it is out of service.
 */
void verdict_lies_beneath(struct verdict *v, const struct follow_up *u, const char *above,
			  struct arena *a);

/*
 * Does the signed return inspection end a finding from before? Only when it came back from
 * a provider repaired, or without a fault, by the day of the inspection, is of an outcome that
 * a repair can end, and its check point is sound now.
 */
bool verdict_mends(const struct part_record *part, const struct open_finding *open);
/* Would it, if the check point were answered sound? */
bool verdict_can_mend(const struct part_record *part, const struct open_finding *open);

#endif
