/* Memory, documents, calendar, text and tables. */
#include "rooms.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/csv.h"
#include "base/day.h"
#include "base/doc.h"
#include "base/fault.h"
#include "base/json.h"
#include "base/likeness.h"
#include "base/limits.h"
#include "base/text.h"
#include "base/zone.h"

START_TEST(arena_gives_zeroed_memory_up_to_its_cap) {
	struct arena a;
	arena_init(&a, 100000);
	char *first = arena_alloc(&a, 1000);
	for (int i = 0; i < 1000; i++) ck_assert_int_eq(first[i], 0);
	memset(first, 7, 1000);
	arena_reset(&a);
	char *again = arena_alloc(&a, 1000);
	for (int i = 0; i < 1000; i++) ck_assert_int_eq(again[i], 0);
	ck_assert_ptr_null(arena_alloc(&a, 200000));
	ck_assert(arena_failed(&a));
	ck_assert_ptr_null(arena_alloc(&a, 1)); /* sticky */
	ck_assert_ptr_null(arena_calloc(&a, SIZE_MAX, 2));
	arena_clear(&a);
	ck_assert(!arena_failed(&a));
	arena_clear(&a);
}
END_TEST

START_TEST(buf_stops_at_its_maximum) {
	struct buf b;
	buf_init(&b, 10);
	buf_add_text(&b, "1234567890");
	ck_assert(!buf_failed(&b));
	buf_add_char(&b, 'x');
	ck_assert(buf_failed(&b));
	buf_reset(&b);
	buf_add_int(&b, INT64_MIN);
	ck_assert(buf_failed(&b)); /* twenty characters */
	buf_release(&b);
	buf_init(&b, 100);
	buf_add_int(&b, INT64_MIN);
	buf_add_html(&b, "<&\"'>", 5);
	ck_assert_str_eq(buf_text(&b), "-9223372036854775808&lt;&amp;&quot;&#39;&gt;");
	buf_release(&b);
}
END_TEST

START_TEST(doc_writes_what_json_reads) {
	struct arena a;
	struct fault f = {0};
	struct doc *back = NULL;
	struct buf b;
	arena_init(&a, 1000000);
	buf_init(&b, 10000);
	struct doc *d = doc_map(&a);
	doc_set_text(d, "text", "a\"\\\n\t\x01é");
	doc_set_int(d, "number", -12);
	doc_set_bool(d, "truth", true);
	doc_set_null(d, "nothing");
	doc_set_int(d, "number", 13); /* the later value is kept */
	doc_add_int(doc_set_list(d, "list"), 1);
	doc_write_json(d, &b);
	ck_assert_int_eq(json_read(buf_text(&b), b.length, &a, &back, &f), ERR_OK);
	ck_assert_str_eq(doc_text(back, "text"), "a\"\\\n\t\x01é");
	ck_assert_int_eq(doc_int(back, "number"), 13);
	ck_assert(doc_bool(back, "truth"));
	ck_assert(!doc_truth(doc_get(back, "nothing")));
	ck_assert_int_eq(doc_count(doc_get(back, "list")), 1);
	ck_assert_ptr_null(doc_text(NULL, "x"));
	buf_release(&b);
	arena_clear(&a);
}
END_TEST

START_TEST(json_refuses_what_nobody_should_send) {
	static const char *const bad[] = {
	    "{\"a\":1,\"a\":2}",     "{",           "1.5",      "{\"a\":1.0}",
	    "[[[[[[[[[[1]]]]]]]]]]", "\"\\u0000\"", "\"\xff\"", ""};
	struct arena a;
	arena_init(&a, 1000000);
	for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
		struct fault f = {0};
		struct doc *d = NULL;
		ck_assert_msg(json_read(bad[i], strlen(bad[i]), &a, &d, &f) == ERR_SYNTAX, "%s",
			      bad[i]);
		ck_assert(f.message[0]);
	}
	arena_clear(&a);
}
END_TEST

