/*
 * Repair or replace: advice with its arithmetic; people decide.
 *
 * Two rules of thumb, each by itself:
 *   value   what was spent on repairs so far and the quote against what age has left of
 *           the price paid (a city's fire department maintenance manual)
 *   share   the quote against a share, by default half, of what a new part costs (a fire-service
 *           guide of the 1990s)
 * What is not known is said, never guessed.
 */
#ifndef PEGWARDEN_RULES_ADVICE_H
#define PEGWARDEN_RULES_ADVICE_H

#include <stdint.h>

#include "base/arena.h"
#include "base/day.h"

#define ADVICE_SHARE_DEFAULT 50 /* percent */

struct advice_facts {
	int64_t paid_cents;        /* -1: not known, as of each price here */
	int64_t replacement_cents; /* of a new part */
	int64_t quote_cents;
	int64_t repaired_cents; /* what the repairs that came back cost, as far as it is known */
	int64_t unpriced;       /* how many of them have no cost on record */
	struct label_date made;
	day today;
	int limit_months; /* age at which it is retired; 0: nobody names one */
	int share_percent;
};

enum advice_outcome { ADVICE_UNKNOWN, ADVICE_REPAIR, ADVICE_REPLACE, ADVICE_OUTCOMES };
extern const char *const advice_word[ADVICE_OUTCOMES];  /* "unknown", "repair", "replace" */
extern const char *const advice_label[ADVICE_OUTCOMES]; /* for people */

struct advice_rule {
	enum advice_outcome outcome;
	const char *arithmetic; /* a line for people; of an unknown one what is not known */
	const char *source;
};

struct advice {
	/* One that speaks for replacing is enough; for repairing both have to. */
	enum advice_outcome outcome;
	struct advice_rule value, share;
};

/* Whole months from the label's month (its day, where the label has one) to today; -1 when
 * the age is not known or the label lies ahead. */
int advice_age_months(struct label_date made, day today);

/* Texts are arena memory. */
void advice_make(struct advice *advice, const struct advice_facts *facts, struct arena *a);

#endif
