#include "handlers/import_kinds.h"

#include "base/text.h"

/* In the order in which they are brought in: each names only records of those before. */
static const struct import_kind kinds[] = {
    {"stations", "import station", &station_resource, NULL, import_station},
    {"members", "import member", &member_resource, NULL, import_member},
    {"providers", "import provider", &provider_resource, NULL, import_provider},
    {"components", "import component", &component_resource, &import_component_columns,
     import_component},
    {"issues", "import issue", NULL, &import_issue_columns, import_issue},
    {"cleanings", "import cleaning", NULL, &import_cleaning_columns, import_cleaning},
    {"inspections", "import inspection", NULL, &import_inspection_columns, import_inspection},
    {"answered_together", "import points answered together", NULL, &import_together_columns,
     import_together},
    {"findings", "import finding", NULL, &import_finding_columns, import_finding},
    {"repairs", "import repair", NULL, &import_repair_columns, import_repair},
    {"quotes", "import repair quote", NULL, &import_quote_columns, import_quote},
    {"prices", "import replacement price", &price_resource, NULL, import_price},
    {"component_prices", "import replacement price of a part", NULL,
     &import_component_price_columns, import_component_price},
    {"exposures", "import exposure", NULL, &import_exposure_columns, import_exposure},
    {"field_tests", "import field test", NULL, &import_field_test_columns, import_field_test},
    {"fit_checks", "import interface check", NULL, &import_fit_check_columns, import_fit_check},
    {"safety_notices", "import safety notice", NULL, &import_safety_notice_columns,
     import_safety_notice},
    {"safety_answers", "import answer to a safety notice", NULL, &import_safety_answer_columns,
     import_safety_answer},
    {"holds", "import hold", NULL, &import_hold_columns, import_hold},
    {"custody", "import custody log", NULL, &import_custody_columns, import_custody},
};
#define KINDS (sizeof kinds / sizeof *kinds)

/* The same words for forms. */
const struct choice import_kind_choice[KINDS + 1] = {
    {"stations", "Stations"},
    {"members", "Members"},
    {"providers", "Providers"},
    {"components", "Gear, with its ensembles"},
    {"issues", "Issues that ended"},
    {"cleanings", "Cleanings done"},
    {"inspections", "Inspections done"},
    {"answered_together", "Check points answered together in those"},
    {"findings", "Findings of those"},
    {"repairs", "Repair tickets of those"},
    {"quotes", "Quotes for those"},
    {"prices", "Replacement prices"},
    {"component_prices", "Replacement prices of single parts"},
    {"exposures", "Exposures"},
    {"field_tests", "Field tests"},
    {"fit_checks", "Interface checks"},
    {"safety_notices", "Safety notices"},
    {"safety_answers", "Answers to those"},
    {"holds", "Special incident holds"},
    {"custody", "Custody logs of those"},
};

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
