/*
 * Text: UTF-8 checks, folding for search, strict numbers.
 */
#ifndef PEGWARDEN_BASE_TEXT_H
#define PEGWARDEN_BASE_TEXT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/arena.h"

/* Well-formed UTF-8 (no surrogates, no overlong forms), no NUL. */
bool text_is_utf8(const char *bytes, size_t length);
/* No control characters; with multiline, tab, LF and CR LF are allowed. */
bool text_is_clean(const char *text, bool multiline);
/* Number of code points. */
size_t text_chars(const char *text);
/* A copy without white space at both ends, in Unicode NFC. NULL on bad UTF-8. */
char *text_normalize(struct arena *a, const char *bytes, size_t length);
/* The search key: NFKC, case folded, without marks, single spaces. NULL on bad UTF-8. */
char *text_fold(struct arena *a, const char *text);

/* The whole text is a decimal integer within the bounds. */
bool text_to_int(const char *text, int64_t min, int64_t max, int64_t *number);
/* "12", "12.5", "12.50" (at most so many decimals, three or fewer), never negative -> whole
 * numbers of the last place: with two, hundredths. */
bool text_to_decimal(const char *text, size_t places, int64_t max, int64_t *number);

bool text_equal(const char *a, const char *b); /* NULL equals only NULL */
bool text_empty(const char *text);             /* NULL or "" */
bool text_starts(const char *text, const char *prefix);

/* name@example.org: one @, a dot behind it, nothing that would need quotes. */
bool text_is_email(const char *text);

/* Lower-case or upper-case hexadecimal into bytes; false unless exactly 2 * size digits. */
bool text_from_hex(const char *text, void *bytes, size_t size);

/* Equal in constant time for a given length: for tokens and signatures. */
bool text_equal_secret(const char *a, const char *b);

#endif
