/* The tree over the entries and signed checkpoints of it. */
#include "rooms.h"

#include <sodium.h>
#include <stdlib.h>
#include <string.h>

#include "audit/note.h"
#include "base/text.h"

static void leaf_hash(const char *hex, unsigned char hash[TREE_HASH_BYTES]) {
	unsigned char leaf[1 + 16] = {0};
	size_t length = strlen(hex) / 2;
	ck_assert(text_from_hex(hex, leaf + 1, length));
	crypto_hash_sha256(hash, leaf, 1 + length);
}

static void assert_root(const struct tree *t, const char *wanted) {
	unsigned char root[TREE_HASH_BYTES];
	char text[2 * TREE_HASH_BYTES + 1];
	tree_root(t, root);
	sodium_bin2hex(text, sizeof text, root, sizeof root);
	ck_assert_str_eq(text, wanted);
}

/* The eight leaves and nine roots that implementations of RFC 6962 have tested with since the
 * first one (certificate-transparency, merkle_tree_test.cc), as published in many places. */
static const char *const vector_leaf[] = {"",
					  "00",
					  "10",
					  "2021",
					  "3031",
					  "40414243",
					  "5051525354555657",
					  "606162636465666768696a6b6c6d6e6f"};
static const char *const vector_root[] = {
    "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
    "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
    "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
    "aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
    "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
    "4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
    "76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
    "ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
    "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
};

START_TEST(roots_are_those_of_rfc_6962) {
	struct tree t;
	unsigned char hash[TREE_HASH_BYTES];
	tree_init(&t);
	assert_root(&t, vector_root[0]);
	for (size_t i = 0; i < 8; i++) {
		leaf_hash(vector_leaf[i], hash);
		tree_add(&t, hash);
		ck_assert_int_eq(t.size, (int64_t)i + 1);
		assert_root(&t, vector_root[i + 1]);
	}
}
END_TEST

START_TEST(a_tree_put_away_goes_on) {
	struct tree t, back;
	unsigned char hash[TREE_HASH_BYTES] = {0};
	char peaks[TREE_PEAKS_TEXT_SIZE];
	tree_init(&t);
	for (int i = 0; i < 300; i++) {
		tree_write_peaks(&t, peaks);
		ck_assert(tree_read(&back, t.size, peaks));
		ck_assert(tree_equal(&t, &back));
		ck_assert(!tree_read(&back, t.size + 1, peaks) || t.size % 2 == 1);
		hash[0] = (unsigned char)i;
		tree_add(&t, hash);
	}
	ck_assert(!tree_equal(&t, &back));
	tree_write_peaks(&t, peaks);
	ck_assert(!tree_read(&back, -1, peaks));
	ck_assert(!tree_read(&back, t.size, NULL));
	ck_assert(!tree_read(&back, t.size, ""));
	peaks[0] = 'x';
	ck_assert(!tree_read(&back, t.size, peaks));
	ck_assert(!tree_read(&back, INT64_MAX, peaks));
}
END_TEST

/* The keys published with Go's golang.org/x/mod/sumdb/note (its example) and for sum.golang.org,
 * and the example's text; from memory, and they hold. */
START_TEST(key_ids_are_those_published) {
	static const struct {
		const char *name, *key, *id;
	} vector[] = {
	    {"PeterNeumann", "ARpc2QcUPDhMQegwxbzhKqiBfsVkmqq/LDE4izWy10TW", "c74f20a3"},
	    {"sum.golang.org", "Ac4zctda0e5eza+HJyk9SxEdh+s3Ux18htTTAD8OuAn8", "033de0ae"}};
	static const char text[] = "If you think cryptography is the answer to your problem,\n"
				   "then you don't know what your problem is.\n";
	static const char stated[] =
	    "x08go/ZJkuBS9UG/SffcvIAQxVBtiFupLLr8pAcElZInNIuGUgYN1FFYC2pZSNXgKvqf"
	    "qdngotpRZb6KE6RyyBwJnAM=";
	unsigned char key[1 + PUBLIC_KEY_BYTES], id[NOTE_KEY_ID_BYTES], wanted[NOTE_KEY_ID_BYTES];
	unsigned char signature[NOTE_KEY_ID_BYTES + SIGNATURE_BYTES];
	for (size_t i = 0; i < 2; i++) {
		ck_assert_int_eq(sodium_base642bin(key, sizeof key, vector[i].key,
						   strlen(vector[i].key), NULL, NULL, NULL,
						   sodium_base64_VARIANT_ORIGINAL),
				 0);
		ck_assert(text_from_hex(vector[i].id, wanted, sizeof wanted));
		note_key_id(vector[i].name, key + 1, id);
		ck_assert_mem_eq(id, wanted, sizeof id);
		if (i > 0) continue;
		ck_assert_int_eq(sodium_base642bin(signature, sizeof signature, stated,
						   strlen(stated), NULL, NULL, NULL,
						   sodium_base64_VARIANT_ORIGINAL),
				 0);
		ck_assert_mem_eq(signature, wanted, sizeof wanted);
		ck_assert(
		    signature_holds(key + 1, text, strlen(text), signature + NOTE_KEY_ID_BYTES));
	}
}
END_TEST

