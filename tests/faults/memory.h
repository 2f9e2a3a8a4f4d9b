/*
 * Memory that runs out: allocations of ours, of SQLite and of the JSON reader
 * are counted, and the nth of them is refused, alone or with all that follow.
 *
 * Ours are wrapped by the linker (see Makefile.am), so that a sanitizer's own
 * allocator still stands behind them.
 */
#ifndef PEGWARDEN_TESTS_MEMORY_H
#define PEGWARDEN_TESTS_MEMORY_H

#include <stdbool.h>

/* Before SQLite is used for the first time. */
void memory_install(void);
/* From now on the nth allocation is refused; `lasting`: and every later one. */
void memory_fail(long nth, bool lasting);
/* No more refusals. Whether there was one since memory_fail. */
bool memory_mend(void);

#endif
