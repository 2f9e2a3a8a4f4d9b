/*
 * Every route of the program: each handlers file exports its table, and this
 * list makes the whole. A new resource adds one line here and in routes.c.
 */
#ifndef PEGWARDEN_HANDLERS_ROUTES_H
#define PEGWARDEN_HANDLERS_ROUTES_H

#include "http/route.h"

extern const struct route_table home_routes;
extern const struct route_table sign_in_routes;
extern const struct route_table look_routes;
extern const struct route_table own_secret_routes;
extern const struct route_table tablet_routes;
extern const struct route_table officer_tablet_routes;
extern const struct route_table account_routes;
extern const struct route_table token_routes;
extern const struct route_table station_routes;
extern const struct route_table member_routes;
extern const struct route_table ensemble_routes;
extern const struct route_table component_routes;
extern const struct route_table component_act_routes;
extern const struct route_table label_routes;
extern const struct route_table out_of_service_tag_routes;
extern const struct route_table retirement_routes;
extern const struct route_table price_routes;
extern const struct route_table provider_routes;
extern const struct route_table inspection_routes;
extern const struct route_table inspection_part_routes;
extern const struct route_table inspection_finding_routes;
extern const struct route_table inspection_review_routes;
extern const struct route_table inspection_next_routes;
extern const struct route_table inspection_paper_routes;
extern const struct route_table finding_routes;
extern const struct route_table photo_routes;
extern const struct route_table dispatch_routes;
extern const struct route_table dispatch_quote_routes;
extern const struct route_table dispatch_return_routes;
extern const struct route_table dispatch_ticket_routes;
extern const struct route_table hold_routes;
extern const struct route_table safety_notice_routes;
extern const struct route_table safety_answer_routes;
extern const struct route_table exposure_routes;
extern const struct route_table field_test_routes;
extern const struct route_table fit_check_routes;
extern const struct route_table duty_routes;
extern const struct route_table readiness_routes;
extern const struct route_table audit_routes;
extern const struct route_table notice_routes;
extern const struct route_table export_routes;
extern const struct route_table import_routes;
extern const struct route_table setting_routes;
extern const struct route_table rule_routes;

/* All of them; *count tables. */
const struct route_table *all_routes(size_t *count);

#endif
