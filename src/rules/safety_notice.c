#include "rules/safety_notice.h"

#include <string.h>

#include "base/text.h"

#define WORD(code, word, label) word,
#define LABEL(code, word, label) label,
const char *const safety_action_word[SAFETY_ACTION_COUNT] = {SAFETY_ACTION_LIST(WORD)};
const char *const safety_action_label[SAFETY_ACTION_COUNT] = {SAFETY_ACTION_LIST(LABEL)};
const char *const safety_hit_word[SAFETY_HIT_COUNT] = {"no", "possible", "hit"};
const char *const safety_answer_word[SAFETY_ANSWER_COUNT] = {SAFETY_ANSWER_LIST(WORD)};
const char *const safety_state_word[SAFETY_STATE_COUNT] = {SAFETY_STATE_LIST(WORD)};

/* --- lot and serial numbers ----------------------------------------------------- */

static bool is_digit(char c) { return c >= '0' && c <= '9'; }

/* Bytes of the sign or space at t; 0: a digit, a letter or the end. Beyond ASCII, folded text
 * has signs in U+0080 to U+00BF and U+2000 to U+2FFF (dashes, dots, trade marks). */
static size_t sign_length(const char *t) {
	unsigned char c = (unsigned char)*t;
	if (c == 0xc2) return 2;
	if (c == 0xe2) return 3;
	return c && c < 0x80 && !is_digit(*t) && !(c >= 'a' && c <= 'z');
}

static const char *skip_signs(const char *t) {
	for (size_t sign = sign_length(t); sign; sign = sign_length(t)) t += sign;
	return t;
}

static bool is_same_but_signs(const char *a, const char *b) {
	for (;; a++, b++) {
		a = skip_signs(a);
		b = skip_signs(b);
		if (*a != *b) return false;
		if (!*a) return true;
	}
}

/* What people write on a line they cannot fill. */
static bool is_no_entry(const char *folded) {
	static const char *const word[] = {"",     "unknown",     "not known", "na",
					   "none", "not legible", "illegible", "unreadable"};
	for (size_t i = 0; folded && i < sizeof word / sizeof *word; i++)
		if (is_same_but_signs(folded, word[i])) return true;
	return !folded;
}

/* A run of digits without its leading zeros, or a run of letters. */
struct run {
	const char *text;
	size_t length;
	bool is_number;
};

/* The next run of *at, which goes on behind it; length 0 and no number: there is none. */
static struct run next_run(const char **at) {
	const char *t = skip_signs(*at);
	struct run r = {t, 0, is_digit(*t)};
	while (*t && is_digit(*t) == r.is_number && !sign_length(t)) t++;
	*at = t;
	while (r.is_number && r.text + 1 < t && *r.text == '0') r.text++;
	r.length = (size_t)(t - r.text);
	return r;
}

static int compare_runs(struct run a, struct run b) {
	if (a.is_number != b.is_number) return a.length == 0 || (b.length && a.is_number) ? -1 : 1;
	if (a.is_number && a.length != b.length) return a.length < b.length ? -1 : 1;
	size_t shared = a.length < b.length ? a.length : b.length;
	int order = memcmp(a.text, b.text, shared);
	if (order == 0) return (a.length > b.length) - (a.length < b.length);
	return order < 0 ? -1 : 1;
}

int safety_serial_compare(const char *a, const char *b) {
	for (;;) {
		struct run x = next_run(&a), y = next_run(&b);
		int order = compare_runs(x, y);
		if (order || x.length == 0) return order;
	}
}

/* Letters where the other has letters, digits where it has digits. */
static bool is_written_alike(const char *a, const char *b) {
	for (;;) {
		struct run x = next_run(&a), y = next_run(&b);
		if (x.is_number != y.is_number || !x.length != !y.length) return false;
		if (x.length == 0) return true;
	}
}

