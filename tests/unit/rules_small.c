#include "rules.h"

static const struct kind kinds[] = {
    {"coat_shell", "Coat shell", "coat", {true, true}, true, true, false, true, false, 0},
    {"coat_liner", "Coat liner", "coat", {true, true}, true, false, true, true, false, 0},
    {"drd", "Drag rescue device", "coat", {true, true}, true, false, false, true, false, 0},
    {"overcover", "Helmet overcover", "helmet", {false, true}, true, true, false, true, false, 0},
    {"helmet", "Helmet", "helmet", {true, true}, false, false, false, false, true, 0},
    {"faceshield", "Faceshield", "helmet", {true, true}, true, false, false, false, true, 0},
    {"goggles", "Goggles", "helmet", {true, false}, true, false, false, false, true, 0},
    {"hood", "Hood", "hood", {true, true}, false, false, false, true, false, 0},
};

static const struct beneath beneaths[] = {
    {"coat_shell", "coat_liner", NULL, NULL},
    {"coat_shell", "drd", NULL, NULL},
    {"overcover", "helmet", NULL, NULL},
};

static const struct fit_rule fits[] = {
    {"coat_shell", "coat_liner", true, true, true, NULL, NULL},
    {"coat_shell", "drd", true, false, true, NULL, NULL},
};

static const struct zone zones[] = {
    {"coat_shell", "sleeve", "Sleeve", true, true, NULL},
    {"coat_shell", "chest", "Chest", false, false, NULL},
    {"helmet", "crown", "Crown", false, true, NULL},
};

static const struct defect defects[] = {
    {"burnt", "Burnt"},           {"cracked", "Cracked"},
    {"missing", "Missing"},       {"scratched", "Scratched"},
    {"soiled", "Soiled"},         {"stitches_broken", "Stitches broken"},
    {"tear", "Rip, tear or cut"}, {"unreadable", "Unreadable"},
};

static const struct outcome outcomes[] = {
    {"serve_on", "May serve on", 0, false, false, false, CLOSED_BY_NOTHING},
    {"clean", "Clean", 1, true, true, false, CLOSED_BY_CLEANING},
    {"repair", "Repair", 2, true, true, false, CLOSED_BY_RETURN},
    {"ask_maker", "Ask the maker", 2, true, true, false, CLOSED_BY_ANSWER},
    {"replace", "Replace", 4, true, true, false, CLOSED_BY_RETIREMENT},
    {"retire", "Retire", 5, true, false, true, CLOSED_BY_RETIREMENT},
};

static const struct subject subjects[] = {
    {"fabric", "Fabric", NULL, 0},
    {"label", "Labels", NULL, 0},
    {"seam", "Seams", NULL, 0},
    {"shell", "Helmet shell", NULL, 0},
    {"shield", "Reflective faceshield", NULL, 0},
};

#define NO_LINKS .subject = NULL
static const struct subject_defect subject_defects[] = {
    {"fabric", "burnt", "repair", "replace retire", "", SEVERITY_CRITICAL, REPAIR_ADVANCED, 0, true,
     "common practice, no source", NO_LINKS},
    {"fabric", "tear", "repair", "replace retire", "serve_on", SEVERITY_MAJOR, REPAIR_BASIC, 25,
     false, "common practice, no source", NO_LINKS},
    {"fabric", "soiled", "clean", "retire", "serve_on", SEVERITY_MINOR, REPAIR_TRAINED, 0, false,
     "common practice, no source", NO_LINKS},
    {"label", "unreadable", "ask_maker", "", "serve_on", SEVERITY_MAJOR, REPAIR_TRAINED, 0, false,
     "common practice, no source", NO_LINKS},
    {"seam", "stitches_broken", "repair", "", "", SEVERITY_MAJOR, REPAIR_BASIC, 25, false,
     "common practice, no source", NO_LINKS},
    {"shell", "cracked", "retire", "", "", SEVERITY_CRITICAL, REPAIR_TRAINED, 0, false,
     "common practice, no source", NO_LINKS},
    {"shield", "scratched", "replace", "retire", "", SEVERITY_MAJOR, REPAIR_TRAINED, 0, false,
     "common practice, no source", NO_LINKS},
};

static const struct checklist checklists[] = {
    {1, "coat_shell", HAZARD_PROXIMITY, 1, "2020-01-01", NULL, NULL, 0},
    {2, "coat_shell", HAZARD_PROXIMITY, 2, "2024-01-01", NULL, NULL, 0},
    {3, "helmet", HAZARD_PROXIMITY, 1, "2020-01-01", NULL, NULL, 0},
};

/* Asked in: routine, advanced, liner, return. */
#define ALWAYS                                                                                     \
	{ true, true, true, true }
#define TRAINED                                                                                    \
	{ false, true, true, false }
#define OPENED                                                                                     \
	{ false, false, true, false }
