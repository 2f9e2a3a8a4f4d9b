#include "http/field.h"

#include <stdarg.h>
#include <string.h>

#include "base/limits.h"
#include "base/text.h"

/* --- one value -------------------------------------------------------------------- */

struct reading {
	const struct field *field;
	const struct field_reading *how;
	struct arena *arena;
	struct fault_list *faults;
	struct value *value;
};

__attribute__((format(printf, 2, 3))) static bool wrong(struct reading *r, const char *format,
							...) {
	va_list args;
	va_start(args, format);
	const char *message = arena_vprintf(r->arena, format, args);
	va_end(args);
	fault_list_add(r->faults, r->arena, r->field->name, "%s", message ? message : "No memory.");
	r->value->state = VALUE_INVALID;
	return false;
}

static int64_t chars_max(const struct field *f) {
	if (f->max) return f->max;
	switch (f->kind) {
	case FIELD_NOTE: return LIMIT_NOTE_CHARS_MAX;
	case FIELD_TAG: return LIMIT_TAG_CHARS_MAX;
	case FIELD_PASSWORD: return LIMIT_PASSWORD_BYTES_MAX;
	default: return LIMIT_LINE_CHARS_MAX;
	}
}

static bool read_text(struct reading *r, const char *text) {
	const struct field *f = r->field;
	if (!text_is_clean(text, f->kind == FIELD_NOTE))
		return wrong(r, "%s has a character that cannot be printed. Remove it.", f->label);
	int64_t count = (int64_t)text_chars(text);
	if (count > chars_max(f))
		return wrong(r, "%s is too long: %lld characters, at most %lld.", f->label,
			     (long long)count, (long long)chars_max(f));
	if (count < f->min)
		return wrong(r, "%s is too short: at least %lld characters.", f->label,
			     (long long)f->min);
	if (f->kind == FIELD_TAG && strchr(text, ' '))
		return wrong(r, "%s has a space in it; tags have none.", f->label);
	r->value->text = text;
	return true;
}

static bool read_pin(struct reading *r, const char *text) {
	if (text[strspn(text, "0123456789")] != '\0')
		return wrong(r, "%s is digits and nothing else.", r->field->label);
	return read_text(r, text);
}

static bool read_email(struct reading *r, const char *text) {
	if (!text_is_email(text))
		return wrong(r, "%s must be a mail address like name@example.org.",
			     r->field->label);
	return read_text(r, text);
}

static bool read_integer(struct reading *r, const char *text) {
	const struct field *f = r->field;
	int64_t min = f->min, max = f->max;
	if (!min && !max) max = INT32_MAX;
	if (!text_to_int(text, min, max, &r->value->number))
		return wrong(r, "%s must be a whole number from %lld to %lld.", f->label,
			     (long long)min, (long long)max);
	r->value->text = text;
	return true;
}

static bool read_id(struct reading *r, const char *text) {
	if (!text_to_int(text, 1, INT64_MAX >> 21, &r->value->number))
		return wrong(r, "%s must be chosen from the list.", r->field->label);
	r->value->text = text;
	return true;
}

static bool read_money(struct reading *r, const char *text) {
	int64_t max = r->field->max ? r->field->max : 100000000;
	if (!text_to_decimal(text, 2, max, &r->value->number))
		return wrong(r, "%s must be an amount like 120 or 120.50, at most %lld.",
			     r->field->label, (long long)(max / 100));
	if (r->value->number < r->field->min)
		return wrong(r, "%s must be at least %.2f.", r->field->label,
			     (double)r->field->min / 100);
	r->value->text = text;
	return true;
}

static bool read_decimal(struct reading *r, const char *text) {
	int64_t max = r->field->max ? r->field->max : 1000000000;
	if (!text_to_decimal(text, 3, max, &r->value->number))
		return wrong(r, "%s must be a number like 12 or 0.75, at most %lld.",
			     r->field->label, (long long)(max / 1000));
	r->value->text = text;
	return true;
}

static const char *date_hint(const struct reading *r) {
	switch (r->how->date_order) {
	case DATE_DAY_FIRST: return " (or day/month/year)";
	case DATE_MONTH_FIRST: return " (or month/day/year)";
	default: return "";
	}
}

static bool read_day(struct reading *r, const char *text) {
	day d = day_parse_ordered(text, r->how->date_order);
	if (d == DAY_NONE)
		return wrong(r, "%s must be a day like 2019-06-14%s.", r->field->label,
			     date_hint(r));
	char *iso = arena_alloc(r->arena, DAY_TEXT_SIZE);
	if (!iso) return wrong(r, "There is no memory left.");
	r->value->number = d;
	r->value->text = day_format(d, iso);
	return true;
}

static bool read_time(struct reading *r, const char *text) {
	int minutes = time_of_day_parse(text);
	if (minutes < 0)
		return wrong(r, "%s must be a time of day from 00:00 to 23:59, like 14:05.",
			     r->field->label);
	r->value->number = minutes;
	r->value->text = text;
	return true;
}

