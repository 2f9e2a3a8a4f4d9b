/*
 * What can go wrong, and how it is told.
 *
 * A function that can fail returns an enum err and, where words help, fills a
 * fault the caller owns. The first fault wins: later ones do not hide the
 * cause. http/respond.c has the one table that maps a code to a status.
 */
#ifndef PEGWARDEN_BASE_FAULT_H
#define PEGWARDEN_BASE_FAULT_H

#include <stdbool.h>
#include <stddef.h>

enum err {
	ERR_OK = 0,
	/* the asker's */
	ERR_SYNTAX,          /* the request itself cannot be read */
	ERR_INVALID,         /* read, but one or more fields are wrong */
	ERR_UNAUTHENTICATED, /* nobody is signed in */
	ERR_DENIED,          /* signed in, but may not */
	ERR_NOT_FOUND,
	ERR_METHOD,                /* the place exists, the method does not */
	ERR_CONFLICT,              /* the state of the record forbids it */
	ERR_STALE,                 /* somebody changed the record meanwhile */
	ERR_PRECONDITION_REQUIRED, /* the change does not say what it saw */
	ERR_LENGTH_REQUIRED,
	ERR_TOO_LARGE,
	ERR_MEDIA_TYPE,
	ERR_TOO_MANY, /* slow down; fault.wait_s says how long */
	/* ours */
	ERR_MEMORY,
	ERR_IO,
	ERR_CORRUPT, /* stored data is not what it must be */
	ERR_BUSY,    /* shutting down, or the queue is full */
	ERR_INTERNAL,
	ERR_COUNT
};

/* Every function returning enum err is marked so; the compiler checks the caller. */
#define MUST_CHECK __attribute__((warn_unused_result))

struct fault {
	enum err code;
	int wait_s;        /* ERR_TOO_MANY: seconds until the next try */
	char field[64];    /* the input it is about, or "" */
	char message[512]; /* what is wrong and how to mend it, as a sentence */
};

/* Sets f unless it already holds a fault; f may be NULL. Returns code. */
enum err fault_set(struct fault *f, enum err code, const char *field, const char *format, ...)
    __attribute__((format(printf, 4, 5)));

/* What a failed call of the C library is to us: ERR_MEMORY or ERR_IO. */
enum err err_of_errno(int number);

/* ERR_MEMORY with its sentence. */
enum err fault_memory(struct fault *f);

void fault_clear(struct fault *f);

/* A word for logs and problem types: "invalid", "not-found", ... */
const char *err_word(enum err code);

/* A list of faults about inputs, kept in the order they were found. */
struct fault_list {
	struct fault *fault; /* arena memory */
	size_t count;
	size_t room;
	size_t total; /* also those past LIMIT_FAULTS_LISTED_MAX */
};
struct arena;
void fault_list_add(struct fault_list *list, struct arena *a, const char *field, const char *format,
		    ...) __attribute__((format(printf, 4, 5)));
/* The message for a field, or NULL. */
const char *fault_list_find(const struct fault_list *list, const char *field);

#endif