static enum safety_hit serial_in_range(const struct safety_scope *s, const char *serial) {
	const char *from = s->serial_from, *to = s->serial_to;
	if ((from && !is_written_alike(from, serial)) || (to && !is_written_alike(to, serial)))
		return SAFETY_POSSIBLE;
	if (from && safety_serial_compare(serial, from) < 0) return SAFETY_NO;
	return to && safety_serial_compare(serial, to) > 0 ? SAFETY_NO : SAFETY_HIT;
}

static enum safety_hit serial_in_list(const struct safety_scope *s, const char *serial) {
	bool can_compare = s->serial_count == 0;
	for (size_t i = 0; i < s->serial_count; i++) {
		if (safety_serial_compare(serial, s->serial[i]) == 0) return SAFETY_HIT;
		can_compare |= is_written_alike(serial, s->serial[i]);
	}
	return can_compare ? SAFETY_NO : SAFETY_POSSIBLE;
}

static enum safety_hit serial_in_scope(const struct safety_scope *s, const char *serial) {
	enum safety_hit listed = serial_in_list(s, serial);
	enum safety_hit within =
	    s->serial_from || s->serial_to ? serial_in_range(s, serial) : SAFETY_NO;
	return listed > within ? listed : within;
}

/* --- what a scope must not be ------------------------------------------------------------ */

static bool is_signs_only(const char *folded) { return folded && !*skip_signs(folded); }

static const char *signs_only_entry(const struct safety_scope *s) {
	if (is_signs_only(s->maker)) return "maker";
	if (is_signs_only(s->model)) return "model";
	if (is_signs_only(s->serial_from)) return "serial_from";
	if (is_signs_only(s->serial_to)) return "serial_to";
	for (size_t i = 0; i < s->serial_count; i++)
		if (is_signs_only(s->serial[i])) return "serials";
	return NULL;
}

const char *safety_scope_flaw(const struct safety_scope *s, const char **entry) {
	*entry = signs_only_entry(s);
	if (*entry)
		return "There is neither a letter nor a digit in it: nothing on a label is that.";
	*entry = "serial_to";
	if (s->serial_from && s->serial_to && !is_written_alike(s->serial_from, s->serial_to))
		return "It is written otherwise than the number it is to go from: letters and "
		       "digits have to follow each other in the same way, or no number can be "
		       "compared with both.";
	if (s->serial_from && s->serial_to &&
	    safety_serial_compare(s->serial_from, s->serial_to) > 0)
		return "It comes before the number it is to go from.";
	*entry = "made_to";
	if (label_date_known(s->made_from) && label_date_known(s->made_to) &&
	    label_date_first(s->made_from) > label_date_last(s->made_to))
		return "It comes before the month it is to go from.";
	*entry = NULL;
	return NULL;
}

/* --- one scope and one component ------------------------------------------------------ */

/* What is being worked on: the entries that agree, those that are missing. */
struct work {
	struct arena *a;
	enum safety_hit hit;
	const char *agrees, *missing; /* NULL: none yet */
};

static void add_words(struct work *w, const char **list, const char *name, const char *value) {
	*list = arena_printf(w->a, "%s%s%s%s%s", *list ? *list : "", *list ? ", " : "", name,
			     value ? " " : "", value ? value : "");
}

static void take(struct work *w, enum safety_hit hit, const char *name, const char *value) {
	if (hit < w->hit) w->hit = hit;
	if (hit == SAFETY_HIT) add_words(w, &w->agrees, name, value);
	if (hit == SAFETY_POSSIBLE) add_words(w, &w->missing, name, value);
}

/* Where only signs differ nobody can tell. */
static enum safety_hit words_agree(struct work *w, const char *wanted, const char *value) {
	const char *folded = value ? text_fold(w->a, value) : NULL;
	if (text_equal(folded, wanted)) return SAFETY_HIT;
	if (is_no_entry(folded) || is_same_but_signs(folded, wanted)) return SAFETY_POSSIBLE;
	return SAFETY_NO;
}

static enum safety_hit serial_agrees(struct work *w, const struct safety_scope *s,
				     const char *serial) {
	const char *folded = serial ? text_fold(w->a, serial) : NULL;
	return is_no_entry(folded) ? SAFETY_POSSIBLE : serial_in_scope(s, folded);
}

