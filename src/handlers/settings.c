/*
 * The department's settings (administrators).
 */
#include "handlers/settings.h"

#include "config.h"

#include "base/limits.h"
#include "handlers/app.h"
#include "handlers/performer.h"
#include "handlers/routes.h"
#include "rules/pin.h"
#include "store/setting.h"
#include "store/tree.h"

#define ZONE_CHARS_MAX 60

static const struct field setting_field[] = {
    {.name = "department",
     .label = "Department",
     .help = "Its name, at the foot of every page.",
     .kind = FIELD_TEXT,
     .required = true,
     .max = LIMIT_NAME_CHARS_MAX},
    {.name = "time_zone",
     .label = "Time zone",
     .help = "It decides which day it is. Say it like America/Chicago.",
     .kind = FIELD_TEXT,
     .required = true,
     .max = ZONE_CHARS_MAX,
     .example = "America/Chicago"},
    {.name = "public_address",
     .label = "Address of this service",
     .help = "How others reach it; it goes into the code on repair tickets. Without it, the "
	     "code holds the ticket's number.",
     .kind = FIELD_TEXT,
     .example = "https://gear.example.org"},
    {.name = "officer_email",
     .label = "Mail address of the safety officer",
     .help = "All notices go there, and the daily checkpoint.",
     .kind = FIELD_EMAIL,
     .example = "officer@example.org"},
    {.name = "mail_url",
     .label = "Mail server",
     .help = "smtp://HOST:PORT or smtps://HOST:PORT. Without it no mail is sent. The audit "
	     "shows it, so put no password into it.",
     .kind = FIELD_TEXT,
     .example = "smtp://mail.example.org:25"},
    {.name = "mail_from",
     .label = "Sender of mails",
     .help = "The address that notices come from.",
     .kind = FIELD_EMAIL,
     .example = "gear@example.org"},
    {.name = "repair_share_percent",
     .label = "Share of the replacement price that a repair may cost, in percent",
     .help = "For the advice to repair or to replace. Empty: 50, as a fire-service guide of the "
	     "1990s says.",
     .kind = FIELD_INTEGER,
     .min = 1,
     .max = 100,
     .example = "50"},
    {.name = VERIFIED_ORGANIZATION,
     .label = "The department is verified by a third party",
     .help = "Yes: a verified organization, which may do everything in-house. Until it is set, a "
	     "manufacturer-trained one: of repairs, basic ones only. Who may do what stands under "
	     "Rules.",
     .kind = FIELD_YES_NO},
    {.name = "tablet_lock_minutes",
     .label = "Minutes after which a shared tablet asks for the PIN again",
     .help = "When nobody has used it for so long. Empty: 5.",
     .kind = FIELD_INTEGER,
     .min = 1,
     .max = PIN_LOCK_MINUTES_MAX,
     .example = "5"},
};
_Static_assert(PIN_LOCK_MINUTES == 5, "the help says so");
static const struct resource setting_resource = {"settings", "settings", setting_field,
						 sizeof setting_field / sizeof *setting_field};

/* --- what is stored -------------------------------------------------------------------- */

/* What holds where nothing was set: the program's own, as app.c reads them. */
static void add_defaults(struct doc *current) {
	doc_set_text(current, "department", "Fire Department");
	doc_set_text(current, "time_zone", "UTC");
	doc_set_text(current, "age_reading", "strict");
	doc_set_text(current, "cleaning_reading", "interval");
	doc_set_text(current, "routine_on_issue", "no");
	doc_set_text(current, "routine_after_exposure", "no");
	doc_set_text(current, "routine_duty_days", "0");
}

enum err settings_current(struct request *rq, struct doc **current, struct doc *reasons) {
	struct doc *rows = doc_list(&rq->arena);
	*current = doc_map(&rq->arena);
	add_defaults(*current);
	enum err err = setting_list(request_store(rq), &rq->arena, rows, &rq->fault);
	for (struct doc *row = err == ERR_OK ? rows->first : NULL; row; row = row->next) {
		const char *value = doc_text(row, "value");
		if (text_empty(value)) continue;
		doc_set_text(*current, doc_text(row, "name"), value);
		if (!reasons || text_empty(doc_text(row, "reason"))) continue;
		struct doc *m = doc_add_map(reasons);
		doc_set_text(m, "name", doc_text(row, "name"));
		doc_set_text(m, "value", value);
		doc_set_text(m, "reason", doc_text(row, "reason"));
	}
	return err;
}

enum err settings_changed(struct request *rq, take_setting *take, void *context) {
	struct doc *current;
	int64_t version;
	enum err err = setting_version(request_store(rq), &version, &rq->fault);
	if (err == ERR_OK) err = request_check_version(rq, version);
	if (err == ERR_OK) err = settings_current(rq, &current, NULL);
	for (size_t i = 0; err == ERR_OK && i < rq->resource->field_count; i++) {
		const char *name = rq->resource->field[i].name;
		const char *value = value_text(&rq->value[i]);
		if (!value_given(&rq->value[i]) || text_equal(value, doc_text(current, name)))
			continue;
		err = take(rq, context, name, value ? value : "");
	}
	return err;
}

static enum err store_setting(struct request *rq, void *context, const char *name,
			      const char *value) {
	(void)context;
	enum err err = setting_change(request_store(rq), name, value, NULL, &rq->fault);
	if (err != ERR_INVALID) return err;
	request_fault_to_field(rq);
	return ERR_OK; /* the others are looked at too; in the end they say ERR_INVALID */
}

/* --- settings -------------------------------------------------------------------------- */

/* What answers here; nothing of the machine it runs on. */
static enum err service_document(struct request *rq, struct doc *page) {
	struct checkpoint now;
	struct doc *service = doc_set_map(page, "service");
	enum err err = audit_checkpoint(request_store(rq), &now, &rq->fault);
	if (err != ERR_OK) return err;
	doc_set_text(service, "software", "Pegwarden " PACKAGE_VERSION);
	doc_set_int(service, "audit_entries", now.size);
	return ERR_OK;
}

static enum err setting_show(struct request *rq) {
	struct doc *current, *page = rq->doc = doc_map(&rq->arena);
	enum err err = settings_current(rq, &current, NULL);
	if (err == ERR_OK) err = setting_version(request_store(rq), &rq->version, &rq->fault);
	if (err == ERR_OK) err = service_document(rq, page);
	if (err != ERR_OK) return err;
	doc_set(page, "form",
		fields_form(&setting_resource, &rq->arena, current,
			    request_values(rq, &setting_resource), &rq->faults, rq->stale_form));
	doc_set_int(page, "version", rq->version);
	rq->title = "Settings";
	return ERR_OK;
}

static enum err setting_store(struct request *rq) {
	enum err err = settings_changed(rq, store_setting, NULL);
	if (err == ERR_OK && rq->faults.count) err = ERR_INVALID;
	if (err != ERR_OK) return err;
	request_settings_changed(rq);
	request_go(rq, false, "/settings");
	request_action(rq, "change settings");
	rq->value = NULL;
	return setting_show(rq);
}

static const struct route route[] = {
    {METHOD_GET, "/settings", ROLE_ADMINISTRATOR, RUN_READ, .handle = setting_show,
     .template_name = "settings", .summary = "The department's settings"},
    {METHOD_POST, "/settings", ROLE_ADMINISTRATOR, RUN_CHANGE, .handle = setting_store,
     .form = setting_show, .template_name = "settings", .resource = &setting_resource,
     .partial = true, .summary = "Change settings; an empty one is taken back"},
};
const struct route_table setting_routes = {route, sizeof route / sizeof *route};
