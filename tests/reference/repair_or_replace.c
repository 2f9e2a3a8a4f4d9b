/*
 * Two rules of thumb on whether a repair pays.
 *
 *   value   not more on repairs than the piece is still worth (a city fire department's maintenance
 *           manual, D-8, 2025)
 *   share   not more on one than half of a new piece (a fire-service guide of the 1990s, as trade
 *           press reports it, "The debate: mandatory gear retirement at 10 years")
 *
 * Decided: the loss of value is straight over the age limit, months are whole.
 */
#include "trade.h"

#include "rules/advice.h"

/*
 * Made June 2020, today 15 June 2026: 72 whole months, of 120; 48 are left, 40 %. Of 1,200.00
 * that is 480.00. Half of a new one at 1,500.00 is 750.00.
 */
static struct advice_facts bought_for_1200(void) {
	struct advice_facts f = {.paid_cents = 120000,
				 .replacement_cents = 150000,
				 .quote_cents = 30000,
				 .repaired_cents = 18000,
				 .today = on("2026-06-15"),
				 .limit_months = 120,
				 .share_percent = ADVICE_SHARE_DEFAULT};
	label_date_parse("2020-06", &f.made);
	return f;
}

static struct advice advised(const struct advice_facts *f) {
	struct advice advice;
	advice_make(&advice, f, &arena);
	return advice;
}

static void ck_advice(const struct advice_facts *f, enum advice_outcome value,
		      enum advice_outcome share, enum advice_outcome both) {
	struct advice advice = advised(f);
	ck_assert_int_eq(advice.value.outcome, value);
	ck_assert_int_eq(advice.share.outcome, share);
	ck_assert_int_eq(advice.outcome, both);
}

START_TEST(advice_by_two_rules) {
	struct advice_facts f = bought_for_1200();
	/* 180.00 + 300.00 = 480.00, not over 480.00; 300.00 not over 750.00 */
	ck_advice(&f, ADVICE_REPAIR, ADVICE_REPAIR, ADVICE_REPAIR);
	ck_assert_str_eq(advised(&f).value.arithmetic,
			 "Paid 1200.00; 48 of 120 months of age are left, worth 480.00; repairs so "
			 "far 180.00 and the quote 300.00 make 480.00.");
	ck_assert_str_eq(advised(&f).share.arithmetic,
			 "The quote is 300.00; 50 % of the replacement price 1500.00 is 750.00.");
	f.quote_cents++;
	ck_advice(&f, ADVICE_REPLACE, ADVICE_REPAIR, ADVICE_REPLACE);
	f = bought_for_1200();
	f.repaired_cents = 0, f.paid_cents = 1000000, f.quote_cents = 75000;
	ck_advice(&f, ADVICE_REPAIR, ADVICE_REPAIR, ADVICE_REPAIR);
	f.quote_cents = 75001;
	ck_advice(&f, ADVICE_REPAIR, ADVICE_REPLACE, ADVICE_REPLACE);
	f.share_percent = 60; /* the department's own */
	ck_advice(&f, ADVICE_REPAIR, ADVICE_REPAIR, ADVICE_REPAIR);
}
END_TEST

START_TEST(advice_before_the_month_on_the_label) {
	struct advice_facts f = bought_for_1200();
	label_date_parse("2026-07", &f.made);
	ck_advice(&f, ADVICE_UNKNOWN, ADVICE_REPAIR, ADVICE_UNKNOWN);
	ck_assert_str_eq(advised(&f).value.arithmetic, "the month on the label has not come yet.");
}
END_TEST

START_TEST(advice_counts_repairs_of_unknown_cost) {
	struct advice_facts f = bought_for_1200();
	f.unpriced = 1;
	ck_advice(&f, ADVICE_UNKNOWN, ADVICE_REPAIR, ADVICE_UNKNOWN);
	ck_assert_ptr_nonnull(strstr(advised(&f).value.arithmetic, "What 1 earlier repair cost"));
	f.unpriced = 2;
	ck_assert_ptr_nonnull(strstr(advised(&f).value.arithmetic, "What 2 earlier repairs cost"));
}
END_TEST

START_TEST(advice_without_memory_says_less_but_the_same) {
	struct advice_facts f = bought_for_1200();
	struct advice advice;
	struct arena none;
	f.unpriced = 1;
	arena_init(&none, 1);
	advice_make(&advice, &f, &none);
	ck_assert_int_eq(advice.outcome, ADVICE_UNKNOWN);
	ck_assert_int_eq(advice.share.outcome, ADVICE_REPAIR);
	ck_assert(arena_failed(&none));
	arena_clear(&none);
}
END_TEST

