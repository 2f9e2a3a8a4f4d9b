#include "handlers/inspection_together.h"

#include <string.h>

#include "base/limits.h"
#include "handlers/app.h"
#include "handlers/inspection_opening.h"
#include "store/inspection.h"

enum { ALL_SOUND, POINTS, SEEN, AWAY_OPENED, AWAY_ANSWERED };
const struct field together_field[TOGETHER_FIELDS] = {
    [ALL_SOUND] = {.name = "all_sound",
		   .label = "All sound in this group",
		   .help =
		       "Every point of the group that has no answer yet is sound, but for those "
		       "with a finding still open. The page must have been opened: its opening "
		       "is asked for.",
		   .kind = FIELD_YES_NO},
    [POINTS] = {.name = "together",
		.label = "Points answered sound together",
		.help = "Codes with blanks between; sent with the answers of those points.",
		.kind = FIELD_TEXT,
		.max = LIMIT_NOTE_CHARS_MAX},
    [SEEN] = {.name = "together_opening",
	      .label = "Opening of the page on which they were answered",
	      .help = "No time worked is counted from it.",
	      .kind = FIELD_TAG,
	      .max = OPENING_CHARS_MAX},
    [AWAY_OPENED] = {.name = "away_opened_at",
		     .label = "When that page was opened, by the tablet's clock",
		     .kind = FIELD_TAG,
		     .max = INSTANT_TEXT_SIZE},
    [AWAY_ANSWERED] = {.name = "away_answered_at",
		       .label = "When they were answered, by the tablet's clock",
		       .help = "Only of what was answered while the network was away.",
		       .kind = FIELD_TAG,
		       .max = INSTANT_TEXT_SIZE},
};

static const char *sent(const struct request *rq, int field) {
	const struct value *v = request_value(rq, together_field[field].name);
	return v ? value_text(v) : NULL;
}

static bool all_is_sent(const struct request *rq) {
	const struct value *all = request_value(rq, together_field[ALL_SOUND].name);
	return all && value_yes(all);
}

/* Is the word one of a list with blanks between? */
static bool lists(const char *list, const char *word) {
	size_t length = strlen(word);
	for (const char *at = list; at && *at; at += strcspn(at, " "), at += strspn(at, " "))
		if (strcspn(at, " ") == length && strncmp(at, word, length) == 0) return true;
	return false;
}

static const char *code_of(const struct part_view *p, size_t point) {
	return p->record.checklist->point[point].code;
}

bool together_takes(const struct request *rq, const struct part_view *p, size_t point) {
	const struct value *answer = request_value(rq, code_of(p, point));
	return p->answer[point] == ANSWER_NONE && lists(sent(rq, POINTS), code_of(p, point)) &&
	       answer && text_equal(value_text(answer), answer_word[ANSWER_SOUND]);
}

static bool is_left(const struct part_view *p, size_t i, const struct check_group *g) {
	return inspection_view_in_group(p, i, g) && p->answer[i] == ANSWER_NONE;
}

void together_offer(const struct part_view *p, const struct check_group *g, struct doc *d) {
	int64_t open = 0, left = 0;
	for (size_t i = g->first; i < g->end; i++) {
		if (!is_left(p, i, g)) continue;
		bool is_open = inspection_view_is_open(p, code_of(p, i));
		open += is_open;
		left += !is_open;
	}
	doc_set_int(d, "left_count", left);
	doc_set_bool(d, "can_all_sound", left > 0);
	doc_set_int(d, "open_count", open);
	doc_set_bool(d, "has_open", open > 0);
}

/* Answers them, and lists their codes. */
static void answer(const struct request *rq, struct part_view *p, const struct check_group *g,
		   struct doc *points) {
	for (size_t i = g->first; i < g->end; i++) {
		if (!is_left(p, i, g) || inspection_view_is_open(p, code_of(p, i))) continue;
		if (!all_is_sent(rq) && !together_takes(rq, p, i)) continue;
		p->answer[i] = ANSWER_SOUND;
		doc_add_text(points, code_of(p, i));
	}
}

/* The instant that the tablet says, normalized into text; *instant is NULL when it says none. */
static enum err read_away(struct request *rq, int field, char text[INSTANT_TEXT_SIZE],
			  const char **instant) {
	const char *said = sent(rq, field);
	int64_t instant_s;
	*instant = NULL;
	if (!said) return ERR_OK;
	if (!instant_parse(said, &instant_s))
		return request_field_fault(rq, together_field[field].name,
					   "Write it as 2026-05-31T14:05:00Z.");
	*instant = instant_format(instant_s, text);
	return ERR_OK;
}

static enum err record(struct request *rq, const struct inspection_view *v,
		       const struct part_view *p, const struct check_group *g, int64_t opened_s,
		       const struct doc *points) {
	char opened[INSTANT_TEXT_SIZE], now[INSTANT_TEXT_SIZE];
	char away_opened[INSTANT_TEXT_SIZE], away_answered[INSTANT_TEXT_SIZE];
	struct together_row row = {
	    .inspection = v->id,
	    .component = p->component,
	    .group_code = g->code,
	    .group_title = g->title,
	    .points = doc_json(points, &rq->arena),
	    .opened_at = instant_format(opened_s, opened),
	    .answered_at = instant_format(rq->now_s, now),
	    .answered_by = rq->who.member,
	};
	if (!row.points) return ERR_MEMORY;
	enum err err = read_away(rq, AWAY_OPENED, away_opened, &row.away_opened_at);
	if (err == ERR_OK) err = read_away(rq, AWAY_ANSWERED, away_answered, &row.away_answered_at);
	if (err != ERR_OK) return err;
	request_action(rq, "answer group together");
	return answered_together_insert(request_store(rq), &row, &rq->fault);
}

enum err together_answer(struct request *rq, const struct inspection_view *v, struct part_view *p,
			 const struct check_group *g) {
	const struct value *opening = request_value(rq, "opening");
	const char *seen = sent(rq, SEEN);
	int64_t opened_s;
	if (!all_is_sent(rq) && !sent(rq, POINTS)) return ERR_OK;
	if (!seen && opening) seen = value_text(opening);
	if (!inspection_opening_holds(rq, p, g->code, seen, &opened_s))
		return request_fail(
		    rq, ERR_CONFLICT,
		    "The group \"%s\" of %s was not opened by you. Open it, look at "
		    "its check points, then answer them together or one by one.",
		    g->title, p->tag);
	struct doc *points = doc_list(&rq->arena);
	answer(rq, p, g, points);
	return doc_count(points) ? record(rq, v, p, g, opened_s, points) : ERR_OK;
}
