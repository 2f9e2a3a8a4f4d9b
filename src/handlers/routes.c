#include "handlers/routes.h"

#include <string.h>

const struct route_table *all_routes(size_t *count) {
	static const struct route_table *const listed[] = {
	    &home_routes,
	    &sign_in_routes,
	    &look_routes,
	    &own_secret_routes,
	    &tablet_routes,
	    &officer_tablet_routes,
	    &account_routes,
	    &token_routes,
	    &station_routes,
	    &member_routes,
	    &ensemble_routes,
	    &component_routes,
	    &component_act_routes,
	    &label_routes,
	    &out_of_service_tag_routes,
	    &retirement_routes,
	    &price_routes,
	    &provider_routes,
	    &inspection_routes,
	    &inspection_part_routes,
	    &inspection_finding_routes,
	    &inspection_review_routes,
	    &inspection_next_routes,
	    &inspection_paper_routes,
	    &finding_routes,
	    &photo_routes,
	    &dispatch_routes,
	    &dispatch_quote_routes,
	    &dispatch_return_routes,
	    &dispatch_ticket_routes,
	    &hold_routes,
	    &safety_notice_routes,
	    &safety_answer_routes,
	    &exposure_routes,
	    &field_test_routes,
	    &fit_check_routes,
	    &duty_routes,
	    &readiness_routes,
	    &audit_routes,
	    &notice_routes,
	    &import_routes,
	    &setting_routes,
	    &rule_routes,
	    &export_routes,
	};
	/* Filled once, before any thread starts, and only read afterwards. */
	static struct route_table table[sizeof listed / sizeof *listed];
	*count = sizeof listed / sizeof *listed;
	for (size_t i = 0; i < *count; i++) table[i] = *listed[i];
	return table;
}
