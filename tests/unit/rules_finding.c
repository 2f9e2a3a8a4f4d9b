#include "base/limits.h"
#include "rules.h"
#include "rules/verdict.h"

static struct arena arena;
static const struct handbook *hb;
static const struct checklist *list;
static struct fault_list faults;

static void begin(void) {
	arena_init(&arena, LIMIT_ARENA_BYTES_MAX);
	hb = small_handbook(&arena);
	list = handbook_checklist(hb, 2);
	faults = (struct fault_list){0};
}

static void end(void) { arena_clear(&arena); }

static const struct subject_defect *defect_at(const char *subject, const char *defect) {
	for (size_t i = 0; i < hb->subject_count; i++)
		if (strcmp(hb->subject[i].code, subject) == 0)
			return subject_defect_find(&hb->subject[i], defect);
	return NULL;
}

static struct finding good(void) {
	return (struct finding){.check_point = "fabric",
				.defect = "tear",
				.zone = "sleeve",
				.face = "front",
				.side = "outside",
				.severity = "minor",
				.outcome = "repair"};
}

static bool check(struct finding fd) { return finding_check(&fd, hb, list, &faults, &arena); }

/* Refused, because of this field and no other. */
static void refused(struct finding fd, const char *field) {
	faults = (struct fault_list){0};
	ck_assert(!check(fd));
	ck_assert_uint_eq(faults.total, 1);
	ck_assert_str_eq(faults.fault[0].field, field);
}

START_TEST(offers_every_outcome_with_a_reason) {
	struct allowed_outcome allowed[ALLOWED_OUTCOMES_MAX];
	struct handbook rows;
	small_handbook_rows(&rows, &arena);
	rows.subject_defect[0].with_reason_codes = "serve_on clean";
	ck_assert_int_eq(handbook_link(&rows, NULL), ERR_OK);
	ck_assert_uint_eq(allowed_outcomes(&rows.subject_defect[0], allowed), 5);
	ck_assert_str_eq(allowed[3].outcome->code, "serve_on");
	ck_assert_str_eq(allowed[4].outcome->code, "clean");
	ck_assert(allowed[3].needs_reason && allowed[4].needs_reason);
}
END_TEST

/* A basic repair of an inch at most; what was not measured is taken for too long. */
START_TEST(length_decides_who_may_mend) {
	static const struct {
		int length_mm;
		enum repair_class repair_class;
	} tears[] = {
	    {0, REPAIR_ADVANCED}, {1, REPAIR_BASIC}, {25, REPAIR_BASIC}, {26, REPAIR_ADVANCED}};
	for (size_t i = 0; i < sizeof tears / sizeof *tears; i++)
		ck_assert_int_eq(
		    finding_repair_class(defect_at("fabric", "tear"), tears[i].length_mm),
		    tears[i].repair_class);
}
END_TEST

START_TEST(offers_outcomes_in_order) {
	struct allowed_outcome allowed[ALLOWED_OUTCOMES_MAX];
	static const char *const expected[] = {"repair", "replace", "retire", "serve_on"};
	ck_assert_uint_eq(allowed_outcomes(defect_at("fabric", "tear"), allowed), 4);
	for (int i = 0; i < 4; i++) {
		ck_assert_str_eq(allowed[i].outcome->code, expected[i]);
		ck_assert_int_eq(allowed[i].is_default, i == 0);
		ck_assert_int_eq(allowed[i].needs_reason, i == 3);
	}
}
END_TEST

START_TEST(offers_no_way_around) {
	struct allowed_outcome allowed[ALLOWED_OUTCOMES_MAX];
	size_t count = allowed_outcomes(defect_at("shield", "scratched"), allowed);
	ck_assert_uint_eq(count, 2);
	ck_assert_str_eq(allowed[0].outcome->code, "replace");
	ck_assert_str_eq(allowed[1].outcome->code, "retire");
	ck_assert_uint_eq(allowed_outcomes(defect_at("shell", "cracked"), allowed), 1);
	ck_assert_str_eq(allowed[0].outcome->code, "retire");
}
END_TEST

START_TEST(accepts_a_good_one) {
	struct finding fd = good();
	ck_assert(check(fd));
	ck_assert_uint_eq(faults.total, 0);
	fd.zone = fd.face = fd.side = NULL; /* the place may be left open off the seams */
	ck_assert(check(fd));
	fd.face = "back"; /* the zone says nothing, so neither contradicts it */
	fd.side = "inside";
	ck_assert(check(fd));
}
END_TEST

START_TEST(refuses_unknown_words) {
	struct finding fd = good();
	fd.check_point = "tail";
	refused(fd, "check_point");
	fd.check_point = NULL;
	refused(fd, "check_point");
	fd = good();
	fd.defect = "scratched";
	refused(fd, "defect");
	fd.defect = NULL;
	refused(fd, "defect");
	fd = good();
	fd.zone = "crown";
	refused(fd, "zone");
	fd = good();
	fd.face = "top";
	refused(fd, "face");
	fd = good();
	fd.side = "top";
	refused(fd, "side");
	fd = good();
	fd.severity = "bad";
	refused(fd, "severity");
	fd.severity = NULL;
	refused(fd, "severity");
}
END_TEST

