/*
 * What is on record, as tables that import takes: the same columns, other
 * records named by code, badge and tag. Drafts, abandoned inspections, answers
 * at single check points, photos and accounts are not in them.
 */
#ifndef PEGWARDEN_STORE_EXPORT_H
#define PEGWARDEN_STORE_EXPORT_H

#include "base/buf.h"
#include "store/store.h"

/* The rows of a kind. Which kinds there are, and in which order, handlers/import_kinds.c says. */
struct exported {
	const struct sql *rows;
};
extern const struct exported export_stations, export_members, export_providers, export_components,
    export_issues, export_cleanings, export_inspections, export_answered_together, export_findings,
    export_repairs, export_quotes, export_prices, export_component_prices, export_exposures,
    export_field_tests, export_fit_checks, export_safety_notices, export_safety_answers,
    export_holds, export_custody;

/* Appends a table with its header. */
enum err export_table(struct store *st, const struct exported *table, struct buf *out,
		      struct fault *f) MUST_CHECK;

#endif
