/* The suites of rooms_main.c. */
#ifndef PEGWARDEN_TESTS_ROOMS_H
#define PEGWARDEN_TESTS_ROOMS_H

#include <check.h>

Suite *base_suite(void);
Suite *audit_suite(void);
Suite *proof_suite(void);
Suite *store_suite(void);
Suite *facts_suite(void);
Suite *http_suite(void);
Suite *outbound_suite(void);
Suite *picture_suite(void);
Suite *words_suite(void);

#endif
