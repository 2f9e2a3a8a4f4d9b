/*
 * Random lives of a small department: what people may record, drawn by a seed and written
 * through the store, one act after another.
 */
#ifndef PEGWARDEN_TESTS_UNIT_HISTORY_H
#define PEGWARDEN_TESTS_UNIT_HISTORY_H

#include "base/day.h"
#include "store/change.h"

/*
 * Two members with the same gear, piece by piece: components 1 to TWINS in ensemble 1 of member 1,
 * TWINS + 1 to 2 * TWINS in ensemble 2 of member 2, alike in everything but tag and serial. Each
 * has a complete ensemble against structural fire, and a second hood.
 */
#define TWINS 11
#define MEMBERS 2
#define STATIONS 2

/* One thing that somebody records. All it needs to know is drawn from its own dice, so that the
 * same event happens to a twin in the same way. */
struct event {
	int act; /* below ACT_COUNT */
	int64_t component;
	day on;
	uint64_t dice;
	bool done; /* set when there was something to record */
};
extern const int ACT_COUNT;

/* Any act, on a day up to a month before today; most on the day itself. */
struct event event_draw(uint64_t *seed, int64_t component, day today);
/* One whose place among the events of its day says nothing; no two of a group in one day. */
struct event event_draw_orderless(uint64_t *seed, int64_t component, day today,
				  unsigned *groups_taken);
/* Its hold ends; what else is in its way ends too, unless it is held. */
struct event event_releases(int64_t component, day on);
struct event event_mends(int64_t component, day on);
/* Writes it; runs inside a change. ERR_CONFLICT where a held component may not be changed. */
enum err event_happens(struct event *e, struct store *st, struct fault *f) MUST_CHECK;
const char *event_name(const struct event *e);

/* The department as it begins; runs inside a change. */
enum err department_fill(struct store *st, struct fault *f) MUST_CHECK;

#endif
