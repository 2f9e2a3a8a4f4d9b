/* Runs every file of the corpora, and each one cut off and doubled: tests/fuzz/corpus/TARGET/. */
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "targets.h"

#define FILE_BYTES_MAX 65536

static void try_text(const struct fuzz_target *t, const char *bytes, size_t length) {
	char *text = malloc(length + 1); /* of just that size: reading beyond is noticed */
	REQUIRE(text);
	memcpy(text, bytes, length);
	text[length] = '\0';
	t->run(text, length);
	free(text);
}

static void replay_file(const struct fuzz_target *t, const char *path) {
	static char bytes[2 * FILE_BYTES_MAX];
	FILE *file = fopen(path, "rb");
	REQUIRE(file);
	size_t length = fread(bytes, 1, FILE_BYTES_MAX, file);
	fclose(file);
	for (size_t cut = 0; cut <= length; cut += 1 + length / 64) try_text(t, bytes, cut);
	try_text(t, bytes, length);
	memcpy(bytes + length, bytes, length);
	try_text(t, bytes, 2 * length);
}

static size_t replay_target(const struct fuzz_target *t) {
	char folder[2048], path[4096];
	size_t count = 0;
	snprintf(folder, sizeof folder, "%s/tests/fuzz/corpus/%s", PEGWARDEN_SRCDIR, t->name);
	DIR *dir = opendir(folder);
	REQUIRE(dir);
	for (struct dirent *entry; (entry = readdir(dir)) != NULL;) {
		if (entry->d_name[0] == '.') continue;
		snprintf(path, sizeof path, "%s/%s", folder, entry->d_name);
		replay_file(t, path);
		count++;
	}
	closedir(dir);
	return count;
}

int main(void) {
	for (size_t i = 0; i < fuzz_target_count; i++) {
		size_t count = replay_target(&fuzz_target[i]);
		printf("%s: %zu files\n", fuzz_target[i].name, count);
		fuzz_require(count > 0, "a corpus is not empty");
	}
	return 0;
}
