/*
 * Checkpoints: how many entries the record had and what their tree's root was,
 * signed, as text that people keep elsewhere and compare later.
 *
 * The text is a signed note with the lines of a checkpoint, as published by the
 * C2SP (c2sp.org/signed-note and c2sp.org/tlog-checkpoint):
 *
 *     pegwarden/<16 digits>            the origin: which record
 *     <number of entries>
 *     <root of the tree over them, base64>
 *
 *     — pegwarden/<16 digits> <base64 of key id and Ed25519 signature>
 *
 * The signature is over the lines before the empty one. Key name and origin are
 * the same and follow from the key (the SHA-256 of the public key begins with
 * those digits), so nothing that can be set changes them. The key id is the
 * first four bytes of SHA-256(name || LF || 0x01 || public key).
 */
#ifndef PEGWARDEN_AUDIT_NOTE_H
#define PEGWARDEN_AUDIT_NOTE_H

#include "audit/key.h"
#include "audit/tree.h"

#define NOTE_KEY_ID_BYTES 4
#define ORIGIN_SIZE 27 /* "pegwarden/", 16 digits, NUL */
/* A longer text is refused unread: 16 signatures of 5 kB, as many as must be taken, fit. */
#define NOTE_BYTES_MAX (128 * 1024)

struct checkpoint {
	int64_t size; /* entries */
	unsigned char root[TREE_HASH_BYTES];
};

void checkpoint_of_tree(struct checkpoint *c, const struct tree *t);
bool checkpoint_equal(const struct checkpoint *a, const struct checkpoint *b);

void checkpoint_origin(const unsigned char public_key[PUBLIC_KEY_BYTES], char origin[ORIGIN_SIZE]);
/* What, with its name, says which key signed a note. */
void note_key_id(const char *name, const unsigned char public_key[PUBLIC_KEY_BYTES],
		 unsigned char id[NOTE_KEY_ID_BYTES]);
/* Appends the signed note. */
void checkpoint_write(const struct checkpoint *c, const struct signing_key *k, struct buf *out);

/*
 * Reads a note and checks its signature; those of other keys are passed over.
 * ERR_SYNTAX: it is no checkpoint; ERR_INVALID: of another record or not signed
 * with this key. The words have no name of a file: the caller adds it.
 */
enum err checkpoint_read(const char *text, size_t length,
			 const unsigned char public_key[PUBLIC_KEY_BYTES], struct checkpoint *c,
			 struct fault *f) MUST_CHECK;
/*
 * The same out of a longer text, such as a mail saved as text: the note begins
 * at the first line that is this record's origin and ends with its signature
 * lines; lines may end with CR LF.
 */
enum err checkpoint_find(const char *text, size_t length,
			 const unsigned char public_key[PUBLIC_KEY_BYTES], struct checkpoint *c,
			 struct fault *f) MUST_CHECK;

#endif
