#include "rules/amend.h"

#include <string.h>

#include "base/text.h"

/* What is being worked on. */
struct work {
	struct amendment *am;
	const struct handbook *hb;
	const struct settings *stored, *asked;
	struct arena *a;
	struct program now, own; /* as it is; the new rule set by itself */
	bool is_other_set;
};

static const struct program_setting *find(const struct settings *list, const char *name) {
	for (size_t i = 0; i < list->count; i++)
		if (strcmp(list->setting[i].name, name) == 0) return &list->setting[i];
	return NULL;
}

static void put(struct settings *list, const char *name, const char *value) {
	list->setting[list->count++] = (struct program_setting){name, value};
}

static enum err no_memory(struct fault *f) {
	return fault_set(f, ERR_MEMORY, NULL, "There is no memory left.");
}

static bool is_months(const char *name) {
	static const char *const suffix[] = {"_first_months", "_repeat_months"};
	size_t length = strlen(name);
	for (size_t i = 0; i < sizeof suffix / sizeof *suffix; i++) {
		size_t ends = strlen(suffix[i]);
		if (length > ends && strcmp(name + length - ends, suffix[i]) == 0) return true;
	}
	return false;
}

/* The rule set alone, without anything the department set. */
static enum err set_alone(struct program *p, const struct work *w, const char *code,
			  struct fault *f) {
	const struct program_setting only = {"rule_set", code};
	return program_init(p, w->hb, &only, 1, w->a, f);
}

/* Settings overlaid with others; what is taken back is left out. */
static enum err overlaid(struct program *p, const struct work *w, const struct settings *over,
			 struct fault *f) {
	struct settings all = {
	    arena_array(w->a, struct program_setting, w->stored->count + over->count + 1), 0};
	if (!all.setting) return no_memory(f);
	for (size_t i = 0; i < w->stored->count; i++) {
		const struct program_setting *s = &w->stored->setting[i];
		if (!find(over, s->name) && !text_empty(s->value)) put(&all, s->name, s->value);
	}
	for (size_t i = 0; i < over->count; i++)
		if (!text_empty(over->setting[i].value))
			put(&all, over->setting[i].name, over->setting[i].value);
	return program_init(p, w->hb, all.setting, all.count, w->a, f);
}

static void add_looser(struct work *w, const char *words) {
	if (!w->am->looser_count++) w->am->looser = words;
}

static const char *months_words(const struct work *w, const struct program_rule *r) {
	if (!r || !r->first_months) return "no such duty";
	if (r->rule->duty == DUTY_RETIREMENT || r->first_months == r->repeat_months)
		return arena_printf(w->a, "%d months", r->first_months);
	return arena_printf(w->a, "first %d, then %d months", r->first_months, r->repeat_months);
}

/* Is the new set looser than the present one? Each by itself: what the department tightened
 * can be taken back without a reason. */
static enum err judge_set(struct work *w, struct fault *f) {
	struct program before;
	size_t count;
	enum err err = set_alone(&before, w, w->now.set->code, f);
	if (err != ERR_OK) return err;
	const struct program_difference *d = program_differences(&before, &w->own, w->a, &count);
	if (!d) return no_memory(f);
	for (size_t i = 0; i < count; i++)
		if (d[i].effect == PROGRAM_LOOSER)
			add_looser(w, arena_printf(w->a, "%s: %s instead of %s",
						   d[i].from->rule->label, /* it was owed */
						   months_words(w, d[i].to),
						   months_words(w, d[i].from)));
	return ERR_OK;
}

/* Is it looser? Then it is counted. A value that cannot be is refused when all is put together. */
static bool judge_value(struct work *w, const char *name, const char *value) {
	enum program_effect effect;
	if (program_compare(&w->own, name, value, &effect, NULL) != ERR_OK) return false;
	if (effect != PROGRAM_LOOSER) return false;
	add_looser(w, arena_printf(w->a, "%s: %s", name, value));
	return true;
}

/* With another rule set: what was set before is kept, dropped, or asked about. */
static enum err judge_kept(struct work *w, enum adjustments choice, struct fault *f) {
	for (size_t i = 0; i < w->stored->count; i++) {
		const struct program_setting *s = &w->stored->setting[i];
		if (text_empty(s->value) || find(w->asked, s->name)) continue;
		bool months = is_months(s->name), had = program_owns(&w->now, s->name);
		if (months && had && choice == ADJUSTMENTS_UNASKED)
			return fault_set(
			    f, ERR_INVALID, "adjustments",
			    "The department has times of its own (%s: %s). Say whether "
			    "they are kept under the new rule set or dropped.",
			    s->name, s->value);
		bool keeps = program_owns(&w->own, s->name) &&
			     (!months || (had && choice == ADJUSTMENTS_KEEP));
		if (months && !keeps) put(&w->am->store, s->name, "");
		if (keeps && judge_value(w, s->name, s->value))
			put(&w->am->store, s->name, s->value); /* for its new reason */
	}
	return ERR_OK;
}

static enum err judge_asked(struct work *w, struct fault *f) {
	for (size_t i = 0; i < w->asked->count; i++) {
		const struct program_setting *s = &w->asked->setting[i];
		if (!program_owns(&w->own, s->name) &&
		    (!text_empty(s->value) || !program_owns(&w->now, s->name)))
			return fault_set(f, ERR_INVALID, s->name,
					 "There is no setting called %s under this rule set.",
					 s->name);
		if (!text_empty(s->value)) judge_value(w, s->name, s->value);
		put(&w->am->store, s->name, s->value);
	}
	return ERR_OK;
}

enum err amendment_make(struct amendment *am, const struct handbook *hb,
			const struct settings *stored, const struct settings *asked,
			enum adjustments choice, const char *reason, struct arena *a,
			struct fault *f) {
	static const struct settings nothing = {NULL, 0};
	struct work w = {.am = am, .hb = hb, .stored = stored, .asked = asked, .a = a};
	*am = (struct amendment){0};
	am->store.setting =
	    arena_array(a, struct program_setting, stored->count + asked->count + 1);
	if (!am->store.setting) return no_memory(f);
	enum err err = overlaid(&w.now, &w, &nothing, f);
	const struct program_setting *set = find(asked, "rule_set");
	const char *code = set && !text_empty(set->value) ? set->value : NULL;
	if (err == ERR_OK && set && !code) err = program_init(&w.own, hb, NULL, 0, a, f);
	else if (err == ERR_OK) err = set_alone(&w.own, &w, code ? code : w.now.set->code, f);
	if (err != ERR_OK) return err;
	w.is_other_set = w.own.set != w.now.set;
	if (w.is_other_set) err = judge_set(&w, f);
	if (err == ERR_OK) err = judge_asked(&w, f);
	if (err == ERR_OK && w.is_other_set) err = judge_kept(&w, choice, f);
	if (err == ERR_OK) err = overlaid(&am->next, &w, &am->store, f);
	if (err != ERR_OK || !am->looser || !text_empty(reason)) return err;
	const char *more =
	    am->looser_count > 1 ? arena_printf(a, " (and %zu more)", am->looser_count - 1) : "";
	return fault_set(f, ERR_INVALID, "reason",
			 "Give the reason, it is recorded: this is looser than the rule set says, "
			 "or than before. %.120s%s.",
			 am->looser, more ? more : "");
}
