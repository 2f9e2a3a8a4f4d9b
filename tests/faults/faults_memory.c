/* Every allocation fails once, and once with all that follow. */
#include <check.h>
#include <string.h>

#include "faults.h"
#include "memory.h"
#include "trial.h"

static struct scene scene;

static void make_scene(void) { scene_make(&scene); }
static void remove_scene(void) { scene_remove(&scene); }

static void fail_once(long nth) { memory_fail(nth, false); }
static void fail_from(long nth) { memory_fail(nth, true); }
static bool is_told(enum err err) { return err == ERR_MEMORY; }

static const struct failing how[] = {
    {.name = "an allocation", .begin = fail_once, .end = memory_mend, .is_told = is_told},
    {.name = "all allocations",
     .lasting = true,
     .begin = fail_from,
     .end = memory_mend,
     .is_told = is_told},
};
enum { WAYS = sizeof how / sizeof *how };

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
START_TEST(verifying) { trial_run(&scene, &trial_verify, &how[_i]); }
END_TEST
START_TEST(backing_up) { trial_run(&scene, &trial_backup, &how[_i]); }
END_TEST

Suite *memory_suite(void) {
	Suite *suite = suite_create("memory");
	TCase *t = tcase_create("memory");
	tcase_set_timeout(t, 3600);
	tcase_add_checked_fixture(t, make_scene, remove_scene);
	tcase_add_loop_test(t, opening, 0, WAYS);
	tcase_add_loop_test(t, migrating, 0, WAYS);
	tcase_add_loop_test(t, changing, 0, WAYS);
	tcase_add_loop_test(t, adding_a_photo, 0, WAYS);
	tcase_add_loop_test(t, importing, 0, WAYS);
	tcase_add_loop_test(t, changing_in_groups, 0, WAYS);
	tcase_add_loop_test(t, verifying, 0, WAYS);
	tcase_add_loop_test(t, backing_up, 0, WAYS);
	suite_add_tcase(suite, t);
	return suite;
}
