#include "http/openapi.h"

#include <string.h>

#include "base/text.h"

/* --- schemas of resources ----------------------------------------------------------- */

static void choices_schema(const struct field *f, struct doc *schema) {
	struct doc *list = doc_set_list(schema, "enum");
	for (const struct choice *c = f->choice; c && c->value; c++) doc_add_text(list, c->value);
}

static void field_schema(const struct field *f, struct doc *schema) {
	static const char *const type[] = {
	    [FIELD_TEXT] = "string",   [FIELD_NOTE] = "string",     [FIELD_TAG] = "string",
	    [FIELD_EMAIL] = "string",  [FIELD_PASSWORD] = "string", [FIELD_INTEGER] = "integer",
	    [FIELD_MONEY] = "string",  [FIELD_DAY] = "string",      [FIELD_LABEL_DATE] = "string",
	    [FIELD_CHOICE] = "string", [FIELD_YES_NO] = "boolean",  [FIELD_ID] = "integer",
	    [FIELD_ID_LIST] = "array", [FIELD_FILE] = "string",     [FIELD_DECIMAL] = "string",
	    [FIELD_TIME] = "string",   [FIELD_PIN] = "string",
	};
	doc_set_text(schema, "type", type[f->kind]);
	doc_set_text(schema, "title", f->label);
	if (f->help) doc_set_text(schema, "description", f->help);
	if (f->kind == FIELD_CHOICE) choices_schema(f, schema);
	if (f->kind == FIELD_DAY) doc_set_text(schema, "format", "date");
	if (f->kind == FIELD_EMAIL) doc_set_text(schema, "format", "email");
	if (f->kind == FIELD_TIME) doc_set_text(schema, "pattern", "^([01]\\d|2[0-3]):[0-5]\\d$");
	if (f->kind == FIELD_LABEL_DATE)
		doc_set_text(schema, "pattern", "^\\d{4}-\\d{2}(-\\d{2})?$");
	if (f->kind == FIELD_MONEY) doc_set_text(schema, "pattern", "^\\d+(\\.\\d{1,2})?$");
	if (f->kind == FIELD_FILE)
		doc_set_text(schema, "contentMediaType", "application/octet-stream");
	if (f->kind == FIELD_PIN) doc_set_text(schema, "pattern", "^\\d+$");
	if (f->kind == FIELD_DECIMAL) doc_set_text(schema, "pattern", "^\\d+(\\.\\d{1,3})?$");
	if (f->kind == FIELD_ID_LIST) doc_set_text(doc_set_map(schema, "items"), "type", "integer");
	bool is_text = f->kind == FIELD_TEXT || f->kind == FIELD_NOTE || f->kind == FIELD_TAG;
	if (is_text && f->max) doc_set_int(schema, "maxLength", f->max);
	if (f->kind == FIELD_INTEGER && f->max) {
		doc_set_int(schema, "minimum", f->min);
		doc_set_int(schema, "maximum", f->max);
	}
	if (f->example) doc_add_text(doc_set_list(schema, "examples"), f->example);
}

static void resource_schema(const struct resource *r, struct doc *schema, bool partial) {
	doc_set_text(schema, "type", "object");
	doc_set_bool(schema, "additionalProperties", false);
	struct doc *properties = doc_set_map(schema, "properties");
	struct doc *required = doc_list(schema->arena);
	for (size_t i = 0; i < r->field_count; i++) {
		const struct field *f = &r->field[i];
		field_schema(f, doc_set_map(properties, f->name));
		if (f->required && !partial && f->kind != FIELD_FILE)
			doc_add_text(required, f->name);
	}
	if (doc_count(required)) doc_set(schema, "required", required);
}

static const char *schema_name(const struct route *r, struct arena *a) {
	return r->partial ? arena_printf(a, "%s_change", r->resource->name) : r->resource->name;
}

/* --- operations ------------------------------------------------------------------------ */

