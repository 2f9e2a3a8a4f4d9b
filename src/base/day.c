#include "base/day.h"

#include <stdio.h>
#include <string.h>

#include "base/text.h"

#define YEAR_MIN 1900
#define YEAR_MAX 2199

static bool is_leap(int year) { return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0; }

int day_month_length(int year, int month) {
	static const int length[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
	if (month < 1 || month > 12) return 0;
	return month == 2 && is_leap(year) ? 29 : length[month - 1];
}

/* Days from 1970-01-01 to the first of March of a year; years begin in March
 * here, so that the leap day is the last of its year. */
static day days_to_march(int year) {
	int y = year - 1600; /* a multiple of 400 before the range, so that nothing is negative */
	return y * 365 + y / 4 - y / 100 + y / 400 - 135080;
}

day day_from_ymd(int year, int month, int day_of_month) {
	if (year < YEAR_MIN || year > YEAR_MAX || day_of_month < 1 ||
	    day_of_month > day_month_length(year, month))
		return DAY_NONE;
	int from_march = (month + 9) % 12;
	int march_year = month < 3 ? year - 1 : year;
	return days_to_march(march_year) + (153 * from_march + 2) / 5 + day_of_month - 1;
}

/* The inverse: whole cycles of 400, 100, 4 and 1 years are taken off in turn. The
 * last day of a cycle belongs to it, hence the caps. */
struct ymd day_to_ymd(day d) {
	int rest = d - days_to_march(1600);
	int cycles = rest / 146097;
	rest %= 146097;
	int centuries = rest / 36524;
	if (centuries == 4) centuries = 3;
	rest -= centuries * 36524;
	int fours = rest / 1461;
	rest %= 1461;
	int years = rest / 365;
	if (years == 4) years = 3;
	rest -= years * 365;
	int from_march = (5 * rest + 2) / 153;
	int month = from_march < 10 ? from_march + 3 : from_march - 9;
	return (struct ymd){
	    .year = 1600 + cycles * 400 + centuries * 100 + fours * 4 + years + (month < 3),
	    .month = month,
	    .day = rest - (153 * from_march + 2) / 5 + 1,
	};
}

/* Exactly `count` digits at text; -1 when there are not. */
static int digits(const char *text, int count) {
	int number = 0;
	for (int i = 0; i < count; i++) {
		if (text[i] < '0' || text[i] > '9') return -1;
		number = number * 10 + (text[i] - '0');
	}
	return number;
}

day day_parse(const char *text) {
	if (!text || strlen(text) != 10 || text[4] != '-' || text[7] != '-') return DAY_NONE;
	int year = digits(text, 4), month = digits(text + 5, 2), day_of_month = digits(text + 8, 2);
	return day_from_ymd(year, month, day_of_month);
}

int time_of_day_parse(const char *text) {
	if (strlen(text) != 5 || text[2] != ':') return -1;
	int hour = digits(text, 2), minute = digits(text + 3, 2);
	if (hour < 0 || hour > 23 || minute < 0 || minute > 59) return -1;
	return hour * 60 + minute;
}

static void put_digits(char *text, int number, int count) {
	while (count--) {
		text[count] = (char)('0' + number % 10);
		number /= 10;
	}
}

char *day_format(day d, char text[DAY_TEXT_SIZE]) {
	if (d == DAY_NONE) {
		text[0] = '\0';
		return text;
	}
	struct ymd at = day_to_ymd(d);
	put_digits(text, at.year, 4);
	text[4] = '-';
	put_digits(text + 5, at.month, 2);
	text[7] = '-';
	put_digits(text + 8, at.day, 2);
	text[10] = '\0';
	return text;
}

day day_add_months(day d, int months) {
	if (d == DAY_NONE) return DAY_NONE;
	struct ymd at = day_to_ymd(d);
	int64_t count = (int64_t)at.year * 12 + at.month - 1 + months;
	if (count < (int64_t)YEAR_MIN * 12 || count >= (int64_t)(YEAR_MAX + 1) * 12)
		return DAY_NONE;
	int year = (int)(count / 12), month = (int)(count % 12) + 1;
	int length = day_month_length(year, month);
	return day_from_ymd(year, month, at.day < length ? at.day : length);
}

day day_add_years(day d, int years) {
	if (years < -400 || years > 400) return DAY_NONE;
	return day_add_months(d, years * 12);
}

/* --- label dates ---------------------------------------------------------- */

static bool label_month(int year, int month, struct label_date *date) {
	if (day_from_ymd(year, month, 1) == DAY_NONE) return false;
	*date = (struct label_date){.year = year, .month = month};
	return true;
}

static bool label_day(day d, struct label_date *date) {
	if (d == DAY_NONE) return false;
	struct ymd at = day_to_ymd(d);
	*date = (struct label_date){.year = at.year, .month = at.month, .day = at.day};
	return true;
}

bool label_date_parse(const char *text, struct label_date *date) {
	*date = (struct label_date){0};
	if (!text) return false;
	if (strlen(text) == 7 && text[4] == '-')
		return label_month(digits(text, 4), digits(text + 5, 2), date);
	return label_day(day_parse(text), date);
}

char *label_date_format(struct label_date date, char text[DAY_TEXT_SIZE]) {
	day_format(label_date_first(date), text);
	if (label_date_known(date) && !date.day) text[7] = '\0';
	return text;
}

bool label_date_known(struct label_date date) { return date.year != 0; }

day label_date_first(struct label_date date) {
	if (!label_date_known(date)) return DAY_NONE;
	return day_from_ymd(date.year, date.month, date.day ? date.day : 1);
}

day label_date_last(struct label_date date) {
	if (!label_date_known(date)) return DAY_NONE;
	return day_from_ymd(date.year, date.month,
			    date.day ? date.day : day_month_length(date.year, date.month));
}

/* --- other ways to write dates --------------------------------------------- */

/* Up to two digits at *at, moving it on; -1 when there are none. */
static int short_number(const char **at) {
	int number = -1;
	for (int i = 0; i < 2 && **at >= '0' && **at <= '9'; i++, (*at)++)
		number = (number < 0 ? 0 : number * 10) + (**at - '0');
	return number;
}

static bool is_date_separator(char c) { return c == '/' || c == '.' || c == '-'; }

day day_parse_ordered(const char *text, enum date_order order) {
	day iso = day_parse(text);
	if (iso != DAY_NONE || !text || order == DATE_ISO_ONLY) return iso;
	const char *at = text;
	int first = short_number(&at);
	char separator = *at;
	if (first < 0 || !is_date_separator(separator)) return DAY_NONE;
	at++;
	int second = short_number(&at);
	if (second < 0 || *at != separator || strlen(at + 1) != 4) return DAY_NONE;
	int year = digits(at + 1, 4);
	return order == DATE_DAY_FIRST ? day_from_ymd(year, second, first)
				       : day_from_ymd(year, first, second);
}

bool label_date_parse_ordered(const char *text, enum date_order order, struct label_date *date) {
	if (label_date_parse(text, date)) return true;
	if (!text || order == DATE_ISO_ONLY) return false;
	const char *at = text;
	int month = short_number(&at);
	if (month > 0 && is_date_separator(*at) && strlen(at + 1) == 4)
		return label_month(digits(at + 1, 4), month, date);
	return label_day(day_parse_ordered(text, order), date);
}

/* --- instants --------------------------------------------------------------- */

#define DAY_S 86400

char *instant_format(int64_t instant_s, char text[INSTANT_TEXT_SIZE]) {
	int64_t d = instant_s / DAY_S, rest = instant_s % DAY_S;
	if (rest < 0) {
		rest += DAY_S;
		d--;
	}
	if (d < DAY_MIN || d > DAY_MAX) {
		text[0] = '\0';
		return text;
	}
	day_format((day)d, text);
	text[10] = 'T';
	put_digits(text + 11, (int)(rest / 3600), 2);
	text[13] = ':';
	put_digits(text + 14, (int)(rest / 60 % 60), 2);
	text[16] = ':';
	put_digits(text + 17, (int)(rest % 60), 2);
	text[19] = 'Z';
	text[20] = '\0';
	return text;
}

bool instant_parse(const char *text, int64_t *instant_s) {
	if (!text || strlen(text) != INSTANT_TEXT_SIZE - 1) return false;
	char date[DAY_TEXT_SIZE];
	memcpy(date, text, 10);
	date[10] = '\0';
	day d = day_parse(date);
	int hour = digits(text + 11, 2), minute = digits(text + 14, 2),
	    second = digits(text + 17, 2);
	if (d == DAY_NONE || text[10] != 'T' || text[13] != ':' || text[16] != ':' ||
	    text[19] != 'Z' || hour < 0 || hour > 23 || minute < 0 || minute > 59 || second < 0 ||
	    second > 59)
		return false;
	*instant_s = (int64_t)d * DAY_S + hour * 3600 + minute * 60 + second;
	return true;
}
