#include "rules/duty.h"

#include <string.h>

#include "rules/kind.h"

#define MONTHS_PER_YEAR 12
#define MAKER_LIMIT "maker_limit"

/* What is being worked on: the list and everything a duty is worked out from. */
struct work {
	struct duty_list *list;
	const struct component_facts *c;
	const struct program *p;
	struct arena *a;
};

/* A day that a duty counts from. */
struct origin {
	const char *fact; /* NULL: there is nothing to count from, and nothing owed yet */
	day on;           /* DAY_NONE: there is, but the record does not say when */
};

static day later(day a, day b) { return a > b ? a : b; } /* DAY_NONE is before every day */

/* Past the end of the calendar counts as its last day. */
static day months_after(day from, int months) {
	day due_on = day_add_months(from, months);
	return due_on == DAY_NONE ? DAY_MAX : due_on;
}

static const char *duty_label(const struct work *w, enum duty_code duty) {
	return w->p->handbook->duty[duty].label;
}

static struct duty new_duty(const struct work *w, enum duty_code code, day due_on, const char *rule,
			    const char *fact, day fact_on) {
	struct duty d = {.duty = code,
			 .due_on = due_on,
			 .rule = rule,
			 .fact = fact,
			 .bears_on_readiness = w->p->handbook->duty[code].bears_on_readiness};
	day_format(fact_on, d.fact_on);
	return d;
}

/* One duty of each sort: of two, the one due first; one without a day before both. */
static void add(const struct work *w, struct duty d) {
	for (size_t i = 0; i < w->list->count; i++) {
		struct duty *other = &w->list->duty[i];
		if (other->duty != d.duty) continue;
		if (d.due_on < other->due_on) *other = d;
		return;
	}
	w->list->duty[w->list->count++] = d;
}

struct component_facts component_facts_none(void) {
	struct component_facts c = {
	    .in_service_on = DAY_NONE,
	    .retired_on = DAY_NONE,
	    .disposed_on = DAY_NONE,
	    .training_on = DAY_NONE,
	    .held_on = DAY_NONE,
	    .issued_on = DAY_NONE,
	    .first_issued_on = DAY_NONE,
	    .last_returned_on = DAY_NONE,
	    .soiled_return_on = DAY_NONE,
	    .damaged_return_on = DAY_NONE,
	    .problem_on = DAY_NONE,
	    .not_clean_on = DAY_NONE,
	    .model_disagrees_on = DAY_NONE,
	    .size_disagrees_on = DAY_NONE,
	    .unfit_on = DAY_NONE,
	    .cleaned_on = DAY_NONE,
	    .cleaned_before_on = DAY_NONE,
	    .washed_on = DAY_NONE,
	    .specialized_on = DAY_NONE,
	    .harmed_on = DAY_NONE,
	    .outside_on = DAY_NONE,
	    .exposed_on = DAY_NONE,
	    .doubted_on = DAY_NONE,
	    .suspected_on = DAY_NONE,
	    .barrier_mended_on = DAY_NONE,
	    .barrier_sent_on = DAY_NONE,
	    .sent_on = DAY_NONE,
	    .back_on = DAY_NONE,
	};
	for (int k = 0; k < INSPECTION_KIND_COUNT; k++) c.inspected_on[k] = DAY_NONE;
	return c;
}

bool component_in_use(const struct component_facts *c) { return c->is_issued || c->is_assigned; }

/* The clock of intervals runs from being placed in service: the day on record, or the day
 * somebody first had it where that is earlier, or all there is. Of a part in use with neither,
 * nothing is counted; see standing.h. */
static struct origin service_start(const struct component_facts *c) {
	day in_service_on = c->in_service_on, issued_on = c->first_issued_on;
	if (issued_on != DAY_NONE && (in_service_on == DAY_NONE || issued_on < in_service_on))
		return (struct origin){"issued", issued_on};
	if (in_service_on != DAY_NONE) return (struct origin){"in_service", in_service_on};
	return (struct origin){component_in_use(c) ? "in_service" : NULL, DAY_NONE};
}

/* Reserve gear that is stored and was not used since the duty was last done is
 * exempt; the duty returns, with its old day, once the gear is issued. (NFPA 1851
 * as reported by Beaumont TX Fire, SOG 601.01A, 2022.) */
