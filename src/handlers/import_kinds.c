#include "handlers/import_kinds.h"

#include "base/text.h"

/* In the order in which they are brought in: each names only records of those before. A kind, what
 * people read, the action of its audit entries; columns and taker as in struct import_kind. */
/* clang-format off */
#define KIND_LIST(X) \
	X(stations, "Stations", "import station", \
	  &station_resource, NULL, import_station) \
	X(members, "Members", "import member", \
	  &member_resource, NULL, import_member) \
	X(providers, "Providers", "import provider", \
	  &provider_resource, NULL, import_provider) \
	X(components, "Gear, with its ensembles", "import component", \
	  &component_resource, &import_component_columns, import_component) \
	X(issues, "Issues that ended", "import issue", \
	  NULL, &import_issue_columns, import_issue) \
	X(cleanings, "Cleanings done", "import cleaning", \
	  NULL, &import_cleaning_columns, import_cleaning) \
	X(inspections, "Inspections done", "import inspection", \
	  NULL, &import_inspection_columns, import_inspection) \
	X(answered_together, "Check points answered together in those", "import points answered together", \
	  NULL, &import_together_columns, import_together) \
	X(findings, "Findings of those", "import finding", \
	  NULL, &import_finding_columns, import_finding) \
	X(repairs, "Repair tickets of those", "import repair", \
	  NULL, &import_repair_columns, import_repair) \
	X(quotes, "Quotes for those", "import repair quote", \
	  NULL, &import_quote_columns, import_quote) \
	X(prices, "Replacement prices", "import replacement price", \
	  &price_resource, NULL, import_price) \
	X(component_prices, "Replacement prices of single parts", "import replacement price of a part", \
	  NULL, &import_component_price_columns, import_component_price) \
	X(exposures, "Exposures", "import exposure", \
	  NULL, &import_exposure_columns, import_exposure) \
	X(field_tests, "Field tests", "import field test", \
	  NULL, &import_field_test_columns, import_field_test) \
	X(fit_checks, "Interface checks", "import interface check", \
	  NULL, &import_fit_check_columns, import_fit_check) \
	X(safety_notices, "Safety notices", "import safety notice", \
	  NULL, &import_safety_notice_columns, import_safety_notice) \
	X(safety_answers, "Answers to those", "import answer to a safety notice", \
	  NULL, &import_safety_answer_columns, import_safety_answer) \
	X(holds, "Special incident holds", "import hold", \
	  NULL, &import_hold_columns, import_hold) \
	X(custody, "Custody logs of those", "import custody log", \
	  NULL, &import_custody_columns, import_custody)
/* clang-format on */

#define KIND(kind, label, action, form, columns, take)                                             \
	{#kind, action, form, columns, take, &export_##kind},
static const struct import_kind kinds[] = {KIND_LIST(KIND)};
#define KINDS (sizeof kinds / sizeof *kinds)

#define CHOICE(kind, label, action, form, columns, take) {#kind, label},
const struct choice import_kind_choice[KINDS + 1] = {KIND_LIST(CHOICE)};

const struct import_kind *import_kind_at(size_t i) { return i < KINDS ? &kinds[i] : NULL; }

const struct import_kind *import_kind_find(const char *name) {
	for (size_t i = 0; i < KINDS; i++)
		if (text_equal(kinds[i].name, name)) return &kinds[i];
	return NULL;
}

const char *import_kind_names(struct arena *a) {
	const char *names = kinds[0].name;
	for (size_t i = 1; names && i < KINDS; i++)
		names = arena_printf(a, "%s, %s", names, kinds[i].name);
	return names ? names : "";
}

static size_t copy_fields(struct field *to, const struct resource *from) {
	if (!from) return 0;
	for (size_t i = 0; i < from->field_count; i++) {
		to[i] = from->field[i];
		/* A table names other records by their codes, badges and tags. */
		if (to[i].kind == FIELD_ID) to[i].kind = FIELD_TAG;
	}
	return from->field_count;
}

const struct resource *import_kind_resource(const struct import_kind *kind, struct arena *a) {
	size_t count = (kind->form ? kind->form->field_count : 0) +
		       (kind->columns ? kind->columns->field_count : 0);
	struct field *field = arena_array(a, struct field, count);
	struct resource *r = arena_new(a, struct resource);
	if (!field || !r) return NULL;
	size_t shared = copy_fields(field, kind->form);
	copy_fields(field + shared, kind->columns);
	*r = (struct resource){kind->name, kind->name, field, count};
	return r;
}
