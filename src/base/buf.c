#include "base/buf.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void buf_init(struct buf *b, size_t length_max) { *b = (struct buf){.length_max = length_max}; }

void buf_release(struct buf *b) {
	free(b->bytes);
	buf_init(b, b->length_max);
}

void buf_reset(struct buf *b) {
	b->length = 0;
	b->failed = b->past_max = false;
	if (b->bytes) b->bytes[0] = '\0';
}

char *buf_take(struct buf *b, size_t *length) {
	char *bytes = b->bytes;
	*length = b->length;
	buf_init(b, b->length_max);
	return bytes;
}

/* Room for more bytes and the NUL; false (and failed) when there is none. */
static bool reserve(struct buf *b, size_t more) {
	if (b->failed) return false;
	if (more > b->length_max || b->length > b->length_max - more) {
		b->past_max = true;
		goto failed;
	}
	size_t need = b->length + more + 1;
	if (need <= b->room) return true;
	size_t room = b->room ? b->room * 2 : 256;
	if (room < need) room = need;
	char *wider = realloc(b->bytes, room);
	if (!wider) goto failed;
	b->bytes = wider;
	b->room = room;
	return true;
failed:
	b->failed = true;
	return false;
}

void buf_add(struct buf *b, const void *bytes, size_t length) {
	if (!reserve(b, length)) return;
	if (length) memcpy(b->bytes + b->length, bytes, length);
	b->length += length;
	b->bytes[b->length] = '\0';
}

void buf_add_text(struct buf *b, const char *text) { buf_add(b, text, strlen(text)); }

void buf_add_char(struct buf *b, char c) { buf_add(b, &c, 1); }

void buf_add_int(struct buf *b, int64_t number) {
	char digits[24];
	char *at = digits + sizeof digits;
	uint64_t rest = number < 0 ? -(uint64_t)number : (uint64_t)number;
	do {
		*--at = (char)('0' + rest % 10);
		rest /= 10;
	} while (rest);
	if (number < 0) *--at = '-';
	buf_add(b, at, (size_t)(digits + sizeof digits - at));
}

void buf_vprintf(struct buf *b, const char *format, va_list args) {
	va_list again;
	va_copy(again, args);
	int length = vsnprintf(NULL, 0, format, args);
	if (length < 0) b->failed = true;
	else if (reserve(b, (size_t)length)) {
		vsnprintf(b->bytes + b->length, (size_t)length + 1, format, again);
		b->length += (size_t)length;
	}
	va_end(again);
}

void buf_printf(struct buf *b, const char *format, ...) {
	va_list args;
	va_start(args, format);
	buf_vprintf(b, format, args);
	va_end(args);
}

/* Copies runs of plain bytes; escape names what stands for each other one. */
static void add_escaped(struct buf *b, const char *text, size_t length,
			const char *const escape[256]) {
	size_t from = 0;
	for (size_t i = 0; i < length; i++) {
		const char *word = escape[(unsigned char)text[i]];
		if (!word) continue;
		buf_add(b, text + from, i - from);
		buf_add_text(b, word);
		from = i + 1;
	}
	buf_add(b, text + from, length - from);
}

void buf_add_html(struct buf *b, const char *text, size_t length) {
	static const char *const escape[256] = {
	    ['&'] = "&amp;", ['<'] = "&lt;", ['>'] = "&gt;", ['"'] = "&quot;", ['\''] = "&#39;"};
	add_escaped(b, text, length, escape);
}

void buf_add_json(struct buf *b, const char *text, size_t length) {
	static const char *const escape[256] = {
	    [0x00] = "\\u0000", [0x01] = "\\u0001", [0x02] = "\\u0002", [0x03] = "\\u0003",
	    [0x04] = "\\u0004", [0x05] = "\\u0005", [0x06] = "\\u0006", [0x07] = "\\u0007",
	    [0x08] = "\\b",     [0x09] = "\\t",     [0x0a] = "\\n",     [0x0b] = "\\u000b",
	    [0x0c] = "\\f",     [0x0d] = "\\r",     [0x0e] = "\\u000e", [0x0f] = "\\u000f",
	    [0x10] = "\\u0010", [0x11] = "\\u0011", [0x12] = "\\u0012", [0x13] = "\\u0013",
	    [0x14] = "\\u0014", [0x15] = "\\u0015", [0x16] = "\\u0016", [0x17] = "\\u0017",
	    [0x18] = "\\u0018", [0x19] = "\\u0019", [0x1a] = "\\u001a", [0x1b] = "\\u001b",
	    [0x1c] = "\\u001c", [0x1d] = "\\u001d", [0x1e] = "\\u001e", [0x1f] = "\\u001f",
	    ['"'] = "\\\"",     ['\\'] = "\\\\",    [0x7f] = "\\u007f"};
	buf_add_char(b, '"');
	add_escaped(b, text, length, escape);
	buf_add_char(b, '"');
}

void buf_add_hex(struct buf *b, const void *bytes, size_t length) {
	static const char digit[] = "0123456789abcdef";
	const unsigned char *at = bytes;
	for (size_t i = 0; i < length; i++) {
		char pair[2] = {digit[at[i] >> 4], digit[at[i] & 15]};
		buf_add(b, pair, 2);
	}
}

bool buf_failed(const struct buf *b) { return b->failed; }

enum err buf_error(const struct buf *b) {
	if (!b->failed) return ERR_OK;
	return b->past_max ? ERR_TOO_LARGE : ERR_MEMORY;
}

const char *buf_text(const struct buf *b) { return b->bytes ? b->bytes : ""; }

enum err buf_add_file(struct buf *b, const char *path, struct fault *f) {
	char chunk[8192];
	size_t got;
	FILE *file = fopen(path, "rb");
	if (!file)
		return fault_set(f, err_of_errno(errno), NULL, "%s cannot be read: %s.", path,
				 strerror(errno));
	while (!b->failed && (got = fread(chunk, 1, sizeof chunk, file)) > 0)
		buf_add(b, chunk, got);
	bool broken = ferror(file);
	fclose(file);
	if (broken) return fault_set(f, ERR_IO, NULL, "%s cannot be read.", path);
	if (buf_error(b) == ERR_MEMORY) return fault_memory(f);
	return b->failed ? fault_set(f, ERR_TOO_LARGE, NULL, "%s is too large.", path) : ERR_OK;
}

void buf_add_url(struct buf *b, const char *text) {
	for (const char *at = text; *at; at++) {
		bool plain = strchr("/-._~", *at) || (*at >= '0' && *at <= '9') ||
			     (*at >= 'a' && *at <= 'z') || (*at >= 'A' && *at <= 'Z');
		if (plain) buf_add_char(b, *at);
		else buf_printf(b, "%%%02X", (unsigned char)*at);
	}
}
