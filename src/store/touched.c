#include "store/touched.h"

#include <stdlib.h>

void touched_release(struct touched *t) {
	free(t->row);
	*t = (struct touched){0};
}

void touched_reset(struct touched *t) {
	t->count = 0;
	t->failed = t->derived = false;
}

void touched_add(struct touched *t, int table, int64_t id) {
	t->derived = false;
	/* The same row is often touched twice in a row. */
	if (t->count && t->row[t->count - 1].table == table && t->row[t->count - 1].id == id)
		return;
	if (t->count == t->room) {
		size_t room = t->room ? t->room * 2 : 64;
		struct touched_row *wider = realloc(t->row, room * sizeof *wider);
		if (!wider) {
			t->failed = true;
			return;
		}
		t->row = wider;
		t->room = room;
	}
	t->row[t->count++] = (struct touched_row){table, id};
}

static int compare(const void *a, const void *b) {
	const struct touched_row *x = a, *y = b;
	if (x->table != y->table) return x->table < y->table ? -1 : 1;
	return (x->id > y->id) - (x->id < y->id);
}

void touched_settle(struct touched *t) {
	if (t->count < 2) return;
	qsort(t->row, t->count, sizeof *t->row, compare);
	size_t kept = 1;
	for (size_t i = 1; i < t->count; i++)
		if (compare(&t->row[i], &t->row[kept - 1]) != 0) t->row[kept++] = t->row[i];
	t->count = kept;
}
