/*
 * Reading JSON (RFC 8259) into documents. Writing is doc_write_json.
 *
 * Duplicate members, NUL characters, real numbers and anything nested deeper
 * than LIMIT_JSON_DEPTH_MAX are refused: nothing of ours needs them.
 */
#ifndef PEGWARDEN_BASE_JSON_H
#define PEGWARDEN_BASE_JSON_H

#include "base/arena.h"
#include "base/doc.h"
#include "base/fault.h"

/* *d lives in the arena, texts copied. ERR_SYNTAX says where it went wrong. */
enum err json_read(const char *bytes, size_t length, struct arena *a, struct doc **d,
		   struct fault *f) MUST_CHECK;

#endif
