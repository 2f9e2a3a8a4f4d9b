#include "handlers/import_end.h"

#include <string.h>

#include "base/text.h"
#include "store/component.h"
#include "store/handbook.h"
#include "store/member.h"
#include "store/retirement.h"

/* What belongs together: the first column is the day. */
struct part_of_end {
	size_t column[4];
	size_t count;
};
static const struct part_of_end retirement = {
    {ROW_RETIRED_ON, ROW_RETIRED_REASON, ROW_RETIRED_GROUND, ROW_RETIRED_BY}, 4};
static const struct part_of_end disposal = {
    {ROW_DISPOSED_ON, ROW_DISPOSAL, ROW_DISPOSAL_WAY, ROW_WITNESS}, 4};
static const struct part_of_end training = {{ROW_TRAINING_ON, ROW_TRAINING_BY, ROW_TRAINING_MARK},
					    3};

/* What is on record stays so; a table may only say the same, or nothing. */
static enum err check_recorded(struct import_row *r, const struct part_of_end *p,
			       const struct doc *old) {
	if (!old || !doc_text(old, r->resource->field[p->column[0]].name)) return ERR_OK;
	for (size_t i = 0; i < p->count; i++) {
		const char *given = import_text(r, p->column[i]);
		const char *stored = doc_text(old, r->resource->field[p->column[i]].name);
		if (given && !text_equal(given, stored))
			return import_fault(r, p->column[i],
					    "On record it is \"%s\", and stays so.",
					    stored ? stored : "");
	}
	return ERR_OK;
}

/* Words without their day say nothing. */
static enum err check_day_given(struct import_row *r, const struct part_of_end *p,
				const char *words) {
	bool some = false;
	for (size_t i = 1; i < p->count; i++) some |= import_text(r, p->column[i]) != NULL;
	if (!some || import_text(r, p->column[0])) return ERR_OK;
	return import_fault(r, p->column[0], "%s", words);
}

static enum err check_why(struct import_row *r) {
	if (import_text(r, ROW_RETIRED_ON) && !import_text(r, ROW_RETIRED_REASON) &&
	    (!import_text(r, ROW_RETIRED_GROUND) ||
	     retirement_needs_words(
		 (enum retirement_ground)value_int(&r->value[ROW_RETIRED_GROUND], 0))))
		return import_fault(r, ROW_RETIRED_ON,
				    "Retirement needs both: retired_on and retired_reason, or "
				    "a retired_ground that says it all.");
	if (import_text(r, ROW_DISPOSED_ON) && !import_text(r, ROW_DISPOSAL) &&
	    (!import_text(r, ROW_DISPOSAL_WAY) ||
	     disposal_needs_words((enum disposal_way)value_int(&r->value[ROW_DISPOSAL_WAY], 0))))
		return import_fault(r, ROW_DISPOSED_ON,
				    "Disposal needs both: disposed_on and disposal_method, or a "
				    "disposal_way that says it all.");
	return ERR_OK;
}

/* column: a day; not before since, the day that an earlier part of its end is of. */
static enum err check_order(struct import_row *r, size_t column, const char *since,
			    const char *what) {
	const char *on = import_text(r, column);
	if (!on || !since || strcmp(on, since) >= 0) return ERR_OK;
	return import_fault(r, column, "It was %s on %s, and this was not before.", what, since);
}

/* The day that the row gives, or that is on record. */
static const char *day_of(const struct import_row *r, size_t column, const struct doc *old) {
	const char *given = import_text(r, column);
	return given ? given : doc_text(old, r->resource->field[column].name);
}

/* What is retired is put into no ensemble and into service no more. */
static enum err check_stays(struct import_row *r, const struct doc *old) {
	static const size_t column[] = {COMPONENT_ENSEMBLE, COMPONENT_IN_SERVICE_ON};
	if (!old || !doc_text(old, "retired_on")) return ERR_OK;
	for (size_t i = 0; i < sizeof column / sizeof *column; i++) {
		const char *given = import_text(r, column[i]);
		if (given && !text_equal(given, doc_text(old, r->resource->field[column[i]].name)))
			return import_fault(r, column[i],
					    "It was retired on %s: a retired part never serves "
					    "again.",
					    doc_text(old, "retired_on"));
	}
	return ERR_OK;
}

