/*
 * Do shell, liner and drag rescue device belong together?
 *
 * Every separable part carries its own label. Where the records of two parts
 * differ in an entry that must agree, they do not belong together. An entry
 * that is not recorded is not compared: there the inspector's own look at the
 * labels decides (see verdict.h), which is a HOLD when they disagree.
 */
#ifndef PEGWARDEN_RULES_FIT_H
#define PEGWARDEN_RULES_FIT_H

#include "base/arena.h"
#include "rules/handbook.h"

struct label {
	const char *maker;
	const char *model;
	const char *size;
};

/* The rule for a part in a shell, or NULL: they are not compared. */
const struct fit_rule *fit_rule_find(const struct handbook *hb, const struct kind *shell,
				     const struct kind *part);

enum fit { FIT_AGREES, FIT_MAKER_DIFFERS, FIT_MODEL_DIFFERS, FIT_SIZE_DIFFERS };
/* The first entry that differs; letter case and spaces at the ends do not count. */
enum fit fit_compare(const struct fit_rule *rule, const struct label *shell,
		     const struct label *part);
/* A sentence naming both entries, in the arena; NULL when they agree. */
const char *fit_reason(enum fit fit, const struct fit_rule *rule, const struct label *shell,
		       const struct label *part, struct arena *a);

#endif
