#include "rules/field_test.h"

#include <inttypes.h>
#include <string.h>

#define WORD(code, word, label) word,
#define LABEL(code, word, label) label,
const char *const field_test_word[TEST_COUNT] = {FIELD_TEST_LIST(WORD)};
const char *const field_test_label[TEST_COUNT] = {FIELD_TEST_LIST(LABEL)};
const char *const field_test_result_word[RESULT_COUNT] = {FIELD_TEST_RESULT_LIST(WORD)};
const char *const field_test_how[TEST_COUNT] = {
    "In dim light, hold a focused flashlight at eye level beside the temple and look at the trim "
    "from the distance below, beside a new sample of the same trim.",
    "Put a bright light into the separated liner and look for light and dark spots, all over.",
    "Mix one part rubbing alcohol (70 %) with six parts tap water. Put a cup of it on each spot of "
    "high wear, barrier up, and look beneath after three minutes.",
    "By trained people with the right equipment: water under pressure against spots of material "
    "and "
    "of seams.",
    "With the liner in its shell, measure from the liner's end to the end of sleeve or leg, and to "
    "the hem.",
    "Pull each seam by hand along its whole length. No force is set in the field.",
    "A laboratory's value stands beside the minimum of new product, which is no limit of use. What "
    "to do about it is for the officer, the maker and the laboratory to say."};
const char *const field_test_question[TEST_COUNT] = {
    "Did it shine weaker than the new sample?",
    "Were there light or dark spots?",
    "Did any of it wet through?",
    "Did any water pass through, a droplet too?",
    NULL,
    "Did a seam open, or were stitches broken or missing?",
    NULL};

const char *const test_measure_word[MEASURE_COUNT] = {
    "distance",       "alcohol",    "water",    "amount",  "time", "pressure",
    "material_spots", "seam_spots", "cuff_gap", "hem_gap", "value"};
const char *const test_measure_label[MEASURE_COUNT] = {"Distance to the trim",
						       "Rubbing alcohol in the mixture",
						       "Water in the mixture",
						       "Mixture on each spot",
						       "Time",
						       "Pressure",
						       "Spots of material",
						       "Spots of seams",
						       "Gap to the end of sleeve or leg",
						       "Gap to the hem",
						       "Value"};

#define ONE(measure) (1u << (measure))
#define SPOTS (ONE(MEASURE_MATERIAL_SPOTS) | ONE(MEASURE_SEAM_SPOTS))
#define MIXTURE                                                                                    \
	(ONE(MEASURE_ALCOHOL) | ONE(MEASURE_WATER) | ONE(MEASURE_AMOUNT) | ONE(MEASURE_TIME))
static const struct {
	unsigned needs, also;
} measured[TEST_COUNT] = {
    [TEST_TRIM] = {ONE(MEASURE_DISTANCE), 0},
    [TEST_LEAKAGE] = {MIXTURE | ONE(MEASURE_MATERIAL_SPOTS), ONE(MEASURE_SEAM_SPOTS)},
    [TEST_WATER] = {ONE(MEASURE_PRESSURE) | ONE(MEASURE_TIME) | SPOTS, 0},
    [TEST_LINER_GAP] = {ONE(MEASURE_CUFF_GAP), ONE(MEASURE_HEM_GAP)},
    [TEST_LABORATORY] = {ONE(MEASURE_VALUE), 0},
};

/* What people believe: from a little to a lot, in the unit that a question about it is asked in. */
static const struct {
	enum unit unit;
	int64_t least, most;
} usual_of[MEASURE_COUNT] = {
    [MEASURE_DISTANCE] = {UNIT_METRE, 2000000, 50000000},
    [MEASURE_ALCOHOL] = {UNIT_MILLILITRE, 10000, 5000000},
    [MEASURE_WATER] = {UNIT_MILLILITRE, 60000, 20000000},
    [MEASURE_AMOUNT] = {UNIT_MILLILITRE, 30000, 1000000},
    [MEASURE_TIME] = {UNIT_SECOND, 1000, 3600000},
    [MEASURE_PRESSURE] = {UNIT_PSI, 700, 40000},
    [MEASURE_MATERIAL_SPOTS] = {UNIT_PARTS, 1, 50},
    [MEASURE_SEAM_SPOTS] = {UNIT_PARTS, 1, 50},
    [MEASURE_CUFF_GAP] = {UNIT_INCH, 0, 250000},
    [MEASURE_HEM_GAP] = {UNIT_INCH, 0, 400000},
};

