#include "http/static_files.h"

#include <dirent.h>
#include <sodium.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

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

typedef void add_headers(struct MHD_Response *);

static enum err add_file(struct static_files *files, const char *path, const char *name,
			 add_headers *headers, struct fault *f) {
	if (files->count == FILES_MAX) return fault_set(f, ERR_TOO_LARGE, NULL, "Too many files.");
	struct buf bytes;
	buf_init(&bytes, FILE_BYTES_MAX);
	enum err err = buf_add_file(&bytes, path, f);
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

/* prefix: what stands before the names of this folder's files, "" or "figures/". */
static enum err add_folder(struct static_files *files, const char *folder, const char *prefix,
			   add_headers *headers, struct fault *f) {
	DIR *dir = opendir(folder);
	if (!dir) return fault_set(f, ERR_IO, NULL, "The folder %s cannot be read.", folder);
	enum err err = ERR_OK;
	struct dirent *entry;
	while (err == ERR_OK && (entry = readdir(dir)) != NULL) {
		char path[4096], name[512];
		struct stat status;
		if (entry->d_name[0] == '.') continue;
		snprintf(path, sizeof path, "%s/%s", folder, entry->d_name);
		bool is_folder = stat(path, &status) == 0 && S_ISDIR(status.st_mode);
		snprintf(name, sizeof name, "%s%s%s", prefix, entry->d_name, is_folder ? "/" : "");
		if (is_folder && !*prefix) err = add_folder(files, path, name, headers, f);
		else if (!is_folder && content_type(name))
			err = add_file(files, path, name, headers, f);
	}
	closedir(dir);
	return err;
}

struct static_files *static_files_load(const char *folder, void (*headers)(struct MHD_Response *),
				       struct fault *f) {
	struct static_files *files = calloc(1, sizeof *files);
	enum err err = files ? add_folder(files, folder, "", headers, f) : fault_memory(f);
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
