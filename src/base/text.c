#include "base/text.h"

#include <stdlib.h>
#include <string.h>
#include <utf8proc.h>

/* Length of the well-formed sequence at bytes; 0 when there is none. Bounds of
 * the second byte as in the Unicode standard's table of well-formed UTF-8. */
static size_t sequence_length(const unsigned char *at, size_t left) {
	unsigned char first = at[0], low = 0x80, high = 0xbf;
	size_t length;
	if (first < 0x80) return first ? 1 : 0;
	if (first >= 0xc2 && first <= 0xdf) length = 2;
	else if (first >= 0xe0 && first <= 0xef) length = 3;
	else if (first >= 0xf0 && first <= 0xf4) length = 4;
	else return 0;
	if (first == 0xe0) low = 0xa0;
	if (first == 0xed) high = 0x9f;
	if (first == 0xf0) low = 0x90;
	if (first == 0xf4) high = 0x8f;
	if (left < length || at[1] < low || at[1] > high) return 0;
	for (size_t i = 2; i < length; i++)
		if ((at[i] & 0xc0) != 0x80) return 0;
	return length;
}

bool text_is_utf8(const char *bytes, size_t length) {
	const unsigned char *at = (const unsigned char *)bytes;
	while (length) {
		size_t step = sequence_length(at, length);
		if (!step) return false;
		at += step;
		length -= step;
	}
	return true;
}

bool text_is_clean(const char *text, bool multiline) {
	for (const unsigned char *at = (const unsigned char *)text; *at; at++) {
		if (at[0] == 0x7f) return false;
		if (at[0] == 0xc2 && at[1] >= 0x80 && at[1] <= 0x9f) return false; /* C1 controls */
		if (at[0] >= 0x20) continue;
		if (!multiline || (at[0] != '\t' && at[0] != '\n' && at[0] != '\r')) return false;
	}
	return true;
}

size_t text_chars(const char *text) {
	size_t count = 0;
	for (; *text; text++) count += ((unsigned char)*text & 0xc0) != 0x80;
	return count;
}

static bool is_space(char c) { return c == ' ' || (c >= '\t' && c <= '\r'); }

static bool is_ascii(const char *bytes, size_t length) {
	for (size_t i = 0; i < length; i++)
		if ((unsigned char)bytes[i] >= 0x80) return false;
	return true;
}

/* The library allocates with malloc; the result belongs in the arena. */
static char *map_into_arena(struct arena *a, const char *bytes, size_t length,
			    utf8proc_option_t options) {
	utf8proc_uint8_t *mapped = NULL;
	utf8proc_ssize_t size = utf8proc_map((const utf8proc_uint8_t *)bytes,
					     (utf8proc_ssize_t)length, &mapped, options);
	if (size == UTF8PROC_ERROR_NOMEM) arena_fail(a);
	char *copy = size < 0 ? NULL : arena_copy(a, (const char *)mapped, (size_t)size);
	free(mapped);
	return copy;
}

char *text_normalize(struct arena *a, const char *bytes, size_t length) {
	while (length && is_space(bytes[0])) {
		bytes++;
		length--;
	}
	while (length && is_space(bytes[length - 1])) length--;
	if (!text_is_utf8(bytes, length)) return NULL;
	if (is_ascii(bytes, length)) return arena_copy(a, bytes, length);
	return map_into_arena(a, bytes, length, UTF8PROC_STABLE | UTF8PROC_COMPOSE);
}

static void single_spaces(char *text) {
	char *to = text;
	for (const char *at = text; *at; at++) {
		bool space = is_space(*at);
		if (space && (to == text || to[-1] == ' ')) continue;
		*to++ = space ? ' ' : *at;
	}
	if (to > text && to[-1] == ' ') to--;
	*to = '\0';
}

char *text_fold(struct arena *a, const char *text) {
	size_t length = strlen(text);
	if (!text_is_utf8(text, length)) return NULL;
	char *folded;
	if (is_ascii(text, length)) {
		folded = arena_copy(a, text, length);
		for (char *at = folded; at && *at; at++)
			if (*at >= 'A' && *at <= 'Z') *at = (char)(*at + ('a' - 'A'));
	} else {
		folded = map_into_arena(a, text, length,
					UTF8PROC_STABLE | UTF8PROC_COMPOSE | UTF8PROC_COMPAT |
					    UTF8PROC_CASEFOLD | UTF8PROC_STRIPMARK);
	}
	if (folded) single_spaces(folded);
	return folded;
}

bool text_to_int(const char *text, int64_t min, int64_t max, int64_t *number) {
	bool negative = *text == '-';
	if (negative) text++;
	if (!*text || strlen(text) > 18) return false;
	int64_t value = 0;
	for (; *text; text++) {
		if (*text < '0' || *text > '9') return false;
		value = value * 10 + (*text - '0');
	}
	if (negative) value = -value;
	if (value < min || value > max) return false;
	*number = value;
	return true;
}

bool text_to_decimal(const char *text, size_t places, int64_t max, int64_t *number) {
	const char *point = strchr(text, '.');
	size_t whole = point ? (size_t)(point - text) : strlen(text);
	size_t decimals = point ? strlen(point + 1) : 0;
	if (whole == 0 || whole > 15 || (point && (decimals == 0 || decimals > places)))
		return false;
	int64_t value = 0;
	for (const char *at = text; *at; at++) {
		if (at == point) continue;
		if (*at < '0' || *at > '9') return false;
		value = value * 10 + (*at - '0');
	}
	for (size_t i = decimals; i < places; i++) value *= 10;
	if (value > max) return false;
	*number = value;
	return true;
}

bool text_equal(const char *a, const char *b) {
	if (!a || !b) return a == b;
	return strcmp(a, b) == 0;
}

bool text_empty(const char *text) { return !text || !*text; }

bool text_starts(const char *text, const char *prefix) {
	return strncmp(text, prefix, strlen(prefix)) == 0;
}

static int hex_digit(char c) {
	if (c >= '0' && c <= '9') return c - '0';
	if (c >= 'a' && c <= 'f') return c - 'a' + 10;
	if (c >= 'A' && c <= 'F') return c - 'A' + 10;
	return -1;
}

bool text_from_hex(const char *text, void *bytes, size_t size) {
	unsigned char *to = bytes;
	if (strlen(text) != 2 * size) return false;
	for (size_t i = 0; i < size; i++) {
		int high = hex_digit(text[2 * i]), low = hex_digit(text[2 * i + 1]);
		if (high < 0 || low < 0) return false;
		to[i] = (unsigned char)(high << 4 | low);
	}
	return true;
}

bool text_equal_secret(const char *a, const char *b) {
	size_t length = strlen(a);
	if (length != strlen(b)) return false;
	volatile unsigned char difference = 0;
	for (size_t i = 0; i < length; i++)
		difference =
		    (unsigned char)(difference | ((unsigned char)a[i] ^ (unsigned char)b[i]));
	return difference == 0;
}

bool text_is_email(const char *text) {
	const char *at = strchr(text, '@');
	return at && at != text && !strchr(at + 1, '@') && strchr(at + 1, '.') &&
	       !strpbrk(text, " ,;<>()[]\\\"") && at[1] != '.' && text[strlen(text) - 1] != '.';
}
