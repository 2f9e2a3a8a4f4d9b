#include "rules/program.h"

#include <string.h>

#include "base/limits.h"
#include "base/text.h"
#include "rules/kind.h"

#define LIMIT_PREFIX "limit_"

enum setting_kind {
	SETTING_FOREIGN,
	SETTING_RULE_SET,
	SETTING_AGE_READING,
	SETTING_CLEANING_READING,
	SETTING_ROUTINE_ON_ISSUE,
	SETTING_ROUTINE_AFTER_EXPOSURE,
	SETTING_ROUTINE_DUTY_DAYS,
	SETTING_FIRST,
	SETTING_REPEAT,
	SETTING_LIMIT,
};

/* A setting's name and value, read. */
struct reading {
	enum setting_kind kind;
	size_t rule;   /* FIRST, REPEAT */
	int64_t value; /* months, thousandths; or whether the looser reading is meant */
	enum limit_code limit;
	const struct rule_set *set;
};

static bool ends_with(const char *text, size_t length, const char *suffix) {
	size_t suffix_length = strlen(suffix);
	return length > suffix_length &&
	       memcmp(text + length - suffix_length, suffix, suffix_length) == 0;
}

static void read_name(const struct rule_set *set, const char *name, struct reading *r) {
	static const struct {
		const char *name;
		enum setting_kind kind;
	} plain[] = {{"rule_set", SETTING_RULE_SET},
		     {"age_reading", SETTING_AGE_READING},
		     {"cleaning_reading", SETTING_CLEANING_READING},
		     {"routine_on_issue", SETTING_ROUTINE_ON_ISSUE},
		     {"routine_after_exposure", SETTING_ROUTINE_AFTER_EXPOSURE},
		     {"routine_duty_days", SETTING_ROUTINE_DUTY_DAYS}};
	static const struct {
		const char *suffix;
		enum setting_kind kind;
	} of_rule[] = {{"_first_months", SETTING_FIRST}, {"_repeat_months", SETTING_REPEAT}};
	*r = (struct reading){.kind = SETTING_FOREIGN};
	for (size_t i = 0; i < sizeof plain / sizeof *plain; i++)
		if (strcmp(name, plain[i].name) == 0) r->kind = plain[i].kind;
	for (int i = 0; i < LIMIT_OF_LAB_FIRST; i++)
		if (text_starts(name, LIMIT_PREFIX) &&
		    strcmp(name + strlen(LIMIT_PREFIX), limit_word[i]) == 0)
			*r = (struct reading){.kind = SETTING_LIMIT, .limit = (enum limit_code)i};
	size_t length = strlen(name);
	for (size_t i = 0; i < sizeof of_rule / sizeof *of_rule; i++) {
		if (!ends_with(name, length, of_rule[i].suffix)) continue;
		size_t stem = length - strlen(of_rule[i].suffix);
		for (size_t j = 0; j < set->rule_count; j++) {
			const char *code = set->rule[j].code;
			if (strlen(code) != stem || memcmp(code, name, stem) != 0) continue;
			r->kind = of_rule[i].kind;
			r->rule = j;
		}
	}
}

static enum err read_word(const char *name, const char *value, const char *strict,
			  const char *loose, struct reading *r, struct fault *f) {
	if (text_equal(value, strict)) r->value = 0;
	else if (text_equal(value, loose)) r->value = 1;
	else return fault_set(f, ERR_INVALID, name, "Say \"%s\" or \"%s\".", strict, loose);
	return ERR_OK;
}

/* None of zero is a limit. */
static enum err read_limit(const struct handbook *hb, const char *name, const char *value,
			   struct reading *r, struct fault *f) {
	const struct limit_value *limit = &hb->limit[r->limit];
	if (value && text_to_decimal(value, 3, LIMIT_TIMES_MAX * limit->thousandths, &r->value) &&
	    r->value)
		return ERR_OK;
	return fault_set(f, ERR_INVALID, name, "Give a number of %s, at most %lld.",
			 unit_label[limit->unit],
			 (long long)(LIMIT_TIMES_MAX * limit->thousandths / 1000));
}

