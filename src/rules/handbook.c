#include "rules/handbook.h"

#include <assert.h>
#include <string.h>

#include "rules/kind.h"

#define WORD(code, word, label) word,
#define KIND_WORD(code, word, label, text) word,
#define KIND_LABEL(code, word, label, text) label,
const char *const hazard_word[HAZARD_COUNT] = {HAZARD_LIST(WORD)};
const char *const inspection_kind_word[INSPECTION_KIND_COUNT] = {INSPECTION_KIND_LIST(KIND_WORD)};
const char *const inspection_kind_label[INSPECTION_KIND_COUNT] = {INSPECTION_KIND_LIST(KIND_LABEL)};
const char *const face_word[FACE_COUNT] = {FACE_LIST(WORD)};
const char *const side_word[SIDE_COUNT] = {SIDE_LIST(WORD)};
const char *const severity_word[SEVERITY_COUNT] = {SEVERITY_LIST(WORD)};
const char *const closed_by_word[CLOSED_BY_COUNT] = {"nothing", "cleaning", "return", "answer",
						     "retirement"};
const char *const repair_class_word[REPAIR_CLASS_COUNT] = {"trained", "basic", "advanced"};
const char *const duty_word[DUTY_COUNT] = {
    "routine_inspection",   "advanced_inspection", "advanced_cleaning",
    "liner_inspection",     "return_inspection",   "retirement",
    "specialized_cleaning", "leak_test",           "drd_check"};
const char *const limit_word[LIMIT_OF_COUNT] = {"trim_distance",  "mix_weakest",
						"mix_strongest",  "leak_amount",
						"leak_time",      "water_pressure",
						"water_time",     "cuff_gap",
						"hem_gap",        "overlap",
						"wash_water",     "ph_least",
						"ph_most",        "extraction",
						"drying_air",     "load",
						"leg_least",      "leg_most",
						"lab_tpp",        "lab_thl",
						"lab_hood_tpp",   "lab_rpp",
						"lab_reflection", "lab_tear_shell",
						"lab_tear_liner", "lab_shell_strength",
						"lab_seam_a",     "lab_seam_b",
						"lab_seam_minor", "lab_water",
						"lab_char",       "lab_after_flame",
						"lab_shrinkage"};

int word_find(const char *const *word, int count, const char *text) {
	for (int i = 0; text && i < count; i++)
		if (strcmp(word[i], text) == 0) return i;
	return -1;
}

/* --- looking up ------------------------------------------------------------ */

/* Rows whose first member is their code. */
static const void *find_code(const void *row, size_t count, size_t row_bytes, const char *code) {
	const char *at = row;
	for (size_t i = 0; code && i < count; i++, at += row_bytes) {
		const char *row_code;
		memcpy(&row_code, at, sizeof row_code);
		if (strcmp(row_code, code) == 0) return at;
	}
	return NULL;
}

const struct kind *handbook_kind(const struct handbook *hb, const char *code) {
	return find_code(hb->kind, hb->kind_count, sizeof *hb->kind, code);
}

const struct defect *handbook_defect(const struct handbook *hb, const char *code) {
	return find_code(hb->defect, hb->defect_count, sizeof *hb->defect, code);
}

const struct outcome *handbook_outcome(const struct handbook *hb, const char *code) {
	return find_code(hb->outcome, hb->outcome_count, sizeof *hb->outcome, code);
}

const struct rule_set *handbook_rule_set(const struct handbook *hb, const char *code) {
	return find_code(hb->rule_set, hb->rule_set_count, sizeof *hb->rule_set, code);
}

static const struct subject *find_subject(const struct handbook *hb, const char *code) {
	return find_code(hb->subject, hb->subject_count, sizeof *hb->subject, code);
}

const struct zone *handbook_zone(const struct handbook *hb, const struct kind *k,
				 const char *code) {
	for (size_t i = 0; code && i < hb->zone_count; i++)
		if (hb->zone[i].kind == k && strcmp(hb->zone[i].code, code) == 0)
			return &hb->zone[i];
	return NULL;
}

const struct checklist *handbook_checklist(const struct handbook *hb, int64_t id) {
	for (size_t i = 0; i < hb->checklist_count; i++)
		if (hb->checklist[i].id == id) return &hb->checklist[i];
	return NULL;
}

