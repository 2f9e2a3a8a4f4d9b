#include "rules/check_group.h"

#include "base/text.h"

/* The next run of points of one code, from g->end on; false at the end of the list. */
static bool next_of_list(const struct checklist *list, const struct part_subject *s,
			 struct check_group *g) {
	size_t i = g->end;
	if (i == list->point_count) return false;
	*g = (struct check_group){
	    .code = list->point[i].group_code, .title = list->point[i].group_title, .first = i};
	for (; i < list->point_count && text_equal(list->point[i].group_code, g->code); i++)
		g->asked += point_is_asked(&list->point[i], s);
	g->end = i;
	return true;
}

static void join(struct check_group *to, const struct check_group *g, struct arena *a) {
	to->title = arena_printf(a, "%s · %s", to->title, g->title);
	to->end = g->end;
	to->asked += g->asked;
}

const struct check_group *check_groups(const struct checklist *list, const struct part_subject *s,
				       struct arena *a, size_t *count) {
	struct check_group *group = arena_array(a, struct check_group, list->point_count + 1);
	struct check_group g = {0};
	*count = 0;
	while (group && next_of_list(list, s, &g)) {
		struct check_group *last = *count ? &group[*count - 1] : NULL;
		if (!g.asked) continue;
		if (last && last->asked + g.asked <= GROUP_POINTS_MAX) join(last, &g, a);
		else group[(*count)++] = g;
	}
	return group;
}

const struct check_group *check_group_find(const struct check_group *group, size_t count,
					   const struct checklist *list, const char *code) {
	for (size_t k = 0; k < count; k++)
		for (size_t i = group[k].first; i < group[k].end; i++)
			if (text_equal(list->point[i].group_code, code)) return &group[k];
	return NULL;
}
