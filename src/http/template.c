#include "http/template.h"

#include <dirent.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "base/arena.h"
#include "base/limits.h"
#include "base/text.h"

#define DEPTH_MAX 48        /* of contexts, and of partials in partials */
#define INDENT_CHARS_MAX 64 /* a partial that includes itself deeper and deeper stops here */
#define TEMPLATES_MAX 2000
#define TEMPLATE_BYTES_MAX (1024 * 1024)
#define SET_BYTES_MAX (64 * 1024 * 1024)

enum node_type { NODE_TEXT, NODE_VALUE, NODE_RAW, NODE_SECTION, NODE_INVERTED, NODE_PARTIAL };

struct node {
	enum node_type type;
	const char *text; /* NODE_TEXT: literal; else the name */
	size_t length;
	const char **part; /* of a dotted name, NULL-ended; NULL for "." */
	size_t end;        /* sections: index of the node after the section */
	const struct parsed *partial;
	size_t line;
};

struct parsed {
	const char *name;
	const char *indent;
	struct node *node;
	size_t count, room;
};

struct template_set {
	struct arena arena;
	struct doc *sources; /* name -> text */
	struct parsed *parsed[TEMPLATES_MAX];
	size_t count;
};

/* --- parsing ------------------------------------------------------------------- */

struct parsing {
	struct template_set *set;
	struct parsed *out;
	const char *source;
	size_t length, at;
	const char *open, *close; /* delimiters */
	size_t open_length, close_length;
	size_t section[DEPTH_MAX];
	size_t depth;
	struct fault *fault;
};

static size_t line_of(const struct parsing *p, size_t at) {
	size_t line = 1;
	for (size_t i = 0; i < at && i < p->length; i++) line += p->source[i] == '\n';
	return line;
}

static enum err syntax(const struct parsing *p, size_t at, const char *what) {
	return fault_set(p->fault, ERR_SYNTAX, NULL, "templates/%s.html line %zu: %s", p->out->name,
			 line_of(p, at), what);
}

static struct node *add_node(struct parsing *p, enum node_type type, const char *text,
			     size_t length) {
	struct parsed *out = p->out;
	if (out->count == out->room) {
		size_t room = out->room ? out->room * 2 : 16;
		struct node *wider = arena_array(&p->set->arena, struct node, room);
		if (!wider) return NULL;
		if (out->count) memcpy(wider, out->node, out->count * sizeof *wider);
		out->node = wider;
		out->room = room;
	}
	struct node *n = &out->node[out->count++];
	*n = (struct node){.type = type,
			   .text = arena_copy(&p->set->arena, text, length),
			   .length = length,
			   .line = line_of(p, p->at)};
	return n;
}

static void add_text(struct parsing *p, size_t from, size_t to) {
	if (to > from) add_node(p, NODE_TEXT, p->source + from, to - from);
}

/* "a.b.c" -> {"a","b","c",NULL}; "." -> NULL. */
static const char **split_name(struct arena *a, const char *name) {
	if (strcmp(name, ".") == 0) return NULL;
	size_t count = 1;
	for (const char *at = name; *at; at++) count += *at == '.';
	const char **part = arena_array(a, const char *, count + 1);
	for (size_t i = 0; part && i < count; i++) {
		size_t length = strcspn(name, ".");
		part[i] = arena_copy(a, name, length);
		name += length + 1;
	}
	return part;
}

static bool is_blank(const char *from, const char *to) {
	for (; from < to; from++)
		if (*from != ' ' && *from != '\t') return false;
	return true;
}

/* A tag alone on its line takes the line with it: *from and *to become its bounds. */
static bool stand_alone(const struct parsing *p, size_t *from, size_t *to) {
	size_t begin = *from, end = *to;
	while (begin > 0 && p->source[begin - 1] != '\n') begin--;
	if (!is_blank(p->source + begin, p->source + *from)) return false;
	while (end < p->length && (p->source[end] == ' ' || p->source[end] == '\t')) end++;
	if (end < p->length && p->source[end] == '\r' && end + 1 < p->length &&
	    p->source[end + 1] == '\n')
		end++;
	if (end < p->length && p->source[end] != '\n') return false;
	*from = begin;
	*to = end < p->length ? end + 1 : end;
	return true;
}

