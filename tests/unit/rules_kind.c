#include "base/limits.h"
#include "rules.h"
#include "rules/fit.h"
#include "rules/kind.h"

static struct arena arena;
static const struct handbook *hb;

static void begin(void) {
	arena_init(&arena, LIMIT_ARENA_BYTES_MAX);
	hb = small_handbook(&arena);
}

static void end(void) { arena_clear(&arena); }

static const struct kind *kind(const char *code) { return handbook_kind(hb, code); }

START_TEST(slots_come_in_order_with_alternatives) {
	static const char *const expected[] = {"coat_shell", "coat_liner", "helmet", "eyes",
					       "hood"};
	struct slot slot;
	size_t at = 0, count = 0;
	while (kind_next_slot(hb, HAZARD_STRUCTURAL, &at, &slot)) {
		ck_assert_str_eq(slot.code, expected[count++]);
		if (count != 4) continue;
		ck_assert_uint_eq(slot.alternative_count, 2);
		ck_assert(slot_takes(&slot, kind("goggles"), false));
		ck_assert(slot_takes(&slot, kind("faceshield"), true));
		ck_assert(!slot_takes(&slot, kind("hood"), false));
	}
	ck_assert_uint_eq(count, 5);
	at = 0;
	ck_assert(kind_next_slot(hb, HAZARD_PROXIMITY, &at, &slot));
	ck_assert(slot_takes(&slot, kind("coat_shell"), true));
	ck_assert(!slot_takes(&slot, kind("coat_shell"), false));
}
END_TEST

START_TEST(knows_what_lies_beneath) {
	ck_assert(kind_is_beneath(hb, kind("coat_shell"), kind("coat_liner")));
	ck_assert(kind_is_beneath(hb, kind("overcover"), kind("helmet")));
	ck_assert(!kind_is_beneath(hb, kind("coat_liner"), kind("coat_shell")));
	ck_assert(!kind_is_beneath(hb, kind("coat_shell"), kind("helmet")));
}
END_TEST

START_TEST(inspections_fulfil_duties) {
	ck_assert_int_eq(kind_thorough_duty(kind("coat_liner")), DUTY_LINER_INSPECTION);
	ck_assert_int_eq(kind_thorough_duty(kind("helmet")), DUTY_ADVANCED_INSPECTION);
	ck_assert(duty_done_by(DUTY_ADVANCED_INSPECTION, INSPECTION_ADVANCED));
	ck_assert(duty_done_by(DUTY_ADVANCED_INSPECTION, INSPECTION_LINER));
	ck_assert(!duty_done_by(DUTY_ADVANCED_INSPECTION, INSPECTION_RETURN));
	ck_assert(!duty_done_by(DUTY_ADVANCED_INSPECTION, INSPECTION_ROUTINE));
	ck_assert(duty_done_by(DUTY_LINER_INSPECTION, INSPECTION_LINER));
	ck_assert(!duty_done_by(DUTY_LINER_INSPECTION, INSPECTION_ADVANCED));
	ck_assert(duty_done_by(DUTY_RETURN_INSPECTION, INSPECTION_RETURN));
	ck_assert(!duty_done_by(DUTY_RETURN_INSPECTION, INSPECTION_ADVANCED));
	ck_assert(duty_done_by(DUTY_ROUTINE_INSPECTION, INSPECTION_ROUTINE));
	ck_assert(!duty_done_by(DUTY_ADVANCED_CLEANING, INSPECTION_ADVANCED));
	ck_assert(!duty_done_by(DUTY_RETIREMENT, INSPECTION_ADVANCED));
}
END_TEST

static const struct {
	const char *part;
	struct label shell, label;
	enum fit fit;
} fits[] = {
    {"coat_liner", {"Norr", "A1", "42R"}, {"Norr", "A1", "42R"}, FIT_AGREES},
    {"coat_liner", {"Norr", "A1", "42R"}, {" norr ", "a1", "42r "}, FIT_AGREES},
    {"coat_liner", {"Norr", "A1", "42R"}, {"Oest", "A1", "42R"}, FIT_MAKER_DIFFERS},
    {"coat_liner", {"Norr", "A1", "42R"}, {"Norr", "A12", "42R"}, FIT_MODEL_DIFFERS},
    {"coat_liner", {"Norr", "A1", "42R"}, {"Norr", "A1", "44R"}, FIT_SIZE_DIFFERS},
    {"coat_liner", {"Norr", "A1", "42R"}, {"Norr", NULL, ""}, FIT_AGREES},
    {"coat_liner", {NULL, "", NULL}, {"Norr", "A1", "42R"}, FIT_AGREES},
    {"coat_liner", {"Norr", "  ", "42R"}, {"Norr", "A1", "   "}, FIT_AGREES},
    {"drd", {"Norr", "A1", "42R"}, {"Norr", "D7", "42R"}, FIT_AGREES},
    {"drd", {"Norr", "A1", "42R"}, {"Norr", "D7", "44R"}, FIT_SIZE_DIFFERS},
};

START_TEST(compares_what_must_agree) {
	const struct fit_rule *rule = fit_rule_find(hb, kind("coat_shell"), kind(fits[_i].part));
	ck_assert_ptr_nonnull(rule);
	ck_assert_int_eq(fit_compare(rule, &fits[_i].shell, &fits[_i].label), fits[_i].fit);
}
END_TEST

START_TEST(compares_only_what_the_rule_names) {
	const struct label a = {"Norr", "A1", "42R"}, b = {"Oest", "B1", "44R"};
	const struct fit_rule nothing = {.shell_code = "coat_shell", .part_code = "drd"};
	ck_assert_int_eq(fit_compare(&nothing, &a, &b), FIT_AGREES);
}
END_TEST

START_TEST(says_which_entries_differ) {
	static const struct {
		enum fit fit;
		const char *named;
	} expected[] = {{FIT_MAKER_DIFFERS, "maker \"Norr\" and \"Oest\""},
			{FIT_MODEL_DIFFERS, "model \"A1\" and \"B1\""},
			{FIT_SIZE_DIFFERS, "size \"42R\" and \"44R\""}};
	const struct label shell = {"Norr", "A1", "42R"}, part = {"Oest", "B1", "44R"};
	const struct fit_rule *rule = fit_rule_find(hb, kind("coat_shell"), kind("coat_liner"));
	for (size_t i = 0; i < 3; i++)
		ck_assert_ptr_nonnull(strstr(
		    fit_reason(expected[i].fit, rule, &shell, &part, &arena), expected[i].named));
	ck_assert_ptr_null(fit_reason(FIT_AGREES, rule, &shell, &part, &arena));
	ck_assert_ptr_null(fit_rule_find(hb, kind("coat_shell"), kind("hood")));
	ck_assert_ptr_null(fit_rule_find(hb, kind("hood"), kind("coat_liner")));
}
END_TEST

Suite *rules_kind_suite(void) {
	Suite *s = suite_create("rules/kind, rules/fit");
	TCase *c = tcase_create("kinds");
	tcase_add_checked_fixture(c, begin, end);
	tcase_add_test(c, slots_come_in_order_with_alternatives);
	tcase_add_test(c, knows_what_lies_beneath);
	tcase_add_test(c, inspections_fulfil_duties);
	tcase_add_loop_test(c, compares_what_must_agree, 0, sizeof fits / sizeof *fits);
	tcase_add_test(c, compares_only_what_the_rule_names);
	tcase_add_test(c, says_which_entries_differ);
	suite_add_tcase(s, c);
	return s;
}