START_TEST(fault_keeps_the_first) {
	struct fault f = {0};
	fault_set(&f, ERR_STALE, "a", "first");
	fault_set(&f, ERR_IO, "b", "second");
	ck_assert_int_eq(f.code, ERR_STALE);
	ck_assert_str_eq(f.message, "first");
	ck_assert_int_eq(fault_set(NULL, ERR_IO, NULL, "x"), ERR_IO);
}
END_TEST

/* Every day of the range, there and back, in the order of the calendar. */
START_TEST(day_goes_there_and_back) {
	struct ymd before = {1899, 12, 31};
	for (day d = DAY_MIN; d <= DAY_MAX; d++) {
		char text[DAY_TEXT_SIZE];
		struct ymd at = day_to_ymd(d);
		ck_assert_int_eq(day_from_ymd(at.year, at.month, at.day), d);
		ck_assert_int_eq(day_parse(day_format(d, text)), d);
		bool next_day =
		    at.day == before.day + 1 && at.month == before.month && at.year == before.year;
		bool next_month =
		    at.day == 1 && (at.month == before.month + 1 || at.year == before.year + 1);
		ck_assert(next_day || next_month);
		before = at;
	}
	ck_assert_int_eq(day_from_ymd(1970, 1, 1), 0);
	ck_assert_int_eq(day_from_ymd(1900, 2, 29), DAY_NONE);
	ck_assert_int_eq(day_from_ymd(2000, 2, 29) + 1, day_from_ymd(2000, 3, 1));
	ck_assert_int_eq(day_from_ymd(2200, 1, 1), DAY_NONE);
}
END_TEST

START_TEST(day_months_end_where_the_month_ends) {
	ck_assert_int_eq(day_add_months(day_parse("2026-01-31"), 1), day_parse("2026-02-28"));
	ck_assert_int_eq(day_add_months(day_parse("2024-01-31"), 1), day_parse("2024-02-29"));
	ck_assert_int_eq(day_add_years(day_parse("2024-02-29"), 1), day_parse("2025-02-28"));
	ck_assert_int_eq(day_add_months(day_parse("2024-03-31"), -1), day_parse("2024-02-29"));
	ck_assert_int_eq(day_add_months(day_parse("2026-11-25"), -13), day_parse("2025-10-25"));
	ck_assert_int_eq(day_add_months(DAY_NONE, 1), DAY_NONE);
	ck_assert_int_eq(day_add_months(DAY_MAX, 1), DAY_NONE);
}
END_TEST

START_TEST(day_reads_only_what_is_meant) {
	static const char *const bad[] = {
	    "",         "2026-1-01",  "2026-13-01",     "2026-02-29", "2026-01-01 ",
	    "26-01-01", "2026/01/01", "２０２６-01-01", "2026-00-10", "2026-01-00"};
	for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
		ck_assert_int_eq(day_parse(bad[i]), DAY_NONE);
	ck_assert_int_eq(day_parse(NULL), DAY_NONE);
	ck_assert_int_eq(day_parse_ordered("3/4/2021", DATE_DAY_FIRST), day_parse("2021-04-03"));
	ck_assert_int_eq(day_parse_ordered("3/4/2021", DATE_MONTH_FIRST), day_parse("2021-03-04"));
	ck_assert_int_eq(day_parse_ordered("3/4/2021", DATE_ISO_ONLY), DAY_NONE);
	ck_assert_int_eq(day_parse_ordered("13/4/2021", DATE_MONTH_FIRST), DAY_NONE);
	ck_assert_int_eq(day_parse_ordered("3/4/21", DATE_DAY_FIRST), DAY_NONE);
	ck_assert_int_eq(day_parse_ordered("3/4-2021", DATE_DAY_FIRST), DAY_NONE);
	ck_assert_int_eq(day_parse_ordered("03.04.2021", DATE_DAY_FIRST), day_parse("2021-04-03"));
}
END_TEST

