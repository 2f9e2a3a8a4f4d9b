#include "rules/readiness.h"

#include <string.h>

#include "rules/kind.h"

#define WORD(code, word, label) word,
const char *const ensemble_line_word[LINE_COUNT] = {ENSEMBLE_LINE_LIST(WORD)};

/* One ensemble of the member, or none of them, tried against a hazard. */
struct attempt {
	const struct member_facts *m;
	const struct handbook *hb;
	enum hazard hazard;
	const struct member_ensemble *ensemble; /* NULL: only what is issued to the member */
	struct slot slot[SLOTS_MAX];
	const struct member_part *chosen[SLOTS_MAX]; /* NULL: nothing fills it */
	const struct member_part *shell[SLOTS_MAX];  /* the shell a part goes into, or NULL */
	size_t slot_count;
	size_t problems;
	day ready_until;
};

static bool is_ours(const struct attempt *t, const struct member_part *part) {
	return t->ensemble && part->ensemble == t->ensemble->id;
}

static bool could_fill(const struct attempt *t, const struct slot *slot,
		       const struct member_part *part) {
	return part->hazard == t->hazard && slot_takes(slot, part->kind, part->reflective);
}

static bool counts(const struct attempt *t, const struct member_part *part) {
	return part->holder == t->m->member || (part->holder == 0 && is_ours(t, part));
}

static enum fit fit_in(const struct attempt *t, const struct member_part *part,
		       const struct member_part *shell) {
	const struct fit_rule *rule = shell ? fit_rule_find(t->hb, shell->kind, part->kind) : NULL;
	return rule ? fit_compare(rule, &shell->label, &part->label) : FIT_AGREES;
}

/* The last day a part is good for in that shell. */
static day good_until(const struct attempt *t, const struct member_part *part,
		      const struct member_part *shell) {
	return fit_in(t, part, shell) == FIT_AGREES ? part->ready_until : DAY_NONE;
}

/* Is a the better part? It fits, it is good for longer, it is the ensemble's own. */
static bool better(const struct attempt *t, const struct member_part *a,
		   const struct member_part *b, const struct member_part *shell) {
	if (!b) return true;
	bool a_fits = fit_in(t, a, shell) == FIT_AGREES;
	bool b_fits = fit_in(t, b, shell) == FIT_AGREES;
	if (a_fits != b_fits) return a_fits;
	if (a->ready_until != b->ready_until) return a->ready_until > b->ready_until;
	return is_ours(t, a) && !is_ours(t, b);
}

static const struct member_part *best_for(const struct attempt *t, const struct slot *slot,
					  const struct member_part *shell) {
	const struct member_part *best = NULL;
	for (size_t i = 0; i < t->m->part_count; i++) {
		const struct member_part *part = &t->m->part[i];
		if (could_fill(t, slot, part) && counts(t, part) && better(t, part, best, shell))
			best = part;
	}
	return best;
}

/* Does a part of the slot go into that shell? */
static bool goes_into(const struct attempt *t, const struct slot *slot,
		      const struct member_part *shell) {
	for (size_t i = 0; i < slot->alternative_count; i++)
		if (fit_rule_find(t->hb, shell->kind, slot->alternative[i].kind)) return true;
	return false;
}

/* The day until which a shell and the best parts for it are good. */
static day garment_good_until(const struct attempt *t, const struct member_part *shell) {
	day until = shell->ready_until;
	for (size_t i = 0; i < t->slot_count; i++) {
		if (!goes_into(t, &t->slot[i], shell)) continue;
		const struct member_part *part = best_for(t, &t->slot[i], shell);
		day good = part ? good_until(t, part, shell) : DAY_NONE;
		if (good < until) until = good;
	}
	return until;
}

/* A shell is chosen with what goes into it: a loaner coat comes with its liner. */
static const struct member_part *best_shell(const struct attempt *t, const struct slot *slot) {
	const struct member_part *best = best_for(t, slot, NULL);
	day best_until = best ? garment_good_until(t, best) : DAY_NONE;
	for (size_t i = 0; i < t->m->part_count; i++) {
		const struct member_part *part = &t->m->part[i];
		if (!could_fill(t, slot, part) || !counts(t, part)) continue;
		day until = garment_good_until(t, part);
		if (until <= best_until) continue;
		best = part;
		best_until = until;
	}
	return best;
}

static void choose_parts(struct attempt *t) {
	for (size_t i = 0; i < t->slot_count; i++) t->chosen[i] = best_shell(t, &t->slot[i]);
	for (size_t i = 0; i < t->slot_count; i++) {
		const struct member_part *shell = t->chosen[i];
		for (size_t j = 0; shell && j < t->slot_count; j++) {
			if (!goes_into(t, &t->slot[j], shell)) continue;
			t->shell[j] = shell;
			t->chosen[j] = best_for(t, &t->slot[j], shell);
		}
	}
}

static void weigh(struct attempt *t) {
	t->ready_until = DAY_MAX;
	for (size_t i = 0; i < t->slot_count; i++) {
		const struct member_part *part = t->chosen[i];
		day until = part ? good_until(t, part, t->shell[i]) : DAY_NONE;
		t->problems += until == DAY_NONE;
		if (until < t->ready_until) t->ready_until = until;
	}
}

static void try_ensemble(struct attempt *t, const struct member_ensemble *ensemble,
			 const struct attempt *slots) {
	*t = *slots;
	t->ensemble = ensemble;
	choose_parts(t);
	weigh(t);
}

