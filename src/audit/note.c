#include "audit/note.h"

#include <sodium.h>
#include <string.h>

#include "base/text.h"

#define SIGNATURE_DASH "\xE2\x80\x94 " /* U+2014 and a space */
#define DASH_BYTES (sizeof SIGNATURE_DASH - 1)
#define STATED_BYTES (NOTE_KEY_ID_BYTES + SIGNATURE_BYTES)
#define TYPE_ED25519 1
#define BASE64_SIZE(bytes) (((bytes) + 2) / 3 * 4 + 1)

/* --- making one ------------------------------------------------------------------------ */

void checkpoint_of_tree(struct checkpoint *c, const struct tree *t) {
	c->size = t->size;
	tree_root(t, c->root);
}

bool checkpoint_equal(const struct checkpoint *a, const struct checkpoint *b) {
	return a->size == b->size && memcmp(a->root, b->root, sizeof a->root) == 0;
}

void checkpoint_origin(const unsigned char public_key[PUBLIC_KEY_BYTES], char origin[ORIGIN_SIZE]) {
	static const char place[] = "pegwarden/";
	unsigned char hash[crypto_hash_sha256_BYTES];
	crypto_hash_sha256(hash, public_key, PUBLIC_KEY_BYTES);
	memcpy(origin, place, sizeof place);
	sodium_bin2hex(origin + sizeof place - 1, 17, hash, 8);
}

void note_key_id(const char *name, const unsigned char public_key[PUBLIC_KEY_BYTES],
		 unsigned char id[NOTE_KEY_ID_BYTES]) {
	static const unsigned char between[] = {'\n', TYPE_ED25519};
	crypto_hash_sha256_state state;
	unsigned char hash[crypto_hash_sha256_BYTES];
	crypto_hash_sha256_init(&state);
	crypto_hash_sha256_update(&state, (const unsigned char *)name, strlen(name));
	crypto_hash_sha256_update(&state, between, sizeof between);
	crypto_hash_sha256_update(&state, public_key, PUBLIC_KEY_BYTES);
	crypto_hash_sha256_final(&state, hash);
	memcpy(id, hash, NOTE_KEY_ID_BYTES);
}

static void add_base64(struct buf *out, const unsigned char *bytes, size_t length) {
	char text[BASE64_SIZE(STATED_BYTES)];
	sodium_bin2base64(text, sizeof text, bytes, length, sodium_base64_VARIANT_ORIGINAL);
	buf_add_text(out, text);
}

void checkpoint_write(const struct checkpoint *c, const struct signing_key *k, struct buf *out) {
	char origin[ORIGIN_SIZE];
	unsigned char stated[STATED_BYTES];
	size_t begin = out->length;
	checkpoint_origin(k->public_key, origin);
	buf_printf(out, "%s\n%lld\n", origin, (long long)c->size);
	add_base64(out, c->root, sizeof c->root);
	buf_add_char(out, '\n');
	if (buf_failed(out)) return;
	note_key_id(origin, k->public_key, stated);
	signing_key_sign(k, out->bytes + begin, out->length - begin, stated + NOTE_KEY_ID_BYTES);
	buf_printf(out, "\n" SIGNATURE_DASH "%s ", origin);
	add_base64(out, stated, sizeof stated);
	buf_add_char(out, '\n');
}

/* --- reading one ------------------------------------------------------------------------ */

struct span {
	const char *at;
	size_t length;
};

static bool span_is(struct span s, const char *text) {
	return s.length == strlen(text) && memcmp(s.at, text, s.length) == 0;
}

/* The line at the front of rest, which loses it and its LF. False at the end, or without LF. */
static bool take_line(struct span *rest, struct span *line) {
	const char *end = rest->length ? memchr(rest->at, '\n', rest->length) : NULL;
	if (!end) return false;
	*line = (struct span){rest->at, (size_t)(end - rest->at)};
	rest->at += line->length + 1;
	rest->length -= line->length + 1;
	return true;
}

static bool from_base64(struct span s, unsigned char *bytes, size_t size) {
	size_t length;
	return sodium_base642bin(bytes, size, s.at, s.length, NULL, &length, NULL,
				 sodium_base64_VARIANT_ORIGINAL) == 0 &&
	       length == size;
}

static enum err no_checkpoint(struct fault *f) {
	return fault_set(f, ERR_SYNTAX, NULL,
			 "This is no checkpoint: three lines, an empty one and a signature, as "
			 "`pegwarden checkpoint` prints them.");
}

/* UTF-8 without control characters but LF, and LF at the end. */
static bool is_note_text(const char *text, size_t length) {
	if (length == 0 || length > NOTE_BYTES_MAX || text[length - 1] != '\n') return false;
	for (size_t i = 0; i < length; i++)
		if ((unsigned char)text[i] < ' ' && text[i] != '\n') return false;
	return text_is_utf8(text, length);
}

/* Signatures follow the last empty line. */
static bool split(struct span note, struct span *signed_text, struct span *signatures) {
	for (size_t i = note.length - 1; i > 0; i--) {
		if (note.at[i] != '\n' || note.at[i - 1] != '\n') continue;
		*signed_text = (struct span){note.at, i};
		*signatures = (struct span){note.at + i + 1, note.length - i - 1};
		return signatures->length > 0;
	}
	return false;
}

/* "12", never "012" nor "+12". */
static bool read_size(struct span s, int64_t *size) {
	char digits[20];
	if (s.length == 0 || s.length >= sizeof digits || (s.at[0] == '0' && s.length > 1))
		return false;
	memcpy(digits, s.at, s.length);
	digits[s.length] = '\0';
	return strspn(digits, "0123456789") == s.length && text_to_int(digits, 0, INT64_MAX, size);
}

