#include "handlers/import.h"

#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

#include "base/csv.h"
#include "base/limits.h"
#include "base/text.h"
#include "handlers/import_kinds.h"
#include "handlers/record.h"

/* One file on its way in. */
struct import_file {
	const struct import_job *job;
	const struct import_kind *kind;
	const struct resource *resource;
	const char *path;
	struct buf bytes;
	struct arena lasting;                    /* of the file: the table of fields, faults */
	struct arena row;                        /* of one row */
	size_t column_of[LIMIT_CSV_COLUMNS_MAX]; /* field index of each column */
	size_t column_count;
	struct fault_list faults;
	size_t faulty_rows;
	int64_t rows, changed, first;
};

static enum err read_bytes(struct import_file *file, struct fault *f) {
	FILE *in = fopen(file->path, "rb");
	if (!in)
		return fault_set(f, err_of_errno(errno), "file", "%s cannot be read: %s.",
				 file->path, strerror(errno));
	char chunk[65536];
	size_t got;
	while ((got = fread(chunk, 1, sizeof chunk, in)) > 0) buf_add(&file->bytes, chunk, got);
	bool whole = !ferror(in);
	fclose(in);
	if (!whole) return fault_set(f, ERR_IO, "file", "%s cannot be read whole.", file->path);
	if (!buf_failed(&file->bytes)) return ERR_OK;
	if (buf_error(&file->bytes) == ERR_MEMORY) return fault_memory(f);
	return fault_set(f, ERR_TOO_LARGE, "file", "%s is larger than %u MiB.", file->path,
			 LIMIT_IMPORT_BYTES_MAX / (1024 * 1024));
}

__attribute__((format(printf, 4, 5))) static void
tell(struct import_file *file, size_t line, const char *column, const char *format, ...) {
	va_list args;
	va_start(args, format);
	const char *text = arena_vprintf(&file->lasting, format, args);
	va_end(args);
	fault_list_add(&file->faults, &file->lasting, column, "line %zu, column %s: %s", line,
		       column, text ? text : "");
}

/* --- the header row -------------------------------------------------------------------- */

static void read_header(struct import_file *file, const struct csv_row *header) {
	bool given[LIMIT_CSV_COLUMNS_MAX] = {false};
	const struct resource *r = file->resource;
	file->column_count = header->count;
	for (size_t c = 0; c < header->count; c++) {
		size_t i = 0;
		while (i < r->field_count && strcmp(r->field[i].name, header->cell[c]) != 0) i++;
		file->column_of[c] = i;
		if (i == r->field_count)
			tell(file, header->line, header->cell[c],
			     "no such column; the columns are named where "
			     "tables are given.");
		else if (given[i])
			tell(file, header->line, header->cell[c], "the column stands here twice.");
		else given[i] = true;
	}
	for (size_t i = 0; i < r->field_count; i++)
		if (r->field[i].required && !given[i])
			tell(file, header->line, r->field[i].name,
			     "this column is required and missing.");
}

/* --- rows ---------------------------------------------------------------------------------- */

static enum err read_cells(struct import_file *file, const struct csv_row *csv,
			   const struct field_reading *how, struct value *value,
			   struct fault_list *faults) {
	struct input_pair pair[LIMIT_CSV_COLUMNS_MAX];
	struct input input = {pair, 0};
	for (size_t c = 0; c < csv->count && c < file->column_count; c++) {
		const char *text = csv_unguarded(csv->cell[c]);
		if (!*text) continue; /* an empty cell says nothing */
		pair[input.count++] = (struct input_pair){
		    .name = file->resource->field[file->column_of[c]].name,
		    .text = text,
		    .length = strlen(text),
		};
	}
	return fields_read(file->resource, &input, how, &file->row, value, faults);
}

/* What may lie ahead; every other day of a table is of something that was done. */
static bool may_lie_ahead(const char *column) {
	return strcmp(column, "trained_until") == 0 || strcmp(column, "verified_until") == 0 ||
	       strcmp(column, "expected_on") == 0 || strcmp(column, "due_on") == 0 ||
	       strcmp(column, "valid_from") == 0;
}

static enum err check_days(const struct import_file *file, struct import_row *row) {
	enum err err = ERR_OK;
	for (size_t i = 0; i < file->resource->field_count; i++) {
		const struct field *f = &file->resource->field[i];
		if (!may_lie_ahead(f->name) && record_is_ahead(f, &row->value[i], file->job->today))
			err = import_fault(row, i, "%s is in the future. Give the day it was done.",
					   import_text(row, i));
	}
	return err;
}

