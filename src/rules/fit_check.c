#include "rules/fit_check.h"

#define INTERFACE_WORD(name, word, label, look_for) word,
#define INTERFACE_LABEL(name, word, label, look_for) label,
const char *const interface_word[INTERFACE_COUNT] = {INTERFACE_LIST(INTERFACE_WORD)};
const char *const interface_label[INTERFACE_COUNT] = {INTERFACE_LIST(INTERFACE_LABEL)};
const char *const interface_answer_word[INTERFACE_ANSWER_COUNT] = {
    INTERFACE_ANSWER_LIST(INTERFACE_WORD)};
static const char *const answer_words[INTERFACE_ANSWER_COUNT] = {
    INTERFACE_ANSWER_LIST(INTERFACE_LABEL)};
#define RESULT_WORD(code, word, label) word,
const char *const fit_result_word[FIT_RESULT_COUNT] = {FIT_RESULT_LIST(RESULT_WORD)};

/* What people believe of an overlap, in micrometres. */
#define OVERLAP_MOST 400000

bool interface_applies(enum interface i, enum hazard h) {
	return h == HAZARD_PROXIMITY || i < INTERFACE_SHROUD_COAT;
}

static bool is_gap(enum interface_answer answer) {
	return answer != INTERFACE_CLOSED && answer != INTERFACE_NOT_WORN;
}

const char *fit_check_doubtful(const struct fit_check *c, struct arena *a) {
	if (!c->has_overlap || (c->overlap >= 0 && c->overlap <= OVERLAP_MOST)) return NULL;
	return arena_printf(a, "%s is unusual: it is mostly up to %s",
			    unit_text(UNIT_INCH, c->overlap, a),
			    unit_text(UNIT_INCH, OVERLAP_MOST, a));
}

static const char *answer_text(enum interface i, enum interface_answer answer, struct arena *a) {
	return arena_printf(a, "%s: %s.", interface_label[i], answer_words[answer]);
}

static void say(struct fit_verdict *v, const char *sentence, struct arena *a) {
	v->because = v->because ? arena_printf(a, "%s %s", v->because, sentence) : sentence;
}

/* The worst first: gaps, then what was not worn. */
static bool say_answers(struct fit_verdict *v, const struct fit_check *c, bool gaps,
			struct arena *a) {
	bool any = false;
	for (int k = 0; k < INTERFACE_COUNT; k++) {
		enum interface i = (enum interface)k;
		bool told = gaps ? is_gap(c->answer[i]) : c->answer[i] == INTERFACE_NOT_WORN;
		if (!told || !interface_applies(i, c->hazard)) continue;
		say(v, answer_text(i, c->answer[i], a), a);
		any = true;
	}
	return any;
}

static bool any_closed(const struct fit_check *c) {
	for (int i = 0; i < INTERFACE_COUNT; i++)
		if (interface_applies((enum interface)i, c->hazard) &&
		    c->answer[i] == INTERFACE_CLOSED)
			return true;
	return false;
}

/* Of trade press, which says what is usual: nothing is asked for. */
static void say_leg(struct fit_verdict *v, const struct fit_check *c, const struct program *p,
		    struct arena *a) {
	enum limit_code end = program_is_within(p, LIMIT_OF_LEG_LEAST, c->leg) ? LIMIT_OF_LEG_MOST
									       : LIMIT_OF_LEG_LEAST;
	say(v,
	    arena_printf(a, "Legs over the boots: %s, %s %s.", unit_text(UNIT_INCH, c->leg, a),
			 program_is_within(p, end, c->leg) ? "as usual," : "but usual is",
			 program_limit_text(p, end, a)),
	    a);
}

void fit_check_judge(struct fit_verdict *v, const struct fit_check *c, const struct program *p,
		     struct arena *a) {
	const char *held = NULL;
	*v = (struct fit_verdict){.result = FIT_RESULT_CLOSED};
	bool has_gap = say_answers(v, c, true, a);
	if (c->has_overlap)
		v->is_short = !program_hold(p, LIMIT_OF_OVERLAP, "Overlap of coat and trousers",
					    c->overlap, a, &held);
	if (held) say(v, held, a);
	if (c->has_leg) say_leg(v, c, p, a);
	bool is_whole = !say_answers(v, c, false, a);
	if (any_closed(c))
		say(v,
		    has_gap || !is_whole ? "All others: closed in every movement."
					 : "All interfaces: closed in every movement.",
		    a);
	if (!is_whole) v->result = FIT_RESULT_NOT_WHOLE;
	if (has_gap || v->is_short) v->result = FIT_RESULT_GAP;
}

static const char *gap_text(const struct fit_record *r, enum interface i, struct arena *a) {
	char on[DAY_TEXT_SIZE];
	const char *seen = is_gap(r->check.answer[i])
			       ? answer_text(i, r->check.answer[i], a)
			       : arena_printf(a, "%s: overlap of %s only.", interface_label[i],
					      unit_text(UNIT_INCH, r->check.overlap, a));
	return arena_printf(a, "%s Interface check of %s.", seen, day_format(r->on, on));
}

void fit_state_take(struct fit_state *s, const struct fit_record *r, struct arena *a) {
	for (int k = 0; k < INTERFACE_COUNT; k++) {
		enum interface i = (enum interface)k;
		enum interface_answer answer = r->check.answer[i];
		if (!interface_applies(i, r->check.hazard) || answer == INTERFACE_NOT_WORN)
			continue;
		bool gap = is_gap(answer) || (i == INTERFACE_COAT_TROUSERS && r->is_short);
		if (s->at[i].id && r->on < s->at[i].on) continue;
		if (s->at[i].id && r->on == s->at[i].on && s->at[i].is_gap) continue;
		s->at[i].id = r->id;
		s->at[i].on = r->on;
		s->at[i].is_gap = gap;
		s->at[i].text = gap ? gap_text(r, i, a) : NULL;
	}
}