static bool is_exempt(const struct component_facts *c, day done_on) {
	if (component_in_use(c)) return false;
	if (c->last_returned_on == DAY_NONE) return true;
	return done_on != DAY_NONE && c->last_returned_on <= done_on;
}

static day last_inspected(const struct component_facts *c, enum duty_code duty) {
	day last = DAY_NONE;
	for (int k = 0; k < INSPECTION_KIND_COUNT; k++)
		if (duty_done_by(duty, (enum inspection_kind)k))
			last = later(last, c->inspected_on[k]);
	return last;
}

/* Cleaned on the day it came back: it was taken off dirty and washed, in this order. */
bool component_came_back_soiled(const struct component_facts *c) {
	return c->soiled_return_on != DAY_NONE && !c->is_contaminated_return && !c->is_issued &&
	       c->washed_on < c->soiled_return_on;
}

/* What is contaminated is not done with by a routine cleaning. */
bool component_came_back_contaminated(const struct component_facts *c) {
	return c->soiled_return_on != DAY_NONE && c->is_contaminated_return && !c->is_issued &&
	       c->cleaned_on < c->soiled_return_on;
}

bool component_came_back_damaged(const struct component_facts *c) {
	return c->damaged_return_on != DAY_NONE &&
	       last_inspected(c, DUTY_ADVANCED_INSPECTION) < c->damaged_return_on;
}

static const char *undated_reason(const struct work *w, enum duty_code duty) {
	return arena_printf(w->a,
			    "%s: it is in use, but the day it went into service is not "
			    "recorded. Record it.",
			    duty_label(w, duty));
}

/* First so many months from the start of service, then from each time it was done. */
static void add_periodic(const struct work *w, const struct program_rule *rule, day done_on,
			 const char *done_fact) {
	enum duty_code code = rule->rule->duty;
	const char *label = duty_label(w, code), *name = rule->rule->code;
	if (done_on != DAY_NONE) {
		struct duty d = new_duty(w, code, months_after(done_on, rule->repeat_months), name,
					 done_fact, done_on);
		d.reason = arena_printf(w->a, "%s every %d months: last done %s.", label,
					rule->repeat_months, d.fact_on);
		add(w, d);
		return;
	}
	struct origin start = service_start(w->c);
	if (!start.fact) return;
	day due_on = start.on == DAY_NONE ? DAY_NONE : months_after(start.on, rule->first_months);
	struct duty d = new_duty(w, code, due_on, name, start.fact, start.on);
	bool from_issue = strcmp(start.fact, "issued") == 0;
	if (due_on == DAY_NONE) d.reason = undated_reason(w, code);
	else
		d.reason = arena_printf(
		    w->a, "%s: none on record; first due %d months after it %s %s.", label,
		    rule->first_months, from_issue ? "was first issued," : "went into service on",
		    d.fact_on);
	add(w, d);
}

/* The same duty counted: so many in any 12 months. It lapses 12 months after the
 * second last (of two), or after going into service while there were not two yet. */
static void add_counted(const struct work *w, const struct program_rule *rule) {
	const struct component_facts *c = w->c;
	struct origin start = service_start(c);
	day nth_on = rule->rule->per_year > 1 ? c->cleaned_before_on : c->cleaned_on;
	day from = later(nth_on, start.on);
	if (from == DAY_NONE && !start.fact) return;
	day due_on = from == DAY_NONE ? DAY_NONE : months_after(from, MONTHS_PER_YEAR);
	struct duty d = new_duty(w, rule->rule->duty, due_on, rule->rule->code,
				 from == nth_on ? "cleaned" : start.fact, from);
	if (due_on == DAY_NONE) d.reason = undated_reason(w, d.duty);
	else
		d.reason = arena_printf(w->a, "%s %d times in any 12 months: counted from %s.",
					duty_label(w, d.duty), rule->rule->per_year, d.fact_on);
	add(w, d);
}

static const struct program_rule *rule_for(const struct work *w, enum duty_code duty) {
	const struct program_rule *rule =
	    program_rule_for(w->p, duty, w->c->kind, w->c->reflective, w->c->cbrn);
	return rule && rule->first_months ? rule : NULL;
}

