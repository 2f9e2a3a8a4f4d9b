/*
 * Component kinds: what makes a complete ensemble, and what lies beneath what.
 */
#ifndef PEGWARDEN_RULES_KIND_H
#define PEGWARDEN_RULES_KIND_H

#include "rules/handbook.h"

/*
 * The parts a complete ensemble needs against a hazard, slot by slot.
 * Structural: coat, trousers, footwear, gloves, helmet and hood (37 Tex. Admin.
 * Code 435.1), each with its separable parts. Proximity: the same with
 * reflective outer parts, overcover, shroud and reflective faceshield.
 */
struct slot {
	const char *code;
	const char *label;
	const struct requirement *alternative; /* any one of these fills it */
	size_t alternative_count;
};
/* The slot that begins at requirement row *at, and moves *at behind it; false
 * at the end of the hazard's rows. Start with *at = 0. */
bool kind_next_slot(const struct handbook *hb, enum hazard h, size_t *at, struct slot *slot);
#define SLOTS_MAX 24 /* of one hazard; handbook_link refuses more */

/* Can a part of this kind, reflective or not, fill the slot? */
bool slot_takes(const struct slot *slot, const struct kind *k, bool reflective);

/* Reflective whatever its record says: an outer layer that is worn against radiant heat only. */
bool kind_is_reflective(const struct kind *k);

/* Does b lie beneath a when worn? */
bool kind_is_beneath(const struct handbook *hb, const struct kind *a, const struct kind *b);
/* The duty that a thorough inspection of a part is: a liner is opened. */
enum duty_code kind_thorough_duty(const struct kind *k);
/* Does an inspection of this kind, of such a part, fulfil the duty? A complete
 * liner inspection asks everything the advanced one does, so it counts as both. */
bool duty_done_by(enum duty_code duty, enum inspection_kind inspection);

#endif
