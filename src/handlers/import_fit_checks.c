/*
 * Interface checks in tables. The overlap stands in the unit in which it is kept (rules/unit.h),
 * and what was worn as tags parted by spaces. What a check came to is worked out here too; a row
 * that says otherwise is refused, for no table closes a gap that shows.
 */
#include "rules/fit_check.h"

#include <string.h>

#include "base/limits.h"
#include "base/text.h"
#include "handlers/import_row.h"
#include "store/component.h"
#include "store/fit_check.h"
#include "store/handbook.h"
#include "store/member.h"
#include "store/settle.h"

enum {
	BADGE,
	HAZARD,
	CHECKED_ON,
	CHECKED_BY,
	FIRST_ANSWER,
	OVERLAP = FIRST_ANSWER + INTERFACE_COUNT,
	LEG,
	RESULT,
	WORN,
	NOTE,
	REVOKED_ON,
	REVOKED_REASON,
	FIELDS
};
#define WORN_PARTS_MAX 24
#define INTERFACE_COLUMN(interface, word, words, look_for)                                         \
	[FIRST_ANSWER + INTERFACE_##interface] = {.name = word,                                    \
						  .label = words,                                  \
						  .kind = FIELD_CHOICE,                            \
						  .choice = interface_answer_choice},
static const struct field field[FIELDS] = {
    [BADGE] = {.name = "badge", .label = "Member (badge)", .kind = FIELD_TAG, .required = true},
    [HAZARD] = {.name = "hazard",
		.label = "Hazard",
		.kind = FIELD_CHOICE,
		.choice = hazard_choice,
		.required = true},
    [CHECKED_ON] = {.name = "checked_on",
		    .label = "Checked on",
		    .kind = FIELD_DAY,
		    .required = true},
    [CHECKED_BY] = {.name = "checked_by",
		    .label = "Checked by (badge)",
		    .kind = FIELD_TAG,
		    .required = true},
    INTERFACE_LIST(INTERFACE_COLUMN)[OVERLAP] = {.name = "overlap_um",
						 .label =
						     "Overlap of coat and trousers, micrometres",
						 .kind = FIELD_INTEGER,
						 .min = 0,
						 .max = 1000000000},
    [LEG] = {.name = "leg_um",
	     .label = "Trouser legs over the boots, micrometres",
	     .kind = FIELD_INTEGER,
	     .min = 0,
	     .max = LEG_UM_MAX},
    [RESULT] = {.name = "result",
		.label = "Result",
		.help = "Worked out when left empty.",
		.kind = FIELD_CHOICE,
		.choice = fit_state_choice},
    [WORN] = {.name = "worn",
	      .label = "What was worn",
	      .help = "Tags, parted by spaces.",
	      .kind = FIELD_TEXT,
	      .max = LIMIT_NOTE_CHARS_MAX},
    [NOTE] = {.name = "note", .label = "Note", .kind = FIELD_NOTE},
    [REVOKED_ON] = {.name = "revoked_on", .label = "Taken back on", .kind = FIELD_DAY},
    [REVOKED_REASON] = {.name = "revoked_reason",
			.label = "Why it was recorded in error",
			.kind = FIELD_TEXT},
};
const struct resource import_fit_check_columns = {"fit_check", "fit-checks", field, FIELDS};

static enum err read_check(struct import_row *r, struct fit_check *c) {
	c->hazard = (enum hazard)word_find(hazard_word, HAZARD_COUNT, import_text(r, HAZARD));
	for (int i = 0; i < INTERFACE_COUNT; i++) {
		size_t column = FIRST_ANSWER + (size_t)i;
		bool applies = interface_applies((enum interface)i, c->hazard);
		int answer = word_find(interface_answer_word, INTERFACE_ANSWER_COUNT,
				       import_text(r, column));
		if (applies != (answer >= 0))
			return import_fault(r, column,
					    applies ? "Say what was seen, or not_worn."
						    : "Such an outfit has no such interface.");
		c->answer[i] = applies ? (enum interface_answer)answer : INTERFACE_NOT_WORN;
	}
	c->has_overlap = c->answer[INTERFACE_COAT_TROUSERS] != INTERFACE_NOT_WORN;
	c->overlap = value_int(&r->value[OVERLAP], 0);
	if (c->has_overlap != value_given(&r->value[OVERLAP]))
		return import_fault(r, OVERLAP,
				    "It is measured where coat and trousers are worn, and only "
				    "there.");
	c->has_leg = value_given(&r->value[LEG]);
	c->leg = value_int(&r->value[LEG], 0);
	if (c->has_leg && c->answer[INTERFACE_TROUSERS_BOOTS] == INTERFACE_NOT_WORN)
		return import_fault(r, LEG, "Trousers and boots were not worn together.");
	const char *usual = fit_check_doubtful(c, r->arena);
	if (!usual || !text_empty(import_text(r, NOTE))) return ERR_OK;
	return import_fault(r, OVERLAP, "%s. Correct it, or note how that came about.", usual);
}