static enum err read_setting(const struct handbook *hb, const struct rule_set *set,
			     const char *name, const char *value, struct reading *r,
			     struct fault *f) {
	read_name(set, name, r);
	switch (r->kind) {
	case SETTING_FOREIGN: return ERR_OK;
	case SETTING_RULE_SET:
		r->set = handbook_rule_set(hb, value);
		if (r->set) return ERR_OK;
		return fault_set(f, ERR_INVALID, name, "There is no rule set \"%s\".",
				 value ? value : "");
	case SETTING_AGE_READING: return read_word(name, value, "strict", "end_of_month", r, f);
	case SETTING_CLEANING_READING: return read_word(name, value, "interval", "count", r, f);
	case SETTING_ROUTINE_ON_ISSUE:
	case SETTING_ROUTINE_AFTER_EXPOSURE: return read_word(name, value, "no", "yes", r, f);
	case SETTING_ROUTINE_DUTY_DAYS:
		if (value && text_to_int(value, 0, LIMIT_DUTY_DAYS_MAX, &r->value)) return ERR_OK;
		return fault_set(f, ERR_INVALID, name, "Give whole days from 0 to %d.",
				 LIMIT_DUTY_DAYS_MAX);
	case SETTING_LIMIT: return read_limit(hb, name, value, r, f);
	default:
		if (value && text_to_int(value, 1, LIMIT_MONTHS_MAX, &r->value)) return ERR_OK;
		return fault_set(f, ERR_INVALID, name, "Give whole months from 1 to %d.",
				 LIMIT_MONTHS_MAX);
	}
}

static const struct rule_set *default_set(const struct handbook *hb) {
	size_t i = 0;
	while (!hb->rule_set[i].is_default) i++;
	return &hb->rule_set[i];
}

static void apply(struct program *p, const struct reading *r) {
	switch (r->kind) {
	case SETTING_AGE_READING: p->end_of_month = r->value; break;
	case SETTING_CLEANING_READING: p->count_cleanings = r->value; break;
	case SETTING_ROUTINE_ON_ISSUE: p->routine_on_issue = r->value; break;
	case SETTING_ROUTINE_AFTER_EXPOSURE: p->routine_after_exposure = r->value; break;
	case SETTING_ROUTINE_DUTY_DAYS: p->routine_duty_days = (int)r->value; break;
	case SETTING_FIRST: p->rule[r->rule].first_months = (int)r->value; break;
	case SETTING_REPEAT: p->rule[r->rule].repeat_months = (int)r->value; break;
	case SETTING_LIMIT: p->limit[r->limit] = r->value; break;
	default: break; /* not of the program, or the rule set, which was read first */
	}
}

/* The rule set comes first: it decides which other names there are. */
static enum err choose_set(struct program *p, const struct program_setting *setting, size_t count,
			   struct fault *f) {
	p->set = default_set(p->handbook);
	for (size_t i = 0; i < count; i++) {
		struct reading r;
		if (strcmp(setting[i].name, "rule_set") != 0) continue;
		enum err e =
		    read_setting(p->handbook, p->set, setting[i].name, setting[i].value, &r, f);
		if (e != ERR_OK) return e;
		p->set = r.set;
	}
	return ERR_OK;
}

enum err program_init(struct program *p, const struct handbook *hb,
		      const struct program_setting *setting, size_t count, struct arena *a,
		      struct fault *f) {
	*p = (struct program){.handbook = hb};
	enum err e = choose_set(p, setting, count, f);
	if (e != ERR_OK) return e;
	p->rule = arena_array(a, struct program_rule, p->set->rule_count);
	if (!p->rule) return fault_set(f, ERR_MEMORY, "", "There is not enough memory.");
	for (size_t i = 0; i < p->set->rule_count; i++) {
		const struct rule *rule = &p->set->rule[i];
		p->rule[i] = (struct program_rule){rule, rule->first_months, rule->repeat_months};
	}
	for (size_t i = 0; i < LIMIT_OF_COUNT; i++) p->limit[i] = hb->limit[i].thousandths;
	for (size_t i = 0; i < count; i++) {
		struct reading r;
		e = read_setting(hb, p->set, setting[i].name, setting[i].value, &r, f);
		if (e != ERR_OK) return e;
		apply(p, &r);
	}
	for (size_t i = 0; i < p->set->rule_count; i++)
		if (!p->rule[i].repeat_months) p->rule[i].repeat_months = p->rule[i].first_months;
	return ERR_OK;
}

