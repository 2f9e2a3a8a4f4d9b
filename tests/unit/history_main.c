/*
 * What must hold whatever a department lives through.
 *
 * HISTORY_EVENTS events for each of the components (100 unless told), drawn by HISTORY_SEED. What
 * fails says the seed and how far it came. Every event looks at the whole life of its component,
 * so time grows with the square: for long lives HISTORY_OF names one component, to which and to
 * whose twin alone something happens, beside others that stay as they are (10000 events: a
 * quarter of an hour).
 */
#include <check.h>
#include <stdlib.h>

#include "base/text.h"
#include "draw.h"
#include "folder.h"
#include "history.h"
#include "store/derive.h"
#include "store/handbook.h"
#include "store/internal.h"

#define COMPONENTS (MEMBERS * TWINS)
#define GROUP_MAX COMPONENTS
#define GROUP_USUAL 8

static char folder[] = "/tmp/pegwarden-history-XXXXXX";
static struct store *store;
static struct signing_key key;
static uint64_t seed, first_seed;
static int events;   /* that were recorded so far */
static int64_t only; /* this component and its twin; 0: all */

static int64_t from_environment(const char *name, int64_t otherwise) {
	int64_t value;
	const char *text = getenv(name);
	return text && text_to_int(text, 1, INT32_MAX, &value) ? value : otherwise;
}

#define CK(condition, ...)                                                                         \
	do {                                                                                       \
		if (condition) break;                                                              \
		fprintf(stderr, "seed %lld, event %d: ", (long long)first_seed, events);           \
		ck_abort_msg(__VA_ARGS__);                                                         \
	} while (0)

struct group {
	struct event event[GROUP_MAX];
	size_t count;
};

static enum err group_happens(struct change *c, struct store *st) {
	struct group *g = c->context;
	enum err err = ERR_OK;
	for (size_t i = 0; err == ERR_OK && i < g->count; i++)
		err = event_happens(&g->event[i], st, &c->fault);
	return err;
}

static enum err fill(struct change *c, struct store *st) { return department_fill(st, &c->fault); }

static enum err changed(enum err (*apply)(struct change *, struct store *), void *context) {
	struct change c = {
	    .apply = apply, .context = context, .author = {0, "system", "test", 1795651200}};
	enum err err = store_change(store, &key, &c);
	CK(err == ERR_OK || err == ERR_CONFLICT, "%s", c.fault.message);
	return err;
}

static bool is_living(int64_t component) { return !only || (component - only) % TWINS == 0; }
static int living(void) { return only ? MEMBERS : COMPONENTS; }

/* In one change. Refused as a whole when one of them is of a held component. */
static bool happens(struct group *g) {
	if (changed(group_happens, g) != ERR_OK) return false;
	for (size_t i = 0; i < g->count; i++)
		events += g->event[i].done && is_living(g->event[i].component);
	return true;
}

static void begin(void) {
	static const unsigned char bytes[SEED_BYTES] = {1};
	signing_key_from_seed(&key, bytes);
	folder_make(folder);
	store = folder_open(folder);
	struct fault f = {.code = ERR_OK};
	/* The machine stays on: what a power cut leaves is another test's. */
	ck_assert_int_eq(store_script(store, "PRAGMA synchronous = OFF", "wait", &f), ERR_OK);
	seed = first_seed = (uint64_t)from_environment("HISTORY_SEED", 1851);
	events = 0;
	only = from_environment("HISTORY_OF", 0);
	ck_assert_int_le(only, TWINS);
	ck_assert_int_eq(changed(fill, NULL), ERR_OK);
}

static void end(void) {
	store_close(store);
	folder_remove(folder);
}

/* --- what is looked at ---------------------------------------------------------------------- */

SQL_SCAN(test_around,
	 "SELECT count(*) FROM standing WHERE (blocker_count > 0) <> (ready_until = '')"
	 " OR (blocker_count > 0) = (state IN ('in_service', 'in_stores'))");
/* Ready members, and slots of them that nothing fills which is free of blockers, theirs and in
 * date as long as they count as ready. */
SQL_SCAN(test_unfounded,
	 "SELECT count(*) FROM member_readiness r JOIN (SELECT DISTINCT hazard, slot FROM"
	 " ensemble_requirement) q ON q.hazard = r.hazard WHERE r.ready_until <> '' AND NOT EXISTS"
	 " (SELECT 1 FROM ensemble_requirement a JOIN component c ON c.kind = a.kind AND c.hazard"
	 "   = a.hazard JOIN standing s ON s.component_id = c.id LEFT JOIN ensemble e ON e.id ="
	 "   c.ensemble_id AND e.active = 1 LEFT JOIN issue i ON i.component_id = c.id AND"
	 "   i.returned_on IS NULL WHERE a.hazard = r.hazard AND a.slot = q.slot AND"
	 "   s.blocker_count = 0 AND s.ready_until >= r.ready_until AND (i.member_id = r.member_id"
	 "   OR (i.id IS NULL AND e.member_id = r.member_id)))");
