/*
 * A field table as the inputs of a form.
 */
#include <string.h>

#include "base/text.h"
#include "http/field.h"

/* How each kind is shown: which flag the partial looks for, and the HTML input type. */
static const struct {
	const char *flag;
	const char *input_type;
	const char *inputmode;
} shown[] = {
    [FIELD_TEXT] = {"is_line", "text", NULL},
    [FIELD_NOTE] = {"is_note", NULL, NULL},
    [FIELD_TAG] = {"is_line", "text", NULL},
    [FIELD_EMAIL] = {"is_line", "email", "email"},
    [FIELD_PASSWORD] = {"is_password", "password", NULL},
    [FIELD_PIN] = {"is_password", "password", "numeric"},
    [FIELD_INTEGER] = {"is_line", "text", "numeric"},
    [FIELD_MONEY] = {"is_line", "text", "decimal"},
    [FIELD_DECIMAL] = {"is_line", "text", "decimal"},
    [FIELD_DAY] = {"is_line", "date", NULL},
    [FIELD_TIME] = {"is_line", "time", NULL},
    [FIELD_LABEL_DATE] = {"is_line", "text", NULL},
    [FIELD_CHOICE] = {"is_select", NULL, NULL},
    [FIELD_YES_NO] = {"is_radio", NULL, NULL},
    [FIELD_ID] = {"is_select", NULL, NULL},
    [FIELD_ID_LIST] = {"is_checks", NULL, NULL},
    [FIELD_FILE] = {"is_file", "file", NULL},
};

static const char *const flags[] = {"is_line",  "is_note",   "is_password", "is_select",
				    "is_radio", "is_checks", "is_file",     NULL};

static const char *flag_of(const struct field *f) {
	return f->in_sight ? "is_radio" : shown[f->kind].flag;
}

/* The text an input starts with: what was typed, else what is stored. */
static const char *stored_text(const struct field *f, const struct doc *current, struct arena *a) {
	const struct doc *d = doc_get(current, f->name);
	if (!d) return NULL;
	if (d->type == DOC_TEXT) return d->text;
	if (d->type == DOC_BOOL || (d->type == DOC_INT && f->kind == FIELD_YES_NO))
		return d->integer ? "yes" : "no";
	if (d->type != DOC_INT) return NULL;
	if (f->kind == FIELD_MONEY)
		return arena_printf(a, "%lld.%02lld", (long long)(d->integer / 100),
				    (long long)(d->integer % 100));
	if (f->kind == FIELD_DECIMAL)
		return arena_printf(a, "%lld.%03lld", (long long)(d->integer / 1000),
				    (long long)(d->integer % 1000));
	return arena_printf(a, "%lld", (long long)d->integer);
}

static void add_option(struct doc *options, const char *id, size_t number, const char *value,
		       const char *label, const char *chosen) {
	struct doc *o = doc_add_map(options);
	doc_set_text(o, "value", value);
	doc_set_text(o, "label", label);
	doc_set_printf(o, "option_id", "%s-%zu", id, number);
	doc_set_bool(o, "is_selected", text_equal(value, chosen));
}

static void add_options(const struct field *f, struct doc *options, const char *id,
			const char *chosen) {
	static const struct choice yes_no[] = {{"yes", "Yes"}, {"no", "No"}, {NULL, NULL}};
	const struct choice *choice = f->kind == FIELD_YES_NO ? yes_no : f->choice;
	size_t number = 0;
	for (const struct choice *c = choice; c && c->value; c++)
		add_option(options, id, ++number, c->value, c->label, chosen);
}

static void add_input(struct doc *form, const struct field *f, struct arena *a,
		      const struct doc *current, const struct value *value,
		      const struct fault_list *faults, bool stale) {
	struct doc *m = doc_add_map(form);
	const char *stored = stored_text(f, current, a);
	const char *text = value && value->raw ? value->raw : stored;
	if (field_is_secret(f)) text = NULL;
	const char *id = arena_printf(a, "f-%s", f->name);
	doc_set_text(m, "name", f->name);
	doc_set_text(m, "id", id);
	doc_set_text(m, "label", f->label);
	doc_set_text(m, "help", f->help);
	doc_set_text(m, "value", text ? text : "");
	doc_set_text(m, "error", faults ? fault_list_find(faults, f->name) : NULL);
	bool differs = stale && !text_equal(text_empty(text) ? NULL : text, stored);
	doc_set_text(m, "stored", differs ? (stored ? stored : "(nothing)") : NULL);
	doc_set_bool(m, "required", f->required);
	doc_set_bool(m, "has_hint", f->help || (faults && fault_list_find(faults, f->name)));
	doc_set_text(m, "input_type", shown[f->kind].input_type);
	doc_set_text(m, "inputmode", shown[f->kind].inputmode);
	if ((f->kind == FIELD_TEXT || f->kind == FIELD_NOTE || f->kind == FIELD_TAG) && f->max)
		doc_set_int(m, "max_chars", f->max);
	else doc_set_null(m, "max_chars");
	for (const char *const *flag = flags; *flag; flag++)
		doc_set_bool(m, *flag, strcmp(*flag, flag_of(f)) == 0);
	doc_set_bool(m, "is_in_sight", f->in_sight);
	doc_set_bool(m, "is_new_password", f->kind == FIELD_PASSWORD && f->min > 0);
	doc_set_bool(m, "is_pin", f->kind == FIELD_PIN);
	add_options(f, doc_set_list(m, "options"), id, text);
}

struct doc *fields_form(const struct resource *r, struct arena *a, const struct doc *current,
			const struct value *value, const struct fault_list *faults, bool stale) {
	struct doc *form = doc_list(a);
	for (size_t i = 0; i < r->field_count; i++) {
		const struct field *f = &r->field[i];
		if (f->fixed && current) continue;
		add_input(form, f, a, current, value ? &value[i] : NULL, faults, stale);
	}
	return form;
}

static struct doc *find_input(struct doc *form, const char *name) {
	for (struct doc *m = form ? form->first : NULL; m; m = m->next)
		if (text_equal(doc_text(m, "name"), name)) return m;
	return NULL;
}

void fields_form_options(struct doc *form, const char *name, const struct doc *options) {
	struct doc *m = find_input(form, name);
	if (!m) return;
	struct doc *list = doc_set_list(m, "options");
	const char *chosen = doc_text(m, "value"), *id = doc_text(m, "id");
	size_t number = 0;
	doc_set_bool(m, "is_line", false); /* a tag becomes a choice too */
	doc_set_bool(m, "is_select", !doc_bool(m, "is_checks"));
	for (const struct doc *o = options->first; o; o = o->next) {
		const char *value = doc_text(o, "value");
		if (!value) value = arena_printf(m->arena, "%lld", (long long)doc_int(o, "id"));
		add_option(list, id, ++number, value, doc_text(o, "label"), chosen);
	}
}

void fields_form_clear(struct doc *form, const char *name) {
	struct doc *m = find_input(form, name);
	const struct doc *options = doc_get(m, "options");
	if (!m) return;
	doc_set_null(m, "value");
	for (struct doc *o = options ? options->first : NULL; o; o = o->next)
		doc_set_bool(o, "is_selected", false);
}

void fields_form_remove(struct doc *form, const char *name) {
	struct doc *before = NULL;
	for (struct doc *m = form ? form->first : NULL; m; before = m, m = m->next) {
		if (!text_equal(doc_text(m, "name"), name)) continue;
		if (before) before->next = m->next;
		else form->first = m->next;
		if (form->last == m) form->last = before;
		form->count--;
		return;
	}
}
