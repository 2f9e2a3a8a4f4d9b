/*
 * The fact rows a change has touched, each once.
 */
#ifndef PEGWARDEN_STORE_TOUCHED_H
#define PEGWARDEN_STORE_TOUCHED_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct touched_row {
	int table; /* index into fact_table */
	int64_t id;
};

struct touched {
	struct touched_row *row;
	size_t count;
	size_t room;
	bool failed;  /* no memory: the change must not commit */
	bool derived; /* what depends on them was computed, and none was touched since */
};

void touched_release(struct touched *t);
void touched_reset(struct touched *t);
void touched_add(struct touched *t, int table, int64_t id);
/* Sorts by table and id and leaves each row once. */
void touched_settle(struct touched *t);

#endif
