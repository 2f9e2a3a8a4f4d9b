/*
 * What a URL does: one row a method and pattern.
 *
 * The table is const data given to the server at start. It drives dispatch,
 * access checks, the access-matrix test, `pegwarden routes` and the paths of
 * the OpenAPI document. Patterns have literal segments, ":id" (a positive
 * integer) and ":word" (a non-empty segment).
 */
#ifndef PEGWARDEN_HTTP_ROUTE_H
#define PEGWARDEN_HTTP_ROUTE_H

#include "http/request.h"

/* Where a handler runs. Reading runs on the connection's thread with a reader
 * connection. A change runs whole on the writer thread, inside its own
 * savepoint of a group commit, and is answered after the commit is durable.
 * Slow work (password hashing, parsing an import) runs on the slow thread with
 * a reader connection first (route.prepare), then as a change. */
enum route_run { RUN_READ, RUN_CHANGE, RUN_SLOW_CHANGE };

struct route {
	enum method method;
	const char *pattern;
	enum role role; /* the least role that may */
	enum route_run run;
	enum err (*handle)(struct request *rq);
	/* RUN_SLOW_CHANGE: runs first, outside the transaction; may fail */
	enum err (*prepare)(struct request *rq);
	/* For HTML changes that fail: builds the page with the form again. What was
	 * typed comes from request_values, the faults are in rq->faults. */
	enum err (*form)(struct request *rq);
	const char *template_name;       /* under templates/, without ".html" */
	const struct resource *resource; /* fields of the body, or NULL */
	/* Fields known only at run time (answers of a check list); instead of resource */
	enum err (*resource_of)(struct request *rq, const struct resource **resource);
	bool partial;             /* body changes an existing record */
	const char *const *query; /* declared query names, NULL-ended, or NULL */
	bool no_form_token;       /* sign-in only: there is no session yet */
	bool on_tablet;           /* from anywhere else it is as if there were no such page */
	size_t upload_bytes_max;  /* multipart allowed, up to so many; 0: not allowed */
	const char *summary;      /* one line for OpenAPI and `pegwarden routes` */
};

struct route_table {
	const struct route *route;
	size_t count;
};

/* Several tables make the whole: one array a handlers file. */
struct route_index;
struct route_index *route_index_new(const struct route_table *table, size_t count, struct fault *f);
void route_index_free(struct route_index *index);

enum route_match { ROUTE_FOUND, ROUTE_NO_PATH, ROUTE_NO_METHOD };
/* segment: decoded path segments. Fills rq->route, id and word. */
enum route_match route_find(const struct route_index *index, enum method method,
			    const char *const *segment, size_t count, struct request *rq);
/* Every route, in table order; NULL past the end. */
const struct route *route_at(const struct route_index *index, size_t i);

#endif
