/*
 * One audit entry: who changed what, when, and how the records stood after it.
 *
 * The signed bytes are these lines, each ended by LF, texts as JSON strings:
 *
 *     pegwarden-entry-1
 *     <seq>
 *     <at, RFC 3339 UTC>
 *     <actor>
 *     <account id, or 0>
 *     <action>
 *     <SHA-256 of the records JSON, hexadecimal>
 *     <hash of the entry before, hexadecimal; 64 zeros for the first>
 *
 * The entry's hash is the RFC 6962 leaf hash of these bytes, SHA-256(0x00 ||
 * bytes); the signature is Ed25519 over the bytes. So an edited, removed,
 * reordered or inserted entry breaks the chain or a signature.
 */
#ifndef PEGWARDEN_AUDIT_ENTRY_H
#define PEGWARDEN_AUDIT_ENTRY_H

#include <stdint.h>

#include "audit/key.h"
#include "base/buf.h"

#define HASH_HEX_SIZE 65 /* 64 digits and the NUL */
#define SIGNATURE_HEX_SIZE 129

struct audit_entry {
	int64_t seq;
	const char *at;
	const char *actor;
	int64_t account;
	const char *action;
	const char *records; /* JSON text */
	char previous_hash[HASH_HEX_SIZE];
	char hash[HASH_HEX_SIZE];
	char signature[SIGNATURE_HEX_SIZE];
};

/* Fills hash and signature from the rest. */
enum err audit_entry_seal(struct audit_entry *e, const struct signing_key *k) MUST_CHECK;
/* Does it follow the entry before, and do hash and signature hold? The fault says which not. */
enum err audit_entry_check(const struct audit_entry *e, const char *previous_hash,
			   int64_t previous_seq, const unsigned char public_key[PUBLIC_KEY_BYTES],
			   struct fault *f) MUST_CHECK;

#endif
