/*
 * The way every list is answered.
 *
 * A handlers file describes its list once (struct list_page) and calls
 * list_answer for the page and list_export for the CSV of the same selection.
 * The document: rows, total, page, pages, size, search, sorts [{name label url
 * is_current}], filters [{name label options [{value label is_selected}]}],
 * next, prev, csv_url, is_filtered.
 */
#ifndef PEGWARDEN_HANDLERS_LIST_H
#define PEGWARDEN_HANDLERS_LIST_H

#include "http/request.h"
#include "store/list.h"

struct list_filter {
	const char *label;
	const struct choice *choice; /* a closed set; NULL: options come from `options` */
	/* rows with "value" and "label", from the store */
	enum err (*options)(struct request *rq, struct doc *options);
	bool hidden;       /* set by links only, e.g. an exact record */
	const char *fixed; /* the page's own value, no part of its address; NULL: none */
};

struct list_column {
	const char *key;    /* of the row */
	const char *header; /* of the CSV */
};

struct list_page {
	const char *path; /* "/stations" */
	const char *title;
	const struct list_source *source;
	struct list_filter filter[LIST_FILTERS_MAX]; /* as source->filter */
	const struct list_column *column;            /* NULL-ended */
	void (*label)(struct doc *row);              /* adds words for people; may be NULL */
	const char *const *keep; /* more that the page's addresses keep; NULL-ended, or NULL */
	int64_t rows;            /* a page, unless the address says; 0: LIMIT_PAGE_ROWS */
};

enum err list_answer(struct request *rq, const struct list_page *page) MUST_CHECK;
enum err list_export(struct request *rq, const struct list_page *page) MUST_CHECK;
/* The same selection in the same order at another path. */
const char *list_address(struct request *rq, const struct list_page *page, const char *path);

/* Options of the usual filters. */
enum err list_station_options(struct request *rq, struct doc *options);
enum err list_kind_options(struct request *rq, struct doc *options);

/* Query names of every list: q sort page size, then the filters. */
#define LIST_QUERY "q", "sort", "page", "size"

#endif
