/*
 * What the files of the store room share among themselves. Not for others.
 */
#ifndef PEGWARDEN_STORE_INTERNAL_H
#define PEGWARDEN_STORE_INTERNAL_H

#include <sqlite3.h>

#include "store/chain.h"
#include "store/store.h"
#include "store/touched.h"

struct handbook;
struct program;

struct kept_column {
	char *key;       /* owned; the document's key */
	char *label_key; /* owned; NULL unless the column holds a word for people */
	enum { COLUMN_PLAIN, COLUMN_TRUTH, COLUMN_JSON } form;
};

struct kept_statement {
	const struct sql *sql; /* NULL: a free slot */
	sqlite3_stmt *handle;
	struct kept_column *column;
	int column_count;
};

struct store {
	sqlite3 *db;
	enum store_mode mode;
	bool may_alter;              /* while migrating */
	bool was_duplicate;          /* of the last call */
	struct kept_statement *kept; /* open addressing, keyed by the sql's address */
	size_t kept_count;
	size_t kept_room; /* a power of two */

	/* Reading connections: the view that is open, see pool.h. */
	bool has_view;
	uint64_t view_commit;
	int64_t view_s;

	/* Writing connections only. */
	struct fault spoilt;    /* why the running transaction must not be committed */
	struct touched touched; /* fact rows changed, not yet in an audit entry */
	struct chain chain;
	struct touched entered; /* those of the running change that are */
	struct arena handbook_arena;
	struct handbook *handbook; /* read once; see store_handbook */
	struct arena program_arena;
	struct program *program; /* read again when a setting changes */
};

/* The kept statement, prepared when first asked for. */
enum err store_prepare(struct store *st, const struct sql *sql, struct kept_statement **kept,
		       struct fault *f) MUST_CHECK;
/* What a result code of SQLite is to us. */
enum err store_err_of(int sqlite_code);
/* The fault for a failed SQLite call; tells a duplicate from a bug. */
enum err store_sqlite_fault(struct store *st, const char *what, struct fault *f);
/* Several statements without results: pragmas, migrations. */
enum err store_script(struct store *st, const char *text, const char *what,
		      struct fault *f) MUST_CHECK;
enum err store_migrate(struct store *st, const char *migrations_dir, struct fault *f) MUST_CHECK;

/* Did cleaning l end exposure x of the same component? The one said to, or one of a later day
 * whose class the cause asks for; see rules/exposure.h. */
#define LATER_CLEANING_ENDS_EXPOSURE                                                               \
	"(l.cleaned_on > x.exposed_on AND (l.class = 'specialized'"                                \
	" OR (l.class = 'advanced' AND x.cause = 'combustion')))"
#define CLEANING_ENDS_EXPOSURE "(l.id = x.ended_by_cleaning OR " LATER_CLEANING_ENDS_EXPOSURE ")"

/* Exposure x of the component stood open when it was inspected on n.inspected_on: what
 * exposure_taints of rules/exposure.h says. */
#define EXPOSURE_TAINTS                                                                            \
	"(n.kind <> 'routine' AND x.revoked_on IS NULL AND x.exposed_on < n.inspected_on"          \
	" AND NOT EXISTS (SELECT 1 FROM cleaning l WHERE l.component_id = x.component_id"          \
	"  AND l.cleaned_on <= n.inspected_on AND " CLEANING_ENDS_EXPOSURE "))"

/*
 * Tables of facts, in the order in which an audit entry lists their rows. A new one is named
 * here and nowhere else; what depends on its rows is said in derive.c.
 */
/* clang-format off */
#define FACT_TABLE_LIST(X) \
	X(setting) \
	X(station) \
	X(member) \
	X(account) \
	X(token) \
	X(provider) \
	X(ensemble) \
	X(component) \
	X(issue) \
	X(cleaning) \
	X(inspection) \
	X(inspection_part) \
	X(finding) \
	X(photo) \
	X(follow_up) \
	X(dispatch) \
	X(dispatch_item) \
	X(notice) \
	X(exposure) \
	X(field_test) \
	X(fit_check) \
	X(fit_check_part) \
	X(hold) \
	X(custody) \
	X(replacement_price) \
	X(component_price) \
	X(repair_quote) \
	X(safety_notice) \
	X(safety_notice_scope) \
	X(safety_notice_answer) \
	X(tablet) \
	X(answered_together)
/* clang-format on */
/* ERR_CORRUPT when a photo has no picture, or one whose bytes are not those it is named by. */
enum err photos_verify(struct store *st, struct fault *f) MUST_CHECK;
#define FACT_TABLE_COUNT(table) FACT_##table,
enum fact_table_number { FACT_TABLE_LIST(FACT_TABLE_COUNT) FACT_TABLES };
extern const char *const fact_table[FACT_TABLES];
/* Its index, or -1 when it holds no facts. */
int fact_table_index(const char *name);

#endif
