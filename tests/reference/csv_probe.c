/*
 * Reads one table on standard input and prints its rows as a JSON array of
 * arrays; with the argument "write" it reads such an array and prints the table.
 */
#include <stdio.h>
#include <string.h>

#include "base/csv.h"
#include "base/doc.h"
#include "base/json.h"

static int print_rows(const struct buf *in, struct arena *a) {
	struct csv_reader r;
	struct csv_row row;
	struct fault f = {0};
	struct buf out;
	bool more = true;
	buf_init(&out, 64u << 20);
	enum err err = csv_open(&r, buf_text(in), in->length, &f);
	buf_add_char(&out, '[');
	for (bool first = true; err == ERR_OK; first = false) {
		err = csv_next(&r, a, &row, &more, &f);
		if (err != ERR_OK || !more) break;
		buf_add_text(&out, first ? "[" : ",[");
		for (size_t i = 0; i < row.count; i++) {
			if (i) buf_add_char(&out, ',');
			buf_add_json(&out, row.cell[i], strlen(row.cell[i]));
		}
		buf_add_char(&out, ']');
	}
	buf_add_char(&out, ']');
	fputs(err == ERR_OK ? buf_text(&out) : "null", stdout);
	buf_release(&out);
	return 0;
}

static int print_table(const struct buf *in, struct arena *a) {
	struct doc *rows = NULL;
	struct fault f = {0};
	struct buf out;
	buf_init(&out, 64u << 20);
	if (json_read(buf_text(in), in->length, a, &rows, &f) != ERR_OK) return 1;
	for (const struct doc *row = rows->first; row; row = row->next) {
		for (const struct doc *cell = row->first; cell; cell = cell->next) {
			if (cell != row->first) csv_write_comma(&out);
			csv_write_cell(&out, cell->text);
		}
		csv_write_end(&out);
	}
	fwrite(buf_text(&out), 1, out.length, stdout);
	buf_release(&out);
	return 0;
}

int main(int argc, char **argv) {
	struct buf in;
	struct arena a;
	char chunk[65536];
	size_t got;
	buf_init(&in, 64u << 20);
	arena_init(&a, 512u << 20);
	while ((got = fread(chunk, 1, sizeof chunk, stdin)) > 0) buf_add(&in, chunk, got);
	int code =
	    argc > 1 && strcmp(argv[1], "write") == 0 ? print_table(&in, &a) : print_rows(&in, &a);
	buf_release(&in);
	arena_clear(&a);
	return code;
}
