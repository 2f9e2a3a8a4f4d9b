#include "scene.h"

#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "store/component.h"
#include "store/data_dir.h"
#include "store/ensemble.h"
#include "store/inspection.h"
#include "store/member.h"
#include "store/photo.h"
#include "store/station.h"

const char *path_of(char path[4096], const char *folder, const char *name) {
	int length = snprintf(path, 4096, "%s/%s", folder, name);
	ck_assert(length > 0 && length < 4096);
	return path;
}

void copy_file(const char *from, const char *to) {
	char chunk[65536];
	size_t got;
	FILE *in = fopen(from, "rb"), *out = fopen(to, "wb");
	ck_assert_msg(in && out, "%s cannot be copied to %s", from, to);
	while ((got = fread(chunk, 1, sizeof chunk, in)) > 0)
		ck_assert_uint_eq(fwrite(chunk, 1, got, out), got);
	fclose(in);
	ck_assert_int_eq(fclose(out), 0);
}

/* What may lie in a data folder. */
static const char *const part[] = {"pegwarden.db", "pegwarden.db-wal", "pegwarden.db-shm",
				   "pegwarden.db-journal"};

static void empty_folder(const char *folder) {
	char path[4096];
	for (size_t i = 0; i < sizeof part / sizeof *part; i++)
		unlink(path_of(path, folder, part[i]));
}

/* An inspection under way, with a photo. Of its bytes nobody asks more than that they are those. */
static enum err begin_inspection(struct store *st, struct fault *f) {
	static const unsigned char bytes[] = "of a picture";
	struct inspection_start start = {.kind = "advanced",
					 .inspector = 1,
					 .started_at = "2026-11-26T09:00:00Z",
					 .inspected_on = "2026-11-26"};
	struct picture picture = {bytes, sizeof bytes, 4, 3};
	char hash[PHOTO_HASH_SIZE];
	int64_t id;
	photo_hash(&picture, hash);
	enum err err = inspection_insert(st, &start, &id, f);
	struct photo_row photo = {.component = 1,
				  .inspection = id,
				  .recorded_by = 1,
				  .recorded_at = "2026-11-26T09:05:00Z",
				  .picture = &picture,
				  .small = &picture,
				  .hash = hash,
				  .small_hash = hash};
	if (err == ERR_OK) err = inspection_part_insert(st, id, 1, 1, 0, f);
	if (err == ERR_OK) err = photo_insert(st, &photo, &id, f);
	return err;
}

static enum err fill(struct change *c, struct store *st) {
	static const char *const kind[] = {"hood", "helmet", "gloves"};
	static const char *const tag[] = {"T1", "T2", "T3"};
	struct arena a;
	int64_t station = 0, member = 0, ensemble = 0, id;
	struct station_row s = {.code = "ST1", .name = "One", .active = true};
	struct member_row m = {.badge = "7",
			       .family_name = "Example",
			       .given_name = "Ada",
			       .status = "active",
			       .structural = true};
	struct ensemble_row e = {
	    .code = "E1", .hazard = "structural", .line = "primary", .active = true};
	arena_init(&a, 1024 * 1024);
	enum err err = station_save(st, &s, &a, &station, &c->fault);
	m.station = e.station = station;
	if (err == ERR_OK) err = member_save(st, &m, &a, &member, &c->fault);
	e.member = member;
	if (err == ERR_OK) err = ensemble_save(st, &e, &ensemble, &c->fault);
	for (size_t i = 0; err == ERR_OK && i < sizeof tag / sizeof *tag; i++) {
		struct component_row p = {.tag = tag[i],
					  .kind = kind[i],
					  .hazard = "structural",
					  .made = "2024-02",
					  .in_service_on = "2024-05-01",
					  .ensemble = ensemble,
					  .station = station,
					  .cost_cents = -1};
		err = component_save(st, &p, &a, &id, &c->fault);
	}
	if (err == ERR_OK) err = begin_inspection(st, &c->fault);
	arena_clear(&a);
	return err;
}

