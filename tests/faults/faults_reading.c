/*
 * What comes in and what goes out, without memory: either it is wholly read or
 * rendered, or it is said that memory was missing. Never is the text of
 * somebody called wrong because of it.
 */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "base/csv.h"
#include "base/json.h"
#include "base/limits.h"
#include "faults.h"
#include "handlers/resources.h"
#include "http/decode.h"
#include "http/field.h"
#include "http/template.h"
#include "memory.h"
#include "scene.h"
#include "trial.h"

/* Each appends what it understood. */
typedef enum err reading(struct arena *a, struct buf *out, struct fault *f);

static void add_input(struct buf *out, const struct input *input) {
	for (size_t i = 0; i < input->count; i++) {
		buf_add_text(out, input->pair[i].name);
		buf_add_char(out, '=');
		buf_add(out, input->pair[i].text, input->pair[i].length);
		buf_add_char(out, '\n');
	}
}

static enum err read_csv(struct arena *a, struct buf *out, struct fault *f) {
	static const char text[] = "code;name\r\n\"A;\"\"1\"\"\";Größe\r\nB;\r\n";
	struct csv_reader reader;
	struct csv_row row;
	bool more = true;
	enum err err = csv_open(&reader, text, sizeof text - 1, f);
	while (err == ERR_OK && more) {
		err = csv_next(&reader, a, &row, &more, f);
		for (size_t i = 0; err == ERR_OK && more && i < row.count; i++) {
			csv_write_cell(out, row.cell[i]);
			csv_write_comma(out);
		}
	}
	return err;
}

static enum err read_json(struct arena *a, struct buf *out, struct fault *f) {
	static const char text[] =
	    "{\"a\":[1,true,null,\"x\"],\"b\":{\"c\":\"Gr\\u00f6\\u00dfe\"}}";
	struct doc *d = NULL;
	enum err err = json_read(text, sizeof text - 1, a, &d, f);
	if (err == ERR_OK) doc_write_json(d, out);
	return err;
}

static enum err read_json_body(struct arena *a, struct buf *out, struct fault *f) {
	static const char text[] =
	    "{\"code\":\"ST1\",\"count\":12,\"active\":true,\"list\":[1,2,3]}";
	struct input input;
	enum err err = decode_json(text, sizeof text - 1, a, &input, f);
	if (err == ERR_OK) add_input(out, &input);
	return err;
}

static enum err read_form(struct arena *a, struct buf *out, struct fault *f) {
	static const char text[] = "code=ST%201&name=Gr%C3%B6%C3%9Fe+A&active=yes&active=no";
	struct input input;
	enum err err = decode_form(text, sizeof text - 1, false, a, &input, f);
	if (err == ERR_OK) add_input(out, &input);
	return err;
}

static enum err read_target(struct arena *a, struct buf *out, struct fault *f) {
	struct path path;
	enum err err = decode_target("/components/12/f%C3%BCr/a%20b?q=1", a, &path, f);
	for (size_t i = 0; err == ERR_OK && i < path.count; i++) {
		buf_add_char(out, '/');
		buf_add_text(out, path.segment[i]);
	}
	return err;
}

static enum err read_multipart(struct arena *a, struct buf *out, struct fault *f) {
	static const char text[] =
	    "--b\r\nContent-Disposition: form-data; name=\"kind\"\r\n\r\n"
	    "stations\r\n--b\r\nContent-Disposition: form-data; name=\"file\";"
	    " filename=\"s.csv\"\r\n\r\ncode,name\r\nA,b\r\n--b--\r\n";
	struct input input;
	struct upload upload;
	const char *boundary = multipart_boundary("multipart/form-data; boundary=b", a);
	if (!boundary) return arena_failed(a) ? fault_memory(f) : ERR_INTERNAL;
	enum err err = decode_multipart(text, sizeof text - 1, boundary, a, &input, &upload, f);
	if (err != ERR_OK) return err;
	add_input(out, &input);
	buf_add(out, upload.bytes, upload.length);
	return err;
}

