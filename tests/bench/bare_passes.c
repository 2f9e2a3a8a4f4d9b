/*
 * The least that has to be done, without rules, fields or documents:
 *
 *   bare_passes duties DATA           reads every row that duties and standings
 *                                     are computed from or compared with
 *   bare_passes readiness DATA DAY    the department's numbers, by the two
 *                                     indexes that serve them best
 *   bare_passes import FROM TO        inserts the rows that an import left in
 *                                     FROM into TO, each entry signed anew
 *
 * Prints milliseconds.
 */
#include <sodium.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

static void must(int good, const char *what) {
	if (good) return;
	fprintf(stderr, "bare_passes: %s\n", what);
	exit(1);
}

static double now_ms(void) {
	struct timespec t;
	clock_gettime(CLOCK_MONOTONIC, &t);
	return (double)t.tv_sec * 1e3 + (double)t.tv_nsec / 1e6;
}

static void run(sqlite3 *db, const char *sql) {
	must(sqlite3_exec(db, sql, NULL, NULL, NULL) == SQLITE_OK, sqlite3_errmsg(db));
}

static sqlite3 *open_data(const char *data) {
	char path[4096];
	sqlite3 *db;
	snprintf(path, sizeof path, "%s/pegwarden.db", data);
	must(sqlite3_open_v2(path, &db, SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX, NULL) ==
		 SQLITE_OK,
	     "the database cannot be opened");
	run(db,
	    "PRAGMA busy_timeout = 5000; PRAGMA mmap_size = 2147418112; PRAGMA cache_size = -8192;"
	    "PRAGMA synchronous = FULL; PRAGMA wal_autocheckpoint = 4000");
	return db;
}

static sqlite3_stmt *prepare(sqlite3 *db, const char *sql) {
	sqlite3_stmt *s;
	must(sqlite3_prepare_v2(db, sql, -1, &s, NULL) == SQLITE_OK, sqlite3_errmsg(db));
	return s;
}

/* Every row and column; the sum keeps the compiler from leaving it out. */
static long long read_all(sqlite3 *db, const char *sql) {
	sqlite3_stmt *s = prepare(db, sql);
	int columns = sqlite3_column_count(s), rc;
	long long sum = 0;
	while ((rc = sqlite3_step(s)) == SQLITE_ROW)
		for (int i = 0; i < columns; i++) {
			const unsigned char *text = sqlite3_column_text(s, i);
			sum += text ? text[0] : 1;
		}
	must(rc == SQLITE_DONE, sqlite3_errmsg(db));
	sqlite3_finalize(s);
	return sum;
}

