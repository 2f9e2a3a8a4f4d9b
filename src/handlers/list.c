#include "handlers/list.h"

#include <stdlib.h>
#include <string.h>

#include "base/csv.h"
#include "base/limits.h"
#include "handlers/app.h"
#include "store/station.h"

#define EXPORT_ROWS_MAX 1000000

/* --- what is wished for ------------------------------------------------------------ */

static enum err read_sort(struct request *rq, const struct list_source *source, size_t *sort) {
	const char *name = request_query(rq, "sort");
	*sort = 0;
	if (!name) return ERR_OK;
	for (size_t i = 0; i < LIST_SORTS_MAX && source->sort[i].name; i++)
		if (strcmp(source->sort[i].name, name) == 0) {
			*sort = i;
			return ERR_OK;
		}
	return request_fail(rq, ERR_SYNTAX, "There is no sort order called \"%.40s\" here.", name);
}

static const char *filter_value(struct request *rq, const struct list_page *page, size_t i) {
	const char *fixed = page->filter[i].fixed;
	return fixed ? fixed : request_query(rq, page->source->filter[i]);
}

static enum err read_filters(struct request *rq, const struct list_page *page,
			     struct list_wish *wish) {
	for (size_t i = 0; i < LIST_FILTERS_MAX && page->source->filter[i]; i++) {
		const char *name = page->source->filter[i], *value = filter_value(rq, page, i);
		const struct choice *choice = page->filter[i].choice;
		wish->filter[i] = value;
		if (!value || !choice) continue;
		while (choice->value && strcmp(choice->value, value) != 0) choice++;
		if (!choice->value)
			return request_fail(rq, ERR_SYNTAX, "\"%.40s\" is no value of %s.", value,
					    name);
	}
	return ERR_OK;
}

static enum err read_wish(struct request *rq, const struct list_page *page, struct list_wish *wish,
			  int64_t *number) {
	*wish = (struct list_wish){.search = request_query(rq, "q")};
	enum err err = read_sort(rq, page->source, &wish->sort);
	if (err == ERR_OK) err = read_filters(rq, page, wish);
	if (err == ERR_OK)
		err = request_query_int(rq, "size", 1, LIMIT_PAGE_ROWS_MAX,
					page->rows ? page->rows : LIMIT_PAGE_ROWS, &wish->limit);
	if (err == ERR_OK) err = request_query_int(rq, "page", 1, 1000000, 1, number);
	wish->offset = (*number - 1) * wish->limit;
	return err;
}

/* --- addresses of the same list with one thing changed ------------------------------- */

static void add_encoded(struct buf *b, const char *text) {
	for (; *text; text++) {
		bool plain = strchr("-._~", *text) || (*text >= '0' && *text <= '9') ||
			     (*text >= 'a' && *text <= 'z') || (*text >= 'A' && *text <= 'Z');
		if (plain) buf_add_char(b, *text);
		else buf_printf(b, "%%%02X", (unsigned char)*text);
	}
}

static void add_parameter(struct buf *b, const char *name, const char *value) {
	if (text_empty(value)) return;
	buf_add_char(b, strchr(buf_text(b), '?') ? '&' : '?');
	buf_add_text(b, name);
	buf_add_char(b, '=');
	add_encoded(b, value);
}

/* sort and number NULL: left out. */
static const char *list_url(struct request *rq, const struct list_page *page, const char *path,
			    const char *sort, const char *number) {
	struct buf b;
	buf_init(&b, 8192);
	buf_add_text(&b, path);
	add_parameter(&b, "q", request_query(rq, "q"));
	for (size_t i = 0; i < LIST_FILTERS_MAX && page->source->filter[i]; i++)
		if (!page->filter[i].fixed)
			add_parameter(&b, page->source->filter[i],
				      request_query(rq, page->source->filter[i]));
	add_parameter(&b, "sort", sort);
	add_parameter(&b, "size", request_query(rq, "size"));
	add_parameter(&b, "page", number);
	for (const char *const *name = page->keep; name && *name; name++)
		add_parameter(&b, *name, request_query(rq, *name));
	const char *url = buf_failed(&b) ? NULL : arena_copy(&rq->arena, buf_text(&b), b.length);
	buf_release(&b);
	return url;
}

const char *list_address(struct request *rq, const struct list_page *page, const char *path) {
	return list_url(rq, page, path, request_query(rq, "sort"), NULL);
}

static const char *page_url(struct request *rq, const struct list_page *page, int64_t number) {
	return list_url(rq, page, page->path, request_query(rq, "sort"),
			arena_printf(&rq->arena, "%lld", (long long)number));
}

/* --- the document ------------------------------------------------------------------------ */

static void sorts_document(struct request *rq, const struct list_page *page, size_t current,
			   struct doc *list) {
	for (size_t i = 0; i < LIST_SORTS_MAX && page->source->sort[i].name; i++) {
		struct doc *m = doc_add_map(list);
		doc_set_text(m, "name", page->source->sort[i].name);
		doc_set_text(m, "label", page->source->sort[i].label);
		doc_set_text(m, "url",
			     list_url(rq, page, page->path, page->source->sort[i].name, NULL));
		doc_set_bool(m, "is_current", i == current);
	}
}

static void add_choices(const struct choice *choice, struct doc *options) {
	for (; choice && choice->value; choice++) {
		struct doc *o = doc_add_map(options);
		doc_set_text(o, "value", choice->value);
		doc_set_text(o, "label", choice->label);
	}
}

