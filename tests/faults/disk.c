#include "disk.h"

#include <sqlite3.h>
#include <stdatomic.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

static sqlite3_vfs *plain;
static struct disk_failure failure;
static atomic_long left;
static atomic_bool armed, failed;
static void (*watch)(const char *path, bool synced);

struct disk_file {
	sqlite3_file base;
	const char *path;   /* SQLite keeps it as long as the file is open */
	sqlite3_file *real; /* right behind this one */
};

static bool fails(enum disk_operation operation) {
	if (!atomic_load(&armed) || !(failure.operations & (int)operation)) return false;
	long now = atomic_fetch_sub(&left, 1);
	if (now > 1 || (now < 1 && !failure.lasting)) return false;
	atomic_store(&failed, true);
	return true;
}

void disk_fail(const struct disk_failure *how, long nth) {
	failure = *how;
	atomic_store(&left, nth);
	atomic_store(&failed, false);
	atomic_store(&armed, true);
}

bool disk_mend(void) {
	atomic_store(&armed, false);
	return atomic_load(&failed);
}

void disk_watch(void (*watcher)(const char *path, bool synced)) { watch = watcher; }

/* --- a file ---------------------------------------------------------------------------- */

static sqlite3_file *real(sqlite3_file *file) { return ((struct disk_file *)file)->real; }

static int disk_close(sqlite3_file *file) {
	int rc = real(file)->pMethods->xClose(real(file));
	file->pMethods = NULL;
	return rc;
}

static int disk_read(sqlite3_file *file, void *to, int amount, sqlite3_int64 at) {
	if (fails(DISK_READ)) return SQLITE_IOERR_READ;
	return real(file)->pMethods->xRead(real(file), to, amount, at);
}

/* What fails may have been written in part. */
static int disk_write(sqlite3_file *file, const void *from, int amount, sqlite3_int64 at) {
	bool whole = !fails(DISK_WRITE);
	int rc = real(file)->pMethods->xWrite(real(file), from, whole ? amount : amount / 2, at);
	if (whole || rc != SQLITE_OK) return rc;
	return failure.full ? SQLITE_FULL : SQLITE_IOERR_WRITE;
}

static int disk_truncate(sqlite3_file *file, sqlite3_int64 size) {
	if (fails(DISK_TRUNCATE)) return SQLITE_IOERR_TRUNCATE;
	return real(file)->pMethods->xTruncate(real(file), size);
}

static int disk_sync(sqlite3_file *file, int flags) {
	const char *path = ((struct disk_file *)file)->path;
	(void)flags;
	if (watch && path) watch(path, false);
	if (fails(DISK_SYNC)) return SQLITE_IOERR_FSYNC;
	if (watch && path) watch(path, true);
	return SQLITE_OK;
}

static int disk_size(sqlite3_file *file, sqlite3_int64 *size) {
	return real(file)->pMethods->xFileSize(real(file), size);
}

static int disk_lock(sqlite3_file *file, int level) {
	return real(file)->pMethods->xLock(real(file), level);
}

static int disk_unlock(sqlite3_file *file, int level) {
	return real(file)->pMethods->xUnlock(real(file), level);
}

static int disk_reserved(sqlite3_file *file, int *is_reserved) {
	return real(file)->pMethods->xCheckReservedLock(real(file), is_reserved);
}

static int disk_control(sqlite3_file *file, int what, void *argument) {
	if (what == SQLITE_FCNTL_MMAP_SIZE) return SQLITE_NOTFOUND; /* it would hide reads */
	return real(file)->pMethods->xFileControl(real(file), what, argument);
}

static int disk_sector(sqlite3_file *file) { return real(file)->pMethods->xSectorSize(real(file)); }

static int disk_traits(sqlite3_file *file) {
	return real(file)->pMethods->xDeviceCharacteristics(real(file));
}

static int disk_shm_map(sqlite3_file *file, int page, int size, int extend,
			void volatile **memory) {
	return real(file)->pMethods->xShmMap(real(file), page, size, extend, memory);
}

static int disk_shm_lock(sqlite3_file *file, int offset, int count, int flags) {
	return real(file)->pMethods->xShmLock(real(file), offset, count, flags);
}

static void disk_shm_barrier(sqlite3_file *file) { real(file)->pMethods->xShmBarrier(real(file)); }

static int disk_shm_unmap(sqlite3_file *file, int remove) {
	return real(file)->pMethods->xShmUnmap(real(file), remove);
}

static int disk_open(sqlite3_vfs *vfs, const char *path, sqlite3_file *file, int flags,
		     int *flags_out) {
	/* Version 2: a log with shared memory, but no memory map of the database. */
	static const sqlite3_io_methods methods = {
	    .iVersion = 2,
	    .xClose = disk_close,
	    .xRead = disk_read,
	    .xWrite = disk_write,
	    .xTruncate = disk_truncate,
	    .xSync = disk_sync,
	    .xFileSize = disk_size,
	    .xLock = disk_lock,
	    .xUnlock = disk_unlock,
	    .xCheckReservedLock = disk_reserved,
	    .xFileControl = disk_control,
	    .xSectorSize = disk_sector,
	    .xDeviceCharacteristics = disk_traits,
	    .xShmMap = disk_shm_map,
	    .xShmLock = disk_shm_lock,
	    .xShmBarrier = disk_shm_barrier,
	    .xShmUnmap = disk_shm_unmap,
	};
	struct disk_file *opened = (struct disk_file *)file;
	(void)vfs;
	*opened = (struct disk_file){.path = path, .real = (sqlite3_file *)(opened + 1)};
	if (fails(DISK_OPEN)) return SQLITE_CANTOPEN;
	int rc = plain->xOpen(plain, path, opened->real, flags, flags_out);
	if (rc == SQLITE_OK) opened->base.pMethods = &methods;
	return rc;
}

void disk_install(void) {
	static sqlite3_vfs failing;
	plain = sqlite3_vfs_find(NULL);
	if (!plain) abort();
	failing = *plain;
	failing.zName = "failing";
	failing.szOsFile = (int)sizeof(struct disk_file) + plain->szOsFile;
	failing.xOpen = disk_open;
	if (sqlite3_vfs_register(&failing, 1) != SQLITE_OK) abort();
}
