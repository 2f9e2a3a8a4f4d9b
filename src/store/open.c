#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/limits.h"
#include "store/change.h"
#include "store/data_dir.h"
#include "store/internal.h"
#include "store/tree.h"

#define FACT_NAME(table) #table,
const char *const fact_table[FACT_TABLES] = {FACT_TABLE_LIST(FACT_NAME)};

int fact_table_index(const char *name) {
	for (int i = 0; i < FACT_TABLES; i++)
		if (strcmp(fact_table[i], name) == 0) return i;
	return -1;
}

/* Written once, and never again. */
static bool is_sealed(const char *table) {
	return strcmp(table, "audit_entry") == 0 || strcmp(table, "audit_record") == 0 ||
	       strcmp(table, "photo_content") == 0;
}

/* Facts are never deleted, and only migrations change the schema: whatever SQL
 * may once slip in, it is refused when it is prepared. */
static int authorize(void *self, int action, const char *first, const char *second,
		     const char *database, const char *trigger) {
	const struct store *st = self;
	(void)second, (void)database, (void)trigger;
	if (st->may_alter) return SQLITE_OK;
	switch (action) {
	case SQLITE_DELETE:
		return fact_table_index(first) >= 0 || is_sealed(first) ? SQLITE_DENY : SQLITE_OK;
	case SQLITE_UPDATE: return is_sealed(first) ? SQLITE_DENY : SQLITE_OK;
	case SQLITE_DROP_TABLE:
	case SQLITE_DROP_INDEX:
	case SQLITE_DROP_TRIGGER:
	case SQLITE_DROP_VIEW:
	case SQLITE_ALTER_TABLE:
	case SQLITE_CREATE_TABLE:
	case SQLITE_CREATE_TRIGGER:
	case SQLITE_ATTACH: return SQLITE_DENY;
	default: return SQLITE_OK;
	}
}

/* Every row of a fact table that a statement changes is noted. */
static void note_change(void *self, int action, const char *database, const char *table,
			sqlite3_int64 id) {
	struct store *st = self;
	(void)action, (void)database;
	int index = fact_table_index(table);
	if (index >= 0) touched_add(&st->touched, index, id);
}

enum err store_script(struct store *st, const char *text, const char *what, struct fault *f) {
	if (sqlite3_exec(st->db, text, NULL, NULL, NULL) == SQLITE_OK) return ERR_OK;
	return store_sqlite_fault(st, what, f);
}

static void harden(sqlite3 *db) {
	sqlite3_db_config(db, SQLITE_DBCONFIG_DEFENSIVE, 1, NULL);
	sqlite3_db_config(db, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, NULL);
	sqlite3_db_config(db, SQLITE_DBCONFIG_ENABLE_LOAD_EXTENSION, 0, NULL);
	sqlite3_db_config(db, SQLITE_DBCONFIG_DQS_DML, 0, NULL);
	sqlite3_db_config(db, SQLITE_DBCONFIG_DQS_DDL, 0, NULL);
	sqlite3_limit(db, SQLITE_LIMIT_ATTACHED, 1); /* VACUUM INTO uses one */
	sqlite3_limit(db, SQLITE_LIMIT_LENGTH, (int)LIMIT_IMPORT_BYTES_MAX * 2);
	sqlite3_limit(db, SQLITE_LIMIT_SQL_LENGTH, 1024 * 1024);
	sqlite3_limit(db, SQLITE_LIMIT_WORKER_THREADS, 0);
}

/* Reads go through the memory map, so a small cache is enough; a checkpoint every
 * 4,000 pages keeps the log near 16 MiB under unbroken writing. */
static enum err set_pragmas(struct store *st, struct fault *f) {
	enum err err = store_script(st,
				    "PRAGMA busy_timeout = 5000;"
				    "PRAGMA foreign_keys = ON;"
				    "PRAGMA mmap_size = 2147418112;"
				    "PRAGMA cache_size = -1024;"
				    "PRAGMA temp_store = MEMORY;",
				    "setting up the database", f);
	if (err == ERR_OK && st->mode == STORE_WRITE)
		err = store_script(st,
				   "PRAGMA journal_mode = WAL;"
				   "PRAGMA synchronous = FULL;"
				   "PRAGMA cache_size = -8192;"
				   "PRAGMA wal_autocheckpoint = 4000;",
				   "setting up the database", f);
	if (err == ERR_OK && st->mode == STORE_READ)
		err = store_script(st, "PRAGMA query_only = ON;", "setting up the database", f);
	return err;
}

/* SQLite's counters of memory, which nobody reads, cost a lock at every allocation. */
static void configure_once(void) { sqlite3_config(SQLITE_CONFIG_MEMSTATUS, 0); }

SQL(derived_by, "SELECT user_version FROM pragma_user_version");
SQL_SCAN(migrated_to, "SELECT coalesce(max(number), 0) FROM migration");

/* A migration may change the handbook, and with it what follows from the same facts. Which one
 * the derived rows were computed after is noted last: what a stop interrupts begins again. */
static enum err derive_anew(struct store *st, struct fault *f) {
	int64_t after, last, differences;
	char note[64];
	enum err err = store_number(st, &derived_by, 0, &after, f, "");
	if (err == ERR_OK) err = store_number(st, &migrated_to, 0, &last, f, "");
	if (err != ERR_OK || after == last) return err;
	err = store_rebuild(st, true, &differences, f);
	snprintf(note, sizeof note, "PRAGMA user_version = %d", (int)last);
	return err == ERR_OK ? store_script(st, note, "noting the rebuild", f) : err;
}

enum err store_open(struct store **opened, const char *data_dir, const char *migrations_dir,
		    enum store_mode mode, struct fault *f) {
	static pthread_once_t configured = PTHREAD_ONCE_INIT;
	*opened = NULL;
	pthread_once(&configured, configure_once);
	struct store *st = calloc(1, sizeof *st);
	if (!st) return fault_memory(f);
	st->mode = mode;
	arena_init(&st->handbook_arena, LIMIT_ARENA_BYTES_MAX);
	arena_init(&st->program_arena, LIMIT_ARENA_BYTES_MAX);
	int flags =
	    SQLITE_OPEN_NOMUTEX | (mode == STORE_WRITE ? SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE
						       : SQLITE_OPEN_READWRITE);
	char path[DATA_PATH_SIZE];
	enum err err = data_dir_path(data_dir, DATA_DATABASE, path, f);
	if (err == ERR_OK && sqlite3_open_v2(path, &st->db, flags, NULL) != SQLITE_OK)
		err = store_sqlite_fault(st, path, f);
	if (err != ERR_OK) goto out;
	harden(st->db);
	err = set_pragmas(st, f);
	if (err == ERR_OK && mode == STORE_WRITE) {
		st->may_alter = true;
		err = store_migrate(st, migrations_dir, f);
		st->may_alter = false;
		if (err == ERR_OK) err = audit_tree_catch_up(st, f);
		if (err == ERR_OK) err = derive_anew(st, f);
	}
	if (err != ERR_OK) goto out;
	sqlite3_set_authorizer(st->db, authorize, st);
	if (mode == STORE_WRITE) sqlite3_update_hook(st->db, note_change, st);
out:
	if (err == ERR_OK) *opened = st;
	else store_close(st);
	return err;
}
