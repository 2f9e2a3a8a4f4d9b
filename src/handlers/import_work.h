/*
 * The work of an import given in the browser: checking its table, storing it.
 *
 * Short tables are worked on at once, inside the change of the request. Long
 * ones (LIMIT_IMPORT_AT_ONCE_BYTES) come after it, as changes of their own on
 * the writer thread; the run's state says so meanwhile, and how far it is can
 * be asked. What a stop interrupts begins again at the next start.
 */
#ifndef PEGWARDEN_HANDLERS_IMPORT_WORK_H
#define PEGWARDEN_HANDLERS_IMPORT_WORK_H

#include "handlers/app.h"

/* Now, inside change c: what the state of the run asks for. A table that cannot be stored
 * (any more) is ERR_INVALID, and the caller undoes the change. */
enum err import_work_now(struct change *c, struct store *st, int64_t id, day today) MUST_CHECK;
/* Later. Who wants it is noted in the audit entries. */
enum err import_work_later(struct app *app, int64_t id, const struct author *author,
			   struct fault *f) MUST_CHECK;
/* At start: those that were interrupted. */
enum err import_work_resume(struct app *app, struct fault *f) MUST_CHECK;

/* How far the work on a run is, in percent; -1: it is not being worked on. */
int import_work_percent(struct app *app, int64_t id);

#endif
