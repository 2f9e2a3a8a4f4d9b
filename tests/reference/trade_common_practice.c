/*
 * Outcomes the trade treats as settled: common practice, no source. A department may tighten them,
 * and loosen only those that ask for a reason.
 */
#include "trade.h"

#include "rules/kind.h"
#include "rules/verdict.h"

static const struct {
	const char *kind, *point, *defect;
	const char *free;        /* outcomes without a reason, the default first */
	const char *with_reason; /* outcomes with one */
} settled[] = {
    {"faceshield", "reflective", "scratched", "replace retire", ""}, /* never repaired */
    {"faceshield", "reflective", "peeling", "replace retire", ""},
    {"faceshield", "reflective", "heat_damage", "replace retire", ""},
    {"faceshield", "reflective", "worn_spot", "replace retire", ""},
    {"faceshield", "vision", "scratched", "replace retire", "serve_on"},
    {"faceshield", "vision", "cracked", "replace retire", ""},
    {"helmet", "shell", "cracked", "retire", ""},
    {"helmet", "shell", "dented", "retire", ""},
    {"helmet", "shell", "bubble", "retire", ""},
    {"helmet", "shell", "soft_spot", "retire", ""},
    {"helmet", "shell", "contaminated", "retire", ""},
    {"helmet", "shell", "abrasion", "retire", "serve_on"}, /* superficial scuffs */
    {"helmet", "knobs", "loose", "repair replace retire", ""},
    {"helmet", "shield_moves", "does_not_lock", "repair replace retire", ""},
    {"helmet", "chin_strap", "does_not_hold", "repair replace retire", ""},
    {"helmet", "trim", "weak_flashlight", "repair replace retire", ""},
    {"helmet", "label", "unreadable", "ask_maker hold replace retire", "serve_on"},
    {"coat_shell", "label", "lifting", "ask_maker hold replace retire", "serve_on"},
    {"coat_shell", "belongs_together", "wrong_part", "hold replace retire", ""},
    {"coat_shell", "front_closure", "does_not_close", "repair replace retire", ""},
    {"coat_shell", "liner_attachments", "does_not_close", "repair replace retire", ""},
    {"coat_shell", "seams", "stitches_broken", "repair replace retire", ""},
    {"coat_shell", "seams", "seam_open", "repair replace retire", ""},
    {"coat_shell", "aluminized", "burnt", "repair replace retire", ""},
    {"coat_shell", "aluminized", "delaminated", "repair replace retire", ""},
    {"coat_shell", "reflection", "dull", "repair replace retire", "serve_on"},
    {"coat_shell", "reflection", "discolored", "serve_on ask_maker test repair replace retire", ""},
    {"overcover", "elastic", "elastic_weak", "repair replace retire", ""},
    {"shroud", "lining", "damaged", "repair replace retire", ""},
    {"drd", "strap", "cut", "replace retire", ""},
    {"hood", "heat", "burn_hole", "replace retire", ""},
};

START_TEST(outcomes_are_as_the_trade_has_them) {
	const struct subject_defect *d =
	    defect_at(settled[_i].kind, HAZARD_PROXIMITY, settled[_i].point, settled[_i].defect);
	struct allowed_outcome allowed[ALLOWED_OUTCOMES_MAX];
	size_t count = allowed_outcomes(d, allowed);
	const char *words[2] = {"", ""};
	for (size_t i = 0; i < count; i++) {
		const char **to = &words[allowed[i].needs_reason];
		*to =
		    arena_printf(&arena, "%s%s%s", *to, **to ? " " : "", allowed[i].outcome->code);
	}
	ck_assert_str_eq(words[0], settled[_i].free);
	ck_assert_str_eq(words[1], settled[_i].with_reason);
}
END_TEST

/* Brittle, cracked or burnt aluminized fabric makes the layers beneath due; dull film does
 * not. */
START_TEST(burnt_aluminized_fabric_makes_layers_beneath_due) {
	static const char *const kinds[] = {"coat_shell", "trouser_shell", "overcover", "shroud"};
	static const char *const beneath[] = {"coat_liner", "trouser_liner", "helmet", "hood"};
	static const char *const due_too[] = {"burnt", "cracked", "brittle"};
	for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
		for (size_t j = 0; j < sizeof due_too / sizeof *due_too; j++)
			ck_assert(defect_at(kinds[i], HAZARD_PROXIMITY, "aluminized", due_too[j])
				      ->beneath_due);
		ck_assert(
		    !defect_at(kinds[i], HAZARD_PROXIMITY, "reflection", "dull")->beneath_due);
		ck_assert(kind_is_beneath(hb, handbook_kind(hb, kinds[i]),
					  handbook_kind(hb, beneath[i])));
	}
}
END_TEST

TCase *trade_common_practice_case(void) {
	TCase *c = trade_case("common practice");
	tcase_add_loop_test(c, outcomes_are_as_the_trade_has_them, 0,
			    sizeof settled / sizeof *settled);
	tcase_add_test(c, burnt_aluminized_fabric_makes_layers_beneath_due);
	return c;
}