static const struct check_point points[] = {
    {1, "label", "labels", "Labels", "Label", "", "", NULL, "", "label", false, WANTS_EITHER, false,
     false, ALWAYS, NULL, 0},
    {2, "label", "labels", "Labels", "Label", "", "", NULL, "", "label", false, WANTS_EITHER, false,
     false, ALWAYS, NULL, 0},
    {2, "fabric", "fabric", "Fabric", "Fabric", "", "", NULL, "", "fabric", false, WANTS_NO, false,
     false, TRAINED, NULL, 0},
    {2, "aluminized", "fabric", "Fabric", "Aluminized fabric", "", "", NULL, "", "fabric", false,
     WANTS_YES, false, false, TRAINED, NULL, 0},
    {2, "seam", "seams", "Seams", "Seams", "", "", NULL, "", "seam", false, WANTS_EITHER, true,
     false, TRAINED, NULL, 0},
    {2, "trim", "trim", "Trim", "Trim", "", "", NULL, "", "fabric", true, WANTS_EITHER, false, true,
     TRAINED, NULL, 0},
    {2, "tab", "details", "Details", "Radio tab", "", "", NULL, "", "fabric", false, WANTS_EITHER,
     false, true, TRAINED, NULL, 0},
    {2, "inner", "opened", "Opened", "Inner face", "", "", NULL, "", "fabric", false, WANTS_EITHER,
     false, false, OPENED, NULL, 0},
    {3, "shell", "shell", "Shell", "Shell", "", "", NULL, "", "shell", false, WANTS_EITHER, false,
     false, ALWAYS, NULL, 0},
};

static const struct duty_kind duties[] = {
    {"routine_inspection", "Routine inspection", false},
    {"advanced_inspection", "Advanced inspection", true},
    {"advanced_cleaning", "Advanced cleaning", false},
    {"liner_inspection", "Complete liner inspection", true},
    {"return_inspection", "Return inspection", true},
    {"retirement", "Retirement", true},
    {"specialized_cleaning", "Specialized cleaning", true},
    {"leak_test", "Leakage or water test", true},
    {"drd_check", "Drag rescue device check", false},
};

static const struct rule_set sets[] = {
    {"ours", "Ours", true, "", NULL, 0},
    {"other", "Other", false, "", NULL, 0},
};

#define ANY WANTS_EITHER, WANTS_EITHER, WANTS_EITHER, WANTS_EITHER
static const struct rule rules[] = {
    {"ours", "advanced", "", "advanced_inspection", NULL, ANY, 12, 0, 0, "", "high", 0, NULL, 0},
    {"ours", "cleaning", "", "advanced_cleaning", NULL, ANY, 6, 0, 2, "", "high", 0, NULL, 0},
    {"ours", "liner", "", "liner_inspection", NULL, WANTS_EITHER, WANTS_YES, WANTS_EITHER,
     WANTS_EITHER, 36, 12, 0, "", "high", 0, NULL, 0},
    {"ours", "liner_cbrn", "", "liner_inspection", NULL, WANTS_EITHER, WANTS_YES, WANTS_EITHER,
     WANTS_YES, 24, 12, 0, "", "high", 0, NULL, 0},
    {"ours", "life", "", "retirement", NULL, ANY, 120, 0, 0, "", "high", 0, NULL, 0},
    {"ours", "life_reflective", "", "retirement", NULL, WANTS_YES, WANTS_EITHER, WANTS_YES,
     WANTS_EITHER, 60, 0, 0, "", "high", 0, NULL, 0},
    {"ours", "life_hood", "", "retirement", "hood", ANY, 48, 0, 0, "", "high", 0, NULL, 0},
    {"ours", "routine", "", "routine_inspection", NULL, ANY, 0, 0, 0, "", "high", 0, NULL, 0},
    {"other", "advanced", "", "advanced_inspection", NULL, ANY, 6, 0, 0, "", "high", 0, NULL, 0},
    {"other", "cleaning", "", "advanced_cleaning", NULL, ANY, 12, 0, 1, "", "high", 0, NULL, 0},
    {"other", "cleaning_again", "", "advanced_cleaning", NULL, ANY, 9, 0, 1, "", "high", 0, NULL,
     0},
    {"other", "cleaning_none", "", "advanced_cleaning", NULL, ANY, 0, 0, 0, "", "high", 0, NULL, 0},
};

static const struct requirement requirements[] = {
    {HAZARD_STRUCTURAL, "coat_shell", "Coat shell", "coat_shell", WANTS_EITHER, NULL},
    {HAZARD_STRUCTURAL, "coat_liner", "Coat liner", "coat_liner", WANTS_EITHER, NULL},
    {HAZARD_STRUCTURAL, "helmet", "Helmet", "helmet", WANTS_EITHER, NULL},
    {HAZARD_STRUCTURAL, "eyes", "Faceshield or goggles", "faceshield", WANTS_EITHER, NULL},
    {HAZARD_STRUCTURAL, "eyes", "Faceshield or goggles", "goggles", WANTS_EITHER, NULL},
    {HAZARD_STRUCTURAL, "hood", "Hood", "hood", WANTS_EITHER, NULL},
    {HAZARD_PROXIMITY, "coat_shell", "Reflective coat shell", "coat_shell", WANTS_YES, NULL},
    {HAZARD_PROXIMITY, "overcover", "Overcover", "overcover", WANTS_EITHER, NULL},
};

