#include "rules/kind.h"

#include <string.h>

bool kind_next_slot(const struct handbook *hb, enum hazard h, size_t *at, struct slot *slot) {
	size_t i = *at;
	while (i < hb->requirement_count && hb->requirement[i].hazard != h) i++;
	if (i == hb->requirement_count) return false;
	const struct requirement *first = &hb->requirement[i];
	*slot = (struct slot){.code = first->slot, .label = first->label, .alternative = first};
	for (; i < hb->requirement_count; i++) {
		const struct requirement *r = &hb->requirement[i];
		if (r->hazard != h || strcmp(r->slot, first->slot) != 0) break;
		slot->alternative_count++;
	}
	*at = i;
	return true;
}

bool slot_takes(const struct slot *slot, const struct kind *k, bool reflective) {
	for (size_t i = 0; i < slot->alternative_count; i++) {
		const struct requirement *r = &slot->alternative[i];
		if (r->kind != k) continue;
		if (r->reflective == WANTS_EITHER || (r->reflective == WANTS_YES) == reflective)
			return true;
	}
	return false;
}

bool kind_is_reflective(const struct kind *k) {
	return k->is_outer && !k->hazard[HAZARD_STRUCTURAL];
}

bool kind_is_beneath(const struct handbook *hb, const struct kind *a, const struct kind *b) {
	for (size_t i = 0; i < hb->beneath_count; i++)
		if (hb->beneath[i].kind == a && hb->beneath[i].beneath == b) return true;
	return false;
}

enum duty_code kind_thorough_duty(const struct kind *k) {
	return k->is_liner ? DUTY_LINER_INSPECTION : DUTY_ADVANCED_INSPECTION;
}

bool duty_done_by(enum duty_code duty, enum inspection_kind inspection) {
	switch (duty) {
	case DUTY_ROUTINE_INSPECTION: return true; /* every other one asks at least as much */
	case DUTY_ADVANCED_INSPECTION:
		return inspection == INSPECTION_ADVANCED || inspection == INSPECTION_LINER;
	case DUTY_LINER_INSPECTION: return inspection == INSPECTION_LINER;
	case DUTY_RETURN_INSPECTION: return inspection == INSPECTION_RETURN;
	default: return false; /* cleaning and retirement are no inspections */
	}
}