static void pass_duties(sqlite3 *db) {
	static const char *const sql[] = {
	    "SELECT c.id, c.kind, c.made, c.in_service_on, c.cbrn, c.reflective, "
	    "c.withdrawn_reason,"
	    " c.retired_on, c.retired_reason, e.member_id, c.ensemble_id, c.maker, c.model,"
	    " c.serial, c.life_months, c.retired_ground, c.disposed_on, c.training_on"
	    " FROM component c"
	    " LEFT JOIN ensemble e ON e.id = c.ensemble_id AND e.active = 1 ORDER BY c.id",
	    "SELECT component_id, issued_on, returned_on, condition_at_return FROM issue"
	    " ORDER BY component_id, issued_on",
	    "SELECT component_id, cause, exposed_on, incident, id, ended_by_cleaning FROM exposure"
	    " WHERE revoked_on IS NULL ORDER BY component_id, exposed_on, id",
	    "SELECT i.component_id, d.state, d.sent_on, d.returned_on, d.number, p.name,"
	    " n.inspected_on, n.id FROM dispatch_item i JOIN dispatch d ON d.id = i.dispatch_id"
	    " JOIN provider p ON p.id = d.provider_id JOIN finding f ON f.id = i.finding_id"
	    " JOIN inspection n ON n.id = f.inspection_id WHERE d.state IN ('sent', 'returned')"
	    " ORDER BY i.component_id, d.sent_on",
	    "SELECT component_id, test, tested_on, result, because, id, provider_id, sign FROM"
	    " field_test WHERE revoked_on IS NULL ORDER BY component_id, tested_on, id",
	    "SELECT component_id, finding_id, duty, due_on, reason FROM follow_up"
	    " WHERE done_by_inspection IS NULL ORDER BY component_id, due_on",
	    "SELECT i.component_id, n.id, n.number, n.title, n.action, i.hit, i.state, i.reason,"
	    " n.asked_on FROM safety_notice_item i JOIN safety_notice n ON n.id = i.notice_id"
	    " WHERE i.state IN ('left', 'sent', 'out_of_use') ORDER BY i.component_id",
	    "SELECT component_id, kind, inspected_on, conclusion, clean, model_agrees, size_agrees,"
	    " checklist_id IS NULL, id, inspection_id FROM inspection_part WHERE signed = 1 ORDER "
	    "BY id",
	    "SELECT component_id, cleaned_on, class, beyond, provider_id FROM cleaning"
	    " ORDER BY component_id, cleaned_on",
	    "SELECT f.component_id, f.id, f.check_point, f.defect, f.zone, f.place, f.outcome,"
	    " i.inspected_on FROM finding f JOIN inspection i ON i.id = f.inspection_id"
	    " WHERE f.state = 'open' ORDER BY f.component_id, f.id",
	    /* which of them was work on the barrier */
	    "SELECT component_id, closed_on, check_point FROM finding WHERE state = 'mended'"
	    " AND outcome IN ('repair', 'replace', 'test') ORDER BY component_id",
	    "SELECT component_id, duty, due_on, rule, fact, fact_on, reason FROM duty ORDER BY "
	    "component_id",
	    "SELECT component_id, state, blocker_count, blockers, ready_until, ensemble_id FROM "
	    "standing"
	    " ORDER BY component_id",
	    /* and what the readiness of the members is computed from or compared with */
	    "SELECT id, station_id, structural, proximity, status FROM member",
	    "SELECT e.member_id, e.id, e.code, e.hazard, e.line, c.id, c.kind, c.maker, c.model, "
	    "c.size,"
	    " i.id, s.state, s.blocker_count, s.ready_until FROM member m"
	    " JOIN ensemble e ON e.member_id = m.id AND e.active = 1 JOIN component c"
	    " ON c.ensemble_id = e.id JOIN standing s ON s.component_id = c.id LEFT JOIN issue i"
	    " ON i.component_id = c.id AND i.returned_on IS NULL WHERE c.retired_on IS NULL",
	    "SELECT i.member_id, c.id, c.kind, s.state FROM member m JOIN issue i ON i.member_id = "
	    "m.id"
	    " AND i.returned_on IS NULL JOIN component c ON c.id = i.component_id"
	    " JOIN standing s ON s.component_id = c.id WHERE c.retired_on IS NULL",
	    "SELECT member_id, hazard, station_id, ready_until, ensemble_id, obstacles FROM "
	    "member_readiness",
	};
	double began = now_ms();
	long long sum = 0;
	for (size_t i = 0; i < sizeof sql / sizeof *sql; i++) sum += read_all(db, sql[i]);
	printf("%.2f\n", now_ms() - began);
	must(sum != 0, "nothing was read");
}

static void pass_readiness(sqlite3 *db, const char *day) {
	char sql[400];
	double best = 1e9;
	snprintf(
	    sql, sizeof sql,
	    "SELECT station_id, hazard, count(*) FROM member_readiness WHERE ready_until < '%.10s'"
	    " GROUP BY station_id, hazard",
	    day);
	for (int i = 0; i < 50; i++) {
		double began = now_ms();
		read_all(db, "SELECT station_id, hazard, member_count FROM station_strength");
		read_all(db, sql);
		double took = now_ms() - began;
		if (took < best) best = took;
	}
	printf("%.3f\n", best);
}

/* --- import ------------------------------------------------------------------------ */

static void copy_rows(sqlite3 *db, const char *select, const char *insert) {
	sqlite3_stmt *from = prepare(db, select), *to = prepare(db, insert);
	int columns = sqlite3_column_count(from);
	while (sqlite3_step(from) == SQLITE_ROW) {
		for (int i = 0; i < columns; i++)
			sqlite3_bind_value(to, i + 1, sqlite3_column_value(from, i));
		must(sqlite3_step(to) == SQLITE_DONE, sqlite3_errmsg(db));
		sqlite3_reset(to);
	}
	sqlite3_finalize(from);
	sqlite3_finalize(to);
}

