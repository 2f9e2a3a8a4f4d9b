/*
 * Importing tables: all or nothing, every bad row with line, column and reason.
 *
 * Kinds and columns are those of the field tables, with natural keys (codes,
 * badges, tags) where a record names another. Several files of one kind are
 * read one after the other, each in a transaction of its own.
 */
#ifndef PEGWARDEN_HANDLERS_IMPORT_H
#define PEGWARDEN_HANDLERS_IMPORT_H

#include "audit/key.h"
#include "base/doc.h"
#include "store/change.h"

struct import_job {
	const char *kind;       /* "stations", "members", ... */
	const char *date_order; /* "iso" (or NULL), "day_first", "month_first" */
	day today;              /* in the department's time zone: what was done was done by then */
	bool dry_run;
	bool update; /* rows that exist with other values are changed, not refused */
	char **file;
	int file_count;
	void (*progress)(void *self, int64_t done, int64_t total); /* bytes read; may be NULL */
	void *progress_self;
};

/* Faults are listed on standard error, the first 200 of them; the totals on standard output. */
enum err import_files(struct store *st, const struct signing_key *key, const struct import_job *job,
		      struct fault *f) MUST_CHECK;
/*
 * The same of bytes in memory, inside a change that is under way: the caller
 * undoes it when there are faults. report: rows, changed, fault_count, faults
 * [text], preview [{cells}]. ERR_INVALID when there are faults; dry_run is not looked at.
 */
enum err import_table(struct change *c, struct store *st, const struct import_job *job,
		      const char *name, const char *bytes, size_t length,
		      struct doc *report) MUST_CHECK;

#endif