enum err scene_open(struct scene *s, struct fault *f) {
	return store_open(&s->store, s->data, s->migrations, STORE_WRITE, f);
}

void scene_close(struct scene *s) {
	store_close(s->store);
	s->store = NULL;
}

enum err scene_change(struct scene *s, enum err (*apply)(struct change *c, struct store *st),
		      struct fault *f) {
	struct change c = {
	    .apply = apply, .context = s, .author = {0, "system", "test", SCENE_NOW_S}};
	enum err err = store_change(s->store, &s->key, &c);
	*f = c.fault;
	return err;
}

void scene_make(struct scene *s) {
	static const unsigned char seed[SEED_BYTES] = {1, 2, 3};
	struct fault f = {0};
	char path[4096], made[4096];
	*s = (struct scene){.folder = "/tmp/pegwarden-faults-XXXXXX"};
	ck_assert_ptr_nonnull(mkdtemp(s->folder));
	snprintf(s->data, sizeof s->data, "%s/data", s->folder);
	snprintf(s->copy, sizeof s->copy, "%s/copy", s->folder);
	ck_assert_int_eq(mkdir(s->data, 0700), 0);
	ck_assert_int_eq(mkdir(s->copy, 0700), 0);
	path_of(s->migrations, getenv("srcdir") ? getenv("srcdir") : ".", "migrations");
	signing_key_from_seed(&s->key, seed);
	ck_assert_msg(scene_open(s, &f) == ERR_OK, "%s", f.message);
	ck_assert_msg(scene_change(s, fill, &f) == ERR_OK, "%s", f.message);
	scene_close(s);
	copy_file(path_of(path, s->data, part[0]), path_of(made, s->folder, "made.db"));
}

void scene_remove(struct scene *s) {
	char path[4096];
	scene_close(s);
	empty_folder(s->data);
	empty_folder(s->copy);
	unlink(path_of(path, s->folder, "made.db"));
	ck_assert_int_eq(rmdir(s->data), 0);
	ck_assert_int_eq(rmdir(s->copy), 0);
	ck_assert_int_eq(rmdir(s->folder), 0);
}

void scene_fresh(struct scene *s, bool empty) {
	char path[4096], made[4096];
	empty_folder(s->data);
	empty_folder(s->copy);
	if (!empty) copy_file(path_of(made, s->folder, "made.db"), path_of(path, s->data, part[0]));
}

/* --- does it hold? ----------------------------------------------------------------------- */

SQL_SCAN(test_last_hash, "SELECT hash FROM audit_entry ORDER BY seq DESC LIMIT 1");

void scene_last(struct scene *s, char last[HASH_HEX_SIZE]) {
	struct cursor c;
	struct fault f = {0};
	bool more;
	*last = '\0';
	ck_assert_int_eq(cursor_open(&c, s->store, &test_last_hash, &f, ""), ERR_OK);
	ck_assert_msg(cursor_next(&c, &more) == ERR_OK, "%s", f.message);
	if (more) snprintf(last, HASH_HEX_SIZE, "%s", cursor_text(&c, 0));
	cursor_close(&c);
}

void scene_holds(struct scene *s, const char *when) {
	struct fault f = {0};
	int64_t differences = -1;
	enum err err = store_verify(s->store, s->key.public_key, NULL, NULL, &f);
	ck_assert_msg(err == ERR_OK, "%s: the record does not verify: %s", when, f.message);
	err = store_rebuild(s->store, false, &differences, &f);
	ck_assert_msg(err == ERR_OK, "%s: %s", when, f.message);
	ck_assert_msg(differences == 0, "%s: derived rows are not as computed", when);
}

void scene_folder_holds(struct scene *s, const char *folder, const char *when,
			char last[HASH_HEX_SIZE]) {
	struct scene other = {.key = s->key};
	struct fault f = {0};
	enum err err = store_open(&other.store, folder, s->migrations, STORE_WRITE, &f);
	ck_assert_msg(err == ERR_OK, "%s: %s", when, f.message);
	scene_holds(&other, when);
	scene_last(&other, last);
	scene_close(&other);
}
