/*
 * Reading and writing tables as text: RFC 4180, and what spreadsheets make of it.
 *
 * The reader takes a byte-order mark or none, CRLF, LF or CR, comma, semicolon
 * or tab (the delimiter is the one of these found most often in the header row,
 * outside quotes), quoted cells with line breaks and doubled quotes. It refuses
 * bad UTF-8, NUL, a quote inside an unquoted cell and anything but a delimiter
 * after a closing quote. The writer writes comma, CRLF, and quotes only where
 * needed.
 */
#ifndef PEGWARDEN_BASE_CSV_H
#define PEGWARDEN_BASE_CSV_H

#include <stdbool.h>
#include <stddef.h>

#include "base/arena.h"
#include "base/buf.h"
#include "base/fault.h"

struct csv_reader {
	const char *bytes; /* borrowed; the whole file */
	size_t length;
	size_t at;
	char delimiter;
	size_t line; /* 1-based line on which the last row began */
	size_t next_line;
};

struct csv_row {
	const char **cell; /* NUL-terminated; arena memory of the csv_next call */
	size_t count;
	size_t line; /* line in the file on which the row begins */
};

/* Finds the delimiter and steps over the byte-order mark. */
enum err csv_open(struct csv_reader *r, const char *bytes, size_t length,
		  struct fault *f) MUST_CHECK;
/* The next row, empty lines left out. *more is false after the last one. */
enum err csv_next(struct csv_reader *r, struct arena *a, struct csv_row *row, bool *more,
		  struct fault *f) MUST_CHECK;

/* One cell; the caller puts csv_write_comma between cells, csv_write_end after the row. */
void csv_write_cell(struct buf *b, const char *text);
/*
 * The same for text that people open in spreadsheets: one that begins with =, +,
 * -, @, a tab, a carriage return or an apostrophe gets an apostrophe in front, so that it
 * is taken for text and never computed. csv_unguarded takes it off again.
 */
void csv_write_guarded(struct buf *b, const char *text);
const char *csv_unguarded(const char *cell);
void csv_write_comma(struct buf *b);
void csv_write_end(struct buf *b);

#endif
