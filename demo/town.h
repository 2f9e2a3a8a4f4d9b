/*
 * What the generator of the demo department works on: chance that is the same
 * each time, and the tables being written.
 */
#ifndef PEGWARDEN_DEMO_TOWN_H
#define PEGWARDEN_DEMO_TOWN_H

#include <stdbool.h>
#include <stdint.h>

#include "base/buf.h"
#include "base/day.h"

/* A linear congruential generator of 64 bits. */
struct dice {
	uint64_t state;
};
uint32_t roll(struct dice *d, uint32_t sides); /* 0 to sides - 1 */

enum {
	STATIONS,
	MEMBERS,
	PROVIDERS,
	COMPONENTS,
	ISSUES,
	CLEANINGS,
	INSPECTIONS,
	TOGETHER,
	FINDINGS,
	REPAIRS,
	QUOTES,
	PRICES,
	COMPONENT_PRICES,
	EXPOSURES,
	FIELD_TESTS,
	FIT_CHECKS,
	SAFETY_NOTICES,
	SAFETY_ANSWERS,
	HOLDS,
	CUSTODY,
	TABLES
};

/* A ticket takes a few findings of one station that go the same way. */
enum way { WAY_DRAFT, WAY_SENT, WAY_BACK, WAY_CANCELLED, WAYS };
struct ticket {
	char number[20];
	int findings;
};
#define TOWN_STATIONS 6

struct town {
	struct dice dice;
	day today;
	struct buf out[TABLES];
	struct ticket open[TOWN_STATIONS][WAYS];
	int tickets;
};

/* Cells, NULL-ended; NULL cannot stand for an empty one, "" does. */
void add_row(struct buf *b, const char *const *cell);
#define ROW(town, which, ...) add_row(&(town)->out[which], (const char *const[]){__VA_ARGS__, NULL})

const char *days_ago(const struct town *t, int days, char text[DAY_TEXT_SIZE]);

/* A set of gear and whose it is. */
struct set {
	const char *code, *hazard, *line, *badge, *inspector, *size;
	const char *station;
	int at;       /* index of the station */
	int age_days; /* of the set when it was made */
	int last_inspection_days;
	bool blurred_label; /* the label of the gloves cannot tell when they were made */
	bool is_sound;      /* nothing was ever found */
};
/* Every part of the set with its life: three years of cleanings, inspections and repairs. */
void add_set(struct town *t, const struct set *s);
/* Of new parts. */
void add_prices(struct town *t);

#endif