const struct checklist *handbook_checklist_for(const struct handbook *hb, const struct kind *k,
					       enum hazard h, const char *day_text) {
	const struct checklist *best = NULL;
	for (size_t i = 0; i < hb->checklist_count; i++) {
		const struct checklist *list = &hb->checklist[i];
		if (list->kind != k || list->hazard != h) continue;
		if (strcmp(list->valid_from, day_text) > 0) continue;
		if (!best || list->version > best->version) best = list;
	}
	return best;
}

const struct check_point *checklist_point(const struct checklist *list, const char *code) {
	for (size_t i = 0; code && i < list->point_count; i++)
		if (strcmp(list->point[i].code, code) == 0) return &list->point[i];
	return NULL;
}

const struct check_point *handbook_check_point(const struct handbook *hb, const struct kind *k,
					       const char *code) {
	const struct check_point *point = NULL;
	for (size_t i = hb->checklist_count; !point && i-- > 0;)
		if (hb->checklist[i].kind == k) point = checklist_point(&hb->checklist[i], code);
	return point;
}

const struct subject_defect *subject_defect_find(const struct subject *s, const char *defect_code) {
	for (size_t i = 0; defect_code && i < s->defect_count; i++)
		if (strcmp(s->defect[i].defect_code, defect_code) == 0) return &s->defect[i];
	return NULL;
}

/* --- tying together ---------------------------------------------------------- */

static enum err missing(struct fault *f, const char *what, const char *code, const char *where) {
	return fault_set(f, ERR_CORRUPT, "", "The handbook has no %s \"%s\", named by %s.", what,
			 code, where);
}

static enum err link_kinds(struct handbook *hb, struct fault *f) {
	for (size_t i = 0; i < hb->kind_count; i++) {
		hb->kind[i].index = i;
		if (handbook_kind(hb, hb->kind[i].code) != &hb->kind[i])
			return fault_set(f, ERR_CORRUPT, "", "The handbook has kind \"%s\" twice.",
					 hb->kind[i].code);
	}
	for (size_t i = 0; i < hb->beneath_count; i++) {
		struct beneath *b = &hb->beneath[i];
		b->kind = handbook_kind(hb, b->kind_code);
		b->beneath = handbook_kind(hb, b->beneath_code);
		if (!b->kind || !b->beneath)
			return missing(f, "kind", b->beneath_code, b->kind_code);
	}
	for (size_t i = 0; i < hb->fit_count; i++) {
		struct fit_rule *r = &hb->fit[i];
		r->shell = handbook_kind(hb, r->shell_code);
		r->part = handbook_kind(hb, r->part_code);
		if (!r->shell || !r->part) return missing(f, "kind", r->part_code, r->shell_code);
	}
	for (size_t i = 0; i < hb->zone_count; i++) {
		hb->zone[i].kind = handbook_kind(hb, hb->zone[i].kind_code);
		if (!hb->zone[i].kind)
			return missing(f, "kind", hb->zone[i].kind_code, hb->zone[i].code);
	}
	return ERR_OK;
}

/* Codes parted by single spaces into outcomes. */
static enum err link_outcomes(const struct handbook *hb, const char *codes,
			      const struct outcome *list[SUBJECT_OUTCOMES_MAX], const char *where,
			      struct fault *f) {
	size_t count = 0;
	for (const char *at = codes; *at;) {
		size_t length = strcspn(at, " ");
		char code[32];
		if (count + 1 == SUBJECT_OUTCOMES_MAX || length >= sizeof code)
			return fault_set(f, ERR_CORRUPT, "",
					 "The handbook's outcomes \"%s\" are too long.", codes);
		memcpy(code, at, length);
		code[length] = '\0';
		list[count] = handbook_outcome(hb, code);
		if (!list[count++]) return missing(f, "outcome", code, where);
		at += length;
		if (*at) at++;
	}
	list[count] = NULL;
	return ERR_OK;
}

/* What is offered freely is at least as strict as the trade's own outcome; what is
 * looser asks for a reason. The rows say both, so they must agree. */