static enum err filters_document(struct request *rq, const struct list_page *page,
				 struct doc *list) {
	enum err err = ERR_OK;
	for (size_t i = 0; i < LIST_FILTERS_MAX && page->source->filter[i] && err == ERR_OK; i++) {
		const struct list_filter *filter = &page->filter[i];
		const char *value = filter_value(rq, page, i);
		if (filter->fixed) continue;
		struct doc *m = doc_add_map(list);
		doc_set_text(m, "name", page->source->filter[i]);
		doc_set_text(m, "label", filter->label);
		doc_set_text(m, "value", value ? value : "");
		doc_set_bool(m, "is_hidden", filter->hidden);
		struct doc *options = doc_set_list(m, "options");
		add_choices(filter->choice, options);
		if (filter->options) err = filter->options(rq, options);
		for (struct doc *o = options ? options->first : NULL; o; o = o->next)
			doc_set_bool(o, "is_selected", text_equal(doc_text(o, "value"), value));
	}
	return err;
}

static void pager_document(struct request *rq, const struct list_page *page, int64_t total,
			   int64_t size, int64_t number, struct doc *d) {
	int64_t pages = total ? (total + size - 1) / size : 1;
	rq->link_next = number < pages ? page_url(rq, page, number + 1) : NULL;
	rq->link_prev =
	    number > 1 ? page_url(rq, page, number - 1 < pages ? number - 1 : pages) : NULL;
	doc_set_int(d, "total", total);
	doc_set_int(d, "page", number);
	doc_set_int(d, "pages", pages);
	doc_set_int(d, "size", size);
	doc_set_text(d, "next", rq->link_next);
	doc_set_text(d, "prev", rq->link_prev);
	doc_set_bool(d, "has_pages", pages > 1);
	doc_set_bool(d, "is_empty", total == 0);
}

enum err list_answer(struct request *rq, const struct list_page *page) {
	struct list_wish wish;
	int64_t number, total;
	enum err err = read_wish(rq, page, &wish, &number);
	if (err != ERR_OK) return err;
	if (!rq->doc) rq->doc = doc_map(&rq->arena);
	struct doc *d = rq->doc, *rows = doc_set_list(d, "rows");
	if (!rows) return request_fail(rq, ERR_MEMORY, "There is no memory left.");
	err =
	    list_read(request_store(rq), page->source, &wish, &rq->arena, rows, &total, &rq->fault);
	if (err != ERR_OK) return err;
	for (struct doc *row = rows->first; page->label && row; row = row->next) page->label(row);
	pager_document(rq, page, total, wish.limit, number, d);
	doc_set_text(d, "list_path", page->path);
	doc_set_text(d, "list_title", page->title);
	doc_set_text(d, "search", wish.search ? wish.search : "");
	doc_set_text(d, "sort", page->source->sort[wish.sort].name);
	doc_set_text(d, "csv_url",
		     page->column
			 ? list_address(rq, page, arena_printf(&rq->arena, "%s.csv", page->path))
			 : NULL);
	bool filtered = wish.search != NULL;
	for (size_t i = 0; i < LIST_FILTERS_MAX; i++)
		filtered |= wish.filter[i] && !page->filter[i].fixed;
	doc_set_bool(d, "is_filtered", filtered);
	sorts_document(rq, page, wish.sort, doc_set_list(d, "sorts"));
	if (!rq->title) rq->title = page->title;
	return filters_document(rq, page, doc_set_list(d, "filters"));
}

/* --- the same as CSV -------------------------------------------------------------------------- */

static void write_cell(const struct doc *row, const char *key, struct buf *b) {
	const struct doc *d = doc_get(row, key);
	if (!d) return;
	if (d->type == DOC_TEXT) csv_write_guarded(b, d->text);
	else if (d->type == DOC_INT) buf_add_int(b, d->integer);
	else if (d->type == DOC_BOOL) buf_add_text(b, d->integer ? "yes" : "no");
}

enum err list_export(struct request *rq, const struct list_page *page) {
	struct list_wish wish;
	int64_t number, total;
	enum err err = read_wish(rq, page, &wish, &number);
	struct doc *rows = doc_list(&rq->arena);
	if (err != ERR_OK || !rows) return err;
	wish.limit = EXPORT_ROWS_MAX;
	wish.offset = 0;
	err =
	    list_read(request_store(rq), page->source, &wish, &rq->arena, rows, &total, &rq->fault);
	if (err != ERR_OK) return err;
	struct buf b;
	buf_init(&b, LIMIT_IMPORT_BYTES_MAX);
	for (const struct list_column *c = page->column; c->key; c++) {
		if (c != page->column) csv_write_comma(&b);
		csv_write_cell(&b, c->header);
	}
	csv_write_end(&b);
	for (const struct doc *row = rows->first; row; row = row->next) {
		for (const struct list_column *c = page->column; c->key; c++) {
			if (c != page->column) csv_write_comma(&b);
			write_cell(row, c->key, &b);
		}
		csv_write_end(&b);
	}
	return request_csv(rq, &b, arena_printf(&rq->arena, "%s.csv", page->path + 1));
}

/* --- usual filters --- */

enum err list_station_options(struct request *rq, struct doc *options) {
	return station_options(request_store(rq), &rq->arena, options, &rq->fault);
}

enum err list_kind_options(struct request *rq, struct doc *options) {
	const struct handbook *hb = app_handbook(request_app(rq));
	for (size_t i = 0; i < hb->kind_count; i++) {
		struct doc *o = doc_add_map(options);
		doc_set_text(o, "value", hb->kind[i].code);
		doc_set_text(o, "label", hb->kind[i].label);
	}
	return ERR_OK;
}
