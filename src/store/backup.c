#include "store/backup.h"

#include <errno.h>
#include <fcntl.h>
#include <sqlite3.h>
#include <string.h>
#include <unistd.h>

#include "store/data_dir.h"

/* Only its owner may read it: it holds names and addresses. */
static enum err make_file(const char *to, struct fault *f) {
	int fd = open(to, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
	if (fd >= 0) {
		close(fd);
		return ERR_OK;
	}
	if (errno == EEXIST)
		return fault_set(f, ERR_CONFLICT, NULL, "%s is there already. Name a new file.",
				 to);
	return fault_set(f, ERR_IO, NULL, "%s cannot be made: %s.", to, strerror(errno));
}

static enum err copy(sqlite3 *from, sqlite3 *to, struct fault *f) {
	sqlite3_backup *b = sqlite3_backup_init(to, "main", from, "main");
	/* In one step, so that changes made meanwhile cannot make it begin again. */
	int rc = b ? sqlite3_backup_step(b, -1) : SQLITE_ERROR;
	int finished = sqlite3_backup_finish(b);
	if (rc == SQLITE_DONE && finished == SQLITE_OK) return ERR_OK;
	return fault_set(f, ERR_IO, NULL, "The database cannot be copied: %s", sqlite3_errmsg(to));
}

static enum err check(sqlite3 *db, struct fault *f) {
	sqlite3_stmt *s = NULL;
	bool good =
	    sqlite3_prepare_v2(db, "PRAGMA integrity_check(1)", -1, &s, NULL) == SQLITE_OK &&
	    sqlite3_step(s) == SQLITE_ROW &&
	    strcmp((const char *)sqlite3_column_text(s, 0), "ok") == 0;
	sqlite3_finalize(s);
	return good ? ERR_OK : fault_set(f, ERR_CORRUPT, NULL, "The copy does not hold together.");
}

enum err store_backup(const char *data_dir, const char *to, struct fault *f) {
	char path[DATA_PATH_SIZE];
	sqlite3 *source = NULL, *target = NULL;
	enum err err = data_dir_path(data_dir, DATA_DATABASE, path, f);
	if (err != ERR_OK) return err;
	if (sqlite3_open_v2(path, &source, SQLITE_OPEN_READWRITE, NULL) != SQLITE_OK) {
		err = fault_set(f, ERR_IO, NULL, "%s cannot be opened: %s", path,
				sqlite3_errmsg(source));
		sqlite3_close(source);
		return err;
	}
	sqlite3_busy_timeout(source, 5000);
	err = make_file(to, f);
	if (err != ERR_OK) {
		sqlite3_close(source);
		return err;
	}
	if (sqlite3_open_v2(to, &target, SQLITE_OPEN_READWRITE, NULL) != SQLITE_OK)
		err = fault_set(f, ERR_IO, NULL, "%s cannot be opened: %s", to,
				sqlite3_errmsg(target));
	if (err == ERR_OK) err = copy(source, target, f);
	if (err == ERR_OK) err = check(target, f);
	sqlite3_close(target);
	sqlite3_close(source);
	if (err != ERR_OK) unlink(to);
	return err;
}
