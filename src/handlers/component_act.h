/*
 * What is done with a component: a small form and one change of its own.
 *
 * An act describes itself once; COMPONENT_ACT makes its two handlers, COMPONENT_ACT_ROUTES its
 * two routes.
 */
#ifndef PEGWARDEN_HANDLERS_COMPONENT_ACT_H
#define PEGWARDEN_HANDLERS_COMPONENT_ACT_H

#include "http/route.h"

struct component_act {
	const char *path; /* "/components/%lld/issue" without the front */
	const char *title;
	const char *submit; /* on its button, where the title is no act; or NULL */
	const struct resource *resource;
	enum err (*check)(struct request *rq, const struct doc *row); /* ERR_CONFLICT and why */
	enum err (*apply)(struct request *rq, const struct doc *row);
	/* Gives selects their options, adds to rq->doc what its template shows; or NULL. */
	enum err (*options)(struct request *rq, struct doc *form);
	const char *action;   /* for the audit entry */
	bool is_only_entered; /* its first field has no column: the entry says it */
};
enum err component_act_form(struct request *rq, const struct component_act *act) MUST_CHECK;
enum err component_act_store(struct request *rq, const struct component_act *act) MUST_CHECK;

/* ERR_CONFLICT for what is retired. */
enum err component_check_serves(struct request *rq, const struct doc *row) MUST_CHECK;

#define COMPONENT_ACT(name, words, ...)                                                            \
	static const struct component_act name##_act = {.path = words, __VA_ARGS__};               \
	static enum err name##_form(struct request *rq) {                                          \
		return component_act_form(rq, &name##_act);                                        \
	}                                                                                          \
	static enum err name##_store(struct request *rq) {                                         \
		return component_act_store(rq, &name##_act);                                       \
	}

#define COMPONENT_ACT_ROUTES(name, words, least, template, form_words, store_words)                \
	{METHOD_GET,                                                                               \
	 "/components/:id/" words,                                                                 \
	 least,                                                                                    \
	 RUN_READ,                                                                                 \
	 .handle = name##_form,                                                                    \
	 .template_name = template,                                                                \
	 .summary = form_words},                                                                   \
	{                                                                                          \
		METHOD_POST, "/components/:id/" words, least, RUN_CHANGE,                          \
		    .handle = name##_store, .form = name##_form, .template_name = template,        \
		    .resource = &name##_resource, .summary = store_words                           \
	}

#endif
