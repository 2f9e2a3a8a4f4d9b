#include <string.h>

#include "base/limits.h"
#include "base/text.h"
#include "rules.h"
#include "rules/qualification.h"

static struct arena arena;
static void begin(void) { arena_init(&arena, LIMIT_ARENA_BYTES_MAX); }
static void end(void) { arena_clear(&arena); }

/* Words by which each source is known again; the last three are decided here. */
#define SHEET "inspection sheet, 2008 edition"
#define OPTIONS "How do I comply with NFPA 1851? Five options"
#define TRAINING "who may train, inspect and repair"
#define CATEGORIES "categories of verification"
#define LINERS "overview of inspections"
#define SPECIAL "specialized cleaning"
#define FIRST_LOOK "How to inspect firefighter gear for damage"
#define LESSER "Decided here: who may do the thorough work"
#define AS_ADVANCED "Decided here: as advanced cleaning"
#define UNNAMED "Decided here: no source names"

static const struct {
	enum performer_class performer;
	enum work work;
	bool allowed;
	const char *source, *confidence;
} cell[] = {
    {PERFORMER_MEMBER, WORK_ROUTINE_INSPECTION, true, SHEET, "high"},
    {PERFORMER_MEMBER, WORK_ROUTINE_CLEANING, true, FIRST_LOOK, "high"},
    {PERFORMER_MEMBER, WORK_ADVANCED_CLEANING, false, OPTIONS, "high"},
    {PERFORMER_MEMBER, WORK_SANITIZATION, false, CATEGORIES, "medium"},
    {PERFORMER_MEMBER, WORK_SPECIALIZED_CLEANING, false, SPECIAL, "medium"},
    {PERFORMER_MEMBER, WORK_ADVANCED_INSPECTION, false, OPTIONS, "high"},
    {PERFORMER_MEMBER, WORK_LINER_INSPECTION, false, LINERS, "medium"},
    {PERFORMER_MEMBER, WORK_BASIC_REPAIR, false, OPTIONS, "high"},
    {PERFORMER_MEMBER, WORK_ADVANCED_REPAIR, false, OPTIONS, "high"},
    {PERFORMER_TRAINED_ORGANIZATION, WORK_ROUTINE_INSPECTION, true, LESSER, "medium"},
    {PERFORMER_TRAINED_ORGANIZATION, WORK_ROUTINE_CLEANING, true, LESSER, "medium"},
    {PERFORMER_TRAINED_ORGANIZATION, WORK_ADVANCED_CLEANING, true, OPTIONS, "high"},
    {PERFORMER_TRAINED_ORGANIZATION, WORK_SANITIZATION, false, UNNAMED, "medium"},
    {PERFORMER_TRAINED_ORGANIZATION, WORK_SPECIALIZED_CLEANING, true, SPECIAL, "medium"},
    {PERFORMER_TRAINED_ORGANIZATION, WORK_ADVANCED_INSPECTION, true, TRAINING, "high"},
    {PERFORMER_TRAINED_ORGANIZATION, WORK_LINER_INSPECTION, true, LINERS, "medium"},
    {PERFORMER_TRAINED_ORGANIZATION, WORK_BASIC_REPAIR, true, OPTIONS, "high"},
    {PERFORMER_TRAINED_ORGANIZATION, WORK_ADVANCED_REPAIR, false, OPTIONS, "high"},
    {PERFORMER_VERIFIED_ORGANIZATION, WORK_ROUTINE_INSPECTION, true, OPTIONS, "high"},
    {PERFORMER_VERIFIED_ORGANIZATION, WORK_ROUTINE_CLEANING, true, OPTIONS, "high"},
    {PERFORMER_VERIFIED_ORGANIZATION, WORK_ADVANCED_CLEANING, true, OPTIONS, "high"},
    {PERFORMER_VERIFIED_ORGANIZATION, WORK_SANITIZATION, true, OPTIONS, "high"},
    {PERFORMER_VERIFIED_ORGANIZATION, WORK_SPECIALIZED_CLEANING, true, OPTIONS, "high"},
    {PERFORMER_VERIFIED_ORGANIZATION, WORK_ADVANCED_INSPECTION, true, OPTIONS, "high"},
    {PERFORMER_VERIFIED_ORGANIZATION, WORK_LINER_INSPECTION, true, OPTIONS, "high"},
    {PERFORMER_VERIFIED_ORGANIZATION, WORK_BASIC_REPAIR, true, OPTIONS, "high"},
    {PERFORMER_VERIFIED_ORGANIZATION, WORK_ADVANCED_REPAIR, true, OPTIONS, "high"},
    {PERFORMER_VERIFIED_PROVIDER, WORK_ROUTINE_INSPECTION, true, LESSER, "medium"},
    {PERFORMER_VERIFIED_PROVIDER, WORK_ROUTINE_CLEANING, true, LESSER, "medium"},
    {PERFORMER_VERIFIED_PROVIDER, WORK_ADVANCED_CLEANING, true, OPTIONS, "high"},
    {PERFORMER_VERIFIED_PROVIDER, WORK_SANITIZATION, true, CATEGORIES, "medium"},
    {PERFORMER_VERIFIED_PROVIDER, WORK_SPECIALIZED_CLEANING, true, AS_ADVANCED, "medium"},
    {PERFORMER_VERIFIED_PROVIDER, WORK_ADVANCED_INSPECTION, true, OPTIONS, "high"},
    {PERFORMER_VERIFIED_PROVIDER, WORK_LINER_INSPECTION, true, LINERS, "medium"},
    {PERFORMER_VERIFIED_PROVIDER, WORK_BASIC_REPAIR, true, OPTIONS, "high"},
    {PERFORMER_VERIFIED_PROVIDER, WORK_ADVANCED_REPAIR, true, OPTIONS, "high"},
    {PERFORMER_VERIFIED_CLEANER, WORK_ROUTINE_INSPECTION, false, CATEGORIES, "medium"},
    {PERFORMER_VERIFIED_CLEANER, WORK_ROUTINE_CLEANING, true, LESSER, "medium"},
    {PERFORMER_VERIFIED_CLEANER, WORK_ADVANCED_CLEANING, true, CATEGORIES, "medium"},
    {PERFORMER_VERIFIED_CLEANER, WORK_SANITIZATION, true, CATEGORIES, "medium"},
    {PERFORMER_VERIFIED_CLEANER, WORK_SPECIALIZED_CLEANING, false, CATEGORIES, "medium"},
    {PERFORMER_VERIFIED_CLEANER, WORK_ADVANCED_INSPECTION, false, CATEGORIES, "medium"},
    {PERFORMER_VERIFIED_CLEANER, WORK_LINER_INSPECTION, false, CATEGORIES, "medium"},
    {PERFORMER_VERIFIED_CLEANER, WORK_BASIC_REPAIR, false, CATEGORIES, "medium"},
    {PERFORMER_VERIFIED_CLEANER, WORK_ADVANCED_REPAIR, false, CATEGORIES, "medium"},
    {PERFORMER_MANUFACTURER, WORK_ROUTINE_INSPECTION, true, OPTIONS, "high"},
    {PERFORMER_MANUFACTURER, WORK_ROUTINE_CLEANING, true, OPTIONS, "high"},
    {PERFORMER_MANUFACTURER, WORK_ADVANCED_CLEANING, true, OPTIONS, "high"},
    {PERFORMER_MANUFACTURER, WORK_SANITIZATION, true, OPTIONS, "high"},
    {PERFORMER_MANUFACTURER, WORK_SPECIALIZED_CLEANING, true, OPTIONS, "high"},
    {PERFORMER_MANUFACTURER, WORK_ADVANCED_INSPECTION, true, OPTIONS, "high"},
    {PERFORMER_MANUFACTURER, WORK_LINER_INSPECTION, true, OPTIONS, "high"},
    {PERFORMER_MANUFACTURER, WORK_BASIC_REPAIR, true, OPTIONS, "high"},
    {PERFORMER_MANUFACTURER, WORK_ADVANCED_REPAIR, true, OPTIONS, "high"},
};
#define CELLS (sizeof cell / sizeof *cell)

