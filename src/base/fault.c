#include "base/fault.h"

#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "base/arena.h"
#include "base/limits.h"

__attribute__((format(printf, 4, 0))) static void
fault_fill(struct fault *f, enum err code, const char *field, const char *format, va_list args) {
	f->code = code;
	snprintf(f->field, sizeof f->field, "%s", field ? field : "");
	vsnprintf(f->message, sizeof f->message, format, args);
}

enum err fault_set(struct fault *f, enum err code, const char *field, const char *format, ...) {
	if (!f || f->code != ERR_OK) return code;
	va_list args;
	va_start(args, format);
	fault_fill(f, code, field, format, args);
	va_end(args);
	return code;
}

enum err err_of_errno(int number) { return number == ENOMEM ? ERR_MEMORY : ERR_IO; }

enum err fault_memory(struct fault *f) {
	return fault_set(f, ERR_MEMORY, NULL, "There is no memory left.");
}

void fault_clear(struct fault *f) { *f = (struct fault){.code = ERR_OK}; }

const char *err_word(enum err code) {
	static const char *const word[ERR_COUNT] = {
	    [ERR_OK] = "ok",
	    [ERR_SYNTAX] = "syntax",
	    [ERR_INVALID] = "invalid",
	    [ERR_UNAUTHENTICATED] = "unauthenticated",
	    [ERR_DENIED] = "denied",
	    [ERR_NOT_FOUND] = "not-found",
	    [ERR_METHOD] = "method",
	    [ERR_CONFLICT] = "conflict",
	    [ERR_STALE] = "stale",
	    [ERR_PRECONDITION_REQUIRED] = "precondition-required",
	    [ERR_LENGTH_REQUIRED] = "length-required",
	    [ERR_TOO_LARGE] = "too-large",
	    [ERR_MEDIA_TYPE] = "media-type",
	    [ERR_TOO_MANY] = "too-many",
	    [ERR_MEMORY] = "memory",
	    [ERR_IO] = "io",
	    [ERR_CORRUPT] = "corrupt",
	    [ERR_BUSY] = "busy",
	    [ERR_INTERNAL] = "internal",
	};
	return code >= 0 && code < ERR_COUNT ? word[code] : "internal";
}

static bool fault_list_grow(struct fault_list *list, struct arena *a) {
	if (list->count < list->room) return true;
	size_t room = list->room ? list->room * 2 : 8;
	struct fault *wider = arena_array(a, struct fault, room);
	if (!wider) return false;
	if (list->count) memcpy(wider, list->fault, list->count * sizeof *wider);
	list->fault = wider;
	list->room = room;
	return true;
}

void fault_list_add(struct fault_list *list, struct arena *a, const char *field, const char *format,
		    ...) {
	list->total++;
	if (list->count >= LIMIT_FAULTS_LISTED_MAX || !fault_list_grow(list, a)) return;
	va_list args;
	va_start(args, format);
	fault_fill(&list->fault[list->count++], ERR_INVALID, field, format, args);
	va_end(args);
}

const char *fault_list_find(const struct fault_list *list, const char *field) {
	for (size_t i = 0; i < list->count; i++)
		if (strcmp(list->fault[i].field, field) == 0) return list->fault[i].message;
	return NULL;
}
