/*
 * What a resource looks like: a table of fields, described once.
 *
 * The table drives the validation of forms, JSON bodies and CSV rows, the
 * error messages, the form inputs, the CSV headers and the OpenAPI document.
 * A resource declares an enum of its fields and a const table indexed by it:
 *
 *     enum { STATION_CODE, STATION_NAME, STATION_FIELDS };
 *     static const struct field station_field[STATION_FIELDS] = {
 *         [STATION_CODE] = {.name = "code", .label = "Code", .kind = FIELD_TEXT,
 *                           .required = true, .max = 12},
 *         ...
 *     };
 *     const struct resource station_resource = {"station", "stations", station_field,
 * STATION_FIELDS};
 *
 * After validation each field is absent, invalid or valid; values are read by
 * index through typed accessors, so a misspelt name does not compile.
 */
#ifndef PEGWARDEN_HTTP_FIELD_H
#define PEGWARDEN_HTTP_FIELD_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/day.h"
#include "base/doc.h"
#include "base/fault.h"

enum field_kind {
	FIELD_TEXT, /* one line; max = characters (0: LIMIT_LINE_CHARS_MAX) */
	FIELD_NOTE, /* several lines */
	FIELD_TAG,  /* what a barcode holds: printable, no spaces at the ends */
	FIELD_EMAIL,
	FIELD_PASSWORD,   /* never shown again, never trimmed */
	FIELD_PIN,        /* digits, min to max of them; never shown again */
	FIELD_INTEGER,    /* min to max */
	FIELD_MONEY,      /* hundredths of the department's currency, min to max */
	FIELD_DECIMAL,    /* thousandths, 0 to max */
	FIELD_DAY,        /* YYYY-MM-DD */
	FIELD_TIME,       /* of day, HH:MM */
	FIELD_LABEL_DATE, /* YYYY-MM or YYYY-MM-DD */
	FIELD_CHOICE,     /* one of a closed set of words */
	FIELD_YES_NO,     /* "yes"/"no", JSON true/false; an unticked box is absent = no answer */
	FIELD_ID,         /* the id of a record; options come from the handler */
	FIELD_ID_LIST,    /* the same name repeated in forms, an array in JSON */
	FIELD_FILE        /* multipart upload; its bytes are taken from the request */
};

struct choice {
	const char *value; /* what is stored and sent; NULL ends the array */
	const char *label; /* what people read */
};

struct field {
	const char *name; /* snake_case; also the CSV header and the JSON member */
	const char *label;
	const char *help; /* one short sentence under the input, or NULL */
	enum field_kind kind;
	bool required;
	bool fixed;                  /* may be set at creation only */
	int64_t min, max;            /* by kind; both 0: the kind's own bounds */
	const struct choice *choice; /* FIELD_CHOICE */
	bool in_sight;               /* of a FIELD_CHOICE every choice is shown: one tap */
	bool picked;                 /* a FIELD_TAG that the page offers as choices */
	const char *example;         /* for CSV templates and OpenAPI */
};

struct resource {
	const char *name;   /* "component": singular, for messages and OpenAPI */
	const char *plural; /* "components": the path segment and the CSV kind */
	const struct field *field;
	size_t field_count;
};

enum value_state { VALUE_ABSENT, VALUE_INVALID, VALUE_VALID };

struct value {
	enum value_state state;
	const char *raw;  /* what was typed, for showing it again; NULL when absent */
	const char *text; /* normalized; for choices the stored word; days as YYYY-MM-DD */
	/* INTEGER, MONEY, DECIMAL, ID, YES_NO (0/1), CHOICE (index), DAY (a day), TIME (minutes
	 * since midnight) */
	int64_t number;
	const int64_t *list;
	size_t list_count;
};

/* What came in, before validation: names and values in the order sent. */
struct input_pair {
	const char *name;
	const char *text; /* NULL for a JSON null: means "no value" */
	size_t length;    /* bytes of text */
	enum { INPUT_STRING, INPUT_INTEGER, INPUT_BOOLEAN, INPUT_NULL, INPUT_OTHER } json_kind;
	bool from_json; /* JSON is typed: a number is not a text */
};
struct input {
	struct input_pair *pair;
	size_t count;
};

/* How the values are read. */
struct field_reading {
	enum date_order date_order; /* CSV imports may allow d/m/y or m/d/y */
	bool partial; /* a change of an existing record: required fields may be absent */
};

/*
 * Validates input against the table into value[resource->field_count].
 * An undeclared name, a repeated single-value name, a wrong JSON type, bad
 * UTF-8, a control character, a value out of bounds: each adds one fault with
 * the field's name. Names beginning with "_" are the mechanics' own and left
 * alone. An empty text counts as absent for optional fields (and, on a change,
 * as "clear it": state VALID, text NULL). Returns ERR_INVALID when any fault.
 */
enum err fields_read(const struct resource *r, const struct input *in,
		     const struct field_reading *how, struct arena *a, struct value *value,
		     struct fault_list *faults) MUST_CHECK;

/* Typed reading. What is invalid counts as absent: a form that is shown again may hold it. */
bool value_given(const struct value *v);
const char *value_text(const struct value *v);            /* NULL when absent or cleared */
int64_t value_int(const struct value *v, int64_t absent); /* also money, id, choice index */
bool value_yes(const struct value *v);
day value_day(const struct value *v);

/*
 * The inputs of a form as a document list, one map a field, which the partial
 * parts/field renders:
 *   name label help value error required, max_chars, id ("f-" + name)
 *   is_text is_note is_select is_radio is_checkbox is_day is_password is_file is_email,
 *   is_in_sight (a radio button a line), input_type inputmode,
 *   options [{value label selected}]
 *   stored: the stored value, when somebody else changed it meanwhile
 * current: the record's present values by field name, or NULL for a new one.
 * value: what was typed in the request being answered, or NULL.
 */
struct doc *fields_form(const struct resource *r, struct arena *a, const struct doc *current,
			const struct value *value, const struct fault_list *faults, bool stale);
/* Gives a FIELD_ID its options: list of maps with "id" and "label"; a FIELD_TAG with "value" and
 * "label" becomes a choice. */
void fields_form_options(struct doc *form, const char *name, const struct doc *options);
/* Nothing is chosen in it: nobody can take back what is chosen among buttons. */
void fields_form_clear(struct doc *form, const char *name);
/* Leaves a field out of the form. */
void fields_form_remove(struct doc *form, const char *name);

/* Nothing of it may be shown, kept or sent along. */
static inline bool field_is_secret(const struct field *f) {
	return f->kind == FIELD_PASSWORD || f->kind == FIELD_PIN;
}
/* The field of that name, or NULL. r may be NULL. */
const struct field *resource_field(const struct resource *r, const char *name);

/* The label of a choice's stored word; the word itself when unknown. */
const char *choice_label(const struct choice *choice, const char *value);

#endif