static bool read_label_date(struct reading *r, const char *text) {
	struct label_date date;
	if (!label_date_parse_ordered(text, r->how->date_order, &date))
		return wrong(
		    r,
		    "%s must be a month like 2019-06 or a day like 2019-06-14%s, as the label "
		    "says it.",
		    r->field->label, date_hint(r));
	char *iso = arena_alloc(r->arena, DAY_TEXT_SIZE);
	if (!iso) return wrong(r, "There is no memory left.");
	r->value->text = label_date_format(date, iso);
	return true;
}

static bool read_choice(struct reading *r, const char *text) {
	struct buf words;
	buf_init(&words, 2000);
	for (const struct choice *c = r->field->choice; c->value; c++) {
		if (strcmp(c->value, text) == 0) {
			buf_release(&words);
			r->value->number = c - r->field->choice;
			r->value->text = c->value;
			return true;
		}
		buf_printf(&words, "%s%s", c == r->field->choice ? "" : ", ", c->value);
	}
	wrong(r, "%s must be one of: %s.", r->field->label, buf_text(&words));
	buf_release(&words);
	return false;
}

static bool read_yes_no(struct reading *r, const char *text) {
	bool yes = strcmp(text, "yes") == 0;
	if (!yes && strcmp(text, "no") != 0)
		return wrong(r, "%s must be answered yes or no.", r->field->label);
	r->value->number = yes;
	r->value->text = yes ? "yes" : "no";
	return true;
}

static bool read_kind(struct reading *r, const char *text) {
	switch (r->field->kind) {
	case FIELD_TEXT:
	case FIELD_NOTE:
	case FIELD_TAG: return read_text(r, text);
	case FIELD_EMAIL: return read_email(r, text);
	case FIELD_PIN: return read_pin(r, text);
	case FIELD_PASSWORD:
		if (strlen(text) > LIMIT_PASSWORD_BYTES_MAX)
			return wrong(r, "%s is too long.", r->field->label);
		return read_text(r, text);
	case FIELD_INTEGER: return read_integer(r, text);
	case FIELD_MONEY: return read_money(r, text);
	case FIELD_DECIMAL: return read_decimal(r, text);
	case FIELD_DAY: return read_day(r, text);
	case FIELD_TIME: return read_time(r, text);
	case FIELD_LABEL_DATE: return read_label_date(r, text);
	case FIELD_CHOICE: return read_choice(r, text);
	case FIELD_YES_NO: return read_yes_no(r, text);
	case FIELD_ID:
	case FIELD_ID_LIST: return read_id(r, text);
	case FIELD_FILE: r->value->text = text; return true;
	}
	return false;
}

/* JSON is typed: a number for numbers, true or false for yes and no, else a text. */
static bool json_kind_fits(struct reading *r, const struct input_pair *in) {
	if (!in->from_json) return true;
	switch (r->field->kind) {
	case FIELD_INTEGER:
	case FIELD_ID:
	case FIELD_ID_LIST:
		if (in->json_kind == INPUT_INTEGER) return true;
		return wrong(r, "%s must be a number in JSON.", r->field->label);
	case FIELD_YES_NO:
		if (in->json_kind == INPUT_BOOLEAN) return true;
		return wrong(r, "%s must be true or false in JSON.", r->field->label);
	default:
		if (in->json_kind == INPUT_STRING) return true;
		return wrong(r, "%s must be a text in JSON.", r->field->label);
	}
}

static bool is_blank(const char *text, size_t length) {
	for (size_t i = 0; i < length; i++)
		if (!strchr(" \t\r\n", text[i])) return false;
	return true;
}

/* What is picked is not filled in; what is a whole sentence is asked as it is. */
static void missing(struct reading *r) {
	enum field_kind kind = r->field->kind;
	bool picked = kind == FIELD_CHOICE || kind == FIELD_ID || r->field->picked;
	const char *mend = kind == FIELD_YES_NO ? "Answer yes or no."
			   : picked             ? "Choose one."
						: "Fill it in.";
	const char *label = r->field->label;
	bool sentence = label[0] && label[strlen(label) - 1] == '.';
	wrong(r, sentence ? "%s %s" : "%s is required. %s", label, mend);
}

static void read_value(struct reading *r, const struct input_pair *in) {
	struct value *v = r->value;
	v->state = VALUE_VALID;
	v->raw = in->text ? arena_copy(r->arena, in->text, in->length) : "";
	if (!in->text || is_blank(in->text, in->length)) {
		/* "No value": for a change it clears the field, for a new record it is absent. */
		v->state = r->how->partial ? VALUE_VALID : VALUE_ABSENT;
		v->text = NULL;
		if (r->field->required) missing(r);
		return;
	}
	if (!text_is_utf8(in->text, in->length)) {
		v->raw = "";
		wrong(r, "%s is not proper UTF-8 text. Type it again.", r->field->label);
		return;
	}
	if (!json_kind_fits(r, in)) return;
	const char *text = r->field->kind == FIELD_PASSWORD
			       ? v->raw
			       : text_normalize(r->arena, in->text, in->length);
	if (!text) {
		wrong(r, "%s cannot be read. Type it again.", r->field->label);
		return;
	}
	read_kind(r, text);
}

