/*
 * The verbs of the command line: one function each, given what was said.
 *
 * Each returns the exit code: 0 done, 1 it could not be done (said on standard
 * error), 2 the command was not understood, 3 `verify` or `rebuild --check`
 * found something.
 */
#ifndef PEGWARDEN_VERBS_VERBS_H
#define PEGWARDEN_VERBS_VERBS_H

#include <stdbool.h>
#include <stddef.h>

/* Files that one `verify` compares with: a year of weekly ones. */
#define CHECKPOINT_FILES_MAX 53

struct options {
	const char *data, *share, *address, *badge, *name, *role, *password_file, *department,
	    *zone, *kind, *date_order, *to, *value, *reason, *given_name, *family_name, *station;
	int port, threads;
	bool check, dry_run, update, quiet, strict_templates, behind_tls, least;
	const char *checkpoint[CHECKPOINT_FILES_MAX];
	size_t checkpoint_count;
	char **rest;
	int rest_count;
};

int verb_init(const struct options *o);
int verb_serve(const struct options *o);
int verb_import(const struct options *o);
int verb_export(const struct options *o);
int verb_kinds(const struct options *o);
int verb_notify(const struct options *o);
int verb_setting(const struct options *o);
int verb_account(const struct options *o);
int verb_pin(const struct options *o);
int verb_token(const struct options *o);
int verb_verify(const struct options *o);
int verb_checkpoint(const struct options *o);
int verb_rebuild(const struct options *o);
int verb_backup(const struct options *o);
int verb_routes(const struct options *o);

#endif
