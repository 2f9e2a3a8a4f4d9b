/*
 * The power goes: what is on the disk then opens, verifies, and has everything
 * that was told as done before.
 *
 * Two disks are kept beside the real one at every sync: what was written until
 * then, and only what was synced. Which of both a machine finds when it starts
 * again nobody knows; a record must hold with either.
 */
#include <check.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "disk.h"
#include "faults.h"
#include "scene.h"
#include "store/station.h"

#define CUTS_MAX 100
#define CHANGES 8 /* in each of two runs of the program */

static struct scene scene;
static struct {
	int done;              /* changes told as done so far */
	int cuts;              /* syncs so far */
	int done_at[CUTS_MAX]; /* changes done when that sync began */
} power;

static const char *const part[] = {"pegwarden.db", "pegwarden.db-wal"};

static void folder_of(char path[4096], const char *kind, int cut) {
	char name[40];
	snprintf(name, sizeof name, "%s-%d", kind, cut);
	path_of(path, scene.folder, name);
}

/* "synced" is the disk that has only what was synced. */
static void synced_path(char path[4096], const char *name) {
	char synced[40];
	snprintf(synced, sizeof synced, "synced-%s", name);
	path_of(path, scene.folder, synced);
}

static void copy_if_there(const char *from, const char *to) {
	if (access(from, F_OK) == 0) copy_file(from, to);
}

/* Both disks as they are when a sync begins. */
static void cut(void) {
	char from[4096], to[4096], folder[4096];
	ck_assert_int_lt(power.cuts, CUTS_MAX);
	power.done_at[power.cuts] = power.done;
	for (size_t i = 0; i < sizeof part / sizeof *part; i++) {
		folder_of(folder, "written", power.cuts);
		mkdir(folder, 0700);
		copy_if_there(path_of(from, scene.data, part[i]), path_of(to, folder, part[i]));
		folder_of(folder, "kept", power.cuts);
		mkdir(folder, 0700);
		synced_path(from, part[i]);
		copy_if_there(from, path_of(to, folder, part[i]));
	}
	power.cuts++;
}

static void on_sync(const char *path, bool synced) {
	char to[4096];
	const char *name = strrchr(path, '/') + 1;
	if (!synced) {
		cut();
		return;
	}
	synced_path(to, name);
	copy_file(path, to);
}

static enum err add_station(struct change *c, struct store *st) {
	struct arena a;
	int64_t id;
	char code[20];
	snprintf(code, sizeof code, "P%d", power.done);
	struct station_row row = {.code = code, .name = "One more", .active = true};
	arena_init(&a, 1024 * 1024);
	enum err err = station_save(st, &row, &a, &id, &c->fault);
	arena_clear(&a);
	return err;
}

static void run_program(void) {
	struct fault f = {0};
	ck_assert_msg(scene_open(&scene, &f) == ERR_OK, "%s", f.message);
	for (int i = 0; i < CHANGES; i++) {
		ck_assert_msg(scene_change(&scene, add_station, &f) == ERR_OK, "%s", f.message);
		power.done++;
	}
	scene_close(&scene);
}

static void check_folder(const char *kind, int cut_number) {
	char folder[4096], path[4096], when[100], last[HASH_HEX_SIZE], code[20];
	struct scene other = {.key = scene.key};
	struct fault f = {0};
	snprintf(when, sizeof when, "%s at sync %d", kind, cut_number + 1);
	folder_of(folder, kind, cut_number);
	scene_folder_holds(&scene, folder, when, last);
	ck_assert_int_eq(store_open(&other.store, folder, scene.migrations, STORE_WRITE, &f),
			 ERR_OK);
	for (int i = 0; i < power.done_at[cut_number]; i++) {
		int64_t id = 0;
		snprintf(code, sizeof code, "P%d", i);
		ck_assert_int_eq(station_by_code(other.store, code, &id, &f), ERR_OK);
		ck_assert_msg(id != 0, "%s: change %d was told as done and is lost", when, i + 1);
	}
	scene_close(&other);
	for (size_t i = 0; i < sizeof part / sizeof *part; i++)
		unlink(path_of(path, folder, part[i]));
	ck_assert_int_eq(rmdir(folder), 0);
}

START_TEST(the_power_goes) {
	char path[4096];
	scene_make(&scene);
	scene_fresh(&scene, false);
	synced_path(path, part[0]);
	char from[4096];
	copy_file(path_of(from, scene.data, part[0]), path);
	disk_watch(on_sync);
	run_program();
	run_program();
	disk_watch(NULL);
	ck_assert_int_eq(power.done, 2 * CHANGES);
	ck_assert_int_gt(power.cuts, 2 * CHANGES);
	for (int i = 0; i < power.cuts; i++) {
		check_folder("written", i);
		check_folder("kept", i);
	}
	for (size_t i = 0; i < sizeof part / sizeof *part; i++) {
		synced_path(path, part[i]);
		unlink(path);
	}
	scene_remove(&scene);
}
END_TEST

Suite *power_suite(void) {
	Suite *suite = suite_create("power");
	TCase *t = tcase_create("power");
	tcase_set_timeout(t, 300);
	tcase_add_test(t, the_power_goes);
	suite_add_tcase(suite, t);
	return suite;
}
