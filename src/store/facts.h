/*
 * The facts of components and members, as the rules want them.
 *
 * Components are read in runs of ids: every table is asked once for the whole
 * run, in order of component, and the rows are dealt out as the run goes on.
 * So one component and a quarter of a million go the same way.
 */
#ifndef PEGWARDEN_STORE_FACTS_H
#define PEGWARDEN_STORE_FACTS_H

#include "rules/duty.h"
#include "rules/readiness.h"
#include "store/store.h"

struct facts_run;

/* Components first_id to last_id, in order. */
enum err facts_run_open(struct facts_run **run, struct store *st, const struct handbook *hb,
			int64_t first_id, int64_t last_id, struct fault *f) MUST_CHECK;
/* The next component; *facts and its texts live in the arena. *id is 0 at the end. */
enum err facts_run_next(struct facts_run *run, struct arena *a, int64_t *id,
			struct component_facts *facts, struct fault *f) MUST_CHECK;
/* The ensemble that component is in; 0: none. */
int64_t facts_run_ensemble(const struct facts_run *run);
void facts_run_close(struct facts_run *run);

/* One component: ERR_NOT_FOUND when there is none. */
enum err facts_of_component(struct store *st, const struct handbook *hb, int64_t id,
			    struct arena *a, struct component_facts *facts,
			    struct fault *f) MUST_CHECK;
/* A member's ensembles and parts, with their standings. */
enum err facts_of_member(struct store *st, const struct handbook *hb, int64_t member,
			 struct arena *a, struct member_facts *facts, struct fault *f) MUST_CHECK;

#endif
