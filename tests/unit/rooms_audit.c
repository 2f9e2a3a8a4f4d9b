/* Signing and the chain of entries. */
#include "rooms.h"

#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "audit/entry.h"
#include "base/text.h"

/* RFC 8032, section 7.1, tests 1 to 3, through our own signing path. */
START_TEST(signs_as_rfc_8032_has_it) {
	static const struct {
		const char *seed, *public_key, *message, *signature;
	} vector[] = {
	    {"9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
	     "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a", "",
	     "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e3"
	     "9701cf9b46b"
	     "d25bf5f0595bbe24655141438e7a100b"},
	    {"4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
	     "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c", "72",
	     "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3"
	     "613d0f11d8c"
	     "387b2eaeb4302aeeb00d291612bb0c00"},
	    {"c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
	     "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025", "af82",
	     "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f"
	     "760984dc659"
	     "4a7c15e9716ed28dc027beceea1ec40a"},
	};
	for (size_t i = 0; i < 3; i++) {
		unsigned char seed[SEED_BYTES], public_key[PUBLIC_KEY_BYTES], message[2] = {0};
		unsigned char wanted[SIGNATURE_BYTES], made[SIGNATURE_BYTES];
		struct signing_key k;
		size_t length = strlen(vector[i].message) / 2;
		ck_assert(text_from_hex(vector[i].seed, seed, sizeof seed));
		ck_assert(text_from_hex(vector[i].public_key, public_key, sizeof public_key));
		ck_assert(text_from_hex(vector[i].signature, wanted, sizeof wanted));
		ck_assert(text_from_hex(vector[i].message, message, length));
		signing_key_from_seed(&k, seed);
		ck_assert_mem_eq(k.public_key, public_key, PUBLIC_KEY_BYTES);
		signing_key_sign(&k, message, length, made);
		ck_assert_mem_eq(made, wanted, SIGNATURE_BYTES);
		ck_assert(signature_holds(public_key, message, length, made));
		made[0] ^= 1;
		ck_assert(!signature_holds(public_key, message, length, made));
	}
}
END_TEST

START_TEST(the_key_file_is_private_and_never_overwritten) {
	char folder[] = "/tmp/pegwarden-key-XXXXXX", path[100];
	ck_assert_ptr_nonnull(mkdtemp(folder));
	snprintf(path, sizeof path, "%s/signing.key", folder);
	struct signing_key made, read;
	struct fault f = {0};
	struct stat status;
	ck_assert_int_eq(signing_key_create(&made, path, &f), ERR_OK);
	ck_assert_int_eq(stat(path, &status), 0);
	ck_assert_int_eq(status.st_mode & 0777, 0600);
	ck_assert_int_eq(signing_key_load(&read, path, &f), ERR_OK);
	ck_assert_mem_eq(made.secret, read.secret, sizeof made.secret);
	ck_assert_int_ne(signing_key_create(&read, path, &f), ERR_OK);
	fault_clear(&f);
	ck_assert_int_eq(chmod(path, 0644), 0);
	ck_assert_int_eq(signing_key_load(&read, path, &f), ERR_IO);
	unlink(path);
	rmdir(folder);
}
END_TEST

static struct audit_entry sample(const struct signing_key *k) {
	struct audit_entry e = {.seq = 1,
				.at = "2026-11-25T12:00:00Z",
				.actor = "4711 Ada Example",
				.account = 3,
				.action = "sign inspection",
				.records = "[]"};
	memset(e.previous_hash, '0', HASH_HEX_SIZE - 1);
	ck_assert_int_eq(audit_entry_seal(&e, k), ERR_OK);
	return e;
}

START_TEST(an_entry_shows_every_change) {
	unsigned char seed[SEED_BYTES] = {1};
	struct signing_key k, other;
	signing_key_from_seed(&k, seed);
	seed[0] = 2;
	signing_key_from_seed(&other, seed);
	struct audit_entry good = sample(&k), e;
	struct fault f = {0};
	ck_assert_int_eq(audit_entry_check(&good, good.previous_hash, 0, k.public_key, &f), ERR_OK);
	ck_assert_int_eq(audit_entry_check(&good, good.previous_hash, 0, other.public_key, NULL),
			 ERR_CORRUPT);
	ck_assert_int_eq(audit_entry_check(&good, good.previous_hash, 1, k.public_key, NULL),
			 ERR_CORRUPT);
	ck_assert_int_eq(audit_entry_check(&good, good.hash, 0, k.public_key, NULL), ERR_CORRUPT);
#define CHANGED(member, value)                                                                     \
	e = good;                                                                                  \
	e.member = value;                                                                          \
	ck_assert_int_eq(audit_entry_check(&e, e.previous_hash, 0, k.public_key, NULL), ERR_CORRUPT)
	CHANGED(at, "2026-11-25T12:00:01Z");
	CHANGED(actor, "4711 Ada Other");
	CHANGED(account, 4);
	CHANGED(action, "send dispatch");
	CHANGED(records, "[1]");
	e = good;
	e.signature[0] = e.signature[0] == 'a' ? 'b' : 'a';
	ck_assert_int_eq(audit_entry_check(&e, e.previous_hash, 0, k.public_key, NULL),
			 ERR_CORRUPT);
}
END_TEST

Suite *audit_suite(void) {
	Suite *s = suite_create("audit");
	TCase *t = tcase_create("audit");
	tcase_add_test(t, signs_as_rfc_8032_has_it);
	tcase_add_test(t, the_key_file_is_private_and_never_overwritten);
	tcase_add_test(t, an_entry_shows_every_change);
	suite_add_tcase(s, t);
	return s;
}