static enum err check_strictness(const struct subject_defect *d, struct fault *f) {
	bool fair = true;
	for (size_t i = 0; d->or_outcome[i]; i++)
		fair = fair && d->or_outcome[i]->strictness >= d->outcome->strictness;
	for (size_t i = 0; d->with_reason[i]; i++)
		fair = fair && d->with_reason[i]->strictness < d->outcome->strictness;
	if (fair) return ERR_OK;
	return fault_set(f, ERR_CORRUPT, "",
			 "The handbook offers outcomes of \"%s\" at \"%s\" on the wrong side.",
			 d->defect_code, d->subject_code);
}

static enum err link_subjects(struct handbook *hb, struct fault *f) {
	for (size_t i = 0; i < hb->subject_count; i++) {
		struct subject *s = &hb->subject[i];
		size_t at = 0;
		while (at < hb->subject_defect_count &&
		       strcmp(hb->subject_defect[at].subject_code, s->code) != 0)
			at++;
		s->defect = &hb->subject_defect[at];
		s->defect_count = 0;
		for (; at < hb->subject_defect_count; at++, s->defect_count++) {
			struct subject_defect *d = &hb->subject_defect[at];
			if (strcmp(d->subject_code, s->code) != 0) break;
			d->subject = s;
		}
		if (s->defect_count == 0)
			return fault_set(f, ERR_CORRUPT, "",
					 "The handbook's subject \"%s\" has no defects.", s->code);
	}
	for (size_t i = 0; i < hb->subject_defect_count; i++) {
		struct subject_defect *d = &hb->subject_defect[i];
		if (!d->subject)
			return missing(f, "subject (in one run)", d->subject_code, d->defect_code);
		d->defect = handbook_defect(hb, d->defect_code);
		d->outcome = handbook_outcome(hb, d->outcome_code);
		if (!d->defect) return missing(f, "defect", d->defect_code, d->subject_code);
		if (!d->outcome) return missing(f, "outcome", d->outcome_code, d->subject_code);
		enum err e = link_outcomes(hb, d->or_codes, d->or_outcome, d->subject_code, f);
		if (e == ERR_OK)
			e = link_outcomes(hb, d->with_reason_codes, d->with_reason, d->subject_code,
					  f);
		if (e == ERR_OK) e = check_strictness(d, f);
		if (e != ERR_OK) return e;
	}
	return ERR_OK;
}

static enum err link_point(struct handbook *hb, struct check_point *point, size_t index,
			   struct fault *f) {
	point->index = index;
	point->subject = find_subject(hb, point->subject_code);
	if (!point->subject) return missing(f, "subject", point->subject_code, point->code);
	/* A complete liner inspection counts as an advanced one, so it asks as much. */
	if (point->asked[INSPECTION_ADVANCED] && !point->asked[INSPECTION_LINER])
		return fault_set(f, ERR_CORRUPT, "",
				 "The handbook's check point \"%s\" is not part of the liner "
				 "inspection, which must include the advanced one.",
				 point->code);
	return ERR_OK;
}

static enum err link_checklists(struct handbook *hb, struct fault *f) {
	size_t at = 0;
	for (size_t i = 0; i < hb->checklist_count; i++) {
		struct checklist *list = &hb->checklist[i];
		list->kind = handbook_kind(hb, list->kind_code);
		if (!list->kind) return missing(f, "kind", list->kind_code, "a check list");
		list->point = &hb->point[at];
		list->point_count = 0;
		for (; at < hb->point_count && hb->point[at].checklist_id == list->id; at++) {
			enum err e = link_point(hb, &hb->point[at], list->point_count, f);
			if (e != ERR_OK) return e;
			list->point_count++;
		}
		if (list->point_count == 0)
			return fault_set(f, ERR_CORRUPT, "",
					 "The handbook's check list for \"%s\" is empty.",
					 list->kind_code);
	}
	if (at < hb->point_count)
		return missing(f, "check list for point", hb->point[at].code, "its row");
	return ERR_OK;
}

