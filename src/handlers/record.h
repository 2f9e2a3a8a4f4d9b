/*
 * The usual life of a record: its page, its form, storing it.
 *
 * A resource describes itself once in a struct record; its handlers are one
 * call each. The row that `get` gives carries the stored values under the
 * names of the fields, and "version".
 */
#ifndef PEGWARDEN_HANDLERS_RECORD_H
#define PEGWARDEN_HANDLERS_RECORD_H

#include "http/request.h"

struct record {
	const char *path;   /* "/stations" */
	const char *word;   /* "station" */
	const char *titled; /* in titles and messages, where people say it otherwise; or NULL */
	const struct resource *resource;
	enum err (*get)(struct request *rq, int64_t id, struct doc **row);
	/* Stores rq->value over row (NULL: a new record). */
	enum err (*save)(struct request *rq, const struct doc *row, int64_t *id);
	/* Adds to the page; may be NULL. */
	enum err (*extend)(struct request *rq, const struct doc *row, struct doc *page);
	/* Gives selects their options; may be NULL. */
	enum err (*options)(struct request *rq, struct doc *form);
	const char *title_key; /* of the row */
	const char *unique;    /* the field that must be unique */
};

enum err record_load(struct request *rq, const struct record *r, struct doc **row) MUST_CHECK;
enum err record_show(struct request *rq, const struct record *r) MUST_CHECK;
enum err record_form(struct request *rq, const struct record *r) MUST_CHECK;
enum err record_store(struct request *rq, const struct record *r) MUST_CHECK;

/* On the form of a new record: what the address says of this field, by the field's name, is in it
 * already. To be called before record_form. */
enum err record_offer(struct request *rq, const struct resource *r, size_t field) MUST_CHECK;

/* What to store: the value sent, else what is stored already. */
const char *keep_text(const struct request *rq, size_t field, const struct doc *row);
int64_t keep_int(const struct request *rq, size_t field, const struct doc *row, int64_t absent);

/* The day given, else today, as text in the arena. */
const char *record_day(struct request *rq, const struct value *v);

/* A day, or a label date, that has not come yet. Of a month its first day counts. */
bool record_is_ahead(const struct field *field, const struct value *v, day today);
/* ERR_INVALID, at the field, for one that has not come yet: what is recorded was done. */
enum err record_check_done(struct request *rq, size_t field) MUST_CHECK;
/* What nobody would believe is asked about once more: usual says what is usual of it, or is NULL.
 * ERR_INVALID until it is confirmed, and a note says how that came about. */
enum err record_check_doubt(struct request *rq, const char *what, const char *usual,
			    size_t confirmed, size_t note) MUST_CHECK;

#endif
