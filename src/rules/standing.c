#include "rules/standing.h"

#include <string.h>

#include "base/text.h"
#include "rules/retirement.h"

#define WORD(code, word, label) word,
#define LABEL(code, word, label) label,
const char *const service_state_word[STATE_COUNT] = {SERVICE_STATE_LIST(WORD)};
const char *const service_state_label[STATE_COUNT] = {SERVICE_STATE_LIST(LABEL)};

/* What is being worked on; blockers are gathered in the order they matter. */
struct work {
	const struct component_facts *c;
	const struct handbook *hb;
	struct arena *a;
	struct blocker *blocker;
	size_t count;
	bool is_cleaned_first; /* before anybody looks at it */
};

static void block(struct work *w, const char *code, int64_t finding, const char *text) {
	w->blocker[w->count++] = (struct blocker){.code = code, .text = text, .finding = finding};
}

static void block_held(struct work *w) {
	char day_text[DAY_TEXT_SIZE];
	if (!w->c->hold_incident) return;
	block(w, "special_incident_hold", 0,
	      arena_printf(w->a,
			   "Held since %s because of a special incident (%s): it stays as it was "
			   "found. Only the safety officer releases it.",
			   day_format(w->c->held_on, day_text), w->c->hold_incident));
}

static void block_retired(struct work *w) {
	const struct component_facts *c = w->c;
	char retired[DAY_TEXT_SIZE], marked[DAY_TEXT_SIZE];
	if (c->retired_on == DAY_NONE) return;
	const char *since = day_format(c->retired_on, retired),
		   *why = retirement_text(c->retired_ground, c->retired_reason, w->a);
	block(w, "retired", 0,
	      c->training_on == DAY_NONE
		  ? arena_printf(w->a, "Retired on %s: %s", since, why)
		  : arena_printf(w->a,
				 "Retired on %s, marked for training without live fire on %s: %s",
				 since, day_format(c->training_on, marked), why));
}

static void block_away(struct work *w) {
	char day_text[DAY_TEXT_SIZE];
	if (w->c->sent_on == DAY_NONE) return;
	block(w, "at_provider", 0,
	      arena_printf(w->a, "At %s since %s, ticket %s.", w->c->provider_name,
			   day_format(w->c->sent_on, day_text), w->c->dispatch_number));
}

static void block_back(struct work *w) {
	char day_text[DAY_TEXT_SIZE];
	if (w->c->back_on == DAY_NONE) return;
	block(w, "return_inspection", 0,
	      arena_printf(w->a, "Back from a provider on %s: needs a return inspection.",
			   day_format(w->c->back_on, day_text)));
}

static void block_beneath(struct work *w) {
	for (size_t i = 0; i < w->c->follow_up_count; i++) {
		block(w, "thorough_inspection", 0, w->c->follow_up[i].reason);
		w->blocker[w->count - 1].raised_at = w->c->follow_up[i].raised_at;
	}
}

/* What ends it. */
static const char *safety_ends(const struct open_safety_notice *n) {
	if (n->state == SAFETY_OUT_OF_USE)
		return "It stays out of use until the issuer says more, or it is retired.";
	if (n->state == SAFETY_SENT)
		return "It was sent away because of that; record what was done when it is back.";
	if (n->action == SAFETY_INSPECT)
		return "Inspect it as the notice says, then answer the notice.";
	return "Ends when somebody records on the notice what was done.";
}

/* Those that ask for an inspection wait for it; the others keep it out. */
static void block_safety_notices(struct work *w, bool for_inspection) {
	for (size_t i = 0; i < w->c->safety_notice_count; i++) {
		const struct open_safety_notice *n = &w->c->safety_notice[i];
		bool waits = n->action == SAFETY_INSPECT && n->state == SAFETY_LEFT;
		if (waits != for_inspection) continue;
		block(w, "safety_notice", 0,
		      n->hit == SAFETY_HIT
			  ? arena_printf(w->a, "Safety notice %s, %s: %s. %s", n->number, n->title,
					 safety_action_label[n->action], safety_ends(n))
			  : arena_printf(w->a,
					 "Safety notice %s, %s, may concern it: %s. %s Read the "
					 "label. %s",
					 n->number, n->title, safety_action_label[n->action],
					 n->reason, safety_ends(n)));
		w->blocker[w->count - 1].safety_notice = n->id;
	}
}

static void block_withdrawn(struct work *w) {
	if (!w->c->withdrawn_reason) return;
	block(w, "withdrawn", 0,
	      arena_printf(w->a, "Set aside until the safety officer releases it: %s",
			   w->c->withdrawn_reason));
}