START_TEST(each_cell_of_the_table) {
	const struct qualification *q = qualification_of(cell[_i].performer, cell[_i].work);
	const char *no =
	    qualification_refusal("Somebody", cell[_i].performer, cell[_i].work, &arena);
	const char *which = arena_printf(&arena, "%s, %s", performer_class_word[cell[_i].performer],
					 work_word[cell[_i].work]);
	ck_assert_msg(q->allowed == cell[_i].allowed, "%s", which);
	ck_assert_msg(strstr(q->source, cell[_i].source) != NULL, "%s: %s", which, q->source);
	ck_assert_msg(text_equal(q->confidence, cell[_i].confidence), "%s", which);
	ck_assert_msg(!no == cell[_i].allowed, "%s", which);
	if (!no) return;
	/* who, of which class, which work, by which rule, from where; as one fault can hold it */
	const char *part[] = {"Somebody (", performer_class_remark[cell[_i].performer],
			      work_label[cell[_i].work], qualification_rule(cell[_i].performer),
			      cell[_i].source};
	for (size_t i = 0; i < sizeof part / sizeof *part; i++)
		ck_assert_msg(strstr(no, part[i]) != NULL, "%s: %s", which, no);
	ck_assert_uint_lt(strlen(no), sizeof(struct fault){0}.message - 180);
}
END_TEST