static enum err take_row(struct import_file *file, struct store *st, const struct csv_row *csv,
			 const struct field_reading *how, struct change *change) {
	struct fault_list faults = {0};
	struct value *value = arena_array(&file->row, struct value, file->resource->field_count);
	if (!value) return fault_memory(&change->fault);
	if (csv->count != file->column_count) {
		tell(file, csv->line, "(row)", "%zu cells, but the header has %zu.", csv->count,
		     file->column_count);
		file->faulty_rows++;
		return ERR_OK;
	}
	struct import_row row = {.store = st,
				 .arena = &file->row,
				 .resource = file->resource,
				 .value = value,
				 .faults = &faults,
				 .fault = &change->fault,
				 .first = &file->first,
				 .update = file->job->update};
	enum err err = read_cells(file, csv, how, value, &faults);
	if (err == ERR_OK) err = check_days(file, &row);
	if (err == ERR_OK) err = file->kind->take(&row);
	/* Without memory a text is missing that was in the table: nothing of it counts. */
	if (err == ERR_MEMORY || arena_failed(&file->row) || arena_failed(&file->lasting))
		return fault_memory(&change->fault);
	for (size_t i = 0; i < faults.count; i++)
		tell(file, csv->line, faults.fault[i].field, "%s", faults.fault[i].message);
	if (err == ERR_INVALID) {
		if (change->fault.code == ERR_INVALID) /* the store's words for this row */
			tell(file, csv->line, change->fault.field, "%s", change->fault.message);
		fault_clear(&change->fault);
		file->faulty_rows++;
		return ERR_OK;
	}
	if (err == ERR_CONFLICT && store_was_duplicate(st)) {
		fault_clear(&change->fault);
		tell(file, csv->line, "(row)",
		     "it stands in the file twice, or clashes with a record.");
		file->faulty_rows++;
		return ERR_OK;
	}
	if (err != ERR_OK || row.unchanged) return err;
	file->changed++;
	change->author.action = file->kind->action;
	return change_entry(change, st);
}

static enum date_order date_order_of(const char *word) {
	if (text_equal(word, "day_first")) return DATE_DAY_FIRST;
	if (text_equal(word, "month_first")) return DATE_MONTH_FIRST;
	return DATE_ISO_ONLY;
}

/* All or nothing: any fault undoes the whole file. */
static enum err take_rows(struct change *change, struct store *st) {
	struct import_file *file = change->context;
	struct field_reading how = {.date_order = date_order_of(file->job->date_order)};
	struct csv_reader reader;
	struct csv_row csv;
	bool more;
	enum err err =
	    csv_open(&reader, buf_text(&file->bytes), file->bytes.length, &change->fault);
	if (err == ERR_OK) err = csv_next(&reader, &file->lasting, &csv, &more, &change->fault);
	if (err != ERR_OK) return err;
	if (!more)
		return fault_set(&change->fault, ERR_INVALID, "file", "%s is empty.", file->path);
	read_header(file, &csv);
	if (arena_failed(&file->lasting)) return fault_memory(&change->fault);
	while (err == ERR_OK) {
		if (file->faults.total && file->rows == 0) break; /* the header is wrong already */
		arena_reset(&file->row);
		err = csv_next(&reader, &file->row, &csv, &more, &change->fault);
		if (err != ERR_OK || !more) break;
		file->rows++;
		err = take_row(file, st, &csv, &how, change);
		if (file->job->progress && file->rows % 1000 == 0)
			file->job->progress(file->job->progress_self, (int64_t)reader.at,
					    (int64_t)reader.length);
	}
	if (err == ERR_OK && file->faults.total)
		err = fault_set(&change->fault, ERR_INVALID, "file",
				"%s was not imported: %zu faults in %zu rows. Nothing was stored.",
				file->path, file->faults.total, file->faulty_rows);
	if (err == ERR_OK && file->job->dry_run)
		err = fault_set(&change->fault, ERR_CONFLICT, NULL, "dry run");
	return err;
}

/* One row of a preview for each row of the table, as long as it is short. */
#define PREVIEW_ROWS 10

