#include "handlers/repeat.h"

#include <sodium.h>
#include <string.h>

#include "base/json.h"
#include "base/limits.h"
#include "handlers/app.h"
#include "store/session.h"

static void hash_text(crypto_hash_sha256_state *state, const char *text, size_t length) {
	unsigned char size[8];
	for (int i = 0; i < 8; i++) size[i] = (unsigned char)(length >> (8 * i));
	crypto_hash_sha256_update(state, size, sizeof size);
	crypto_hash_sha256_update(state, (const unsigned char *)text, length);
}

/* Of target and body; the form token may differ between two sends of a form. Of a secret there
 * is no fast hash. */
static const char *fingerprint(struct request *rq) {
	crypto_hash_sha256_state state;
	unsigned char hash[crypto_hash_sha256_BYTES];
	char *hex = arena_alloc(&rq->arena, 2 * sizeof hash + 1);
	crypto_hash_sha256_init(&state);
	hash_text(&state, rq->target, strlen(rq->target));
	for (size_t i = 0; i < rq->input.count; i++) {
		const struct input_pair *pair = &rq->input.pair[i];
		const struct field *field = resource_field(rq->resource, pair->name);
		if (text_equal(pair->name, "_token") || text_equal(pair->name, "_key") ||
		    (field && field_is_secret(field)))
			continue;
		hash_text(&state, pair->name, strlen(pair->name));
		hash_text(&state, pair->text ? pair->text : "", pair->length);
	}
	hash_text(&state, rq->upload.bytes ? rq->upload.bytes : "", rq->upload.length);
	crypto_hash_sha256_final(&state, hash);
	if (hex) sodium_bin2hex(hex, 2 * sizeof hash + 1, hash, sizeof hash);
	return hex;
}

static bool has_key(const struct request *rq) { return rq->idempotency_key && rq->who.account; }

enum err repeat_find(struct request *rq, bool *repeated) {
	*repeated = false;
	if (!has_key(rq)) return ERR_OK;
	struct doc *row = NULL;
	enum err err = repeated_request_get(request_store(rq), rq->who.account, rq->idempotency_key,
					    &rq->arena, &row, &rq->fault);
	if (err != ERR_OK || !row) return err;
	if (!text_equal(doc_text(row, "fingerprint"), fingerprint(rq)))
		return request_fail(
		    rq, ERR_INVALID,
		    "This Idempotency-Key was used for another request. Use a new key.");
	*repeated = true;
	rq->status = (int)doc_int(row, "status");
	rq->location = doc_text(row, "location");
	const char *answer = doc_text(row, "answer");
	if (!answer) return ERR_OK;
	err = json_read(answer, strlen(answer), &rq->arena, &rq->doc, &rq->fault);
	rq->version = doc_int(rq->doc, "version");
	return err;
}

enum err repeat_keep(struct request *rq) {
	if (!has_key(rq)) return ERR_OK;
	struct buf answer;
	buf_init(&answer, LIMIT_PAGE_BYTES_MAX);
	if (rq->doc) doc_write_json(rq->doc, &answer);
	struct repeated_request keep = {
	    .account = rq->who.account,
	    .key = rq->idempotency_key,
	    .fingerprint = fingerprint(rq),
	    .status = rq->status,
	    .location = rq->location,
	    .answer = rq->doc ? buf_text(&answer) : NULL,
	    .created_s = rq->now_s,
	};
	enum err err = buf_failed(&answer) || !keep.fingerprint
			   ? request_fail(rq, ERR_MEMORY, "There is no memory left.")
			   : repeated_request_put(request_store(rq), &keep, &rq->fault);
	buf_release(&answer);
	return err;
}
