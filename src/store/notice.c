#include "store/notice.h"

#include <string.h>

#include "base/buf.h"
#include "base/limits.h"
#include "base/text.h"
#include "store/list.h"
#include "store/safety_notice.h"
#include "store/setting.h"

/* Lines of one mail; more are counted, not listed. */
#define LINES_MAX 200

/*
 * Overdue inspections and retirements, those due within 30 days, and retirements
 * within 90 and 365 days, for the station, the holder and the safety officer,
 * as far as they have an address; without what was told already, and without
 * what is held as it was found.
 */
#define PENDING                                                                                    \
	"WITH due AS (SELECT d.component_id, d.duty, d.due_on, d.reason, CASE"                     \
	" WHEN d.due_on < ?1 THEN 'overdue' WHEN d.due_on <= date(?1, '+30 days') THEN 'due_30'"   \
	" WHEN d.due_on <= date(?1, '+90 days') THEN 'due_90' ELSE 'due_365' END AS threshold"     \
	" FROM duty d WHERE NOT EXISTS (SELECT 1 FROM hold h WHERE h.component_id ="               \
	" d.component_id AND h.released_on IS NULL)"                                               \
	" AND d.due_on <= date(?1, '+365 days') AND (d.duty = 'retirement' OR"                     \
	" (d.due_on <= date(?1, '+30 days') AND d.duty IN ('advanced_inspection',"                 \
	" 'liner_inspection', 'return_inspection')))),"                                            \
	" told AS (SELECT due.*, s.email AS recipient FROM due JOIN component c"                   \
	"   ON c.id = due.component_id JOIN station s ON s.id = c.station_id"                      \
	"   WHERE s.email IS NOT NULL"                                                             \
	"  UNION SELECT due.*, m.email FROM due JOIN issue i ON i.component_id = due.component_id" \
	"   AND i.returned_on IS NULL JOIN member m ON m.id = i.member_id WHERE m.email IS NOT "   \
	"NULL"                                                                                     \
	"  UNION SELECT due.*, x.value FROM due JOIN setting x ON x.name = 'officer_email'"        \
	"   AND x.value <> '')"                                                                    \
	" SELECT t.component_id, t.duty, t.due_on, t.threshold, t.recipient, c.tag,"               \
	" k.label AS kind_label, y.label AS duty_label, t.reason FROM told t"                      \
	" JOIN component c ON c.id = t.component_id JOIN component_kind k ON k.code = c.kind"      \
	" JOIN duty_kind y ON y.code = t.duty WHERE NOT EXISTS (SELECT 1 FROM notice n"            \
	" WHERE n.component_id = t.component_id AND n.duty = t.duty AND n.due_on = t.due_on"       \
	" AND n.threshold = t.threshold AND n.recipient = t.recipient)"                            \
	" ORDER BY t.recipient, t.due_on, c.tag LIMIT ?2"
/* Once a day, over what is due within a year. */
SQL_SCAN(notice_pending, PENDING);

SQL(mail_insert, "INSERT INTO mail (recipient, subject, body, created_s) VALUES (?1, ?2, ?3, ?4)");
SQL(notice_insert,
    "INSERT INTO notice (component_id, duty, due_on, threshold, recipient, created_on, mail_id)"
    " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)");
SQL(mail_due, "SELECT id, recipient, subject, body, attempts, created_s FROM mail"
	      " WHERE state = 'waiting' AND next_try_s <= ?1 ORDER BY next_try_s, id LIMIT 20");
SQL(mail_try, "UPDATE mail SET attempts = attempts + 1, next_try_s = ?2 WHERE id = ?1");
SQL(mail_done, "UPDATE mail SET state = 'sent', sent_s = ?2, last_error = NULL WHERE id = ?1");
SQL(mail_not_done, "UPDATE mail SET state = CASE WHEN ?3 THEN 'failed' ELSE state END,"
		   " last_error = ?2 WHERE id = ?1");
SQL(mail_again, "UPDATE mail SET state = 'waiting', attempts = 0, next_try_s = 0 WHERE id = ?1"
		" AND state = 'failed'");

#define MAIL_WHERE                                                                                 \
	" FROM mail m WHERE (?1 IS NULL OR m.recipient LIKE ?1 ESCAPE '\\' OR m.body LIKE ?1"      \
	" ESCAPE '\\') AND (?2 IS NULL OR m.state = ?2)"
#define MAIL_ROWS(order)                                                                           \
	"SELECT m.id, m.recipient, m.subject, m.body, m.state, m.state = 'failed' AS has_failed,"  \
	" m.attempts, strftime('%Y-%m-%dT%H:%M:%SZ', m.created_s, 'unixepoch') AS created_at,"     \
	" strftime('%Y-%m-%dT%H:%M:%SZ', m.sent_s, 'unixepoch') AS sent_at, m.last_error,"         \
	" (SELECT count(*) FROM notice n WHERE n.mail_id = m.id) AS notice_count" MAIL_WHERE       \
	" ORDER BY " order " LIMIT ?3 OFFSET ?4"
/* Mails are one a recipient and day at most. */
SQL_SCAN(mails_count, "SELECT count(*) AS total" MAIL_WHERE);
SQL_SCAN(mails_newest, MAIL_ROWS("m.id DESC"));
SQL_SCAN(mails_by_recipient, MAIL_ROWS("m.recipient, m.id DESC"));
const struct list_source mail_list = {
    .count = &mails_count,
    .filter = {"state"},
    .sort = {{"newest", "Newest first", &mails_newest},
	     {"recipient", "Recipient", &mails_by_recipient}},
};

