#include "handlers/import_row.h"

#include <stdarg.h>

#include "base/text.h"
#include "store/provider.h"
#include "store/retirement.h"

const char *import_text(const struct import_row *r, size_t field) {
	return value_text(&r->value[field]);
}

bool import_yes(const struct import_row *r, size_t field, bool absent) {
	return value_int(&r->value[field], absent) != 0;
}

enum err import_fault(struct import_row *r, size_t field, const char *format, ...) {
	va_list args;
	va_start(args, format);
	const char *text = arena_vprintf(r->arena, format, args);
	va_end(args);
	fault_list_add(r->faults, r->arena, r->resource->field[field].name, "%s", text ? text : "");
	return ERR_INVALID;
}

/* The record a natural key names. */
enum err import_reference(struct import_row *r, size_t field,
			  enum err (*find)(struct store *, const char *, int64_t *, struct fault *),
			  int64_t *id) {
	const char *key = import_text(r, field);
	*id = 0;
	if (!key) return ERR_OK;
	enum err err = find(r->store, key, id, r->fault);
	if (err != ERR_OK || *id) return err;
	return import_fault(r, field,
			    "There is no %s \"%s\" on record. Import that first, or correct it.",
			    r->resource->field[field].name, key);
}

enum err import_check_serves(struct import_row *r, size_t field, int64_t component,
			     const char *on) {
	bool was = false;
	enum err err = retirement_was_before(r->store, component, on, &was, r->fault);
	if (err != ERR_OK || !was) return err;
	return import_fault(r, field,
			    "It was retired before that day, and what is retired is issued to "
			    "nobody, inspected, tested and repaired no more.");
}

static bool says(const struct value *v, const struct doc *stored) {
	if (stored->type == DOC_TEXT) return text_equal(stored->text, v->text);
	if (stored->type == DOC_NULL) return v->text == NULL;
	return v->text && stored->integer == v->number;
}

/* The first value given that the stored row has otherwise; field_count: none. What the row
 * does not have are columns that make other records. */
static size_t first_other(const struct import_row *r, const struct doc *row) {
	size_t i = 0;
	for (; i < r->resource->field_count; i++) {
		const struct doc *stored = doc_get(row, r->resource->field[i].name);
		if (stored && value_given(&r->value[i]) && !says(&r->value[i], stored)) break;
	}
	return i;
}

enum err import_on_record(struct import_row *r, const struct doc *row) {
	size_t i = first_other(r, row);
	r->unchanged = i == r->resource->field_count;
	if (r->unchanged) return ERR_OK;
	return import_fault(r, i,
			    "This is on record with other values, and history is not rewritten. "
			    "Correct the row, or take it out.");
}

void import_keep(struct import_row *r, const struct doc *row, size_t fields) {
	for (size_t i = 0; row && i < fields; i++) {
		const struct doc *stored = doc_get(row, r->resource->field[i].name);
		struct value *v = &r->value[i];
		if (value_given(v) || !stored || stored->type == DOC_NULL) continue;
		*v = stored->type == DOC_TEXT
			 ? (struct value){.state = VALUE_VALID, .text = stored->text}
			 : (struct value){
			       .state = VALUE_VALID, .text = "", .number = stored->integer};
	}
}

/* For a record that is there: leave it, change it, or refuse. */
enum err import_existing(struct import_row *r, const struct doc *row, size_t key) {
	r->unchanged = first_other(r, row) == r->resource->field_count;
	if (r->unchanged || r->update) return ERR_OK;
	return import_fault(
	    r, key,
	    "\"%s\" is on record with other values. Say --update to change it, or take the "
	    "row out.",
	    import_text(r, key));
}

/* --- who did it --- */

enum err import_performer(struct import_row *r, size_t column, int64_t provider, const char *on,
			  struct performer *who) {
	struct doc *row = NULL;
	const char *given = import_text(r, column);
	int word = word_find(performer_class_word, PERFORMER_CLASS_COUNT, given);
	*who = (struct performer){.name = "Who did it",
				  .class = word < 0 ? PERFORMER_MEMBER : (enum performer_class)word,
				  .is_classless = word < 0};
	if (!provider) return ERR_OK;
	enum err err = provider_get(r->store, provider, r->arena, &row, r->fault);
	if (err != ERR_OK) return err;
	who->name = doc_text(row, "name");
	return given ? ERR_OK
		     : performer_provider(r->store, row, day_parse(on), r->arena, who, r->fault);
}

enum err import_check_performer(struct import_row *r, size_t column, const struct performer *who,
				enum work work) {
	const char *no = performer_refusal(who, work, r->arena);
	return no ? import_fault(r, column,
				 "%s Where it was of another class on that day, say so in "
				 "performer_class; unknown where nobody knows.",
				 no)
		  : ERR_OK;
}
