#include <assert.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/json.h"
#include "store/internal.h"

/* --- kept statements -------------------------------------------------------- */

extern const struct sql *const __start_store_sql[];
extern const struct sql *const __stop_store_sql[];

const struct sql *store_statement_at(size_t i) {
	size_t count = (size_t)(__stop_store_sql - __start_store_sql);
	return i < count ? __start_store_sql[i] : NULL;
}

static size_t slot_of(const struct kept_statement *kept, size_t room, const struct sql *sql) {
	size_t at = ((uintptr_t)sql >> 4) * 0x9e3779b97f4a7c15u >> 20 & (room - 1);
	while (kept[at].sql && kept[at].sql != sql) at = (at + 1) & (room - 1);
	return at;
}

static bool grow_kept(struct store *st) {
	size_t room = st->kept_room ? st->kept_room * 2 : 256;
	struct kept_statement *wider = calloc(room, sizeof *wider);
	if (!wider) return false;
	for (size_t i = 0; i < st->kept_room; i++)
		if (st->kept[i].sql) wider[slot_of(wider, room, st->kept[i].sql)] = st->kept[i];
	free(st->kept);
	st->kept = wider;
	st->kept_room = room;
	return true;
}

/* Columns that hold a word of a closed set which pages show. */
static bool is_word(const char *name) {
	static const char *const word[] = {"state", "conclusion", "result",  "component_state",
					   "class", "cause",      "purpose", "test"};
	for (size_t i = 0; i < sizeof word / sizeof *word; i++)
		if (strcmp(word[i], name) == 0) return true;
	return false;
}

static bool name_columns(struct kept_statement *k) {
	k->column_count = sqlite3_column_count(k->handle);
	k->column = calloc((size_t)k->column_count + 1, sizeof *k->column);
	if (!k->column) return false;
	for (int i = 0; i < k->column_count; i++) {
		struct kept_column *c = &k->column[i];
		const char *name = sqlite3_column_name(k->handle, i);
		c->key = name ? strdup(name) : NULL;
		if (!c->key) return false;
		size_t length = strlen(c->key);
		if (strncmp(name, "is_", 3) == 0 || strncmp(name, "has_", 4) == 0 ||
		    strncmp(name, "can_", 4) == 0)
			c->form = COLUMN_TRUTH;
		if (is_word(name)) {
			size_t room = length + sizeof "_label";
			c->label_key = malloc(room);
			if (!c->label_key) return false;
			snprintf(c->label_key, room, "%s_label", name);
		}
		if (length > 5 && strcmp(c->key + length - 5, "_json") == 0) {
			c->form = COLUMN_JSON;
			c->key[length - 5] = '\0';
		}
	}
	return true;
}

static void release_kept(struct kept_statement *k) {
	sqlite3_finalize(k->handle);
	for (int i = 0; k->column && i < k->column_count; i++) {
		free(k->column[i].key);
		free(k->column[i].label_key);
	}
	free(k->column);
	*k = (struct kept_statement){0};
}

enum err store_prepare(struct store *st, const struct sql *sql, struct kept_statement **kept,
		       struct fault *f) {
	if (st->kept_count * 2 >= st->kept_room && !grow_kept(st)) return fault_memory(f);
	struct kept_statement *k = &st->kept[slot_of(st->kept, st->kept_room, sql)];
	*kept = k;
	if (k->sql) return ERR_OK;
	int rc =
	    sqlite3_prepare_v3(st->db, sql->text, -1, SQLITE_PREPARE_PERSISTENT, &k->handle, NULL);
	if (rc != SQLITE_OK) return store_sqlite_fault(st, sql->name, f);
	if (!name_columns(k)) {
		release_kept(k);
		return fault_memory(f);
	}
	k->sql = sql;
	st->kept_count++;
	return ERR_OK;
}

void store_close(struct store *st) {
	if (!st) return;
	for (size_t i = 0; i < st->kept_room; i++)
		if (st->kept[i].sql) release_kept(&st->kept[i]);
	free(st->kept);
	touched_release(&st->touched);
	touched_release(&st->entered);
	arena_clear(&st->handbook_arena);
	arena_clear(&st->program_arena);
	sqlite3_close(st->db);
	free(st);
}

enum err store_err_of(int sqlite_code) {
	switch (sqlite_code & 0xff) {
	case SQLITE_NOMEM: return ERR_MEMORY;
	case SQLITE_BUSY:
	case SQLITE_LOCKED: return ERR_BUSY;
	case SQLITE_IOERR:
	case SQLITE_FULL:
	case SQLITE_CANTOPEN:
	case SQLITE_READONLY: return ERR_IO;
	case SQLITE_CORRUPT:
	case SQLITE_NOTADB: return ERR_CORRUPT;
	default: return ERR_INTERNAL;
	}
}

