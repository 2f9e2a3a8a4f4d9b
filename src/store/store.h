/*
 * The store: one SQLite file, and the only room that contains SQL.
 *
 * A struct store is one connection, used by one thread at a time. Reader
 * connections are query-only; there is one writing connection. Statements are
 * const struct sql values in the aggregates' files (store/component.c, ...),
 * prepared once a connection and kept; values are always bound. Results come
 * as documents whose keys are the statement's column names, or row by row
 * through a cursor where rules want structs.
 *
 * In documents a column named is_…, has_… or can_… becomes a boolean, one
 * named …_json is parsed and set under its name without the suffix, and one
 * named state, conclusion, result or class also gives its words for people:
 * "state" out_of_service and "state_label" out of service.
 */
#ifndef PEGWARDEN_STORE_STORE_H
#define PEGWARDEN_STORE_STORE_H

#include <stdbool.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/day.h"
#include "base/doc.h"
#include "base/fault.h"

struct store;

enum store_mode { STORE_READ, STORE_WRITE };

/* Opens DIR/pegwarden.db. Writing creates it when missing and migrates it from
 * the numbered files of the migrations folder, each in one transaction. */
enum err store_open(struct store **st, const char *data_dir, const char *migrations_dir,
		    enum store_mode mode, struct fault *f) MUST_CHECK;
void store_close(struct store *st);

/* One view of the database for several statements: what others commit meanwhile is
 * not seen, and the locks are taken once. Ending none does nothing. */
enum err store_view_begin(struct store *st, struct fault *f) MUST_CHECK;
void store_view_end(struct store *st);

/* --- statements ----------------------------------------------------------- */

struct sql {
	const char *name;
	const char *text;
	bool scan; /* a full scan is meant; the comment beside it says why */
};

/*
 * SQL(open_findings, "SELECT ...") defines a statement of a store file and puts
 * it on the list of all, which a test prepares and explains: nobody can forget
 * to register one. SQL_SCAN marks one that means to read a whole table.
 */
#define SQL_LISTED(variable, query, scans)                                                         \
	static const struct sql variable = {.name = #variable, .text = query, .scan = scans};      \
	static const struct sql *const variable##_listed                                           \
	    __attribute__((used, section("store_sql"))) = &variable
#define SQL(variable, query) SQL_LISTED(variable, query, false)
#define SQL_SCAN(variable, query) SQL_LISTED(variable, query, true)

/* Every statement of the program; NULL past the end. */
const struct sql *store_statement_at(size_t i);
/* Prepares it as the store would and adds each line of its query plan to list. */
enum err store_explain(struct store *st, const struct sql *sql, struct arena *a, struct doc *plan,
		       struct fault *f) MUST_CHECK;

/*
 * Bindings: one letter an argument, in order of ?1, ?2, ...
 *   i int64_t   t const char* (NULL binds null)   d day (DAY_NONE binds null)
 *   b bool (int) n null (no argument)             0 int64_t, 0 binds null (optional ids)
 *   m const int64_t * (NULL binds null: not measured)
 *   x const void * and its size_t length: bytes
 */
enum err store_run(struct store *st, const struct sql *sql, struct fault *f, const char *binds,
		   ...) MUST_CHECK;
/* Rows changed by the last store_run, and the id it inserted. */
int64_t store_changes(struct store *st);
int64_t store_inserted(struct store *st);
/* The single row as a map; *row is NULL when there is none. */
enum err store_one(struct store *st, const struct sql *sql, struct arena *a, struct doc **row,
		   struct fault *f, const char *binds, ...) MUST_CHECK;
/* Every row as a map, appended to list. */
enum err store_list(struct store *st, const struct sql *sql, struct arena *a, struct doc *list,
		    struct fault *f, const char *binds, ...) MUST_CHECK;
/* The single integer; `absent` when there is no row or it is null. */
enum err store_number(struct store *st, const struct sql *sql, int64_t absent, int64_t *number,
		      struct fault *f, const char *binds, ...) MUST_CHECK;

/*
 * A page of a list: ?1 to ?count are texts (NULL: no such filter), then the limit
 * and the offset; without them when limit is negative (for counting).
 */
enum err store_page(struct store *st, const struct sql *sql, struct arena *a, struct doc *list,
		    struct fault *f, const char *const *text, size_t count, int64_t limit,
		    int64_t offset) MUST_CHECK;

struct cursor {
	struct store *store;
	void *statement;
	struct fault *fault;
};
enum err cursor_open(struct cursor *c, struct store *st, const struct sql *sql, struct fault *f,
		     const char *binds, ...) MUST_CHECK;
/* *more is false after the last row. */
enum err cursor_next(struct cursor *c, bool *more) MUST_CHECK;
int64_t cursor_int(const struct cursor *c, int column);
const char *cursor_text(const struct cursor *c, int column); /* until the next step; NULL: null */
/* Bytes, until the next step; NULL where there are none, or no memory. */
const void *cursor_bytes(const struct cursor *c, int column, size_t *length);
day cursor_day(const struct cursor *c, int column);
bool cursor_is_null(const struct cursor *c, int column);
int cursor_columns(const struct cursor *c);
const char *cursor_name(const struct cursor *c, int column);
void cursor_close(struct cursor *c);

/* A UNIQUE constraint failed in the last call of this connection: the caller that
 * expects one turns it into a conflict people can mend; nobody else asks. */
bool store_was_duplicate(const struct store *st);

#endif