static void preview_document(struct import_file *file, struct doc *report) {
	struct csv_reader reader;
	struct csv_row csv;
	struct fault ignored = {0}; /* the faults are in the report already */
	bool more = true;
	struct doc *rows = doc_set_list(report, "preview");
	enum err err = csv_open(&reader, buf_text(&file->bytes), file->bytes.length, &ignored);
	for (int i = 0; err == ERR_OK && i <= PREVIEW_ROWS; i++) {
		err = csv_next(&reader, &file->lasting, &csv, &more, &ignored);
		if (err != ERR_OK || !more) break;
		struct doc *cells = doc_set_list(doc_add_map(rows), "cells");
		for (size_t c = 0; c < csv.count; c++)
			doc_add_text(cells, arena_strdup(report->arena, csv.cell[c]));
	}
}

static void report_document(struct import_file *file, struct doc *report) {
	struct doc *faults = doc_set_list(report, "faults");
	for (size_t i = 0; i < file->faults.count; i++)
		doc_add_text(faults, arena_strdup(report->arena, file->faults.fault[i].message));
	doc_set_int(report, "fault_count", (int64_t)file->faults.total);
	doc_set_int(report, "rows", file->rows);
	doc_set_int(report, "changed", file->changed);
	preview_document(file, report);
}

enum err import_table(struct change *c, struct store *st, const struct import_job *job,
		      const char *name, const char *bytes, size_t length, struct doc *report) {
	const struct import_kind *kind = import_kind_find(job->kind);
	struct import_file file = {.job = job, .kind = kind, .path = name};
	if (!kind)
		return fault_set(&c->fault, ERR_INVALID, "kind", "There is no such kind of table.");
	buf_init(&file.bytes, LIMIT_IMPORT_BYTES_MAX);
	arena_init(&file.lasting, LIMIT_ARENA_BYTES_MAX);
	arena_init(&file.row, LIMIT_ARENA_BYTES_MAX);
	buf_add(&file.bytes, bytes, length);
	file.resource = import_kind_resource(kind, &file.lasting);
	void *kept = c->context;
	c->context = &file;
	enum err err =
	    file.resource && !buf_failed(&file.bytes) ? take_rows(c, st) : fault_memory(&c->fault);
	c->context = kept;
	/* What could not be read at all is a fault of the table too. */
	if (err == ERR_INVALID && !file.faults.total)
		fault_list_add(&file.faults, &file.lasting, "file", "%s", c->fault.message);
	report_document(&file, report);
	buf_release(&file.bytes);
	arena_clear(&file.lasting);
	arena_clear(&file.row);
	return err;
}

static enum err import_one(struct store *st, const struct signing_key *key,
			   struct import_file *file, struct fault *f) {
	struct change change = {.apply = take_rows,
				.context = file,
				.author = {0, "system", file->kind->action, (int64_t)time(NULL)}};
	enum err err = read_bytes(file, f);
	if (err != ERR_OK) return err;
	err = store_change(st, key, &change);
	for (size_t i = 0; i < file->faults.count; i++)
		fprintf(stderr, "%s: %s\n", file->path, file->faults.fault[i].message);
	bool only_tried = err == ERR_CONFLICT && file->job->dry_run && !file->faults.total;
	if (err == ERR_OK || only_tried) {
		printf("%s: %lld rows, %lld %s.\n", file->path, (long long)file->rows,
		       (long long)file->changed,
		       only_tried ? "would be stored (dry run)" : "stored");
		return ERR_OK;
	}
	*f = change.fault;
	return err;
}

static enum err unknown_kind(struct fault *f) {
	struct arena a;
	arena_init(&a, LIMIT_ARENA_BLOCK_BYTES);
	fault_set(f, ERR_INVALID, "kind", "Say what the file holds: --kind with one of %s.",
		  import_kind_names(&a));
	arena_clear(&a);
	return ERR_INVALID;
}

enum err import_files(struct store *st, const struct signing_key *key, const struct import_job *job,
		      struct fault *f) {
	const struct import_kind *kind = import_kind_find(job->kind);
	if (!kind) return unknown_kind(f);
	enum err err = job->file_count ? ERR_OK : fault_set(f, ERR_INVALID, NULL, "Name a file.");
	for (int i = 0; err == ERR_OK && i < job->file_count; i++) {
		struct import_file file = {.job = job, .kind = kind, .path = job->file[i]};
		buf_init(&file.bytes, LIMIT_IMPORT_BYTES_MAX);
		arena_init(&file.lasting, LIMIT_ARENA_BYTES_MAX);
		arena_init(&file.row, LIMIT_ARENA_BYTES_MAX);
		file.resource = import_kind_resource(kind, &file.lasting);
		err = file.resource ? import_one(st, key, &file, f) : fault_memory(f);
		buf_release(&file.bytes);
		arena_clear(&file.lasting);
		arena_clear(&file.row);
	}
	return err;
}
