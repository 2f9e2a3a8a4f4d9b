/* Decoding, routes, fields and templates. */
#include "rooms.h"

#include <string.h>

#include "base/limits.h"
#include "base/text.h"
#include "http/decode.h"
#include "http/field.h"
#include "http/route.h"
#include "http/template.h"

static struct arena arena;
static void begin(void) { arena_init(&arena, 50000000); }
static void end(void) { arena_clear(&arena); }

START_TEST(targets_are_decoded_strictly) {
	static const char *const bad[] = {"",        "x",      "/a//b", "/a/",  "/./a", "/a/..",
					  "/%2e%2e", "/a%2fb", "/a%00", "/a%",  "/a%4", "/a%zz",
					  "/%ff",    "/a#b",   "/a%0a", "/a\\b"};
	struct path path;
	for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
		struct fault f = {0};
		ck_assert_msg(decode_target(bad[i], &arena, &path, &f) == ERR_SYNTAX, "%s", bad[i]);
	}
	struct fault f = {0};
	ck_assert_int_eq(decode_target("/a%20b/c?x=1", &arena, &path, &f), ERR_OK);
	ck_assert_int_eq(path.count, 2);
	ck_assert_str_eq(path.segment[0], "a b");
	ck_assert_str_eq(path.query, "x=1");
	ck_assert_int_eq(decode_target("/", &arena, &path, &f), ERR_OK);
	ck_assert_int_eq(path.count, 0);
}
END_TEST

/* Codings and weights as in RFC 9110 12.5.3 and 12.4.2. */
START_TEST(what_a_client_reads_is_decoded) {
	static const char *const yes[] = {"gzip",
					  "GZip",
					  "br, gzip",
					  "gzip;q=0.001",
					  "gzip ; Q=1",
					  "*",
					  "identity;q=0.5,\t*;q=0.1",
					  "br;q=0, gzip"};
	static const char *const no[] = {
	    "",      "br",          "xgzip",       "gzipx", "gzip;q=0", "gzip; q=0.000",
	    "*;q=0", "*, gzip;q=0", "gzip;q=0, *", "gz",    ",;,",      "gzip;q="};
	for (size_t i = 0; i < sizeof yes / sizeof *yes; i++)
		ck_assert_msg(decode_accepts(yes[i], "gzip"), "%s", yes[i]);
	for (size_t i = 0; i < sizeof no / sizeof *no; i++)
		ck_assert_msg(!decode_accepts(no[i], "gzip"), "%s", no[i]);
	ck_assert(!decode_accepts(NULL, "gzip"));
}
END_TEST

START_TEST(forms_are_decoded_strictly) {
	struct input in;
	struct fault f = {0};
	const char *good = "a=1&b=%C3%A9+x&a=2&empty=&last";
	ck_assert_int_eq(decode_form(good, strlen(good), false, &arena, &in, &f), ERR_OK);
	ck_assert_int_eq(in.count, 5);
	ck_assert_str_eq(in.pair[1].text, "é x");
	ck_assert_str_eq(in.pair[4].name, "last");
	static const char *const bad[] = {"a=%", "a=%4", "a=%zz", "a=%00", "=1", "%ff=1"};
	for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
		ck_assert_msg(decode_form(bad[i], strlen(bad[i]), false, &arena, &in, NULL) ==
				  ERR_SYNTAX,
			      "%s", bad[i]);
	ck_assert_int_eq(decode_form("a=%ff", 5, true, &arena, &in, NULL), ERR_SYNTAX);
	ck_assert_int_eq(decode_form("a=%ff", 5, false, &arena, &in, NULL),
			 ERR_OK); /* the field says so */
	struct buf b;
	buf_init(&b, 100000);
	for (int i = 0; i <= LIMIT_FIELDS_MAX; i++) buf_add_text(&b, "a=1&");
	ck_assert_int_eq(decode_form(buf_text(&b), b.length, false, &arena, &in, NULL),
			 ERR_TOO_LARGE);
	buf_release(&b);
}
END_TEST

START_TEST(json_bodies_are_flat_objects) {
	struct input in;
	const char *good = "{\"a\":\"x\",\"n\":5,\"t\":true,\"z\":null,\"l\":[1,2]}";
	ck_assert_int_eq(decode_json(good, strlen(good), &arena, &in, NULL), ERR_OK);
	ck_assert_int_eq(in.count, 6);
	ck_assert_int_eq(in.pair[1].json_kind, INPUT_INTEGER);
	ck_assert_str_eq(in.pair[2].text, "yes");
	ck_assert_ptr_null(in.pair[3].text);
	ck_assert_str_eq(in.pair[5].text, "2");
	ck_assert_int_eq(decode_json("[]", 2, &arena, &in, NULL), ERR_SYNTAX);
	ck_assert_int_eq(decode_json("", 0, &arena, &in, NULL), ERR_SYNTAX);
}
END_TEST

