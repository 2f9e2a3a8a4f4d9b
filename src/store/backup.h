/*
 * A copy of the whole database as it stands at one moment, also while it is
 * being written to by a running service.
 *
 * The signing key is not in it: it is kept apart from the record it signs.
 */
#ifndef PEGWARDEN_STORE_BACKUP_H
#define PEGWARDEN_STORE_BACKUP_H

#include "base/fault.h"

/* Never over an existing file; checked before it is called done, removed when it failed. */
enum err store_backup(const char *data_dir, const char *to, struct fault *f) MUST_CHECK;

#endif