START_TEST(label_dates_stay_months) {
	struct label_date d;
	char text[DAY_TEXT_SIZE];
	ck_assert(label_date_parse("2016-06", &d));
	ck_assert_int_eq(d.day, 0);
	ck_assert_str_eq(label_date_format(d, text), "2016-06");
	ck_assert_int_eq(label_date_first(d), day_parse("2016-06-01"));
	ck_assert_int_eq(label_date_last(d), day_parse("2016-06-30"));
	ck_assert(!label_date_parse("2016", &d));
	ck_assert(!label_date_parse("2016-6", &d));
	ck_assert(!label_date_known(d));
	ck_assert_int_eq(label_date_last(d), DAY_NONE);
	ck_assert(label_date_parse_ordered("6/2016", DATE_MONTH_FIRST, &d));
	ck_assert_int_eq(d.month, 6);
	ck_assert(!label_date_parse_ordered("6/2016", DATE_ISO_ONLY, &d));
}
END_TEST

START_TEST(instants_and_zones) {
	int64_t at;
	char text[INSTANT_TEXT_SIZE];
	ck_assert(instant_parse("2026-11-25T05:59:59Z", &at));
	ck_assert_str_eq(instant_format(at, text), "2026-11-25T05:59:59Z");
	ck_assert(!instant_parse("2026-11-25T24:00:00Z", &at));
	ck_assert(!instant_parse("2026-11-25 05:59:59Z", &at));
	/* Chicago is six hours behind in winter, five in summer. */
	ck_assert(instant_parse("2026-11-25T05:59:59Z", &at));
	ck_assert_int_eq(instant_day_in_zone(at, "America/Chicago"), day_parse("2026-11-24"));
	ck_assert_int_eq(instant_day_in_zone(at + 1, "America/Chicago"), day_parse("2026-11-25"));
	ck_assert(instant_parse("2026-07-01T05:00:00Z", &at));
	ck_assert_int_eq(instant_day_in_zone(at, "America/Chicago"), day_parse("2026-07-01"));
	ck_assert_int_eq(instant_day_in_zone(at - 1, "America/Chicago"), day_parse("2026-06-30"));
	char local[LOCAL_TEXT_SIZE];
	ck_assert(instant_format_in_zone(at - 1, "America/Chicago", local));
	ck_assert_str_eq(local, "2026-06-30 23:59");
	ck_assert(instant_format_in_zone(at, "UTC", local));
	ck_assert_str_eq(local, "2026-07-01 05:00");
	ck_assert(!instant_format_in_zone(at, "Nowhere/Land", local));
	/* A day after the last one of the tables: by the rule at the end of the file. */
	ck_assert(instant_parse("2090-07-01T05:00:00Z", &at));
	ck_assert_int_eq(instant_day_in_zone(at, "America/Chicago"), day_parse("2090-07-01"));
	ck_assert_int_eq(instant_day_in_zone(at, "Nowhere/Land"), DAY_NONE);
	ck_assert_int_eq(instant_day_in_zone(at, "../../etc/passwd"), DAY_NONE);
	int64_t offset;
	ck_assert(!zone_offset((const unsigned char *)"TZif2", 5, 0, &offset));
}
END_TEST