/* "/inspections/:id/parts/:id" -> "/inspections/{id1}/parts/{id2}", parameters added. */
static const char *path_of(const char *pattern, struct doc *parameters) {
	struct arena *a = parameters->arena;
	struct buf b;
	int number = 0;
	buf_init(&b, 1000);
	while (*pattern) {
		if (*pattern != ':') {
			buf_add_char(&b, *pattern++);
			continue;
		}
		size_t length = strcspn(pattern, "/");
		bool is_id = strncmp(pattern, ":id", length) == 0;
		const char *name = arena_printf(a, "%s%d", is_id ? "id" : "word", ++number);
		buf_printf(&b, "{%s}", name);
		struct doc *p = doc_add_map(parameters);
		doc_set_text(p, "name", name);
		doc_set_text(p, "in", "path");
		doc_set_bool(p, "required", true);
		doc_set_text(doc_set_map(p, "schema"), "type", is_id ? "integer" : "string");
		pattern += length;
	}
	const char *path = arena_strdup(a, buf_text(&b));
	buf_release(&b);
	return path;
}

static void query_parameters(const struct route *r, struct doc *parameters) {
	for (const char *const *name = r->query; name && *name; name++) {
		struct doc *p = doc_add_map(parameters);
		doc_set_text(p, "name", *name);
		doc_set_text(p, "in", "query");
		doc_set_text(doc_set_map(p, "schema"), "type", "string");
	}
}

static void header_parameter(struct doc *parameters, const char *name, const char *words) {
	struct doc *p = doc_add_map(parameters);
	doc_set_text(p, "name", name);
	doc_set_text(p, "in", "header");
	doc_set_text(p, "description", words);
	doc_set_text(doc_set_map(p, "schema"), "type", "string");
}

static void request_body(const struct route *r, struct doc *operation) {
	if (!r->resource && !r->resource_of) return;
	struct doc *content = doc_set_map(doc_set_map(operation, "requestBody"), "content");
	/* A file comes in one way only. */
	static const char *const plain[] = {"application/json", "application/x-www-form-urlencoded",
					    NULL};
	static const char *const upload[] = {"multipart/form-data", NULL};
	for (const char *const *type = r->upload_bytes_max ? upload : plain; *type; type++) {
		struct doc *schema = doc_set_map(doc_set_map(content, *type), "schema");
		if (!r->resource) {
			/* Fields known at run time only: the check points of the part's list, the
			 * rules of the rule set. */
			doc_set_text(schema, "type", "object");
			doc_set_bool(schema, "additionalProperties", true);
		} else {
			doc_set_printf(schema, "$ref", "#/components/schemas/%s",
				       schema_name(r, operation->arena));
		}
	}
}

static void responses(const struct route *r, struct doc *operation) {
	struct doc *all = doc_set_map(operation, "responses");
	struct doc *good = doc_set_map(all, "200");
	doc_set_text(good, "description", "The document.");
	const char *ending = strrchr(r->pattern, '.'), *type = "application/json";
	if (text_equal(ending, ".csv")) type = "text/csv";
	if (text_equal(ending, ".jpg")) type = "image/jpeg";
	struct doc *schema = doc_set_map(doc_set_map(doc_set_map(good, "content"), type), "schema");
	doc_set_text(schema, "type", strcmp(type, "application/json") == 0 ? "object" : "string");
	if (r->method == METHOD_POST) {
		doc_set_text(doc_set_map(all, "201"), "description", "Made; Location says where.");
		doc_set_text(doc_set_map(all, "303"), "description",
			     "For forms: where to go next.");
	}
	struct doc *bad = doc_set_map(all, "default");
	doc_set_text(bad, "description", "A problem, as RFC 9457 describes it.");
	doc_set_text(
	    doc_set_map(doc_set_map(doc_set_map(bad, "content"), "application/problem+json"),
			"schema"),
	    "$ref", "#/components/schemas/problem");
}