static enum err read_fields(struct arena *a, struct buf *out, struct fault *f) {
	static const char text[] =
	    "code=ST9&name=Gro%CC%88%C3%9Fe&active=yes&email=a%40example.org";
	struct field_reading how = {0};
	struct fault_list faults = {0};
	struct input input;
	struct value *value = arena_array(a, struct value, station_resource.field_count);
	enum err err =
	    value ? decode_form(text, sizeof text - 1, false, a, &input, f) : fault_memory(f);
	if (err == ERR_OK) err = fields_read(&station_resource, &input, &how, a, value, &faults);
	if (err == ERR_MEMORY) return fault_memory(f);
	if (err != ERR_OK)
		return fault_set(f, err, NULL, "%s", faults.count ? faults.fault->message : "");
	for (size_t i = 0; i < station_resource.field_count; i++)
		buf_printf(out, "%s,%lld\n", value[i].text ? value[i].text : "",
			   (long long)value[i].number);
	return err;
}

/* As the server does: templates at start, then a document and its page. */
static enum err render(struct arena *a, struct buf *out, struct fault *f) {
	char folder[4096];
	const char *top = getenv("srcdir");
	snprintf(folder, sizeof folder, "%s/templates", top ? top : ".");
	struct template_set *set = template_set_load(folder, f);
	if (!set) return f->code;
	struct doc *chrome = doc_map(a), *page = doc_map(a);
	struct doc *station = doc_set_map(page, "station");
	doc_set_text(chrome, "page_title", "A station");
	doc_set_printf(station, "code", "ST%d", 1);
	doc_set_copy(station, "address", "1 <Example> Street");
	doc_set_int(station, "member_count", 12);
	const struct doc *context[] = {chrome, page};
	enum err err = arena_failed(a) ? fault_memory(f)
				       : template_render(set, "station", context, 2, false, out, f);
	template_set_free(set);
	return err;
}

static const struct {
	const char *name;
	reading *read;
} subject[] = {
    {"CSV", read_csv},       {"JSON", read_json},         {"a JSON body", read_json_body},
    {"a form", read_form},   {"an address", read_target}, {"a form with a file", read_multipart},
    {"fields", read_fields}, {"a page", render},
};
enum { SUBJECTS = sizeof subject / sizeof *subject };

static bool attempt(int which, long nth, bool lasting, const char *expected) {
	struct arena a;
	struct buf out;
	struct fault f = {0};
	const char *name = subject[which].name;
	arena_init(&a, LIMIT_ARENA_BYTES_MAX);
	buf_init(&out, LIMIT_PAGE_BYTES_MAX);
	memory_fail(nth, lasting);
	enum err err = subject[which].read(&a, &out, &f);
	if (err == ERR_OK && buf_failed(&out)) err = fault_memory(&f);
	bool failed = memory_mend();
	if (err == ERR_OK)
		ck_assert_msg(strcmp(buf_text(&out), expected) == 0, "%s at %ld: misread as %s",
			      name, nth, buf_text(&out));
	else
		ck_assert_msg(failed && err == ERR_MEMORY && f.code == err && f.message[0],
			      "%s at %ld: told as %s, %s: %s", name, nth, err_word(err),
			      err_word(f.code), f.message);
	buf_release(&out);
	arena_clear(&a);
	return failed;
}

START_TEST(reading_and_rendering) {
	struct arena a;
	struct buf expected;
	struct fault f = {0};
	arena_init(&a, LIMIT_ARENA_BYTES_MAX);
	buf_init(&expected, LIMIT_PAGE_BYTES_MAX);
	ck_assert_msg(subject[_i].read(&a, &expected, &f) == ERR_OK, "%s: %s", subject[_i].name,
		      f.message);
	ck_assert_uint_gt(expected.length, 0);
	for (int lasting = 0; lasting < 2; lasting++) {
		long nth = 1;
		while (attempt(_i, nth, lasting, buf_text(&expected))) nth++;
		ck_assert_msg(nth > 1, "%s: nothing ever failed", subject[_i].name);
	}
	buf_release(&expected);
	arena_clear(&a);
}
END_TEST

Suite *reading_suite(void) {
	Suite *suite = suite_create("reading");
	TCase *t = tcase_create("reading");
	tcase_set_timeout(t, 300);
	tcase_add_loop_test(t, reading_and_rendering, 0, SUBJECTS);
	suite_add_tcase(suite, t);
	return suite;
}
