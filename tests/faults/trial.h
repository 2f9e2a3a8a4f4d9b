/*
 * One operation, tried again and again with another failure each time, until it
 * comes to none.
 */
#ifndef PEGWARDEN_TESTS_TRIAL_H
#define PEGWARDEN_TESTS_TRIAL_H

#include "scene.h"

struct trial {
	const char *name;
	bool empty;         /* begins with an empty data folder */
	bool opened;        /* the store is open before anything fails */
	bool changes;       /* the record is another one when it is done */
	enum err also_told; /* beside what the failure allows */
	enum err (*run)(struct scene *s, struct fault *f);
	/* What else must be so after it, done or failed; may be NULL. */
	void (*after)(struct scene *s, enum err outcome, const char *when);
};

/* How things fail. */
struct failing {
	const char *name;
	bool lasting; /* until the store was closed */
	/* A change whose last step failed may be in the record when it is opened anew: the
	 * disk has it, but nobody could be told so. */
	bool may_be_done;
	void (*begin)(long nth);
	bool (*end)(void);             /* whether anything failed */
	bool (*is_told)(enum err err); /* what may be said of it */
};

/* Operations that trials are made of. */
extern const struct trial trial_open, trial_migrate, trial_change, trial_photo, trial_import,
    trial_verify, trial_backup;

/* The first failures one by one, later ones in strides: long operations have thousands. Six
 * of them are as far apart as they are from the beginning, or FAULTS_FINENESS of the
 * environment: with a million none is left out, which takes an hour. */
long trial_next(long nth);
void trial_run(struct scene *s, const struct trial *t, const struct failing *how);
/* Several changes that share a commit. */
void group_run(struct scene *s, const struct failing *how);

#endif
