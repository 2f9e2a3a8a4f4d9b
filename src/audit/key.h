/*
 * The signing key: Ed25519 (RFC 8032), kept in a file of its own outside the
 * database, mode 0600. Whoever holds the database but not this file cannot
 * make entries that verify.
 */
#ifndef PEGWARDEN_AUDIT_KEY_H
#define PEGWARDEN_AUDIT_KEY_H

#include <stddef.h>
#include <stdint.h>

#include "base/fault.h"

#define SIGNATURE_BYTES 64
#define PUBLIC_KEY_BYTES 32
#define SEED_BYTES 32

struct signing_key {
	unsigned char secret[64]; /* seed and public key, as libsodium keeps them */
	unsigned char public_key[PUBLIC_KEY_BYTES];
};

/* From a seed: the same seed gives the same key (RFC 8032 5.1.5). */
void signing_key_from_seed(struct signing_key *k, const unsigned char seed[SEED_BYTES]);
/* A new random key, written to path (mode 0600; never over an existing file). */
enum err signing_key_create(struct signing_key *k, const char *path, struct fault *f) MUST_CHECK;
/* Refuses a file that others can read. */
enum err signing_key_load(struct signing_key *k, const char *path, struct fault *f) MUST_CHECK;
/* Wipes it. */
void signing_key_clear(struct signing_key *k);

void signing_key_sign(const struct signing_key *k, const void *bytes, size_t length,
		      unsigned char signature[SIGNATURE_BYTES]);
bool signature_holds(const unsigned char public_key[PUBLIC_KEY_BYTES], const void *bytes,
		     size_t length, const unsigned char signature[SIGNATURE_BYTES]);

#endif