START_TEST(refuses_face_and_side_where_there_is_none) {
	struct finding fd = good();
	fd.zone = "chest";
	fd.side = NULL;
	refused(fd, "face");
	fd.face = NULL;
	fd.side = "inside";
	refused(fd, "side");
}
END_TEST

START_TEST(seam_needs_its_exact_place) {
	struct finding fd = {.check_point = "seam",
			     .defect = "stitches_broken",
			     .zone = "sleeve",
			     .face = "back",
			     .place = "a hand below the elbow, outer seam",
			     .severity = "major",
			     .outcome = "repair",
			     .length_mm = 30};
	ck_assert(check(fd));
	struct finding wrong = fd;
	wrong.place = "";
	refused(wrong, "place");
	wrong.place = NULL;
	refused(wrong, "place");
	wrong = fd;
	wrong.face = NULL;
	refused(wrong, "face");
	wrong.zone = NULL;
	refused(wrong, "zone");
	wrong.zone = "chest"; /* has no faces to name */
	faults = (struct fault_list){0};
	ck_assert(check(wrong));
}
END_TEST

START_TEST(outcome_must_be_allowed) {
	struct finding fd = good();
	fd.outcome = "clean";
	refused(fd, "outcome");
	fd.outcome = NULL;
	refused(fd, "outcome");
	fd.outcome = "tail";
	refused(fd, "outcome");
}
END_TEST

START_TEST(looser_needs_a_reason) {
	struct finding fd = good();
	fd.outcome = "serve_on";
	refused(fd, "override_reason");
	fd.override_reason = "";
	refused(fd, "override_reason");
	fd.override_reason = "Superficial; agreed with the provider on the phone.";
	faults = (struct fault_list){0};
	ck_assert(check(fd));
	fd.severity = "critical";
	refused(fd, "outcome");
	fd.outcome = "repair";
	faults = (struct fault_list){0};
	ck_assert(check(fd));
}
END_TEST

START_TEST(length_has_bounds) {
	struct finding fd = good();
	fd.length_mm = -1;
	refused(fd, "length_mm");
	fd.length_mm = 5001;
	refused(fd, "length_mm");
	fd.length_mm = 5000;
	faults = (struct fault_list){0};
	ck_assert(check(fd));
}
END_TEST

START_TEST(counts_every_fault) {
	struct finding fd = good();
	fd.severity = fd.outcome = fd.face = "tail";
	ck_assert(!check(fd));
	ck_assert_uint_eq(faults.total, 3);
	ck_assert_ptr_nonnull(fault_list_find(&faults, "face"));
	ck_assert(!check(fd)); /* faults from before do not matter */
}
END_TEST

START_TEST(classes_repairs) {
	const struct subject_defect *tear = defect_at("fabric", "tear");
	ck_assert_int_eq(finding_repair_class(tear, 25), REPAIR_BASIC);
	ck_assert_int_eq(finding_repair_class(tear, 26), REPAIR_ADVANCED);
	ck_assert_int_eq(finding_repair_class(tear, 0), REPAIR_ADVANCED); /* not measured */
	ck_assert_int_eq(finding_repair_class(defect_at("fabric", "burnt"), 1), REPAIR_ADVANCED);
	ck_assert_int_eq(finding_repair_class(defect_at("shell", "cracked"), 1), REPAIR_TRAINED);
	struct subject_defect snap = *tear;
	snap.basic_up_to_mm = 0;
	ck_assert_int_eq(finding_repair_class(&snap, 0), REPAIR_BASIC);
}
END_TEST

Suite *rules_finding_suite(void) {
	Suite *s = suite_create("rules/verdict: findings");
	TCase *c = tcase_create("findings");
	tcase_add_checked_fixture(c, begin, end);
	tcase_add_test(c, offers_outcomes_in_order);
	tcase_add_test(c, offers_no_way_around);
	tcase_add_test(c, accepts_a_good_one);
	tcase_add_test(c, refuses_unknown_words);
	tcase_add_test(c, refuses_face_and_side_where_there_is_none);
	tcase_add_test(c, seam_needs_its_exact_place);
	tcase_add_test(c, outcome_must_be_allowed);
	tcase_add_test(c, looser_needs_a_reason);
	tcase_add_test(c, length_has_bounds);
	tcase_add_test(c, counts_every_fault);
	tcase_add_test(c, classes_repairs);
	tcase_add_test(c, offers_every_outcome_with_a_reason);
	tcase_add_test(c, length_decides_who_may_mend);
	suite_add_tcase(s, c);
	return s;
}
