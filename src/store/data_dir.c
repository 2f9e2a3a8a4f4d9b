#include "store/data_dir.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

enum err data_dir_path(const char *data_dir, const char *name, char path[DATA_PATH_SIZE],
		       struct fault *f) {
	int length = snprintf(path, DATA_PATH_SIZE, "%s/%s", data_dir, name);
	if (length > 0 && length < DATA_PATH_SIZE) return ERR_OK;
	return fault_set(f, ERR_INVALID, "data", "The name of the data folder is too long.");
}

enum err data_dir_create(const char *data_dir, struct fault *f) {
	if (mkdir(data_dir, 0700) == 0 || errno == EEXIST) return ERR_OK;
	return fault_set(f, ERR_IO, "data", "The data folder %s cannot be made: %s.", data_dir,
			 strerror(errno));
}

enum err data_dir_lock(const char *data_dir, int *lock, struct fault *f) {
	char path[DATA_PATH_SIZE];
	*lock = -1;
	enum err err = data_dir_path(data_dir, DATA_LOCK, path, f);
	if (err != ERR_OK) return err;
	int fd = open(path, O_RDWR | O_CREAT | O_CLOEXEC, 0600);
	if (fd < 0)
		return fault_set(f, ERR_IO, "data", "The data folder %s cannot be used: %s.",
				 data_dir, strerror(errno));
	if (flock(fd, LOCK_EX | LOCK_NB) != 0) {
		close(fd);
		return fault_set(f, ERR_BUSY, "data",
				 "%s is in use: a server or another command is writing to it. Stop "
				 "that one first.",
				 data_dir);
	}
	*lock = fd;
	return ERR_OK;
}

void data_dir_unlock(int lock) {
	if (lock >= 0) close(lock);
}