START_TEST(text_is_checked_and_folded) {
	struct arena a;
	arena_init(&a, 100000);
	ck_assert(text_is_utf8("é€😀", strlen("é€😀")));
	static const char *const bad[] = {"\xc0\x80", "\xed\xa0\x80", "\xf4\x90\x80\x80",
					  "\xe2\x82", "\xff",         "\x80"};
	for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
		ck_assert(!text_is_utf8(bad[i], strlen(bad[i])));
	ck_assert(!text_is_utf8("a\0b", 3));
	ck_assert_str_eq(text_normalize(&a, "  e\xcc\x81 ", 5), "é"); /* composed, trimmed */
	ck_assert_str_eq(text_fold(&a, "  ÉCOLE  Straße "), "ecole strasse");
	ck_assert(!text_is_clean("a\nb", false));
	ck_assert(text_is_clean("a\nb", true));
	ck_assert(!text_is_clean("a\xc2\x85", true));
	int64_t n;
	ck_assert(text_to_int("-12", -20, 20, &n) && n == -12);
	ck_assert(!text_to_int("12a", 0, 20, &n) && !text_to_int("", 0, 20, &n) &&
		  !text_to_int("21", 0, 20, &n));
	ck_assert(!text_to_int("99999999999999999999", 0, INT64_MAX, &n));
	ck_assert(text_to_decimal("12.5", 2, 100000, &n) && n == 1250);
	ck_assert(text_to_decimal("12", 2, 100000, &n) && n == 1200);
	ck_assert(!text_to_decimal("12.", 2, 100000, &n) && !text_to_decimal(".5", 2, 100000, &n) &&
		  !text_to_decimal("1.234", 2, 100000, &n));
	ck_assert(!text_to_decimal("-1", 2, 100000, &n) && !text_to_decimal("1,5", 2, 100000, &n));
	ck_assert(text_equal_secret("abc", "abc") && !text_equal_secret("abc", "abd") &&
		  !text_equal_secret("abc", "ab"));
	arena_clear(&a);
}
END_TEST

/* Rows joined with "|" and ";" for comparison; "!" when the text is refused. */
static const char *read_all(struct arena *a, const char *bytes) {
	struct csv_reader r;
	struct csv_row row;
	struct fault f = {0};
	struct buf b;
	bool more = true;
	buf_init(&b, 10000);
	enum err err = csv_open(&r, bytes, strlen(bytes), &f);
	while (err == ERR_OK && (err = csv_next(&r, a, &row, &more, &f)) == ERR_OK && more) {
		for (size_t i = 0; i < row.count; i++)
			buf_printf(&b, "%s%s", i ? "|" : "", row.cell[i]);
		buf_add_char(&b, ';');
	}
	if (err != ERR_OK) {
		buf_reset(&b);
		buf_add_char(&b, '!');
	}
	const char *text = arena_strdup(a, buf_text(&b));
	buf_release(&b);
	return text;
}

/* RFC 4180, section 2, rules 1 to 7, and what spreadsheets write. */
START_TEST(csv_reads_as_rfc_4180_and_spreadsheets_have_it) {
	static const char *const cases[][2] = {
	    {"aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", "aaa|bbb|ccc;zzz|yyy|xxx;"},         /* rule 1 */
	    {"aaa,bbb,ccc\r\nzzz,yyy,xxx", "aaa|bbb|ccc;zzz|yyy|xxx;"},             /* rule 2 */
	    {"\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx", "aaa|bbb|ccc;zzz|yyy|xxx;"}, /* rule 5 */
	    {"\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx",
	     "aaa|b\r\nbb|ccc;zzz|yyy|xxx;"},                  /* rule 6 */
	    {"\"aaa\",\"b\"\"bb\",\"ccc\"", "aaa|b\"bb|ccc;"}, /* rule 7 */
	    {"a, b ,c", "a| b |c;"},                           /* rule 4: spaces belong */
	    {"\xef\xbb\xbf"
	     "a;b\n1;2\n",
	     "a|b;1|2;"},
	    {"a\tb\r1\t2\r", "a|b;1|2;"},
	    {"a,b\n\n1,2\n", "a|b;1|2;"},
	    {"a,,\n", "a||;"},
	    {"\"\",b", "|b;"},
	    {"a\"b,c", "!"},
	    {"\"a\"b,c", "!"},
	    {"\"a", "!"},
	    {"a\xff", "!"},
	    {"", ""},
	};
	struct arena a;
	arena_init(&a, 10000000);
	for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
		ck_assert_str_eq(read_all(&a, cases[i][0]), cases[i][1]);
	arena_clear(&a);
}
END_TEST

