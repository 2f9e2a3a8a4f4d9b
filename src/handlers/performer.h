/*
 * Who did the work, of which class on that day, and whether the work is open to it: what is on
 * record of members, providers and the department, for rules/qualification.h to judge.
 */
#ifndef PEGWARDEN_HANDLERS_PERFORMER_H
#define PEGWARDEN_HANDLERS_PERFORMER_H

#include "rules/qualification.h"
#include "store/store.h"

/* The setting that says yes where a third party verified the department. */
#define VERIFIED_ORGANIZATION "verified_organization"

/* Arena memory, all of it. */
struct performer {
	const char *name;
	enum performer_class class;
	/* Of no class on that day; without `ended` its class is not known, and nothing refused. */
	bool is_classless;
	const char *ended; /* why it is of none, or only a member, as a sentence; or NULL */
};
/* A member by the training on record; a provider by its row (name class in_house
 * verified_until). */
enum err performer_member(struct store *st, int64_t member, day on, struct arena *a,
			  struct performer *p, struct fault *f) MUST_CHECK;
enum err performer_provider(struct store *st, const struct doc *provider, day on, struct arena *a,
			    struct performer *p, struct fault *f) MUST_CHECK;
/* The provider of that id, or without one (0) the member, who records it and vouches for it.
 * ERR_INVALID at "provider" where there is no such provider. */
enum err performer_find(struct store *st, int64_t provider, int64_t member, day on, struct arena *a,
			struct performer *p, struct fault *f) MUST_CHECK;
/* Why the work is not open to it, in sentences; NULL: it is. */
const char *performer_refusal(const struct performer *p, enum work work, struct arena *a);
/* The word of its class; NULL: of none. */
const char *performer_word(const struct performer *p);

/* Of an item of a ticket (store/dispatch.h). What the handbook does not know is taken for the
 * hardest repair. */
enum repair_class performer_repair(const struct doc *item);
enum work performer_work(const struct doc *item);

/* "who_may" of a page: department_label; works, each word label cells of each class (class_label
 * allowed); classes, each word label rule works (label allowed source confidence
 * confidence_words). */
enum err performer_table(struct store *st, struct doc *page, struct fault *f) MUST_CHECK;

/* Puts "performer_remark" beside each "performer_class" of a list, or of one row; NULL where no
 * class is on record. */
void performer_remark(struct doc *row);
void performer_remarks(const struct doc *list);

#endif
