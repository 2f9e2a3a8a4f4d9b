#include "http/decode.h"

#include <string.h>
#include <strings.h>

#include "base/json.h"
#include "base/text.h"

static int hex_value(char c) {
	if (c >= '0' && c <= '9') return c - '0';
	if (c >= 'a' && c <= 'f') return c - 'a' + 10;
	if (c >= 'A' && c <= 'F') return c - 'A' + 10;
	return -1;
}

/* Percent-decoding into the arena; NULL on a bad escape or a NUL. */
static char *percent_decode(struct arena *a, const char *bytes, size_t length, bool plus_is_space,
			    size_t *decoded) {
	char *text = arena_alloc(a, length + 1);
	size_t to = 0;
	for (size_t i = 0; text && i < length; i++) {
		char c = bytes[i];
		if (c == '+' && plus_is_space) c = ' ';
		if (c == '%') {
			int high = i + 2 < length ? hex_value(bytes[i + 1]) : -1;
			int low = i + 2 < length ? hex_value(bytes[i + 2]) : -1;
			if (high < 0 || low < 0) return NULL;
			c = (char)(high << 4 | low);
			i += 2;
		}
		if (c == '\0') return NULL;
		text[to++] = c;
	}
	if (text) text[to] = '\0';
	*decoded = to;
	return text;
}

static enum err add_segment(struct path *path, struct arena *a, const char *from, size_t length,
			    struct fault *f) {
	size_t decoded = 0;
	if (path->count == LIMIT_PATH_SEGMENTS_MAX || length > LIMIT_SEGMENT_BYTES_MAX * 3)
		return fault_set(f, ERR_SYNTAX, NULL, "The address is too long.");
	char *segment = percent_decode(a, from, length, false, &decoded);
	if (arena_failed(a)) return fault_memory(f);
	if (!segment || !decoded || decoded > LIMIT_SEGMENT_BYTES_MAX || strchr(segment, '/') ||
	    strchr(segment, '\\') || strcmp(segment, ".") == 0 || strcmp(segment, "..") == 0 ||
	    !text_is_utf8(segment, decoded) || !text_is_clean(segment, false))
		return fault_set(f, ERR_SYNTAX, NULL, "The address is not well formed.");
	path->segment[path->count++] = segment;
	return ERR_OK;
}

enum err decode_target(const char *target, struct arena *a, struct path *path, struct fault *f) {
	*path = (struct path){0};
	if (*target != '/')
		return fault_set(f, ERR_SYNTAX, NULL, "The address is not well formed.");
	const char *end = target + strcspn(target, "?#");
	if (*end == '#') return fault_set(f, ERR_SYNTAX, NULL, "The address is not well formed.");
	if (*end == '?') path->query = end + 1;
	for (const char *at = target + 1; at < end;) {
		size_t length = strcspn(at, "/?");
		enum err err = add_segment(path, a, at, length, f);
		if (err != ERR_OK) return err;
		at += length;
		if (at < end && ++at == end)
			return fault_set(f, ERR_SYNTAX, NULL,
					 "The address must not end in a slash.");
	}
	return ERR_OK;
}

bool input_add(struct input *input, struct arena *a, const struct input_pair *pair) {
	if (input->count == LIMIT_FIELDS_MAX) return false;
	if ((input->count & (input->count - 1)) == 0) { /* room doubles at powers of two */
		size_t room = input->count ? input->count * 2 : 1;
		struct input_pair *wider = arena_array(a, struct input_pair, room);
		if (!wider) return false;
		if (input->count) memcpy(wider, input->pair, input->count * sizeof *wider);
		input->pair = wider;
	}
	input->pair[input->count++] = *pair;
	return true;
}

static enum err too_many(struct arena *a, struct fault *f) {
	if (arena_failed(a)) return fault_memory(f);
	return fault_set(f, ERR_TOO_LARGE, NULL, "There are more than %d fields.",
			 LIMIT_FIELDS_MAX);
}