START_TEST(csv_writes_what_it_reads) {
	static const char *const cell[] = {"plain",        "with,comma", "with \"quotes\"",
					   "two\r\nlines", " space ",    "semi;colon"};
	struct arena a;
	struct buf b;
	arena_init(&a, 1000000);
	buf_init(&b, 10000);
	for (size_t i = 0; i < 6; i++) {
		if (i) csv_write_comma(&b);
		csv_write_cell(&b, cell[i]);
	}
	csv_write_end(&b);
	struct csv_reader r;
	struct csv_row row;
	struct fault f = {0};
	bool more;
	ck_assert_int_eq(csv_open(&r, buf_text(&b), b.length, &f), ERR_OK);
	ck_assert_int_eq(csv_next(&r, &a, &row, &more, &f), ERR_OK);
	ck_assert_int_eq(row.count, 6);
	for (size_t i = 0; i < 6; i++) ck_assert_str_eq(row.cell[i], cell[i]);
	buf_release(&b);
	arena_clear(&a);
}
END_TEST

START_TEST(tags_that_are_taken_for_each_other) {
	static const struct {
		const char *typed, *tag;
		int unlike;
	} pair[] = {
	    {"PX-3004-CS", "PX-3004-CS", 0},
	    {"px-3004-cs", "PX-3004-CS", 0},
	    {"PX-3OO4-CS", "PX-3004-CS", 2},
	    {"PX-3004-C5", "PX-3004-CS", 1},
	    {"I-8", "1-B", 2},
	    {"PX3004CS", "PX-3004-CS", 2},
	    {"PX-3014-CS", "PX-3004-CS", 2},
	    {"PX-304-CS", "PX-3004-CS", 2},
	    {"PX-33004-CS", "PX-3004-CS", 2},
	    {"PX-3040-CS", "PX-3004-CS", 2},
	    {"XP-3040-CS", "PX-3004-CS", 4},
	    {"X-3004-C", "PX-3004-CS", 4},
	    {"3004-CS", "PX-3004-CS", 5},
	    {"PX-3004-CS-0007", "PX-3004-CS", 5},
	    {"004", "PX-3004", UNLIKE},
	    {"PX-3999-CS", "PX-3004-CS", UNLIKE},
	    {"A", "B", UNLIKE},
	    {"AB", "CD", UNLIKE},
	    {"", "PX-1", UNLIKE},
	    {"Okafor", "PX-3004-CS", UNLIKE},
	};
	for (size_t i = 0; i < sizeof pair / sizeof *pair; i++) {
		ck_assert_int_eq(likeness_of_tags(pair[i].typed, pair[i].tag), pair[i].unlike);
		ck_assert_int_eq(likeness_of_tags(pair[i].tag, pair[i].typed), pair[i].unlike);
	}
	char longest[LIMIT_TAG_CHARS_MAX * 4 + 2];
	memset(longest, 'X', sizeof longest);
	longest[sizeof longest - 1] = '\0';
	ck_assert_int_eq(likeness_of_tags(longest, longest), UNLIKE); /* longer than any tag */
	ck_assert_int_eq(likeness_of_tags(longest + 1, longest + 1), 0);
}
END_TEST

Suite *base_suite(void) {
	Suite *s = suite_create("base");
	TCase *t = tcase_create("base");
	tcase_add_test(t, tags_that_are_taken_for_each_other);
	tcase_add_test(t, arena_gives_zeroed_memory_up_to_its_cap);
	tcase_add_test(t, buf_stops_at_its_maximum);
	tcase_add_test(t, doc_writes_what_json_reads);
	tcase_add_test(t, json_refuses_what_nobody_should_send);
	tcase_add_test(t, fault_keeps_the_first);
	tcase_add_test(t, day_goes_there_and_back);
	tcase_add_test(t, day_months_end_where_the_month_ends);
	tcase_add_test(t, day_reads_only_what_is_meant);
	tcase_add_test(t, label_dates_stay_months);
	tcase_add_test(t, instants_and_zones);
	tcase_add_test(t, text_is_checked_and_folded);
	tcase_add_test(t, csv_reads_as_rfc_4180_and_spreadsheets_have_it);
	tcase_add_test(t, csv_writes_what_it_reads);
	suite_add_tcase(s, t);
	return s;
}
