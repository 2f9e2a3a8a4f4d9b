/*
 * Renders templates for the comparison with another implementation of the
 * mustache specification: each line is {"template","partial","data"}, each
 * answer a JSON string, or null when the template is refused.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/json.h"
#include "http/template.h"

static void answer(const char *line, size_t length) {
	struct arena a;
	struct fault f = {0};
	struct doc *question = NULL;
	struct buf out, json;
	arena_init(&a, 16u << 20);
	buf_init(&out, 1u << 20);
	buf_init(&json, 4u << 20);
	enum err err = json_read(line, length, &a, &question, &f);
	struct doc *sources = doc_map(&a);
	doc_set_text(sources, "page", doc_text(question, "template"));
	doc_set_text(sources, "part", doc_text(question, "partial"));
	struct template_set *set = err == ERR_OK ? template_set_parse(sources, &f) : NULL;
	const struct doc *context[] = {doc_get(question, "data")};
	if (set && template_render(set, "page", context, 1, false, &out, &f) == ERR_OK) {
		buf_add_json(&json, buf_text(&out), out.length);
		puts(buf_text(&json));
	} else {
		puts("null");
	}
	template_set_free(set);
	buf_release(&out);
	buf_release(&json);
	arena_clear(&a);
}

int main(void) {
	char *line = NULL;
	size_t room = 0;
	ssize_t length;
	while ((length = getline(&line, &room, stdin)) > 0) answer(line, (size_t)length);
	free(line);
	return 0;
}
