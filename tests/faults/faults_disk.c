/* Every operation on the disk fails once, and once with all that follow. */
#include <check.h>
#include <string.h>

#include "disk.h"
#include "faults.h"
#include "trial.h"

static struct scene scene;

static void make_scene(void) { scene_make(&scene); }
static void remove_scene(void) { scene_remove(&scene); }

#define WRITING (DISK_WRITE | DISK_TRUNCATE | DISK_SYNC)

static void reads(long nth) { disk_fail(&(struct disk_failure){DISK_READ, false, false}, nth); }
static void opens(long nth) { disk_fail(&(struct disk_failure){DISK_OPEN, false, false}, nth); }
static void write_once(long nth) { disk_fail(&(struct disk_failure){WRITING, false, false}, nth); }
static void write_from(long nth) { disk_fail(&(struct disk_failure){WRITING, true, false}, nth); }
static void fill_up(long nth) { disk_fail(&(struct disk_failure){DISK_WRITE, true, true}, nth); }

static bool is_told(enum err err) { return err == ERR_IO; }

static const struct failing how[] = {
    {.name = "a read", .begin = reads, .end = disk_mend, .is_told = is_told},
    {.name = "an opening", .begin = opens, .end = disk_mend, .is_told = is_told},
    {.name = "a write",
     .may_be_done = true,
     .begin = write_once,
     .end = disk_mend,
     .is_told = is_told},
    {.name = "all writes",
     .lasting = true,
     .may_be_done = true,
     .begin = write_from,
     .end = disk_mend,
     .is_told = is_told},
    {.name = "a full disk",
     .lasting = true,
     .begin = fill_up,
     .end = disk_mend,
     .is_told = is_told},
};
enum { WAYS = sizeof how / sizeof *how, FIRST_WRITE = 2 };

START_TEST(opening) { trial_run(&scene, &trial_open, &how[_i]); }
END_TEST
START_TEST(migrating) { trial_run(&scene, &trial_migrate, &how[_i]); }
END_TEST
START_TEST(changing) { trial_run(&scene, &trial_change, &how[_i]); }
END_TEST
START_TEST(adding_a_photo) { trial_run(&scene, &trial_photo, &how[_i]); }
END_TEST
START_TEST(importing) { trial_run(&scene, &trial_import, &how[_i]); }
END_TEST
START_TEST(changing_in_groups) { group_run(&scene, &how[_i]); }
END_TEST
START_TEST(backing_up) { trial_run(&scene, &trial_backup, &how[_i]); }
END_TEST

Suite *disk_suite(void) {
	Suite *suite = suite_create("disk");
	TCase *t = tcase_create("disk");
	tcase_set_timeout(t, 3600);
	tcase_add_checked_fixture(t, make_scene, remove_scene);
	tcase_add_loop_test(t, opening, 0, FIRST_WRITE);
	tcase_add_loop_test(t, migrating, 0, WAYS);
	tcase_add_loop_test(t, changing, FIRST_WRITE, WAYS);
	tcase_add_loop_test(t, adding_a_photo, FIRST_WRITE, WAYS);
	tcase_add_loop_test(t, importing, FIRST_WRITE, WAYS);
	tcase_add_loop_test(t, changing_in_groups, FIRST_WRITE, WAYS);
	tcase_add_loop_test(t, backing_up, 0, WAYS);
	suite_add_tcase(suite, t);
	return suite;
}
