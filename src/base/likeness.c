#include "base/likeness.h"

#include <string.h>

#include "base/limits.h"

#define SIGNS_MAX (LIMIT_TAG_CHARS_MAX * 4) /* bytes: tags are nearly always ASCII */
#define CHEAP 1
#define SLIP 2
#define COST_MAX (2 * SLIP)
#define PART_MIN 4 /* signs that must be there of a tag in part */

static char upper(char c) { return c >= 'a' && c <= 'z' ? (char)(c - 'a' + 'A') : c; }

/* Signs that print, hands and scanners' users take for each other. */
static char looks(char c) {
	static const char from[] = "OQDILSZBG", to[] = "000115286";
	const char *at = c ? strchr(from, c) : NULL;
	return at ? to[at - from] : c;
}

static int changed(char a, char b) {
	if (a == b) return 0;
	return looks(a) == looks(b) ? CHEAP : SLIP;
}

static int missing(char c) { return c == '-' ? CHEAP : SLIP; }

static int least(int a, int b) { return a < b ? a : b; }

/* The cost of turning one into the other: edit distance with neighbours swapped. */
static int edit_cost(const char *a, size_t a_length, const char *b, size_t b_length) {
	int row[3][SIGNS_MAX + 1];
	int *before = row[0], *last = row[1], *now = row[2];
	last[0] = 0;
	for (size_t j = 0; j < b_length; j++) last[j + 1] = last[j] + missing(b[j]);
	for (size_t i = 0; i < a_length; i++) {
		now[0] = last[0] + missing(a[i]);
		for (size_t j = 0; j < b_length; j++) {
			now[j + 1] =
			    least(last[j] + changed(a[i], b[j]),
				  least(last[j + 1] + missing(a[i]), now[j] + missing(b[j])));
			if (i && j && a[i] == b[j - 1] && a[i - 1] == b[j])
				now[j + 1] = least(now[j + 1], before[j - 1] + SLIP);
		}
		int *oldest = before;
		before = last;
		last = now;
		now = oldest;
	}
	return last[b_length];
}

/* The short one begins or ends the long one. */
static int is_part(const char *brief, size_t brief_length, const char *whole, size_t length) {
	return brief_length >= PART_MIN && brief_length < length &&
	       (memcmp(brief, whole, brief_length) == 0 ||
		memcmp(brief, whole + length - brief_length, brief_length) == 0);
}

int likeness_of_tags(const char *typed, const char *tag) {
	char a[SIGNS_MAX], b[SIGNS_MAX];
	size_t a_length = strlen(typed), b_length = strlen(tag);
	if (!a_length || !b_length || a_length > SIGNS_MAX || b_length > SIGNS_MAX) return UNLIKE;
	for (size_t i = 0; i < a_length; i++) a[i] = upper(typed[i]);
	for (size_t i = 0; i < b_length; i++) b[i] = upper(tag[i]);
	size_t shorter = a_length < b_length ? a_length : b_length,
	       longer = a_length + b_length - shorter;
	if (longer - shorter <= COST_MAX / CHEAP) {
		int cost = edit_cost(a, a_length, b, b_length);
		if (cost <= COST_MAX && cost < SLIP * (int)shorter) return cost;
	}
	return is_part(a, a_length, b, b_length) || is_part(b, b_length, a, a_length) ? COST_MAX + 1
										      : UNLIKE;
}
