/*
 * Importing in the browser: give a table, see what is in it and what is wrong
 * with it, then store it, all or nothing.
 *
 * Both checking and storing run on the writer thread: a very long table keeps
 * other changes waiting meanwhile, but nobody who reads.
 */
#include "base/limits.h"
#include "handlers/app.h"
#include "handlers/import_kinds.h"
#include "handlers/import_work.h"
#include "handlers/routes.h"
#include "store/import_run.h"
#include "store/session.h"

static const struct choice order_choice[] = {{"iso", "Only 2021-04-03"},
					     {"day_first", "3/4/2021 is the third of April"},
					     {"month_first", "3/4/2021 is the fourth of March"},
					     {NULL, NULL}};

enum { KIND, ORDER, TABLE, FIELDS };
static const struct field field[FIELDS] = {
    [KIND] = {.name = "kind",
	      .label = "What the table holds",
	      .kind = FIELD_CHOICE,
	      .required = true,
	      .choice = import_kind_choice},
    [ORDER] = {.name = "date_order",
	       .label = "How its dates are written",
	       .help = "2021-04-03 is always understood.",
	       .kind = FIELD_CHOICE,
	       .choice = order_choice},
    [TABLE] =
	{.name = "table",
	 .label = "The table",
	 .help =
	     "CSV as the spreadsheet saves it, at most 30 MiB; the command line takes longer ones.",
	 .kind = FIELD_FILE,
	 .required = true},
};
static const struct resource resource = {"import", "imports", field, FIELDS};

/* The tables there are, with their columns as the field tables have them. */
static enum err add_tables(struct request *rq, struct doc *list) {
	const struct import_kind *kind;
	for (size_t i = 0; (kind = import_kind_at(i)); i++) {
		const struct resource *r = import_kind_resource(kind, &rq->arena);
		if (!r) return request_fail(rq, ERR_MEMORY, "There is no memory left.");
		struct doc *m = doc_add_map(list), *columns = doc_set_list(m, "columns");
		doc_set_text(m, "kind", kind->name);
		doc_set_text(m, "label", choice_label(import_kind_choice, kind->name));
		for (size_t c = 0; c < r->field_count; c++) {
			const struct field *f = &r->field[c];
			struct doc *column = doc_add_map(columns);
			doc_set_text(column, "name", f->name);
			doc_set_text(column, "label", f->label);
			doc_set_text(column, "help", f->help);
			doc_set_bool(column, "required", f->required);
			struct doc *words = doc_set_list(column, "words");
			for (const struct choice *w = f->choice; w && w->value; w++)
				doc_add_text(words, w->value);
		}
	}
	return ERR_OK;
}

/* What it holds in the words of its table. */
static void label(struct doc *run) {
	doc_set_text(run, "kind_label", choice_label(import_kind_choice, doc_text(run, "kind")));
}

static enum err import_index(struct request *rq) {
	struct doc *d = rq->doc = doc_map(&rq->arena);
	doc_set(d, "form",
		fields_form(&resource, &rq->arena, NULL, request_values(rq, &resource), &rq->faults,
			    false));
	rq->title = "Tables";
	enum err err = add_tables(rq, doc_set_list(d, "tables"));
	struct doc *runs = doc_set_list(d, "runs");
	if (err == ERR_OK) err = import_run_list(request_store(rq), &rq->arena, runs, &rq->fault);
	for (struct doc *run = runs->first; run; run = run->next) label(run);
	return err;
}

static enum err load(struct request *rq, struct doc **row) {
	enum err err = import_run_get(request_store(rq), rq->id[0], &rq->arena, row, &rq->fault);
	if (err != ERR_OK || *row) return err;
	return request_fail(rq, ERR_NOT_FOUND, "There is no import %lld.", (long long)rq->id[0]);
}

