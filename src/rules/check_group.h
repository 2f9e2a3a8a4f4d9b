/*
 * Groups of check points as they are worked, a page of the form each.
 *
 * A check list names a group for each of its points, in the order of work. Neighbouring small
 * groups are worked as one, so that nobody turns a page for a single point; a group is never
 * split, and the order never changes.
 */
#ifndef PEGWARDEN_RULES_CHECK_GROUP_H
#define PEGWARDEN_RULES_CHECK_GROUP_H

#include "rules/verdict.h"

/* Groups are joined while they have no more points than this together: what a tablet shows at
 * one or two glances. */
#define GROUP_POINTS_MAX 4

struct check_group {
	const char *code;  /* of the first that was joined */
	const char *title; /* of all that were joined: "Seams · Closures" */
	size_t first, end; /* indexes of points of the list, end excluded */
	size_t asked;      /* how many of those are asked of the part; never 0 */
};

/* The groups of a part; *count of them in arena memory, NULL when that is exhausted. */
const struct check_group *check_groups(const struct checklist *list, const struct part_subject *s,
				       struct arena *a, size_t *count);
/* The one that holds the group of that code of the list, or NULL. */
const struct check_group *check_group_find(const struct check_group *group, size_t count,
					   const struct checklist *list, const char *code);

#endif
