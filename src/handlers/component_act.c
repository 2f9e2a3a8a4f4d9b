#include "handlers/component_act.h"

#include "handlers/app.h"
#include "handlers/components.h"

static enum err load(struct request *rq, struct doc **row) {
	enum err err = component_get_row(rq, rq->id[0], row);
	if (err == ERR_OK && !*row)
		err =
		    request_fail(rq, ERR_NOT_FOUND, "There is no part %lld.", (long long)rq->id[0]);
	return err;
}

enum err component_act_form(struct request *rq, const struct component_act *act) {
	struct doc *row;
	enum err err = load(rq, &row);
	if (err == ERR_OK && !rq->value) err = act->check(rq, row);
	if (err != ERR_OK) return err;
	struct doc *d = rq->doc = doc_map(&rq->arena);
	struct doc *form =
	    fields_form(act->resource, &rq->arena, NULL, request_values(rq, act->resource),
			&rq->faults, rq->stale_form);
	doc_set(d, "form", form);
	doc_set_printf(d, "action", "/components/%lld/%s", (long long)rq->id[0], act->path);
	doc_set_printf(d, "back", "/components/%lld", (long long)rq->id[0]);
	doc_set_text(d, "submit", act->submit ? act->submit : act->title);
	rq->version = doc_int(row, "version");
	rq->title = arena_printf(&rq->arena, "%s: %s %s", act->title, doc_text(row, "kind_label"),
				 doc_text(row, "tag"));
	return act->options ? act->options(rq, form) : ERR_OK;
}

enum err component_act_store(struct request *rq, const struct component_act *act) {
	struct doc *row;
	enum err err = load(rq, &row);
	if (err == ERR_OK) err = request_check_version(rq, doc_int(row, "version"));
	if (err == ERR_OK) err = act->check(rq, row);
	if (err == ERR_OK) err = act->apply(rq, row);
	if (err == ERR_OK) err = request_derive(rq);
	if (err != ERR_OK) return err;
	const char *words = act->is_only_entered ? value_text(&rq->value[0]) : NULL;
	request_action(rq, words ? arena_printf(&rq->arena, "%s: %s", act->action, words)
				 : act->action);
	request_go(rq, false, "/components/%lld", (long long)rq->id[0]);
	return component_show(rq);
}

enum err component_check_serves(struct request *rq, const struct doc *row) {
	if (!doc_text(row, "retired_on")) return ERR_OK;
	return request_fail(rq, ERR_CONFLICT,
			    "%s was retired on %s. A retired part never serves again.",
			    doc_text(row, "tag"), doc_text(row, "retired_on"));
}