#define RISK_REVIEW_MONTHS 60

day risk_review_due(day reviewed_on) {
	return reviewed_on == DAY_NONE ? DAY_NONE : day_add_months(reviewed_on, RISK_REVIEW_MONTHS);
}

bool program_is_own(const struct program_rule *r) {
	int repeat_months = r->rule->repeat_months ? r->rule->repeat_months : r->rule->first_months;
	return r->first_months != r->rule->first_months || r->repeat_months != repeat_months;
}

bool program_owns(const struct program *p, const char *name) {
	struct reading r;
	read_name(p->set, name, &r);
	return r.kind != SETTING_FOREIGN;
}

int64_t program_limit(const struct program *p, enum limit_code code) {
	int64_t kept = 0; /* it fits: handbook_link saw to that */
	unit_keep(p->handbook->limit[code].unit, p->limit[code], &kept);
	return kept;
}

bool program_is_within(const struct program *p, enum limit_code code, int64_t kept) {
	int64_t end = program_limit(p, code);
	return p->handbook->limit[code].is_minimum ? kept >= end : kept <= end;
}

const char *program_limit_text(const struct program *p, enum limit_code code, struct arena *a) {
	const struct limit_value *limit = &p->handbook->limit[code];
	return arena_printf(a, "at %s %s", limit->is_minimum ? "least" : "most",
			    unit_text(limit->unit, program_limit(p, code), a));
}

bool program_hold(const struct program *p, enum limit_code code, const char *what, int64_t kept,
		  struct arena *a, const char **sentence) {
	bool within = program_is_within(p, code, kept);
	*sentence = arena_printf(
	    a, "%s: %s, %s %s.", what, unit_text(p->handbook->limit[code].unit, kept, a),
	    within ? "as asked for," : "but asked for is", program_limit_text(p, code, a));
	return within;
}

/* Months beside the rule set's own; 0 there means it names none. */
static enum program_effect compare_months(int now, int own, int64_t months) {
	if (months == now) return PROGRAM_SAME;
	return own && months > own ? PROGRAM_LOOSER : PROGRAM_TIGHTER;
}

/* A lower minimum lets more pass, and so does a higher maximum. */
static enum program_effect compare_limit(const struct limit_value *own, int64_t now, int64_t then) {
	if (then == now) return PROGRAM_SAME;
	if (own->is_minimum) return then < own->thousandths ? PROGRAM_LOOSER : PROGRAM_TIGHTER;
	return then > own->thousandths ? PROGRAM_LOOSER : PROGRAM_TIGHTER;
}

static enum program_effect compare_reading(bool now, bool looser) {
	if (now == looser) return PROGRAM_SAME;
	return looser ? PROGRAM_LOOSER : PROGRAM_TIGHTER;
}

enum err program_compare(const struct program *p, const char *name, const char *value,
			 enum program_effect *effect, struct fault *f) {
	struct reading r;
	enum err e = read_setting(p->handbook, p->set, name, value, &r, f);
	if (e != ERR_OK) return e;
	const struct program_rule *rule = &p->rule[r.rule];
	const struct rule *own = rule->rule;
	switch (r.kind) {
	case SETTING_FOREIGN: *effect = PROGRAM_SAME; break;
	case SETTING_RULE_SET: *effect = r.set == p->set ? PROGRAM_SAME : PROGRAM_OTHER; break;
	case SETTING_AGE_READING: *effect = compare_reading(p->end_of_month, r.value); break;
	case SETTING_CLEANING_READING:
		*effect = compare_reading(p->count_cleanings, r.value);
		break;
	/* The rule sets ask for none of them to be on record: having them is the department's own.
	 */
	case SETTING_ROUTINE_ON_ISSUE:
		*effect = p->routine_on_issue == (r.value != 0) ? PROGRAM_SAME : PROGRAM_TIGHTER;
		break;
	case SETTING_ROUTINE_AFTER_EXPOSURE:
		*effect =
		    p->routine_after_exposure == (r.value != 0) ? PROGRAM_SAME : PROGRAM_TIGHTER;
		break;
	case SETTING_ROUTINE_DUTY_DAYS:
		*effect = p->routine_duty_days == r.value ? PROGRAM_SAME : PROGRAM_TIGHTER;
		break;
	case SETTING_LIMIT:
		*effect = compare_limit(&p->handbook->limit[r.limit], p->limit[r.limit], r.value);
		break;
	case SETTING_FIRST:
		*effect = compare_months(rule->first_months, own->first_months, r.value);
		break;
	default: /* SETTING_REPEAT */
		*effect = compare_months(
		    rule->repeat_months,
		    own->repeat_months ? own->repeat_months : own->first_months, r.value);
		break;
	}
	return ERR_OK;
}