static void sign_entries(sqlite3 *db) {
	unsigned char secret[crypto_sign_SECRETKEYBYTES], public_key[crypto_sign_PUBLICKEYBYTES];
	unsigned char sum[crypto_hash_sha256_BYTES], signature[crypto_sign_BYTES];
	char hash[65], signed_hex[129], bytes[1024];
	crypto_sign_keypair(public_key, secret);
	sqlite3_stmt *from =
	    prepare(db, "SELECT seq, at, actor, account_id, action, records, previous_hash"
			" FROM source.audit_entry WHERE seq > (SELECT max(seq) FROM"
			" main.audit_entry) ORDER BY seq");
	sqlite3_stmt *to =
	    prepare(db, "INSERT INTO audit_entry (seq, at, actor, account_id, action, records,"
			" previous_hash, hash, signature) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)");
	while (sqlite3_step(from) == SQLITE_ROW) {
		crypto_hash_sha256(sum, sqlite3_column_text(from, 5),
				   (unsigned long long)sqlite3_column_bytes(from, 5));
		sodium_bin2hex(hash, sizeof hash, sum, sizeof sum);
		int length = snprintf(bytes, sizeof bytes, "bare\n%lld\n%s\n%s\n%s\n",
				      sqlite3_column_int64(from, 0),
				      (const char *)sqlite3_column_text(from, 1), hash,
				      (const char *)sqlite3_column_text(from, 6));
		crypto_hash_sha256(sum, (const unsigned char *)bytes, (unsigned long long)length);
		sodium_bin2hex(hash, sizeof hash, sum, sizeof sum);
		crypto_sign_detached(signature, NULL, (const unsigned char *)bytes,
				     (unsigned long long)length, secret);
		sodium_bin2hex(signed_hex, sizeof signed_hex, signature, sizeof signature);
		for (int i = 0; i < 7; i++)
			sqlite3_bind_value(to, i + 1, sqlite3_column_value(from, i));
		sqlite3_bind_text(to, 8, hash, -1, SQLITE_STATIC);
		sqlite3_bind_text(to, 9, signed_hex, -1, SQLITE_STATIC);
		must(sqlite3_step(to) == SQLITE_DONE, sqlite3_errmsg(db));
		sqlite3_reset(to);
	}
	sqlite3_finalize(from);
	sqlite3_finalize(to);
}

static void copy_table(sqlite3 *db, const char *table, const char *condition, const char *marks) {
	char select[300], insert[300];
	snprintf(select, sizeof select, "SELECT * FROM source.%s %s", table, condition);
	snprintf(insert, sizeof insert, "INSERT OR REPLACE INTO main.%s VALUES (%s)", table, marks);
	copy_rows(db, select, insert);
}

static void pass_import(sqlite3 *db, const char *from) {
	char attach[4300];
	snprintf(attach, sizeof attach, "ATTACH '%s/pegwarden.db' AS source", from);
	run(db, attach);
	double began = now_ms();
	run(db, "BEGIN IMMEDIATE");
	copy_table(db, "ensemble", "", "?,?,?,?,?,?,?,?");
	copy_table(db, "component", "", "?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?");
	copy_table(db, "issue", "", "?,?,?,?,?,?,?,?,?");
	copy_table(db, "duty", "", "?,?,?,?,?,?,?");
	copy_table(db, "standing", "", "?,?,?,?,?,?");
	copy_table(db, "member_readiness", "", "?,?,?,?,?,?");
	copy_rows(db,
		  "SELECT text, kind, record_id FROM source.search WHERE kind IN ('component', "
		  "'ensemble')",
		  "INSERT INTO main.search (text, kind, record_id) VALUES (?, ?, ?)");
	copy_table(db, "audit_record", "WHERE seq > (SELECT max(seq) FROM main.audit_entry)",
		   "?,?,?");
	sign_entries(db);
	run(db, "COMMIT");
	printf("%.1f\n", now_ms() - began);
}

int main(int argc, char **argv) {
	must(argc >= 3 && sodium_init() >= 0,
	     "usage: bare_passes duties|readiness|import DATA [DAY|TO]");
	sqlite3_config(SQLITE_CONFIG_MEMSTATUS, 0);
	if (strcmp(argv[1], "duties") == 0) pass_duties(open_data(argv[2]));
	else if (strcmp(argv[1], "readiness") == 0 && argc > 3)
		pass_readiness(open_data(argv[2]), argv[3]);
	else if (strcmp(argv[1], "import") == 0 && argc > 3)
		pass_import(open_data(argv[3]), argv[2]);
	else must(0, "unknown pass");
	return 0;
}
