/* The suites of faults_main.c. */
#ifndef PEGWARDEN_TESTS_FAULTS_H
#define PEGWARDEN_TESTS_FAULTS_H

#include <check.h>

Suite *memory_suite(void);
Suite *disk_suite(void);
Suite *reading_suite(void);
Suite *power_suite(void);

#endif
