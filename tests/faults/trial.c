#include "trial.h"

#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/text.h"

long trial_next(long nth) {
	const char *set = getenv("FAULTS_FINENESS");
	int64_t fineness = 6;
	if (set) ck_assert(text_to_int(set, 1, 1000000, &fineness));
	return nth + 1 + nth / (long)fineness;
}

/* What the record is before and after it. */
struct expected {
	char before[HASH_HEX_SIZE], after[HASH_HEX_SIZE];
};

static void begin(struct scene *s, const struct trial *t) {
	struct fault f = {0};
	scene_fresh(s, t->empty);
	if (t->opened) ck_assert_msg(scene_open(s, &f) == ERR_OK, "%s", f.message);
}

/* Without any failure. */
static void expect(struct scene *s, const struct trial *t, struct expected *e) {
	struct fault f = {0};
	begin(s, t);
	*e->before = '\0';
	if (t->opened) scene_last(s, e->before);
	ck_assert_msg(t->run(s, &f) == ERR_OK, "%s: %s", t->name, f.message);
	if (t->after) t->after(s, ERR_OK, t->name);
	scene_close(s);
	scene_folder_holds(s, s->data, t->name, e->after);
	if (!t->changes) memcpy(e->before, e->after, sizeof e->before);
	else ck_assert_str_ne(e->before, e->after);
}

/* The connection that saw the failure is as good as a new one. */
static void check_open(struct scene *s, const struct trial *t, enum err outcome,
		       const struct expected *e, const char *when) {
	char last[HASH_HEX_SIZE];
	struct fault f = {0};
	scene_holds(s, when);
	scene_last(s, last);
	ck_assert_msg(strcmp(last, outcome == ERR_OK ? e->after : e->before) == 0,
		      "%s: the record is not as told", when);
	if (outcome == ERR_OK || !t->changes) return;
	enum err err = t->run(s, &f);
	ck_assert_msg(err == ERR_OK, "%s: not even afterwards: %s", when, f.message);
	scene_last(s, last);
	ck_assert_msg(strcmp(last, e->after) == 0, "%s: tried again, it is another change", when);
}

static void check_closed(struct scene *s, const struct failing *how, enum err outcome, bool again,
			 const struct expected *e, const char *when) {
	char last[HASH_HEX_SIZE];
	scene_folder_holds(s, s->data, when, last);
	bool is_before = strcmp(last, e->before) == 0, is_after = strcmp(last, e->after) == 0;
	ck_assert_msg(is_before || is_after, "%s: the record has a part of it", when);
	if (outcome == ERR_OK || again)
		ck_assert_msg(is_after, "%s: done, but not in the record", when);
	else ck_assert_msg(is_before || how->may_be_done, "%s: failed, but in the record", when);
}

/* False when nothing failed. */
static bool attempt(struct scene *s, const struct trial *t, const struct failing *how, long nth,
		    const struct expected *e) {
	char when[200];
	struct fault f = {0};
	snprintf(when, sizeof when, "%s, %s at %ld", t->name, how->name, nth);
	begin(s, t);
	how->begin(nth);
	enum err err = t->run(s, &f);
	if (how->lasting) scene_close(s);
	bool failed = how->end();
	ck_assert_msg(err == ERR_OK || failed, "%s: %s without a cause: %s", when, err_word(err),
		      f.message);
	if (err != ERR_OK) {
		ck_assert_msg(f.message[0], "%s: nothing is said about it", when);
		ck_assert_msg(err == f.code && (how->is_told(err) || err == t->also_told),
			      "%s: told as %s, %s: %s", when, err_word(err), err_word(f.code),
			      f.message);
	}
	if (t->after) t->after(s, err, when);
	bool open = s->store != NULL;
	if (open) check_open(s, t, err, e, when);
	scene_close(s);
	check_closed(s, how, err, open && t->changes, e, when);
	return failed;
}

void trial_run(struct scene *s, const struct trial *t, const struct failing *how) {
	struct expected e;
	long nth = 1;
	expect(s, t, &e);
	while (attempt(s, t, how, nth, &e)) nth = trial_next(nth);
	ck_assert_msg(nth > 1, "%s: nothing ever failed", t->name);
}
