/*
 * The least a server can do, to compare with: libmicrohttpd with an epoll pool
 * of two threads and nothing of our own.
 *
 *   bare_server DATA
 *
 * GET answers a fixed page of 8 KiB. POST writes, by one thread that commits in
 * groups, the rows that recording a cleaning of a component writes: the
 * cleaning, the component's four duties and its standing anew, one signed audit
 * entry and its record row. No rights, fields, rules or pages. Prints its port.
 */
#include <microhttpd.h>
#include <pthread.h>
#include <sodium.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define PAGE_BYTES 8192
#define GROUP_MAX 64

struct job {
	struct MHD_Connection *connection;
	struct job *next;
	char body[512];
	size_t length;
	int done;
};

static struct {
	pthread_mutex_t mutex;
	pthread_cond_t came;
	struct job *first, *last;
} queue = {PTHREAD_MUTEX_INITIALIZER, PTHREAD_COND_INITIALIZER, NULL, NULL};

static char page[PAGE_BYTES], done[] = "{}";
static struct MHD_Response *page_response, *done_response;

enum { BEGIN, CLEANING, DUTY_CLEAR, DUTY_PUT, STANDING, ENTRY, RECORD, COMMIT, STATEMENTS };
static const char *const sql[STATEMENTS] = {
    "BEGIN IMMEDIATE",
    "INSERT INTO cleaning (component_id, cleaned_on, class, reason, performed_by)"
    " VALUES (?1, '2026-11-25', 'advanced', 'measured', 'Mila Novak')",
    "DELETE FROM duty WHERE component_id = ?1",
    "INSERT INTO duty (component_id, duty, due_on, rule, fact, fact_on, reason) SELECT ?1, code,"
    " '2027-11-25', 'rule of the edition', 'cleaned', '2026-11-25', 'Every 6 months, and what it "
    "was"
    " counted from is told here.' FROM duty_kind ORDER BY position LIMIT 4",
    "UPDATE standing SET ready_until = '2027-05-25', blockers = '[]' WHERE component_id = ?1",
    "INSERT INTO audit_entry (seq, at, actor, account_id, action, records, previous_hash, hash,"
    " signature) VALUES (?1, '2026-11-25T12:00:00Z', '1 Mila Novak', 1, 'record cleaning', ?2, ?3, "
    "?4,"
    " ?5)",
    "INSERT INTO audit_record (table_name, record_id, seq) VALUES ('cleaning', ?1, ?2)",
    "COMMIT",
};

struct writer {
	sqlite3 *db;
	sqlite3_stmt *statement[STATEMENTS];
	unsigned char secret[crypto_sign_SECRETKEYBYTES];
	char previous[65];
	sqlite3_int64 seq;
};

static void must(int good, const char *what) {
	if (good) return;
	fprintf(stderr, "bare_server: %s\n", what);
	exit(1);
}

static void step(sqlite3_stmt *s) {
	int rc = sqlite3_step(s);
	must(rc == SQLITE_DONE || rc == SQLITE_ROW, sqlite3_errmsg(sqlite3_db_handle(s)));
	sqlite3_reset(s);
}

static void add_entry(struct writer *w, const char *body, sqlite3_int64 cleaning) {
	char records[1024], line[256], bytes[512], digest[65], hash[65], signature[129];
	unsigned char sum[crypto_hash_sha256_BYTES], sign[crypto_sign_BYTES];
	snprintf(records, sizeof records, "[{\"table\":\"cleaning\",\"id\":%lld,\"state\":%s}]",
		 cleaning, body);
	crypto_hash_sha256(sum, (const unsigned char *)records, strlen(records));
	sodium_bin2hex(digest, sizeof digest, sum, sizeof sum);
	snprintf(line, sizeof line,
		 "%lld\n2026-11-25T12:00:00Z\n\"1 Mila Novak\"\n1\n\"record cleaning\"\n",
		 ++w->seq);
	int length = snprintf(bytes, sizeof bytes, "bare\n%s%s\n%s\n", line, digest, w->previous);
	crypto_hash_sha256(sum, (const unsigned char *)bytes, (unsigned long long)length);
	sodium_bin2hex(hash, sizeof hash, sum, sizeof sum);
	crypto_sign_detached(sign, NULL, (const unsigned char *)bytes, (unsigned long long)length,
			     w->secret);
	sodium_bin2hex(signature, sizeof signature, sign, sizeof sign);
	sqlite3_stmt *s = w->statement[ENTRY];
	sqlite3_bind_int64(s, 1, w->seq);
	sqlite3_bind_text(s, 2, records, -1, SQLITE_STATIC);
	sqlite3_bind_text(s, 3, w->previous, -1, SQLITE_STATIC);
	sqlite3_bind_text(s, 4, hash, -1, SQLITE_STATIC);
	sqlite3_bind_text(s, 5, signature, -1, SQLITE_STATIC);
	step(s);
	memcpy(w->previous, hash, sizeof hash);
	sqlite3_bind_int64(w->statement[RECORD], 1, cleaning);
	sqlite3_bind_int64(w->statement[RECORD], 2, w->seq);
	step(w->statement[RECORD]);
}

static void write_rows(struct writer *w, const struct job *j) {
	const char *at = strstr(j->body, "\"component\":");
	sqlite3_int64 component = at ? atoll(at + 12) : 1;
	sqlite3_bind_int64(w->statement[CLEANING], 1, component);
	step(w->statement[CLEANING]);
	sqlite3_int64 cleaning = sqlite3_last_insert_rowid(w->db);
	for (int i = DUTY_CLEAR; i <= STANDING; i++) {
		sqlite3_bind_int64(w->statement[i], 1, component);
		step(w->statement[i]);
	}
	add_entry(w, j->body, cleaning);
}