static void add_inspections(const struct work *w) {
	static const struct {
		enum duty_code duty;
		bool exempts_stored;
	} dated[] = {{DUTY_ROUTINE_INSPECTION, true},
		     {DUTY_ADVANCED_INSPECTION, true},
		     {DUTY_LINER_INSPECTION, false}};
	for (size_t i = 0; i < sizeof dated / sizeof *dated; i++) {
		const struct program_rule *rule = rule_for(w, dated[i].duty);
		day done_on = last_inspected(w->c, dated[i].duty);
		if (!rule || (dated[i].exempts_stored && is_exempt(w->c, done_on))) continue;
		add_periodic(w, rule, done_on, "inspected");
	}
}

static void add_cleaning(const struct work *w) {
	const struct program_rule *rule = rule_for(w, DUTY_ADVANCED_CLEANING);
	if (!rule || is_exempt(w->c, w->c->cleaned_on)) return;
	if (w->p->count_cleanings && rule->rule->per_year) add_counted(w, rule);
	else add_periodic(w, rule, w->c->cleaned_on, "cleaned");
}

day duty_last_day_of_life(struct label_date made, int months, bool end_of_month) {
	if (!label_date_known(made)) return DAY_NONE;
	day limit = months_after(label_date_first(made), months);
	if (!end_of_month) return limit - 1;
	if (made.day) return limit;
	struct ymd month = day_to_ymd(limit);
	return day_from_ymd(month.year, month.month, day_month_length(month.year, month.month));
}

int duty_life_months(const struct program *p, const struct kind *k, bool reflective, bool cbrn,
		     int life_months, const char **rule) {
	const struct program_rule *own = program_rule_for(p, DUTY_RETIREMENT, k, reflective, cbrn);
	int months = own ? own->first_months : 0;
	bool is_makers = life_months && (!months || life_months < months);
	*rule = is_makers ? MAKER_LIMIT : months ? own->rule->code : NULL;
	return is_makers ? life_months : months;
}

static void add_retirement(const struct work *w) {
	const char *rule;
	int months = duty_life_months(w->p, w->c->kind, w->c->reflective, w->c->cbrn,
				      w->c->life_months, &rule);
	if (!rule) return;
	day due_on = duty_last_day_of_life(w->c->made, months, w->p->end_of_month);
	struct duty d = new_duty(w, DUTY_RETIREMENT, due_on, rule, "made", DAY_NONE);
	label_date_format(w->c->made, d.fact_on);
	if (due_on == DAY_NONE)
		d.reason =
		    "The date of manufacture is not known, so its age is not. Find it on the "
		    "label or ask the maker.";
	else
		d.reason = arena_printf(
		    w->a, "Made %s; %s is %d months, read %s.", d.fact_on,
		    strcmp(rule, MAKER_LIMIT) == 0 ? "the maker's limit of life" : "the age limit",
		    months, w->p->end_of_month ? "to the end of that month" : "strictly");
	add(w, d);
}

static void add_return(const struct work *w) {
	if (w->c->back_on == DAY_NONE) return;
	struct duty d = new_duty(w, DUTY_RETURN_INSPECTION, w->c->back_on, "after_repair",
				 "returned", w->c->back_on);
	d.reason =
	    arena_printf(w->a, "Back from a provider on %s: inspect it before use.", d.fact_on);
	add(w, d);
}

static void add_follow_ups(const struct work *w) {
	for (size_t i = 0; i < w->c->follow_up_count; i++) {
		const struct open_follow_up *fu = &w->c->follow_up[i];
		struct duty d =
		    new_duty(w, fu->duty, fu->due_on, "layer_beneath", "finding", fu->due_on);
		d.reason = fu->reason;
		add(w, d);
	}
}

/* What a safety notice asks to be inspected is due since it is asked. It goes with the answer,
 * or with an inspection of a later day: one of the same day may have been before it. */
static void add_safety_notices(const struct work *w) {
	enum duty_code code = kind_thorough_duty(w->c->kind);
	for (size_t i = 0; i < w->c->safety_notice_count; i++) {
		const struct open_safety_notice *n = &w->c->safety_notice[i];
		if (n->action != SAFETY_INSPECT || n->state != SAFETY_LEFT) continue;
		if (last_inspected(w->c, code) > n->asked_on) continue;
		struct duty d =
		    new_duty(w, code, n->asked_on, "safety_notice", "asked", n->asked_on);
		d.reason =
		    arena_printf(w->a, "Safety notice %s asks for it before the next use: %s",
				 n->number, n->title);
		add(w, d);
	}
}

