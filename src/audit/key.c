#include "audit/key.h"

#include <errno.h>
#include <fcntl.h>
#include <sodium.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* The file: this line, then the seed in hexadecimal, then a line break. */
#define KEY_HEADING "pegwarden-signing-key-1\n"
#define KEY_FILE_BYTES (sizeof KEY_HEADING - 1 + 2 * SEED_BYTES + 1)

void signing_key_from_seed(struct signing_key *k, const unsigned char seed[SEED_BYTES]) {
	crypto_sign_seed_keypair(k->public_key, k->secret, seed);
}

static enum err write_all(int fd, const char *bytes, size_t length) {
	while (length) {
		ssize_t done = write(fd, bytes, length);
		if (done < 0 && errno == EINTR) continue;
		if (done <= 0) return ERR_IO;
		bytes += done;
		length -= (size_t)done;
	}
	return ERR_OK;
}

enum err signing_key_create(struct signing_key *k, const char *path, struct fault *f) {
	unsigned char seed[SEED_BYTES];
	char text[KEY_FILE_BYTES + 1] = KEY_HEADING;
	randombytes_buf(seed, sizeof seed);
	signing_key_from_seed(k, seed);
	sodium_bin2hex(text + sizeof KEY_HEADING - 1, 2 * SEED_BYTES + 1, seed, sizeof seed);
	text[KEY_FILE_BYTES - 1] = '\n';
	enum err err = ERR_IO;
	int fd = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
	if (fd >= 0) {
		err = write_all(fd, text, KEY_FILE_BYTES);
		if (fsync(fd) != 0) err = ERR_IO;
		if (close(fd) != 0) err = ERR_IO;
	}
	sodium_memzero(seed, sizeof seed);
	sodium_memzero(text, sizeof text);
	if (err == ERR_OK) return ERR_OK;
	return fault_set(f, err, NULL, "The signing key %s cannot be written: %s.", path,
			 strerror(errno));
}

static enum err read_key(int fd, const char *path, char text[KEY_FILE_BYTES + 1], struct fault *f) {
	struct stat status;
	if (fstat(fd, &status) != 0)
		return fault_set(f, ERR_IO, NULL, "The signing key %s cannot be read.", path);
	if (status.st_mode & 077)
		return fault_set(
		    f, ERR_IO, NULL,
		    "The signing key %s can be read by others. Make it private: chmod 600 %s", path,
		    path);
	ssize_t length = read(fd, text, KEY_FILE_BYTES + 1);
	if (length != (ssize_t)KEY_FILE_BYTES ||
	    memcmp(text, KEY_HEADING, sizeof KEY_HEADING - 1) != 0)
		return fault_set(f, ERR_CORRUPT, NULL, "%s is not a signing key.", path);
	return ERR_OK;
}

enum err signing_key_load(struct signing_key *k, const char *path, struct fault *f) {
	char text[KEY_FILE_BYTES + 1];
	unsigned char seed[SEED_BYTES];
	size_t length = 0;
	int fd = open(path, O_RDONLY | O_CLOEXEC);
	if (fd < 0)
		return fault_set(f, ERR_IO, NULL, "The signing key %s cannot be opened: %s.", path,
				 strerror(errno));
	enum err err = read_key(fd, path, text, f);
	close(fd);
	if (err == ERR_OK && (sodium_hex2bin(seed, sizeof seed, text + sizeof KEY_HEADING - 1,
					     2 * SEED_BYTES, NULL, &length, NULL) != 0 ||
			      length != sizeof seed))
		err = fault_set(f, ERR_CORRUPT, NULL, "%s is not a signing key.", path);
	if (err == ERR_OK) signing_key_from_seed(k, seed);
	sodium_memzero(seed, sizeof seed);
	sodium_memzero(text, sizeof text);
	return err;
}

void signing_key_clear(struct signing_key *k) { sodium_memzero(k, sizeof *k); }

void signing_key_sign(const struct signing_key *k, const void *bytes, size_t length,
		      unsigned char signature[SIGNATURE_BYTES]) {
	crypto_sign_detached(signature, NULL, bytes, length, k->secret);
}

bool signature_holds(const unsigned char public_key[PUBLIC_KEY_BYTES], const void *bytes,
		     size_t length, const unsigned char signature[SIGNATURE_BYTES]) {
	return crypto_sign_verify_detached(signature, bytes, length, public_key) == 0;
}