START_TEST(multipart_holds_one_file) {
	const char *body =
	    "--B\r\nContent-Disposition: form-data; name=\"kind\"\r\n\r\nstations\r\n"
	    "--B\r\nContent-Disposition: form-data; name=\"file\"; filename=\"a.csv\"\r\n"
	    "Content-Type: text/csv\r\n\r\na,b\r\n1,2\r\n\r\n--B--\r\n";
	struct input in;
	struct upload up;
	ck_assert_int_eq(decode_multipart(body, strlen(body), "B", &arena, &in, &up, NULL), ERR_OK);
	ck_assert_int_eq(in.count, 2);
	ck_assert_str_eq(in.pair[0].text, "stations");
	ck_assert_str_eq(up.filename, "a.csv");
	ck_assert_int_eq(up.length, strlen("a,b\r\n1,2\r\n"));
	for (size_t cut = 0; cut < strlen(body) - 4; cut++)
		ck_assert_int_ne(decode_multipart(body, cut, "B", &arena, &in, &up, NULL), ERR_OK);
	ck_assert_str_eq(multipart_boundary("multipart/form-data; boundary=\"x y\"", &arena),
			 "x y");
	ck_assert_ptr_null(multipart_boundary("multipart/form-data", &arena));
}
END_TEST

static enum err nothing(struct request *rq) {
	(void)rq;
	return ERR_OK;
}

START_TEST(routes_are_found_by_shape) {
	static const struct route route[] = {
	    {METHOD_GET, "/things/new", ROLE_MEMBER, RUN_READ, .handle = nothing, .summary = "new"},
	    {METHOD_GET, "/things/:id", ROLE_MEMBER, RUN_READ, .handle = nothing, .summary = "one"},
	    {METHOD_GET, "/things/:id/parts/:id", ROLE_MEMBER, RUN_READ, .handle = nothing,
	     .summary = "part"},
	    {METHOD_GET, "/", ROLE_MEMBER, RUN_READ, .handle = nothing, .summary = "home"},
	};
	struct route_table table = {route, 4};
	struct fault f = {0};
	struct route_index *index = route_index_new(&table, 1, &f);
	ck_assert_ptr_nonnull(index);
	struct request rq = {0};
	const char *path[] = {"things", "7", "parts", "9"};
	ck_assert_int_eq(route_find(index, METHOD_GET, path, 4, &rq), ROUTE_FOUND);
	ck_assert_int_eq(rq.id[0], 7);
	ck_assert_int_eq(rq.id[1], 9);
	ck_assert_int_eq(route_find(index, METHOD_POST, path, 2, &rq), ROUTE_NO_METHOD);
	path[1] = "new";
	ck_assert_int_eq(route_find(index, METHOD_GET, path, 2, &rq), ROUTE_FOUND);
	ck_assert_str_eq(rq.route->summary, "new");
	static const char *const no_id[] = {"0", "01", "-1", "x", "1x", "99999999999999999999"};
	for (size_t i = 0; i < 6; i++) {
		path[1] = no_id[i];
		ck_assert_int_eq(route_find(index, METHOD_GET, path, 2, &rq), ROUTE_NO_PATH);
	}
	ck_assert_int_eq(route_find(index, METHOD_GET, path, 0, &rq), ROUTE_FOUND);
	route_index_free(index);
	struct route_table twice[] = {{route, 4}, {route, 1}};
	ck_assert_ptr_null(route_index_new(twice, 2, &f));
}
END_TEST

static const struct choice color[] = {{"red", "Red"}, {"blue", "Blue"}, {NULL, NULL}};
enum { NAME, TAG, MAIL, NUMBER, MONEY, DAY, TIME, MADE, COLOR, TRUTH, IDS, FIELDS };
static const struct field field[FIELDS] = {
    [NAME] = {.name = "name", .label = "Name", .kind = FIELD_TEXT, .required = true, .max = 5},
    [TAG] = {.name = "tag", .label = "Tag", .kind = FIELD_TAG},
    [MAIL] = {.name = "mail", .label = "Mail", .kind = FIELD_EMAIL},
    [NUMBER] = {.name = "number", .label = "Number", .kind = FIELD_INTEGER, .min = 1, .max = 9},
    [MONEY] = {.name = "money", .label = "Money", .kind = FIELD_MONEY},
    [DAY] = {.name = "day", .label = "Day", .kind = FIELD_DAY},
    [TIME] = {.name = "time", .label = "Time", .kind = FIELD_TIME},
    [MADE] = {.name = "made", .label = "Made", .kind = FIELD_LABEL_DATE},
    [COLOR] = {.name = "color", .label = "Color", .kind = FIELD_CHOICE, .choice = color},
    [TRUTH] = {.name = "truth", .label = "Truth", .kind = FIELD_YES_NO},
    [IDS] = {.name = "ids", .label = "Ids", .kind = FIELD_ID_LIST},
};
static const struct resource resource = {"sample", "samples", field, FIELDS};

