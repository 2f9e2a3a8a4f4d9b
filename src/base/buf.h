/*
 * A growing byte buffer with a maximum given at birth.
 *
 * Failure (no memory, or past the maximum) is sticky and checked once, at the
 * end, with buf_failed(); appending to a failed buffer does nothing.
 */
#ifndef PEGWARDEN_BASE_BUF_H
#define PEGWARDEN_BASE_BUF_H

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/fault.h"

struct buf {
	char *bytes;   /* always NUL-terminated once anything was appended */
	size_t length; /* without the NUL */
	size_t room;
	size_t length_max;
	bool failed;
	bool past_max; /* that is why */
};

void buf_init(struct buf *b, size_t length_max);
void buf_release(struct buf *b);
void buf_reset(struct buf *b); /* empty and not failed, memory kept */
/* Hands the bytes to the caller, who frees them with free(); b is as after init. */
char *buf_take(struct buf *b, size_t *length);

void buf_add(struct buf *b, const void *bytes, size_t length);
void buf_add_text(struct buf *b, const char *text);
void buf_add_char(struct buf *b, char c);
void buf_add_int(struct buf *b, int64_t number);
void buf_printf(struct buf *b, const char *format, ...) __attribute__((format(printf, 2, 3)));
void buf_vprintf(struct buf *b, const char *format, va_list args)
    __attribute__((format(printf, 2, 0)));

/* Text for HTML content and double-quoted attributes: & < > " ' are escaped. */
void buf_add_html(struct buf *b, const char *text, size_t length);
/* Percent-encoded (RFC 3986) for a query or a form; slashes stay. */
void buf_add_url(struct buf *b, const char *text);
/* A JSON string with its quotes. The bytes must be valid UTF-8. */
void buf_add_json(struct buf *b, const char *text, size_t length);
/* Lower-case hexadecimal. */
void buf_add_hex(struct buf *b, const void *bytes, size_t length);
/* All that a file holds. */
enum err buf_add_file(struct buf *b, const char *path, struct fault *f) MUST_CHECK;

bool buf_failed(const struct buf *b);
/* Why: ERR_TOO_LARGE past the maximum, ERR_MEMORY otherwise; ERR_OK when it did not. */
enum err buf_error(const struct buf *b);
/* The text, or "" when nothing was appended. */
const char *buf_text(const struct buf *b);

#endif
