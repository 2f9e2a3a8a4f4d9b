#include "verbs/desk.h"

#include <stdio.h>

#include "store/backup.h"
#include "store/data_dir.h"
#include "store/tree.h"

/* --- what the record states of itself ---------------------------------------------------- */

/* The key and a reading connection: also while the record is served. */
static enum err look(const struct options *o, struct signing_key *key, struct store **st,
		     struct fault *f) {
	char path[DATA_PATH_SIZE];
	*st = NULL;
	enum err err = data_dir_path(o->data, DATA_KEY, path, f);
	if (err == ERR_OK) err = signing_key_load(key, path, f);
	return err == ERR_OK ? store_open(st, o->data, NULL, STORE_READ, f) : err;
}

int verb_checkpoint(const struct options *o) {
	struct fault f = {0};
	struct signing_key key;
	struct checkpoint now;
	struct store *st;
	struct buf note;
	buf_init(&note, NOTE_BYTES_MAX);
	enum err err = look(o, &key, &st, &f);
	if (err == ERR_OK) err = audit_checkpoint(st, &now, &f);
	if (err == ERR_OK) {
		checkpoint_write(&now, &key, &note);
		if (buf_failed(&note))
			err = fault_set(&f, ERR_MEMORY, NULL, "There is no memory left.");
	}
	if (err == ERR_OK) fputs(buf_text(&note), stdout);
	store_close(st);
	signing_key_clear(&key);
	buf_release(&note);
	return err == ERR_OK ? 0 : verb_failed(&f);
}

/* A mail saved as text, with all its headers, is far below this. */
#define CHECKPOINT_FILE_BYTES_MAX (1024 * 1024)

static enum err read_checkpoint(const char *path, const unsigned char *public_key,
				struct checkpoint *c, struct fault *f) {
	struct buf text;
	struct fault why = {0};
	buf_init(&text, CHECKPOINT_FILE_BYTES_MAX);
	enum err err = read_file(path, &text, f);
	if (err == ERR_OK) {
		err = checkpoint_find(buf_text(&text), text.length, public_key, c, &why);
		if (err != ERR_OK) err = fault_set(f, err, NULL, "%s: %s", path, why.message);
	}
	buf_release(&text);
	return err;
}

static int tell_verified(const struct options *o, const struct fault *f) {
	if (f->code != ERR_OK) {
		fprintf(stderr, "pegwarden: %s\n", f->message);
		return f->code == ERR_CORRUPT ? 3 : 1;
	}
	puts("Every audit entry and every record holds.");
	for (size_t i = 0; i < o->checkpoint_count; i++)
		printf("The record contains what %s stated.\n", o->checkpoint[i]);
	return 0;
}

int verb_verify(const struct options *o) {
	struct fault f = {0};
	struct store *st;
	struct signing_key key;
	struct checkpoint checkpoint[CHECKPOINT_FILES_MAX];
	struct stated stated = {checkpoint, o->checkpoint_count};
	enum err err = look(o, &key, &st, &f);
	for (size_t i = 0; err == ERR_OK && i < o->checkpoint_count; i++)
		err = read_checkpoint(o->checkpoint[i], key.public_key, &checkpoint[i], &f);
	if (err == ERR_OK) err = store_verify(st, key.public_key, &stated, show_progress, &f);
	store_close(st);
	signing_key_clear(&key);
	return tell_verified(o, &f);
}

int verb_rebuild(const struct options *o) {
	struct fault f = {0};
	struct desk d;
	int64_t differences = 0;
	enum err err = desk_open(&d, o, &f);
	if (err == ERR_OK) err = store_rebuild(d.store, !o->check, &differences, &f);
	desk_close(&d);
	if (err != ERR_OK) return verb_failed(&f);
	printf("%lld components or members %s.\n", (long long)differences,
	       o->check ? "are not as the rules compute them" : "were computed anew");
	return o->check && differences ? 3 : 0;
}

int verb_backup(const struct options *o) {
	struct fault f = {0};
	if (!o->to) {
		fputs("pegwarden: say where the copy goes: --to FILE\n", stderr);
		return 2;
	}
	if (store_backup(o->data, o->to, &f) != ERR_OK) return verb_failed(&f);
	printf(
	    "%s is a whole copy of the record. The signing key is not in it: keep a copy of %s/%s "
	    "in another place.\n",
	    o->to, o->data, DATA_KEY);
	return 0;
}
