#include "targets.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "audit/note.h"
#include "base/csv.h"
#include "base/day.h"
#include "base/json.h"
#include "base/limits.h"
#include "base/picture.h"
#include "base/text.h"
#include "base/zone.h"
#include "handlers/resources.h"
#include "http/decode.h"
#include "http/field.h"
#include "http/template.h"

void fuzz_require(int holds, const char *property) {
	if (holds) return;
	fprintf(stderr, "does not hold: %s\n", property);
	abort();
}

/* --- base ----------------------------------------------------------------------- */

static void fuzz_day(const char *text, size_t length) {
	char again[DAY_TEXT_SIZE], instant_text[INSTANT_TEXT_SIZE];
	struct label_date label;
	int64_t instant, instant_again;
	(void)length;
	day d = day_parse(text);
	if (d != DAY_NONE) REQUIRE(strcmp(day_format(d, again), text) == 0);
	for (int order = DATE_ISO_ONLY; order <= DATE_MONTH_FIRST; order++) {
		d = day_parse_ordered(text, (enum date_order)order);
		if (d != DAY_NONE) REQUIRE(day_parse(day_format(d, again)) == d);
		if (!label_date_parse_ordered(text, (enum date_order)order, &label)) continue;
		if (label_date_known(label))
			REQUIRE(label_date_first(label) <= label_date_last(label));
	}
	if (label_date_parse(text, &label) && label_date_known(label))
		REQUIRE(strcmp(label_date_format(label, again), text) == 0);
	if (!instant_parse(text, &instant)) return;
	REQUIRE(instant_parse(instant_format(instant, instant_text), &instant_again));
	REQUIRE(instant == instant_again);
}

static void fuzz_zone(const char *text, size_t length) {
	static const int64_t instant[] = {INT64_MIN, -1, 0, 1700000000, 4102444800, INT64_MAX};
	for (size_t i = 0; i < sizeof instant / sizeof *instant; i++) {
		int64_t offset_s;
		if (zone_offset((const unsigned char *)text, length, instant[i], &offset_s))
			REQUIRE(offset_s > -7 * 86400 && offset_s < 7 * 86400);
	}
}

/* Reads a text and writes it again; false when it cannot be read. */
typedef bool rewrite(const char *text, size_t length, struct buf *out);

/* What a rewriting gives, rewritten once more, is the same, if may_reread says so. */
static void rewrite_twice(rewrite *again, const char *text, size_t length,
			  bool (*may_reread)(const struct buf *)) {
	struct buf once, twice;
	buf_init(&once, LIMIT_PAGE_BYTES_MAX);
	buf_init(&twice, LIMIT_PAGE_BYTES_MAX);
	if (again(text, length, &once) && may_reread(&once)) {
		REQUIRE(again(buf_text(&once), once.length, &twice));
		REQUIRE(strcmp(buf_text(&once), buf_text(&twice)) == 0);
	}
	buf_release(&once);
	buf_release(&twice);
}

static bool is_blank_row(const struct csv_row *row) {
	return row->count == 0 || (row->count == 1 && !*row->cell[0]);
}

static void write_row(struct buf *b, const struct csv_row *row) {
	for (size_t i = 0; i < row->count; i++) {
		if (i) csv_write_comma(b);
		csv_write_cell(b, row->cell[i]);
	}
	csv_write_end(b);
}

static bool rewrite_csv(const char *text, size_t length, struct buf *out) {
	struct arena a;
	struct csv_reader reader;
	struct csv_row row;
	struct fault f = {0};
	bool more = true;
	arena_init(&a, LIMIT_ARENA_BYTES_MAX);
	enum err err = csv_open(&reader, text, length, &f);
	while (err == ERR_OK && more) {
		err = csv_next(&reader, &a, &row, &more, &f);
		if (err == ERR_OK && more && !is_blank_row(&row)) write_row(out, &row);
	}
	arena_clear(&a);
	return err == ERR_OK && !buf_failed(out);
}

