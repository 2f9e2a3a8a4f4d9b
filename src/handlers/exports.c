/*
 * What is on record as tables, the same that imports take; and empty ones to
 * begin with.
 */
#include "base/csv.h"
#include "base/limits.h"
#include "handlers/app.h"
#include "handlers/import_kinds.h"
#include "handlers/routes.h"

static void write_header(const struct resource *r, struct buf *out) {
	for (size_t i = 0; i < r->field_count; i++) {
		if (i) csv_write_comma(out);
		csv_write_cell(out, r->field[i].name);
	}
	csv_write_end(out);
}

static enum err export_csv(struct request *rq) {
	const char *kind = request_query(rq, "kind");
	int64_t empty;
	enum err err = request_query_int(rq, "empty", 0, 1, 0, &empty);
	if (err != ERR_OK) return err;
	const struct import_kind *found = import_kind_find(kind);
	if (!found)
		return request_fail(rq, ERR_INVALID, "Say which table: kind with one of %s.",
				    import_kind_names(&rq->arena));
	const struct resource *columns = import_kind_resource(found, &rq->arena);
	if (!columns) return request_fail(rq, ERR_MEMORY, "There is no memory left.");
	struct buf b;
	buf_init(&b, LIMIT_IMPORT_BYTES_MAX);
	if (empty) write_header(columns, &b);
	else err = export_table(request_store(rq), found->rows, &b, &rq->fault);
	if (err == ERR_OK)
		return request_csv(
		    rq, &b,
		    arena_printf(&rq->arena, "%s%s.csv", found->name, empty ? "-empty" : ""));
	buf_release(&b);
	return err;
}

static const char *const query[] = {"kind", "empty", NULL};
static const struct route route[] = {
    {METHOD_GET, "/export.csv", ROLE_OFFICER, RUN_READ, .handle = export_csv, .query = query,
     .summary = "A table as imports take it: what is on record, or only its header"},
};
const struct route_table export_routes = {route, sizeof route / sizeof *route};
