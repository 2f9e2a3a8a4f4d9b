/*
 * One row of a table on its way in, and what the kinds of rows have in common.
 *
 * A row names other records by their natural keys: codes, badges, tags. A fault
 * of a row is added to its list, with the column, and is ERR_INVALID.
 */
#ifndef PEGWARDEN_HANDLERS_IMPORT_ROW_H
#define PEGWARDEN_HANDLERS_IMPORT_ROW_H

#include "handlers/performer.h"
#include "handlers/resources.h"
#include "http/field.h"
#include "store/store.h"

struct import_row {
	struct store *store;
	struct arena *arena;
	const struct resource *resource;
	struct value *value; /* by field */
	struct fault_list *faults;
	struct fault *fault;
	bool update;
	int64_t *first; /* of the table: the id of the first record it brought; 0: none yet */
	bool unchanged; /* set: the record was there with these values already */
};

const char *import_text(const struct import_row *r, size_t field); /* NULL: nothing given */
bool import_yes(const struct import_row *r, size_t field, bool absent);

enum err import_fault(struct import_row *r, size_t field, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* The record that the field's key names; *id is 0 when none is given. */
enum err import_reference(struct import_row *r, size_t field,
			  enum err (*find)(struct store *, const char *, int64_t *, struct fault *),
			  int64_t *id) MUST_CHECK;
/*
 * For a record that is there, as its document: unchanged, to be changed, or
 * refused. Fields that the document does not have are not compared.
 */
enum err import_existing(struct import_row *r, const struct doc *row, size_t key) MUST_CHECK;
/* The same of history, which is never rewritten: unchanged, or a fault at the first column
 * that says something else. */
enum err import_on_record(struct import_row *r, const struct doc *row) MUST_CHECK;
/* The first so many fields that the row does not give become those of the document: what a
 * table does not say stays as it is. NULL: there is none. */
void import_keep(struct import_row *r, const struct doc *row, size_t fields);

/* A fault at the field when the component was retired before that day. */
enum err import_check_serves(struct import_row *r, size_t field, int64_t component,
			     const char *on) MUST_CHECK;

/* --- who did it --- */

#define IMPORT_PERFORMER_COLUMN                                                                    \
	{                                                                                          \
		.name = "performer_class", .label = "Qualification class of who did it",           \
		.kind = FIELD_CHOICE, .choice = performer_class_choice                             \
	}
/*
 * The class that the row gives in that column; without one that of the provider (0: none) on that
 * day. *who is of a class not known where the row says so, or nothing tells it.
 */
enum err import_performer(struct import_row *r, size_t column, int64_t provider, const char *on,
			  struct performer *who) MUST_CHECK;
/* Is the work open to who did it? The fault is of that column. */
enum err import_check_performer(struct import_row *r, size_t column, const struct performer *who,
				enum work work) MUST_CHECK;

/* The inspection that a row names in those columns, and it looked at the component. */
enum err import_inspected(struct import_row *r, size_t reference, size_t tag, int64_t component,
			  struct doc **seen) MUST_CHECK;

/*
 * The columns by which a row names a finding: its inspection, its part, and what it is and where.
 * import_named_finding reads them, beginning at the field `first`; *id is never 0.
 */
enum {
	NAMED_REFERENCE,
	NAMED_TAG,
	NAMED_POINT,
	NAMED_DEFECT,
	NAMED_ZONE,
	NAMED_FACE,
	NAMED_SIDE,
	NAMED_PLACE,
	NAMED_FIELDS
};
#define IMPORT_NAMED_FINDING                                                                       \
	{.name = "reference", .label = "Inspection", .kind = FIELD_TAG, .required = true},         \
	    {.name = "tag", .label = "Tag", .kind = FIELD_TAG, .required = true},                  \
	    {.name = "check_point", .label = "Check point", .kind = FIELD_TAG, .required = true},  \
	    {.name = "defect", .label = "Defect", .kind = FIELD_TAG, .required = true},            \
	    {.name = "zone", .label = "Zone", .kind = FIELD_TAG},                                  \
	    {.name = "face", .label = "Face", .kind = FIELD_CHOICE, .choice = face_choice},        \
	    {.name = "side", .label = "Side", .kind = FIELD_CHOICE, .choice = side_choice}, {      \
		.name = "place", .label = "Place", .kind = FIELD_TEXT                              \
	}
enum err import_named_finding(struct import_row *r, size_t first, int64_t component,
			      int64_t *id) MUST_CHECK;

/* What takes a row of each kind. */
enum err import_station(struct import_row *r) MUST_CHECK;
enum err import_member(struct import_row *r) MUST_CHECK;
enum err import_provider(struct import_row *r) MUST_CHECK;
enum err import_component(struct import_row *r) MUST_CHECK;
enum err import_issue(struct import_row *r) MUST_CHECK;
enum err import_cleaning(struct import_row *r) MUST_CHECK;
enum err import_inspection(struct import_row *r) MUST_CHECK;
enum err import_together(struct import_row *r) MUST_CHECK;
enum err import_finding(struct import_row *r) MUST_CHECK;
enum err import_repair(struct import_row *r) MUST_CHECK;
enum err import_quote(struct import_row *r) MUST_CHECK;
enum err import_price(struct import_row *r) MUST_CHECK;
enum err import_component_price(struct import_row *r) MUST_CHECK;
enum err import_exposure(struct import_row *r) MUST_CHECK;
enum err import_field_test(struct import_row *r) MUST_CHECK;
enum err import_fit_check(struct import_row *r) MUST_CHECK;
enum err import_safety_notice(struct import_row *r) MUST_CHECK;
enum err import_safety_answer(struct import_row *r) MUST_CHECK;
enum err import_hold(struct import_row *r) MUST_CHECK;
enum err import_custody(struct import_row *r) MUST_CHECK;

/* Columns of components beside those of their form; columns of history. */
enum {
	ROW_LINE = COMPONENT_FIELDS,
	ROW_HOLDER,
	ROW_ISSUED_ON,
	ROW_CONDITION,
	ROW_WITHDRAWN,
	ROW_RETIRED_ON,
	ROW_RETIRED_REASON,
	ROW_DISPOSED_ON,
	ROW_DISPOSAL,
	ROW_RETIRED_GROUND,
	ROW_RETIRED_BY,
	ROW_DISPOSAL_WAY,
	ROW_WITNESS,
	ROW_TRAINING_ON,
	ROW_TRAINING_BY,
	ROW_TRAINING_MARK,
	ROW_FIELDS
};
extern const struct resource import_component_columns; /* from ROW_LINE on */
extern const struct resource import_issue_columns;
extern const struct resource import_cleaning_columns;
extern const struct resource import_inspection_columns;
extern const struct resource import_together_columns;
extern const struct resource import_finding_columns;
extern const struct resource import_repair_columns;
extern const struct resource import_quote_columns;
extern const struct resource import_component_price_columns;
extern const struct resource import_exposure_columns;
extern const struct resource import_field_test_columns;
extern const struct resource import_fit_check_columns;
extern const struct resource import_safety_notice_columns;
extern const struct resource import_safety_answer_columns;
extern const struct resource import_hold_columns;
extern const struct resource import_custody_columns;

#endif
