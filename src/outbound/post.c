#include "outbound/post.h"

#include <stdio.h>

#include "base/limits.h"
#include "base/text.h"
#include "outbound/mail.h"
#include "store/notice.h"
#include "store/setting.h"
#include "store/tree.h"

struct giving {
	day today;
	int64_t count;
};

static enum err apply_notices(struct change *c, struct store *st) {
	struct giving *g = c->context;
	return notices_give(st, g->today, c->author.now_s, &g->count, &c->fault);
}

/* --- the checkpoint of the day -------------------------------------------------------- */

static enum err write_checkpoint(struct change *c, struct store *st, const char *recipient) {
	struct checkpoint now;
	struct buf body;
	char subject[80];
	int64_t id;
	enum err err = audit_checkpoint(st, &now, &c->fault);
	if (err != ERR_OK) return err;
	buf_init(&body, NOTE_BYTES_MAX);
	buf_add_text(
	    &body, "Keep this mail. Saved as text, it tells whether the record still contains "
		   "what it held today:\n\n    pegwarden verify --data DIR --checkpoint FILE\n\n");
	checkpoint_write(&now, c->key, &body);
	snprintf(subject, sizeof subject, "Protective clothing: checkpoint of %lld audit entries",
		 (long long)now.size);
	err = buf_failed(&body) ? fault_set(&c->fault, ERR_MEMORY, NULL, "There is no memory left.")
				: mail_add(st, recipient, subject, buf_text(&body), c->author.now_s,
					   &id, &c->fault);
	buf_release(&body);
	return err;
}

static enum err apply_checkpoint(struct change *c, struct store *st) {
	const struct giving *g = c->context;
	struct arena a;
	const char *recipient = NULL;
	bool due = false;
	arena_init(&a, 65536);
	enum err err = setting_text(st, "officer_email", NULL, &a, &recipient, &c->fault);
	if (err == ERR_OK && recipient)
		err = audit_checkpoint_mail_due(st, g->today, &due, &c->fault);
	if (due) err = write_checkpoint(c, st, recipient);
	arena_clear(&a);
	return err;
}

static enum err give(const struct post_office *office, struct giving *g,
		     enum err (*apply)(struct change *, struct store *), int64_t now_s,
		     struct fault *f) {
	struct change c = {
	    .apply = apply, .context = g, .author = {0, "system", "give notices", now_s}};
	enum err err = office->change(office->self, &c);
	return err == ERR_OK ? err : fault_set(f, err, NULL, "%s", c.fault.message);
}

enum err post_notices(const struct post_office *office, day today, int64_t now_s, int64_t *count,
		      struct fault *f) {
	struct giving g = {today, LIMIT_NOTICES_ROUND_MAX};
	*count = 0;
	while (g.count == LIMIT_NOTICES_ROUND_MAX) {
		enum err err = give(office, &g, apply_notices, now_s, f);
		if (err != ERR_OK) return err;
		*count += g.count;
	}
	return give(office, &g, apply_checkpoint, now_s, f);
}

/* --- one mail ------------------------------------------------------------------------ */

struct marking {
	int64_t id, next_try_s;
	const char *error; /* NULL: sent */
	bool claims, for_good;
};

static enum err apply_mark(struct change *c, struct store *st) {
	const struct marking *m = c->context;
	if (m->claims) return mail_claim(st, m->id, m->next_try_s, &c->fault);
	if (!m->error) return mail_sent(st, m->id, c->author.now_s, &c->fault);
	return mail_failed(st, m->id, m->error, m->for_good, &c->fault);
}

static enum err mark(const struct post_office *office, struct marking *m, int64_t now_s,
		     struct fault *f) {
	struct change c = {
	    .apply = apply_mark, .context = m, .author = {0, "system", "mark mail", now_s}};
	enum err err = office->change(office->self, &c);
	return err == ERR_OK ? err : fault_set(f, err, NULL, "%s", c.fault.message);
}

static enum err deliver_one(const struct post_office *office, const struct doc *row,
			    const char *url, const char *from, int64_t now_s, bool *sent,
			    struct fault *f) {
	int64_t attempts = doc_int(row, "attempts") + 1;
	struct marking m = {.id = doc_int(row, "id"), .claims = true};
	m.next_try_s = now_s + ((int64_t)LIMIT_MAIL_RETRY_S_FIRST << (attempts - 1));
	enum err err = mark(office, &m, now_s, f);
	if (err != ERR_OK) return err;
	struct mail mail = {m.id,
			    from,
			    doc_text(row, "recipient"),
			    doc_text(row, "subject"),
			    doc_text(row, "body"),
			    doc_int(row, "created_s")};
	struct fault refusal = {0};
	*sent = mail_send(&mail, url, &refusal) == ERR_OK;
	m.claims = false;
	m.error = *sent ? NULL : refusal.message;
	m.for_good = attempts >= LIMIT_MAIL_ATTEMPTS_MAX;
	return mark(office, &m, now_s, f);
}

enum err post_deliver(const struct post_office *office, int64_t now_s, int64_t *sent,
		      int64_t *failed, struct fault *f) {
	struct arena a;
	arena_init(&a, LIMIT_ARENA_BYTES_MAX);
	struct doc *list = doc_list(&a);
	const char *url = NULL, *from = NULL;
	*sent = *failed = 0;
	struct store *st;
	enum err err = office->take(office->self, &st, f);
	if (err != ERR_OK) {
		arena_clear(&a);
		return err;
	}
	err = setting_text(st, "mail_url", NULL, &a, &url, f);
	if (err == ERR_OK) err = setting_text(st, "mail_from", "pegwarden@localhost", &a, &from, f);
	if (err == ERR_OK && url) err = mails_waiting(st, now_s, &a, list, f);
	office->give(office->self, st);
	for (const struct doc *row = err == ERR_OK ? list->first : NULL; row && err == ERR_OK;
	     row = row->next) {
		bool went = false;
		err = deliver_one(office, row, url, from, now_s, &went, f);
		*sent += went;
		*failed += !went;
	}
	arena_clear(&a);
	return err;
}