enum err store_sqlite_fault(struct store *st, const char *what, struct fault *f) {
	int code = sqlite3_extended_errcode(st->db);
	st->was_duplicate =
	    code == SQLITE_CONSTRAINT_UNIQUE || code == SQLITE_CONSTRAINT_PRIMARYKEY;
	enum err err = st->was_duplicate ? ERR_CONFLICT : store_err_of(code);
	return fault_set(f, err, NULL, "%s: %s", what, sqlite3_errmsg(st->db));
}

bool store_was_duplicate(const struct store *st) { return st->was_duplicate; }

/* --- binding ------------------------------------------------------------------ */

static int bind_text(sqlite3_stmt *s, int at, const char *text) {
	return text ? sqlite3_bind_text(s, at, text, -1, SQLITE_STATIC) : sqlite3_bind_null(s, at);
}

static int bind_day(sqlite3_stmt *s, int at, day d) {
	char text[DAY_TEXT_SIZE];
	if (d == DAY_NONE) return sqlite3_bind_null(s, at);
	return sqlite3_bind_text(s, at, day_format(d, text), -1, SQLITE_TRANSIENT);
}

static int bind_measure(sqlite3_stmt *s, int at, const int64_t *number) {
	return number ? sqlite3_bind_int64(s, at, *number) : sqlite3_bind_null(s, at);
}

static int bind_number(sqlite3_stmt *s, int at, int64_t number, bool zero_is_null) {
	if (zero_is_null && number == 0) return sqlite3_bind_null(s, at);
	return sqlite3_bind_int64(s, at, number);
}

/* Texts are bound without copying: they outlive the call that steps. */
static enum err open_statement(struct store *st, const struct sql *sql, sqlite3_stmt **handle,
			       struct kept_statement **kept, struct fault *f, const char *binds,
			       va_list args) {
	st->was_duplicate = false;
	enum err err = store_prepare(st, sql, kept, f);
	if (err != ERR_OK) return err;
	sqlite3_stmt *s = *handle = (*kept)->handle;
	assert(!sqlite3_stmt_busy(s)); /* a statement inside its own loop */
	int at = 0, rc = SQLITE_OK;
	for (const char *letter = binds; *letter && rc == SQLITE_OK; letter++) {
		at++;
		switch (*letter) {
		case 'i': rc = bind_number(s, at, va_arg(args, int64_t), false); break;
		case '0': rc = bind_number(s, at, va_arg(args, int64_t), true); break;
		case 't': rc = bind_text(s, at, va_arg(args, const char *)); break;
		case 'd': rc = bind_day(s, at, va_arg(args, day)); break;
		case 'b': rc = sqlite3_bind_int(s, at, va_arg(args, int) != 0); break;
		case 'm': rc = bind_measure(s, at, va_arg(args, const int64_t *)); break;
		case 'x': {
			const void *bytes = va_arg(args, const void *);
			size_t length = va_arg(args, size_t);
			rc = sqlite3_bind_blob64(s, at, bytes, length, SQLITE_STATIC);
			break;
		}
		case 'n': rc = sqlite3_bind_null(s, at); break;
		default: assert(false); /* an unknown letter */
		}
	}
	if (rc != SQLITE_OK) return store_sqlite_fault(st, sql->name, f);
	assert(at == sqlite3_bind_parameter_count(s)); /* every parameter has its value */
	return ERR_OK;
}

static void close_statement(sqlite3_stmt *s) {
	sqlite3_reset(s);
	sqlite3_clear_bindings(s);
}

/* --- results --------------------------------------------------------------------- */

/* "out_of_service" -> "out of service" */
static const char *spaced(struct arena *a, const char *text, size_t length) {
	char *copy = arena_copy(a, text, length);
	for (char *at = copy; at && *at; at++)
		if (*at == '_') *at = ' ';
	return copy;
}

static void put_number(struct doc *row, const struct kept_column *c, int64_t number) {
	struct doc *d = doc_put(row, c->key, c->form == COLUMN_TRUTH ? DOC_BOOL : DOC_INT);
	if (d) d->integer = c->form == COLUMN_TRUTH ? number != 0 : number;
}

static enum err put_json(struct doc *row, const struct kept_column *c, const char *text,
			 size_t length, struct fault *f) {
	struct doc *value = NULL;
	enum err err = json_read(text, length, row->arena, &value, f);
	if (err != ERR_OK) return err == ERR_MEMORY ? err : ERR_CORRUPT;
	doc_set(row, c->key, value);
	return ERR_OK;
}

