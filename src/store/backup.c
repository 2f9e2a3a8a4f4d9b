#include "store/backup.h"

#include <errno.h>
#include <fcntl.h>
#include <sqlite3.h>
#include <string.h>
#include <unistd.h>

#include "store/data_dir.h"
#include "store/internal.h"

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
	return fault_set(f, store_err_of(sqlite3_extended_errcode(to)), NULL,
			 "The database cannot be copied: %s", sqlite3_errmsg(to));
}

/* Not to be read is another thing than not to hold together. */
static enum err check(sqlite3 *db, struct fault *f) {
	sqlite3_stmt *s = NULL;
	int rc = sqlite3_prepare_v2(db, "PRAGMA integrity_check(1)", -1, &s, NULL);
	if (rc == SQLITE_OK) rc = sqlite3_step(s);
	const char *word = rc == SQLITE_ROW ? (const char *)sqlite3_column_text(s, 0) : NULL;
	enum err err = ERR_OK;
	if (!word)
		err = fault_set(f, store_err_of(sqlite3_extended_errcode(db)), NULL,
				"The copy cannot be checked: %s", sqlite3_errmsg(db));
	else if (strcmp(word, "ok") != 0)
		err = fault_set(f, ERR_CORRUPT, NULL,
				"The copy does not hold together and was removed: %s", word);
	sqlite3_finalize(s);
	return err;
}

static enum err open_database(sqlite3 **db, const char *path, struct fault *f) {
	if (sqlite3_open_v2(path, db, SQLITE_OPEN_READWRITE, NULL) == SQLITE_OK) return ERR_OK;
	return fault_set(f, store_err_of(sqlite3_extended_errcode(*db)), NULL,
			 "%s cannot be opened: %s", path, sqlite3_errmsg(*db));
}

enum err store_backup(const char *data_dir, const char *to, struct fault *f) {
	char path[DATA_PATH_SIZE];
	sqlite3 *source = NULL, *target = NULL;
	enum err err = data_dir_path(data_dir, DATA_DATABASE, path, f);
	if (err == ERR_OK) err = open_database(&source, path, f);
	if (err == ERR_OK) sqlite3_busy_timeout(source, 5000);
	if (err == ERR_OK) err = make_file(to, f);
	bool made = err == ERR_OK;
	if (err == ERR_OK) err = open_database(&target, to, f);
	if (err == ERR_OK) err = copy(source, target, f);
	if (err == ERR_OK) err = check(target, f);
	sqlite3_close(target);
	sqlite3_close(source);
	if (made && err != ERR_OK) unlink(to);
	return err;
}
