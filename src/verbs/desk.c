#include "verbs/desk.h"

#include <errno.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "base/limits.h"
#include "base/text.h"
#include "rules/pin.h"
#include "store/account.h"
#include "store/data_dir.h"

int verb_failed(const struct fault *f) {
	fprintf(stderr, "pegwarden: %s\n", f->message[0] ? f->message : err_word(f->code));
	return 1;
}

const char *share_folder(const struct options *o) {
	const char *environment = getenv("PEGWARDEN_SHARE");
	return o->share ? o->share : environment ? environment : PEGWARDEN_DATADIR;
}

enum err desk_open(struct desk *d, const struct options *o, struct fault *f) {
	char path[DATA_PATH_SIZE], migrations[DATA_PATH_SIZE];
	*d = (struct desk){.lock = -1};
	enum err err = data_dir_lock(o->data, &d->lock, f);
	if (err == ERR_OK) err = data_dir_path(o->data, DATA_KEY, path, f);
	if (err == ERR_OK) err = signing_key_load(&d->key, path, f);
	if (err == ERR_OK) err = data_dir_path(share_folder(o), "migrations", migrations, f);
	if (err == ERR_OK) err = store_open(&d->store, o->data, migrations, STORE_WRITE, f);
	return err;
}

void desk_close(struct desk *d) {
	store_close(d->store);
	signing_key_clear(&d->key);
	data_dir_unlock(d->lock);
}

enum err desk_change(struct desk *d, enum err (*apply)(struct change *, struct store *),
		     void *context, const char *action, struct fault *f) {
	struct change c = {.apply = apply, .context = context};
	c.author = (struct author){0, "system", action, (int64_t)time(NULL)};
	enum err err = store_change(d->store, &d->key, &c);
	if (err != ERR_OK && f->code == ERR_OK) *f = c.fault;
	return err;
}

void show_progress(int64_t done, int64_t total) {
	if (isatty(STDERR_FILENO))
		fprintf(stderr, "\r%lld of %lld%s", (long long)done, (long long)total,
			done == total ? "\n" : "");
}

enum err read_file(const char *path, struct buf *text, struct fault *f) {
	char chunk[8192];
	size_t got;
	FILE *file = strcmp(path, "-") == 0 ? stdin : fopen(path, "rb");
	if (!file)
		return fault_set(f, ERR_IO, NULL, "%s cannot be read: %s.", path, strerror(errno));
	while (!buf_failed(text) && (got = fread(chunk, 1, sizeof chunk, file)) > 0)
		buf_add(text, chunk, got);
	bool failed = ferror(file);
	if (file != stdin) fclose(file);
	if (failed) return fault_set(f, ERR_IO, NULL, "%s cannot be read.", path);
	return buf_failed(text) ? fault_set(f, ERR_TOO_LARGE, NULL, "%s is too long.", path)
				: ERR_OK;
}

bool read_line(const char *path, char *line, size_t size) {
	FILE *file = strcmp(path, "-") == 0 ? stdin : fopen(path, "r");
	if (!file) return false;
	bool read = fgets(line, (int)size, file) != NULL;
	if (file != stdin) fclose(file);
	if (read) line[strcspn(line, "\r\n")] = '\0';
	return read;
}

static const char *password_fault(const char *password, const struct options *o) {
	(void)o;
	return text_chars(password) < LIMIT_PASSWORD_CHARS_MIN
		   ? "The password needs at least 10 characters."
		   : NULL;
}
_Static_assert(LIMIT_PASSWORD_CHARS_MIN == 10, "the words say so");

static const char *pin_of_badge_fault(const char *pin, const struct options *o) {
	return pin_fault(pin, o->badge);
}

static enum err hash_secret(const struct options *o, const char *word,
			    const char *(*fault_of)(const char *, const struct options *),
			    char *hash, struct fault *f) {
	char line[LIMIT_PASSWORD_BYTES_MAX + 2];
	if (!o->password_file)
		return fault_set(f, ERR_INVALID, NULL,
				 "Give --%s-file FILE (or - for standard "
				 "input) with the %s on its first line.",
				 word, word);
	if (!read_line(o->password_file, line, sizeof line))
		return fault_set(f, ERR_IO, NULL, "No %s can be read from %s.", word,
				 o->password_file);
	const char *why = fault_of(line, o);
	if (why) return fault_set(f, ERR_INVALID, NULL, "%s", why);
	enum err err = password_hash(line, o->least, hash, f);
	sodium_memzero(line, sizeof line);
	return err;
}

enum err hash_password(const struct options *o, char *hash, struct fault *f) {
	return hash_secret(o, "password", password_fault, hash, f);
}

enum err hash_pin(const struct options *o, char *hash, struct fault *f) {
	return hash_secret(o, "pin", pin_of_badge_fault, hash, f);
}
