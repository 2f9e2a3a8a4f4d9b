/*
 * The resources that imports share with forms: one field table each.
 */
#ifndef PEGWARDEN_HANDLERS_RESOURCES_H
#define PEGWARDEN_HANDLERS_RESOURCES_H

#include "http/field.h"
#include "store/store.h"

enum { STATION_CODE, STATION_NAME, STATION_ADDRESS, STATION_EMAIL, STATION_ACTIVE, STATION_FIELDS };
extern const struct resource station_resource;

enum {
	MEMBER_BADGE,
	MEMBER_FAMILY_NAME,
	MEMBER_GIVEN_NAME,
	MEMBER_STATION,
	MEMBER_EMAIL,
	MEMBER_STRUCTURAL,
	MEMBER_PROXIMITY,
	MEMBER_TRAINED_UNTIL,
	MEMBER_STATUS,
	MEMBER_FIELDS
};
extern const struct resource member_resource;

enum {
	COMPONENT_TAG,
	COMPONENT_KIND,
	COMPONENT_HAZARD,
	COMPONENT_STATION,
	COMPONENT_ENSEMBLE,
	COMPONENT_SERIAL,
	COMPONENT_MAKER,
	COMPONENT_MODEL,
	COMPONENT_SIZE,
	COMPONENT_MADE,
	COMPONENT_IN_SERVICE_ON,
	COMPONENT_CBRN,
	COMPONENT_TRIM,
	COMPONENT_REFLECTIVE,
	COMPONENT_COST,
	COMPONENT_NOTE,
	COMPONENT_FIELDS
};
extern const struct resource component_resource;

enum {
	PROVIDER_CODE,
	PROVIDER_NAME,
	PROVIDER_CLASS,
	PROVIDER_VERIFIED_UNTIL,
	PROVIDER_EMAIL,
	PROVIDER_PHONE,
	PROVIDER_ADDRESS,
	PROVIDER_ACTIVE,
	PROVIDER_FIELDS
};
extern const struct resource provider_resource;

extern const struct choice hazard_choice[];
extern const struct choice line_choice[];
extern const struct choice state_choice[];
extern const struct choice kind_choice[];
extern const struct choice issue_condition_choice[];
extern const struct choice return_condition_choice[];
extern const struct choice result_choice[];
extern const struct choice dispatch_state_choice[];

#endif
