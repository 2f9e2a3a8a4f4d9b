#include "outbound/post.h"

#include "base/limits.h"
#include "base/text.h"
#include "outbound/mail.h"
#include "store/notice.h"
#include "store/setting.h"

struct giving {
	day today;
	int64_t count;
};

static enum err apply_notices(struct change *c, struct store *st) {
	struct giving *g = c->context;
	return notices_give(st, g->today, c->author.now_s, &g->count, &c->fault);
}

enum err post_notices(const struct post_office *office, day today, int64_t now_s, int64_t *count,
		      struct fault *f) {
	struct giving g = {today, LIMIT_NOTICES_ROUND_MAX};
	*count = 0;
	while (g.count == LIMIT_NOTICES_ROUND_MAX) {
		struct change c = {.apply = apply_notices,
				   .context = &g,
				   .author = {0, "system", "give notices", now_s}};
		enum err err = office->change(office->self, &c);
		if (err != ERR_OK) return fault_set(f, err, NULL, "%s", c.fault.message);
		*count += g.count;
	}
	return ERR_OK;
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
