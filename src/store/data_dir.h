/*
 * The data folder: what lies where, and who may use it.
 *
 *   pegwarden.db    the database (with -wal and -shm beside it while open)
 *   signing.key     the signing key, mode 0600
 *   pegwarden.lock  held by whoever writes
 */
#ifndef PEGWARDEN_STORE_DATA_DIR_H
#define PEGWARDEN_STORE_DATA_DIR_H

#include "base/fault.h"

#define DATA_PATH_SIZE 4096
#define DATA_DATABASE "pegwarden.db"
#define DATA_KEY "signing.key"
#define DATA_LOCK "pegwarden.lock"

enum err data_dir_path(const char *data_dir, const char *name, char path[DATA_PATH_SIZE],
		       struct fault *f) MUST_CHECK;
/* Makes it (mode 0700) when missing. */
enum err data_dir_create(const char *data_dir, struct fault *f) MUST_CHECK;
/* Only one process may write at a time: the lock lasts until *lock is closed or
 * the process ends. ERR_BUSY names who most likely holds it. */
enum err data_dir_lock(const char *data_dir, int *lock, struct fault *f) MUST_CHECK;
void data_dir_unlock(int lock);

#endif