static struct job *take_group(void) {
	pthread_mutex_lock(&queue.mutex);
	while (!queue.first) pthread_cond_wait(&queue.came, &queue.mutex);
	struct job *group = queue.first, *end = group;
	for (int n = 1; end->next && n < GROUP_MAX; n++) end = end->next;
	queue.first = end->next;
	if (!queue.first) queue.last = NULL;
	end->next = NULL;
	pthread_mutex_unlock(&queue.mutex);
	return group;
}

static void *write_groups(void *self) {
	struct writer *w = self;
	for (;;) {
		struct job *group = take_group();
		step(w->statement[BEGIN]);
		for (struct job *j = group; j; j = j->next) write_rows(w, j);
		step(w->statement[COMMIT]);
		while (group) {
			struct job *next = group->next;
			group->done = 1;
			MHD_resume_connection(group->connection);
			group = next;
		}
	}
	return NULL;
}

static void open_writer(struct writer *w, const char *data) {
	char path[4096];
	unsigned char public_key[crypto_sign_PUBLICKEYBYTES];
	snprintf(path, sizeof path, "%s/pegwarden.db", data);
	must(sqlite3_open_v2(path, &w->db, SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX, NULL) ==
		 SQLITE_OK,
	     "the database cannot be opened");
	must(sqlite3_exec(
		 w->db,
		 "PRAGMA busy_timeout = 5000; PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL;"
		 "PRAGMA foreign_keys = ON; PRAGMA mmap_size = 2147418112;"
		 "PRAGMA cache_size = -8192; PRAGMA wal_autocheckpoint = 4000;",
		 NULL, NULL, NULL) == SQLITE_OK,
	     "the database cannot be set up");
	for (int i = 0; i < STATEMENTS; i++)
		must(sqlite3_prepare_v3(w->db, sql[i], -1, SQLITE_PREPARE_PERSISTENT,
					&w->statement[i], NULL) == SQLITE_OK,
		     sqlite3_errmsg(w->db));
	sqlite3_stmt *last;
	must(sqlite3_prepare_v2(w->db,
				"SELECT seq, hash FROM audit_entry ORDER BY seq DESC LIMIT 1", -1,
				&last, NULL) == SQLITE_OK &&
		 sqlite3_step(last) == SQLITE_ROW,
	     "no audit entry");
	w->seq = sqlite3_column_int64(last, 0);
	snprintf(w->previous, sizeof w->previous, "%s", (const char *)sqlite3_column_text(last, 1));
	sqlite3_finalize(last);
	crypto_sign_keypair(public_key, w->secret);
}

static enum MHD_Result answer(void *self, struct MHD_Connection *connection, const char *url,
			      const char *method, const char *version, const char *bytes,
			      size_t *length, void **context) {
	struct job *j = *context;
	(void)self, (void)url, (void)version;
	if (strcmp(method, "POST") != 0) {
		if (!j) {
			*context = page; /* the second call answers, so that the connection stays */
			return MHD_YES;
		}
		return MHD_queue_response(connection, 200, page_response);
	}
	if (!j) {
		*context = j = calloc(1, sizeof *j);
		return j ? MHD_YES : MHD_NO;
	}
	if (*length) {
		if (*length < sizeof j->body - j->length)
			memcpy(j->body + j->length, bytes, *length);
		j->length += *length;
		*length = 0;
		return MHD_YES;
	}
	if (j->done) return MHD_queue_response(connection, 200, done_response);
	j->connection = connection;
	MHD_suspend_connection(connection);
	pthread_mutex_lock(&queue.mutex);
	if (queue.last) queue.last->next = j;
	else queue.first = j;
	queue.last = j;
	pthread_cond_signal(&queue.came);
	pthread_mutex_unlock(&queue.mutex);
	return MHD_YES;
}

static void completed(void *self, struct MHD_Connection *connection, void **context,
		      enum MHD_RequestTerminationCode why) {
	(void)self, (void)connection, (void)why;
	if (*context && *context != page) free(*context);
}

int main(int argc, char **argv) {
	static struct writer w;
	pthread_t thread;
	must(argc == 2, "usage: bare_server DATA");
	must(sodium_init() >= 0, "no libsodium");
	sqlite3_config(SQLITE_CONFIG_MEMSTATUS, 0);
	open_writer(&w, argv[1]);
	memset(page, 'x', sizeof page);
	page_response = MHD_create_response_from_buffer(sizeof page, page, MHD_RESPMEM_PERSISTENT);
	done_response = MHD_create_response_from_buffer(2, done, MHD_RESPMEM_PERSISTENT);
	must(pthread_create(&thread, NULL, write_groups, &w) == 0, "no thread");
	struct MHD_Daemon *d =
	    MHD_start_daemon(MHD_USE_EPOLL_INTERNAL_THREAD | MHD_ALLOW_SUSPEND_RESUME | MHD_USE_ITC,
			     0, NULL, NULL, answer, NULL, MHD_OPTION_THREAD_POOL_SIZE, 2u,
			     MHD_OPTION_NOTIFY_COMPLETED, completed, NULL, MHD_OPTION_END);
	must(d != NULL, "cannot listen");
	printf("http://127.0.0.1:%d/\n", MHD_get_daemon_info(d, MHD_DAEMON_INFO_BIND_PORT)->port);
	fflush(stdout);
	pause();
	return 0;
}