/* A table of one column has no comma in its first line to tell the delimiter by. */
static bool has_only_commas(const struct buf *table) {
	return table->length && memchr(buf_text(table), ',', table->length) &&
	       !memchr(buf_text(table), ';', table->length);
}

static void fuzz_csv(const char *text, size_t length) {
	rewrite_twice(rewrite_csv, text, length, has_only_commas);
}

static void fuzz_text(const char *text, size_t length) {
	struct arena a;
	int64_t number, cents;
	arena_init(&a, LIMIT_ARENA_BYTES_MAX);
	if (text_is_utf8(text, length)) {
		const char *normal = text_normalize(&a, text, length),
			   *folded = text_fold(&a, text);
		if (normal) REQUIRE(text_is_utf8(normal, strlen(normal)));
		if (folded) REQUIRE(text_is_utf8(folded, strlen(folded)));
		REQUIRE(text_chars(text) <= length);
	}
	if (text_to_int(text, -1000, 1000, &number)) REQUIRE(number >= -1000 && number <= 1000);
	if (text_to_decimal(text, 2, 100000, &cents)) REQUIRE(cents >= 0 && cents <= 100000);
	arena_clear(&a);
}

static bool rewrite_json(const char *text, size_t length, struct buf *out) {
	struct arena a;
	struct fault f = {0};
	struct doc *d = NULL;
	arena_init(&a, LIMIT_ARENA_BYTES_MAX);
	enum err err = json_read(text, length, &a, &d, &f);
	if (err == ERR_OK) doc_write_json(d, out);
	arena_clear(&a);
	return err == ERR_OK && !buf_failed(out);
}

static bool is_any(const struct buf *json) {
	(void)json;
	return true;
}

static void fuzz_json(const char *text, size_t length) {
	rewrite_twice(rewrite_json, text, length, is_any);
}

/* What was taken is a picture of its own, and taken again stays as large. */
static void fuzz_picture(const char *text, size_t length) {
	struct arena a;
	struct fault f = {0};
	struct picture p, small, again;
	arena_init(&a, LIMIT_ARENA_BYTES_MAX);
	if (picture_take(text, length, &a, &p, &small, &f) == ERR_OK) {
		REQUIRE(p.width >= 1 && p.width <= LIMIT_PHOTO_EDGE);
		REQUIRE(p.height >= 1 && p.height <= LIMIT_PHOTO_EDGE);
		REQUIRE(small.width <= p.width && small.height <= LIMIT_PHOTO_SMALL_EDGE);
		REQUIRE(!memmem(p.bytes, p.length, "Exif", 4));
		REQUIRE(picture_take(p.bytes, p.length, &a, &again, &small, &f) == ERR_OK);
		REQUIRE(again.width == p.width && again.height == p.height);
	} else {
		REQUIRE(f.code == ERR_INVALID && f.message[0]);
	}
	arena_clear(&a);
}

/* --- audit ----------------------------------------------------------------------- */

/* Signed with the key of RFC 8032, 7.1, test 1, as the corpus is; nobody who fuzzes can sign
 * another. So what is found is what the text says in the plain. */
static void fuzz_note(const char *text, size_t length) {
	static const char public_key[] =
	    "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a";
	unsigned char key[PUBLIC_KEY_BYTES];
	struct checkpoint exact, found;
	struct fault f = {0};
	REQUIRE(text_from_hex(public_key, key, sizeof key));
	bool is_exact = checkpoint_read(text, length, key, &exact, &f) == ERR_OK;
	bool is_found = checkpoint_find(text, length, key, &found, &f) == ERR_OK;
	if (is_exact) REQUIRE(exact.size >= 0 && is_found && checkpoint_equal(&exact, &found));
}

/* --- http ------------------------------------------------------------------------ */

static void fuzz_target_of_request(const char *text, size_t length) {
	struct arena a;
	struct fault f = {0};
	struct path path;
	(void)length;
	arena_init(&a, LIMIT_ARENA_BYTES_MAX);
	if (decode_target(text, &a, &path, &f) == ERR_OK)
		for (size_t i = 0; i < path.count; i++) {
			REQUIRE(text_is_utf8(path.segment[i], strlen(path.segment[i])));
			REQUIRE(strcmp(path.segment[i], "..") != 0);
		}
	arena_clear(&a);
}