static void block_contaminated(struct work *w) {
	char day_text[DAY_TEXT_SIZE];
	for (size_t i = 0; i < w->c->exposure_count; i++) {
		const struct exposure *e = &w->c->exposure[i];
		if (!exposure_is_open(e, w->c->cleaned_on, w->c->specialized_on)) continue;
		block(w, "contaminated", 0,
		      arena_printf(w->a,
				   "Exposed to %s on %s: contaminated until %s cleaning is "
				   "recorded. %s",
				   exposure_cause_label[e->cause], day_format(e->on, day_text),
				   exposure_asks_specialized(e->cause) ? "a specialized"
								       : "an advanced",
				   exposure_advice(e->cause) ? exposure_advice(e->cause) : ""));
		w->blocker[w->count - 1].exposure = e->id;
		w->is_cleaned_first = true;
	}
}

static const char *finding_place(const struct work *w, const struct open_finding *fd) {
	const struct zone *zone = handbook_zone(w->hb, w->c->kind, fd->zone);
	if (zone && !text_empty(fd->place))
		return arena_printf(w->a, ", %s, %s", zone->label, fd->place);
	if (zone) return arena_printf(w->a, ", %s", zone->label);
	return text_empty(fd->place) ? "" : arena_printf(w->a, ", %s", fd->place);
}

const char *const closed_by_ends[CLOSED_BY_COUNT] = {
    [CLOSED_BY_NOTHING] = "",
    [CLOSED_BY_CLEANING] = "Ends with an advanced cleaning.",
    [CLOSED_BY_RETURN] = "Ends with a return inspection.",
    [CLOSED_BY_ANSWER] = "Ends with the recorded answer of the maker or a verified provider.",
    [CLOSED_BY_RETIREMENT] = "Does not go back into service."};

static void block_findings(struct work *w) {
	for (size_t i = 0; i < w->c->finding_count; i++) {
		const struct open_finding *fd = &w->c->finding[i];
		char day_text[DAY_TEXT_SIZE];
		if (!fd->outcome->blocks) continue;
		const struct defect *defect = handbook_defect(w->hb, fd->defect);
		block(w, fd->outcome->retires ? "retire_finding" : "finding", fd->id,
		      arena_printf(w->a, "%s%s, found %s: %s. %s",
				   defect ? defect->label : fd->defect, finding_place(w, fd),
				   day_format(fd->found_on, day_text), fd->outcome->label,
				   closed_by_ends[fd->outcome->closed_by]));
		if (fd->outcome->closed_by == CLOSED_BY_CLEANING) w->is_cleaned_first = true;
	}
}

/* On the shelf as it was taken off: the next wearer is not to find that out. */
static void block_came_back(struct work *w) {
	char day_text[DAY_TEXT_SIZE];
	const struct component_facts *c = w->c;
	if (c->retired_on != DAY_NONE) return; /* see retirement.h */
	bool soiled = component_came_back_soiled(c), spoilt = component_came_back_contaminated(c);
	if (soiled || spoilt)
		block(w, spoilt ? "contaminated" : "came_back_soiled", 0,
		      arena_printf(w->a,
				   "It came back %s on %s and was not cleaned since. Ends with %s "
				   "cleaning.",
				   spoilt ? "contaminated" : "soiled",
				   day_format(c->soiled_return_on, day_text),
				   spoilt ? "an advanced or specialized" : "a"));
	w->is_cleaned_first = w->is_cleaned_first || soiled || spoilt;
	if (component_came_back_damaged(c))
		block(w, "came_back_damaged", 0,
		      arena_printf(w->a,
				   "It came back damaged on %s. Ends with an advanced inspection.",
				   day_format(c->damaged_return_on, day_text)));
}

static void block_dirty(struct work *w) {
	char day_text[DAY_TEXT_SIZE], exposed_text[DAY_TEXT_SIZE];
	const struct exposure *by = w->c->not_clean_by;
	if (w->c->not_clean_on == DAY_NONE) return;
	day_format(w->c->not_clean_on, day_text);
	block(w, "not_clean", 0,
	      by ? arena_printf(w->a,
				"Inspected on %s while contaminated (exposed to %s on %s): that "
				"inspection does not count. Clean it, then inspect it again.",
				day_text, exposure_cause_label[by->cause],
				day_format(by->on, exposed_text))
		 : arena_printf(
		       w->a,
		       "Not clean, or waiting for cleaning, when inspected on %s: clean it, then "
		       "inspect it again.",
		       day_text));
}

static void block_labels(struct work *w) {
	const struct {
		day disagrees_on;
		const char *entry, *question;
	} label[] = {{w->c->model_disagrees_on, "model", "model_agrees"},
		     {w->c->size_disagrees_on, "size", "size_agrees"}};
	char day_text[DAY_TEXT_SIZE];
	for (size_t i = 0; i < sizeof label / sizeof *label; i++) {
		if (label[i].disagrees_on == DAY_NONE) continue;
		block(w, "labels_disagree", 0,
		      arena_printf(
			  w->a,
			  "Labels of the parts disagreed in %s on %s: HOLD. Ask the maker or a "
			  "verified provider, put it right and inspect it again.",
			  label[i].entry, day_format(label[i].disagrees_on, day_text)));
		w->blocker[w->count - 1].question = label[i].question;
	}
}