static enum err put_column(struct doc *row, const struct kept_column *c, sqlite3_stmt *s, int i,
			   struct fault *f) {
	switch (sqlite3_column_type(s, i)) {
	case SQLITE_NULL:
		if (c->label_key) doc_put(row, c->label_key, DOC_NULL);
		doc_put(row, c->key, c->form == COLUMN_TRUTH ? DOC_BOOL : DOC_NULL);
		return ERR_OK;
	case SQLITE_INTEGER: put_number(row, c, sqlite3_column_int64(s, i)); return ERR_OK;
	default: break;
	}
	const char *text = (const char *)sqlite3_column_text(s, i);
	size_t length = (size_t)sqlite3_column_bytes(s, i);
	if (!text) return fault_memory(f);
	if (c->form == COLUMN_JSON) return put_json(row, c, text, length, f);
	doc_put_text(row, c->key, arena_copy(row->arena, text, length), length);
	if (c->label_key) doc_put_text(row, c->label_key, spaced(row->arena, text, length), length);
	return ERR_OK;
}

static enum err read_row(struct kept_statement *k, struct doc *row, struct fault *f) {
	if (!row) return fault_memory(f);
	for (int i = 0; i < k->column_count; i++) {
		enum err err = put_column(row, &k->column[i], k->handle, i, f);
		if (err != ERR_OK) return err;
	}
	return arena_failed(row->arena) ? fault_memory(f) : ERR_OK;
}

enum err store_run(struct store *st, const struct sql *sql, struct fault *f, const char *binds,
		   ...) {
	va_list args;
	va_start(args, binds);
	sqlite3_stmt *s;
	struct kept_statement *kept;
	enum err err = open_statement(st, sql, &s, &kept, f, binds, args);
	va_end(args);
	if (err != ERR_OK) return err;
	int rc = sqlite3_step(s);
	if (rc != SQLITE_DONE && rc != SQLITE_ROW) err = store_sqlite_fault(st, sql->name, f);
	close_statement(s);
	return err;
}

int64_t store_changes(struct store *st) { return sqlite3_changes64(st->db); }

int64_t store_inserted(struct store *st) { return sqlite3_last_insert_rowid(st->db); }

enum err store_one(struct store *st, const struct sql *sql, struct arena *a, struct doc **row,
		   struct fault *f, const char *binds, ...) {
	*row = NULL;
	va_list args;
	va_start(args, binds);
	sqlite3_stmt *s;
	struct kept_statement *kept;
	enum err err = open_statement(st, sql, &s, &kept, f, binds, args);
	va_end(args);
	if (err != ERR_OK) return err;
	int rc = sqlite3_step(s);
	if (rc == SQLITE_ROW) {
		struct doc *map = doc_map(a);
		err = read_row(kept, map, f);
		if (err == ERR_OK) *row = map;
	} else if (rc != SQLITE_DONE) {
		err = store_sqlite_fault(st, sql->name, f);
	}
	close_statement(s);
	return err;
}

/* Every row that is left, as maps appended to list; closes the statement. */
static enum err read_rows(struct store *st, const struct sql *sql, struct kept_statement *k,
			  struct arena *a, struct doc *list, struct fault *f) {
	enum err err = ERR_OK;
	int rc;
	while (err == ERR_OK && (rc = sqlite3_step(k->handle)) != SQLITE_DONE) {
		if (rc != SQLITE_ROW) {
			err = store_sqlite_fault(st, sql->name, f);
			break;
		}
		struct doc *row = doc_map(a);
		err = read_row(k, row, f);
		doc_add(list, row);
	}
	close_statement(k->handle);
	return err;
}

enum err store_list(struct store *st, const struct sql *sql, struct arena *a, struct doc *list,
		    struct fault *f, const char *binds, ...) {
	va_list args;
	va_start(args, binds);
	sqlite3_stmt *s;
	struct kept_statement *kept;
	enum err err = open_statement(st, sql, &s, &kept, f, binds, args);
	va_end(args);
	if (err != ERR_OK) return err;
	return read_rows(st, sql, kept, a, list, f);
}

enum err store_number(struct store *st, const struct sql *sql, int64_t absent, int64_t *number,
		      struct fault *f, const char *binds, ...) {
	*number = absent;
	va_list args;
	va_start(args, binds);
	sqlite3_stmt *s;
	struct kept_statement *kept;
	enum err err = open_statement(st, sql, &s, &kept, f, binds, args);
	va_end(args);
	if (err != ERR_OK) return err;
	int rc = sqlite3_step(s);
	if (rc == SQLITE_ROW && sqlite3_column_type(s, 0) != SQLITE_NULL)
		*number = sqlite3_column_int64(s, 0);
	if (rc != SQLITE_ROW && rc != SQLITE_DONE) err = store_sqlite_fault(st, sql->name, f);
	close_statement(s);
	return err;
}