/* Contaminated gear owes its cleaning at once. */
static void add_exposures(const struct work *w) {
	for (size_t i = 0; i < w->c->exposure_count; i++) {
		const struct exposure *e = &w->c->exposure[i];
		if (!exposure_is_open(e, w->c->cleaned_on, w->c->specialized_on)) continue;
		enum duty_code code = exposure_asks_specialized(e->cause)
					  ? DUTY_SPECIALIZED_CLEANING
					  : DUTY_ADVANCED_CLEANING;
		struct duty d = new_duty(w, code, e->on, "after_exposure", "exposed", e->on);
		d.reason =
		    arena_printf(w->a, "Exposed to %s on %s: clean it before it serves again.",
				 exposure_cause_label[e->cause], d.fact_on);
		add(w, d);
	}
}

/* Washed beyond what gear stands, and not looked at since. */
static void add_harmed(const struct work *w) {
	day harmed_on = w->c->harmed_on;
	if (harmed_on == DAY_NONE || last_inspected(w->c, DUTY_ADVANCED_INSPECTION) > harmed_on)
		return;
	struct duty d = new_duty(w, DUTY_ADVANCED_INSPECTION, harmed_on, "after_cleaning",
				 "cleaned", harmed_on);
	d.reason =
	    arena_printf(w->a,
			 "Cleaned on %s beyond what gear stands: it may be harmed; inspect it "
			 "thoroughly.",
			 d.fact_on);
	add(w, d);
}

/* Beside the yearly one, whatever a wearer notices asks for a thorough look. */
static void add_problem(const struct work *w) {
	day on = w->c->problem_on;
	if (on == DAY_NONE) return;
	struct duty d =
	    new_duty(w, DUTY_ADVANCED_INSPECTION, on, "after_routine_finding", "found", on);
	d.reason = arena_printf(
	    w->a, "The routine inspection of %s found something: inspect it thoroughly.",
	    d.fact_on);
	add(w, d);
}

/* As it was taken back. */
static void add_came_back(const struct work *w) {
	const struct component_facts *c = w->c;
	if (component_came_back_damaged(c)) {
		struct duty d = new_duty(w, DUTY_ADVANCED_INSPECTION, c->damaged_return_on,
					 "came_back_damaged", "returned", c->damaged_return_on);
		d.reason = arena_printf(w->a, "It came back damaged on %s: inspect it thoroughly.",
					d.fact_on);
		add(w, d);
	}
	if (!component_came_back_contaminated(c)) return;
	struct duty d = new_duty(w, DUTY_ADVANCED_CLEANING, c->soiled_return_on,
				 "came_back_contaminated", "returned", c->soiled_return_on);
	d.reason = arena_printf(
	    w->a, "It came back contaminated on %s: clean it before it serves again.", d.fact_on);
	add(w, d);
}

static day last_done(const struct component_facts *c) {
	day last = DAY_NONE;
	for (int k = 0; k < INSPECTION_KIND_COUNT; k++) last = later(last, c->inspected_on[k]);
	return last;
}

/* Was the barrier tested on or after that day, or by the provider since it went there? An advanced
 * or complete liner inspection asks for the leakage evaluation too. */
static bool barrier_is_tested(const struct component_facts *c, day on, day sent_on) {
	if (last_inspected(c, DUTY_ADVANCED_INSPECTION) >= on) return true;
	static const enum field_test_sort sort[] = {TEST_LEAKAGE, TEST_WATER};
	for (size_t i = 0; i < sizeof sort / sizeof *sort; i++) {
		const struct latest_test *t = &c->test[sort[i]];
		if (t->id && t->on >= (t->by_provider ? sent_on : on)) return true;
	}
	return false;
}