/* --- all of them ---------------------------------------------------------------------- */

static size_t find_field(const struct resource *r, const char *name) {
	for (size_t i = 0; i < r->field_count; i++)
		if (strcmp(r->field[i].name, name) == 0) return i;
	return r->field_count;
}

const struct field *resource_field(const struct resource *r, const char *name) {
	size_t at = r ? find_field(r, name) : 0;
	return r && at < r->field_count ? &r->field[at] : NULL;
}

static size_t count_pairs(const struct input *in, const char *name) {
	size_t count = 0;
	for (size_t i = 0; i < in->count; i++) count += strcmp(in->pair[i].name, name) == 0;
	return count;
}

static void read_list(struct reading *r, const struct input *in) {
	size_t count = count_pairs(in, r->field->name), kept = 0;
	int64_t *list = arena_array(r->arena, int64_t, count ? count : 1);
	struct value one = {0};
	struct value *whole = r->value;
	whole->state = VALUE_VALID;
	r->value = &one;
	for (size_t i = 0; list && i < in->count; i++) {
		const struct input_pair *pair = &in->pair[i];
		if (strcmp(pair->name, r->field->name) != 0 || !pair->text ||
		    is_blank(pair->text, pair->length))
			continue;
		one = (struct value){0};
		read_value(r, pair);
		if (one.state == VALUE_VALID) list[kept++] = one.number;
		else whole->state = VALUE_INVALID;
	}
	r->value = whole;
	whole->list = list;
	whole->list_count = kept;
	if (!kept && r->field->required && whole->state == VALUE_VALID)
		wrong(r, "%s: choose at least one.", r->field->label);
	else if (!kept && whole->state == VALUE_VALID) whole->state = VALUE_ABSENT;
}

static void refuse_undeclared(const struct resource *r, const struct input *in, struct arena *a,
			      struct fault_list *faults) {
	for (size_t i = 0; i < in->count; i++) {
		const char *name = in->pair[i].name;
		if (name[0] == '_') continue;
		size_t at = find_field(r, name);
		if (at == r->field_count) {
			fault_list_add(faults, a, name, "There is no field called \"%.60s\" here.",
				       name);
			continue;
		}
		bool first = true;
		for (size_t k = 0; k < i && first; k++) first = strcmp(in->pair[k].name, name) != 0;
		if (!first && r->field[at].kind != FIELD_ID_LIST)
			fault_list_add(faults, a, name, "%s is given more than once.",
				       r->field[at].label);
	}
}

static const struct input_pair *first_pair(const struct input *in, const char *name) {
	for (size_t i = 0; i < in->count; i++)
		if (strcmp(in->pair[i].name, name) == 0) return &in->pair[i];
	return NULL;
}

enum err fields_read(const struct resource *r, const struct input *in,
		     const struct field_reading *how, struct arena *a, struct value *value,
		     struct fault_list *faults) {
	size_t before = faults->total;
	refuse_undeclared(r, in, a, faults);
	for (size_t i = 0; i < r->field_count; i++) {
		const struct field *f = &r->field[i];
		struct reading reading = {f, how, a, faults, &value[i]};
		value[i] = (struct value){0};
		const struct input_pair *pair = first_pair(in, f->name);
		if (f->kind == FIELD_ID_LIST) {
			if (pair || !how->partial) read_list(&reading, in);
		} else if (pair) {
			read_value(&reading, pair);
		} else if (f->required && !how->partial && f->kind != FIELD_FILE) {
			missing(&reading);
		}
	}
	if (arena_failed(a)) return ERR_MEMORY;
	return faults->total == before ? ERR_OK : ERR_INVALID;
}

/* --- reading a value --------------------------------------------------------------------- */

bool value_given(const struct value *v) { return v->state == VALUE_VALID; }

const char *value_text(const struct value *v) { return v->state == VALUE_VALID ? v->text : NULL; }

int64_t value_int(const struct value *v, int64_t absent) {
	return v->state == VALUE_VALID && v->text ? v->number : absent;
}

bool value_yes(const struct value *v) { return value_int(v, 0) != 0; }

day value_day(const struct value *v) { return (day)value_int(v, DAY_NONE); }

const char *choice_label(const struct choice *choice, const char *value) {
	for (; choice && value && choice->value; choice++)
		if (strcmp(choice->value, value) == 0) return choice->label;
	return value;
}
