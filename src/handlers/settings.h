/*
 * What the pages of settings and of rules share: fields have the names of their settings.
 */
#ifndef PEGWARDEN_HANDLERS_SETTINGS_H
#define PEGWARDEN_HANDLERS_SETTINGS_H

#include "http/request.h"

/* name -> value of every setting, and in reasons (or NULL) [{name value reason}] of those
 * that have one. */
enum err settings_current(struct request *rq, struct doc **current, struct doc *reasons) MUST_CHECK;

/* Every field of the request that differs from what is stored, once the version was checked;
 * an empty value takes it back. */
typedef enum err take_setting(struct request *rq, void *context, const char *name,
			      const char *value);
enum err settings_changed(struct request *rq, take_setting *take, void *context) MUST_CHECK;

#endif
