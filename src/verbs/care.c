#include "verbs/desk.h"

#include <stdio.h>

#include "store/backup.h"
#include "store/data_dir.h"

int verb_verify(const struct options *o) {
	struct fault f = {0};
	struct store *st = NULL;
	struct signing_key key;
	char path[DATA_PATH_SIZE];
	enum err err = data_dir_path(o->data, DATA_KEY, path, &f);
	if (err == ERR_OK) err = signing_key_load(&key, path, &f);
	if (err == ERR_OK) err = store_open(&st, o->data, NULL, STORE_READ, &f);
	if (err == ERR_OK) err = store_verify(st, key.public_key, show_progress, &f);
	store_close(st);
	if (err == ERR_OK) {
		puts("Every audit entry and every record holds.");
		return 0;
	}
	fprintf(stderr, "pegwarden: %s\n", f.message);
	return err == ERR_CORRUPT ? 3 : 1;
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
