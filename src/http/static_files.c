#include "http/static_files.h"

#include <dirent.h>
#include <sodium.h>
#include <stdlib.h>
#include <string.h>

#include "base/buf.h"

#define FILES_MAX 100
#define FILE_BYTES_MAX (1024 * 1024)
/* The one script that answers for every page while the network is away. */
#define WORKER "keeping-worker.js"

struct static_files {
	struct static_file file[FILES_MAX];
	size_t count;
};

static const char *content_type(const char *name) {
	static const struct {
		const char *ending, *type;
	} known[] = {
	    {".css", "text/css; charset=utf-8"},
	    {".js", "text/javascript; charset=utf-8"},
	    {".svg", "image/svg+xml"},
	    {".png", "image/png"},
	    {".ico", "image/x-icon"},
	    {".txt", "text/plain; charset=utf-8"},
	};
	const char *ending = strrchr(name, '.');
	for (size_t i = 0; ending && i < sizeof known / sizeof *known; i++)
		if (strcmp(known[i].ending, ending) == 0) return known[i].type;
	return NULL;
}

static enum err read_file(const char *folder, const char *name, struct buf *bytes,
			  struct fault *f) {
	char path[4096], chunk[4096];
	size_t got;
	snprintf(path, sizeof path, "%s/%s", folder, name);
	FILE *file = fopen(path, "rb");
	if (!file) return fault_set(f, ERR_IO, NULL, "%s cannot be read.", path);
	while ((got = fread(chunk, 1, sizeof chunk, file)) > 0) buf_add(bytes, chunk, got);
	fclose(file);
	return buf_failed(bytes) ? fault_set(f, ERR_TOO_LARGE, NULL, "%s is too large.", path)
				 : ERR_OK;
}

static enum err add_file(struct static_files *files, const char *folder, const char *name,
			 void (*headers)(struct MHD_Response *), struct fault *f) {
	struct buf bytes;
	buf_init(&bytes, FILE_BYTES_MAX);
	enum err err = read_file(folder, name, &bytes, f);
	if (err != ERR_OK) {
		buf_release(&bytes);
		return err;
	}
	struct static_file *file = &files->file[files->count++];
	unsigned char hash[crypto_hash_sha256_BYTES];
	crypto_hash_sha256(hash, (const unsigned char *)buf_text(&bytes), bytes.length);
	file->name = strdup(name);
	file->etag[0] = '"';
	sodium_bin2hex(file->etag + 1, 17, hash, 8);
	memcpy(file->etag + 17, "\"", 2);
	size_t length;
	char *taken = buf_take(&bytes, &length);
	file->response = MHD_create_response_from_buffer(length, taken ? taken : strdup(""),
							 MHD_RESPMEM_MUST_FREE);
	file->unchanged = MHD_create_response_from_buffer(0, NULL, MHD_RESPMEM_PERSISTENT);
	struct MHD_Response *both[] = {file->response, file->unchanged};
	for (size_t i = 0; i < 2; i++) {
		if (!both[i]) return fault_set(f, ERR_MEMORY, NULL, "There is no memory left.");
		headers(both[i]);
		MHD_add_response_header(both[i], "ETag", file->etag);
		MHD_add_response_header(both[i], "Cache-Control", "public, max-age=300");
	}
	MHD_add_response_header(file->response, "Content-Type", content_type(name));
	/* A service worker answers for the folder it lies in, unless its file may do more. */
	if (strcmp(name, WORKER) == 0)
		MHD_add_response_header(file->response, "Service-Worker-Allowed", "/");
	return ERR_OK;
}

struct static_files *static_files_load(const char *folder, void (*headers)(struct MHD_Response *),
				       struct fault *f) {
	struct static_files *files = calloc(1, sizeof *files);
	DIR *dir = files ? opendir(folder) : NULL;
	enum err err =
	    dir ? ERR_OK : fault_set(f, ERR_IO, NULL, "The folder %s cannot be read.", folder);
	struct dirent *entry;
	while (err == ERR_OK && (entry = readdir(dir)) != NULL) {
		if (!content_type(entry->d_name)) continue;
		if (files->count == FILES_MAX)
			err = fault_set(f, ERR_TOO_LARGE, NULL, "Too many files.");
		else err = add_file(files, folder, entry->d_name, headers, f);
	}
	if (dir) closedir(dir);
	if (err == ERR_OK) return files;
	static_files_free(files);
	return NULL;
}

const struct static_file *static_files_find(const struct static_files *files, const char *name) {
	for (size_t i = 0; i < files->count; i++)
		if (strcmp(files->file[i].name, name) == 0) return &files->file[i];
	return NULL;
}

void static_files_free(struct static_files *files) {
	if (!files) return;
	for (size_t i = 0; i < files->count; i++) {
		free(files->file[i].name);
		if (files->file[i].response) MHD_destroy_response(files->file[i].response);
		if (files->file[i].unchanged) MHD_destroy_response(files->file[i].unchanged);
	}
	free(files);
}