static enum err read(const char *form, bool partial, struct value *value,
		     struct fault_list *faults) {
	struct input in;
	struct field_reading how = {.partial = partial};
	*faults = (struct fault_list){0};
	ck_assert_int_eq(decode_form(form, strlen(form), false, &arena, &in, NULL), ERR_OK);
	return fields_read(&resource, &in, &how, &arena, value, faults);
}

START_TEST(fields_are_read_by_their_table) {
	struct value v[FIELDS];
	struct fault_list faults;
	ck_assert_int_eq(read("name=+e%CC%81+&tag=A-1&mail=a@b.org&number=9&money=1.5&day=2024-02-"
			      "29&time=23:05&made=2019-06&"
			      "color=blue&truth=no&ids=3&ids=4&_key=x",
			      false, v, &faults),
			 ERR_OK);
	ck_assert_str_eq(value_text(&v[NAME]), "é");
	ck_assert_int_eq(value_int(&v[NUMBER], 0), 9);
	ck_assert_int_eq(value_int(&v[MONEY], 0), 150);
	ck_assert_int_eq(value_day(&v[DAY]), day_parse("2024-02-29"));
	ck_assert_int_eq(v[TIME].number, 23 * 60 + 5);
	ck_assert_str_eq(value_text(&v[TIME]), "23:05");
	ck_assert_int_eq(value_int(&v[COLOR], 0), 1);
	ck_assert(value_given(&v[TRUTH]) && !value_yes(&v[TRUTH]));
	ck_assert_int_eq(v[IDS].list_count, 2);
	/* A change may leave out what is required, and clear what is not. */
	ck_assert_int_eq(read("tag=", true, v, &faults), ERR_OK);
	ck_assert(!value_given(&v[NAME]));
	ck_assert(value_given(&v[TAG]) && value_text(&v[TAG]) == NULL);
}
END_TEST

static const char *const bad_field[][2] = {
    {"tag=x", "name"},
    {"name=", "name"},
    {"name=abcdef", "name"},
    {"name=a%07", "name"},
    {"name=a&name=b", "name"},
    {"name=a&other=1", "other"},
    {"name=a&tag=a+b", "tag"},
    {"name=a&mail=x", "mail"},
    {"name=a&mail=@b.c", "mail"},
    {"name=a&number=0", "number"},
    {"name=a&number=1.0", "number"},
    {"name=a&number=10", "number"},
    {"name=a&money=1.234", "money"},
    {"name=a&day=2023-02-29", "day"},
    {"name=a&day=1/2/2024", "day"},
    {"name=a&time=24:00", "time"},
    {"name=a&time=12:60", "time"},
    {"name=a&time=9:05", "time"},
    {"name=a&time=09:05:00", "time"},
    {"name=a&time=ab:cd", "time"},
    {"name=a&time=12-05", "time"},
    {"name=a&made=2019", "made"},
    {"name=a&color=green", "color"},
    {"name=a&truth=true", "truth"},
    {"name=a&ids=0", "ids"},
    {"name=%ff", "name"},
};

static const struct field picked[] = {
    {.name = "name", .label = "Name", .kind = FIELD_TEXT, .required = true},
    {.name = "color", .label = "Color", .kind = FIELD_CHOICE, .required = true, .choice = color},
    {.name = "station", .label = "Station", .kind = FIELD_ID, .required = true},
    {.name = "clean", .label = "Clean", .kind = FIELD_YES_NO, .required = true},
};
static const char *const how_picked[] = {
    "Name is required. Fill it in.", "Color is required. Choose one.",
    "Station is required. Choose one.", "Clean is required. Answer yes or no."};

/* Whether the field is left out or sent empty. */
START_TEST(what_is_missing_is_told_with_how_it_is_given) {
	struct resource r = {"thing", "things", picked, sizeof picked / sizeof *picked};
	const char *const form[] = {"", "name=&color=&station=&clean="};
	struct value v[sizeof picked / sizeof *picked];
	struct input in;
	struct fault_list faults = {0};
	struct field_reading how = {0};
	ck_assert_int_eq(decode_form(form[_i], strlen(form[_i]), false, &arena, &in, NULL), ERR_OK);
	ck_assert_int_eq(fields_read(&r, &in, &how, &arena, v, &faults), ERR_INVALID);
	ck_assert_int_eq(faults.count, r.field_count);
	for (size_t i = 0; i < r.field_count; i++)
		ck_assert_str_eq(faults.fault[i].message, how_picked[i]);
}
END_TEST