START_TEST(the_table_has_each_cell_once) {
	bool seen[PERFORMER_CLASS_COUNT][WORK_COUNT] = {{false}};
	for (size_t i = 0; i < CELLS; i++) {
		ck_assert(!seen[cell[i].performer][cell[i].work]);
		seen[cell[i].performer][cell[i].work] = true;
	}
	ck_assert_uint_eq(CELLS, (size_t)PERFORMER_CLASS_COUNT * WORK_COUNT);
}
END_TEST

START_TEST(works_of_inspections_and_cleanings) {
	ck_assert_int_eq(work_of_inspection(INSPECTION_ROUTINE), WORK_ROUTINE_INSPECTION);
	ck_assert_int_eq(work_of_inspection(INSPECTION_ADVANCED), WORK_ADVANCED_INSPECTION);
	ck_assert_int_eq(work_of_inspection(INSPECTION_LINER), WORK_LINER_INSPECTION);
	ck_assert_int_eq(work_of_inspection(INSPECTION_RETURN), WORK_ADVANCED_INSPECTION);
	ck_assert_int_eq(work_of_cleaning("routine"), WORK_ROUTINE_CLEANING);
	ck_assert_int_eq(work_of_cleaning("advanced"), WORK_ADVANCED_CLEANING);
	ck_assert_int_eq(work_of_cleaning("specialized"), WORK_SPECIALIZED_CLEANING);
	ck_assert_int_eq(work_of_cleaning(NULL), WORK_SPECIALIZED_CLEANING);
}
END_TEST

/* The water test belongs to the complete liner inspection, light and leakage to the advanced one: a
 * service provider's overview of inspections. */
START_TEST(works_of_field_tests) {
	for (int t = 0; t < TEST_COUNT; t++) {
		enum work work = WORK_COUNT;
		bool is = work_of_field_test((enum field_test_sort)t, &work);
		ck_assert_int_eq(is, t != TEST_LABORATORY);
		ck_assert_int_eq(work, t == TEST_LABORATORY ? WORK_COUNT
				       : t == TEST_WATER    ? WORK_LINER_INSPECTION
							    : WORK_ADVANCED_INSPECTION);
	}
}
END_TEST