static enum err judge(struct import_row *r, const struct fit_check *c, struct fit_verdict *v) {
	const struct program *p;
	const char *said = import_text(r, RESULT);
	enum err err = store_program(r->store, &p, r->fault);
	if (err != ERR_OK) return err;
	fit_check_judge(v, c, p, r->arena);
	if (!said || text_equal(said, fit_result_word[v->result])) return ERR_OK;
	return import_fault(r, RESULT, "By the rules of the department it came to \"%s\": %s",
			    fit_result_word[v->result], v->because);
}

/* The parts worn, by their tags; each once. */
static enum err read_worn(struct import_row *r, int64_t part[WORN_PARTS_MAX], size_t *count) {
	const char *worn = import_text(r, WORN), *end;
	for (*count = 0; !text_empty(worn); worn = *end ? end + 1 : end) {
		end = worn + strcspn(worn, " ");
		const char *tag = arena_printf(r->arena, "%.*s", (int)(end - worn), worn);
		if (*count == WORN_PARTS_MAX)
			return import_fault(r, WORN, "These are more than %d parts.",
					    WORN_PARTS_MAX);
		enum err err = component_by_tag(r->store, tag, &part[*count], r->fault);
		if (err != ERR_OK) return err;
		if (!part[*count])
			return import_fault(r, WORN, "There is no part \"%s\" on record.", tag);
		for (size_t i = 0; i < *count; i++)
			if (part[i] == part[*count])
				return import_fault(r, WORN, "\"%s\" is named twice.", tag);
		++*count;
	}
	return ERR_OK;
}

static enum err put(struct import_row *r, const struct fit_check_row *row) {
	const char *revoked_on = import_text(r, REVOKED_ON), *why = import_text(r, REVOKED_REASON);
	struct doc *old = NULL;
	int64_t id = 0;
	/* Two of one day are two when one table says so. */
	int64_t before = *r->first ? *r->first : INT64_MAX;
	enum err err = fit_check_find(r->store, row, why, before, r->arena, &old, r->fault);
	if (err != ERR_OK) return err;
	if (old) return import_on_record(r, old);
	err = fit_check_insert(r->store, row, &id, r->fault);
	if (!*r->first) *r->first = id;
	return err == ERR_OK && why ? fit_check_revoke(r->store, id, revoked_on, why, r->fault)
				    : err;
}

enum err import_fit_check(struct import_row *r) {
	struct fit_check check = {0};
	struct fit_verdict verdict;
	int64_t part[WORN_PARTS_MAX];
	struct fit_check_row row = {.checked_on = import_text(r, CHECKED_ON),
				    .note = import_text(r, NOTE),
				    .check = &check,
				    .verdict = &verdict,
				    .component = part};
	if (!import_text(r, REVOKED_ON) != !import_text(r, REVOKED_REASON))
		return import_fault(r, import_text(r, REVOKED_ON) ? REVOKED_REASON : REVOKED_ON,
				    "One that was taken back has a day and a reason.");
	enum err err = import_reference(r, BADGE, member_by_badge, &row.member);
	if (err == ERR_OK) err = import_reference(r, CHECKED_BY, member_by_badge, &row.checked_by);
	if (err == ERR_OK) err = read_check(r, &check);
	if (err == ERR_OK) err = judge(r, &check, &verdict);
	if (err == ERR_OK) err = read_worn(r, part, &row.component_count);
	return err == ERR_OK ? put(r, &row) : err;
}