START_TEST(wrong_fields_are_named) {
	struct value v[FIELDS];
	struct fault_list faults;
	ck_assert_int_eq(read(bad_field[_i][0], false, v, &faults), ERR_INVALID);
	ck_assert_msg(fault_list_find(&faults, bad_field[_i][1]) != NULL, "%s", bad_field[_i][0]);
}
END_TEST

static const char *render(const char *source, const char *partial, bool strict, enum err *err) {
	struct doc *sources = doc_map(&arena), *data = doc_map(&arena);
	struct fault f = {0};
	struct buf b;
	doc_set_text(sources, "page", source);
	doc_set_text(sources, "part", partial);
	doc_set_text(data, "name", "<A&B>");
	doc_set_null(data, "nothing");
	doc_set_text(doc_set_map(data, "deep"), "inner", "x");
	struct doc *list = doc_set_list(data, "list");
	doc_set_text(doc_add_map(list), "n", "1");
	doc_set_text(doc_add_map(list), "n", "2");
	doc_set_list(data, "none");
	struct template_set *set = template_set_parse(sources, &f);
	*err = set ? ERR_OK : f.code;
	if (!set) return NULL;
	const struct doc *context[] = {data};
	buf_init(&b, 100000);
	*err = template_render(set, "page", context, 1, strict, &b, &f);
	const char *text = arena_strdup(&arena, buf_text(&b));
	buf_release(&b);
	template_set_free(set);
	return text;
}

START_TEST(templates_follow_the_mustache_specification) {
	static const char *const cases[][2] = {
	    {"{{name}} {{{name}}} {{&name}}", "&lt;A&amp;B&gt; <A&B> <A&B>"},
	    {"{{deep.inner}}{{nothing}}{{deep.none}}", "x"},
	    {"{{#list}}{{n}},{{/list}}", "1,2,"},
	    {"{{^none}}empty{{/none}}{{#none}}x{{/none}}", "empty"},
	    {"{{#deep}}{{inner}}{{name}}{{/deep}}", "x&lt;A&amp;B&gt;"},
	    {"a\n{{! a comment }}\nb", "a\nb"},
	    {"  {{#deep}}\n  in\n  {{/deep}}\nout", "  in\nout"},
	    {"{{=<% %>=}}<%name%> {{name}}", "&lt;A&amp;B&gt; {{name}}"},
	    {" {{> part}}\n>", " one\n two\n>"},
	    {"{{#list}}{{#deep}}{{n}}{{/deep}}{{/list}}", "12"},
	};
	for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
		enum err err;
		ck_assert_str_eq(render(cases[i][0], "one\ntwo\n", false, &err), cases[i][1]);
	}
}
END_TEST

START_TEST(templates_with_faults_are_refused) {
	static const char *const bad[] = {
	    "{{#a}}", "{{/a}}", "{{#a}}{{#b}}{{/a}}{{/b}}", "{{a", "{{}}", "{{> none}}", "{{=x=}}"};
	for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
		enum err err;
		ck_assert_msg(render(bad[i], "", false, &err) == NULL && err != ERR_OK, "%s",
			      bad[i]);
	}
	enum err err;
	render("{{unknown}}", "", true, &err);
	ck_assert_int_eq(err, ERR_INTERNAL);
	render("{{nothing}}", "", true, &err);
	ck_assert_int_eq(err, ERR_OK);
}
END_TEST

Suite *http_suite(void) {
	Suite *s = suite_create("http");
	TCase *t = tcase_create("http");
	tcase_add_checked_fixture(t, begin, end);
	tcase_add_test(t, targets_are_decoded_strictly);
	tcase_add_test(t, what_a_client_reads_is_decoded);
	tcase_add_test(t, forms_are_decoded_strictly);
	tcase_add_test(t, json_bodies_are_flat_objects);
	tcase_add_test(t, multipart_holds_one_file);
	tcase_add_test(t, routes_are_found_by_shape);
	tcase_add_test(t, fields_are_read_by_their_table);
	tcase_add_loop_test(t, what_is_missing_is_told_with_how_it_is_given, 0, 2);
	tcase_add_loop_test(t, wrong_fields_are_named, 0,
			    (int)(sizeof bad_field / sizeof *bad_field));
	tcase_add_test(t, templates_follow_the_mustache_specification);
	tcase_add_test(t, templates_with_faults_are_refused);
	suite_add_tcase(s, t);
	return s;
}
