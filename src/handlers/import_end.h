/*
 * The columns of components that say how a part left service: retired, marked for training,
 * disposed of.
 */
#ifndef PEGWARDEN_HANDLERS_IMPORT_END_H
#define PEGWARDEN_HANDLERS_IMPORT_END_H

#include "handlers/import_row.h"

/* Faults of those columns; old: the stored row in the words of the table, held_by in it, or NULL.
 * What is there stays as it is, and what is retired is put into no ensemble. */
enum err import_check_end(struct import_row *r, const struct doc *old) MUST_CHECK;
/* Stores what the row adds to what is on record. */
enum err import_end_service(struct import_row *r, const struct doc *old, int64_t id) MUST_CHECK;

#endif