static const char *trimmed(struct arena *a, const char *from, size_t length) {
	while (length && strchr(" \t\r\n", from[0])) {
		from++;
		length--;
	}
	while (length && strchr(" \t\r\n", from[length - 1])) length--;
	return arena_copy(a, from, length);
}

static enum err set_delimiters(struct parsing *p, const char *inside, size_t length) {
	const char *text = trimmed(&p->set->arena, inside, length);
	if (!text) return fault_memory(p->fault);
	size_t first = strcspn(text, " \t");
	const char *second = text + first + strspn(text + first, " \t");
	if (!first || !*second || strchr(second, ' ')) return syntax(p, p->at, "bad delimiters");
	p->open = arena_copy(&p->set->arena, text, first);
	p->close = second;
	p->open_length = first;
	p->close_length = strlen(second);
	return ERR_OK;
}

static enum err close_section(struct parsing *p, const char *name) {
	if (!p->depth) return syntax(p, p->at, "a section is closed that was not opened");
	struct node *n = &p->out->node[p->section[--p->depth]];
	if (strcmp(n->text, name) != 0) return syntax(p, p->at, "sections are closed out of order");
	n->end = p->out->count;
	return ERR_OK;
}

static struct parsed *parse_template(struct template_set *set, const char *name, const char *indent,
				     struct fault *f);

static enum err add_tag(struct parsing *p, char sigil, const char *name, const char *indent) {
	if (sigil == '/') return close_section(p, name);
	if (!*name || strpbrk(name, " \t\r\n"))
		return syntax(p, p->at, "a tag without a proper name");
	enum node_type type = NODE_VALUE;
	if (sigil == '{' || sigil == '&') type = NODE_RAW;
	if (sigil == '#') type = NODE_SECTION;
	if (sigil == '^') type = NODE_INVERTED;
	if (sigil == '>') type = NODE_PARTIAL;
	struct node *n = add_node(p, type, name, strlen(name));
	if (!n) return fault_memory(p->fault);
	if (type == NODE_PARTIAL) {
		size_t index = p->out->count - 1;
		const struct parsed *partial = parse_template(p->set, name, indent, p->fault);
		p->out->node[index].partial = partial;
		if (!partial && arena_failed(&p->set->arena)) return fault_memory(p->fault);
		return partial ? ERR_OK : syntax(p, p->at, "a partial that cannot be used");
	}
	n->part = split_name(&p->set->arena, name);
	if (type != NODE_SECTION && type != NODE_INVERTED) return ERR_OK;
	if (p->depth == DEPTH_MAX) return syntax(p, p->at, "sections nested too deeply");
	p->section[p->depth++] = p->out->count - 1;
	return ERR_OK;
}

/* The tag that begins at `start`; text from p->at up to it is added first. */
static enum err parse_tag(struct parsing *p, size_t start) {
	size_t inside = start + p->open_length;
	char sigil = inside < p->length ? p->source[inside] : '\0';
	if (!sigil || !strchr("{&#^/!>=", sigil)) sigil = '\0';
	if (sigil) inside++;
	const char *end = NULL, *extra = sigil == '{' ? "}" : sigil == '=' ? "=" : "";
	for (const char *at = p->source + inside; !end;) {
		end = strstr(at, p->close);
		if (!end) return syntax(p, start, "a tag is not closed");
		/* "}}}" closes a triple, "=}}" closes set-delimiters. */
		if (*extra == '}' && end[p->close_length] != '}') {
			at = end + 1;
			end = NULL;
		}
	}
	size_t content = (size_t)(end - p->source) - inside;
	size_t stop = (size_t)(end - p->source) + p->close_length + (*extra == '}');
	if (*extra == '=') {
		if (!content || p->source[inside + content - 1] != '=')
			return syntax(p, start, "bad delimiters");
		content--;
	}
	size_t from = start, to = stop;
	bool alone = sigil && strchr("#^/!>=", sigil) && stand_alone(p, &from, &to);
	const char *indent =
	    alone && sigil == '>' ? arena_copy(&p->set->arena, p->source + from, start - from) : "";
	add_text(p, p->at, from);
	const char *name = trimmed(&p->set->arena, p->source + inside, content);
	if (!name || !indent) return fault_memory(p->fault);
	enum err err = ERR_OK;
	if (sigil == '=') err = set_delimiters(p, p->source + inside, content);
	else if (sigil != '!') err = add_tag(p, sigil, name, indent);
	p->at = to;
	return err;
}

