#include "audit/entry.h"

#include <sodium.h>
#include <string.h>

#include "base/limits.h"
#include "base/text.h"

#define ENTRY_BYTES_MAX (64 * 1024)

static void sha256_hex(const void *bytes, size_t length, char hex[HASH_HEX_SIZE]) {
	unsigned char hash[crypto_hash_sha256_BYTES];
	crypto_hash_sha256(hash, bytes, length);
	sodium_bin2hex(hex, HASH_HEX_SIZE, hash, sizeof hash);
}

/* The signed bytes, as the header has them. */
static void write_bytes(const struct audit_entry *e, struct buf *b) {
	char records_hash[HASH_HEX_SIZE];
	sha256_hex(e->records, strlen(e->records), records_hash);
	buf_add_text(b, "pegwarden-entry-1\n");
	buf_add_int(b, e->seq);
	buf_add_char(b, '\n');
	buf_add_text(b, e->at);
	buf_add_char(b, '\n');
	buf_add_json(b, e->actor, strlen(e->actor));
	buf_add_char(b, '\n');
	buf_add_int(b, e->account);
	buf_add_char(b, '\n');
	buf_add_json(b, e->action, strlen(e->action));
	buf_add_char(b, '\n');
	buf_add_text(b, records_hash);
	buf_add_char(b, '\n');
	buf_add_text(b, e->previous_hash);
	buf_add_char(b, '\n');
}

/* RFC 6962 2.1: a leaf is hashed behind one zero byte. */
static void leaf_hash(const struct buf *b, char hex[HASH_HEX_SIZE]) {
	crypto_hash_sha256_state state;
	unsigned char hash[crypto_hash_sha256_BYTES], zero = 0;
	crypto_hash_sha256_init(&state);
	crypto_hash_sha256_update(&state, &zero, 1);
	crypto_hash_sha256_update(&state, (const unsigned char *)buf_text(b), b->length);
	crypto_hash_sha256_final(&state, hash);
	sodium_bin2hex(hex, HASH_HEX_SIZE, hash, sizeof hash);
}

enum err audit_entry_seal(struct audit_entry *e, const struct signing_key *k) {
	struct buf b;
	buf_init(&b, ENTRY_BYTES_MAX);
	write_bytes(e, &b);
	enum err err = buf_failed(&b) ? ERR_MEMORY : ERR_OK;
	if (err == ERR_OK) {
		unsigned char signature[SIGNATURE_BYTES];
		leaf_hash(&b, e->hash);
		signing_key_sign(k, b.bytes, b.length, signature);
		sodium_bin2hex(e->signature, SIGNATURE_HEX_SIZE, signature, sizeof signature);
	}
	buf_release(&b);
	return err;
}

enum err audit_entry_check(const struct audit_entry *e, const char *previous_hash,
			   int64_t previous_seq, const unsigned char public_key[PUBLIC_KEY_BYTES],
			   struct fault *f) {
	long long seq = (long long)e->seq;
	if (e->seq != previous_seq + 1)
		return fault_set(f, ERR_CORRUPT, NULL,
				 "Entry %lld follows entry %lld: entries between them are missing.",
				 seq, (long long)previous_seq);
	if (!text_equal(e->previous_hash, previous_hash))
		return fault_set(
		    f, ERR_CORRUPT, NULL,
		    "Entry %lld does not follow the entry before it: its previous hash "
		    "differs.",
		    seq);
	struct buf b;
	buf_init(&b, ENTRY_BYTES_MAX);
	write_bytes(e, &b);
	char hash[HASH_HEX_SIZE];
	unsigned char signature[SIGNATURE_BYTES];
	enum err err =
	    buf_failed(&b) ? fault_set(f, ERR_MEMORY, NULL, "There is no memory left.") : ERR_OK;
	if (err == ERR_OK) {
		leaf_hash(&b, hash);
		if (!text_equal(hash, e->hash))
			err = fault_set(f, ERR_CORRUPT, NULL,
					"Entry %lld was edited: its hash differs.", seq);
		else if (!text_from_hex(e->signature, signature, sizeof signature) ||
			 !signature_holds(public_key, b.bytes, b.length, signature))
			err =
			    fault_set(f, ERR_CORRUPT, NULL,
				      "Entry %lld is not signed with this department's key.", seq);
	}
	buf_release(&b);
	return err;
}
