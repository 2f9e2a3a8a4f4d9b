/*
 * Files sent as they are: stylesheet, script, icons. Read whole at start.
 */
#ifndef PEGWARDEN_HTTP_STATIC_FILES_H
#define PEGWARDEN_HTTP_STATIC_FILES_H

#include <microhttpd.h>

#include "base/fault.h"

struct static_files;
struct static_file {
	char *name; /* "pegwarden.css" */
	char etag[20];
	struct MHD_Response *response;
	struct MHD_Response *unchanged; /* 304 */
};

/* headers: added to every response. */
struct static_files *static_files_load(const char *folder, void (*headers)(struct MHD_Response *),
				       struct fault *f);
const struct static_file *static_files_find(const struct static_files *files, const char *name);
void static_files_free(struct static_files *files);

#endif