static enum err parse_source(struct parsing *p) {
	enum err err = ERR_OK;
	while (err == ERR_OK) {
		const char *open = strstr(p->source + p->at, p->open);
		if (!open) break;
		err = parse_tag(p, (size_t)(open - p->source));
	}
	if (err != ERR_OK) return err;
	add_text(p, p->at, p->length);
	if (p->depth) return syntax(p, p->length, "a section is not closed");
	return arena_failed(&p->set->arena) ? fault_memory(p->fault) : ERR_OK;
}

/* Every line of the partial begins with the white space before its tag; empty lines stay empty. */
static const char *indented(struct arena *a, const char *source, const char *indent) {
	if (!*indent) return source;
	struct buf b;
	buf_init(&b, TEMPLATE_BYTES_MAX);
	for (const char *at = source; *at;) {
		size_t line = strcspn(at, "\n");
		line += at[line] == '\n';
		if (at[0] != '\n') buf_add_text(&b, indent);
		buf_add(&b, at, line);
		at += line;
	}
	if (buf_failed(&b)) arena_fail(a);
	char *text = arena_copy(a, buf_text(&b), b.length);
	buf_release(&b);
	return text;
}

static struct parsed *parse_template(struct template_set *set, const char *name, const char *indent,
				     struct fault *f) {
	if (strlen(indent) > INDENT_CHARS_MAX) indent = "";
	for (size_t i = 0; i < set->count; i++)
		if (text_equal(set->parsed[i]->name, name) &&
		    text_equal(set->parsed[i]->indent, indent))
			return set->parsed[i];
	const char *source = doc_text(set->sources, name);
	if (!source) {
		fault_set(f, ERR_SYNTAX, NULL, "There is no template %s.html.", name);
		return NULL;
	}
	struct parsed *out = arena_new(&set->arena, struct parsed);
	source = indented(&set->arena, source, indent);
	if (!out || !source || set->count == TEMPLATES_MAX) return NULL;
	*out = (struct parsed){.name = arena_strdup(&set->arena, name), .indent = indent};
	set->parsed[set->count++] = out;
	struct parsing p = {.set = set,
			    .out = out,
			    .source = source,
			    .length = strlen(source),
			    .open = "{{",
			    .close = "}}",
			    .open_length = 2,
			    .close_length = 2,
			    .fault = f};
	return parse_source(&p) == ERR_OK ? out : NULL;
}

static struct template_set *new_set(struct fault *f) {
	struct template_set *set = calloc(1, sizeof *set);
	if (!set) {
		fault_memory(f);
		return NULL;
	}
	arena_init(&set->arena, SET_BYTES_MAX);
	set->sources = doc_map(&set->arena);
	return set;
}

static struct template_set *parse_all(struct template_set *set, struct fault *f) {
	bool failed = false;
	for (const struct doc *d = set->sources->first; d && !failed; d = d->next)
		failed = !parse_template(set, d->key, "", f);
	if (!failed) return set;
	fault_set(f, ERR_MEMORY, NULL, "The templates do not fit into memory.");
	template_set_free(set);
	return NULL;
}