#define AT_LEAST(code, unit, thousandths)                                                          \
	{ code, code, unit, true, thousandths, "", "high" }
#define AT_MOST(code, unit, thousandths)                                                           \
	{ code, code, unit, false, thousandths, "", "high" }
static const struct limit_value limits[] = {
    AT_LEAST("trim_distance", UNIT_METRE, 12000),
    AT_MOST("mix_weakest", UNIT_PARTS, 6500),
    AT_LEAST("mix_strongest", UNIT_PARTS, 5500),
    AT_LEAST("leak_amount", UNIT_MILLILITRE, 236000),
    AT_LEAST("leak_time", UNIT_SECOND, 180000),
    AT_LEAST("water_pressure", UNIT_PSI, 1000),
    AT_LEAST("water_time", UNIT_SECOND, 15000),
    AT_MOST("cuff_gap", UNIT_INCH, 1000),
    AT_MOST("hem_gap", UNIT_INCH, 3000),
    AT_LEAST("overlap", UNIT_CENTIMETRE, 5000),
    AT_MOST("wash_water", UNIT_FAHRENHEIT, 105000),
    AT_LEAST("ph_least", UNIT_PH, 6000),
    AT_MOST("ph_most", UNIT_PH, 10500),
    AT_MOST("extraction", UNIT_G, 100000),
    AT_MOST("drying_air", UNIT_FAHRENHEIT, 105000),
    AT_MOST("load", UNIT_PERCENT, 75000),
    AT_LEAST("leg_least", UNIT_INCH, 6000),
    AT_MOST("leg_most", UNIT_INCH, 10000),
    AT_LEAST("lab_tpp", UNIT_CALORIES_PER_CM2, 35000),
    AT_LEAST("lab_thl", UNIT_WATTS_PER_M2, 205000),
    AT_LEAST("lab_hood_tpp", UNIT_CALORIES_PER_CM2, 20000),
    AT_LEAST("lab_rpp", UNIT_SECOND, 20000),
    AT_LEAST("lab_reflection", UNIT_CANDELAS_PER_LUX_M2, 100000),
    AT_LEAST("lab_tear_shell", UNIT_NEWTON, 100000),
    AT_LEAST("lab_tear_liner", UNIT_NEWTON, 22000),
    AT_LEAST("lab_shell_strength", UNIT_NEWTON, 623000),
    AT_LEAST("lab_seam_a", UNIT_NEWTON, 667000),
    AT_LEAST("lab_seam_b", UNIT_NEWTON, 334000),
    AT_LEAST("lab_seam_minor", UNIT_NEWTON, 180000),
    AT_LEAST("lab_water", UNIT_PSI, 25000),
    AT_MOST("lab_char", UNIT_INCH, 4000),
    AT_MOST("lab_after_flame", UNIT_SECOND, 2000),
    AT_MOST("lab_shrinkage", UNIT_PERCENT, 10000),
};

#define COPY(rows)                                                                                 \
	memcpy(arena_alloc(a, sizeof(rows)), (rows), sizeof(rows)), sizeof(rows) / sizeof *(rows)

void small_handbook_rows(struct handbook *hb, struct arena *a) {
	*hb = (struct handbook){COPY(kinds),    COPY(beneaths),        COPY(fits),
				COPY(zones),    COPY(defects),         COPY(outcomes),
				COPY(subjects), COPY(subject_defects), COPY(checklists),
				COPY(points),   COPY(duties),          COPY(sets),
				COPY(rules),    COPY(requirements),    COPY(limits)};
}

const struct handbook *small_handbook(struct arena *a) {
	struct handbook *hb = arena_new(a, struct handbook);
	struct fault f = {.code = ERR_OK};
	small_handbook_rows(hb, a);
	ck_assert_msg(handbook_link(hb, &f) == ERR_OK, "%s", f.message);
	return hb;
}

void small_program(struct program *p, const struct handbook *hb, const char *set, struct arena *a) {
	const struct program_setting setting = {"rule_set", set};
	ck_assert_int_eq(program_init(p, hb, &setting, 1, a, NULL), ERR_OK);
}

struct component_facts no_facts(const struct handbook *hb, const char *kind) {
	struct component_facts c = component_facts_none();
	c.kind = handbook_kind(hb, kind);
	c.is_identified = true;
	ck_assert_ptr_nonnull(c.kind);
	return c;
}

day on(const char *text) {
	day d = day_parse(text);
	ck_assert_int_ne(d, DAY_NONE);
	return d;
}
