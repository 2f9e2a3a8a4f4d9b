/*
 * The schema, step by step: numbered files, each applied once, in order, in a
 * transaction of its own. The SHA-256 of what was applied is kept, so that an
 * old file that was edited is noticed instead of silently meaning two things.
 */
#include <dirent.h>
#include <sodium.h>
#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "base/text.h"
#include "store/data_dir.h"
#include "store/internal.h"

#define MIGRATIONS_MAX 500
#define MIGRATION_BYTES_MAX (4 * 1024 * 1024)

SQL(migration_hash, "SELECT hash FROM migration WHERE number = ?1");
SQL(migration_add, "INSERT INTO migration (number, name, hash) VALUES (?1, ?2, ?3)");

static int is_migration(const struct dirent *entry) {
	const char *name = entry->d_name;
	size_t length = strlen(name);
	return length > 9 && strspn(name, "0123456789") == 4 && name[4] == '-' &&
	       strcmp(name + length - 4, ".sql") == 0;
}

static enum err read_file(const char *folder, const char *name, struct buf *text, struct fault *f) {
	char path[DATA_PATH_SIZE];
	enum err err = data_dir_path(folder, name, path, f);
	return err == ERR_OK ? buf_add_file(text, path, f) : err;
}

static void hash_hex(const struct buf *text, char hex[65]) {
	unsigned char hash[crypto_hash_sha256_BYTES];
	crypto_hash_sha256(hash, (const unsigned char *)buf_text(text), text->length);
	sodium_bin2hex(hex, 65, hash, sizeof hash);
}

static enum err run_migration(struct store *st, int64_t number, const char *name,
			      const struct buf *text, const char *hash, struct fault *f) {
	enum err err = store_script(st, "BEGIN IMMEDIATE", name, f);
	if (err != ERR_OK) return err;
	err = store_script(st, buf_text(text), name, f);
	if (err == ERR_OK) err = store_run(st, &migration_add, f, "itt", number, name, hash);
	if (err == ERR_OK) err = store_script(st, "COMMIT", name, f);
	if (err != ERR_OK) sqlite3_exec(st->db, "ROLLBACK", NULL, NULL, NULL);
	return err;
}

static enum err apply(struct store *st, const char *folder, const char *name, struct arena *a,
		      struct fault *f) {
	struct buf text;
	buf_init(&text, MIGRATION_BYTES_MAX);
	struct doc *row = NULL;
	char hash[65], digits[5] = {name[0], name[1], name[2], name[3], '\0'};
	int64_t number = 0;
	enum err err = text_to_int(digits, 1, 9999, &number)
			   ? read_file(folder, name, &text, f)
			   : fault_set(f, ERR_CORRUPT, NULL, "%s has no number above 0.", name);
	if (err != ERR_OK) goto out;
	hash_hex(&text, hash);
	err = store_one(st, &migration_hash, a, &row, f, "i", number);
	if (err != ERR_OK) goto out;
	if (!row) err = run_migration(st, number, name, &text, hash, f);
	else if (!text_equal(doc_text(row, "hash"), hash))
		err = fault_set(f, ERR_CORRUPT, NULL,
				"Migration %s was changed after it was applied to this database. "
				"Install the version of the program that wrote it.",
				name);
out:
	buf_release(&text);
	return err;
}

enum err store_migrate(struct store *st, const char *folder, struct fault *f) {
	enum err err =
	    store_script(st,
			 "CREATE TABLE IF NOT EXISTS migration (number INTEGER PRIMARY KEY,"
			 " name TEXT NOT NULL, hash TEXT NOT NULL) STRICT",
			 "migration", f);
	if (err != ERR_OK) return err;
	struct dirent **entry = NULL;
	int count = scandir(folder, &entry, is_migration, alphasort);
	if (count <= 0 || count > MIGRATIONS_MAX)
		err = fault_set(f, ERR_IO, NULL, "There are no migrations in %s.", folder);
	struct arena arena;
	arena_init(&arena, 1024 * 1024);
	for (int i = 0; i < count; i++) {
		if (err == ERR_OK) err = apply(st, folder, entry[i]->d_name, &arena, f);
		free(entry[i]);
	}
	free(entry);
	arena_clear(&arena);
	return err;
}