static enum err import_show(struct request *rq) {
	struct doc *row, *d = rq->doc = doc_map(&rq->arena);
	enum err err = load(rq, &row);
	if (err != ERR_OK) return err;
	int percent = import_work_percent(request_app(rq), rq->id[0]);
	if (doc_bool(row, "is_working")) doc_set_int(row, "percent", percent < 0 ? 0 : percent);
	label(row);
	doc_set(d, "run", row);
	rq->title = arena_printf(&rq->arena, "Import: %s", doc_text(row, "kind_label"));
	return ERR_OK;
}

static enum err check_upload(struct request *rq) {
	if (!rq->upload.name || !rq->upload.length)
		return request_field_fault(rq, "table", "Choose the file with the table.");
	if (text_is_utf8(rq->upload.bytes, rq->upload.length)) return ERR_OK;
	return request_field_fault(
	    rq, "table", "The file is not UTF-8 text. Save it as \"CSV UTF-8\" and try again.");
}

static enum err work_on(struct request *rq, size_t length, bool is_new) {
	struct change *c = rq->change;
	enum err err = length <= LIMIT_IMPORT_AT_ONCE_BYTES
			   ? import_work_now(c, request_store(rq), rq->id[0], rq->today)
			   : import_work_later(request_app(rq), rq->id[0], &c->author, &rq->fault);
	if (err == ERR_INVALID) return request_fail(rq, ERR_CONFLICT, "%s", c->fault.message);
	if (err != ERR_OK) return err;
	request_go(rq, is_new, "/imports/%lld", (long long)rq->id[0]);
	return import_show(rq);
}

static enum err import_post(struct request *rq) {
	const char *order = value_text(&rq->value[ORDER]);
	enum err err = check_upload(rq);
	if (err != ERR_OK) return err;
	char *content = arena_copy(&rq->arena, rq->upload.bytes, rq->upload.length);
	if (!content)
		return request_field_fault(rq, "table",
					   "The file is too long for the browser. Use `pegwarden "
					   "import` on the command line, or give it in parts.");
	struct import_run run = {
	    .kind = value_text(&rq->value[KIND]),
	    .filename = rq->upload.filename,
	    .date_order = order ? order : "iso",
	    .content = content,
	    .content_hash = secret_hash(&rq->arena, content),
	    .account = rq->who.account,
	    .created_s = rq->now_s,
	};
	err = import_run_put(request_store(rq), &run, &rq->id[0], &rq->fault);
	return err == ERR_OK ? work_on(rq, rq->upload.length, true) : err;
}

static enum err import_run_now(struct request *rq) {
	struct doc *row;
	enum err err = load(rq, &row);
	if (err != ERR_OK) return err;
	if (!doc_bool(row, "is_ready"))
		return request_fail(rq, ERR_CONFLICT, "This import is %s.", doc_text(row, "state"));
	int64_t bytes;
	err = import_run_bytes(request_store(rq), rq->id[0], &bytes, &rq->fault);
	if (err == ERR_OK)
		err = import_run_wanted(request_store(rq), rq->id[0], rq->who.account, &rq->fault);
	return err == ERR_OK ? work_on(rq, (size_t)bytes, false) : err;
}

static const struct route route[] = {
    {METHOD_GET, "/imports", ROLE_OFFICER, RUN_READ, .handle = import_index,
     .template_name = "imports", .summary = "Tables given for import"},
    {METHOD_POST, "/imports", ROLE_OFFICER, RUN_CHANGE, .handle = import_post, .form = import_index,
     .template_name = "imports", .resource = &resource, .upload_bytes_max = LIMIT_IMPORT_BYTES_MAX,
     .summary = "Give a table and have it checked; nothing is stored yet"},
    {METHOD_GET, "/imports/:id", ROLE_OFFICER, RUN_READ, .handle = import_show,
     .template_name = "import", .summary = "What is in a table and what is wrong with it"},
    {METHOD_POST, "/imports/:id/run", ROLE_OFFICER, RUN_CHANGE, .handle = import_run_now,
     .form = import_show, .template_name = "import", .summary = "Store a table, all or nothing"},
};
const struct route_table import_routes = {route, sizeof route / sizeof *route};
