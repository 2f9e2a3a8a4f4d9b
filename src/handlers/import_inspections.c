/*
 * Inspections done, a row for each part that was looked at, and how rows of other tables name one.
 */
#include "base/limits.h"
#include "handlers/import_row.h"
#include "store/component.h"
#include "store/handbook.h"
#include "store/history.h"
#include "store/member.h"

enum {
	SEEN_REFERENCE,
	SEEN_KIND,
	SEEN_ON,
	SEEN_INSPECTOR,
	SEEN_PERFORMER,
	SEEN_NOTE,
	SEEN_TAG,
	SEEN_CONCLUSION,
	SEEN_PERFORMER_CLASS,
	SEEN_WORKED,
	SEEN_FIELDS
};
static const struct field inspection_field[SEEN_FIELDS] = {
    {.name = "reference", .label = "Reference", .kind = FIELD_TAG, .required = true},
    {.name = "kind",
     .label = "Kind",
     .kind = FIELD_CHOICE,
     .choice = inspection_kind_choice,
     .required = true},
    {.name = "inspected_on", .label = "Inspected on", .kind = FIELD_DAY, .required = true},
    {.name = "inspector", .label = "Inspector's badge", .kind = FIELD_TAG, .required = true},
    {.name = "performer", .label = "Done by (outside)", .kind = FIELD_TEXT},
    {.name = "note", .label = "Note", .kind = FIELD_NOTE},
    {.name = "tag", .label = "Tag", .kind = FIELD_TAG, .required = true},
    {.name = "conclusion",
     .label = "Conclusion",
     .kind = FIELD_CHOICE,
     .choice = conclusion_choice,
     .required = true},
    IMPORT_PERFORMER_COLUMN,
    {.name = "worked_s",
     .label = "Time worked on it, in seconds",
     .help = "Empty: it was not measured.",
     .kind = FIELD_INTEGER,
     .min = 0,
     .max = LIMIT_WORKED_S_MAX},
};

const struct resource import_inspection_columns = {"inspection", "inspections", inspection_field,
						   SEEN_FIELDS};

/* An inspection that is there gets another part, when it was brought in itself. */
static enum err add_to(struct import_row *r, const struct doc *seen, struct history_part *part) {
	struct doc *old = NULL;
	enum err err = import_on_record(r, seen);
	r->unchanged = false; /* its part is another matter */
	part->inspection = doc_int(seen, "id");
	if (err == ERR_OK)
		err = history_find_part(r->store, part->inspection, part->component, r->arena, &old,
					r->fault);
	if (err != ERR_OK) return err;
	if (old) return import_on_record(r, old);
	if (doc_bool(seen, "is_own"))
		return import_fault(r, SEEN_TAG,
				    "Inspection %s was made here, and this was no part of it.",
				    import_text(r, SEEN_REFERENCE));
	err = import_check_serves(r, SEEN_ON, part->component, import_text(r, SEEN_ON));
	return err == ERR_OK ? history_add_part(r->store, part, r->fault) : err;
}

/* Unless somebody outside did it, or the row says otherwise, it is the inspector's class. */
static enum err take_inspector(struct import_row *r, struct history_inspection *made) {
	struct performer who;
	enum err err = import_performer(r, SEEN_PERFORMER_CLASS, 0, made->inspected_on, &who);
	if (err == ERR_OK && !import_text(r, SEEN_PERFORMER_CLASS) && !made->performer)
		err = performer_member(r->store, made->inspector, day_parse(made->inspected_on),
				       r->arena, &who, r->fault);
	if (err != ERR_OK) return err;
	int kind = word_find(inspection_kind_word, INSPECTION_KIND_COUNT, made->kind);
	made->performer_class = performer_word(&who);
	return import_check_performer(r, SEEN_PERFORMER_CLASS, &who,
				      work_of_inspection((enum inspection_kind)kind));
}

static enum err add_inspection(struct import_row *r, struct history_inspection *made,
			       struct history_part *part) {
	bool own = false;
	enum err err = take_inspector(r, made);
	if (err == ERR_OK) err = history_is_own(r->store, made->reference, &own, r->fault);
	if (err == ERR_OK && own)
		return import_fault(r, SEEN_REFERENCE,
				    "This names an inspection made here, but none is signed as %s.",
				    made->reference);
	if (err == ERR_OK)
		err = import_check_serves(r, SEEN_ON, made->component, made->inspected_on);
	if (err == ERR_OK)
		err = history_add_inspection(r->store, made, &part->inspection, r->fault);
	return err == ERR_OK ? history_add_part(r->store, part, r->fault) : err;
}

enum err import_inspection(struct import_row *r) {
	struct doc *seen = NULL;
	struct history_inspection made = {.reference = import_text(r, SEEN_REFERENCE),
					  .kind = import_text(r, SEEN_KIND),
					  .inspected_on = import_text(r, SEEN_ON),
					  .performer = import_text(r, SEEN_PERFORMER),
					  .note = import_text(r, SEEN_NOTE)};
	enum err err = import_reference(r, SEEN_INSPECTOR, member_by_badge, &made.inspector);
	if (err == ERR_OK) err = import_reference(r, SEEN_TAG, component_by_tag, &made.component);
	if (err == ERR_OK)
		err = history_find_inspection(r->store, made.reference, r->arena, &seen, r->fault);
	if (err != ERR_OK) return err;
	struct history_part part = {.component = made.component,
				    .kind = made.kind,
				    .conclusion = import_text(r, SEEN_CONCLUSION),
				    .worked_s = value_int(&r->value[SEEN_WORKED], -1)};
	return seen ? add_to(r, seen, &part) : add_inspection(r, &made, &part);
}

/* --- named by others --- */

enum err import_inspected(struct import_row *r, size_t reference, size_t tag, int64_t component,
			  struct doc **seen) {
	struct doc *part = NULL;
	const char *name = import_text(r, reference);
	enum err err = history_find_inspection(r->store, name, r->arena, seen, r->fault);
	if (err == ERR_OK && !*seen)
		return import_fault(
		    r, reference,
		    "There is no inspection \"%s\" on record. Import that first, or correct it.",
		    name);
	if (err == ERR_OK)
		err = history_find_part(r->store, doc_int(*seen, "id"), component, r->arena, &part,
					r->fault);
	if (err == ERR_OK && !part)
		return import_fault(r, tag, "Inspection %s did not look at %s.", name,
				    import_text(r, tag));
	return err;
}
