#include "rules/retirement.h"

#include <string.h>

#include "base/text.h"

#define WORD(code, word, label) word,
#define LABEL(code, word, label) label,
const char *const retirement_ground_word[GROUND_COUNT] = {RETIREMENT_GROUND_LIST(WORD)};
const char *const retirement_ground_label[GROUND_COUNT] = {RETIREMENT_GROUND_LIST(LABEL)};
const char *const disposal_way_word[DISPOSAL_COUNT] = {DISPOSAL_WAY_LIST(WORD)};
const char *const disposal_way_label[DISPOSAL_COUNT] = {DISPOSAL_WAY_LIST(LABEL)};

bool retirement_needs_words(enum retirement_ground ground) {
	return ground == GROUND_UNSAFE || ground == GROUND_OTHER;
}

bool disposal_needs_words(enum disposal_way way) { return way == DISPOSAL_OTHER; }

static const char *in_words(const char *label, const char *words, struct arena *a) {
	if (!label) return words;
	return text_empty(words) ? label : arena_printf(a, "%s: %s", label, words);
}

const char *retirement_text(const char *ground, const char *words, struct arena *a) {
	int code = word_find(retirement_ground_word, GROUND_COUNT, ground);
	return in_words(code < 0 ? NULL : retirement_ground_label[code], words, a);
}

const char *disposal_text(const char *way, const char *words, struct arena *a) {
	int code = word_find(disposal_way_word, DISPOSAL_COUNT, way);
	return in_words(code < 0 ? NULL : disposal_way_label[code], words, a);
}

/* --- training ----------------------------------------------------------------------- */

const char *training_refusal(enum training_use use) {
	if (use == TRAINING_WITHOUT_FIRE) return NULL;
	return "Retired gear does not protect from fire: it is never used for live fire training. "
	       "Marked, sound and clean, it may serve for training without live fire (Texas "
	       "Administrative Code, title 37, 427.207).";
}

/* Clean, sound and here: the others say that it is not, or that nobody knows. */
static bool rules_out_training(const char *ground) {
	switch (word_find(retirement_ground_word, GROUND_COUNT, ground)) {
	case GROUND_BEYOND_REPAIR:
	case GROUND_UNECONOMIC:
	case GROUND_CONTAMINATED:
	case GROUND_RECALL:
	case GROUND_UNSAFE:
	case GROUND_LOST:
	case GROUND_REPLACED: return true;
	default: return false;
	}
}

/* What keeps gear out of service without saying that it is dirty or damaged. */
static bool bears_on_training(const struct component_facts *c, const struct blocker *b) {
	static const char *const other[] = {"retired", "labels_disagree", "unknown_made",
					    "unknown_in_service", "unknown_label"};
	if (strcmp(b->code, "not_clean") == 0) return c->cleaned_on <= c->not_clean_on;
	for (size_t i = 0; i < sizeof other / sizeof *other; i++)
		if (strcmp(b->code, other[i]) == 0) return false;
	return true;
}

static bool came_back_soiled(const struct component_facts *c) {
	return c->soiled_return_on != DAY_NONE && c->cleaned_on < c->soiled_return_on;
}

size_t training_obstacles(const struct component_facts *c, const struct blocker *blocker,
			  size_t blocker_count, struct blocker *list, struct arena *a) {
	char on[DAY_TEXT_SIZE];
	size_t count = 0;
	if (c->retired_on == DAY_NONE)
		list[count++] = (struct blocker){.code = "not_retired",
						 .text = "It is not retired: only what never "
							 "serves again is marked for training."};
	if (c->disposed_on != DAY_NONE)
		list[count++] =
		    (struct blocker){.code = "disposed",
				     .text = arena_printf(a, "It was disposed of on %s.",
							  day_format(c->disposed_on, on))};
	for (size_t i = 0; i < blocker_count; i++)
		if (bears_on_training(c, &blocker[i])) list[count++] = blocker[i];
	if (rules_out_training(c->retired_ground))
		list[count++] = (struct blocker){
		    .code = "ground",
		    .text =
			arena_printf(a, "Retired because: %s. Training gear is clean and sound.",
				     retirement_text(c->retired_ground, NULL, a))};
	if (came_back_soiled(c))
		list[count++] = (struct blocker){
		    .code = "came_back_soiled",
		    .text = arena_printf(a, "It came back soiled on %s and was not cleaned since.",
					 day_format(c->soiled_return_on, on))};
	if (component_came_back_damaged(c))
		list[count++] = (struct blocker){
		    .code = "came_back_damaged",
		    .text =
			arena_printf(a, "It came back damaged on %s and was not inspected since.",
				     day_format(c->damaged_return_on, on))};
	return count;
}
