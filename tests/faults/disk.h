/*
 * A disk that fails: a file system for SQLite over the ordinary one, in which
 * the nth operation of some kinds fails, alone or with all that follow.
 *
 * Nothing is really synced, and nothing is read through a memory map: then
 * every read can fail, and the tests are quick.
 */
#ifndef PEGWARDEN_TESTS_DISK_H
#define PEGWARDEN_TESTS_DISK_H

#include <stdbool.h>

enum disk_operation {
	DISK_OPEN = 1,
	DISK_READ = 2,
	DISK_WRITE = 4,
	DISK_SYNC = 8,
	DISK_TRUNCATE = 16,
};

struct disk_failure {
	int operations; /* a sum of the above: those that are counted */
	bool lasting;   /* every later one fails too */
	bool full;      /* writes say that the disk is full, not that it failed */
};

/* Makes it the default of SQLite. */
void disk_install(void);
void disk_fail(const struct disk_failure *how, long nth);
/* No more failures. Whether there was one since disk_fail. */
bool disk_mend(void);

/* Called before a file is synced (synced false) and after; NULL: nobody. */
void disk_watch(void (*watcher)(const char *path, bool synced));

#endif
