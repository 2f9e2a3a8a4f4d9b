/*
 * One mail on its way: SMTP by libcurl, as plain text (RFC 5322, MIME UTF-8).
 */
#ifndef PEGWARDEN_OUTBOUND_MAIL_H
#define PEGWARDEN_OUTBOUND_MAIL_H

#include <stdint.h>

#include "base/buf.h"
#include "base/fault.h"

struct mail {
	int64_t id; /* makes the Message-ID: the same mail sent twice is recognisable */
	const char *from;
	const char *recipient;
	const char *subject;
	const char *body;
	int64_t created_s;
};

/* The message as it is sent: headers, then the body in base64. ERR_INVALID when an
 * address or the subject holds a line break. */
enum err mail_write(const struct mail *m, struct buf *out, struct fault *f) MUST_CHECK;
/* url: smtp://host:port or smtps://host:port. The fault holds the server's words. */
enum err mail_send(const struct mail *m, const char *url, struct fault *f) MUST_CHECK;

#endif
