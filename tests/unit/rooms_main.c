/*
 * Unit tests of the rooms base, audit, store, http and handlers. A suite is a function in
 * a file of its own; add it to the list here and the file to Makefile.am.
 */
#include <sodium.h>
#include <stdlib.h>

#include "rooms.h"

int main(void) {
	if (sodium_init() < 0) return 1;
	SRunner *runner = srunner_create(base_suite());
	srunner_add_suite(runner, picture_suite());
	srunner_add_suite(runner, audit_suite());
	srunner_add_suite(runner, proof_suite());
	srunner_add_suite(runner, store_suite());
	srunner_add_suite(runner, facts_suite());
	srunner_add_suite(runner, http_suite());
	srunner_add_suite(runner, outbound_suite());
	srunner_add_suite(runner, words_suite());
	srunner_run_all(runner, CK_NORMAL);
	int failed = srunner_ntests_failed(runner);
	srunner_free(runner);
	return failed != 0;
}