START_TEST(advice_of_what_is_not_known) {
	struct advice_facts f = bought_for_1200();
	f.paid_cents = -1;
	ck_advice(&f, ADVICE_UNKNOWN, ADVICE_REPAIR, ADVICE_UNKNOWN);
	ck_assert_str_eq(advised(&f).value.arithmetic, "the price paid is not known.");
	f = bought_for_1200();
	f.made = (struct label_date){0};
	ck_advice(&f, ADVICE_UNKNOWN, ADVICE_REPAIR, ADVICE_UNKNOWN);
	ck_assert_str_eq(advised(&f).value.arithmetic, "the age is not known.");
	f = bought_for_1200();
	f.limit_months = 0;
	ck_advice(&f, ADVICE_UNKNOWN, ADVICE_REPAIR, ADVICE_UNKNOWN);
	f = bought_for_1200();
	f.replacement_cents = -1;
	ck_advice(&f, ADVICE_REPAIR, ADVICE_UNKNOWN, ADVICE_UNKNOWN);
	f = bought_for_1200();
	f.quote_cents = -1;
	ck_advice(&f, ADVICE_UNKNOWN, ADVICE_UNKNOWN, ADVICE_UNKNOWN);
	/* 480.01 on repairs already: no quote makes that less */
	f.repaired_cents = 48001;
	ck_advice(&f, ADVICE_REPLACE, ADVICE_UNKNOWN, ADVICE_REPLACE);
	/* a repair of unknown cost: what is known is too little to say, or enough already */
	f = bought_for_1200();
	f.unpriced = 1;
	ck_advice(&f, ADVICE_UNKNOWN, ADVICE_REPAIR, ADVICE_UNKNOWN);
	f.quote_cents = 30001;
	ck_advice(&f, ADVICE_REPLACE, ADVICE_REPAIR, ADVICE_REPLACE);
}
END_TEST

START_TEST(advice_of_what_costs_nothing) {
	/* Given for nothing: any repair is more than it is worth. */
	struct advice_facts f = bought_for_1200();
	f.paid_cents = 0;
	ck_advice(&f, ADVICE_REPLACE, ADVICE_REPAIR, ADVICE_REPLACE);
	/* Mended for nothing. */
	f = bought_for_1200();
	f.quote_cents = 0;
	ck_advice(&f, ADVICE_REPAIR, ADVICE_REPAIR, ADVICE_REPAIR);
	ck_assert_ptr_nonnull(strstr(advised(&f).value.arithmetic,
				     "repairs so far 180.00 and the quote 0.00 make 180.00."));
	/* Replaced for nothing: half of that is less than any quote. */
	f = bought_for_1200();
	f.replacement_cents = 0;
	ck_advice(&f, ADVICE_REPAIR, ADVICE_REPLACE, ADVICE_REPLACE);
}
END_TEST

START_TEST(advice_to_the_cent) {
	/* Spent to the last cent, and no quote yet: nothing says that it is too much. */
	struct advice_facts f = bought_for_1200();
	f.quote_cents = -1, f.repaired_cents = 48000;
	ck_advice(&f, ADVICE_UNKNOWN, ADVICE_UNKNOWN, ADVICE_UNKNOWN);
	ck_assert_ptr_nonnull(
	    strstr(advised(&f).value.arithmetic, "repairs so far 480.00; the quote is not known."));
	/* Made today: all of it is left. */
	f = bought_for_1200();
	f.today = on("2020-06-01");
	ck_advice(&f, ADVICE_REPAIR, ADVICE_REPAIR, ADVICE_REPAIR);
	ck_assert_ptr_nonnull(strstr(advised(&f).value.arithmetic, "120 of 120 months"));
}
END_TEST

static int age(const char *made, const char *today) {
	struct label_date label = {0};
	label_date_parse(made, &label);
	return advice_age_months(label, on(today));
}

START_TEST(advice_counts_whole_months) {
	ck_assert_int_eq(age("2020-06", "2026-06-01"), 72);
	ck_assert_int_eq(age("2020-06", "2026-05-31"), 71);
	ck_assert_int_eq(age("2020-06-15", "2026-06-14"), 71);
	ck_assert_int_eq(age("2020-06-15", "2026-06-15"), 72);
	ck_assert_int_eq(age("2026-06", "2026-06-01"), 0);
	ck_assert_int_eq(age("2026-07", "2026-06-30"), -1);
	ck_assert_int_eq(age("", "2026-06-30"), -1);
	/* past its limit it is worth nothing: any repair is too much */
	struct advice_facts f = bought_for_1200();
	f.today = on("2031-06-01");
	ck_advice(&f, ADVICE_REPLACE, ADVICE_REPAIR, ADVICE_REPLACE);
	ck_assert_ptr_nonnull(
	    strstr(advised(&f).value.arithmetic, "0 of 120 months of age are left, worth 0.00;"));
}
END_TEST

TCase *repair_or_replace_case(void) {
	TCase *c = trade_case("repair or replace");
	tcase_add_test(c, advice_by_two_rules);
	tcase_add_test(c, advice_of_what_is_not_known);
	tcase_add_test(c, advice_before_the_month_on_the_label);
	tcase_add_test(c, advice_counts_repairs_of_unknown_cost);
	tcase_add_test(c, advice_without_memory_says_less_but_the_same);
	tcase_add_test(c, advice_counts_whole_months);
	tcase_add_test(c, advice_of_what_costs_nothing);
	tcase_add_test(c, advice_to_the_cent);
	return c;
}