struct template_set *template_set_parse(const struct doc *sources, struct fault *f) {
	struct template_set *set = new_set(f);
	if (!set) return NULL;
	for (const struct doc *d = sources->first; d; d = d->next)
		doc_set_copy(set->sources, arena_strdup(&set->arena, d->key), d->text);
	return parse_all(set, f);
}

/* --- reading a folder --------------------------------------------------------------- */

static enum err read_source(struct template_set *set, const char *path, const char *name,
			    struct fault *f) {
	struct buf text;
	buf_init(&text, TEMPLATE_BYTES_MAX);
	enum err err = buf_add_file(&text, path, f);
	if (err == ERR_OK && !text_is_utf8(buf_text(&text), text.length))
		err = fault_set(f, ERR_SYNTAX, NULL, "%s is not UTF-8.", path);
	doc_set_copy(set->sources, arena_strdup(&set->arena, name), buf_text(&text));
	buf_release(&text);
	return err;
}

static enum err read_folder(struct template_set *set, const char *folder, const char *prefix,
			    int depth, struct fault *f) {
	DIR *dir = opendir(folder);
	if (!dir)
		return fault_set(f, err_of_errno(errno), NULL,
				 "The templates in %s cannot be read: %s.", folder,
				 strerror(errno));
	enum err err = ERR_OK;
	struct dirent *entry;
	while (err == ERR_OK && (entry = readdir(dir)) != NULL) {
		if (entry->d_name[0] == '.') continue;
		char *path = arena_printf(&set->arena, "%s/%s", folder, entry->d_name);
		struct stat status;
		if (!path || stat(path, &status) != 0) continue;
		size_t length = strlen(entry->d_name);
		if (S_ISDIR(status.st_mode) && depth < 3) {
			char *inner = arena_printf(&set->arena, "%s%s/", prefix, entry->d_name);
			err = inner ? read_folder(set, path, inner, depth + 1, f) : fault_memory(f);
		} else if (length > 5 && strcmp(entry->d_name + length - 5, ".html") == 0) {
			char *name = arena_printf(&set->arena, "%s%.*s", prefix, (int)length - 5,
						  entry->d_name);
			err = name ? read_source(set, path, name, f) : fault_memory(f);
		}
	}
	closedir(dir);
	return err;
}

struct template_set *template_set_load(const char *folder, struct fault *f) {
	struct template_set *set = new_set(f);
	if (!set) return NULL;
	enum err err = read_folder(set, folder, "", 0, f);
	if (err == ERR_OK && arena_failed(&set->arena)) err = fault_memory(f);
	if (err == ERR_OK) return parse_all(set, f);
	template_set_free(set);
	return NULL;
}

void template_set_free(struct template_set *set) {
	if (!set) return;
	arena_clear(&set->arena);
	free(set);
}

static const struct parsed *find_parsed(const struct template_set *set, const char *name) {
	for (size_t i = 0; i < set->count; i++)
		if (!*set->parsed[i]->indent && strcmp(set->parsed[i]->name, name) == 0)
			return set->parsed[i];
	return NULL;
}

bool template_exists(const struct template_set *set, const char *name) {
	return find_parsed(set, name) != NULL;
}

/* --- rendering ------------------------------------------------------------------------ */

struct rendering {
	const struct doc *context[DEPTH_MAX];
	size_t depth;
	size_t partials;
	bool strict;
	struct buf *out;
	struct fault *fault;
};

/* The value a name means, from the innermost context outwards; *known tells a
 * null value from an unknown name. */
static const struct doc *resolve(const struct rendering *r, const struct node *n, bool *known) {
	*known = true;
	if (!n->part) return r->depth ? r->context[r->depth - 1] : NULL;
	const struct doc *d = NULL;
	for (size_t i = r->depth; i-- > 0 && !d;) d = doc_get(r->context[i], n->part[0]);
	*known = d != NULL;
	for (const char **part = n->part + 1; d && *part; part++) {
		bool is_map = d->type == DOC_MAP;
		d = doc_get(d, *part);
		if (!d && is_map) *known = false;
	}
	return d;
}