SQL_SCAN(test_strength, "SELECT count(*) FROM station_strength s WHERE member_count <> (SELECT"
			" count(*) FROM member_readiness r WHERE r.station_id = s.station_id"
			" AND r.hazard = s.hazard)");
SQL_SCAN(test_blocked, "SELECT count(*) FROM standing WHERE blocker_count > 0");
SQL_SCAN(test_ready, "SELECT count(*) FROM member_readiness WHERE ready_until <> ''");

static int64_t number(const struct sql *sql) {
	struct fault f = {.code = ERR_OK};
	int64_t n = -1;
	CK(store_number(store, sql, -1, &n, &f, "") == ERR_OK, "%s", f.message);
	return n;
}

static void ck_as_rebuilt(void) {
	struct fault f = {.code = ERR_OK};
	int64_t differences = -1;
	CK(store_rebuild(store, false, &differences, &f) == ERR_OK, "%s", f.message);
	CK(differences == 0, "%lld rows are not what the facts make of them",
	   (long long)differences);
	CK(number(&test_strength) == 0, "a station is counted wrong");
}

static void ck_nothing_blocked_is_ready(void) {
	CK(number(&test_around) == 0, "a component is ready and blocked");
	CK(number(&test_unfounded) == 0, "a member is ready without all that takes");
}

static enum err never_later(void *context, const struct duty_move *m) {
	int *moves = context;
	++*moves;
	CK(!m->was || (m->is && m->is_on <= m->was_on),
	   "component %lld, %s: due later under a tighter rule", (long long)m->component,
	   duty_word[m->duty]);
	return ERR_OK;
}

/* The times of the department's own rules, each shorter or the same. */
static int ck_tighter_is_never_later(void) {
	struct fault f = {.code = ERR_OK};
	struct arena a;
	const struct program *p;
	int moves = 0;
	arena_init(&a, 1000000);
	CK(store_program(store, &p, &f) == ERR_OK, "%s", f.message);
	struct program tight = *p;
	tight.rule = arena_array(&a, struct program_rule, p->set->rule_count);
	tight.end_of_month = p->end_of_month && draw_chance(&seed, 50);
	for (size_t i = 0; i < p->set->rule_count; i++) {
		int first = p->rule[i].first_months, repeat = p->rule[i].repeat_months;
		tight.rule[i] = p->rule[i];
		if (first) tight.rule[i].first_months = 1 + draw_below(&seed, first);
		if (repeat) tight.rule[i].repeat_months = 1 + draw_below(&seed, repeat);
	}
	CK(derive_moves(store, &tight, never_later, &moves, &f) == ERR_OK, "%s", f.message);
	arena_clear(&a);
	return moves;
}

/* --- whatever happens ------------------------------------------------------------------------- */

/* Or nobody would ever be ready: a notice concerns those, too, to which nothing else happens. */
static void everything_mended(day on) {
	struct group released = {.count = COMPONENTS}, mended = released;
	for (int i = 0; i < COMPONENTS; i++) {
		released.event[i] = event_releases(1 + i, on);
		mended.event[i] = event_mends(1 + i, on);
	}
	ck_assert(happens(&released));
	ck_assert(happens(&mended));
}

static int64_t draw_component(void) {
	return only ? only + draw_below(&seed, MEMBERS) * TWINS : 1 + draw_below(&seed, COMPONENTS);
}

static struct group draw_group(day today) {
	struct group g = {.count = 1 + (size_t)draw_below(&seed, GROUP_USUAL)};
	for (size_t i = 0; i < g.count; i++) {
		int64_t component = draw_component();
		g.event[i] = event_draw(&seed, component, today);
	}
	return g;
}

/* After every change in the beginning, later now and then: it takes longer and longer. */
static bool looks_now(void) { return events < 5000 || draw_below(&seed, events) < 300; }

START_TEST(what_is_stored_is_what_the_facts_make) {
	int wanted = (int)from_environment("HISTORY_EVENTS", 100) * living();
	int64_t looks = 0, ready = 0, blocked = 0, moves = 0, refused = 0;
	day today = day_parse("2024-01-01");
	everything_mended(today);
	while (events < wanted) {
		struct group g = draw_group(today += draw_chance(&seed, 10));
		bool mends = draw_chance(&seed, 4);
		refused += !happens(&g);
		if (mends) everything_mended(++today);
		if (!mends && !looks_now()) continue;
		looks++;
		ck_as_rebuilt();
		ck_nothing_blocked_is_ready();
		if (draw_chance(&seed, 25)) moves += ck_tighter_is_never_later();
		ready += number(&test_ready);
		blocked += number(&test_blocked);
	}
	ck_as_rebuilt();
	printf("histories: seed %lld, %d events of %d components; of %lld looks: ready %lld times, "
	       "blocked %lld, moved by a tighter rule %lld; %lld changes refused\n",
	       (long long)first_seed, events, living(), (long long)looks, (long long)ready,
	       (long long)blocked, (long long)moves, (long long)refused);
	/* All of it did occur, or nothing was shown. */
	CK(ready >= looks / 50 && blocked > looks && moves > looks && refused >= events / 1000,
	   "too little of it occurred");
}
END_TEST