static struct signing_key key;
static struct checkpoint made;
static struct buf note;

static void write_note(void) {
	unsigned char seed[SEED_BYTES] = {7};
	signing_key_from_seed(&key, seed);
	made.size = 1200000;
	randombytes_buf_deterministic(made.root, sizeof made.root, seed);
	buf_init(&note, NOTE_BYTES_MAX);
	checkpoint_write(&made, &key, &note);
	ck_assert(!buf_failed(&note));
}

static void release_note(void) { buf_release(&note); }

static enum err read_note(const char *text, size_t length) {
	struct checkpoint c = {0};
	enum err err = checkpoint_read(text, length, key.public_key, &c, NULL);
	if (err == ERR_OK) ck_assert(checkpoint_equal(&c, &made));
	return err;
}

START_TEST(what_is_written_is_read) {
	ck_assert_int_eq(read_note(buf_text(&note), note.length), ERR_OK);
}
END_TEST

START_TEST(every_changed_byte_is_noticed) {
	char *copy = malloc(note.length);
	ck_assert_ptr_nonnull(copy);
	for (size_t i = 0; i < note.length; i++)
		for (int bit = 0; bit < 8; bit++) {
			memcpy(copy, note.bytes, note.length);
			copy[i] = (char)(copy[i] ^ 1 << bit);
			ck_assert_msg(read_note(copy, note.length) != ERR_OK, "byte %zu, bit %d", i,
				      bit);
		}
	for (size_t length = 0; length < note.length; length++)
		ck_assert_int_ne(read_note(note.bytes, length), ERR_OK);
	free(copy);
}
END_TEST

START_TEST(another_key_does_not_sign_for_this_record) {
	struct checkpoint c;
	struct signing_key other;
	unsigned char seed[SEED_BYTES] = {8};
	signing_key_from_seed(&other, seed);
	ck_assert_int_eq(checkpoint_read(buf_text(&note), note.length, other.public_key, &c, NULL),
			 ERR_INVALID);
	ck_assert_int_eq(checkpoint_find(buf_text(&note), note.length, other.public_key, &c, NULL),
			 ERR_INVALID);
}
END_TEST

/* With what a reader must take: other signatures, and lines of others beyond the third. */
START_TEST(foreign_signatures_are_passed_over) {
	struct buf more;
	buf_init(&more, NOTE_BYTES_MAX * 2);
	buf_add_text(&more, buf_text(&note));
	for (int i = 0; i < 15; i++) {
		buf_printf(&more, "\xE2\x80\x94 witness.example/%d ", i);
		for (int k = 0; k < 1600; k++) buf_add_text(&more, "AbC/");
		buf_add_text(&more, "AQ==\n");
	}
	ck_assert_int_eq(read_note(buf_text(&more), more.length), ERR_OK);
	buf_add_text(&more, "\xE2\x80\x94 no base64!\n");
	ck_assert_int_eq(read_note(buf_text(&more), more.length), ERR_SYNTAX);
	buf_reset(&more);
	while (more.length <= NOTE_BYTES_MAX) buf_add_text(&more, "line\n");
	buf_add_text(&more, buf_text(&note));
	ck_assert_int_eq(read_note(buf_text(&more), more.length), ERR_SYNTAX);
	buf_release(&more);
}
END_TEST

