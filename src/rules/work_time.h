/*
 * How long somebody worked on a part: from each page of it shown until that page was saved.
 *
 * No time is counted twice, however many pages of an inspection are open at once; and a tablet
 * that lies there with a page open is no work.
 */
#ifndef PEGWARDEN_RULES_WORK_TIME_H
#define PEGWARDEN_RULES_WORK_TIME_H

#include <stdint.h>

/* From the page shown to its first save, and from one save to the next, so many seconds count at
 * most: the slowest points, done with care. Common practice, no source. */
#define WORK_PAGE_S_MAX 600

/* The seconds that a page adds: shown at opened_s, saved at now_s, where everything up to
 * counted_until_s is counted already. All are seconds since 1970. */
int64_t work_time(int64_t opened_s, int64_t counted_until_s, int64_t now_s);

#endif
