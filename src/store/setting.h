/*
 * The department's settings: a name, a value, and where a rule was loosened why.
 */
#ifndef PEGWARDEN_STORE_SETTING_H
#define PEGWARDEN_STORE_SETTING_H

#include "rules/amend.h"
#include "store/store.h"

/* Of one that is no rule of the program: *value is `absent` when it was never set, or set to
 * nothing. ERR_NOT_FOUND: there is none of that name, so a name misspelled here is no absent one.
 */
enum err setting_text(struct store *st, const char *name, const char *absent, struct arena *a,
		      const char **value, struct fault *f) MUST_CHECK;
/* id name value reason version; *row is NULL when it was never set. */
enum err setting_get(struct store *st, const char *name, struct arena *a, struct doc **row,
		     struct fault *f) MUST_CHECK;
/* name value reason of all that were ever set. */
enum err setting_list(struct store *st, struct arena *a, struct doc *list,
		      struct fault *f) MUST_CHECK;
/* Of all settings together: grows with each change. */
enum err setting_version(struct store *st, int64_t *version, struct fault *f) MUST_CHECK;
enum err setting_put(struct store *st, const char *name, const char *value, const char *reason,
		     struct fault *f) MUST_CHECK;
/* The same, checked: a known name and a proper value; a rule of the program that
 * becomes looser than its rule set needs a reason. An empty value takes it back: as if it
 * was never set. The fault names the setting, or "reason". */
enum err setting_change(struct store *st, const char *name, const char *value, const char *reason,
			struct fault *f) MUST_CHECK;
/* Several rules of the program at once, judged as a whole: see rules/amend.h. */
enum err rules_change(struct store *st, const struct settings *asked, enum adjustments choice,
		      const char *reason, struct fault *f) MUST_CHECK;

/* The same judgement, and nothing stored: the program as it would be, in the arena. */
enum err rules_try(struct store *st, const struct settings *asked, enum adjustments choice,
		   const char *reason, struct arena *a, struct program **next,
		   struct fault *f) MUST_CHECK;

#endif
