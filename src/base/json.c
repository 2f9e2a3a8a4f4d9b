#include "base/json.h"

#include <jansson.h>
#include <pthread.h>
#include <stdlib.h>

#include "base/limits.h"

static struct doc *convert(const json_t *j, struct arena *a, int depth, struct fault *f);

static struct doc *convert_object(const json_t *j, struct arena *a, int depth, struct fault *f) {
	struct doc *map = doc_map(a);
	const char *key;
	json_t *value;
	/* The iteration macro asks for a pointer it does not write through. */
	json_t *object = json_incref((json_t *)(uintptr_t)j);
	json_object_foreach(object, key, value) {
		struct doc *child = convert(value, a, depth, f);
		if (!child) break;
		doc_set(map, arena_strdup(a, key), child);
	}
	json_decref(object);
	return map;
}

static struct doc *convert_array(const json_t *j, struct arena *a, int depth, struct fault *f) {
	struct doc *list = doc_list(a);
	for (size_t i = 0; i < json_array_size(j); i++)
		if (!doc_add(list, convert(json_array_get(j, i), a, depth, f))) break;
	return list;
}

static struct doc *convert_leaf(const json_t *j, struct arena *a) {
	struct doc *d = doc_map(a);
	if (!d) return NULL;
	switch (json_typeof(j)) {
	case JSON_STRING:
		*d = (struct doc){.arena = a, .type = DOC_TEXT};
		d->text = arena_copy(a, json_string_value(j), json_string_length(j));
		d->count = (uint32_t)json_string_length(j);
		break;
	case JSON_INTEGER:
		*d = (struct doc){.arena = a, .type = DOC_INT};
		d->integer = json_integer_value(j);
		break;
	case JSON_TRUE:
	case JSON_FALSE:
		*d = (struct doc){.arena = a, .type = DOC_BOOL};
		d->integer = json_is_true(j);
		break;
	default: *d = (struct doc){.arena = a, .type = DOC_NULL};
	}
	return d;
}

static struct doc *convert(const json_t *j, struct arena *a, int depth, struct fault *f) {
	if (depth > LIMIT_JSON_DEPTH_MAX) {
		fault_set(f, ERR_SYNTAX, NULL, "The JSON is nested too deeply.");
		return NULL;
	}
	if (json_is_object(j)) return convert_object(j, a, depth + 1, f);
	if (json_is_array(j)) return convert_array(j, a, depth + 1, f);
	if (json_is_real(j)) {
		fault_set(f, ERR_SYNTAX, NULL, "Numbers must be whole: %g is not.",
			  json_real_value(j));
		return NULL;
	}
	return convert_leaf(j, a);
}

/* The reader does not always say that memory was missing: it calls the text wrong then,
 * or leaves out the end of a string. */
static _Thread_local bool starved;

static void *allocate(size_t bytes) {
	void *memory = malloc(bytes);
	if (!memory) starved = true;
	return memory;
}

static void configure_once(void) { json_set_alloc_funcs(allocate, free); }

enum err json_read(const char *bytes, size_t length, struct arena *a, struct doc **d,
		   struct fault *f) {
	static pthread_once_t configured = PTHREAD_ONCE_INIT;
	json_error_t error;
	struct fault own = {0};
	pthread_once(&configured, configure_once);
	starved = false;
	json_t *j = json_loadb(bytes, length, JSON_REJECT_DUPLICATES | JSON_DECODE_ANY, &error);
	if (starved) {
		json_decref(j);
		return fault_memory(f);
	}
	if (!j)
		return fault_set(f, ERR_SYNTAX, NULL,
				 "The JSON cannot be read: %s (line %d, column %d).", error.text,
				 error.line, error.column);
	*d = convert(j, a, 0, &own);
	json_decref(j);
	if (own.code != ERR_OK) return fault_set(f, own.code, NULL, "%s", own.message);
	return *d && !arena_failed(a) ? ERR_OK : fault_memory(f);
}
