/*
 * Time zones from the system's compiled files (RFC 8536), read without the C
 * library's zone state, which all threads would share.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/day.h"
#include "base/text.h"
#include "base/zone.h"

#define ZONE_FOLDER "/usr/share/zoneinfo/"
#define ZONE_BYTES_MAX (256 * 1024)
#define DAY_S 86400

static uint32_t be32(const unsigned char *at) {
	return (uint32_t)at[0] << 24 | (uint32_t)at[1] << 16 | (uint32_t)at[2] << 8 | at[3];
}

static int64_t be64(const unsigned char *at) {
	return (int64_t)((uint64_t)be32(at) << 32 | be32(at + 4));
}

#define HEADER_BYTES 44

struct block {
	uint32_t utc_count, standard_count, leap_count, time_count, type_count, char_count;
};

static bool read_header(const unsigned char *bytes, size_t length, struct block *b) {
	if (length < HEADER_BYTES || memcmp(bytes, "TZif", 4) != 0) return false;
	*b = (struct block){be32(bytes + 20), be32(bytes + 24), be32(bytes + 28),
			    be32(bytes + 32), be32(bytes + 36), be32(bytes + 40)};
	const uint32_t max = ZONE_BYTES_MAX / 6;
	return b->utc_count < max && b->standard_count < max && b->leap_count < max &&
	       b->time_count < max && b->type_count < max && b->char_count < max;
}

static size_t block_bytes(const struct block *b, size_t time_bytes) {
	return b->time_count * (time_bytes + 1) + (size_t)b->type_count * 6 + b->char_count +
	       b->leap_count * (time_bytes + 4) + b->standard_count + b->utc_count;
}

/* --- the rule after the last transition: "CST6CDT,M3.2.0,M11.1.0" ----------- */

static const char *skip_name(const char *at) {
	if (*at == '<') {
		const char *end = strchr(at, '>');
		return end ? end + 1 : NULL;
	}
	const char *from = at;
	while ((*at >= 'A' && *at <= 'Z') || (*at >= 'a' && *at <= 'z')) at++;
	return at > from ? at : NULL;
}

static const char *read_number(const char *at, int max, int *number) {
	if (*at < '0' || *at > '9') return NULL;
	*number = 0;
	while (*at >= '0' && *at <= '9' && *number <= max) *number = *number * 10 + (*at++ - '0');
	return *number <= max ? at : NULL;
}

/* [+-]hh[:mm[:ss]] */
static const char *read_time(const char *at, int *seconds) {
	int sign = *at == '-' ? -1 : 1;
	if (*at == '-' || *at == '+') at++;
	int part[3] = {0};
	at = read_number(at, 167, &part[0]);
	for (int i = 1; at && i < 3 && *at == ':'; i++) at = read_number(at + 1, 59, &part[i]);
	*seconds = sign * (part[0] * 3600 + part[1] * 60 + part[2]);
	return at;
}

/* Mm.w.d: day d (0 Sunday) of week w (5: last) of month m. */
struct switch_rule {
	int month, week, weekday, at_s;
};

static const char *read_switch(const char *at, struct switch_rule *r) {
	if (at[0] != ',' || at[1] != 'M') return NULL;
	at = read_number(at + 2, 12, &r->month);
	at = at && *at == '.' ? read_number(at + 1, 5, &r->week) : NULL;
	at = at && *at == '.' ? read_number(at + 1, 6, &r->weekday) : NULL;
	r->at_s = 2 * 3600;
	if (at && *at == '/') at = read_time(at + 1, &r->at_s);
	return at && r->month && r->week ? at : NULL;
}

/* The day a switch falls on in a year. 1970-01-01 was a Thursday. */
static day switch_day(const struct switch_rule *r, int year) {
	day first = day_from_ymd(year, r->month, 1);
	if (first == DAY_NONE) return DAY_NONE;
	int weekday = (int)(((first + 4) % 7 + 7) % 7);
	day d = first + (r->weekday - weekday + 7) % 7 + (r->week - 1) * 7;
	return d >= first + day_month_length(year, r->month) ? d - 7 : d;
}

static bool footer_offset(const char *rule, int64_t instant_s, int64_t *offset_s) {
	int standard = 0, summer = 0;
	struct switch_rule begin, end;
	const char *at = skip_name(rule);
	at = at ? read_time(at, &standard) : NULL;
	if (!at) return false;
	*offset_s = -standard; /* POSIX counts westward */
	if (*at == '\0' || *at == '\n') return true;
	at = skip_name(at);
	if (!at) return false;
	summer = standard - 3600;
	if (*at != ',') at = read_time(at, &summer);
	at = at ? read_switch(at, &begin) : NULL;
	at = at ? read_switch(at, &end) : NULL;
	if (!at) return false;
	if (instant_s / DAY_S < DAY_MIN || instant_s / DAY_S > DAY_MAX) return false;
	int64_t local_day = (instant_s - standard) / DAY_S;
	if (local_day < DAY_MIN || local_day > DAY_MAX) return false;
	int year = day_to_ymd((day)local_day).year;
	int64_t from = (int64_t)switch_day(&begin, year) * DAY_S + begin.at_s + standard;
	int64_t to = (int64_t)switch_day(&end, year) * DAY_S + end.at_s + summer;
	bool is_summer =
	    from < to ? instant_s >= from && instant_s < to : instant_s >= from || instant_s < to;
	if (is_summer) *offset_s = -summer;
	return true;
}