/* Lines beyond the third are others' extensions: they must not be empty, no more. */
static enum err read_lines(struct span text, const char *origin, struct checkpoint *c,
			   struct fault *f) {
	struct span line;
	if (!take_line(&text, &line) || line.length == 0) return no_checkpoint(f);
	if (!span_is(line, origin))
		return fault_set(f, ERR_INVALID, NULL,
				 "This checkpoint is of another record than %s.", origin);
	if (!take_line(&text, &line) || !read_size(line, &c->size) || !take_line(&text, &line) ||
	    !from_base64(line, c->root, sizeof c->root))
		return no_checkpoint(f);
	while (text.length)
		if (!take_line(&text, &line) || line.length == 0) return no_checkpoint(f);
	return ERR_OK;
}

struct signer {
	const char *name;
	const unsigned char *public_key;
	unsigned char id[NOTE_KEY_ID_BYTES];
	struct span signed_text;
	bool has_signed;
};

/* RFC 4648 4, padded; at least five bytes, so that the first eight digits hold the key id. */
static bool is_base64(struct span s) {
	static const char digits[] =
	    "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
	size_t pad = 0;
	while (pad < 2 && pad < s.length && s.at[s.length - 1 - pad] == '=') pad++;
	if (s.length < 8 || s.length % 4 != 0) return false;
	for (size_t i = 0; i < s.length - pad; i++)
		if (!s.at[i] || !strchr(digits, s.at[i])) return false;
	return true;
}

/* "— NAME BASE64" */
static bool read_signature_line(struct span line, struct span *name, struct span *code) {
	if (line.length <= DASH_BYTES || memcmp(line.at, SIGNATURE_DASH, DASH_BYTES) != 0)
		return false;
	*name = (struct span){line.at + DASH_BYTES, line.length - DASH_BYTES};
	const char *space = memchr(name->at, ' ', name->length);
	if (!space || space == name->at) return false;
	*code = (struct span){space + 1, (size_t)(line.at + line.length - space - 1)};
	name->length = (size_t)(space - name->at);
	return !memchr(name->at, '+', name->length) && is_base64(*code);
}

/* Signatures of other keys are of any length; ours, by name and id, must hold. */
static enum err read_signature(struct span line, struct signer *s, struct fault *f) {
	struct span name, code;
	unsigned char stated[STATED_BYTES];
	size_t length;
	if (!read_signature_line(line, &name, &code)) return no_checkpoint(f);
	if (sodium_base642bin(stated, sizeof stated, code.at, 8, NULL, &length, NULL,
			      sodium_base64_VARIANT_ORIGINAL) != 0 ||
	    !span_is(name, s->name) || memcmp(stated, s->id, NOTE_KEY_ID_BYTES) != 0)
		return ERR_OK;
	if (!from_base64(code, stated, sizeof stated) ||
	    !signature_holds(s->public_key, s->signed_text.at, s->signed_text.length,
			     stated + NOTE_KEY_ID_BYTES))
		return fault_set(f, ERR_INVALID, NULL,
				 "The checkpoint's signature does not hold: its text was changed.");
	s->has_signed = true;
	return ERR_OK;
}

enum err checkpoint_read(const char *text, size_t length,
			 const unsigned char public_key[PUBLIC_KEY_BYTES], struct checkpoint *c,
			 struct fault *f) {
	char origin[ORIGIN_SIZE];
	struct span signatures, line;
	struct signer s = {.name = origin, .public_key = public_key};
	checkpoint_origin(public_key, origin);
	note_key_id(origin, public_key, s.id);
	if (!is_note_text(text, length) ||
	    !split((struct span){text, length}, &s.signed_text, &signatures))
		return no_checkpoint(f);
	enum err err = read_lines(s.signed_text, origin, c, f);
	while (err == ERR_OK && take_line(&signatures, &line)) err = read_signature(line, &s, f);
	if (err == ERR_OK && !s.has_signed)
		err = fault_set(f, ERR_INVALID, NULL,
				"The checkpoint is not signed with this record's key.");
	return err;
}

/* --- out of a longer text ------------------------------------------------------------------- */

static struct span without_return(struct span line) {
	if (line.length && line.at[line.length - 1] == '\r') line.length--;
	return line;
}

/* From the origin on, as long as it can be a note: text, one empty line, signatures. */
static void copy_note(struct span rest, const char *origin, struct buf *note) {
	struct span line;
	bool begun = false, signatures = false;
	while (rest.length) {
		if (!take_line(&rest,
			       &line)) { /* the last line of a file saved by hand may lack its LF */
			line = rest;
			rest.length = 0;
		}
		line = without_return(line);
		begun = begun || span_is(line, origin);
		if (!begun) continue;
		bool dash =
		    line.length > DASH_BYTES && memcmp(line.at, SIGNATURE_DASH, DASH_BYTES) == 0;
		if (signatures && !dash) return;
		signatures = signatures || line.length == 0;
		buf_add(note, line.at, line.length);
		buf_add_char(note, '\n');
	}
}

enum err checkpoint_find(const char *text, size_t length,
			 const unsigned char public_key[PUBLIC_KEY_BYTES], struct checkpoint *c,
			 struct fault *f) {
	char origin[ORIGIN_SIZE];
	struct buf note;
	buf_init(&note, NOTE_BYTES_MAX);
	checkpoint_origin(public_key, origin);
	copy_note((struct span){text, length}, origin, &note);
	enum err err;
	if (note.length == 0)
		err = fault_set(f, ERR_INVALID, NULL,
				"There is no checkpoint of this record (%s) in it.", origin);
	else if (buf_failed(&note)) err = no_checkpoint(f);
	else err = checkpoint_read(buf_text(&note), note.length, public_key, c, f);
	buf_release(&note);
	return err;
}