enum err import_check_end(struct import_row *r, const struct doc *old) {
	const char *retired_on = day_of(r, ROW_RETIRED_ON, old);
	enum err err = check_day_given(r, &retirement,
				       "Retirement needs both: retired_on and retired_reason.");
	if (err == ERR_OK)
		err = check_day_given(r, &disposal,
				      "Disposal needs both: disposed_on and disposal_method.");
	if (err == ERR_OK)
		err = check_day_given(r, &training, "Say when it was marked: training_on.");
	if (err == ERR_OK) err = check_why(r);
	if (err != ERR_OK) return err;
	if (import_text(r, ROW_DISPOSED_ON) && !retired_on)
		return import_fault(r, ROW_DISPOSED_ON, "Only what is retired is disposed of.");
	if (import_text(r, ROW_TRAINING_ON) && !retired_on)
		return import_fault(r, ROW_TRAINING_ON,
				    "Only what is retired is marked for training.");
	err = check_order(r, ROW_DISPOSED_ON, retired_on, "retired");
	if (err == ERR_OK) err = check_order(r, ROW_TRAINING_ON, retired_on, "retired");
	if (err == ERR_OK)
		err = check_order(r, ROW_DISPOSED_ON, day_of(r, ROW_TRAINING_ON, old),
				  "marked for training");
	if (err == ERR_OK) err = check_recorded(r, &retirement, old);
	if (err == ERR_OK) err = check_recorded(r, &disposal, old);
	if (err == ERR_OK) err = check_recorded(r, &training, old);
	return err == ERR_OK ? check_stays(r, old) : err;
}

static enum err retire(struct import_row *r, const struct doc *old, int64_t id) {
	struct doc *hindrance = NULL;
	struct retirement_row row = {.component = id,
				     .on = import_text(r, ROW_RETIRED_ON),
				     .ground = import_text(r, ROW_RETIRED_GROUND),
				     .reason = import_text(r, ROW_RETIRED_REASON)};
	if (doc_int(old, "held_by"))
		return import_fault(r, ROW_RETIRED_ON,
				    "It is issued to %s. Take it back first, then retire it.",
				    doc_text(old, "holder_name"));
	enum err err = import_reference(r, ROW_RETIRED_BY, member_by_badge, &row.by);
	if (err == ERR_OK)
		err = retirement_hindrance(r->store, id, row.on, r->arena, &hindrance, r->fault);
	if (err == ERR_OK && doc_int(hindrance, "draft"))
		return import_fault(r, ROW_RETIRED_ON,
				    "It is being inspected, in inspection %lld. Sign or abandon "
				    "that one first.",
				    (long long)doc_int(hindrance, "draft"));
	if (err == ERR_OK && doc_bool(hindrance, "is_used_later"))
		return import_fault(r, ROW_RETIRED_ON,
				    "It was issued, inspected or tested after that day.");
	return err == ERR_OK ? component_retire(r->store, &row, r->fault) : err;
}

static enum err mark_training(struct import_row *r, int64_t id) {
	const struct handbook *hb;
	const char *refusal = NULL;
	struct training_row row = {.component = id,
				   .on = import_text(r, ROW_TRAINING_ON),
				   .mark = import_text(r, ROW_TRAINING_MARK)};
	enum err err = import_reference(r, ROW_TRAINING_BY, member_by_badge, &row.by);
	if (err == ERR_OK) err = store_handbook(r->store, &hb, r->fault);
	if (err == ERR_OK)
		err = component_training_refusal(r->store, hb, id, r->arena, &refusal, r->fault);
	if (err == ERR_OK && refusal)
		return import_fault(r, ROW_TRAINING_ON, "It cannot serve for training: %s",
				    refusal);
	return err == ERR_OK ? component_mark_training(r->store, &row, r->fault) : err;
}

/* Only what the row adds: what is on record was compared before. */
static bool is_added(const struct import_row *r, const struct part_of_end *p,
		     const struct doc *old) {
	return import_text(r, p->column[0]) &&
	       !doc_text(old, r->resource->field[p->column[0]].name);
}

enum err import_end_service(struct import_row *r, const struct doc *old, int64_t id) {
	struct disposal_row gone = {.component = id,
				    .on = import_text(r, ROW_DISPOSED_ON),
				    .way = import_text(r, ROW_DISPOSAL_WAY),
				    .method = import_text(r, ROW_DISPOSAL),
				    .witness = import_text(r, ROW_WITNESS)};
	enum err err = ERR_OK;
	if (import_text(r, ROW_WITHDRAWN))
		err = component_withdraw(r->store, id, import_text(r, ROW_WITHDRAWN), r->fault);
	if (err == ERR_OK && is_added(r, &retirement, old)) err = retire(r, old, id);
	if (err == ERR_OK && is_added(r, &training, old)) err = mark_training(r, id);
	if (err == ERR_OK && is_added(r, &disposal, old))
		err = component_dispose(r->store, &gone, r->fault);
	return err;
}