START_TEST(works_of_tickets) {
	static const struct {
		const char *outcome;
		enum repair_class repair;
		enum work work;
	} asked[] = {
	    {"clean", REPAIR_ADVANCED, WORK_ADVANCED_CLEANING},
	    {"repair", REPAIR_TRAINED, WORK_BASIC_REPAIR},
	    {"repair", REPAIR_BASIC, WORK_BASIC_REPAIR},
	    {"repair", REPAIR_ADVANCED, WORK_ADVANCED_REPAIR},
	    {"renew", REPAIR_ADVANCED, WORK_ADVANCED_REPAIR},
	    {"replace", REPAIR_ADVANCED, WORK_BASIC_REPAIR},
	    {"test", REPAIR_BASIC, WORK_ADVANCED_INSPECTION},
	    {"ask_maker", REPAIR_BASIC, WORK_ADVANCED_INSPECTION},
	};
	for (size_t i = 0; i < sizeof asked / sizeof *asked; i++)
		ck_assert_int_eq(work_of_outcome(asked[i].outcome, asked[i].repair), asked[i].work);
	enum work done = WORK_COUNT;
	ck_assert(!work_of_result(NULL, WORK_ADVANCED_REPAIR, &done));
	ck_assert(!work_of_result("not_repaired", WORK_ADVANCED_REPAIR, &done));
	ck_assert_int_eq(done, WORK_COUNT);
	ck_assert(work_of_result("repaired", WORK_ADVANCED_REPAIR, &done));
	ck_assert_int_eq(done, WORK_ADVANCED_REPAIR);
	ck_assert(work_of_result("replaced", WORK_ADVANCED_REPAIR, &done));
	ck_assert_int_eq(done, WORK_BASIC_REPAIR);
	ck_assert(work_of_result("no_fault_found", WORK_ADVANCED_CLEANING, &done));
	ck_assert_int_eq(done, WORK_ADVANCED_INSPECTION);
}
END_TEST

/* The last day of a training or a verification is still one of it: decided here. */
START_TEST(classes_of_one_day) {
	day until = on("2026-06-30");
	ck_assert_int_eq(performer_of_department(until, false, until),
			 PERFORMER_TRAINED_ORGANIZATION);
	ck_assert_int_eq(performer_of_department(until, true, until),
			 PERFORMER_VERIFIED_ORGANIZATION);
	ck_assert_int_eq(performer_of_department(until, true, until + 1), PERFORMER_MEMBER);
	ck_assert_int_eq(performer_of_department(DAY_NONE, true, until), PERFORMER_MEMBER);
	struct provider_standing p = {.class_word = "verified_cleaner", .verified_until = until};
	enum performer_class class = PERFORMER_CLASS_COUNT;
	ck_assert(performer_of_provider(&p, true, until, &class));
	ck_assert_int_eq(class, PERFORMER_VERIFIED_CLEANER);
	ck_assert(!performer_of_provider(&p, true, until + 1, &class));
	p.verified_until = DAY_NONE;
	ck_assert(performer_of_provider(&p, true, until + 1, &class));
	p.class_word = "somebody";
	ck_assert(!performer_of_provider(&p, true, until, &class));
	p.class_word = NULL;
	ck_assert(!performer_of_provider(&p, true, until, &class));
	ck_assert_int_eq(class, PERFORMER_VERIFIED_CLEANER); /* left alone */
}
END_TEST

/* The department's own workshop is of the department's class; another's is not. */
START_TEST(the_workshop_is_of_the_department) {
	struct provider_standing p = {.class_word = "trained_organization",
				      .verified_until = DAY_NONE};
	enum performer_class class;
	ck_assert(performer_of_provider(&p, true, on("2026-06-30"), &class));
	ck_assert_int_eq(class, PERFORMER_TRAINED_ORGANIZATION);
	p.in_house = true;
	ck_assert(performer_of_provider(&p, true, on("2026-06-30"), &class));
	ck_assert_int_eq(class, PERFORMER_VERIFIED_ORGANIZATION);
	ck_assert(performer_of_provider(&p, false, on("2026-06-30"), &class));
	ck_assert_int_eq(class, PERFORMER_TRAINED_ORGANIZATION);
}
END_TEST

Suite *rules_qualification_suite(void) {
	Suite *suite = suite_create("rules/qualification");
	TCase *c = tcase_create("all");
	tcase_add_checked_fixture(c, begin, end);
	tcase_add_loop_test(c, each_cell_of_the_table, 0, CELLS);
	tcase_add_test(c, the_table_has_each_cell_once);
	tcase_add_test(c, works_of_inspections_and_cleanings);
	tcase_add_test(c, works_of_field_tests);
	tcase_add_test(c, works_of_tickets);
	tcase_add_test(c, classes_of_one_day);
	tcase_add_test(c, the_workshop_is_of_the_department);
	suite_add_tcase(suite, c);
	return suite;
}
