#include "outbound/mail.h"

#include <curl/curl.h>
#include <sodium.h>
#include <string.h>

#include "base/day.h"
#include "base/limits.h"
#include "base/text.h"

#define MESSAGE_BYTES_MAX (1024 * 1024)
#define BASE64_LINE 57 /* bytes that make 76 characters, RFC 2045's line */

static void add_base64(struct buf *out, const char *bytes, size_t length) {
	char line[BASE64_LINE / 3 * 4 + 1];
	for (size_t at = 0; at < length; at += BASE64_LINE) {
		size_t part = length - at < BASE64_LINE ? length - at : BASE64_LINE;
		sodium_bin2base64(line, sizeof line, (const unsigned char *)bytes + at, part,
				  sodium_base64_VARIANT_ORIGINAL);
		buf_add_text(out, line);
		buf_add_text(out, "\r\n");
	}
}

/* RFC 5322 3.3: "Wed, 25 Nov 2026 12:00:00 +0000". */
static void add_date(struct buf *out, int64_t at_s) {
	static const char *const weekday[] = {"Thu", "Fri", "Sat", "Sun", "Mon", "Tue", "Wed"};
	static const char *const month[] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
					    "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
	day d = (day)(at_s / 86400);
	struct ymd at = day_to_ymd(d);
	int rest = (int)(at_s % 86400);
	buf_printf(out, "Date: %s, %02d %s %04d %02d:%02d:%02d +0000\r\n", weekday[d % 7], at.day,
		   month[at.month - 1], at.year, rest / 3600, rest / 60 % 60, rest % 60);
}

static bool is_header_text(const char *text) { return text && *text && text_is_clean(text, false); }

enum err mail_write(const struct mail *m, struct buf *out, struct fault *f) {
	if (!is_header_text(m->from) || !is_header_text(m->recipient) ||
	    !is_header_text(m->subject))
		return fault_set(f, ERR_INVALID, NULL,
				 "An address or the subject is empty or has a line break.");
	const char *at = strchr(m->from, '@');
	buf_printf(out, "From: <%s>\r\nTo: <%s>\r\n", m->from, m->recipient);
	buf_printf(out, "Message-ID: <notice-%lld-%lld@%s>\r\n", (long long)m->id,
		   (long long)m->created_s, at ? at + 1 : "localhost");
	add_date(out, m->created_s);
	buf_printf(out, "Subject: %s\r\n", m->subject);
	buf_add_text(out,
		     "MIME-Version: 1.0\r\nContent-Type: text/plain; charset=utf-8\r\n"
		     "Content-Transfer-Encoding: base64\r\nAuto-Submitted: auto-generated\r\n\r\n");
	add_base64(out, m->body, strlen(m->body));
	return buf_failed(out) ? fault_set(f, ERR_MEMORY, NULL, "There is no memory left.")
			       : ERR_OK;
}

struct reading {
	const char *at;
	size_t left;
};

static size_t give_bytes(char *to, size_t size, size_t count, void *self) {
	struct reading *r = self;
	size_t most = size * count < r->left ? size * count : r->left;
	memcpy(to, r->at, most);
	r->at += most;
	r->left -= most;
	return most;
}

static enum err perform(CURL *curl, const struct mail *m, const char *url, struct buf *message,
			struct fault *f) {
	struct reading r = {buf_text(message), message->length};
	char error[CURL_ERROR_SIZE] = "";
	struct curl_slist *recipients = curl_slist_append(NULL, m->recipient);
	curl_easy_setopt(curl, CURLOPT_URL, url);
	curl_easy_setopt(curl, CURLOPT_PROTOCOLS_STR, "smtp,smtps");
	curl_easy_setopt(curl, CURLOPT_MAIL_FROM, m->from);
	curl_easy_setopt(curl, CURLOPT_MAIL_RCPT, recipients);
	curl_easy_setopt(curl, CURLOPT_READFUNCTION, give_bytes);
	curl_easy_setopt(curl, CURLOPT_READDATA, &r);
	curl_easy_setopt(curl, CURLOPT_UPLOAD, 1L);
	curl_easy_setopt(curl, CURLOPT_TIMEOUT, (long)LIMIT_MAIL_TIMEOUT_S);
	curl_easy_setopt(curl, CURLOPT_NOSIGNAL, 1L);
	curl_easy_setopt(curl, CURLOPT_ERRORBUFFER, error);
	CURLcode code = curl_easy_perform(curl);
	curl_slist_free_all(recipients);
	if (code == CURLE_OK) return ERR_OK;
	return fault_set(f, ERR_IO, NULL, "%s", error[0] ? error : curl_easy_strerror(code));
}

enum err mail_send(const struct mail *m, const char *url, struct fault *f) {
	struct buf message;
	buf_init(&message, MESSAGE_BYTES_MAX);
	enum err err = mail_write(m, &message, f);
	CURL *curl = err == ERR_OK ? curl_easy_init() : NULL;
	if (curl) {
		err = perform(curl, m, url, &message, f);
		curl_easy_cleanup(curl);
	} else if (err == ERR_OK) {
		err = fault_set(f, ERR_MEMORY, NULL, "There is no memory left.");
	}
	buf_release(&message);
	return err;
}