static enum err link_rule(struct handbook *hb, struct rule *r, struct fault *f) {
	int duty = word_find(duty_word, DUTY_COUNT, r->duty_code);
	if (duty < 0) return missing(f, "duty", r->duty_code, r->code);
	r->duty = (enum duty_code)duty;
	r->kind = handbook_kind(hb, r->kind_code);
	if (r->kind_code && !r->kind) return missing(f, "kind", r->kind_code, r->code);
	r->selectors = (r->kind != NULL) + (r->outer != WANTS_EITHER) + (r->liner != WANTS_EITHER) +
		       (r->reflective != WANTS_EITHER) + (r->cbrn != WANTS_EITHER);
	return ERR_OK;
}

static enum err link_rules(struct handbook *hb, struct fault *f) {
	size_t defaults = 0, linked = 0;
	for (size_t i = 0; i < hb->rule_set_count; i++) {
		struct rule_set *set = &hb->rule_set[i];
		defaults += set->is_default;
		size_t at = 0;
		while (at < hb->rule_count && strcmp(hb->rule[at].set_code, set->code) != 0) at++;
		set->rule = &hb->rule[at];
		set->rule_count = 0;
		for (; at < hb->rule_count && strcmp(hb->rule[at].set_code, set->code) == 0; at++) {
			enum err e = link_rule(hb, &hb->rule[at], f);
			if (e != ERR_OK) return e;
			set->rule_count++;
			linked++;
		}
	}
	if (defaults != 1)
		return fault_set(f, ERR_CORRUPT, "",
				 "The handbook must have one default rule set; it has %zu.",
				 defaults);
	if (linked != hb->rule_count)
		return fault_set(f, ERR_CORRUPT, "",
				 "The handbook has rules without a rule set, or not in one run.");
	return ERR_OK;
}

static enum err link_requirements(struct handbook *hb, struct fault *f) {
	for (size_t i = 0; i < hb->requirement_count; i++) {
		struct requirement *r = &hb->requirement[i];
		r->kind = handbook_kind(hb, r->kind_code);
		if (!r->kind) return missing(f, "kind", r->kind_code, r->slot);
	}
	for (int h = 0; h < HAZARD_COUNT; h++) {
		struct slot slot;
		size_t at = 0, count = 0;
		while (kind_next_slot(hb, (enum hazard)h, &at, &slot)) count++;
		if (count == 0 || count > SLOTS_MAX)
			return fault_set(f, ERR_CORRUPT, "",
					 "The handbook names %zu parts of a %s ensemble.", count,
					 hazard_word[h]);
	}
	return ERR_OK;
}

static enum err check_duties(const struct handbook *hb, struct fault *f) {
	if (hb->duty_count != DUTY_COUNT)
		return fault_set(f, ERR_CORRUPT, "", "The handbook has %zu duties, not %d.",
				 hb->duty_count, DUTY_COUNT);
	for (size_t i = 0; i < DUTY_COUNT; i++)
		if (strcmp(hb->duty[i].code, duty_word[i]) != 0)
			return missing(f, "duty", duty_word[i], "the program");
	return ERR_OK;
}

static enum err check_limits(const struct handbook *hb, struct fault *f) {
	if (hb->limit_count != LIMIT_OF_COUNT)
		return fault_set(f, ERR_CORRUPT, "", "The handbook has %zu limits, not %d.",
				 hb->limit_count, LIMIT_OF_COUNT);
	for (size_t i = 0; i < LIMIT_OF_COUNT; i++) {
		const struct limit_value *l = &hb->limit[i];
		int64_t kept;
		if (strcmp(l->code, limit_word[i]) != 0)
			return missing(f, "limit", limit_word[i], "the program");
		if (l->thousandths > INT64_MAX / LIMIT_TIMES_MAX ||
		    !unit_keep(l->unit, LIMIT_TIMES_MAX * l->thousandths, &kept))
			return fault_set(f, ERR_CORRUPT, "",
					 "The handbook's limit \"%s\" is too large to convert.",
					 l->code);
	}
	return ERR_OK;
}

enum err handbook_link(struct handbook *hb, struct fault *f) {
	static enum err (*const step[])(struct handbook *, struct fault *) = {
	    link_kinds, link_subjects, link_checklists, link_rules, link_requirements,
	};
	enum err e = check_duties(hb, f);
	if (e == ERR_OK) e = check_limits(hb, f);
	for (size_t i = 0; e == ERR_OK && i < sizeof step / sizeof *step; i++) e = step[i](hb, f);
	return e;
}
