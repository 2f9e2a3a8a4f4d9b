#include "http/request.h"

#include <stdarg.h>
#include <string.h>

#include "base/text.h"

#define ROLE_WORD(code, word, label) word,
static const char *const words[ROLE_COUNT] = {"nobody", ROLE_LIST(ROLE_WORD)};

const char *role_word(enum role role) { return words[role < ROLE_COUNT ? role : ROLE_NOBODY]; }

enum role role_of_word(const char *word) {
	for (int role = 0; role < ROLE_COUNT; role++)
		if (text_equal(words[role], word)) return (enum role)role;
	return ROLE_NOBODY;
}

static const char *find_pair(const struct input *in, const char *name) {
	for (size_t i = 0; i < in->count; i++)
		if (strcmp(in->pair[i].name, name) == 0) return in->pair[i].text;
	return NULL;
}

const char *request_query(const struct request *rq, const char *name) {
	const char *text = find_pair(&rq->query, name);
	return text_empty(text) ? NULL : text;
}

enum err request_query_int(struct request *rq, const char *name, int64_t min, int64_t max,
			   int64_t absent, int64_t *number) {
	const char *text = request_query(rq, name);
	*number = absent;
	if (!text || text_to_int(text, min, max, number)) return ERR_OK;
	return request_fail(rq, ERR_SYNTAX, "\"%s\" in the address must be a whole number.", name);
}

const char *request_hidden(const struct request *rq, const char *name) {
	return find_pair(&rq->input, name);
}

enum err request_check_version(struct request *rq, int64_t stored) {
	int64_t seen;
	const char *text = rq->if_match ? rq->if_match : request_hidden(rq, "_version");
	if (!text)
		return request_fail(rq, ERR_PRECONDITION_REQUIRED,
				    "Say which version you saw: send If-Match with the ETag of the "
				    "record.");
	if (text_to_int(text, 1, INT64_MAX >> 21, &seen) && seen == stored) return ERR_OK;
	rq->stale_form = true;
	return request_fail(
	    rq, ERR_STALE,
	    rq->value
		? "Somebody else changed this record while you were working on it. What you "
		  "typed is still here; compare it with what is stored now and save again."
		: "Somebody else changed this record while you were working on it. Look at it as "
		  "it is now before you go on.");
}

enum err request_csv(struct request *rq, struct buf *table, const char *name) {
	if (buf_failed(table) || !name) {
		buf_release(table);
		return request_fail(rq, ERR_TOO_LARGE, "The table is too long for one file.");
	}
	rq->file = buf_take(table, &rq->file_length);
	rq->file_name = name;
	return ERR_OK;
}

void request_bytes(struct request *rq, char *bytes, size_t length, const char *type) {
	rq->file = bytes;
	rq->file_length = length;
	rq->file_type = type;
	rq->file_lasts = true;
}

enum err request_fail(struct request *rq, enum err code, const char *format, ...) {
	va_list args;
	va_start(args, format);
	const char *text = arena_vprintf(&rq->arena, format, args);
	va_end(args);
	return fault_set(&rq->fault, code, NULL, "%s", text ? text : "There is no memory left.");
}

enum err request_field_fault(struct request *rq, const char *field, const char *format, ...) {
	va_list args;
	va_start(args, format);
	const char *text = arena_vprintf(&rq->arena, format, args);
	va_end(args);
	fault_list_add(&rq->faults, &rq->arena, field, "%s",
		       text ? text : "There is no memory left.");
	return ERR_INVALID;
}

enum err request_fault_to_field(struct request *rq) {
	struct fault f = rq->fault;
	if (!f.field[0]) return ERR_INVALID;
	fault_clear(&rq->fault);
	return request_field_fault(rq, f.field, "%s", f.message);
}

void request_go(struct request *rq, bool created, const char *format, ...) {
	va_list args;
	va_start(args, format);
	rq->location = arena_vprintf(&rq->arena, format, args);
	va_end(args);
	if (created) rq->status = 201;
}

const struct value *request_value(const struct request *rq, const char *name) {
	for (size_t i = 0; rq->value && rq->resource && i < rq->resource->field_count; i++)
		if (text_equal(rq->resource->field[i].name, name)) return &rq->value[i];
	return NULL;
}