static enum err bad_form(const struct arena *a, struct fault *f) {
	if (arena_failed(a)) return fault_memory(f);
	return fault_set(f, ERR_SYNTAX, NULL,
			 "The form data are not properly encoded. Send the form again.");
}

enum err decode_form(const char *bytes, size_t length, bool is_query, struct arena *a,
		     struct input *input, struct fault *f) {
	*input = (struct input){0};
	for (size_t at = 0; at < length;) {
		size_t end = at;
		while (end < length && bytes[end] != '&') end++;
		const char *equals = memchr(bytes + at, '=', end - at);
		size_t name_length = equals ? (size_t)(equals - bytes) - at : end - at;
		const char *value = equals ? equals + 1 : bytes + end;
		struct input_pair pair = {.json_kind = INPUT_STRING};
		size_t decoded;
		pair.name = percent_decode(a, bytes + at, name_length, true, &decoded);
		if (!pair.name || !decoded || !text_is_utf8(pair.name, decoded))
			return bad_form(a, f);
		pair.text =
		    percent_decode(a, value, (size_t)(bytes + end - value), true, &pair.length);
		if (!pair.text || (is_query && !text_is_utf8(pair.text, pair.length)))
			return bad_form(a, f);
		if (!input_add(input, a, &pair)) return too_many(a, f);
		at = end + 1;
	}
	return ERR_OK;
}

/* --- JSON -------------------------------------------------------------------------- */

static bool add_json(struct input *input, struct arena *a, const char *name, const struct doc *d) {
	struct input_pair pair = {.name = name, .from_json = true};
	switch (d->type) {
	case DOC_TEXT:
		pair.json_kind = INPUT_STRING;
		pair.text = d->text;
		break;
	case DOC_INT:
		pair.json_kind = INPUT_INTEGER;
		pair.text = arena_printf(a, "%lld", (long long)d->integer);
		break;
	case DOC_BOOL:
		pair.json_kind = INPUT_BOOLEAN;
		pair.text = d->integer ? "yes" : "no";
		break;
	case DOC_NULL: pair.json_kind = INPUT_NULL; break;
	default: pair.json_kind = INPUT_OTHER; pair.text = "(nested)";
	}
	pair.length = pair.text ? strlen(pair.text) : 0;
	return input_add(input, a, &pair);
}

enum err decode_json(const char *bytes, size_t length, struct arena *a, struct input *input,
		     struct fault *f) {
	struct doc *d = NULL;
	*input = (struct input){0};
	enum err err = json_read(bytes, length, a, &d, f);
	if (err != ERR_OK) return err;
	if (d->type != DOC_MAP)
		return fault_set(f, ERR_SYNTAX, NULL, "The JSON must be an object.");
	for (const struct doc *m = d->first; m; m = m->next) {
		if (m->type != DOC_LIST) {
			if (!add_json(input, a, m->key, m)) return too_many(a, f);
			continue;
		}
		for (const struct doc *item = m->first; item; item = item->next)
			if (!add_json(input, a, m->key, item)) return too_many(a, f);
	}
	return ERR_OK;
}

/* --- codings ---------------------------------------------------------------------------- */

/* ";q=0" and ";q=0.000" say no. */
static bool is_wanted(const char *parameters) {
	const char *at = parameters + strspn(parameters, "; \t");
	if (strncasecmp(at, "q=", 2) != 0) return true;
	return strspn(at + 2, "0.") < strcspn(at + 2, ",; \t");
}

bool decode_accepts(const char *accept_encoding, const char *coding) {
	bool any = false; /* of "*" */
	for (const char *at = accept_encoding ? accept_encoding : ""; *at; at += strcspn(at, ",")) {
		at += strspn(at, ", \t");
		size_t length = strcspn(at, ",; \t");
		bool wanted = is_wanted(at + length);
		if (length == strlen(coding) && strncasecmp(at, coding, length) == 0) return wanted;
		if (length == 1 && *at == '*') any = wanted;
	}
	return any;
}

/* --- multipart ------------------------------------------------------------------------ */

