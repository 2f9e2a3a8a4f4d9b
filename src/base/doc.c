#include "base/doc.h"

#include <stdarg.h>
#include <string.h>

#include "base/limits.h"

static struct doc *new_doc(struct arena *a, enum doc_type type) {
	struct doc *d = arena_new(a, struct doc);
	if (!d) return NULL;
	d->arena = a;
	d->type = type;
	return d;
}

struct doc *doc_map(struct arena *a) {
	return new_doc(a, DOC_MAP);
}
struct doc *doc_list(struct arena *a) {
	return new_doc(a, DOC_LIST);
}

static void append(struct doc *parent, struct doc *child) {
	if (parent->last) parent->last->next = child;
	else parent->first = child;
	parent->last = child;
	parent->count++;
}

/* Pages look up keys all the time; most differ in their first letter already. */
static bool same_key(const char *a, const char *b) {
	return a == b || (a[0] == b[0] && strcmp(a, b) == 0);
}

static struct doc *find(const struct doc *map, const char *key) {
	for (struct doc *d = map->first; d; d = d->next)
		if (same_key(d->key, key)) return d;
	return NULL;
}

struct doc *doc_set(struct doc *map, const char *key, struct doc *value) {
	if (!map || !value) return NULL;
	struct doc *old = find(map, key);
	if (!old) {
		value->key = key;
		append(map, value);
		return value;
	}
	struct doc *next = old->next;
	*old = *value;
	old->key = key;
	old->next = next;
	return old;
}

/* A new member of that type; NULL when the map is. */
static struct doc *set_new(struct doc *map, const char *key, enum doc_type type) {
	return map ? doc_set(map, key, new_doc(map->arena, type)) : NULL;
}

struct doc *doc_put(struct doc *map, const char *key, enum doc_type type) {
	struct doc *d = map ? new_doc(map->arena, type) : NULL;
	if (!d) return NULL;
	d->key = key;
	append(map, d);
	return d;
}

struct doc *doc_put_text(struct doc *map, const char *key, const char *text, size_t length) {
	struct doc *d = doc_put(map, key, text ? DOC_TEXT : DOC_NULL);
	if (!d || !text) return d;
	d->text = text;
	d->count = (uint32_t)length;
	return d;
}

void doc_set_text(struct doc *map, const char *key, const char *text) {
	struct doc *d = set_new(map, key, text ? DOC_TEXT : DOC_NULL);
	if (!d || !text) return;
	d->text = text;
	d->count = (uint32_t)strlen(text);
}

void doc_set_copy(struct doc *map, const char *key, const char *text) {
	if (map) doc_set_text(map, key, arena_strdup(map->arena, text));
}

void doc_set_printf(struct doc *map, const char *key, const char *format, ...) {
	if (!map) return;
	va_list args;
	va_start(args, format);
	doc_set_text(map, key, arena_vprintf(map->arena, format, args));
	va_end(args);
}

void doc_set_int(struct doc *map, const char *key, int64_t number) {
	struct doc *d = set_new(map, key, DOC_INT);
	if (d) d->integer = number;
}

void doc_set_bool(struct doc *map, const char *key, bool truth) {
	struct doc *d = set_new(map, key, DOC_BOOL);
	if (d) d->integer = truth;
}

void doc_set_null(struct doc *map, const char *key) { set_new(map, key, DOC_NULL); }

struct doc *doc_set_map(struct doc *map, const char *key) {
	return set_new(map, key, DOC_MAP);
}
struct doc *doc_set_list(struct doc *map, const char *key) {
	return set_new(map, key, DOC_LIST);
}

struct doc *doc_add(struct doc *list, struct doc *value) {
	if (!list || !value) return NULL;
	append(list, value);
	return value;
}

struct doc *doc_add_map(struct doc *list) {
	return list ? doc_add(list, new_doc(list->arena, DOC_MAP)) : NULL;
}

void doc_add_text(struct doc *list, const char *text) {
	struct doc *d =
	    list ? doc_add(list, new_doc(list->arena, text ? DOC_TEXT : DOC_NULL)) : NULL;
	if (!d || !text) return;
	d->text = text;
	d->count = (uint32_t)strlen(text);
}

void doc_add_int(struct doc *list, int64_t number) {
	struct doc *d = list ? doc_add(list, new_doc(list->arena, DOC_INT)) : NULL;
	if (d) d->integer = number;
}

const struct doc *doc_get(const struct doc *map, const char *key) {
	return map && map->type == DOC_MAP ? find(map, key) : NULL;
}

const char *doc_text(const struct doc *map, const char *key) {
	const struct doc *d = doc_get(map, key);
	return d && d->type == DOC_TEXT ? d->text : NULL;
}

int64_t doc_int(const struct doc *map, const char *key) {
	const struct doc *d = doc_get(map, key);
	return d && d->type == DOC_INT ? d->integer : 0;
}

bool doc_bool(const struct doc *map, const char *key) {
	const struct doc *d = doc_get(map, key);
	return d && (d->type == DOC_BOOL || d->type == DOC_INT) && d->integer != 0;
}

size_t doc_count(const struct doc *list) {
	return list && (list->type == DOC_LIST || list->type == DOC_MAP) ? list->count : 0;
}

bool doc_truth(const struct doc *d) {
	if (!d) return false;
	switch (d->type) {
	case DOC_BOOL:
	case DOC_INT: return d->integer != 0;
	case DOC_TEXT:
	case DOC_LIST: return d->count != 0;
	case DOC_MAP: return true;
	case DOC_NULL: break;
	}
	return false;
}

static void write_members(const struct doc *d, struct buf *out, bool keyed) {
	for (const struct doc *child = d->first; child; child = child->next) {
		if (child != d->first) buf_add_char(out, ',');
		if (keyed) {
			buf_add_json(out, child->key, strlen(child->key));
			buf_add_char(out, ':');
		}
		doc_write_json(child, out);
	}
}

void doc_write_json(const struct doc *d, struct buf *out) {
	switch (d ? d->type : DOC_NULL) {
	case DOC_NULL: buf_add_text(out, "null"); break;
	case DOC_BOOL: buf_add_text(out, d->integer ? "true" : "false"); break;
	case DOC_INT: buf_add_int(out, d->integer); break;
	case DOC_TEXT: buf_add_json(out, d->text, d->count); break;
	case DOC_LIST:
		buf_add_char(out, '[');
		write_members(d, out, false);
		buf_add_char(out, ']');
		break;
	case DOC_MAP:
		buf_add_char(out, '{');
		write_members(d, out, true);
		buf_add_char(out, '}');
		break;
	}
}

const char *doc_json(const struct doc *d, struct arena *a) {
	struct buf b;
	buf_init(&b, LIMIT_PAGE_BYTES_MAX);
	doc_write_json(d, &b);
	const char *text = buf_failed(&b) ? NULL : arena_copy(a, buf_text(&b), b.length);
	buf_release(&b);
	return text;
}
