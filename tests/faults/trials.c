/* The operations: opening, changing, importing, verifying, backing up. */
#include <check.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "handlers/import.h"
#include "store/backup.h"
#include "store/component.h"
#include "store/photo.h"
#include "store/station.h"
#include "trial.h"

/* --- opening ------------------------------------------------------------------------------ */

static enum err open_store(struct scene *s, struct fault *f) { return scene_open(s, f); }

const struct trial trial_open = {.name = "opening", .run = open_store};
const struct trial trial_migrate = {.name = "a new record", .empty = true, .run = open_store};

/* --- one change ----------------------------------------------------------------------------- */

/* Two records, so that half of it would be seen; the second changes what is derived. */
static enum err withdraw(struct change *c, struct store *st) {
	struct arena a;
	int64_t id;
	struct station_row station = {.code = "ST2", .name = "Two", .active = true};
	arena_init(&a, 1024 * 1024);
	enum err err = station_save(st, &station, &a, &id, &c->fault);
	if (err == ERR_OK) err = component_withdraw(st, 1, "Notice of its maker", &c->fault);
	arena_clear(&a);
	return err;
}

static enum err change_once(struct scene *s, struct fault *f) {
	return scene_change(s, withdraw, f);
}

const struct trial trial_change = {
    .name = "a change", .opened = true, .changes = true, .run = change_once};

/* --- a photo ---------------------------------------------------------------------------------- */

/* Taken and stored: half of it would be a photo without its picture. */
static enum err add_photo(struct change *c, struct store *st) {
	/* Four pixels by two, as a PNG. */
	static const unsigned char png[] = {
	    0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a, 0x00, 0x00, 0x00, 0x0d, 0x49, 0x48,
	    0x44, 0x52, 0x00, 0x00, 0x00, 0x04, 0x00, 0x00, 0x00, 0x02, 0x08, 0x02, 0x00, 0x00,
	    0x00, 0xf0, 0xca, 0xea, 0x34, 0x00, 0x00, 0x00, 0x23, 0x49, 0x44, 0x41, 0x54, 0x78,
	    0x01, 0x63, 0x64, 0xf8, 0x1f, 0xa5, 0xf0, 0x84, 0x41, 0xe1, 0x09, 0x83, 0xc2, 0x13,
	    0x06, 0x96, 0x86, 0x09, 0x0c, 0x0a, 0x4f, 0x18, 0x14, 0x9e, 0x30, 0x28, 0x3c, 0x61,
	    0x00, 0x00, 0x73, 0x6a, 0x08, 0x87, 0x8e, 0x73, 0xc5, 0x20, 0x00, 0x00, 0x00, 0x00,
	    0x49, 0x45, 0x4e, 0x44, 0xae, 0x42, 0x60, 0x82};
	struct arena a;
	struct picture picture, small;
	char hash[PHOTO_HASH_SIZE], small_hash[PHOTO_HASH_SIZE];
	int64_t id;
	arena_init(&a, 1024 * 1024);
	enum err err = picture_take(png, sizeof png, &a, &picture, &small, &c->fault);
	if (err == ERR_OK) {
		photo_hash(&picture, hash);
		photo_hash(&small, small_hash);
		struct photo_row row = {.component = 1,
					.inspection = 1,
					.recorded_by = 1,
					.recorded_at = "2026-11-26T12:00:00Z",
					.picture = &picture,
					.small = &small,
					.hash = hash,
					.small_hash = small_hash};
		err = photo_insert(st, &row, &id, &c->fault);
	}
	arena_clear(&a);
	return err;
}

static enum err photo_once(struct scene *s, struct fault *f) {
	return scene_change(s, add_photo, f);
}

const struct trial trial_photo = {
    .name = "a photo", .opened = true, .changes = true, .run = photo_once};

/* --- an import ------------------------------------------------------------------------------- */

static const char table[] = "tag,kind,hazard,station,ensemble,made,in_service_on,note\r\n"
			    "P1,coat_shell,structural,ST1,E1,2023-01,2023-03-01,\"first, one\"\r\n"
			    "P2,coat_liner,structural,ST1,E1,2023-01,2023-03-01,\r\n"
			    "P3,trouser_shell,structural,ST1,,2023-02,2023-03-01,Größe geändert\r\n"
			    "P4,footwear,structural,ST1,,2023-02,2023-03-01,\r\n";

static enum err import(struct change *c, struct store *st) {
	struct import_job job = {.kind = "components", .today = DAY_MAX};
	struct arena a;
	arena_init(&a, 1024 * 1024);
	struct doc *report = doc_map(&a);
	enum err err = report ? import_table(c, st, &job, "parts.csv", table, strlen(table), report)
			      : fault_memory(&c->fault);
	arena_clear(&a);
	return err;
}

static enum err import_once(struct scene *s, struct fault *f) { return scene_change(s, import, f); }

const struct trial trial_import = {
    .name = "an import", .opened = true, .changes = true, .run = import_once};

/* --- verifying ------------------------------------------------------------------------------- */

static enum err verify_once(struct scene *s, struct fault *f) {
	return store_verify(s->store, s->key.public_key, NULL, NULL, f);
}

const struct trial trial_verify = {.name = "verifying", .opened = true, .run = verify_once};

/* --- a backup -------------------------------------------------------------------------------- */

static enum err backup_once(struct scene *s, struct fault *f) {
	char path[sizeof s->copy + 20];
	snprintf(path, sizeof path, "%s/pegwarden.db", s->copy);
	return store_backup(s->data, path, f);
}

/* Either a whole copy, or none that somebody could take for one. */
static void check_backup(struct scene *s, enum err outcome, const char *when) {
	char path[4096], last[HASH_HEX_SIZE];
	bool is_there = access(path_of(path, s->copy, "pegwarden.db"), F_OK) == 0;
	ck_assert_msg(is_there == (outcome == ERR_OK), "%s: %s, but the file is %s", when,
		      err_word(outcome), is_there ? "there" : "missing");
	if (is_there) scene_folder_holds(s, s->copy, when, last);
}

/* SQLite's check of a copy has one word for a page that is bad and one that cannot be read. */
const struct trial trial_backup = {
    .name = "a backup", .also_told = ERR_CORRUPT, .run = backup_once, .after = check_backup};
