/*
 * Civil dates of the proleptic Gregorian calendar, without time and zone.
 *
 * A day is the number of days since 1970-01-01; so days compare and subtract
 * as integers. Written form is ISO 8601 "YYYY-MM-DD", the range 1900-01-01 to
 * 2199-12-31. Labels of clothing often carry only month and year ("YYYY-MM"):
 * that is a struct label_date, and stays one, never a guessed day.
 */
#ifndef PEGWARDEN_BASE_DAY_H
#define PEGWARDEN_BASE_DAY_H

#include <stdbool.h>
#include <stdint.h>

typedef int32_t day; /* days since 1970-01-01 */
#define DAY_NONE INT32_MIN
#define DAY_MIN ((day)-25567) /* 1900-01-01 */
#define DAY_MAX ((day)84005)  /* 2199-12-31 */
#define DAY_TEXT_SIZE 11      /* "YYYY-MM-DD" and the NUL */

struct ymd {
	int year;  /* 1900 to 2199 */
	int month; /* 1 to 12 */
	int day;   /* 1 to 31 */
};

/* DAY_NONE when there is no such date. */
day day_from_ymd(int year, int month, int day_of_month);
struct ymd day_to_ymd(day d);
int day_month_length(int year, int month);

/* Exactly "YYYY-MM-DD" and an existing date, else DAY_NONE. NULL gives DAY_NONE. */
day day_parse(const char *text);
/* Writes DAY_TEXT_SIZE bytes; DAY_NONE gives "". Returns text. */
char *day_format(day d, char text[DAY_TEXT_SIZE]);

/* The same day of month, months later (or earlier); where that month is too
 * short, its last day: 31 January + 1 month = 28 or 29 February. */
day day_add_months(day d, int months);
/* 29 February + 1 year = 28 February. */
day day_add_years(day d, int years);

/* What a label says of the day of manufacture. */
struct label_date {
	int year;  /* 0: unknown */
	int month; /* 1 to 12 */
	int day;   /* 0: the label gives the month only */
};
/* "YYYY-MM" or "YYYY-MM-DD"; anything else (and NULL, "") is unknown: false. */
bool label_date_parse(const char *text, struct label_date *date);
char *label_date_format(struct label_date date, char text[DAY_TEXT_SIZE]);
bool label_date_known(struct label_date date);
/* The first and the last day it can mean; DAY_NONE when unknown. */
day label_date_first(struct label_date date);
day label_date_last(struct label_date date);

/* How a department reads dates that are not ISO, such as 3/4/2021. */
enum date_order { DATE_ISO_ONLY, DATE_DAY_FIRST, DATE_MONTH_FIRST };
/* ISO always; d/m/y or m/d/y (also with . and -) only as the order says, four-digit
 * years only. DAY_NONE when it does not fit: never guessed. */
day day_parse_ordered(const char *text, enum date_order order);
/* Also "YYYY-MM", and "MM/YYYY" when the order is not DATE_ISO_ONLY. */
bool label_date_parse_ordered(const char *text, enum date_order order, struct label_date *date);

/* Minutes since midnight of exactly "HH:MM", "00:00" to "23:59"; -1 when it is not. */
int time_of_day_parse(const char *text);

/* Instants are seconds since 1970-01-01T00:00:00Z, written RFC 3339 in UTC. */
#define INSTANT_TEXT_SIZE 21 /* "YYYY-MM-DDTHH:MM:SSZ" and the NUL */
char *instant_format(int64_t instant_s, char text[INSTANT_TEXT_SIZE]);
/* Exactly the form above; false when it is not. */
bool instant_parse(const char *text, int64_t *instant_s);
/* The civil day at that instant in an IANA time zone ("America/Chicago").
 * DAY_NONE when the zone is not known to the system. */
day instant_day_in_zone(int64_t instant_s, const char *zone);
/* Day and time of day there, "2026-11-25 05:59"; false when the zone is not known. */
#define LOCAL_TEXT_SIZE 17
bool instant_format_in_zone(int64_t instant_s, const char *zone, char text[LOCAL_TEXT_SIZE]);

#endif
