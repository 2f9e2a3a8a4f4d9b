/* Field tests, on their own pages and on those of the part. */
#ifndef PEGWARDEN_HANDLERS_FIELD_TESTS_H
#define PEGWARDEN_HANDLERS_FIELD_TESTS_H

#include "base/doc.h"

/* Adds test_label, state_label and extent_label to a row of store/field_test.h. */
void field_test_label_row(struct doc *row);

#endif