static void block_unfit(struct work *w) {
	char day_text[DAY_TEXT_SIZE];
	if (w->c->unfit_on == DAY_NONE) return;
	block(w, "unfit", 0,
	      arena_printf(
		  w->a,
		  "Concluded unfit on %s in a record brought in: inspect it again before use.",
		  day_format(w->c->unfit_on, day_text)));
}

static void block_field_tests(struct work *w) {
	char day_text[DAY_TEXT_SIZE];
	for (int i = 0; i < TEST_COUNT; i++) {
		const struct latest_test *t = &w->c->test[i];
		if (!t->id || t->result != RESULT_FAIL) continue;
		block(w, "field_test", 0,
		      arena_printf(w->a,
				   "%s, failed on %s. %s Ends when it is mended and passes such a "
				   "test of a later day.",
				   field_test_label[i], day_format(t->on, day_text), t->because));
		w->blocker[w->count - 1].field_test = t->id;
	}
}

static void block_unknown(struct work *w) {
	const struct component_facts *c = w->c;
	if (c->retired_on != DAY_NONE) return; /* nothing is to be mended any more */
	if (!label_date_known(c->made))
		block(w, "unknown_made", 0,
		      "The date of manufacture is not known, so its age is not. Find it on the "
		      "label or ask the maker, and record it.");
	if (component_in_use(c) && c->in_service_on == DAY_NONE && c->first_issued_on == DAY_NONE)
		block(w, "unknown_in_service", 0,
		      "It is in use, but the day it went into service is not recorded. Record it.");
	if (!c->is_identified)
		block(w, "unknown_label", 0,
		      "Neither its maker, nor its model, nor its serial is recorded. Read the "
		      "label, or ask the maker, and record them.");
}

/* Marked, and still clean and sound: what came since ends it. */
static bool serves_training(const struct work *w) {
	if (w->c->training_on == DAY_NONE) return false;
	struct blocker *obstacle =
	    arena_array(w->a, struct blocker, TRAINING_OBSTACLES_MAX(w->count));
	return obstacle && !training_obstacles(w->c, w->blocker, w->count, obstacle, w->a);
}

static enum service_state state_of(const struct work *w, bool waits_only) {
	const struct component_facts *c = w->c;
	size_t count = w->count;
	if (c->retired_on != DAY_NONE)
		return serves_training(w) ? STATE_TRAINING_ONLY : STATE_RETIRED;
	if (c->hold_incident) return STATE_HELD; /* wherever it is */
	if (c->sent_on != DAY_NONE) return STATE_AT_PROVIDER;
	if (c->withdrawn_reason || w->is_cleaned_first) return STATE_OUT_OF_SERVICE;
	if (c->back_on != DAY_NONE || (count && waits_only)) return STATE_AWAITING_INSPECTION;
	if (count) return STATE_OUT_OF_SERVICE;
	return component_in_use(c) ? STATE_IN_SERVICE : STATE_IN_STORES;
}

static void find_limit(struct standing *s, const struct duty_list *duties) {
	s->ready_until = DAY_MAX;
	for (size_t i = 0; i < duties->count; i++) {
		const struct duty *d = &duties->duty[i];
		if (!d->bears_on_readiness) continue;
		day until = duty_is_before_use(d->rule) ? d->due_on - 1 : d->due_on;
		if (until > s->ready_until) continue;
		s->ready_until = until;
		s->limit = d;
	}
}

/* At most: held, retired, away, back, withdrawn, came back soiled and damaged, not clean, model,
 * size, unfit, and three unknown. */
#define BLOCKERS_ONCE 14

void standing_make(struct standing *s, const struct component_facts *c,
		   const struct duty_list *duties, const struct handbook *hb, struct arena *a) {
	struct work w = {.c = c, .hb = hb, .a = a};
	*s = (struct standing){.state = STATE_OUT_OF_SERVICE, .ready_until = DAY_NONE};
	size_t room = BLOCKERS_ONCE + TEST_COUNT + c->finding_count + c->follow_up_count +
		      c->exposure_count + c->safety_notice_count;
	w.blocker = arena_array(a, struct blocker, room);
	if (!w.blocker) return; /* the arena remembers; blocked is the safe answer */
	block_held(&w);
	block_retired(&w);
	block_away(&w);
	block_back(&w);
	block_beneath(&w);
	block_safety_notices(&w, true);
	size_t waiting = w.count;
	block_safety_notices(&w, false);
	block_withdrawn(&w);
	block_contaminated(&w);
	block_findings(&w);
	block_came_back(&w);
	block_dirty(&w);
	block_labels(&w);
	block_unfit(&w);
	block_field_tests(&w);
	block_unknown(&w);
	s->blocker = w.blocker;
	s->blocker_count = w.count;
	s->state = state_of(&w, waiting == w.count);
	if (w.count == 0) find_limit(s, duties);
}
