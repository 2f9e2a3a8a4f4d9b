#include "http/static_files.h"

#include <dirent.h>
#include <sodium.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <zlib.h>

#include "base/buf.h"
#include "http/decode.h"

#define FILES_MAX 100
#define FILE_BYTES_MAX (1024 * 1024)
/* The one script that answers for every page while the network is away. */
#define WORKER "keeping-worker.js"

struct static_file {
	char *name;
	struct static_form plain, packed; /* packed: only where that is smaller */
};
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

/* In the gzip format (RFC 1952), without a time, so that the same file is the same bytes. */
static bool pack(const struct buf *bytes, struct buf *packed) {
	z_stream z = {0};
	if (deflateInit2(&z, Z_BEST_COMPRESSION, Z_DEFLATED, MAX_WBITS + 16, 9,
			 Z_DEFAULT_STRATEGY) != Z_OK)
		return false;
	char piece[16384];
	int state = Z_OK;
	z.next_in = (z_const Bytef *)(uintptr_t)buf_text(bytes);
	z.avail_in = (uInt)bytes->length;
	while (state == Z_OK) {
		z.next_out = (Bytef *)piece;
		z.avail_out = sizeof piece;
		state = deflate(&z, Z_FINISH);
		buf_add(packed, piece, sizeof piece - z.avail_out);
	}
	deflateEnd(&z);
	return state == Z_STREAM_END && !buf_failed(packed);
}

/* Takes the bytes. coding: "" or "gzip". */
static enum err add_form(struct static_form *form, struct buf *bytes, const char *name,
			 const char *coding, add_headers *headers, struct fault *f) {
	size_t length;
	char *taken = buf_take(bytes, &length);
	form->response = MHD_create_response_from_buffer(length, taken ? taken : strdup(""),
							 MHD_RESPMEM_MUST_FREE);
	form->unchanged = MHD_create_response_from_buffer(0, NULL, MHD_RESPMEM_PERSISTENT);
	struct MHD_Response *both[] = {form->response, form->unchanged};
	for (size_t i = 0; i < 2; i++) {
		if (!both[i]) return fault_memory(f);
		headers(both[i]);
		MHD_add_response_header(both[i], "ETag", form->etag);
		MHD_add_response_header(both[i], "Cache-Control", "public, max-age=300");
		MHD_add_response_header(both[i], "Vary", "Accept-Encoding");
	}
	if (*coding) MHD_add_response_header(form->response, "Content-Encoding", coding);
	MHD_add_response_header(form->response, "Content-Type", content_type(name));
	/* A service worker answers for the folder it lies in, unless its file may do more. */
	if (strcmp(name, WORKER) == 0)
		MHD_add_response_header(form->response, "Service-Worker-Allowed", "/");
	return ERR_OK;
}

static enum err add_forms(struct static_file *file, struct buf *bytes, add_headers *headers,
			  struct fault *f) {
	unsigned char hash[crypto_hash_sha256_BYTES];
	char hex[17];
	struct buf packed;
	buf_init(&packed, FILE_BYTES_MAX);
	crypto_hash_sha256(hash, (const unsigned char *)buf_text(bytes), bytes->length);
	sodium_bin2hex(hex, sizeof hex, hash, 8);
	snprintf(file->plain.etag, sizeof file->plain.etag, "\"%s\"", hex);
	snprintf(file->packed.etag, sizeof file->packed.etag, "\"%s-gz\"", hex);
	bool is_smaller = pack(bytes, &packed) && packed.length < bytes->length;
	enum err err =
	    is_smaller ? add_form(&file->packed, &packed, file->name, "gzip", headers, f) : ERR_OK;
	buf_release(&packed);
	return err == ERR_OK ? add_form(&file->plain, bytes, file->name, "", headers, f) : err;
}

static enum err add_file(struct static_files *files, const char *path, const char *name,
			 add_headers *headers, struct fault *f) {
	if (files->count == FILES_MAX) return fault_set(f, ERR_TOO_LARGE, NULL, "Too many files.");
	struct static_file *file = &files->file[files->count++];
	file->name = strdup(name);
	struct buf bytes;
	buf_init(&bytes, FILE_BYTES_MAX);
	enum err err = file->name ? buf_add_file(&bytes, path, f) : fault_memory(f);
	if (err == ERR_OK) err = add_forms(file, &bytes, headers, f);
	buf_release(&bytes);
	return err;
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

const struct static_form *static_files_find(const struct static_files *files, const char *name,
					    const char *accept_encoding) {
	const struct static_file *file = files->file, *end = file + files->count;
	while (file < end && strcmp(file->name, name) != 0) file++;
	if (file == end) return NULL;
	bool is_packed = file->packed.response && decode_accepts(accept_encoding, "gzip");
	return is_packed ? &file->packed : &file->plain;
}

static void free_form(struct static_form *form) {
	if (form->response) MHD_destroy_response(form->response);
	if (form->unchanged) MHD_destroy_response(form->unchanged);
}

void static_files_free(struct static_files *files) {
	if (!files) return;
	for (size_t i = 0; i < files->count; i++) {
		free(files->file[i].name);
		free_form(&files->file[i].plain);
		free_form(&files->file[i].packed);
	}
	free(files);
}
