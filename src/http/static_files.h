/*
 * Files sent as they are: stylesheet, scripts, icons, drawings. Read whole at start, from the
 * folder and the folders in it, and packed once for those who read gzip: on bad Wi-Fi a page's
 * files come in a third of the time. Pages are not packed: they hold secrets beside what was typed.
 */
#ifndef PEGWARDEN_HTTP_STATIC_FILES_H
#define PEGWARDEN_HTTP_STATIC_FILES_H

#include <microhttpd.h>

#include "base/fault.h"

struct static_files;
/* A file in one coding. */
struct static_form {
	char etag[24];
	struct MHD_Response *response;  /* NULL: there is none */
	struct MHD_Response *unchanged; /* 304 */
};

/* headers: added to every response. */
struct static_files *static_files_load(const char *folder, void (*headers)(struct MHD_Response *),
				       struct fault *f);
/* name: "pegwarden.css", "figures/hood.svg". accept_encoding: what the client reads, or NULL. NULL:
 * there is no such file. */
const struct static_form *static_files_find(const struct static_files *files, const char *name,
					    const char *accept_encoding);
void static_files_free(struct static_files *files);

#endif