/* Months; a label that names a day is of its month. */
static enum safety_hit made_agrees(const struct safety_scope *s, struct label_date made) {
	if (!label_date_known(made)) return SAFETY_POSSIBLE;
	int month = made.year * 12 + made.month;
	if (label_date_known(s->made_from) && month < s->made_from.year * 12 + s->made_from.month)
		return SAFETY_NO;
	if (label_date_known(s->made_to) && month > s->made_to.year * 12 + s->made_to.month)
		return SAFETY_NO;
	return SAFETY_HIT;
}

static const char *reason_of(struct work *w) {
	if (w->hit == SAFETY_HIT) return arena_printf(w->a, "On record: %s.", w->agrees);
	return arena_printf(w->a, "Not on record, or not comparable: %s.%s%s%s", w->missing,
			    w->agrees ? " On record: " : "", w->agrees ? w->agrees : "",
			    w->agrees ? "." : "");
}

enum safety_hit safety_scope_hits(const struct safety_scope *s, const struct safety_label *l,
				  struct arena *a, const char **reason) {
	struct work w = {.a = a, .hit = SAFETY_HIT};
	char made[DAY_TEXT_SIZE];
	*reason = NULL;
	if ((s->kind && !text_equal(s->kind, l->kind)) ||
	    (s->hazard && !text_equal(s->hazard, l->hazard)))
		return SAFETY_NO;
	bool asks_made = label_date_known(s->made_from) || label_date_known(s->made_to);
	bool asks_serial = s->serial_from || s->serial_to || s->serial_count;
	if (asks_made && made_agrees(s, l->made) == SAFETY_NO) return SAFETY_NO;
	take(&w, words_agree(&w, s->maker, l->maker), "maker", l->maker);
	if (w.hit != SAFETY_NO && s->model)
		take(&w, words_agree(&w, s->model, l->model), "model", l->model);
	if (w.hit != SAFETY_NO && asks_serial)
		take(&w, serial_agrees(&w, s, l->serial), "lot or serial", l->serial);
	if (w.hit != SAFETY_NO && asks_made)
		take(&w, made_agrees(s, l->made), "month of manufacture",
		     label_date_known(l->made) ? label_date_format(l->made, made) : NULL);
	if (w.hit != SAFETY_NO) *reason = reason_of(&w);
	return w.hit;
}

/* --- how far it is followed ---------------------------------------------------------------- */

static bool answer_counts(const struct safety_case *c) {
	switch (c->answer) {
	case SAFETY_ANSWER_DONE:
	case SAFETY_ANSWER_SENT: return c->answered_action == c->action;
	case SAFETY_ANSWER_NOT_AFFECTED:
		return c->answered_edition >= c->edition && c->answered_hit >= c->hit;
	default: return false; /* none; and retired is what the component itself says */
	}
}

enum safety_state safety_state_of(const struct safety_case *c) {
	static const enum safety_state state[SAFETY_ANSWER_COUNT] = {
	    [SAFETY_ANSWER_DONE] = SAFETY_DONE,
	    [SAFETY_ANSWER_NOT_AFFECTED] = SAFETY_NOT_AFFECTED,
	    [SAFETY_ANSWER_SENT] = SAFETY_SENT};
	if (c->is_retired) return SAFETY_RETIRED;
	if (c->is_withdrawn) return SAFETY_WITHDRAWN;
	if (answer_counts(c)) {
		bool stays_out = c->action == SAFETY_STOP_USE && c->answer == SAFETY_ANSWER_DONE;
		return stays_out ? SAFETY_OUT_OF_USE : state[c->answer];
	}
	return c->action == SAFETY_INFORM ? SAFETY_INFORMED : SAFETY_LEFT;
}

bool safety_state_blocks(enum safety_state state) {
	return state == SAFETY_LEFT || state == SAFETY_SENT || state == SAFETY_OUT_OF_USE;
}

bool safety_state_is_left(enum safety_state state) {
	return state == SAFETY_LEFT || state == SAFETY_SENT;
}
