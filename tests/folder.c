#include "folder.h"

#include <check.h>
#include <dirent.h>
#include <stdlib.h>
#include <unistd.h>

void folder_make(char *path) {
	memcpy(path + strlen(path) - 6, "XXXXXX", 6);
	ck_assert_ptr_nonnull(mkdtemp(path));
}

struct store *folder_open(const char *path) {
	struct fault f = {.code = ERR_OK};
	struct store *st = NULL;
	enum err err = store_open(&st, path, PEGWARDEN_SRCDIR "/migrations", STORE_WRITE, &f);
	ck_assert_msg(err == ERR_OK, "%s", f.message);
	return st;
}

void folder_remove(const char *path) {
	DIR *folder = opendir(path);
	char file[4096];
	if (!folder) {
		perror(path);
		return;
	}
	for (struct dirent *entry; (entry = readdir(folder)) != NULL;) {
		snprintf(file, sizeof file, "%s/%s", path, entry->d_name);
		unlink(file); /* "." and ".." stay */
	}
	closedir(folder);
	rmdir(path);
}