/* --- the order of a day --------------------------------------------------------------------- */

SQL(test_shape,
    "SELECT s.state || ' ' || s.ready_until || ': ' || coalesce((SELECT group_concat(code, ' ') "
    "FROM"
    " (SELECT b.value ->> 'code' AS code FROM json_each(s.blockers) b ORDER BY 1)), '') || '; ' ||"
    " coalesce((SELECT group_concat(d, ' ') FROM (SELECT duty || ' ' || coalesce(due_on, '?') AS d"
    " FROM duty WHERE component_id = s.component_id ORDER BY 1)), '') AS shape FROM standing s"
    " WHERE s.component_id = ?1");
SQL(test_member_shape,
    "SELECT group_concat(r.hazard || ' ' || r.ready_until || ' ' || (SELECT coalesce("
    "group_concat(code, ' '), '') FROM (SELECT o.value ->> 'code' AS code FROM"
    " json_each(r.obstacles) o ORDER BY 1)), '; ') AS shape FROM member_readiness r"
    " WHERE r.member_id = ?1");

static const char *shape(const struct sql *sql, int64_t id, struct arena *a) {
	struct fault f = {.code = ERR_OK};
	struct doc *row = NULL;
	CK(store_one(store, sql, a, &row, &f, "i", id) == ERR_OK && row, "%s", f.message);
	return doc_text(row, "shape");
}

static void tell_day(const struct group *g) {
	for (size_t i = 0; i < g->count; i++)
		fprintf(stderr, "component %lld: %s\n", (long long)g->event[i].component,
			event_name(&g->event[i]));
}

static bool ck_alike(int64_t component, const struct group *day_of_one, const struct group *other) {
	struct arena a;
	arena_init(&a, 1000000);
	const char *one = shape(&test_shape, component, &a);
	const char *two = shape(&test_shape, component + TWINS, &a);
	const char *member_one = shape(&test_member_shape, 1, &a);
	const char *member_two = shape(&test_member_shape, 2, &a);
	bool alike = text_equal(one, two) && text_equal(member_one, member_two);
	bool is_ready = !strstr(member_one, "structural  ");
	if (!alike) tell_day(day_of_one), tell_day(other);
	CK(alike, "\n%s\n%s\n%s\n%s", one, two, member_one, member_two);
	arena_clear(&a);
	return is_ready;
}

static void shuffle(struct group *g) {
	for (size_t i = g->count; i > 1; i--) {
		size_t j = (size_t)draw_below(&seed, (int)i);
		struct event last = g->event[i - 1];
		g->event[i - 1] = g->event[j];
		g->event[j] = last;
	}
}

static void happen_one_by_one(struct group *g) {
	for (size_t i = 0; i < g->count; i++) {
		struct group single = {{g->event[i]}, 1};
		ck_assert(happens(&single));
	}
}

static void mend_twins(int64_t component, day on) {
	struct group g = {{event_mends(component, on), event_mends(component + TWINS, on)}, 2};
	ck_assert(happens(&g));
}

/* The same happens to a component and to its twin, on one day, in another order. What says an
 * order itself is left out: a cleaning said to come after, a second look, what ends what the
 * day began (see the groups of acts). */
START_TEST(no_order_of_a_day_matters) {
	/* The twins together have as many days as there are events; of one alone, fewer. */
	int days = (int)from_environment("HISTORY_EVENTS", 100) * 5 / (only ? TWINS : 1), ready = 0,
	    reordered = 0;
	day today = day_parse("2024-01-01");
	for (int64_t component = 1; component <= TWINS; component++) mend_twins(component, today);
	for (int i = 0; i < days; i++) {
		int64_t component = only ? only : 1 + draw_below(&seed, TWINS);
		struct group one = {.count = 2 + (size_t)draw_below(&seed, GROUP_USUAL - 2)}, other;
		unsigned taken = 0;
		today++;
		for (size_t k = 0; k < one.count; k++)
			one.event[k] = event_draw_orderless(&seed, component, today, &taken);
		other = one;
		for (size_t k = 0; k < other.count; k++) other.event[k].component += TWINS;
		shuffle(&other);
		reordered += one.event[0].act != other.event[0].act;
		happen_one_by_one(&one);
		ck_assert(happens(&other));
		ready += ck_alike(component, &one, &other);
		if (draw_chance(&seed, 95)) mend_twins(component, ++today);
		ready += ck_alike(component, &one, &other);
	}
	CK(ready > days / 20 && reordered > days / 4, "%d ready, %d reordered in %d days", ready,
	   reordered, days);
}
END_TEST

int main(void) {
	Suite *s = suite_create("histories");
	TCase *c = tcase_create("histories");
	tcase_set_timeout(c, 3600);
	tcase_add_checked_fixture(c, begin, end);
	tcase_add_test(c, what_is_stored_is_what_the_facts_make);
	tcase_add_test(c, no_order_of_a_day_matters);
	suite_add_tcase(s, c);
	SRunner *runner = srunner_create(s);
	srunner_run_all(runner, CK_NORMAL);
	int failed = srunner_ntests_failed(runner);
	srunner_free(runner);
	return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
