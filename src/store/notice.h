/*
 * Notices: what is due, told once to whom it concerns, and the mail it goes by.
 *
 * A notice is given once for a component, a duty, its due day, a threshold and a
 * recipient; the schema's unique index holds that. Everything new for one
 * recipient goes into one mail.
 */
#ifndef PEGWARDEN_STORE_NOTICE_H
#define PEGWARDEN_STORE_NOTICE_H

#include "store/change.h"

/* Inside a change: writes notices not yet given, and their mails; *count of them. As many as
 * LIMIT_NOTICES_ROUND_MAX in one change: more are left for the next when *count reaches it. */
enum err notices_give(struct store *st, day today, int64_t now_s, int64_t *count,
		      struct fault *f) MUST_CHECK;
/* What the next notices_give would write: recipient tag kind_label duty_label due_on threshold. */
enum err notices_pending(struct store *st, day today, struct arena *a, struct doc *list,
			 struct fault *f) MUST_CHECK;

/* Inside a change: a mail to send, which may be told of later by *id. */
enum err mail_add(struct store *st, const char *recipient, const char *subject, const char *body,
		  int64_t now_s, int64_t *id, struct fault *f) MUST_CHECK;
/* Mails whose next try has come: id recipient subject body attempts created_s. */
enum err mails_waiting(struct store *st, int64_t now_s, struct arena *a, struct doc *list,
		       struct fault *f) MUST_CHECK;
/* Before it is tried: counts the try and sets the next one, so that a crash in
 * the middle delays the mail instead of sending it in a loop. */
enum err mail_claim(struct store *st, int64_t id, int64_t next_try_s, struct fault *f) MUST_CHECK;
enum err mail_sent(struct store *st, int64_t id, int64_t now_s, struct fault *f) MUST_CHECK;
enum err mail_failed(struct store *st, int64_t id, const char *error, bool for_good,
		     struct fault *f) MUST_CHECK;
/* The officer tries again: ERR_NOT_FOUND unless it failed. */
enum err mail_retry(struct store *st, int64_t id, struct fault *f) MUST_CHECK;

#endif