static const char *operation_id(const struct route *r, struct arena *a) {
	char *id = arena_printf(a, "%s%s", r->method == METHOD_POST ? "post" : "get", r->pattern);
	for (char *at = id; at && *at; at++)
		if (strchr("/:.-", *at)) *at = '_';
	return id;
}

static void operation(const struct route *r, struct doc *paths) {
	struct arena *a = paths->arena;
	struct doc *parameters = doc_list(a);
	const char *path = path_of(r->pattern, parameters);
	struct doc *item = path ? (struct doc *)(uintptr_t)doc_get(paths, path) : NULL;
	if (!item) item = doc_set_map(paths, path ? path : "");
	struct doc *o = doc_set_map(item, r->method == METHOD_POST ? "post" : "get");
	doc_set_text(o, "operationId", operation_id(r, a));
	doc_set_text(o, "summary", r->summary);
	doc_set_printf(o, "description", "Needs the role %s or above.%s", role_word(r->role),
		       r->on_tablet ? " Only on an enrolled tablet." : "");
	query_parameters(r, parameters);
	if (r->method == METHOD_POST) {
		header_parameter(parameters, "Idempotency-Key",
				 "A key of your own: the same request with it is done once.");
		header_parameter(parameters, "If-Match",
				 "The ETag of the record a change speaks of.");
	}
	if (doc_count(parameters)) doc_set(o, "parameters", parameters);
	request_body(r, o);
	responses(r, o);
	struct doc *security = doc_set_list(o, "security");
	if (r->role == ROLE_NOBODY) return;
	doc_set_list(doc_add_map(security), "token");
	doc_set_list(doc_add_map(security), "session");
}

static void problem_schema(struct doc *schemas) {
	struct doc *s = doc_set_map(schemas, "problem");
	doc_set_text(s, "type", "object");
	struct doc *p = doc_set_map(s, "properties");
	doc_set_text(doc_set_map(p, "type"), "type", "string");
	doc_set_text(doc_set_map(p, "title"), "type", "string");
	doc_set_text(doc_set_map(p, "status"), "type", "integer");
	doc_set_text(doc_set_map(p, "detail"), "type", "string");
	struct doc *errors = doc_set_map(p, "errors");
	doc_set_text(errors, "type", "array");
	doc_set_text(doc_set_map(errors, "items"), "type", "object");
}

static void security_schemes(struct doc *components) {
	struct doc *schemes = doc_set_map(components, "securitySchemes");
	struct doc *token = doc_set_map(schemes, "token");
	doc_set_text(token, "type", "http");
	doc_set_text(token, "scheme", "bearer");
	struct doc *session = doc_set_map(schemes, "session");
	doc_set_text(session, "type", "apiKey");
	doc_set_text(session, "in", "cookie");
	doc_set_text(session, "name", "pegwarden_session");
}

struct doc *openapi_document(const struct route_table *table, size_t count, struct arena *a) {
	struct doc *d = doc_map(a);
	doc_set_text(d, "openapi", "3.1.0");
	struct doc *info = doc_set_map(d, "info");
	doc_set_text(info, "title", "Pegwarden");
	doc_set_text(info, "version", "1");
	doc_set_text(
	    info, "description",
	    "Inspection records of a fire department's protective clothing. Every address "
	    "answers with a page or, asked for application/json, with the document behind it.");
	struct doc *paths = doc_set_map(d, "paths");
	struct doc *components = doc_map(a), *schemas = doc_set_map(components, "schemas");
	problem_schema(schemas);
	for (size_t t = 0; t < count; t++)
		for (size_t i = 0; i < table[t].count; i++) {
			const struct route *r = &table[t].route[i];
			operation(r, paths);
			if (r->resource)
				resource_schema(r->resource,
						doc_set_map(schemas, schema_name(r, a)),
						r->partial);
		}
	security_schemes(components);
	doc_set(d, "components", components);
	return d;
}