/* Does a count rather than b, the best so far? */
static bool counts_rather(const struct attempt *a, const struct attempt *b) {
	if (a->ready_until != b->ready_until) return a->ready_until > b->ready_until;
	if (a->problems != b->problems) return a->problems < b->problems;
	if (!b->ensemble) return true;
	return a->ensemble->line < b->ensemble->line;
}

/* --- saying why ---------------------------------------------------------------- */

/* A part of the ensemble that would fill the slot; as nothing does, somebody else has it. */
static const struct member_part *held_by_other(const struct attempt *t, const struct slot *slot) {
	for (size_t i = 0; i < t->m->part_count; i++) {
		const struct member_part *part = &t->m->part[i];
		if (could_fill(t, slot, part) && is_ours(t, part)) return part;
	}
	return NULL;
}

static struct obstacle unfilled(const struct attempt *t, const struct slot *slot, struct arena *a) {
	const struct member_part *part = held_by_other(t, slot);
	if (!part)
		return (struct obstacle){.code = "missing",
					 .text = arena_printf(a, "%s: none.", slot->label),
					 .from = DAY_NONE};
	return (struct obstacle){
	    .code = "held_by_other",
	    .text = arena_printf(a, "%s %s is issued to %s.", part->kind->label, part->tag,
				 part->holder_name ? part->holder_name : "somebody else"),
	    .component = part->component,
	    .from = DAY_NONE};
}

/* What is wrong with a chosen part now; false when nothing is. */
static bool wrong_with(const struct attempt *t, size_t slot, struct obstacle *o, struct arena *a) {
	const struct member_part *part = t->chosen[slot], *shell = t->shell[slot];
	*o = (struct obstacle){.component = part->component, .from = DAY_NONE};
	if (part->ready_until == DAY_NONE) {
		o->code = "blocked";
		o->text = arena_printf(a, "%s %s: %s", part->kind->label, part->tag,
				       part->blocker_text ? part->blocker_text
							  : service_state_label[part->state]);
		return true;
	}
	enum fit fit = fit_in(t, part, shell);
	if (fit == FIT_AGREES) return false;
	o->code = "misfit";
	o->text = fit_reason(fit, fit_rule_find(t->hb, shell->kind, part->kind), &shell->label,
			     &part->label, a);
	return true;
}

static void add_lapse(struct readiness *r, const struct attempt *t, struct obstacle *o,
		      struct arena *a) {
	if (t->ready_until == DAY_MAX) return;
	size_t i = 0;
	while (t->chosen[i]->ready_until != t->ready_until) i++;
	const struct member_part *part = t->chosen[i];
	char day_text[DAY_TEXT_SIZE];
	*o = (struct obstacle){.code = "lapses",
			       .text =
				   arena_printf(a, "%s %s is in date until %s.", part->kind->label,
						part->tag, day_format(part->ready_until, day_text)),
			       .component = part->component,
			       .from = part->ready_until + 1};
	r->obstacle_count = 1;
}

static void explain_parts(struct readiness *r, const struct attempt *t, struct obstacle *o,
			  struct arena *a) {
	bool nothing = !t->ensemble;
	for (size_t i = 0; i < t->slot_count; i++) {
		nothing = nothing && !t->chosen[i];
		if (!t->chosen[i]) o[r->obstacle_count++] = unfilled(t, &t->slot[i], a);
		else r->obstacle_count += wrong_with(t, i, &o[r->obstacle_count], a);
	}
	if (!nothing) return;
	o[0] = (struct obstacle){
	    .code = "no_ensemble",
	    .text = arena_printf(a, "No %s ensemble, and nothing issued.", hazard_word[t->hazard]),
	    .from = DAY_NONE};
	r->obstacle_count = 1;
}

/* Where skin or a gap showed when the outfit was worn. */
static void add_gaps(struct readiness *r, const struct attempt *t, struct obstacle *o) {
	const struct fit_state *fit = &t->m->fit[t->hazard];
	for (int i = 0; i < INTERFACE_COUNT; i++)
		if (fit->at[i].is_gap)
			o[r->obstacle_count++] = (struct obstacle){.code = "gap",
								   .text = fit->at[i].text,
								   .fit_check = fit->at[i].id,
								   .from = DAY_NONE};
	if (r->obstacle_count) r->ready_until = DAY_NONE;
}

static void explain(struct readiness *r, const struct attempt *t, struct arena *a) {
	struct obstacle *o = arena_array(a, struct obstacle, t->slot_count + INTERFACE_COUNT);
	r->obstacle = o;
	if (!o) return; /* the arena remembers */
	if (t->problems > 0) explain_parts(r, t, o, a);
	add_gaps(r, t, o);
	if (r->obstacle_count == 0) add_lapse(r, t, o, a);
}

void readiness_make(struct readiness *r, const struct member_facts *m, enum hazard h,
		    const struct handbook *hb, struct arena *a) {
	struct attempt slots = {.m = m, .hb = hb, .hazard = h};
	size_t at = 0;
	while (slots.slot_count < SLOTS_MAX &&
	       kind_next_slot(hb, h, &at, &slots.slot[slots.slot_count]))
		slots.slot_count++;
	struct attempt best, next;
	try_ensemble(&best, NULL, &slots);
	for (size_t i = 0; i < m->ensemble_count; i++) {
		if (m->ensemble[i].hazard != h) continue;
		try_ensemble(&next, &m->ensemble[i], &slots);
		if (counts_rather(&next, &best)) best = next;
	}
	*r = (struct readiness){.ready_until = best.ready_until,
				.ensemble = best.ensemble ? best.ensemble->id : 0};
	explain(r, &best, a);
}