/* Whatever came in, a field that is accepted keeps to its table. */
static void check_fields(const struct input *input, struct arena *a) {
	const struct resource *r = &component_resource;
	struct value *value = arena_array(a, struct value, r->field_count);
	struct fault_list faults = {0};
	struct field_reading how = {.date_order = DATE_DAY_FIRST};
	if (!value || fields_read(r, input, &how, a, value, &faults) != ERR_OK) return;
	for (size_t i = 0; i < r->field_count; i++) {
		const char *text = value_text(&value[i]);
		if (r->field[i].required) REQUIRE(text || value_int(&value[i], -1) >= 0);
		if (text) REQUIRE(text_is_utf8(text, strlen(text)));
		if (text && r->field[i].kind == FIELD_DAY) REQUIRE(day_parse(text) != DAY_NONE);
	}
}

static void fuzz_form(const char *text, size_t length) {
	struct arena a;
	struct fault f = {0};
	struct input input = {0};
	arena_init(&a, LIMIT_ARENA_BYTES_MAX);
	if (decode_form(text, length, false, &a, &input, &f) == ERR_OK) check_fields(&input, &a);
	arena_clear(&a);
}

static void fuzz_body(const char *text, size_t length) {
	struct arena a;
	struct fault f = {0};
	struct input input = {0};
	arena_init(&a, LIMIT_ARENA_BYTES_MAX);
	if (decode_json(text, length, &a, &input, &f) == ERR_OK) check_fields(&input, &a);
	arena_clear(&a);
}

static void fuzz_multipart(const char *text, size_t length) {
	struct arena a;
	struct fault f = {0};
	struct input input = {0};
	struct upload upload = {0};
	arena_init(&a, LIMIT_ARENA_BYTES_MAX);
	if (decode_multipart(text, length, "edge", &a, &input, &upload, &f) == ERR_OK &&
	    upload.bytes)
		REQUIRE(upload.length <= length);
	multipart_boundary(text, &a);
	arena_clear(&a);
}

static void fuzz_accepts(const char *text, size_t length) {
	(void)length;
	if (decode_accepts(text, "x-own")) REQUIRE(strchr(text, '*') || strcasestr(text, "x-own"));
	if (!strchr(text, '*') && !strcasestr(text, "x-own"))
		REQUIRE(!decode_accepts(text, "x-own"));
}

static void fuzz_template(const char *text, size_t length) {
	struct arena a;
	struct fault f = {0};
	struct buf out;
	arena_init(&a, LIMIT_ARENA_BYTES_MAX);
	buf_init(&out, 65536);
	struct doc *sources = doc_map(&a), *context = doc_map(&a);
	doc_set_copy(sources, "page", text);
	doc_set_text(sources, "part", "{{name}}");
	doc_set_text(context, "name", "<&>");
	doc_add_text(doc_set_list(context, "list"), "one");
	struct template_set *set =
	    text_is_utf8(text, length) ? template_set_parse(sources, &f) : NULL;
	const struct doc *contexts[] = {context};
	if (set && template_render(set, "page", contexts, 1, false, &out, &f) == ERR_OK)
		REQUIRE(out.length <= 65536);
	template_set_free(set);
	buf_release(&out);
	arena_clear(&a);
}

const struct fuzz_target fuzz_target[] = {
    {"day", fuzz_day},
    {"zone", fuzz_zone},
    {"csv", fuzz_csv},
    {"text", fuzz_text},
    {"json", fuzz_json},
    {"picture", fuzz_picture},
    {"note", fuzz_note},
    {"target", fuzz_target_of_request},
    {"form", fuzz_form},
    {"body", fuzz_body},
    {"multipart", fuzz_multipart},
    {"accepts", fuzz_accepts},
    {"template", fuzz_template},
};
const size_t fuzz_target_count = sizeof fuzz_target / sizeof *fuzz_target;
