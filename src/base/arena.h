/*
 * Memory that dies together: one arena for a request, one for a job.
 *
 * Allocation is a pointer bump; nothing is freed singly. A failure (no memory,
 * or the cap reached) is sticky: every later allocation returns NULL too, and
 * the owner asks arena_failed() once at the end.
 */
#ifndef PEGWARDEN_BASE_ARENA_H
#define PEGWARDEN_BASE_ARENA_H

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>

struct arena_block;

struct arena {
	struct arena_block *block; /* the one being filled; older ones behind it */
	size_t used_bytes;         /* of all blocks */
	size_t bytes_max;
	bool failed;
};

/* No allocation happens before the first arena_alloc. */
void arena_init(struct arena *a, size_t bytes_max);
/* Frees everything; the arena is as after init. */
void arena_clear(struct arena *a);
/* Makes it empty but keeps the first block for the next round. */
void arena_reset(struct arena *a);

/* Zeroed memory, aligned for any type; NULL once failed. */
void *arena_alloc(struct arena *a, size_t bytes);
#define arena_new(a, type) ((type *)arena_alloc((a), sizeof(type)))
#define arena_array(a, type, count) ((type *)arena_calloc((a), (count), sizeof(type)))
void *arena_calloc(struct arena *a, size_t count, size_t bytes);

char *arena_copy(struct arena *a, const char *bytes, size_t length); /* adds a NUL */
char *arena_strdup(struct arena *a, const char *text);               /* NULL stays NULL */
char *arena_printf(struct arena *a, const char *format, ...) __attribute__((format(printf, 2, 3)));
char *arena_vprintf(struct arena *a, const char *format, va_list args)
    __attribute__((format(printf, 2, 0)));

bool arena_failed(const struct arena *a);
/* What was meant for it could not be made elsewhere, for want of memory. */
void arena_fail(struct arena *a);

#endif