/* Our own signature under text that is no checkpoint. */
START_TEST(only_checkpoints_are_read) {
	char origin[ORIGIN_SIZE];
	checkpoint_origin(key.public_key, origin);
	static const char root[] = "47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU=";
	static const struct {
		const char *size, *root, *rest;
		enum err outcome;
	} row[] = {
	    {"0\n", root, "\n", ERR_OK},
	    {"12\n", root, "\nof others\n", ERR_OK},
	    {"012\n", root, "\n", ERR_SYNTAX},
	    {"-0\n", root, "\n", ERR_SYNTAX},
	    {"\n", root, "\n", ERR_SYNTAX},
	    {"99999999999999999999\n", root, "\n", ERR_SYNTAX},
	    {"1 \n", root, "\n", ERR_SYNTAX},
	    {"1\n", "47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU", "\n", ERR_SYNTAX},
	    {"1\n", "47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFV=", "\n", ERR_SYNTAX},
	    {"1\n", "47DEQpj8HBSa", "\n", ERR_SYNTAX},
	    {"1\n", root, "\n\nafter an empty line\n", ERR_SYNTAX},
	    {"1\n", root, "\ntab\there\n", ERR_SYNTAX},
	    {"1\n", root, "\n\xFF\n", ERR_SYNTAX},
	};
	for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
		struct buf text;
		struct checkpoint c;
		unsigned char stated[NOTE_KEY_ID_BYTES + SIGNATURE_BYTES];
		char code[100];
		buf_init(&text, NOTE_BYTES_MAX);
		buf_printf(&text, "%s\n%s%s%s", origin, row[i].size, row[i].root, row[i].rest);
		note_key_id(origin, key.public_key, stated);
		signing_key_sign(&key, buf_text(&text), text.length, stated + NOTE_KEY_ID_BYTES);
		sodium_bin2base64(code, sizeof code, stated, sizeof stated,
				  sodium_base64_VARIANT_ORIGINAL);
		buf_printf(&text, "\n\xE2\x80\x94 %s %s\n", origin, code);
		ck_assert_msg(checkpoint_read(buf_text(&text), text.length, key.public_key, &c,
					      NULL) == row[i].outcome,
			      "row %zu", i);
		buf_release(&text);
	}
}
END_TEST

START_TEST(a_checkpoint_is_found_in_a_mail) {
	struct checkpoint c = {0};
	struct buf mail;
	buf_init(&mail, NOTE_BYTES_MAX);
	buf_add_text(&mail, "From: gear@example.org\r\n\r\nKeep this mail.\r\n\r\n");
	for (const char *at = buf_text(&note); *at; at++) {
		if (*at == '\n') buf_add_char(&mail, '\r');
		buf_add_char(&mail, *at);
	}
	size_t cut = mail.length - 2;
	buf_add_text(&mail, "\r\n-- \r\nThe station\r\n");
	ck_assert_int_eq(checkpoint_find(buf_text(&mail), mail.length, key.public_key, &c, NULL),
			 ERR_OK);
	ck_assert(checkpoint_equal(&c, &made));
	/* and at the end of a file without a line end */
	ck_assert_int_eq(checkpoint_find(buf_text(&mail), cut, key.public_key, &c, NULL), ERR_OK);
	ck_assert_int_eq(checkpoint_find(buf_text(&mail), 60, key.public_key, &c, NULL),
			 ERR_INVALID);
	ck_assert_int_eq(checkpoint_find("", 0, key.public_key, &c, NULL), ERR_INVALID);
	buf_release(&mail);
}
END_TEST

Suite *proof_suite(void) {
	Suite *s = suite_create("proof");
	TCase *t = tcase_create("proof");
	tcase_add_test(t, roots_are_those_of_rfc_6962);
	tcase_add_test(t, a_tree_put_away_goes_on);
	tcase_add_test(t, key_ids_are_those_published);
	suite_add_tcase(s, t);
	t = tcase_create("notes");
	tcase_add_checked_fixture(t, write_note, release_note);
	tcase_add_test(t, what_is_written_is_read);
	tcase_add_test(t, every_changed_byte_is_noticed);
	tcase_add_test(t, another_key_does_not_sign_for_this_record);
	tcase_add_test(t, foreign_signatures_are_passed_over);
	tcase_add_test(t, only_checkpoints_are_read);
	tcase_add_test(t, a_checkpoint_is_found_in_a_mail);
	suite_add_tcase(s, t);
	return s;
}
