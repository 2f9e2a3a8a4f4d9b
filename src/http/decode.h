/*
 * Strict decoding of what clients send: paths, queries and bodies.
 *
 * Nothing is guessed: a bad escape, a NUL, a control character or bad UTF-8 in
 * a path or query is ERR_SYNTAX. Values of bodies may hold any bytes but NUL;
 * the field tables judge them, so that people see which field is wrong.
 */
#ifndef PEGWARDEN_HTTP_DECODE_H
#define PEGWARDEN_HTTP_DECODE_H

#include "base/limits.h"
#include "http/request.h"

struct path {
	const char *segment[LIMIT_PATH_SEGMENTS_MAX];
	size_t count;
	const char *query; /* behind "?", still encoded; NULL: none */
};

/* "/a/b%20c?x=1": split first, then decoded. Empty, "." and ".." segments and an
 * encoded slash are refused. "/" has no segment. */
enum err decode_target(const char *target, struct arena *a, struct path *path,
		       struct fault *f) MUST_CHECK;
/* application/x-www-form-urlencoded. is_query: bad UTF-8 is refused too. */
enum err decode_form(const char *bytes, size_t length, bool is_query, struct arena *a,
		     struct input *input, struct fault *f) MUST_CHECK;
/* One flat JSON object; an array of texts or integers becomes repeated names. */
enum err decode_json(const char *bytes, size_t length, struct arena *a, struct input *input,
		     struct fault *f) MUST_CHECK;
/* multipart/form-data (RFC 7578) with at most one file. */
enum err decode_multipart(const char *bytes, size_t length, const char *boundary, struct arena *a,
			  struct input *input, struct upload *upload, struct fault *f) MUST_CHECK;
/* The boundary parameter of a multipart content type; NULL when there is none. */
const char *multipart_boundary(const char *content_type, struct arena *a);

/* Whether a client with this Accept-Encoding (RFC 9110 12.5.3) reads the coding; one that does not
 * say, with NULL, is sent none. */
bool decode_accepts(const char *accept_encoding, const char *coding);

/* Appends a pair; false when there are LIMIT_FIELDS_MAX already or no memory. */
bool input_add(struct input *input, struct arena *a, const struct input_pair *pair);

#endif
