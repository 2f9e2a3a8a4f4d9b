/*
 * The department's settings (administrators) and the rules it follows (officers).
 *
 * A field has the name of its setting, so both pages are stored by one loop.
 * The rules' table is built for the rule set in use: two fields a rule.
 */
#include "config.h"

#include "base/limits.h"
#include "handlers/app.h"
#include "handlers/routes.h"
#include "store/handbook.h"
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
};
static const struct resource setting_resource = {"settings", "settings", setting_field,
						 sizeof setting_field / sizeof *setting_field};

/* --- what is stored -------------------------------------------------------------------- */

/* What holds where nothing was set: the program's own, as app.c reads them. */
static void add_defaults(struct doc *current) {
	doc_set_text(current, "department", "Fire Department");
	doc_set_text(current, "time_zone", "UTC");
	doc_set_text(current, "age_reading", "strict");
	doc_set_text(current, "cleaning_reading", "interval");
}

/* name -> value of every setting, and "reasons" [{name value reason}] of those that have one. */
static enum err read_current(struct request *rq, struct doc **current, struct doc *reasons) {
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

static const char *reason_of(const struct request *rq) {
	for (size_t i = 0; i < rq->resource->field_count; i++)
		if (text_equal(rq->resource->field[i].name, "reason"))
			return value_text(&rq->value[i]);
	return NULL;
}

static enum err store_one_setting(struct request *rq, const char *name, const char *value) {
	enum err err =
	    setting_change(request_store(rq), name, value ? value : "", reason_of(rq), &rq->fault);
	if (err != ERR_INVALID) return err;
	request_fault_to_field(rq);
	return ERR_OK; /* the others are looked at too; in the end they say ERR_INVALID */
}

/* Every field that differs from what is stored. */
static enum err store_settings(struct request *rq, const char *back) {
	struct doc *current;
	int64_t version;
	enum err err = setting_version(request_store(rq), &version, &rq->fault);
	if (err == ERR_OK) err = request_check_version(rq, version);
	if (err == ERR_OK) err = read_current(rq, &current, NULL);
	for (size_t i = 0; err == ERR_OK && i < rq->resource->field_count; i++) {
		const char *name = rq->resource->field[i].name;
		const char *value = value_text(&rq->value[i]);
		if (!value_given(&rq->value[i]) || text_equal(name, "reason") ||
		    text_equal(value, doc_text(current, name)))
			continue;
		err = store_one_setting(rq, name, value);
	}
	if (err == ERR_OK && rq->faults.count) err = ERR_INVALID;
	if (err != ERR_OK) return err;
	request_settings_changed(rq);
	request_go(rq, false, "%s", back);
	return ERR_OK;
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
	enum err err = read_current(rq, &current, NULL);
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
	enum err err = store_settings(rq, "/settings");
	if (err != ERR_OK) return err;
	request_action(rq, "change settings");
	rq->value = NULL;
	return setting_show(rq);
}

/* --- rules ----------------------------------------------------------------------------- */

static const struct choice age_choice[] = {
    {"strict", "From the first day of the month of the limit on"},
    {"end_of_month", "To the end of the month of the limit"},
    {NULL, NULL}};
static const struct choice cleaning_choice[] = {
    {"interval", "One every so many months"}, {"count", "So many in any 12 months"}, {NULL, NULL}};

static const struct choice *set_choices(struct arena *a, const struct handbook *hb) {
	struct choice *choice = arena_array(a, struct choice, hb->rule_set_count + 1);
	for (size_t i = 0; choice && i < hb->rule_set_count; i++)
		choice[i] = (struct choice){hb->rule_set[i].code, hb->rule_set[i].label};
	return choice;
}

static struct field months_field(struct arena *a, const struct rule *rule, const char *suffix,
				 const char *words, int own) {
	return (struct field){
	    .name = arena_printf(a, "%s%s", rule->code, suffix),
	    .label = arena_printf(a, "%s: %s, in months", rule->label, words),
	    .help =
		own ? arena_printf(a, "Empty: %d, as the rule set says (%s).", own, rule->source)
		    : arena_printf(a, "Empty: not dated; the rule set names no time (%s).",
				   rule->source),
	    .kind = FIELD_INTEGER,
	    .min = 1,
	    .max = LIMIT_MONTHS_MAX};
}

static struct resource *rules_of(struct arena *a, const struct handbook *hb,
				 const struct program *p) {
	const struct rule_set *set = p->set;
	struct field *field = arena_array(a, struct field, 4 + 2 * set->rule_count);
	struct resource *r = arena_new(a, struct resource);
	if (!field || !r) return NULL;
	size_t n = 0;
	field[n++] = (struct field){.name = "rule_set",
				    .label = "Rule set",
				    .help = "Which edition or rule the department follows; the "
					    "fields below follow it.",
				    .kind = FIELD_CHOICE,
				    .required = true,
				    .choice = set_choices(a, hb)};
	field[n++] = (struct field){.name = "age_reading",
				    .label = "Retired by age",
				    .kind = FIELD_CHOICE,
				    .required = true,
				    .choice = age_choice};
	field[n++] = (struct field){.name = "cleaning_reading",
				    .label = "Advanced cleanings are asked for as",
				    .kind = FIELD_CHOICE,
				    .required = true,
				    .choice = cleaning_choice};
	for (size_t i = 0; i < set->rule_count; i++) {
		const struct rule *rule = &set->rule[i];
		field[n++] =
		    months_field(a, rule, "_first_months", "the first time", rule->first_months);
		if (rule->duty == DUTY_RETIREMENT) continue; /* once */
		field[n++] =
		    months_field(a, rule, "_repeat_months", "each next time",
				 rule->repeat_months ? rule->repeat_months : rule->first_months);
	}
	field[n++] = (struct field){.name = "reason",
				    .label = "Reason",
				    .help = "Needed where something becomes looser than the rule "
					    "set says; it is recorded.",
				    .kind = FIELD_TEXT};
	*r = (struct resource){"rules", "rules", field, n};
	return r;
}

static enum err rule_resource(struct request *rq, const struct resource **resource) {
	const struct handbook *hb = app_handbook(request_app(rq));
	struct program *p;
	enum err err = program_load(request_store(rq), hb, &rq->arena, &p, &rq->fault);
	if (err != ERR_OK) return err;
	*resource = rules_of(&rq->arena, hb, p);
	return *resource ? ERR_OK : request_fail(rq, ERR_MEMORY, "There is no memory left.");
}

static enum err rule_show(struct request *rq) {
	const struct handbook *hb = app_handbook(request_app(rq));
	struct doc *current, *page = rq->doc = doc_map(&rq->arena);
	struct program *p;
	enum err err = program_load(request_store(rq), hb, &rq->arena, &p, &rq->fault);
	if (err == ERR_OK) err = read_current(rq, &current, doc_set_list(page, "reasons"));
	if (err == ERR_OK) err = setting_version(request_store(rq), &rq->version, &rq->fault);
	if (err != ERR_OK) return err;
	doc_set_text(current, "rule_set", p->set->code);
	/* The form is for the fields that were read, where any were. */
	const struct resource *r = rq->value ? rq->resource : rules_of(&rq->arena, hb, p);
	if (!r) return request_fail(rq, ERR_MEMORY, "There is no memory left.");
	doc_set(page, "form",
		fields_form(r, &rq->arena, current, request_values(rq, r), &rq->faults,
			    rq->stale_form));
	doc_set_bool(page, "has_reasons", doc_count(doc_get(page, "reasons")) > 0);
	doc_set_text(page, "source", p->set->source);
	doc_set_int(page, "version", rq->version);
	rq->title = "Rules";
	return ERR_OK;
}

static enum err rule_store(struct request *rq) {
	enum err err = store_settings(rq, "/rules");
	if (err != ERR_OK) return err;
	request_action(rq, "change rules of the program");
	rq->value = NULL;
	return rule_show(rq);
}

static const struct route route[] = {
    {METHOD_GET, "/settings", ROLE_ADMINISTRATOR, RUN_READ, .handle = setting_show,
     .template_name = "settings", .summary = "The department's settings"},
    {METHOD_POST, "/settings", ROLE_ADMINISTRATOR, RUN_CHANGE, .handle = setting_store,
     .form = setting_show, .template_name = "settings", .resource = &setting_resource,
     .partial = true, .summary = "Change settings; an empty one is taken back"},
    {METHOD_GET, "/rules", ROLE_OFFICER, RUN_READ, .handle = rule_show, .template_name = "rules",
     .summary = "The rules the department follows, and where it differs from its rule set"},
    {METHOD_POST, "/rules", ROLE_OFFICER, RUN_CHANGE, .handle = rule_store, .form = rule_show,
     .template_name = "rules", .resource_of = rule_resource, .partial = true,
     .summary = "Change rules; a looser one needs a reason"},
};
const struct route_table setting_routes = {route, sizeof route / sizeof *route};