/* What measures are held against, and what it means to be beyond. */
static const struct criterion {
	enum field_test_sort test;
	enum test_measure measure;
	enum limit_code limit;
	enum field_test_result beyond;
} criteria[] = {
    {TEST_TRIM, MEASURE_DISTANCE, LIMIT_OF_TRIM_DISTANCE, RESULT_NOT_VALID},
    {TEST_LEAKAGE, MEASURE_AMOUNT, LIMIT_OF_LEAK_AMOUNT, RESULT_NOT_VALID},
    {TEST_LEAKAGE, MEASURE_TIME, LIMIT_OF_LEAK_TIME, RESULT_NOT_VALID},
    {TEST_WATER, MEASURE_PRESSURE, LIMIT_OF_WATER_PRESSURE, RESULT_NOT_VALID},
    {TEST_WATER, MEASURE_TIME, LIMIT_OF_WATER_TIME, RESULT_NOT_VALID},
    {TEST_LINER_GAP, MEASURE_CUFF_GAP, LIMIT_OF_CUFF_GAP, RESULT_FAIL},
    {TEST_LINER_GAP, MEASURE_HEM_GAP, LIMIT_OF_HEM_GAP, RESULT_FAIL},
};

bool field_test_needs(enum field_test_sort test, enum test_measure measure) {
	return measured[test].needs & ONE(measure);
}

bool field_test_measures(enum field_test_sort test, enum test_measure measure) {
	return (measured[test].needs | measured[test].also) & ONE(measure);
}

bool field_test_applies(enum field_test_sort test, const struct kind *k, bool trim) {
	switch (test) {
	case TEST_TRIM: return trim;
	case TEST_LIGHT:
	case TEST_LEAKAGE:
	case TEST_WATER:
	case TEST_LINER_GAP: return k->is_liner;
	case TEST_SEAM: return k->has_seams;
	default: return true;
	}
}

bool field_test_limit(enum field_test_sort test, size_t i, enum limit_code *code) {
	static const enum limit_code mixture[] = {LIMIT_OF_MIX_WEAKEST, LIMIT_OF_MIX_STRONGEST};
	for (size_t k = 0; test == TEST_LEAKAGE && k < sizeof mixture / sizeof *mixture; k++)
		if (i-- == 0) {
			*code = mixture[k];
			return true;
		}
	for (size_t k = 0; k < sizeof criteria / sizeof *criteria; k++)
		if (criteria[k].test == test && i-- == 0) {
			*code = criteria[k].limit;
			return true;
		}
	return false;
}

static const char *measure_text(enum test_measure m, int64_t value, struct arena *a) {
	if (m == MEASURE_MATERIAL_SPOTS || m == MEASURE_SEAM_SPOTS)
		return arena_printf(a, "%" PRId64, value);
	return unit_text(usual_of[m].unit, value, a);
}

enum test_measure field_test_doubtful(const struct field_test *t, struct arena *a,
				      const char **usual) {
	for (int i = 0; i < MEASURE_VALUE; i++) {
		enum test_measure m = (enum test_measure)i;
		if (!t->given[i]) continue;
		if (t->value[i] >= usual_of[i].least && t->value[i] <= usual_of[i].most) continue;
		*usual = arena_printf(
		    a, "%s is unusual: it is mostly from %s to %s", measure_text(m, t->value[i], a),
		    measure_text(m, usual_of[i].least, a), measure_text(m, usual_of[i].most, a));
		return m;
	}
	return MEASURE_COUNT;
}

/* --- judging ------------------------------------------------------------------------------ */

