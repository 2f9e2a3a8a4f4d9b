#include "base/arena.h"

#include <stdalign.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/limits.h"

/* Under the address sanitizer what is not given out is poisoned and a gap lies behind each piece,
 * so that a step beyond its end is noticed as it is behind a piece of malloc's. */
#ifdef __SANITIZE_ADDRESS__
#include <sanitizer/asan_interface.h>
#define GAP_BYTES 256 /* more than most elements of arrays */
#define GIVE(at, bytes) ASAN_UNPOISON_MEMORY_REGION(at, bytes)
#define TAKE(at, bytes) ASAN_POISON_MEMORY_REGION(at, bytes)
#else
#define GAP_BYTES 0
#define GIVE(at, bytes) ((void)(at), (void)(bytes))
#define TAKE(at, bytes) ((void)(at), (void)(bytes))
#endif

struct arena_block {
	struct arena_block *older;
	size_t room;
	size_t used;
	alignas(max_align_t) char bytes[];
};

void arena_init(struct arena *a, size_t bytes_max) { *a = (struct arena){.bytes_max = bytes_max}; }

static void free_blocks(struct arena_block *block) {
	while (block) {
		struct arena_block *older = block->older;
		free(block);
		block = older;
	}
}

void arena_clear(struct arena *a) {
	free_blocks(a->block);
	arena_init(a, a->bytes_max);
}

void arena_reset(struct arena *a) {
	struct arena_block *first = a->block;
	while (first && first->older) {
		struct arena_block *older = first->older;
		free(first);
		first = older;
	}
	arena_init(a, a->bytes_max);
	if (!first) return;
	TAKE(first->bytes, first->used);
	first->used = 0;
	a->block = first;
	a->used_bytes = first->room;
}

static struct arena_block *add_block(struct arena *a, size_t bytes) {
	size_t room = bytes > LIMIT_ARENA_BLOCK_BYTES ? bytes : LIMIT_ARENA_BLOCK_BYTES;
	if (a->used_bytes + room > a->bytes_max) room = bytes;
	if (room > a->bytes_max - a->used_bytes) return NULL;
	struct arena_block *block = malloc(sizeof *block + room);
	if (!block) return NULL;
	block->older = a->block;
	block->room = room;
	block->used = 0;
	TAKE(block->bytes, room);
	a->block = block;
	a->used_bytes += room;
	return block;
}

void *arena_alloc(struct arena *a, size_t bytes) {
	if (a->failed) return NULL;
	size_t rounded =
	    (bytes + GAP_BYTES + alignof(max_align_t) - 1) & ~(alignof(max_align_t) - 1);
	struct arena_block *block = a->block;
	if (rounded < bytes) goto failed;
	if (!block || block->room - block->used < rounded) {
		block = add_block(a, rounded);
		if (!block) goto failed;
	}
	char *bytes_at = block->bytes + block->used;
	block->used += rounded;
	GIVE(bytes_at, bytes);
	memset(bytes_at, 0, bytes);
	return bytes_at;
failed:
	a->failed = true;
	return NULL;
}

void *arena_calloc(struct arena *a, size_t count, size_t bytes) {
	size_t total;
	if (__builtin_mul_overflow(count, bytes, &total)) {
		a->failed = true;
		return NULL;
	}
	return arena_alloc(a, total);
}

char *arena_copy(struct arena *a, const char *bytes, size_t length) {
	char *copy = length < SIZE_MAX ? arena_alloc(a, length + 1) : NULL;
	if (copy && length) memcpy(copy, bytes, length);
	return copy;
}

char *arena_strdup(struct arena *a, const char *text) {
	return text ? arena_copy(a, text, strlen(text)) : NULL;
}

/* Most texts are a sentence: formatted once and copied, where a longer one is formatted twice. */
char *arena_vprintf(struct arena *a, const char *format, va_list args) {
	char sentence[256];
	va_list again;
	va_copy(again, args);
	int length = vsnprintf(sentence, sizeof sentence, format, args);
	size_t size = (size_t)length + 1;
	char *text = length < 0 ? NULL : arena_alloc(a, size);
	if (text && size <= sizeof sentence) memcpy(text, sentence, size);
	else if (text) vsnprintf(text, size, format, again);
	va_end(again);
	return text;
}

char *arena_printf(struct arena *a, const char *format, ...) {
	va_list args;
	va_start(args, format);
	char *text = arena_vprintf(a, format, args);
	va_end(args);
	return text;
}

bool arena_failed(const struct arena *a) { return a->failed; }

void arena_fail(struct arena *a) { a->failed = true; }
