/*
 * Logic-less templates: the open mustache specification without lambdas.
 *
 * Interpolation {{name}} (HTML-escaped), {{{name}}} and {{&name}} (raw: only
 * for markup the program computed), dotted names, {{.}}, sections {{#name}},
 * inverted sections {{^name}}, partials {{> name}} with the indentation of a
 * stand-alone partial, comments {{! }}, set delimiters. All templates of a
 * folder are parsed once at start; a set is immutable then and may be used
 * from any thread. Partials are named by their path: {{> parts/field}}.
 */
#ifndef PEGWARDEN_HTTP_TEMPLATE_H
#define PEGWARDEN_HTTP_TEMPLATE_H

#include <stdbool.h>

#include "base/buf.h"
#include "base/doc.h"
#include "base/fault.h"

struct template_set;

/* Reads every *.html below folder. A syntax error, or a partial that does not
 * exist, is a fault naming file and line. */
struct template_set *template_set_load(const char *folder, struct fault *f);
/* For tests: sources given as a map name -> text. */
struct template_set *template_set_parse(const struct doc *sources, struct fault *f);
void template_set_free(struct template_set *set);
bool template_exists(const struct template_set *set, const char *name);

/*
 * Renders with a stack of contexts, context[count - 1] innermost. In strict
 * mode a name that no context knows is a fault (a name known as null is not).
 */
enum err template_render(const struct template_set *set, const char *name,
			 const struct doc *const *context, size_t count, bool strict,
			 struct buf *out, struct fault *f) MUST_CHECK;

#endif
