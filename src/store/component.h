/*
 * Components, who has them, and their cleanings.
 */
#ifndef PEGWARDEN_STORE_COMPONENT_H
#define PEGWARDEN_STORE_COMPONENT_H

#include "store/store.h"

struct component_row {
	int64_t id; /* 0: a new one */
	const char *tag, *serial, *kind, *hazard, *maker, *model, *size, *made, *in_service_on,
	    *note;
	int64_t ensemble, station;
	bool cbrn, trim, reflective;
	int64_t cost_cents;  /* -1: unknown */
	int64_t life_months; /* the maker's limit; 0: none known */
};
enum err component_save(struct store *st, const struct component_row *row, struct arena *a,
			int64_t *id, struct fault *f) MUST_CHECK;
/* Everything about it on one row, with kind_label, ensemble_code, station_label, state,
 * blockers, ready_until, holder, holder_name, issue, issued_on, version. */
enum err component_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
		       struct fault *f) MUST_CHECK;
enum err component_by_tag(struct store *st, const char *tag, int64_t *id,
			  struct fault *f) MUST_CHECK;

/* Its life, newest first. */
enum err component_duties(struct store *st, int64_t id, day today, struct arena *a,
			  struct doc *list, struct fault *f) MUST_CHECK;
enum err component_inspections(struct store *st, int64_t id, int64_t limit, struct arena *a,
			       struct doc *list, struct fault *f) MUST_CHECK;
/* Those not taken back; also what is written down in the draft of that inspection, or 0. */
enum err component_findings(struct store *st, int64_t id, int64_t draft, struct arena *a,
			    struct doc *list, struct fault *f) MUST_CHECK;
enum err component_issues(struct store *st, int64_t id, struct arena *a, struct doc *list,
			  struct fault *f) MUST_CHECK;
enum err component_cleanings(struct store *st, int64_t id, struct arena *a, struct doc *list,
			     struct fault *f) MUST_CHECK;
enum err component_repairs(struct store *st, int64_t id, struct arena *a, struct doc *list,
			   struct fault *f) MUST_CHECK;
enum err component_entries(struct store *st, int64_t id, struct arena *a, struct doc *list,
			   struct fault *f) MUST_CHECK;

enum err component_withdraw(struct store *st, int64_t id, const char *reason,
			    struct fault *f) MUST_CHECK; /* NULL: set free again */

enum err issue_insert(struct store *st, int64_t component, int64_t member, const char *on,
		      const char *condition, const char *note, struct fault *f) MUST_CHECK;
/* Did anybody have it between those days? until NULL: still. Given back and issued again on one day
 * do not meet. */
enum err issue_meets(struct store *st, int64_t component, const char *from, const char *until,
		     bool *meets, struct fault *f) MUST_CHECK;
enum err issue_end(struct store *st, int64_t issue, const char *on, const char *condition,
		   struct fault *f) MUST_CHECK;

struct cleaning_row {
	int64_t component;
	const char *cleaned_on, *class, *reason, *performed_by, *note;
	int64_t provider;
	const char *performer_class; /* on that day; NULL: not on record */
	bool sanitized;              /* beside being cleaned */
	/* How, as far as it was written down. */
	const char *method;   /* 'machine', 'hand' */
	const char *washer;   /* 'front', 'top' */
	int64_t load_percent; /* 0: not written down */
	bool has_prepared, prepared;
	bool has_water, has_bleach, bleach;
	int64_t water_mf, ph_hundredths, force_g; /* 0: not written down */
	const char *dried;                        /* 'air', 'cabinet', 'machine' */
	bool has_dry;
	int64_t dry_mf;
	bool beyond;     /* what gear stands; see rules/cleaning.h */
	bool done_after; /* what was exposed and found up to its day: it ends that */
};
/* Unless it was a routine one, it ends what waits for it from the days before. */
enum err cleaning_insert(struct store *st, const struct cleaning_row *row,
			 struct fault *f) MUST_CHECK;
/* Does something wait for cleaning since that very day, so that it has to be said which was
 * first? */
enum err cleaning_meets(struct store *st, int64_t component, const char *on, bool *meets,
			struct fault *f) MUST_CHECK;

#endif
