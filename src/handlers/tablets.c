/*
 * Shared tablets, for the officer: which there are, the one-time code that makes a device one
 * of them, revoking one, and the PINs of the people who use it.
 */
#include "base/limits.h"
#include "handlers/app.h"
#include "handlers/list.h"
#include "handlers/record.h"
#include "handlers/routes.h"
#include "store/account.h"
#include "store/pin.h"
#include "store/setting.h"
#include "store/station.h"
#include "store/tablet.h"

/* Two groups of four: some 40 random bits, for a quarter of an hour. */
#define CODE_GROUPS 2

enum { NAME, STATION, FIELDS };
static const struct field field[FIELDS] = {
    [NAME] = {.name = "name",
	      .label = "Name",
	      .help = "As it stands on the tablet: Bay 2.",
	      .kind = FIELD_TEXT,
	      .required = true,
	      .max = LIMIT_NAME_CHARS_MAX,
	      .example = "Bay 2"},
    [STATION] = {.name = "station",
		 .label = "Station",
		 .help = "Its people sign in on it with their PIN. It stays with the station.",
		 .kind = FIELD_ID,
		 .required = true,
		 .fixed = true},
};
static const struct resource resource = {"tablet", "tablets", field, FIELDS};

/* --- one tablet --------------------------------------------------------------------- */

static enum err get(struct request *rq, int64_t id, struct doc **row) {
	return tablet_get(request_store(rq), id, &rq->arena, row, &rq->fault);
}

static enum err extend(struct request *rq, const struct doc *row, struct doc *page) {
	const char *address;
	struct store *st = request_store(rq);
	struct doc *people = doc_set_list(page, "people");
	enum err err = setting_text(st, "public_address", NULL, &rq->arena, &address, &rq->fault);
	if (err == ERR_OK)
		err = tablet_people(st, doc_int(row, "station"), &rq->arena, people, &rq->fault);
	doc_set_printf(page, "enrol_at", "%s/tablet/enrol", address ? address : "");
	doc_set_bool(page, "has_people", doc_count(people) > 0);
	doc_set_int(page, "tablet_id", doc_int(row, "id"));
	doc_set_text(page, "secret", NULL);
	return err;
}

/* The code is in this answer and nowhere else. */
static void show_code(struct request *rq, const char *code) {
	doc_set_text(rq->doc, "secret", code);
	rq->template_name = "tablet";
	if (rq->wants_html) rq->location = NULL;
}

static enum err save(struct request *rq, const struct doc *row, int64_t *id) {
	struct store *st = request_store(rq);
	const char *name = keep_text(rq, NAME, row);
	struct doc *station = NULL;
	if (row) {
		*id = doc_int(row, "id");
		if (value_int(&rq->value[STATION], doc_int(row, "station")) !=
		    doc_int(row, "station"))
			return request_field_fault(
			    rq, "station",
			    "It stays with its station. Revoke it and add it to the other one.");
		return tablet_rename(st, *id, name, &rq->arena, &rq->fault);
	}
	enum err err =
	    station_get(st, value_int(&rq->value[STATION], 0), &rq->arena, &station, &rq->fault);
	if (err != ERR_OK) return err;
	if (!station) return request_field_fault(rq, "station", "Choose a station from the list.");
	return tablet_insert(st, name, doc_int(station, "id"), rq->prepared, rq->now_s, &rq->arena,
			     id, &rq->fault);
}

static enum err options(struct request *rq, struct doc *form) {
	struct doc *stations = doc_list(&rq->arena);
	enum err err = station_options(request_store(rq), &rq->arena, stations, &rq->fault);
	if (err == ERR_OK) fields_form_options(form, "station", stations);
	return err;
}

static const struct record record = {.path = "/tablets",
				     .word = "tablet",
				     .resource = &resource,
				     .get = get,
				     .save = save,
				     .extend = extend,
				     .options = options,
				     .title_key = "name",
				     .unique = "name"};

static enum err tablet_show(struct request *rq) { return record_show(rq, &record); }
static enum err tablet_form(struct request *rq) { return record_form(rq, &record); }
static enum err tablet_store(struct request *rq) { return record_store(rq, &record); }

static enum err new_code(struct request *rq, const char **code) {
	*code = password_new(&rq->arena, CODE_GROUPS);
	/* An answer that is kept for repetition would keep the code too. */
	rq->idempotency_key = NULL;
	return *code ? ERR_OK : request_fail(rq, ERR_MEMORY, "There is no memory left.");
}

static enum err tablet_create(struct request *rq) {
	const char *code;
	enum err err = new_code(rq, &code);
	if (err != ERR_OK) return err;
	rq->prepared = (void *)(uintptr_t)code;
	err = record_store(rq, &record);
	if (err == ERR_OK) show_code(rq, code);
	return err;
}

/* The tablet that the address names and the request speaks of, as long as it is one. */
static enum err load_in_use(struct request *rq, struct doc **row) {
	enum err err = record_load(rq, &record, row);
	if (err == ERR_OK) err = request_check_version(rq, doc_int(*row, "version"));
	if (err == ERR_OK && doc_bool(*row, "is_revoked"))
		err =
		    request_fail(rq, ERR_CONFLICT, "It was revoked on %s. Add it as a new tablet.",
				 doc_text(*row, "revoked_at"));
	return err;
}

