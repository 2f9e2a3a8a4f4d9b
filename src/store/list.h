/*
 * Lists that can be searched, filtered, sorted, paged and exported.
 *
 * A list is const data: one statement that counts, one for each sort order.
 * Their parameters are the same: ?1 the search text (folded, with % around it;
 * NULL: everything), ?2 onwards one text a filter in the order of `filter`
 * (NULL: not filtered), and in the sorted ones then the limit and the offset.
 */
#ifndef PEGWARDEN_STORE_LIST_H
#define PEGWARDEN_STORE_LIST_H

#include "store/store.h"

#define LIST_FILTERS_MAX 8
#define LIST_SORTS_MAX 8

struct list_sort {
	const char *name; /* in the address: sort=name */
	const char *label;
	const struct sql *sql;
};

struct list_source {
	const struct sql *count;
	const char *filter[LIST_FILTERS_MAX];  /* names in the address; NULL after the last */
	struct list_sort sort[LIST_SORTS_MAX]; /* the first is the default */
};

struct list_wish {
	const char *search; /* as typed; NULL: everything */
	const char *filter[LIST_FILTERS_MAX];
	size_t sort; /* index */
	int64_t limit, offset;
};

enum err list_read(struct store *st, const struct list_source *source, const struct list_wish *wish,
		   struct arena *a, struct doc *rows, int64_t *total, struct fault *f) MUST_CHECK;

/* The sources, defined beside their tables. */
extern const struct list_source station_list;
extern const struct list_source member_list;
extern const struct list_source ensemble_list;
extern const struct list_source component_list;
extern const struct list_source label_list; /* id tag kind_label size ensemble_code holder_name */
extern const struct list_source price_list;
extern const struct list_source provider_list;
extern const struct list_source inspection_list;
extern const struct list_source finding_list;
extern const struct list_source photo_list;
extern const struct list_source dispatch_list;
extern const struct list_source duty_list_source;
extern const struct list_source readiness_list;
extern const struct list_source notice_list;
extern const struct list_source mail_list;
extern const struct list_source audit_list;
extern const struct list_source account_list;
extern const struct list_source hold_list;
extern const struct list_source safety_notice_list;
extern const struct list_source safety_item_list;
extern const struct list_source exposure_list;
extern const struct list_source field_test_list;
extern const struct list_source fit_check_list;
extern const struct list_source tablet_list;

#endif
