#include "handlers/record.h"

#include "base/text.h"
#include "handlers/app.h"

static const char *titled(const struct record *r) { return r->titled ? r->titled : r->word; }

enum err record_load(struct request *rq, const struct record *r, struct doc **row) {
	enum err err = r->get(rq, rq->id[0], row);
	if (err == ERR_OK && !*row)
		err = request_fail(rq, ERR_NOT_FOUND, "There is no %s %lld.", titled(r),
				   (long long)rq->id[0]);
	return err;
}

enum err record_show(struct request *rq, const struct record *r) {
	struct doc *row;
	enum err err = record_load(rq, r, &row);
	if (err != ERR_OK) return err;
	struct doc *page = rq->doc = doc_map(&rq->arena);
	doc_set(page, r->word, row);
	rq->version = doc_int(row, "version");
	doc_set_int(page, "version", rq->version);
	rq->title = arena_printf(&rq->arena, "%s", doc_text(row, r->title_key));
	return r->extend ? r->extend(rq, row, page) : ERR_OK;
}

enum err record_form(struct request *rq, const struct record *r) {
	struct doc *row = NULL;
	enum err err = rq->id[0] ? record_load(rq, r, &row) : ERR_OK;
	if (err != ERR_OK) return err;
	struct doc *page = rq->doc = doc_map(&rq->arena);
	struct doc *form =
	    fields_form(r->resource, &rq->arena, row, request_values(rq, r->resource), &rq->faults,
			rq->stale_form);
	doc_set(page, "form", form);
	rq->version = doc_int(row, "version");
	if (row) {
		doc_set_printf(page, "action", "%s/%lld", r->path, (long long)rq->id[0]);
		doc_set_text(page, "back", doc_text(page, "action"));
		rq->title = arena_printf(&rq->arena, "Change %s %s", titled(r),
					 doc_text(row, r->title_key));
	} else {
		doc_set_text(page, "action", r->path);
		doc_set_text(page, "back", r->path);
		rq->title = arena_printf(&rq->arena, "New %s", titled(r));
	}
	return r->options ? r->options(rq, form) : ERR_OK;
}

enum err record_offer(struct request *rq, const struct resource *r, size_t field) {
	const char *offered = request_query(rq, r->field[field].name);
	if (!offered || rq->value) return ERR_OK;
	rq->value = arena_array(&rq->arena, struct value, r->field_count);
	if (!rq->value) return request_fail(rq, ERR_MEMORY, "There is no memory left.");
	rq->value[field].raw = offered;
	rq->resource = r;
	return ERR_OK;
}

enum err record_store(struct request *rq, const struct record *r) {
	struct doc *row = NULL;
	enum err err = rq->id[0] ? record_load(rq, r, &row) : ERR_OK;
	if (err == ERR_OK && row) err = request_check_version(rq, doc_int(row, "version"));
	if (err != ERR_OK) return err;
	int64_t id = 0;
	err = r->save(rq, row, &id);
	if (err == ERR_CONFLICT && store_was_duplicate(request_store(rq))) {
		fault_clear(&rq->fault);
		return request_field_fault(
		    rq, r->unique,
		    "Another %s has this already. Use a different one, or look the "
		    "other one up.",
		    titled(r));
	}
	if (err == ERR_INVALID) return request_fault_to_field(rq);
	if (err == ERR_OK) err = request_derive(rq);
	if (err != ERR_OK) return err;
	request_action(rq, arena_printf(&rq->arena, "%s %s", row ? "change" : "add", r->word));
	rq->id[0] = id;
	request_go(rq, !row, "%s/%lld", r->path, (long long)id);
	return record_show(rq, r);
}

const char *keep_text(const struct request *rq, size_t field, const struct doc *row) {
	const struct value *v = &rq->value[field];
	return value_given(v) || !row ? value_text(v)
				      : doc_text(row, rq->resource->field[field].name);
}

int64_t keep_int(const struct request *rq, size_t field, const struct doc *row, int64_t absent) {
	const struct value *v = &rq->value[field];
	if (value_given(v)) return value_int(v, absent);
	const struct doc *stored = doc_get(row, rq->resource->field[field].name);
	return stored && stored->type != DOC_NULL ? stored->integer : absent;
}

const char *record_day(struct request *rq, const struct value *v) {
	char *text = value_text(v) ? NULL : arena_alloc(&rq->arena, DAY_TEXT_SIZE);
	return text ? day_format(rq->today, text) : value_text(v);
}

bool record_is_ahead(const struct field *field, const struct value *v, day today) {
	struct label_date label;
	if (!value_text(v)) return false;
	if (field->kind == FIELD_DAY) return value_day(v) > today;
	return field->kind == FIELD_LABEL_DATE && label_date_parse(value_text(v), &label) &&
	       label_date_first(label) > today;
}

enum err record_check_done(struct request *rq, size_t field) {
	const struct field *f = &rq->resource->field[field];
	if (!record_is_ahead(f, &rq->value[field], rq->today)) return ERR_OK;
	return request_field_fault(rq, f->name,
				   "This day is in the future. Give the day it was done.");
}

enum err record_check_doubt(struct request *rq, const char *what, const char *usual,
			    size_t confirmed, size_t note) {
	const struct field *field = rq->resource->field;
	bool is_confirmed = value_yes(&rq->value[confirmed]);
	if (!usual || (is_confirmed && !text_empty(value_text(&rq->value[note])))) return ERR_OK;
	if (is_confirmed)
		return request_field_fault(rq, field[note].name, "Write down how that came about.");
	return request_field_fault(
	    rq, field[confirmed].name,
	    "%s: %s. Correct it; or say that it really was so, and note how.", what, usual);
}