static enum err tablet_code(struct request *rq) {
	struct doc *row;
	const char *code;
	enum err err = load_in_use(rq, &row);
	if (err == ERR_OK) err = new_code(rq, &code);
	if (err == ERR_OK)
		err = tablet_give_code(request_store(rq), rq->id[0], code, rq->now_s, &rq->arena,
				       &rq->fault);
	if (err == ERR_OK) err = tablet_show(rq);
	if (err != ERR_OK) return err;
	request_action(rq, "give tablet a new code");
	show_code(rq, code);
	return ERR_OK;
}

static enum err tablet_end(struct request *rq) {
	struct doc *row;
	enum err err = load_in_use(rq, &row);
	if (err == ERR_OK) err = tablet_revoke(request_store(rq), rq->id[0], rq->now_s, &rq->fault);
	if (err != ERR_OK) return err;
	request_action(rq, "revoke tablet");
	request_go(rq, false, "/tablets/%lld", (long long)rq->id[0]);
	return tablet_show(rq);
}

static enum err person_unlock(struct request *rq) {
	struct doc *tablet, *person = NULL;
	struct store *st = request_store(rq);
	enum err err = record_load(rq, &record, &tablet);
	if (err == ERR_OK)
		err = pin_of_account(st, rq->id[1], rq->id[0], &rq->arena, &person, &rq->fault);
	if (err != ERR_OK) return err;
	if (!person || doc_int(person, "station") != doc_int(tablet, "station"))
		return request_fail(rq, ERR_NOT_FOUND,
				    "There is nobody of this station with the number %lld.",
				    (long long)rq->id[1]);
	err = pin_unlock(st, rq->id[1], NULL, &rq->fault);
	if (err != ERR_OK) return err;
	request_action(rq, "unlock PIN");
	request_go(rq, false, "/tablets/%lld", (long long)rq->id[0]);
	return tablet_show(rq);
}

/* --- all of them -------------------------------------------------------------------- */

static const struct choice standing_choice[] = {{"waiting", "Waiting for its code"},
						{"enrolled", "Enrolled"},
						{"revoked", "Revoked"},
						{NULL, NULL}};
static const struct list_column column[] = {{"name", "name"},
					    {"station_label", "station"},
					    {"standing", "standing"},
					    {"code_given_at", "code_given_at"},
					    {"enrolled_at", "enrolled_at"},
					    {"last_seen", "last_seen"},
					    {"revoked_at", "revoked_at"},
					    {NULL, NULL}};
static const struct list_page page = {
    .path = "/tablets",
    .title = "Shared tablets",
    .source = &tablet_list,
    .filter = {{.label = "Station", .options = list_station_options},
	       {.label = "Standing", .choice = standing_choice}},
    .column = column};

static enum err tablet_index(struct request *rq) { return list_answer(rq, &page); }
static enum err tablet_csv(struct request *rq) { return list_export(rq, &page); }

static const char *const list_query[] = {LIST_QUERY, "station", "standing", NULL};

static const struct route route[] = {
    {METHOD_GET, "/tablets", ROLE_OFFICER, RUN_READ, .handle = tablet_index,
     .template_name = "tablets", .query = list_query, .summary = "Shared tablets"},
    {METHOD_GET, "/tablets.csv", ROLE_OFFICER, RUN_READ, .handle = tablet_csv, .query = list_query,
     .summary = "The list of shared tablets as CSV"},
    {METHOD_GET, "/tablets/new", ROLE_OFFICER, RUN_READ, .handle = tablet_form,
     .template_name = "form", .summary = "Form for a new shared tablet"},
    {METHOD_POST, "/tablets", ROLE_OFFICER, RUN_CHANGE, .handle = tablet_create,
     .form = tablet_form, .template_name = "form", .resource = &resource,
     .summary = "Add a shared tablet; its one-time code is shown once"},
    {METHOD_GET, "/tablets/:id", ROLE_OFFICER, RUN_READ, .handle = tablet_show,
     .template_name = "tablet", .summary = "One shared tablet and the PINs of its people"},
    {METHOD_GET, "/tablets/:id/edit", ROLE_OFFICER, RUN_READ, .handle = tablet_form,
     .template_name = "form", .summary = "Form to rename a shared tablet"},
    {METHOD_POST, "/tablets/:id", ROLE_OFFICER, RUN_CHANGE, .handle = tablet_store,
     .form = tablet_form, .template_name = "form", .resource = &resource, .partial = true,
     .summary = "Rename a shared tablet"},
    {METHOD_POST, "/tablets/:id/code", ROLE_OFFICER, RUN_CHANGE, .handle = tablet_code,
     .form = tablet_show, .template_name = "tablet",
     .summary = "Give a shared tablet another one-time code, shown once"},
    {METHOD_POST, "/tablets/:id/revoke", ROLE_OFFICER, RUN_CHANGE, .handle = tablet_end,
     .form = tablet_show, .template_name = "tablet",
     .summary = "Revoke a shared tablet: from then on it is any device"},
    {METHOD_POST, "/tablets/:id/people/:id/unlock", ROLE_OFFICER, RUN_CHANGE,
     .handle = person_unlock, .form = tablet_show, .template_name = "tablet",
     .summary = "Unlock the PIN of a person of the tablet's station"},
};
const struct route_table officer_tablet_routes = {route, sizeof route / sizeof *route};