enum err notices_pending(struct store *st, day today, struct arena *a, struct doc *list,
			 struct fault *f) {
	return store_list(st, &notice_pending, a, list, f, "di", today,
			  (int64_t)LIMIT_NOTICES_ROUND_MAX);
}

enum err mail_add(struct store *st, const char *recipient, const char *subject, const char *body,
		  int64_t now_s, int64_t *id, struct fault *f) {
	enum err err = store_run(st, &mail_insert, f, "ttti", recipient, subject, body, now_s);
	*id = store_inserted(st);
	return err;
}

static const char *threshold_words(const char *threshold) {
	return strcmp(threshold, "overdue") == 0 ? "overdue since" : "due by";
}

/* The officer's mail also says which safety notices have gear left. */
static enum err safety_lines(struct store *st, const char *recipient, struct buf *body,
			     struct fault *f) {
	struct arena a;
	const char *officer = NULL;
	arena_init(&a, LIMIT_ARENA_BYTES_MAX);
	struct doc *list = doc_list(&a);
	enum err err = setting_text(st, "officer_email", NULL, &a, &officer, f);
	if (err == ERR_OK && text_equal(officer, recipient))
		err = list ? safety_notices_left(st, &a, list, f) : fault_memory(f);
	for (const struct doc *n = list ? list->first : NULL; err == ERR_OK && n; n = n->next) {
		const char *due_on = doc_text(n, "due_on");
		buf_printf(body, "%sSafety notice %s, %s: hit %lld, done %lld, left %lld%s%s.\n",
			   n == list->first ? "\n" : "", doc_text(n, "number"),
			   doc_text(n, "title"), (long long)doc_int(n, "hit"),
			   (long long)doc_int(n, "done"), (long long)doc_int(n, "left"),
			   due_on ? ", by " : "", due_on ? due_on : "");
	}
	arena_clear(&a);
	return err;
}

/* The mail for the run of rows that begins at first; *end is the row after it. */
static enum err write_mail(struct store *st, const struct doc *first, const struct doc **end,
			   int64_t now_s, int64_t *mail, struct fault *f) {
	struct buf body;
	buf_init(&body, LIMIT_PAGE_BYTES_MAX);
	size_t count = 0;
	const char *recipient = doc_text(first, "recipient");
	const struct doc *row = first;
	for (; row && text_equal(doc_text(row, "recipient"), recipient); row = row->next)
		if (count++ < LINES_MAX)
			buf_printf(&body, "%s of %s %s: %s %s.\n", doc_text(row, "duty_label"),
				   doc_text(row, "kind_label"), doc_text(row, "tag"),
				   threshold_words(doc_text(row, "threshold")),
				   doc_text(row, "due_on"));
	if (count > LINES_MAX) buf_printf(&body, "... and %zu more.\n", count - LINES_MAX);
	enum err err = safety_lines(st, recipient, &body, f);
	buf_add_text(&body, "\nPegwarden keeps records; it certifies nothing.\n");
	char subject[80];
	snprintf(subject, sizeof subject, "Protective clothing: %zu due or overdue", count);
	if (err == ERR_OK)
		err = buf_failed(&body)
			  ? fault_set(f, ERR_MEMORY, NULL, "There is no memory left.")
			  : mail_add(st, recipient, subject, buf_text(&body), now_s, mail, f);
	*end = row;
	buf_release(&body);
	return err;
}

enum err notices_give(struct store *st, day today, int64_t now_s, int64_t *count, struct fault *f) {
	struct arena a;
	arena_init(&a, LIMIT_ARENA_BYTES_MAX * 8);
	struct doc *list = doc_list(&a);
	*count = 0;
	enum err err = list ? notices_pending(st, today, &a, list, f) : ERR_MEMORY;
	const struct doc *row = err == ERR_OK ? list->first : NULL;
	while (row && err == ERR_OK) {
		const struct doc *end;
		int64_t mail = 0;
		err = write_mail(st, row, &end, now_s, &mail, f);
		for (; row != end && err == ERR_OK; row = row->next, ++*count)
			err = store_run(st, &notice_insert, f, "ittttdi",
					doc_int(row, "component_id"), doc_text(row, "duty"),
					doc_text(row, "due_on"), doc_text(row, "threshold"),
					doc_text(row, "recipient"), today, mail);
	}
	arena_clear(&a);
	return err;
}

enum err mails_waiting(struct store *st, int64_t now_s, struct arena *a, struct doc *list,
		       struct fault *f) {
	return store_list(st, &mail_due, a, list, f, "i", now_s);
}

enum err mail_claim(struct store *st, int64_t id, int64_t next_try_s, struct fault *f) {
	return store_run(st, &mail_try, f, "ii", id, next_try_s);
}

enum err mail_sent(struct store *st, int64_t id, int64_t now_s, struct fault *f) {
	return store_run(st, &mail_done, f, "ii", id, now_s);
}

enum err mail_failed(struct store *st, int64_t id, const char *error, bool for_good,
		     struct fault *f) {
	return store_run(st, &mail_not_done, f, "itb", id, error, for_good);
}

enum err mail_retry(struct store *st, int64_t id, struct fault *f) {
	enum err err = store_run(st, &mail_again, f, "i", id);
	if (err == ERR_OK && store_changes(st) == 0)
		err = fault_set(f, ERR_NOT_FOUND, NULL,
				"There is no mail that failed of that number.");
	return err;
}
