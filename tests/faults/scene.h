/*
 * A small record to damage: made once, copied afresh for every attempt.
 *
 * An attempt leaves the record as it was or as it is after the whole change,
 * told apart by the hash of its last audit entry: everything signed is fixed
 * (key, clock), so that the hash is too.
 */
#ifndef PEGWARDEN_TESTS_SCENE_H
#define PEGWARDEN_TESTS_SCENE_H

#include <stdbool.h>

#include "audit/entry.h"
#include "audit/key.h"
#include "base/fault.h"
#include "store/change.h"
#include "store/store.h"

#define SCENE_NOW_S 1795651200

struct scene {
	char folder[64]; /* of the test, in /tmp */
	char data[80];   /* its data folder, the one that is damaged */
	char copy[80];   /* where backups go */
	char migrations[4096];
	struct signing_key key;
	struct store *store; /* open between scene_open and scene_close */
};

void scene_make(struct scene *s);
void scene_remove(struct scene *s);
/* The data folder anew: empty, or the record that was made. */
void scene_fresh(struct scene *s, bool empty);

enum err scene_open(struct scene *s, struct fault *f) MUST_CHECK;
void scene_close(struct scene *s);
/* One change, in a transaction of its own. */
enum err scene_change(struct scene *s, enum err (*apply)(struct change *c, struct store *st),
		      struct fault *f) MUST_CHECK;

/* Fails the test unless the open store verifies and its derived rows are as computed. */
void scene_holds(struct scene *s, const char *when);
/* The same of a folder, opened for it; and the hash of its last entry. */
void scene_folder_holds(struct scene *s, const char *folder, const char *when,
			char last[HASH_HEX_SIZE]);
/* Hash of the last entry of the open store; "" when there is none. */
void scene_last(struct scene *s, char last[HASH_HEX_SIZE]);

void copy_file(const char *from, const char *to);
/* DIR/NAME; fails the test when it is too long. */
const char *path_of(char path[4096], const char *folder, const char *name);

#endif
