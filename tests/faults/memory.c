#include "memory.h"

#include <dirent.h>
#include <errno.h>
#include <sqlite3.h>
#include <stdatomic.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <utf8proc.h>

/* Counted from several threads: the writer has one of its own. */
static atomic_long left; /* allocations until the refused one; 0 or less: behind it */
static atomic_bool armed, lasts, refused;

static bool refuse(void) {
	if (!atomic_load(&armed)) return false;
	long now = atomic_fetch_sub(&left, 1);
	if (now > 1 || (now < 1 && !atomic_load(&lasts))) return false;
	atomic_store(&refused, true);
	errno = ENOMEM;
	return true;
}

void memory_fail(long nth, bool lasting) {
	atomic_store(&left, nth);
	atomic_store(&lasts, lasting);
	atomic_store(&refused, false);
	atomic_store(&armed, true);
}

bool memory_mend(void) {
	atomic_store(&armed, false);
	return atomic_load(&refused);
}

/* --- the C library's, as src/ calls them -------------------------------------------- */

void *__real_malloc(size_t bytes);
void *__real_calloc(size_t count, size_t bytes);
void *__real_realloc(void *memory, size_t bytes);
char *__real_strdup(const char *text);
FILE *__real_fopen(const char *path, const char *mode);
DIR *__real_opendir(const char *path);
void *__wrap_malloc(size_t bytes);
void *__wrap_calloc(size_t count, size_t bytes);
void *__wrap_realloc(void *memory, size_t bytes);
char *__wrap_strdup(const char *text);
FILE *__wrap_fopen(const char *path, const char *mode);
DIR *__wrap_opendir(const char *path);

void *__wrap_malloc(size_t bytes) { return refuse() ? NULL : __real_malloc(bytes); }

void *__wrap_calloc(size_t count, size_t bytes) {
	return refuse() ? NULL : __real_calloc(count, bytes);
}

void *__wrap_realloc(void *memory, size_t bytes) {
	return refuse() ? NULL : __real_realloc(memory, bytes);
}

char *__wrap_strdup(const char *text) { return refuse() ? NULL : __real_strdup(text); }

/* These two allocate inside the library. */
FILE *__wrap_fopen(const char *path, const char *mode) {
	return refuse() ? NULL : __real_fopen(path, mode);
}

DIR *__wrap_opendir(const char *path) { return refuse() ? NULL : __real_opendir(path); }

/* So does this one, with the allocator of the C library. */
utf8proc_ssize_t __real_utf8proc_map(const utf8proc_uint8_t *text, utf8proc_ssize_t length,
				     utf8proc_uint8_t **mapped, utf8proc_option_t options);
utf8proc_ssize_t __wrap_utf8proc_map(const utf8proc_uint8_t *text, utf8proc_ssize_t length,
				     utf8proc_uint8_t **mapped, utf8proc_option_t options);

utf8proc_ssize_t __wrap_utf8proc_map(const utf8proc_uint8_t *text, utf8proc_ssize_t length,
				     utf8proc_uint8_t **mapped, utf8proc_option_t options) {
	if (refuse()) return UTF8PROC_ERROR_NOMEM;
	return __real_utf8proc_map(text, length, mapped, options);
}

/* --- SQLite's -------------------------------------------------------------------------- */

static sqlite3_mem_methods plain;

static void *sqlite_malloc(int bytes) { return refuse() ? NULL : plain.xMalloc(bytes); }

static void *sqlite_realloc(void *memory, int bytes) {
	return refuse() ? NULL : plain.xRealloc(memory, bytes);
}

void memory_install(void) {
	sqlite3_mem_methods counted;
	bool set = sqlite3_config(SQLITE_CONFIG_GETMALLOC, &plain) == SQLITE_OK;
	counted = plain;
	counted.xMalloc = sqlite_malloc;
	counted.xRealloc = sqlite_realloc;
	set = set && sqlite3_config(SQLITE_CONFIG_MALLOC, &counted) == SQLITE_OK;
	/* Small ones too go through it, instead of a pool of each connection. */
	set = set && sqlite3_config(SQLITE_CONFIG_LOOKASIDE, 0, 0) == SQLITE_OK;
	if (!set) abort(); /* SQLite was used already: the tests would prove nothing */
}
