#include "rules/advice.h"

const char *const advice_word[ADVICE_OUTCOMES] = {"unknown", "repair", "replace"};
const char *const advice_label[ADVICE_OUTCOMES] = {"cannot be said", "repair looks economic",
						   "replacing looks better"};

static const char *money(int64_t cents, struct arena *a) {
	const char *text =
	    arena_printf(a, "%lld.%02lld", (long long)(cents / 100), (long long)(cents % 100));
	return text ? text : "";
}

int advice_age_months(struct label_date made, day today) {
	if (!label_date_known(made) || label_date_first(made) > today) return -1;
	day first = label_date_first(made);
	int months = 0;
	while (day_add_months(first, months + 1) <= today) months++;
	return months;
}

/* --- what age has left of the price paid -------------------------------------------- */

static const char *missing_for_value(const struct advice_facts *f) {
	if (f->paid_cents < 0) return "the price paid is not known.";
	if (!label_date_known(f->made)) return "the age is not known.";
	if (label_date_first(f->made) > f->today) return "the month on the label has not come yet.";
	return f->limit_months
		   ? NULL
		   : "neither the program nor the maker names an age limit for such a part.";
}

/* A part of unknown cost costs something: the sum can only grow. */
static enum advice_outcome weigh_spent(const struct advice_facts *f, int64_t spent, int64_t value) {
	if (spent > value) return ADVICE_REPLACE;
	return f->unpriced || f->quote_cents < 0 ? ADVICE_UNKNOWN : ADVICE_REPAIR;
}

static const char *spent_words(const struct advice_facts *f, int64_t spent, struct arena *a) {
	const char *text = f->quote_cents < 0
			       ? arena_printf(a, "repairs so far %s; the quote is not known",
					      money(f->repaired_cents, a))
			       : arena_printf(a, "repairs so far %s and the quote %s make %s",
					      money(f->repaired_cents, a), money(f->quote_cents, a),
					      money(spent, a));
	return text ? text : "";
}

static const char *unpriced_words(const struct advice_facts *f, struct arena *a) {
	if (!f->unpriced) return "";
	const char *text =
	    arena_printf(a, " What %lld earlier %s cost is not known.", (long long)f->unpriced,
			 f->unpriced == 1 ? "repair" : "repairs");
	return text ? text : "";
}

static void weigh_value(struct advice_rule *r, const struct advice_facts *f, struct arena *a) {
	const char *missing = missing_for_value(f);
	r->source = "a city's fire department maintenance manual";
	r->outcome = ADVICE_UNKNOWN;
	r->arithmetic = missing;
	if (missing) return;
	int age = advice_age_months(f->made, f->today);
	int left = age < f->limit_months ? f->limit_months - age : 0;
	int64_t value = f->paid_cents * left / f->limit_months;
	int64_t spent = f->repaired_cents + (f->quote_cents < 0 ? 0 : f->quote_cents);
	r->outcome = weigh_spent(f, spent, value);
	r->arithmetic = arena_printf(
	    a, "Paid %s; %d of %d months of age are left, worth %s; %s.%s", money(f->paid_cents, a),
	    left, f->limit_months, money(value, a), spent_words(f, spent, a), unpriced_words(f, a));
}

/* --- the share of a new one ---------------------------------------------------------- */

static void weigh_share(struct advice_rule *r, const struct advice_facts *f, struct arena *a) {
	r->source = "a fire-service guide of the 1990s";
	r->outcome = ADVICE_UNKNOWN;
	r->arithmetic = f->quote_cents < 0         ? "the quote is not known."
			: f->replacement_cents < 0 ? "the replacement price is not known."
						   : NULL;
	if (r->arithmetic) return;
	int64_t share = f->replacement_cents * f->share_percent / 100;
	/* Both sides times a hundred, so that no part of a cent decides. */
	bool over = f->quote_cents * 100 > f->replacement_cents * f->share_percent;
	r->outcome = over ? ADVICE_REPLACE : ADVICE_REPAIR;
	r->arithmetic = arena_printf(a, "The quote is %s; %d %% of the replacement price %s is %s.",
				     money(f->quote_cents, a), f->share_percent,
				     money(f->replacement_cents, a), money(share, a));
}

void advice_make(struct advice *advice, const struct advice_facts *f, struct arena *a) {
	weigh_value(&advice->value, f, a);
	weigh_share(&advice->share, f, a);
	enum advice_outcome value = advice->value.outcome, share = advice->share.outcome;
	if (value == ADVICE_REPLACE || share == ADVICE_REPLACE) advice->outcome = ADVICE_REPLACE;
	else if (value == ADVICE_REPAIR && share == ADVICE_REPAIR) advice->outcome = ADVICE_REPAIR;
	else advice->outcome = ADVICE_UNKNOWN;
}
