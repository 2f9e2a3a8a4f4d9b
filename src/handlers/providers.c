/*
 * Service providers: where gear is sent for repair.
 */
#include "base/limits.h"
#include "handlers/app.h"
#include "handlers/list.h"
#include "handlers/record.h"
#include "handlers/resources.h"
#include "handlers/routes.h"
#include "store/provider.h"

/* What each may do is in the table of rules/qualification.h. */
static const struct choice class_choice[] = {
    {"verified_provider", "Verified independent service provider"},
    {"manufacturer", "Element manufacturer"},
    {"verified_cleaner", "Verified cleaner: cleaning only, never repair"},
    {"trained_organization", "Manufacturer-trained organization: basic repair only"},
    {NULL, NULL}};

static const struct field provider_field[PROVIDER_FIELDS] = {
    [PROVIDER_CODE] = {.name = "code",
		       .label = "Code",
		       .kind = FIELD_TAG,
		       .required = true,
		       .max = 20,
		       .example = "REMEND"},
    [PROVIDER_NAME] = {.name = "name",
		       .label = "Name",
		       .kind = FIELD_TEXT,
		       .required = true,
		       .max = LIMIT_NAME_CHARS_MAX},
    [PROVIDER_CLASS] = {.name = "class",
			.label = "Qualification class",
			.kind = FIELD_CHOICE,
			.required = true,
			.choice = class_choice},
    [PROVIDER_VERIFIED_UNTIL] = {.name = "verified_until",
				 .label = "Verified until",
				 .kind = FIELD_DAY},
    [PROVIDER_EMAIL] = {.name = "email", .label = "Mail address", .kind = FIELD_EMAIL},
    [PROVIDER_PHONE] = {.name = "phone", .label = "Telephone", .kind = FIELD_TEXT, .max = 40},
    [PROVIDER_ADDRESS] = {.name = "address", .label = "Address", .kind = FIELD_TEXT},
    [PROVIDER_ACTIVE] = {.name = "active", .label = "In use", .kind = FIELD_YES_NO},
    [PROVIDER_IN_HOUSE] = {.name = "in_house",
			   .label = "The department's own workshop",
			   .help = "Enter it as manufacturer-trained organization. Advanced "
				   "repairs are open to it where the settings say that the "
				   "department is verified by a third party.",
			   .kind = FIELD_YES_NO},
};
const struct resource provider_resource = {"provider", "providers", provider_field,
					   PROVIDER_FIELDS};

static enum err get(struct request *rq, int64_t id, struct doc **row) {
	return provider_get(request_store(rq), id, &rq->arena, row, &rq->fault);
}

static enum err save(struct request *rq, const struct doc *row, int64_t *id) {
	struct provider_row provider = {
	    .id = doc_int(row, "id"),
	    .code = keep_text(rq, PROVIDER_CODE, row),
	    .name = keep_text(rq, PROVIDER_NAME, row),
	    .class = keep_text(rq, PROVIDER_CLASS, row),
	    .verified_until = keep_text(rq, PROVIDER_VERIFIED_UNTIL, row),
	    .email = keep_text(rq, PROVIDER_EMAIL, row),
	    .phone = keep_text(rq, PROVIDER_PHONE, row),
	    .address = keep_text(rq, PROVIDER_ADDRESS, row),
	    .active = keep_int(rq, PROVIDER_ACTIVE, row, 1) != 0,
	    .in_house = keep_int(rq, PROVIDER_IN_HOUSE, row, 0) != 0,
	};
	return provider_save(request_store(rq), &provider, &rq->arena, id, &rq->fault);
}

static enum err extend(struct request *rq, const struct doc *row, struct doc *page) {
	(void)rq;
	doc_set_text(page, "class_label", choice_label(class_choice, doc_text(row, "class")));
	return ERR_OK;
}

static const struct record record = {.path = "/providers",
				     .word = "provider",
				     .resource = &provider_resource,
				     .get = get,
				     .save = save,
				     .extend = extend,
				     .title_key = "name",
				     .unique = "code"};

static const struct list_column column[] = {
    {"code", "code"},       {"name", "name"},
    {"class", "class"},     {"verified_until", "verified_until"},
    {"email", "email"},     {"phone", "phone"},
    {"address", "address"}, {NULL, NULL}};
static const struct list_page page = {.path = "/providers",
				      .title = "Providers",
				      .source = &provider_list,
				      .filter = {{.label = "Class", .choice = class_choice}},
				      .column = column};

static enum err provider_index(struct request *rq) { return list_answer(rq, &page); }
static enum err provider_csv(struct request *rq) { return list_export(rq, &page); }
static enum err provider_show(struct request *rq) { return record_show(rq, &record); }
static enum err provider_form(struct request *rq) { return record_form(rq, &record); }
static enum err provider_store(struct request *rq) { return record_store(rq, &record); }

static const char *const list_query[] = {LIST_QUERY, "class", NULL};

static const struct route route[] = {
    {METHOD_GET, "/providers", ROLE_INSPECTOR, RUN_READ, .handle = provider_index,
     .template_name = "providers", .query = list_query, .summary = "Service providers"},
    {METHOD_GET, "/providers.csv", ROLE_INSPECTOR, RUN_READ, .handle = provider_csv,
     .query = list_query, .summary = "The list of providers as CSV"},
    {METHOD_GET, "/providers/new", ROLE_OFFICER, RUN_READ, .handle = provider_form,
     .template_name = "form", .summary = "Form for a new provider"},
    {METHOD_POST, "/providers", ROLE_OFFICER, RUN_CHANGE, .handle = provider_store,
     .form = provider_form, .template_name = "form", .resource = &provider_resource,
     .summary = "Add a provider"},
    {METHOD_GET, "/providers/:id", ROLE_INSPECTOR, RUN_READ, .handle = provider_show,
     .template_name = "provider", .summary = "One provider"},
    {METHOD_GET, "/providers/:id/edit", ROLE_OFFICER, RUN_READ, .handle = provider_form,
     .template_name = "form", .summary = "Form to change a provider"},
    {METHOD_POST, "/providers/:id", ROLE_OFFICER, RUN_CHANGE, .handle = provider_store,
     .form = provider_form, .template_name = "form", .resource = &provider_resource,
     .partial = true, .summary = "Change a provider"},
};
const struct route_table provider_routes = {route, sizeof route / sizeof *route};