static void write_value(const struct doc *d, bool raw, struct buf *out) {
	if (!d) return;
	switch (d->type) {
	case DOC_TEXT:
		if (raw) buf_add(out, d->text, d->count);
		else buf_add_html(out, d->text, d->count);
		break;
	case DOC_INT: buf_add_int(out, d->integer); break;
	case DOC_BOOL: buf_add_text(out, d->integer ? "true" : "false"); break;
	default: break;
	}
}

static enum err render_nodes(struct rendering *r, const struct parsed *t, size_t from, size_t to);

static enum err render_in(struct rendering *r, const struct parsed *t, const struct node *n,
			  const struct doc *context) {
	if (r->depth == DEPTH_MAX)
		return fault_set(r->fault, ERR_INTERNAL, NULL, "%s: nested too deeply", t->name);
	r->context[r->depth++] = context;
	enum err err = render_nodes(r, t, (size_t)(n - t->node) + 1, n->end);
	r->depth--;
	return err;
}

static enum err render_section(struct rendering *r, const struct parsed *t, const struct node *n,
			       const struct doc *value) {
	if (!doc_truth(value)) return ERR_OK;
	if (value->type != DOC_LIST) return render_in(r, t, n, value);
	enum err err = ERR_OK;
	for (const struct doc *item = value->first; item && err == ERR_OK; item = item->next)
		err = render_in(r, t, n, item);
	return err;
}

static enum err render_partial(struct rendering *r, const struct node *n) {
	if (r->partials == DEPTH_MAX)
		return fault_set(r->fault, ERR_INTERNAL, NULL, "%s: partials nested too deeply",
				 n->text);
	r->partials++;
	enum err err = render_nodes(r, n->partial, 0, n->partial->count);
	r->partials--;
	return err;
}

static enum err render_nodes(struct rendering *r, const struct parsed *t, size_t from, size_t to) {
	enum err err = ERR_OK;
	for (size_t i = from; i < to && err == ERR_OK; i++) {
		const struct node *n = &t->node[i];
		if (n->type == NODE_TEXT) {
			buf_add(r->out, n->text, n->length);
			continue;
		}
		if (n->type == NODE_PARTIAL) {
			err = render_partial(r, n);
			continue;
		}
		bool known;
		const struct doc *value = resolve(r, n, &known);
		if (!known && r->strict)
			return fault_set(r->fault, ERR_INTERNAL, NULL,
					 "templates/%s.html line %zu: nothing is called %s",
					 t->name, n->line, n->text);
		if (n->type == NODE_SECTION) err = render_section(r, t, n, value);
		else if (n->type != NODE_INVERTED) write_value(value, n->type == NODE_RAW, r->out);
		else if (!doc_truth(value)) err = render_nodes(r, t, i + 1, n->end);
		if (n->end) i = n->end - 1;
	}
	return err;
}

enum err template_render(const struct template_set *set, const char *name,
			 const struct doc *const *context, size_t count, bool strict,
			 struct buf *out, struct fault *f) {
	const struct parsed *t = find_parsed(set, name);
	if (!t) return fault_set(f, ERR_INTERNAL, NULL, "There is no template %s.html.", name);
	struct rendering r = {.strict = strict, .out = out, .fault = f};
	for (size_t i = 0; i < count && r.depth < DEPTH_MAX; i++)
		if (context[i]) r.context[r.depth++] = context[i];
	enum err err = render_nodes(&r, t, 0, t->count);
	if (err == ERR_OK && buf_error(out) == ERR_MEMORY) err = fault_memory(f);
	if (err == ERR_OK && buf_failed(out))
		err = fault_set(f, ERR_TOO_LARGE, NULL, "The page is too long.");
	return err;
}
