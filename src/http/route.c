#include "http/route.h"

#include <stdlib.h>
#include <string.h>

#include "base/limits.h"
#include "base/text.h"

struct entry {
	const struct route *route;
	char *pattern; /* split in place at slashes */
	const char *segment[LIMIT_PATH_SEGMENTS_MAX];
	size_t count;
};

struct route_index {
	struct entry *entry;
	size_t count;
};

static enum err split_pattern(struct entry *e, struct fault *f) {
	e->pattern = strdup(e->route->pattern);
	if (!e->pattern) return fault_set(f, ERR_MEMORY, NULL, "There is no memory left.");
	for (char *at = e->pattern; *at == '/' && at[1];) {
		*at++ = '\0';
		if (e->count == LIMIT_PATH_SEGMENTS_MAX)
			return fault_set(f, ERR_INTERNAL, NULL, "%s is too deep.",
					 e->route->pattern);
		e->segment[e->count++] = at;
		at += strcspn(at, "/");
	}
	return ERR_OK;
}

static bool same_shape(const struct entry *a, const struct entry *b) {
	if (a->route->method != b->route->method || a->count != b->count) return false;
	for (size_t i = 0; i < a->count; i++) {
		bool both_open = a->segment[i][0] == ':' && b->segment[i][0] == ':';
		if (!both_open && strcmp(a->segment[i], b->segment[i]) != 0) return false;
	}
	return true;
}

static enum err check_route(const struct route_index *index, const struct entry *e,
			    struct fault *f) {
	const struct route *r = e->route;
	for (const struct entry *other = index->entry; other < e; other++)
		if (same_shape(other, e))
			return fault_set(f, ERR_INTERNAL, NULL, "Two routes for %s.", r->pattern);
	bool changes = r->method == METHOD_POST;
	if (!r->handle || !r->summary || changes != (r->run != RUN_READ))
		return fault_set(f, ERR_INTERNAL, NULL, "The route %s is not complete.",
				 r->pattern);
	if ((r->run == RUN_SLOW_CHANGE) != (r->prepare != NULL))
		return fault_set(f, ERR_INTERNAL, NULL, "The route %s lacks its slow part.",
				 r->pattern);
	return ERR_OK;
}

struct route_index *route_index_new(const struct route_table *table, size_t count,
				    struct fault *f) {
	size_t total = 0;
	for (size_t i = 0; i < count; i++) total += table[i].count;
	struct route_index *index = calloc(1, sizeof *index);
	if (index) index->entry = calloc(total ? total : 1, sizeof *index->entry);
	if (!index || !index->entry) {
		free(index);
		fault_set(f, ERR_MEMORY, NULL, "There is no memory left.");
		return NULL;
	}
	enum err err = ERR_OK;
	for (size_t i = 0; i < count; i++)
		for (size_t k = 0; k < table[i].count && err == ERR_OK; k++) {
			struct entry *e = &index->entry[index->count++];
			e->route = &table[i].route[k];
			err = split_pattern(e, f);
			if (err == ERR_OK) err = check_route(index, e, f);
		}
	if (err == ERR_OK) return index;
	route_index_free(index);
	return NULL;
}

void route_index_free(struct route_index *index) {
	if (!index) return;
	for (size_t i = 0; i < index->count; i++) free(index->entry[i].pattern);
	free(index->entry);
	free(index);
}

/* Does the path fit? Literal segments count for more than open ones: rank is their number. */
static bool fits(const struct entry *e, const char *const *segment, size_t count, size_t *rank) {
	if (e->count != count) return false;
	*rank = 0;
	for (size_t i = 0; i < count; i++) {
		int64_t id;
		const char *want = e->segment[i];
		if (strcmp(want, ":id") == 0) {
			if (segment[i][0] == '0' ||
			    !text_to_int(segment[i], 1, INT64_MAX >> 21, &id))
				return false;
		} else if (want[0] != ':') {
			if (strcmp(want, segment[i]) != 0) return false;
			++*rank;
		}
	}
	return true;
}

static void fill(const struct entry *e, const char *const *segment, struct request *rq) {
	size_t ids = 0, words = 0;
	rq->route = e->route;
	for (size_t i = 0; i < e->count; i++) {
		if (strcmp(e->segment[i], ":id") == 0 && ids < 4) {
			if (!text_to_int(segment[i], 1, INT64_MAX, &rq->id[ids])) rq->id[ids] = 0;
			ids++;
		} else if (e->segment[i][0] == ':' && words < 4) {
			rq->word[words++] = segment[i];
		}
	}
}

enum route_match route_find(const struct route_index *index, enum method method,
			    const char *const *segment, size_t count, struct request *rq) {
	const struct entry *best = NULL;
	size_t best_rank = 0;
	bool path_known = false;
	for (size_t i = 0; i < index->count; i++) {
		const struct entry *e = &index->entry[i];
		size_t rank;
		if (!fits(e, segment, count, &rank)) continue;
		path_known = true;
		if (e->route->method != method || (best && rank <= best_rank)) continue;
		best = e;
		best_rank = rank;
	}
	if (!best) return path_known ? ROUTE_NO_METHOD : ROUTE_NO_PATH;
	fill(best, segment, rq);
	return ROUTE_FOUND;
}

const struct route *route_at(const struct route_index *index, size_t i) {
	return i < index->count ? index->entry[i].route : NULL;
}
