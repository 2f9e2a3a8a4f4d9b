/*
 * A request on its way through the house, and the answer it grows.
 *
 * It owns an arena; everything handlers build lives there and dies with it.
 * A handler reads ids, query and input, calls rules and store, and fills
 * `doc`. It returns ERR_OK, or an error with words in `fault` (and, for
 * inputs, in `faults`); it never writes bytes or headers itself.
 */
#ifndef PEGWARDEN_HTTP_REQUEST_H
#define PEGWARDEN_HTTP_REQUEST_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/day.h"
#include "base/doc.h"
#include "base/fault.h"
#include "http/field.h"

struct route;

enum method { METHOD_GET, METHOD_POST };

/* Who may use a route: X(code, word, label). Each role includes those before it. */
/* clang-format off */
#define ROLE_LIST(X) \
	/* the wearer */ \
	X(MEMBER, "member", "Member") \
	/* trained in advanced inspection */ \
	X(INSPECTOR, "inspector", "Inspector") \
	/* runs the program: the safety officer */ \
	X(OFFICER, "officer", "Officer") \
	/* accounts and settings */ \
	X(ADMINISTRATOR, "administrator", "Administrator")
/* clang-format on */
#define ROLE_CODE(code, word, label) ROLE_##code,
enum role { ROLE_NOBODY /* not signed in */, ROLE_LIST(ROLE_CODE) ROLE_COUNT };
const char *role_word(enum role role);    /* "member" ... */
enum role role_of_word(const char *word); /* of an account; ROLE_NOBODY for any other word */

/* Who asks. Filled by the host before the handler runs. */
struct principal {
	int64_t account; /* 0: nobody */
	int64_t member;  /* the member the account belongs to */
	enum role role;
	const char *name;
	const char *badge;
	int64_t station;
	bool by_token;          /* an API token: no form token is asked */
	const char *form_token; /* of the session */
	const char *session;    /* key of the session, for signing out */
	bool by_pin;            /* the session began with a PIN, on the shared tablet it is of */
};

/* The shared tablet that the request comes from. Filled by the host before the handler runs. */
struct device {
	int64_t tablet; /* 0: none */
	const char *name;
	int64_t station;
	const char *station_name;
	int64_t locked; /* the account whose session there waits for the PIN; 0: none */
	int64_t lock_s; /* asks for the PIN after so long without use */
};

enum body_kind { BODY_NONE, BODY_FORM, BODY_JSON, BODY_MULTIPART };

struct upload {
	const char *name; /* of the field */
	const char *filename;
	const char *bytes;
	size_t length;
};

struct request {
	const struct route *route;
	struct arena arena;
	void *host;       /* struct app of the handlers */
	void *connection; /* the store the host lends while a handler runs */
	void *change;     /* of the host, while a changing handler runs */
	void *prepared;   /* what route.prepare leaves for route.handle */

	/* --- the question --- */
	enum method method;
	const char *path;    /* decoded, for links back */
	const char *target;  /* raw path and query, as sent */
	bool wants_html;     /* by Accept; JSON otherwise */
	const char *referer; /* where a browser says it comes from, or NULL */
	const char *address; /* of the client, for slowing down sign-in; NULL: not known */
	struct principal who;
	struct device device;
	int64_t now_s;       /* read once */
	day today;           /* in the department's time zone */
	int64_t id[4];       /* numbers of the path, in order (":id") */
	const char *word[4]; /* words of the path (":word") */
	struct input query;  /* decoded, names declared by the route only */
	enum body_kind body_kind;
	struct input input; /* body pairs, not yet validated */
	struct upload upload;
	const char *if_match;        /* version the client saw, or NULL */
	const char *idempotency_key; /* or NULL */
	const char *cookie_session;  /* raw session cookie, or NULL */
	const char *cookie_tablet;   /* raw secret of a shared tablet, or NULL */
	bool outdoors;               /* the device shows pages in the look for out of doors */
	const char *bearer;          /* raw API token, or NULL */
	bool is_read; /* the body was read: who asks may, and sees a form that fails again */
	const struct resource *resource; /* of the body, or NULL; fields known at run time too */
	struct value *value;             /* one for each field of resource; NULL without one */

	/* --- the answer --- */
	int status;                /* 0: by outcome (200, or 303 for a form with location) */
	const char *location;      /* where a form goes next; "Location" for JSON too */
	const char *template_name; /* NULL: the route's */
	const char *title;         /* of the page */
	struct doc *doc;
	int64_t version; /* of the record shown: its ETag; 0: none */
	struct fault fault;
	struct fault_list faults;
	bool stale_form;          /* the form shown again lost against another change */
	const char *action;       /* of a change, in words, for the audit entry */
	const char *set_session;  /* new session cookie; "" clears it */
	const char *set_tablet;   /* secret that makes the browser's device a shared tablet */
	const char *set_outdoors; /* "yes" gives the device that look; "" takes it back */
	char *file;               /* answered instead of doc; see request_csv */
	size_t file_length;
	const char *file_name;
	const char *file_type; /* NULL: a table */
	bool file_lasts;       /* under this address it is always the same; see request_bytes */
	const char *link_next, *link_prev; /* rel=next / rel=prev of lists */
};

/* Answers a table as a file of this name (arena memory) and takes over its bytes.
 * ERR_TOO_LARGE when it could not be written whole. */
enum err request_csv(struct request *rq, struct buf *table, const char *name) MUST_CHECK;

/* Answers bytes (malloc; taken over) that never change under this address: the browser keeps them,
 * for whoever is signed in with this session. */
void request_bytes(struct request *rq, char *bytes, size_t length, const char *type);

/* A declared query value, or NULL. */
const char *request_query(const struct request *rq, const char *name);
/* As an integer within bounds; absent gives `absent`; bad input ERR_INVALID. */
enum err request_query_int(struct request *rq, const char *name, int64_t min, int64_t max,
			   int64_t absent, int64_t *number) MUST_CHECK;
/* What was typed for the fields of r: NULL when the body was not of that resource,
 * as when a page with a form is shown again after another change failed. */
static inline const struct value *request_values(const struct request *rq,
						 const struct resource *r) {
	return rq->resource == r ? rq->value : NULL;
}
/* What came in for the field of that name of the request's own table, or NULL. */
const struct value *request_value(const struct request *rq, const char *name);
/* One mechanics field of the body ("_version", "_key", "_token"), or NULL. */
const char *request_hidden(const struct request *rq, const char *name);

/*
 * The record has version `stored`; does the request speak of that one?
 * ERR_PRECONDITION_REQUIRED when it does not say, ERR_STALE when of another.
 */
enum err request_check_version(struct request *rq, int64_t stored) MUST_CHECK;

/* Shorthands for the usual ends of a handler. Each returns the error given. */
enum err request_fail(struct request *rq, enum err code, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
enum err request_field_fault(struct request *rq, const char *field, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
/* A fault of rules or store that names a field becomes that field's. Returns ERR_INVALID. */
enum err request_fault_to_field(struct request *rq);
/* 303 for forms, 201 with Location for JSON when `created`, else 200 with the doc. */
void request_go(struct request *rq, bool created, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* What the change does, in words, for its audit entry: "sign inspection". */
static inline void request_action(struct request *rq, const char *words) { rq->action = words; }

#endif
