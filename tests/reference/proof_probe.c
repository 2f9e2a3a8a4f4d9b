/*
 * For the comparison with node:crypto:
 *   proof_probe tree           each line "A B": a tree of A leaves, put away, read again and grown
 *                              to B; prints the roots at A and B. Leaf n is the decimal number n.
 *   proof_probe write SEED     each line "SIZE ROOT": prints the signed checkpoint
 *   proof_probe read PUBLIC    a note on standard input: prints its size and root, or "refused"
 */
#include <sodium.h>
#include <stdio.h>
#include <string.h>

#include "audit/note.h"
#include "base/text.h"

static void grow(struct tree *t, int64_t size) {
	unsigned char leaf[32] = {0}, hash[TREE_HASH_BYTES];
	while (t->size < size) {
		int length =
		    snprintf((char *)leaf + 1, sizeof leaf - 1, "%lld", (long long)t->size);
		crypto_hash_sha256(hash, leaf, 1 + (size_t)length);
		tree_add(t, hash);
	}
}

static void print_root(const struct checkpoint *c, char end) {
	for (size_t i = 0; i < sizeof c->root; i++) printf("%02x", c->root[i]);
	putchar(end);
}

static bool answer_tree(int64_t first, int64_t second) {
	struct tree t;
	struct checkpoint c;
	char peaks[TREE_PEAKS_TEXT_SIZE];
	tree_init(&t);
	grow(&t, first);
	checkpoint_of_tree(&c, &t);
	print_root(&c, ' ');
	tree_write_peaks(&t, peaks);
	if (!tree_read(&t, first, peaks)) return false;
	grow(&t, second);
	checkpoint_of_tree(&c, &t);
	print_root(&c, '\n');
	return true;
}

static bool answer_write(const char *seed_hex, int64_t size, const char *root) {
	unsigned char seed[SEED_BYTES];
	struct signing_key k;
	struct checkpoint c = {.size = size};
	struct buf note;
	if (!text_from_hex(seed_hex, seed, sizeof seed) ||
	    !text_from_hex(root, c.root, sizeof c.root))
		return false;
	signing_key_from_seed(&k, seed);
	buf_init(&note, NOTE_BYTES_MAX);
	checkpoint_write(&c, &k, &note);
	fputs(buf_text(&note), stdout);
	buf_release(&note);
	return true;
}

static bool answer_lines(const char *mode, const char *seed) {
	char line[200];
	while (fgets(line, sizeof line, stdin)) {
		line[strcspn(line, "\n")] = '\0';
		char *space = strchr(line, ' ');
		int64_t first, second = 0;
		if (!space) return false;
		*space = '\0';
		bool tree = strcmp(mode, "tree") == 0;
		if (!text_to_int(line, 0, INT64_MAX, &first)) return false;
		if (tree && !text_to_int(space + 1, first, INT64_MAX, &second)) return false;
		if (!(tree ? answer_tree(first, second) : answer_write(seed, first, space + 1)))
			return false;
	}
	return true;
}

static bool answer_read(const char *public_hex) {
	static char text[4 * NOTE_BYTES_MAX];
	unsigned char public_key[PUBLIC_KEY_BYTES];
	struct checkpoint c;
	struct fault f = {0};
	if (!text_from_hex(public_hex, public_key, sizeof public_key)) return false;
	size_t length = fread(text, 1, sizeof text, stdin);
	if (checkpoint_read(text, length, public_key, &c, &f) != ERR_OK)
		return puts("refused") >= 0;
	printf("%lld ", (long long)c.size);
	print_root(&c, '\n');
	return true;
}

int main(int argc, char **argv) {
	if (argc < 2 || sodium_init() < 0) return 2;
	const char *argument = argc > 2 ? argv[2] : "";
	bool done =
	    strcmp(argv[1], "read") == 0 ? answer_read(argument) : answer_lines(argv[1], argument);
	return done ? 0 : 1;
}
