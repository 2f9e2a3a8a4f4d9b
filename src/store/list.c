#include "store/list.h"

#include "base/buf.h"
#include "base/text.h"

/* "%text%" of the folded text, its own wildcards taken literally (ESCAPE '\'). */
static const char *pattern(struct arena *a, const char *search) {
	const char *folded = search ? text_fold(a, search) : NULL;
	if (text_empty(folded)) return NULL;
	struct buf b;
	buf_init(&b, 4096);
	buf_add_char(&b, '%');
	for (; *folded; folded++) {
		if (*folded == '%' || *folded == '_' || *folded == '\\') buf_add_char(&b, '\\');
		buf_add_char(&b, *folded);
	}
	buf_add_char(&b, '%');
	const char *text = buf_failed(&b) ? NULL : arena_copy(a, buf_text(&b), b.length);
	buf_release(&b);
	return text;
}

enum err list_read(struct store *st, const struct list_source *source, const struct list_wish *wish,
		   struct arena *a, struct doc *rows, int64_t *total, struct fault *f) {
	const char *text[LIST_FILTERS_MAX + 1] = {pattern(a, wish->search)};
	size_t count = 1;
	for (size_t i = 0; i < LIST_FILTERS_MAX && source->filter[i]; i++)
		text[count++] = wish->filter[i];
	struct doc *counted = doc_list(a);
	if (!counted) return fault_set(f, ERR_MEMORY, NULL, "There is no memory left.");
	enum err err = store_page(st, source->count, a, counted, f, text, count, -1, 0);
	if (err != ERR_OK) return err;
	*total = doc_int(counted->first, "total");
	return store_page(st, source->sort[wish->sort].sql, a, rows, f, text, count, wish->limit,
			  wish->offset);
}
