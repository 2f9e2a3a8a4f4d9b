#include "base/csv.h"

#include <string.h>

#include "base/limits.h"
#include "base/text.h"

/* The candidate found most often in the first line, outside quotes. */
static char find_delimiter(const char *bytes, size_t length) {
	static const char candidate[] = {',', ';', '\t'};
	size_t count[sizeof candidate] = {0};
	bool quoted = false;
	for (size_t i = 0; i < length; i++) {
		char c = bytes[i];
		if (c == '"') quoted = !quoted;
		if (quoted) continue;
		if (c == '\n' || c == '\r') break;
		for (size_t k = 0; k < sizeof candidate; k++) count[k] += c == candidate[k];
	}
	size_t best = 0;
	for (size_t k = 1; k < sizeof candidate; k++)
		if (count[k] > count[best]) best = k;
	return candidate[best];
}

enum err csv_open(struct csv_reader *r, const char *bytes, size_t length, struct fault *f) {
	*r = (struct csv_reader){.bytes = bytes, .length = length, .line = 1, .next_line = 1};
	if (length >= 3 && memcmp(bytes, "\xef\xbb\xbf", 3) == 0) r->at = 3;
	if (!text_is_utf8(bytes + r->at, length - r->at))
		return fault_set(f, ERR_INVALID, "file",
				 "The file is not UTF-8 text. Save it from the spreadsheet as "
				 "\"CSV UTF-8\" and try again.");
	r->delimiter = find_delimiter(bytes + r->at, length - r->at);
	return ERR_OK;
}

static enum err fault_at(struct csv_reader *r, struct fault *f, const char *what) {
	return fault_set(f, ERR_INVALID, "file", "Line %zu: %s", r->next_line, what);
}

static bool at_end(const struct csv_reader *r) { return r->at >= r->length; }

/* Steps over one line break, CRLF counting as one. */
static void skip_break(struct csv_reader *r) {
	if (r->bytes[r->at] == '\r' && r->at + 1 < r->length && r->bytes[r->at + 1] == '\n')
		r->at++;
	r->at++;
	r->next_line++;
}

static bool is_break(char c) { return c == '\n' || c == '\r'; }

/* A quoted cell, at its opening quote. Doubled quotes stand for one. */
static enum err read_quoted(struct csv_reader *r, struct arena *a, const char **cell,
			    struct fault *f) {
	size_t from = ++r->at, quotes = 0;
	for (;; r->at++) {
		if (at_end(r)) return fault_at(r, f, "a quoted cell has no closing quote.");
		char c = r->bytes[r->at];
		if (c == '\n' ||
		    (c == '\r' && (r->at + 1 >= r->length || r->bytes[r->at + 1] != '\n')))
			r->next_line++;
		if (c != '"') continue;
		if (r->at + 1 >= r->length || r->bytes[r->at + 1] != '"') break;
		quotes++;
		r->at++;
	}
	size_t length = r->at - from - quotes;
	if (length > LIMIT_CELL_BYTES_MAX) return fault_at(r, f, "a cell is too long.");
	char *text = arena_alloc(a, length + 1);
	if (!text) return fault_memory(f);
	for (size_t i = from, to = 0; i < r->at; i++) {
		text[to++] = r->bytes[i];
		i += r->bytes[i] == '"';
	}
	*cell = text;
	r->at++;
	if (at_end(r) || r->bytes[r->at] == r->delimiter || is_break(r->bytes[r->at]))
		return ERR_OK;
	return fault_at(r, f, "text stands after a closing quote.");
}

static enum err read_plain(struct csv_reader *r, struct arena *a, const char **cell,
			   struct fault *f) {
	size_t from = r->at;
	while (!at_end(r) && r->bytes[r->at] != r->delimiter && !is_break(r->bytes[r->at])) {
		if (r->bytes[r->at] == '"')
			return fault_at(r, f, "a quote stands inside a cell that is not quoted.");
		r->at++;
	}
	if (r->at - from > LIMIT_CELL_BYTES_MAX) return fault_at(r, f, "a cell is too long.");
	*cell = arena_copy(a, r->bytes + from, r->at - from);
	return *cell ? ERR_OK : fault_memory(f);
}

static enum err read_row(struct csv_reader *r, struct arena *a, struct csv_row *row,
			 struct fault *f) {
	for (;;) {
		if (row->count == LIMIT_CSV_COLUMNS_MAX) return fault_at(r, f, "too many columns.");
		const char **cell = &row->cell[row->count];
		bool quoted = !at_end(r) && r->bytes[r->at] == '"';
		enum err err = quoted ? read_quoted(r, a, cell, f) : read_plain(r, a, cell, f);
		if (err != ERR_OK) return err;
		row->count++;
		if (at_end(r)) return ERR_OK;
		if (is_break(r->bytes[r->at])) {
			skip_break(r);
			return ERR_OK;
		}
		r->at++; /* the delimiter */
	}
}

enum err csv_next(struct csv_reader *r, struct arena *a, struct csv_row *row, bool *more,
		  struct fault *f) {
	while (!at_end(r) && is_break(r->bytes[r->at])) skip_break(r);
	*more = !at_end(r);
	*row = (struct csv_row){.line = r->next_line};
	r->line = r->next_line;
	if (!*more) return ERR_OK;
	row->cell = arena_array(a, const char *, LIMIT_CSV_COLUMNS_MAX);
	if (!row->cell) return fault_memory(f);
	return read_row(r, a, row, f);
}

/* What a reader would take for structure, trim, or (in the first cell) for a byte-order mark. */
static bool wants_quotes(const char *text) {
	if (!*text) return false;
	return strpbrk(text, ",;\t\"\r\n") || *text == ' ' || text[strlen(text) - 1] == ' ' ||
	       strncmp(text, "\xef\xbb\xbf", 3) == 0;
}

static void write_cell(struct buf *b, const char *guard, const char *text) {
	const char *quote = wants_quotes(text) ? "\"" : "";
	buf_add_text(b, quote);
	buf_add_text(b, guard);
	for (; *quote && *text; text++) {
		if (*text == '"') buf_add_char(b, '"');
		buf_add_char(b, *text);
	}
	buf_add_text(b, text);
	buf_add_text(b, quote);
}

void csv_write_cell(struct buf *b, const char *text) {
	if (text) write_cell(b, "", text);
}

static bool wants_guard(const char *text) { return *text && strchr("=+-@\t\r'", *text); }

void csv_write_guarded(struct buf *b, const char *text) {
	if (text) write_cell(b, wants_guard(text) ? "'" : "", text);
}

const char *csv_unguarded(const char *cell) {
	return *cell == '\'' && wants_guard(cell + 1) ? cell + 1 : cell;
}

void csv_write_comma(struct buf *b) { buf_add_char(b, ','); }

void csv_write_end(struct buf *b) { buf_add_text(b, "\r\n"); }
