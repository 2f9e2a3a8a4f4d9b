/* Data folders of a test's own, below /tmp. */
#ifndef PEGWARDEN_TESTS_FOLDER_H
#define PEGWARDEN_TESTS_FOLDER_H

#include "store/store.h"

/* path ends in six letters, which become others; fails the test when there can be none. */
void folder_make(char *path);
/* The store in it, from the migrations as shipped; fails the test when it does not open. */
struct store *folder_open(const char *path);
/* With the files in it. May be called outside of a test. */
void folder_remove(const char *path);

#endif
