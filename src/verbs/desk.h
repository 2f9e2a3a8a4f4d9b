/*
 * What the verbs share: the record opened for one command, secrets typed or
 * read from files, what is said to the person who waits.
 */
#ifndef PEGWARDEN_VERBS_DESK_H
#define PEGWARDEN_VERBS_DESK_H

#include "base/buf.h"
#include "store/change.h"
#include "verbs/verbs.h"

struct desk {
	int lock;
	struct store *store;
	struct signing_key key;
};

/* Takes the data folder's lock, the key and the writing connection. Closing one that could
 * not be opened is right too. */
enum err desk_open(struct desk *d, const struct options *o, struct fault *f) MUST_CHECK;
void desk_close(struct desk *d);
/* Runs one change by the system. */
enum err desk_change(struct desk *d, enum err (*apply)(struct change *, struct store *),
		     void *context, const char *action, struct fault *f) MUST_CHECK;

/* Says the fault on standard error; the exit code. */
int verb_failed(const struct fault *f);
/* Where templates, static files and migrations are. */
const char *share_folder(const struct options *o);
/* On a terminal only. */
void show_progress(int64_t done, int64_t total);

/* A whole file, or standard input when it is called "-", into text, as much as that may hold. */
enum err read_file(const char *path, struct buf *text, struct fault *f) MUST_CHECK;
/* The first line of a file, or of standard input when it is called "-". */
bool read_line(const char *path, char *line, size_t size);
/* --password-cost least is for tests and demonstrations: the cost stands in the hash. */
enum err hash_password(const struct options *o, char *hash, struct fault *f) MUST_CHECK;
/* The same of a PIN, which is not easily guessed. */
enum err hash_pin(const struct options *o, char *hash, struct fault *f) MUST_CHECK;

#endif