/* --- the transitions ---------------------------------------------------------- */

static bool table_offset(const unsigned char *at, const struct block *b, int64_t instant_s,
			 int64_t *offset_s) {
	const unsigned char *types = at + (size_t)b->time_count * 8;
	const unsigned char *type_rows = types + b->time_count;
	size_t low = 0, high = b->time_count;
	while (low < high) { /* the first transition after the instant */
		size_t middle = (low + high) / 2;
		if (be64(at + middle * 8) <= instant_s) low = middle + 1;
		else high = middle;
	}
	size_t type = low ? types[low - 1] : 0;
	if (type >= b->type_count) return false;
	*offset_s = (int32_t)be32(type_rows + type * 6);
	/* What RFC 8536 3.2 allows an offset to be. */
	return *offset_s > -90000 && *offset_s < 93600;
}

bool zone_offset(const unsigned char *bytes, size_t length, int64_t instant_s, int64_t *offset_s) {
	struct block first, second;
	if (!read_header(bytes, length, &first) || bytes[4] < '2') return false;
	size_t skip = HEADER_BYTES + block_bytes(&first, 4);
	if (skip > length || !read_header(bytes + skip, length - skip, &second)) return false;
	const unsigned char *data = bytes + skip + HEADER_BYTES;
	size_t rest = length - skip - HEADER_BYTES, size = block_bytes(&second, 8);
	if (size > rest || second.type_count == 0) return false;
	bool is_after =
	    second.time_count == 0 || be64(data + ((size_t)second.time_count - 1) * 8) <= instant_s;
	size_t footer = rest - size;
	if (is_after && footer > 2 && data[size] == '\n') {
		char rule[80];
		size_t end = footer - 2 < sizeof rule - 1 ? footer - 2 : sizeof rule - 1;
		memcpy(rule, data + size + 1, end);
		rule[end] = '\0';
		if (footer_offset(rule, instant_s, offset_s)) return true;
	}
	return table_offset(data, &second, instant_s, offset_s);
}

static bool is_zone_name(const char *zone) {
	if (!zone || !*zone || *zone == '/' || strlen(zone) > 60 || strstr(zone, ".."))
		return false;
	for (const char *at = zone; *at; at++)
		if (!strchr("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789_+-/",
			    *at))
			return false;
	return true;
}

static size_t read_zone_file(const char *zone, unsigned char *bytes) {
	char path[sizeof ZONE_FOLDER + 64];
	snprintf(path, sizeof path, ZONE_FOLDER "%s", zone);
	FILE *file = fopen(path, "rb");
	if (!file) return 0;
	size_t length = fread(bytes, 1, ZONE_BYTES_MAX, file);
	fclose(file);
	return length;
}

/* Seconds since 1970 as clocks there count them; false when the zone is not known. */
static bool local_seconds(int64_t instant_s, const char *zone, int64_t *local_s) {
	int64_t offset_s = 0;
	bool found = text_equal(zone, "UTC");
	if (!found && is_zone_name(zone)) {
		unsigned char *bytes = malloc(ZONE_BYTES_MAX);
		if (!bytes) return false;
		size_t length = read_zone_file(zone, bytes);
		found = zone_offset(bytes, length, instant_s, &offset_s);
		free(bytes);
	}
	*local_s = instant_s + offset_s;
	return found;
}

static day day_of_seconds(int64_t local_s) {
	int64_t d = local_s / DAY_S - (local_s % DAY_S < 0);
	return d < DAY_MIN || d > DAY_MAX ? DAY_NONE : (day)d;
}

day instant_day_in_zone(int64_t instant_s, const char *zone) {
	int64_t local_s;
	return local_seconds(instant_s, zone, &local_s) ? day_of_seconds(local_s) : DAY_NONE;
}

bool instant_format_in_zone(int64_t instant_s, const char *zone, char text[LOCAL_TEXT_SIZE]) {
	int64_t local_s;
	char date[DAY_TEXT_SIZE];
	day d = local_seconds(instant_s, zone, &local_s) ? day_of_seconds(local_s) : DAY_NONE;
	if (d == DAY_NONE) return false;
	int minute = (int)((local_s - (int64_t)d * DAY_S) / 60);
	snprintf(text, LOCAL_TEXT_SIZE, "%s %02d:%02d", day_format(d, date), minute / 60,
		 minute % 60);
	return true;
}