struct work {
	const struct field_test *t;
	const struct program *p;
	struct arena *a;
	enum field_test_result result;
	const char *because;
};

static void say(struct work *w, const char *sentence) {
	w->because = w->because ? arena_printf(w->a, "%s %s", w->because, sentence) : sentence;
}

/* What is not valid neither passes nor fails, whatever was seen in it. */
static void come_to(struct work *w, enum field_test_result result) {
	if (w->result != RESULT_NOT_VALID) w->result = result;
}

static void hold(struct work *w, enum limit_code limit, const char *what, int64_t kept,
		 enum field_test_result beyond) {
	const char *sentence;
	bool within = program_hold(w->p, limit, what, kept, w->a, &sentence);
	say(w, sentence);
	if (!within) come_to(w, beyond);
}

/* Parts of water to one of alcohol. */
static void hold_mixture(struct work *w) {
	int64_t alcohol = w->t->value[MEASURE_ALCOHOL], water = w->t->value[MEASURE_WATER];
	int64_t parts = alcohol > 0 ? water * 1000 / alcohol : 0;
	bool is_weak = !program_is_within(w->p, LIMIT_OF_MIX_WEAKEST, parts);
	hold(w, is_weak ? LIMIT_OF_MIX_WEAKEST : LIMIT_OF_MIX_STRONGEST, "Water to one of alcohol",
	     parts, RESULT_NOT_VALID);
}

static void hold_sample(struct work *w) {
	if (w->t->compared) return;
	say(w, "It was not compared with a new sample of the same trim.");
	come_to(w, RESULT_NOT_VALID);
}

static void hold_sign(struct work *w) {
	const char *question = field_test_question[w->t->test];
	if (!question) return;
	say(w, arena_printf(w->a, "%s %s.", question, w->t->sign ? "Yes" : "No"));
	if (w->t->sign) come_to(w, w->t->test == TEST_LIGHT ? RESULT_SUSPECT : RESULT_FAIL);
}

static void judge_laboratory(struct work *w) {
	const struct limit_value *l = &w->p->handbook->limit[w->t->property];
	int64_t value = w->t->value[MEASURE_VALUE], kept = 0;
	w->result =
	    unit_keep(l->unit, value, &kept) && program_is_within(w->p, w->t->property, kept)
		? RESULT_ABOVE
		: RESULT_BELOW;
	say(w, arena_printf(w->a, "%s: %s; new product has %s (%s).", l->label,
			    unit_text(l->unit, kept, w->a),
			    program_limit_text(w->p, w->t->property, w->a), l->source));
	if (w->t->property == LIMIT_OF_LAB_TPP)
		say(w, arena_printf(w->a, "That stands for %s.",
				    unit_text(UNIT_SECOND, tpp_seconds(value), w->a)));
}

void field_test_judge(struct field_test_verdict *v, const struct field_test *t,
		      const struct program *p, struct arena *a) {
	struct work w = {.t = t, .p = p, .a = a, .result = RESULT_PASS};
	if (t->test == TEST_LABORATORY) judge_laboratory(&w);
	if (t->test == TEST_LEAKAGE) hold_mixture(&w);
	for (size_t i = 0; i < sizeof criteria / sizeof *criteria; i++)
		if (criteria[i].test == t->test && t->given[criteria[i].measure])
			hold(&w, criteria[i].limit, test_measure_label[criteria[i].measure],
			     t->value[criteria[i].measure], criteria[i].beyond);
	if (t->test == TEST_TRIM) hold_sample(&w);
	hold_sign(&w);
	*v = (struct field_test_verdict){w.result, w.because};
}

int64_t tpp_seconds(int64_t tpp) { return tpp / 2; }

void latest_test_take(struct latest_test *latest, const struct latest_test *next) {
	if (next->result == RESULT_NOT_VALID) return;
	bool same_day = latest->id && next->on == latest->on;
	if (latest->id && next->on < latest->on) return;
	if (same_day && latest->result != RESULT_PASS) return;
	*latest = *next;
}