static bool allows(enum wants wants, bool is) {
	return wants == WANTS_EITHER || (wants == WANTS_YES) == is;
}

/* Does a decide rather than b? The more particular one; of equals, the stricter. */
static bool decides(const struct program_rule *a, const struct program_rule *b) {
	if (!b) return true;
	if (a->rule->selectors != b->rule->selectors)
		return a->rule->selectors > b->rule->selectors;
	return a->first_months && (!b->first_months || a->first_months < b->first_months);
}

const struct program_rule *program_rule_for(const struct program *p, enum duty_code duty,
					    const struct kind *k, bool reflective, bool cbrn) {
	const struct program_rule *best = NULL;
	reflective = reflective || kind_is_reflective(k);
	for (size_t i = 0; i < p->set->rule_count; i++) {
		const struct program_rule *candidate = &p->rule[i];
		const struct rule *r = candidate->rule;
		if (r->duty != duty || (r->kind && r->kind != k)) continue;
		if (!allows(r->outer, k->is_outer) || !allows(r->liner, k->is_liner)) continue;
		if (!allows(r->reflective, reflective) || !allows(r->cbrn, cbrn)) continue;
		if (decides(candidate, best)) best = candidate;
	}
	return best;
}

/* --- two programs beside each other ---------------------------------------------------- */

/* Months beside each other; 0: not owed. */
static enum program_effect effect_of(int from, int to) {
	if (from == to) return PROGRAM_SAME;
	if (!from) return PROGRAM_TIGHTER;
	return !to || to > from ? PROGRAM_LOOSER : PROGRAM_TIGHTER;
}

static enum program_effect compare_rules(const struct program_rule *from,
					 const struct program_rule *to) {
	int from_first = from ? from->first_months : 0, to_first = to ? to->first_months : 0;
	enum program_effect effect = effect_of(from_first, to_first);
	if (!from_first || !to_first || effect == PROGRAM_LOOSER) return effect;
	/* Of the count reading: fewer in any 12 months. */
	if (to->rule->per_year && to->rule->per_year < from->rule->per_year) return PROGRAM_LOOSER;
	if (from->rule->duty == DUTY_RETIREMENT) return effect; /* once */
	enum program_effect again = effect_of(from->repeat_months, to->repeat_months);
	return again == PROGRAM_SAME ? effect : again;
}

static bool is_listed(const struct program_difference *list, size_t count,
		      const struct program_rule *from, const struct program_rule *to) {
	for (size_t i = 0; i < count; i++)
		if (list[i].from == from && list[i].to == to) return true;
	return false;
}

const struct program_difference *program_differences(const struct program *from,
						     const struct program *to, struct arena *a,
						     size_t *count) {
	size_t room = (from->set->rule_count + 1) * (to->set->rule_count + 1);
	struct program_difference *list = arena_array(a, struct program_difference, room);
	const struct handbook *hb = from->handbook;
	*count = 0;
	/* Every duty of every kind, with and without what rules select by. */
	for (size_t i = 0; list && i < DUTY_COUNT * hb->kind_count * 4; i++) {
		enum duty_code duty = (enum duty_code)(i / 4 / hb->kind_count);
		const struct kind *k = &hb->kind[i / 4 % hb->kind_count];
		bool reflective = i & 1, cbrn = i & 2;
		const struct program_rule *was = program_rule_for(from, duty, k, reflective, cbrn);
		const struct program_rule *is = program_rule_for(to, duty, k, reflective, cbrn);
		enum program_effect effect = compare_rules(was, is);
		if (effect == PROGRAM_SAME || is_listed(list, *count, was, is)) continue;
		list[(*count)++] = (struct program_difference){was, is, effect};
	}
	return list;
}