static void add_leak_test(const struct work *w) {
	const struct component_facts *c = w->c;
	if (c->barrier_mended_on != DAY_NONE &&
	    !barrier_is_tested(c, c->barrier_mended_on, c->barrier_sent_on)) {
		struct duty d = new_duty(w, DUTY_LEAK_TEST, c->barrier_mended_on,
					 "after_barrier_work", "mended", c->barrier_mended_on);
		d.reason = arena_printf(
		    w->a, "Its moisture barrier was worked on, mended on %s: test it before use.",
		    d.fact_on);
		add(w, d);
	}
	if (c->doubted_on == DAY_NONE || barrier_is_tested(c, c->doubted_on, c->doubted_on)) return;
	struct duty d =
	    new_duty(w, DUTY_LEAK_TEST, c->doubted_on, "doubtful_test", "tested", c->doubted_on);
	d.reason = arena_printf(
	    w->a, "It wetted through on %s in a test that was not valid: do it again.", d.fact_on);
	add(w, d);
}

/* A light spot is a suspect. On one day the liner is opened after it. */
static void add_suspect(const struct work *w) {
	day on = w->c->suspected_on;
	if (on == DAY_NONE || last_inspected(w->c, DUTY_LINER_INSPECTION) >= on) return;
	struct duty d = new_duty(w, DUTY_LINER_INSPECTION, on, "light_evaluation", "tested", on);
	d.reason = arena_printf(
	    w->a, "The light evaluation of %s found it suspect: open the liner to see.", d.fact_on);
	add(w, d);
}

/* So is what an inspection found of a liner and nobody could judge: it is opened, or tested by
 * whom the finding goes to, and then that settles it. */
static void add_untold(const struct work *w) {
	for (size_t i = 0; w->c->kind->is_liner && i < w->c->finding_count; i++) {
		const struct open_finding *fd = &w->c->finding[i];
		if (strcmp(fd->outcome->code, "test") != 0) continue;
		if (last_inspected(w->c, DUTY_LINER_INSPECTION) >= fd->found_on) continue;
		struct duty d = new_duty(w, DUTY_LINER_INSPECTION, fd->found_on, "to_be_tested",
					 "found", fd->found_on);
		d.reason = arena_printf(
		    w->a, "The inspection of %s found it suspect: open the liner to see.",
		    d.fact_on);
		add(w, d);
	}
}

/* A coat that was cleaned outside may come back with the device wrongly set. A thorough inspection
 * comes after the cleaning, in the order of work; the wearer's look of that day may have been
 * before it. */
static void add_drd_check(const struct work *w) {
	const struct kind *k = w->c->kind;
	day outside_on = w->c->outside_on;
	if (!k->is_outer || strcmp(k->element, "coat") != 0) return;
	if (outside_on == DAY_NONE || last_done(w->c) > outside_on) return;
	if (last_inspected(w->c, DUTY_ADVANCED_INSPECTION) == outside_on) return;
	struct duty d = new_duty(w, DUTY_DRD_CHECK, outside_on, "after_outside_cleaning", "cleaned",
				 outside_on);
	d.reason = arena_printf(w->a,
				"Cleaned by a provider on %s: see that the drag rescue device is "
				"in it and rightly set; an inspection of the shell asks for that.",
				d.fact_on);
	add(w, d);
}

static void add_routine_since(const struct work *w, day since, const char *rule, const char *fact,
			      const char *words) {
	if (last_done(w->c) >= since) return; /* DAY_NONE, never, is before every day */
	struct duty d = new_duty(w, DUTY_ROUTINE_INSPECTION, since, rule, fact, since);
	d.reason = arena_printf(w->a, "%s on %s: the wearer looks it over.", words, d.fact_on);
	add(w, d);
}

/* What is handed over to nobody is looked at by nobody. */
static void add_routine_at_duty_start(const struct work *w) {
	int days = w->p->routine_duty_days;
	if (!days || !w->c->is_issued) return;
	bool was_looked_at = last_done(w->c) >= w->c->issued_on;
	day since = was_looked_at ? last_done(w->c) : w->c->issued_on;
	struct duty d = new_duty(w, DUTY_ROUTINE_INSPECTION, since + days, "routine_at_duty_start",
				 was_looked_at ? "inspected" : "issued", since);
	d.reason = arena_printf(w->a,
				"%s on %s: the wearer looks it over at the beginning of each duty "
				"period, here within %d days.",
				was_looked_at ? "Looked over" : "Issued", d.fact_on, days);
	add(w, d);
}

/* Where the department has them recorded. */
static void add_routines(const struct work *w) {
	if (w->p->routine_on_issue && w->c->is_issued)
		add_routine_since(w, w->c->issued_on, "routine_on_issue", "issued", "Issued");
	if (w->p->routine_after_exposure)
		add_routine_since(w, w->c->exposed_on, "routine_after_exposure", "exposed",
				  "Exposed");
	add_routine_at_duty_start(w);
}

