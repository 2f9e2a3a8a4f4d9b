/*
 * The interface check: where two elements of the outfit meet, does skin or a gap show?
 *
 * Asked once of a member who wears the whole outfit, not of each part by itself: reaching,
 * bending, kneeling and crawling (maker's user information guide, structural and proximity
 * garments). A gap is a finding of fit and of no part, so it makes no repair ticket: the member
 * is not ready against that hazard until a check of a later day shows that interface closed. The
 * overlap of coat and trousers is measured too, and one that is too short is a gap. How far the
 * legs fall over the boots is only told beside what is usual (trade press): a leg that rides up is
 * seen when kneeling.
 */
#ifndef PEGWARDEN_RULES_FIT_CHECK_H
#define PEGWARDEN_RULES_FIT_CHECK_H

#include "base/day.h"
#include "rules/program.h"

/* Each with its word (a column of tables, a field of forms), its name, and what is looked for. */
/* clang-format off */
#define INTERFACE_LIST(X) \
	X(COAT_TROUSERS, "coat_trousers", "Coat and trousers", \
	  "Skin or a gap at the waist, in front and behind.") \
	X(HOOD_COLLAR, "hood_collar", "Hood and coat collar", "Skin at the neck, all around.") \
	X(HOOD_FACEPIECE, "hood_facepiece", "Hood and facepiece", \
	  "Skin along the seal of the facepiece of the breathing apparatus.") \
	X(GLOVE_SLEEVE, "glove_sleeve", "Gloves and wristlets or sleeves", "Skin at the wrists.") \
	X(TROUSERS_BOOTS, "trousers_boots", "Trousers and boots", \
	  "A leg that rides up above the boot.") \
	X(HELMET_HOOD, "helmet_hood", "Helmet and hood or ear covers", \
	  "Skin at the ears or the neck.") \
	/* of proximity outfits */ \
	X(SHROUD_COAT, "shroud_coat", "Shroud and coat", "A gap at the shoulders, all around.") \
	X(OVERCOVER_FACESHIELD, "overcover_faceshield", "Overcover and faceshield", \
	  "A gap at the forehead.")
/* clang-format on */
#define INTERFACE_ENUM(name, word, label, look_for) INTERFACE_##name,
enum interface { INTERFACE_LIST(INTERFACE_ENUM) INTERFACE_COUNT };
extern const char *const interface_word[INTERFACE_COUNT];
extern const char *const interface_label[INTERFACE_COUNT];
/* Does an outfit against the hazard have it? Shroud and overcover are worn in proximity. */
bool interface_applies(enum interface i, enum hazard h);

/* What was seen of one: closed in all movements, or the first in which it opened. X(code, word,
 * label, text) */
/* clang-format off */
#define INTERFACE_ANSWER_LIST(X) \
	X(CLOSED, "closed", "closed in every movement", "Closed") \
	X(GAP_REACHING, "reach", "skin or a gap shows when reaching", "Gap when reaching") \
	X(GAP_BENDING, "bend", "skin or a gap shows when bending", "Gap when bending") \
	X(GAP_KNEELING, "kneel", "skin or a gap shows when kneeling", "Gap when kneeling") \
	X(GAP_CRAWLING, "crawl", "skin or a gap shows when crawling", "Gap when crawling") \
	/* one of the two: nobody can say */ \
	X(NOT_WORN, "not_worn", "not worn", "Not worn")
/* clang-format on */
#define INTERFACE_ANSWER_CODE(code, word, label, text) INTERFACE_##code,
enum interface_answer { INTERFACE_ANSWER_LIST(INTERFACE_ANSWER_CODE) INTERFACE_ANSWER_COUNT };
extern const char *const interface_answer_word[INTERFACE_ANSWER_COUNT];

#define LEG_UM_MAX 1000000 /* no leg falls further over a boot */

struct fit_check {
	enum hazard hazard;
	enum interface_answer answer[INTERFACE_COUNT]; /* read where it applies */
	bool has_overlap; /* measured exactly when coat and trousers were worn */
	int64_t overlap;  /* micrometres */
	bool has_leg;     /* how far the legs fall over the boots was measured; never asked for */
	int64_t leg;      /* micrometres */
};

/* In words what is usual of the overlap when nobody would believe this one; else NULL. It is
 * asked about, not stored silently. */
const char *fit_check_doubtful(const struct fit_check *c, struct arena *a);

/* X(code, word, label) */
/* clang-format off */
#define FIT_RESULT_LIST(X) \
	X(CLOSED, "closed", "Closed") \
	X(GAP, "gap", "Gap") \
	/* no gap, but not the whole outfit was worn */ \
	X(NOT_WHOLE, "not_whole", "Not the whole outfit")
/* clang-format on */
#define FIT_RESULT_CODE(code, word, label) FIT_RESULT_##code,
enum fit_result { FIT_RESULT_LIST(FIT_RESULT_CODE) FIT_RESULT_COUNT };
extern const char *const fit_result_word[FIT_RESULT_COUNT];

struct fit_verdict {
	enum fit_result result;
	bool is_short;       /* the overlap */
	const char *because; /* sentences, the worst first; NULL: no memory */
};
void fit_check_judge(struct fit_verdict *v, const struct fit_check *c, const struct program *p,
		     struct arena *a);

/* A check that counts, as it stands on record. */
struct fit_record {
	int64_t id;
	day on;
	bool is_short; /* when it was written down */
	struct fit_check check;
};
/*
 * Where an outfit stands: of each interface the latest answer. What was not worn says nothing.
 * Of one day a gap stands, in whichever order the checks were written down.
 */
struct fit_state {
	struct {
		int64_t id; /* of the check; 0: none */
		day on;
		bool is_gap;
		const char *text; /* of a gap: a sentence */
	} at[INTERFACE_COUNT];
};
void fit_state_take(struct fit_state *s, const struct fit_record *r, struct arena *a);

#endif