const char *multipart_boundary(const char *content_type, struct arena *a) {
	const char *at = strstr(content_type, "boundary=");
	if (!at) return NULL;
	at += strlen("boundary=");
	size_t length = *at == '"' ? strcspn(++at, "\"") : strcspn(at, "; \t");
	if (!length || length > 70) return NULL;
	return arena_copy(a, at, length);
}

/* name="..." of a Content-Disposition line; NULL when it has none. */
static const char *disposition_value(const char *line, size_t length, const char *key,
				     struct arena *a) {
	size_t key_length = strlen(key);
	for (size_t i = 0; i + key_length + 2 < length; i++) {
		if (strncmp(line + i, key, key_length) != 0 || line[i + key_length] != '=' ||
		    line[i + key_length + 1] != '"' ||
		    (i && line[i - 1] != ' ' && line[i - 1] != ';'))
			continue;
		const char *from = line + i + key_length + 2;
		const char *end = memchr(from, '"', (size_t)(line + length - from));
		return end ? arena_copy(a, from, (size_t)(end - from)) : NULL;
	}
	return NULL;
}

static const char *find_bytes(const char *from, const char *end, const char *what, size_t length) {
	return (size_t)(end - from) < length ? NULL
					     : memmem(from, (size_t)(end - from), what, length);
}

struct multipart {
	const char *at, *end;
	char *delimiter; /* CR LF -- boundary */
	size_t delimiter_length;
};

static enum err take_part(struct multipart *m, struct arena *a, struct input *input,
			  struct upload *upload, struct fault *f) {
	const char *head_end = find_bytes(m->at, m->end, "\r\n\r\n", 4);
	if (!head_end) return bad_form(a, f);
	const char *body = head_end + 4;
	const char *next = find_bytes(body - 2, m->end, m->delimiter, m->delimiter_length);
	if (!next || next < body) next = next && next == body - 2 ? body : NULL;
	if (!next) return bad_form(a, f);
	size_t head = (size_t)(head_end - m->at), length = (size_t)(next - body);
	const char *name = disposition_value(m->at, head, "name", a);
	const char *filename = disposition_value(m->at, head, "filename", a);
	if (!name || !*name || !text_is_utf8(name, strlen(name))) return bad_form(a, f);
	if (filename) {
		if (upload->name) return fault_set(f, ERR_SYNTAX, NULL, "Send one file at a time.");
		bool clean =
		    text_is_utf8(filename, strlen(filename)) && text_is_clean(filename, false);
		*upload = (struct upload){name, clean ? filename : "file", body, length};
	} else if (memchr(body, '\0', length)) {
		return bad_form(a, f);
	}
	struct input_pair pair = {.name = name};
	pair.text = filename ? upload->filename : arena_copy(a, body, length);
	pair.length = pair.text ? strlen(pair.text) : 0;
	if (!pair.text || !input_add(input, a, &pair)) return too_many(a, f);
	m->at = next + m->delimiter_length;
	return ERR_OK;
}

enum err decode_multipart(const char *bytes, size_t length, const char *boundary, struct arena *a,
			  struct input *input, struct upload *upload, struct fault *f) {
	*input = (struct input){0};
	*upload = (struct upload){0};
	struct multipart m = {.at = bytes, .end = bytes + length};
	m.delimiter = arena_printf(a, "\r\n--%s", boundary);
	if (!m.delimiter) return fault_memory(f);
	m.delimiter_length = strlen(m.delimiter);
	size_t first = m.delimiter_length - 2;
	if (length < first || memcmp(bytes, m.delimiter + 2, first) != 0) return bad_form(a, f);
	m.at += first;
	while (m.end - m.at >= 2 && memcmp(m.at, "\r\n", 2) == 0) {
		m.at += 2;
		enum err err = take_part(&m, a, input, upload, f);
		if (err != ERR_OK) return err;
	}
	return m.end - m.at >= 2 && memcmp(m.at, "--", 2) == 0 ? ERR_OK : bad_form(a, f);
}
