/*
 * What was typed while the session ended goes along through the sign-in, as hidden inputs
 * of its form, and is shown behind it with a button that sends it.
 *
 * Only to the person who typed it, and only together with the cookie of the old session:
 * a form that another site posts comes without, so it cannot put words into anybody's
 * mouth. Passwords, PINs, the old form token and the old key never go along.
 */
#include "handlers/resend.h"

#include <string.h>

#include "base/limits.h"
#include "base/text.h"
#include "http/decode.h"
#include "http/route.h"

/* _who and _version are the mechanics that still hold after the sign-in. */
static bool goes_along(const char *name) {
	return name[0] != '_' || text_equal(name, "_who") || text_equal(name, "_version");
}

static bool asks_password(const struct resource *r) {
	for (size_t i = 0; r && i < r->field_count; i++)
		if (r->field[i].kind == FIELD_PASSWORD) return true;
	return false;
}

static bool was_typed(const struct request *rq) {
	bool typed = false;
	for (size_t i = 0; i < rq->input.count; i++) {
		const struct input_pair *pair = &rq->input.pair[i];
		if (!text_is_utf8(pair->text ? pair->text : "", pair->length)) return false;
		typed = typed || (pair->name[0] != '_' && !text_empty(pair->text));
	}
	return typed;
}

/* A PIN is asked for again, where the form is sent again. */
static void leave_out_secrets(struct request *rq) {
	size_t kept = 0;
	for (size_t i = 0; i < rq->input.count; i++) {
		const struct field *field =
		    resource_field(rq->route->resource, rq->input.pair[i].name);
		if (!field || !field_is_secret(field)) rq->input.pair[kept++] = rq->input.pair[i];
	}
	rq->input.count = kept;
}

static void pack(const struct input *in, struct buf *b) {
	for (size_t i = 0; i < in->count; i++) {
		const struct input_pair *pair = &in->pair[i];
		if (!goes_along(pair->name)) continue;
		if (b->length) buf_add_char(b, '&');
		buf_add_url(b, pair->name);
		buf_add_char(b, '=');
		buf_add_url(b, pair->text ? pair->text : "");
	}
}

/* The names as people read them: "family name". */
static void add_typed(struct doc *list, const struct input *in, struct arena *a) {
	for (size_t i = 0; i < in->count; i++) {
		const struct input_pair *pair = &in->pair[i];
		if (pair->name[0] == '_' || text_empty(pair->text)) continue;
		char *name = arena_strdup(a, pair->name);
		for (char *at = name; at && *at; at++)
			if (*at == '_') *at = ' ';
		struct doc *m = doc_add_map(list);
		doc_set_text(m, "name", name);
		doc_set_text(m, "value", pair->text);
	}
}

bool resend_is_possible(const struct request *rq) {
	return !text_empty(rq->cookie_session) && rq->body_kind == BODY_FORM &&
	       !text_empty(request_hidden(rq, "_who")) && !asks_password(rq->route->resource) &&
	       was_typed(rq);
}

void resend_pack(struct request *rq, struct doc *d) {
	struct buf b;
	buf_init(&b, LIMIT_RESEND_BYTES_MAX);
	leave_out_secrets(rq);
	pack(&rq->input, &b);
	bool fits = !buf_failed(&b);
	resend_offer(rq, d, fits ? arena_strdup(&rq->arena, buf_text(&b)) : NULL,
		     fits ? rq->target : NULL);
	doc_set_bool(d, "has_typed", !fits);
	if (!fits) add_typed(doc_set_list(d, "typed"), &rq->input, &rq->arena);
	buf_release(&b);
}

void resend_offer(const struct request *rq, struct doc *d, const char *packed, const char *target) {
	bool along = packed && target && !text_empty(rq->cookie_session);
	doc_set_text(d, "resend", along ? packed : NULL);
	doc_set_text(d, "resend_target", along ? target : NULL);
	doc_set_bool(d, "has_typed", false);
	doc_set_list(d, "typed");
}

enum err resend_page(struct request *rq, const char *packed, const char *target, const char *page) {
	struct input in;
	enum err err = decode_form(packed, strlen(packed), true, &rq->arena, &in, &rq->fault);
	if (err != ERR_OK) return err;
	struct doc *d = doc_map(&rq->arena);
	struct doc *fields = doc_set_list(d, "fields");
	const char *who = NULL;
	for (size_t i = 0; i < in.count; i++) {
		const struct input_pair *pair = &in.pair[i];
		if (text_equal(pair->name, "_who")) who = pair->text;
		else if (goes_along(pair->name)) {
			struct doc *m = doc_add_map(fields);
			doc_set_text(m, "name", pair->name);
			doc_set_text(m, "value", pair->text);
		}
	}
	if (!text_equal(who, rq->who.badge)) return ERR_OK; /* somebody else's: not shown */
	add_typed(doc_set_list(d, "typed"), &in, &rq->arena);
	doc_set_text(d, "target", target);
	doc_set_text(d, "form_page", page);
	rq->doc = d;
	rq->location = NULL;
	rq->template_name = "resend";
	rq->title = "Not sent yet";
	return ERR_OK;
}
