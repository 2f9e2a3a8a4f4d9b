/*
 * A document: what a handler answers, whatever it is shown as.
 *
 * A tree of maps, lists, texts, integers and booleans in an arena. The server
 * writes it as JSON, or renders the page template of the same name from it.
 * Building never fails on the spot: when the arena is exhausted, calls on NULL
 * do nothing, and the owner of the arena finds out once, at the end.
 *
 * Keys are borrowed and must outlive the document (string literals, column
 * names of a kept statement); texts are borrowed too unless the name says copy.
 * Keys are snake_case. A key set twice keeps the later value.
 */
#ifndef PEGWARDEN_BASE_DOC_H
#define PEGWARDEN_BASE_DOC_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/buf.h"

enum doc_type { DOC_NULL, DOC_BOOL, DOC_INT, DOC_TEXT, DOC_LIST, DOC_MAP };

struct doc {
	struct arena *arena;
	const char *key;  /* when it is a member of a map */
	struct doc *next; /* the sibling after it */
	enum doc_type type;
	uint32_t count; /* members of a map or list; bytes of a text */
	union {
		int64_t integer; /* DOC_INT and DOC_BOOL */
		const char *text;
		struct {
			struct doc *first;
			struct doc *last;
		};
	};
};

struct doc *doc_map(struct arena *a);
struct doc *doc_list(struct arena *a);

/* Members of a map. A NULL text is stored as null. */
void doc_set_text(struct doc *map, const char *key, const char *text);
void doc_set_copy(struct doc *map, const char *key, const char *text);
void doc_set_printf(struct doc *map, const char *key, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
void doc_set_int(struct doc *map, const char *key, int64_t number);
void doc_set_bool(struct doc *map, const char *key, bool truth);
void doc_set_null(struct doc *map, const char *key);
/* Puts an existing tree (same arena) under key; returns it. */
struct doc *doc_set(struct doc *map, const char *key, struct doc *value);
struct doc *doc_set_map(struct doc *map, const char *key);
struct doc *doc_set_list(struct doc *map, const char *key);

/* A member that is known to be new, as the columns of a row are: it is not looked for first. */
struct doc *doc_put(struct doc *map, const char *key, enum doc_type type);
struct doc *doc_put_text(struct doc *map, const char *key, const char *text, size_t length);

/* Items of a list. */
struct doc *doc_add(struct doc *list, struct doc *value);
struct doc *doc_add_map(struct doc *list);
void doc_add_text(struct doc *list, const char *text);
void doc_add_int(struct doc *list, int64_t number);

/* Reading; all take NULL and answer NULL, 0, false. */
const struct doc *doc_get(const struct doc *map, const char *key);
const char *doc_text(const struct doc *map, const char *key);
int64_t doc_int(const struct doc *map, const char *key);
bool doc_bool(const struct doc *map, const char *key);
size_t doc_count(const struct doc *list);
/* What a template section takes as true: not null, false, 0, "" or an empty list. */
bool doc_truth(const struct doc *d);

/* RFC 8259, members in the order they were set. */
void doc_write_json(const struct doc *d, struct buf *out);
/* The same as a text in the arena; NULL without memory. */
const char *doc_json(const struct doc *d, struct arena *a);

#endif
