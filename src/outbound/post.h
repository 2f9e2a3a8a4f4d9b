/*
 * The post: gives the day's notices and sends what waits, in the background of
 * `serve` or once for `notify`.
 *
 * A try is counted and the next one set before the mail goes out; "sent" is
 * written after the server took it. A crash between the two sends that mail
 * once more, with the same Message-ID: rather twice than never.
 */
#ifndef PEGWARDEN_OUTBOUND_POST_H
#define PEGWARDEN_OUTBOUND_POST_H

#include "store/change.h"

/* How the post writes: as a change, waited for. */
struct post_office {
	void *self;
	enum err (*change)(void *self, struct change *c);
	/* a connection to read with */
	enum err (*take)(void *self, struct store **st, struct fault *f);
	void (*give)(void *self, struct store *st);
};

/* Notices of the day; *count of new ones. After them the checkpoint of the day, to the address
 * in officer_email when there is one: whoever keeps the mail can compare later. */
enum err post_notices(const struct post_office *office, day today, int64_t now_s, int64_t *count,
		      struct fault *f) MUST_CHECK;
/* Tries every mail whose time has come. Without the setting mail_url nothing is tried. */
enum err post_deliver(const struct post_office *office, int64_t now_s, int64_t *sent,
		      int64_t *failed, struct fault *f) MUST_CHECK;

#endif
