#include "handlers/revocation.h"

#include "handlers/app.h"

enum { REASON, FIELDS };
static const struct field field[FIELDS] = {
    [REASON] = {.name = "reason",
		.label = "Why it was recorded in error",
		.help = "It stays on record with this reason.",
		.kind = FIELD_TEXT,
		.required = true},
};
const struct resource revocation_resource = {"revocation", "revocations", field, FIELDS};

enum err revocable_load(struct request *rq, const struct revocable *r, struct doc **row) {
	enum err err = r->get(request_store(rq), rq->id[0], &rq->arena, row, &rq->fault);
	if (err == ERR_OK && !*row)
		err = request_fail(rq, ERR_NOT_FOUND, "There is no %s %lld.", r->word,
				   (long long)rq->id[0]);
	return err;
}

void revocation_form(struct request *rq, const struct doc *row, struct doc *page) {
	doc_set_bool(page, "can_revoke",
		     !doc_text(row, "revoked_on") && rq->who.role >= ROLE_OFFICER);
	doc_set(page, "form",
		fields_form(&revocation_resource, &rq->arena, NULL,
			    request_values(rq, &revocation_resource), &rq->faults, rq->stale_form));
	rq->version = doc_int(row, "version");
	doc_set_int(page, "version", rq->version);
}

enum err revocation_apply(struct request *rq, const struct revocable *r) {
	struct doc *row;
	char today[DAY_TEXT_SIZE];
	enum err err = revocable_load(rq, r, &row);
	if (err == ERR_OK) err = request_check_version(rq, doc_int(row, "version"));
	if (err == ERR_OK && doc_text(row, "revoked_on"))
		err = request_fail(rq, ERR_CONFLICT, "It was taken back on %s.",
				   doc_text(row, "revoked_on"));
	if (err == ERR_OK)
		err = r->revoke(request_store(rq), rq->id[0], day_format(rq->today, today),
				value_text(&rq->value[REASON]), &rq->fault);
	if (err != ERR_OK) return err;
	request_action(rq, arena_printf(&rq->arena, "revoke %s", r->word));
	request_go(rq, false, "%s/%lld", r->path, (long long)rq->id[0]);
	rq->value = NULL;
	return r->show(rq);
}
