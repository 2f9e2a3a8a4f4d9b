/*
 * What happens when memory or the disk fails: an error with words, a record that
 * verifies, and nothing half done.
 */
#include <sodium.h>

#include "disk.h"
#include "faults.h"
#include "memory.h"

int main(void) {
	memory_install();
	disk_install();
	if (sodium_init() < 0) return 1;
	SRunner *runner = srunner_create(memory_suite());
	srunner_add_suite(runner, disk_suite());
	srunner_add_suite(runner, power_suite());
	srunner_add_suite(runner, reading_suite());
	srunner_run_all(runner, CK_NORMAL);
	int failed = srunner_ntests_failed(runner);
	srunner_free(runner);
	return failed != 0;
}
