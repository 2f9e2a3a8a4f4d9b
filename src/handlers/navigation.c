#include "handlers/navigation.h"

#include <string.h>

struct place {
	const char *path, *label;
	enum role role;
};
/* What is done with gear, who and what the department is, and one's own; the last has no path. */
static const struct place gear_place[] = {{"/", "Home", ROLE_MEMBER},
					  {"/inspections", "Inspections", ROLE_MEMBER},
					  {"/components", "Gear", ROLE_MEMBER},
					  {"/ensembles", "Ensembles", ROLE_MEMBER},
					  {"/findings", "Findings", ROLE_INSPECTOR},
					  {"/dispatches", "Repairs", ROLE_INSPECTOR},
					  {"/exposures", "Exposures", ROLE_MEMBER},
					  {"/field-tests", "Field tests", ROLE_MEMBER},
					  {"/fit-checks", "Interface checks", ROLE_MEMBER},
					  {"/safety-notices", "Safety notices", ROLE_MEMBER},
					  {"/holds", "Special incident holds", ROLE_INSPECTOR},
					  {"/duties", "Due", ROLE_MEMBER},
					  {"/readiness", "Readiness", ROLE_MEMBER},
					  {NULL, NULL, ROLE_NOBODY}};
static const struct place department_place[] = {{"/members", "Members", ROLE_MEMBER},
						{"/stations", "Stations", ROLE_MEMBER},
						{"/providers", "Providers", ROLE_INSPECTOR},
						{"/prices", "Replacement prices", ROLE_OFFICER},
						{"/imports", "Tables", ROLE_OFFICER},
						{"/notices", "Reminders sent", ROLE_OFFICER},
						{"/audit", "Audit", ROLE_OFFICER},
						{"/rules", "Rules", ROLE_OFFICER},
						{"/tablets", "Shared tablets", ROLE_OFFICER},
						{"/accounts", "Accounts", ROLE_ADMINISTRATOR},
						{"/settings", "Settings", ROLE_ADMINISTRATOR},
						{NULL, NULL, ROLE_NOBODY}};
static const struct place own_place[] = {{"/kept", "Kept on this tablet", ROLE_MEMBER},
					 {"/password", "Your password", ROLE_MEMBER},
					 {"/pin", "Your PIN", ROLE_MEMBER},
					 {"/tokens", "API tokens", ROLE_MEMBER},
					 {NULL, NULL, ROLE_NOBODY}};

static bool is_at(const struct request *rq, const char *path) {
	size_t length = strlen(path);
	if (!rq->path) return false;
	if (length == 1) return strcmp(rq->path, "/") == 0;
	return strncmp(rq->path, path, length) == 0 && strchr("/", rq->path[length]);
}

static void add_places(const struct request *rq, struct doc *navigation, const char *heading,
		       const struct place *place) {
	struct doc *group = doc_add_map(navigation);
	doc_set_text(group, "heading", heading);
	struct doc *list = doc_set_list(group, "places");
	for (; place->path; place++) {
		if (rq->who.role < place->role) continue;
		struct doc *m = doc_add_map(list);
		doc_set_text(m, "path", place->path);
		doc_set_text(m, "label", place->label);
		doc_set_bool(m, "is_here", is_at(rq, place->path));
	}
}

void navigation_add(const struct request *rq, struct doc *chrome) {
	struct doc *navigation = doc_set_list(chrome, "navigation");
	add_places(rq, navigation, "Gear and work", gear_place);
	add_places(rq, navigation, "Department", department_place);
	add_places(rq, navigation, "Yours", own_place);
}