enum err store_page(struct store *st, const struct sql *sql, struct arena *a, struct doc *list,
		    struct fault *f, const char *const *text, size_t count, int64_t limit,
		    int64_t offset) {
	struct kept_statement *k;
	st->was_duplicate = false;
	enum err err = store_prepare(st, sql, &k, f);
	if (err != ERR_OK) return err;
	int at = 0, rc = SQLITE_OK;
	for (size_t i = 0; i < count && rc == SQLITE_OK; i++)
		rc = bind_text(k->handle, ++at, text[i]);
	if (limit >= 0 && rc == SQLITE_OK) rc = sqlite3_bind_int64(k->handle, ++at, limit);
	if (limit >= 0 && rc == SQLITE_OK) rc = sqlite3_bind_int64(k->handle, ++at, offset);
	if (rc != SQLITE_OK) err = store_sqlite_fault(st, sql->name, f);
	else assert(at == sqlite3_bind_parameter_count(k->handle));
	return err == ERR_OK ? read_rows(st, sql, k, a, list, f) : err;
}

/* --- cursors -------------------------------------------------------------------- */

enum err cursor_open(struct cursor *c, struct store *st, const struct sql *sql, struct fault *f,
		     const char *binds, ...) {
	*c = (struct cursor){.store = st, .fault = f};
	va_list args;
	va_start(args, binds);
	sqlite3_stmt *s;
	struct kept_statement *kept;
	enum err err = open_statement(st, sql, &s, &kept, f, binds, args);
	va_end(args);
	if (err == ERR_OK) c->statement = s;
	return err;
}

enum err cursor_next(struct cursor *c, bool *more) {
	int rc = sqlite3_step(c->statement);
	*more = rc == SQLITE_ROW;
	if (rc == SQLITE_ROW || rc == SQLITE_DONE) return ERR_OK;
	return store_sqlite_fault(c->store, "reading rows", c->fault);
}

int64_t cursor_int(const struct cursor *c, int column) {
	return sqlite3_column_int64(c->statement, column);
}

const char *cursor_text(const struct cursor *c, int column) {
	return (const char *)sqlite3_column_text(c->statement, column);
}

const void *cursor_bytes(const struct cursor *c, int column, size_t *length) {
	const void *bytes = sqlite3_column_blob(c->statement, column);
	*length = (size_t)sqlite3_column_bytes(c->statement, column);
	return bytes;
}

day cursor_day(const struct cursor *c, int column) { return day_parse(cursor_text(c, column)); }

bool cursor_is_null(const struct cursor *c, int column) {
	return sqlite3_column_type(c->statement, column) == SQLITE_NULL;
}
int cursor_columns(const struct cursor *c) { return sqlite3_column_count(c->statement); }
const char *cursor_name(const struct cursor *c, int column) {
	return sqlite3_column_name(c->statement, column);
}

void cursor_close(struct cursor *c) {
	if (c->statement) close_statement(c->statement);
	c->statement = NULL;
}

/* --- one view ------------------------------------------------------------------------ */

SQL(view_begin, "BEGIN");
SQL(view_end, "COMMIT");

enum err store_view_begin(struct store *st, struct fault *f) {
	enum err err = store_run(st, &view_begin, f, "");
	st->has_view = err == ERR_OK;
	return err;
}

void store_view_end(struct store *st) {
	struct fault ignored = {0}; /* nothing was written that could be lost */
	if (st->has_view && store_run(st, &view_end, &ignored, "") != ERR_OK)
		sqlite3_exec(st->db, "ROLLBACK", NULL, NULL, NULL);
	st->has_view = false;
}

/* --- for the test of all statements ------------------------------------------------ */

enum err store_explain(struct store *st, const struct sql *sql, struct arena *a, struct doc *plan,
		       struct fault *f) {
	sqlite3_stmt *s = NULL;
	const char *text = arena_printf(a, "EXPLAIN QUERY PLAN %s", sql->text);
	if (!text) return fault_memory(f);
	if (sqlite3_prepare_v2(st->db, text, -1, &s, NULL) != SQLITE_OK)
		return store_sqlite_fault(st, sql->name, f);
	while (sqlite3_step(s) == SQLITE_ROW)
		doc_add_text(plan, arena_strdup(a, (const char *)sqlite3_column_text(s, 3)));
	sqlite3_finalize(s);
	return ERR_OK;
}