static void sort(struct duty_list *list) {
	struct duty_list sorted = {.count = 0};
	for (int code = 0; code < DUTY_COUNT; code++)
		for (size_t i = 0; i < list->count; i++)
			if (list->duty[i].duty == (enum duty_code)code)
				sorted.duty[sorted.count++] = list->duty[i];
	*list = sorted;
}

void duty_list_make(struct duty_list *list, const struct component_facts *c,
		    const struct program *p, struct arena *a) {
	list->count = 0;
	if (c->retired_on != DAY_NONE) return;
	const struct work w = {list, c, p, a};
	add_inspections(&w);
	add_cleaning(&w);
	add_return(&w);
	add_retirement(&w);
	add_follow_ups(&w);
	add_exposures(&w);
	add_came_back(&w);
	add_problem(&w);
	add_harmed(&w);
	add_safety_notices(&w);
	add_leak_test(&w);
	add_suspect(&w);
	add_untold(&w);
	add_drd_check(&w);
	add_routines(&w);
	sort(list);
}

const struct duty *duty_list_find(const struct duty_list *list, enum duty_code duty) {
	for (size_t i = 0; i < list->count; i++)
		if (list->duty[i].duty == duty) return &list->duty[i];
	return NULL;
}

/* The others of that sort block by themselves; see standing.h. */
bool duty_is_before_use(const char *rule) {
	static const char *const before_use[] = {"after_barrier_work", "doubtful_test",
						 "light_evaluation"};
	for (size_t i = 0; i < sizeof before_use / sizeof *before_use; i++)
		if (strcmp(before_use[i], rule) == 0) return true;
	return false;
}

const char *duty_source(const struct program *p, const char *rule) {
	/* What no rule set has to say, for it holds under each. */
	static const struct {
		const char *rule, *source;
	} always[] = {
	    {"after_repair", "Fresno CA Fire, 311.010: inspected after any repair"},
	    {MAKER_LIMIT, "The maker's instructions, as recorded at the part"},
	    {"safety_notice", "The safety notice itself, as recorded"},
	    {"after_exposure",
	     "NFPA 1851, 2020, as reported by trade press (combustion); a department's SOG on "
	     "specialized cleaning (all else)"},
	    {"after_cleaning", "Common practice, no source: it may have been harmed"},
	    {"after_routine_finding",
	     "NFPA 1851, as reported by Beaumont TX Fire, SOG 601.01A, 2022: whenever a routine "
	     "inspection suggests a problem"},
	    {"came_back_damaged",
	     "Decided here: damage seen by whoever takes it back is a problem"},
	    {"came_back_contaminated", "Structural gear routine inspection sheet, 2008 edition"},
	    {"layer_beneath", "Common practice, no source: damage may have gone through"},
	    {"after_barrier_work", "Common practice, no source: what was mended is tried"},
	    {"doubtful_test", "Decided here: below pressure or time it is no test"},
	    {"to_be_tested",
	     "From memory: opened whenever an advanced inspection indicates a problem"},
	    {"light_evaluation", "From memory: a light spot is a suspect, not a proof"},
	    {"after_outside_cleaning",
	     "Trade press, \"Check your drag rescue device\": wrongly set twice after an outside "
	     "cleaning"},
	    {"routine_on_issue",
	     "Helmet maker's note on fire helmet inspection, 2020 edition; the department has it "
	     "recorded"},
	    {"routine_at_duty_start",
	     "Helmet maker's note on fire helmet inspection, 2020 edition; the days are the "
	     "department's"},
	    {"routine_after_exposure",
	     "Structural gear routine inspection sheet, 2008 edition: after each use; the "
	     "department has it recorded"},
	};
	for (size_t i = 0; i < sizeof always / sizeof *always; i++)
		if (strcmp(always[i].rule, rule) == 0) return always[i].source;
	for (size_t i = 0; i < p->set->rule_count; i++)
		if (strcmp(p->set->rule[i].code, rule) == 0)
			return program_is_own(&p->rule[i])
				   ? "The department's own months, see its rules; the rule set has "
				     "others"
				   : p->set->rule[i].source;
	return NULL;
}
