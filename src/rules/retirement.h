/*
 * The end of a part: why it was retired, what became of it, and whether it may serve for
 * training until then.
 *
 * Grounds: the age limit of NFPA 1851, 10.1.2, as reported by trade press; the others from memory
 * of the same chapter. Retired gear is destroyed or disposed of so that nobody can use it for
 * firefighting or live fire training (from memory of 10.2; cutting it up is a department's policy).
 * Clean, sound ex-service gear that is clearly marked may serve for training without live fire:
 * Texas Administrative Code, title 37, section 427.207.
 */
#ifndef PEGWARDEN_RULES_RETIREMENT_H
#define PEGWARDEN_RULES_RETIREMENT_H

#include "rules/standing.h"

/* X(code, word, label); forms show them in this order. */
/* clang-format off */
#define RETIREMENT_GROUND_LIST(X) \
	X(AGE, "age", "Age limit reached") \
	X(MAKER_LIMIT, "maker_limit", "Maker's shorter limit reached") \
	X(BEYOND_REPAIR, "beyond_repair", "Worn or damaged beyond repair") \
	X(UNECONOMIC, "uneconomic", "Repair would cost more than it is worth") \
	X(CONTAMINATED, "contaminated", "Contamination that cannot be removed") \
	X(NOT_CERTIFIED, "not_certified", "No longer meets its certification or edition") \
	X(RECALL, "recall", "Recall or safety notice") \
	X(UNSAFE, "unsafe", "Unsafe for another reason, said in words") \
	X(LOST, "lost", "Lost") \
	X(REPLACED, "replaced", "Replaced by the provider instead of a repair") \
	X(OTHER, "other", "Another reason, said in words")

#define DISPOSAL_WAY_LIST(X) \
	X(DESTROYED, "destroyed", "Destroyed so that it cannot be used: cut up") \
	X(RETURNED, "returned", "Returned to a fire shop, maker or provider for destruction") \
	X(EVIDENCE, "evidence", "Handed over as evidence") \
	X(OTHER, "other", "Another way, said in words")

#define TRAINING_USE_LIST(X) \
	X(WITHOUT_FIRE, "non_live", "Training without live fire") \
	X(LIVE_FIRE, "live_fire", "Live fire training")
/* clang-format on */

#define RETIREMENT_GROUND_CODE(code, word, label) GROUND_##code,
enum retirement_ground { RETIREMENT_GROUND_LIST(RETIREMENT_GROUND_CODE) GROUND_COUNT };
extern const char *const retirement_ground_word[GROUND_COUNT];
extern const char *const retirement_ground_label[GROUND_COUNT];

#define DISPOSAL_WAY_CODE(code, word, label) DISPOSAL_##code,
enum disposal_way { DISPOSAL_WAY_LIST(DISPOSAL_WAY_CODE) DISPOSAL_COUNT };
extern const char *const disposal_way_word[DISPOSAL_COUNT];
extern const char *const disposal_way_label[DISPOSAL_COUNT];

#define TRAINING_USE_CODE(code, word, label) TRAINING_##code,
enum training_use { TRAINING_USE_LIST(TRAINING_USE_CODE) TRAINING_USES };

/* Where the ground, or the way, does not say it all, words must. */
bool retirement_needs_words(enum retirement_ground ground);
bool disposal_needs_words(enum disposal_way way);

/* One line for people: "Age limit reached", "Lost: at the harbour fire", or only the words where
 * the code is unknown (NULL, as of old records). words may be NULL or "". Arena memory. */
const char *retirement_text(const char *ground, const char *words, struct arena *a);
const char *disposal_text(const char *way, const char *words, struct arena *a);

/* Why nothing retired may be used so, whatever its state; NULL: such training is possible. */
const char *training_refusal(enum training_use use);

/*
 * Everything because of which this part may not serve for training without live fire: of the
 * blockers from where it stands those that speak of dirt, damage or doubt about it, and
 *   not_retired   what may still serve is no training gear
 *   disposed      it is gone
 *   ground        it was retired as damaged, contaminated, unsafe, recalled, replaced or lost
 *   came_back_soiled, came_back_damaged
 *                 as it was taken back last, and no cleaning, no advanced inspection since
 * Returns how many; list has room for TRAINING_OBSTACLES_MAX(blocker_count).
 */
#define TRAINING_OBSTACLES_MAX(blocker_count) ((blocker_count) + 5)
size_t training_obstacles(const struct component_facts *c, const struct blocker *blocker,
			  size_t blocker_count, struct blocker *list, struct arena *a);

#endif
