/*
 * Files sent as they are: stylesheet, scripts, icons, drawings. Read whole at start, from the
 * folder and the folders in it.
 */
#ifndef PEGWARDEN_HTTP_STATIC_FILES_H
#define PEGWARDEN_HTTP_STATIC_FILES_H

#include <microhttpd.h>

#include "base/fault.h"

struct static_files;
struct static_file {
	char *name; /* "pegwarden.css", "figures/hood.svg" */
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
