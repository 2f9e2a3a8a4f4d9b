#include "store/facts.h"

#include <stdlib.h>
#include <string.h>

#include "rules/kind.h"
#include "store/internal.h"

/* One source of facts a table, each ordered by component. Column 0 is always the
 * component; ?1 and ?2 are the first and the last of the run. */

SQL(facts_components,
    "SELECT c.id, c.kind, c.made, c.in_service_on, c.cbrn, c.reflective, c.withdrawn_reason,"
    " c.retired_on, c.retired_reason, e.member_id, c.ensemble_id,"
    " coalesce(c.maker, c.model, c.serial) IS NOT NULL, c.life_months, c.retired_ground,"
    " c.disposed_on, c.training_on"
    " FROM component c LEFT JOIN ensemble e ON e.id = c.ensemble_id AND e.active = 1"
    " WHERE c.id BETWEEN ?1 AND ?2 ORDER BY c.id");
SQL(facts_issues,
    "SELECT component_id, issued_on, returned_on,"
    " condition_at_return IN ('soiled', 'contaminated'),"
    " condition_at_return = 'damaged', condition_at_return = 'contaminated' FROM issue"
    " WHERE component_id BETWEEN ?1 AND ?2 ORDER BY component_id, issued_on");
SQL(facts_parts,
    "SELECT component_id, kind, inspected_on, conclusion, clean, model_agrees, size_agrees,"
    " checklist_id, id, inspection_id FROM inspection_part"
    " WHERE id BETWEEN (?1 << 20) AND (?2 << 20) + 1048575 AND signed = 1 ORDER BY id");
/* Does a finding of the same inspection, on the part or above it, say why it was not fit? */
SQL(facts_explained,
    "SELECT EXISTS (SELECT 1 FROM finding f JOIN outcome o ON o.code = f.outcome AND o.blocks = 1"
    "   WHERE f.inspection_id = p.inspection_id AND f.component_id = p.component_id)"
    " OR EXISTS (SELECT 1 FROM follow_up u JOIN finding f ON f.id = u.finding_id"
    "   WHERE u.component_id = p.component_id AND f.inspection_id = p.inspection_id)"
    " FROM inspection_part p WHERE p.id = ?1");
SQL(facts_cleanings, "SELECT component_id, cleaned_on, class, beyond, provider_id FROM cleaning"
		     " WHERE component_id BETWEEN ?1 AND ?2 ORDER BY component_id, cleaned_on");
#define BARRIER_SUBJECTS "('moisture_barrier', 'barrier_test', 'light_test', 'liner_seam')"
/* Work on the moisture barrier or the seams that seal it, found mended. Codes of any kind's
 * barrier come first: few findings are left to ask the kind's own list about. */
SQL(facts_barrier_work,
    "SELECT f.component_id, f.closed_on, coalesce(d.sent_on, f.closed_on) FROM finding f"
    " JOIN component c ON c.id = f.component_id"
    " LEFT JOIN dispatch_item i ON i.finding_id = f.id AND i.result <> 'not_repaired'"
    " LEFT JOIN dispatch d ON d.id = i.dispatch_id"
    " WHERE f.component_id BETWEEN ?1 AND ?2 AND f.state = 'mended'"
    " AND f.check_point IN (SELECT code FROM check_point WHERE subject IN " BARRIER_SUBJECTS ")"
    " AND f.outcome IN ('repair', 'replace', 'test') AND i.result IS NOT 'no_fault_found'"
    " AND EXISTS (SELECT 1 FROM check_point p JOIN checklist k ON k.id = p.checklist_id"
    "  WHERE k.kind = c.kind AND p.code = f.check_point"
    "  AND p.subject IN " BARRIER_SUBJECTS ")"
    " ORDER BY f.component_id, f.closed_on, d.sent_on");
SQL(facts_field_tests,
    "SELECT component_id, test, tested_on, result, because, id, provider_id IS NOT NULL, sign"
    " FROM field_test WHERE component_id BETWEEN ?1 AND ?2 AND revoked_on IS NULL"
    " ORDER BY component_id, tested_on, id");
SQL(facts_dispatches,
    "SELECT i.component_id, d.state, d.sent_on, d.returned_on, d.number, p.name, n.inspected_on, "
    "n.id"
    " FROM dispatch_item i JOIN dispatch d ON d.id = i.dispatch_id"
    " JOIN provider p ON p.id = d.provider_id JOIN finding f ON f.id = i.finding_id"
    " JOIN inspection n ON n.id = f.inspection_id"
    " WHERE i.component_id BETWEEN ?1 AND ?2 AND d.state IN ('sent', 'returned')"
    " ORDER BY i.component_id, d.sent_on");
/* A part that came instead of another is back from the provider like any other. */
SQL(facts_replacements, "SELECT i.replacement_id, d.returned_on FROM dispatch_item i"
			" JOIN dispatch d ON d.id = i.dispatch_id"
			" WHERE i.replacement_id BETWEEN ?1 AND ?2 ORDER BY i.replacement_id");
SQL(facts_findings,
    "SELECT f.component_id, f.id, f.check_point, f.defect, f.zone, f.place, f.outcome,"
    " i.inspected_on FROM finding f JOIN inspection i ON i.id = f.inspection_id"
    " WHERE f.component_id BETWEEN ?1 AND ?2 AND f.state = 'open' ORDER BY f.component_id, f.id");
/* What the wearer found and nobody trained has settled; dirt is cleaned, and no more comes of it.
 */
SQL(facts_problems, "SELECT f.component_id, i.inspected_on, i.id FROM finding f"
		    " JOIN inspection i ON i.id = f.inspection_id AND i.kind = 'routine'"
		    " WHERE f.component_id BETWEEN ?1 AND ?2 AND f.state IN ('open', 'accepted')"
		    " AND f.outcome <> 'clean' ORDER BY f.component_id, i.inspected_on, i.id");
SQL(facts_exposures,
    "SELECT x.component_id, x.cause, x.exposed_on, x.incident, x.id, x.ended_by_cleaning,"
    " (SELECT l.cleaned_on FROM cleaning l WHERE l.id = x.ended_by_cleaning),"
    " (SELECT l.cleaned_on FROM cleaning l WHERE l.component_id = x.component_id"
    "  AND " LATER_CLEANING_ENDS_EXPOSURE " ORDER BY l.cleaned_on LIMIT 1) FROM exposure x"
    " WHERE x.component_id BETWEEN ?1 AND ?2 AND x.revoked_on IS NULL"
    " ORDER BY x.component_id, x.exposed_on, x.id");
SQL(facts_holds, "SELECT component_id, incident, placed_on FROM hold"
		 " WHERE component_id BETWEEN ?1 AND ?2 AND released_on IS NULL"
		 " ORDER BY component_id");
SQL(facts_safety_notices,
    "SELECT i.component_id, n.id, n.number, n.title, n.action, i.hit, i.state, i.reason, n.asked_on"
    " FROM safety_notice_item i JOIN safety_notice n ON n.id = i.notice_id"
    " WHERE i.component_id BETWEEN ?1 AND ?2 AND i.state IN ('left', 'sent', 'out_of_use')"
    " ORDER BY i.component_id, i.notice_id");
/* Worked on because a notice asked to send it: back since the day that was recorded. */
SQL(facts_sent_for_notices,
    "SELECT a.component_id, n.asked_on, a.answered_on FROM safety_notice_answer a"
    " JOIN safety_notice n ON n.id = a.notice_id WHERE a.component_id BETWEEN ?1 AND ?2"
    " AND a.answer = 'done' AND a.action = 'send' AND a.revoked_on IS NULL"
    " ORDER BY a.component_id");
SQL(facts_follow_ups,
    "SELECT u.component_id, u.duty, u.due_on, u.reason, i.signed_at FROM follow_up u"
    " JOIN finding f ON f.id = u.finding_id JOIN inspection i ON i.id = f.inspection_id"
    " WHERE u.component_id BETWEEN ?1 AND ?2 AND u.done_by_inspection IS NULL"
    " ORDER BY u.component_id, u.due_on");

struct past_exposure {
	struct exposure exposure;
	day ended_on;
};

/* What is being put together for one component. */
struct gathering {
	const struct handbook *handbook;
	struct arena *arena;
	struct component_facts *facts;
	struct open_finding *finding;
	size_t finding_room;
	struct open_follow_up *follow_up;
	size_t follow_up_room;
	struct exposure *exposure; /* those of the facts */
	size_t exposure_room;
	struct past_exposure *past; /* all that were not revoked */
	size_t past_count, past_room;
	struct open_safety_notice *safety_notice;
	size_t safety_notice_room;
	day back_on;
	int64_t back_for;       /* of that day: the inspection that found what it was sent for */
	int64_t return_begun;   /* the last return inspection of the latest day of one */
	int64_t problem_seen;   /* of problem_on: the routine inspection */
	day thorough_on;        /* the latest advanced or complete liner inspection, */
	int64_t thorough_begun; /* and the last of that day */
	day clean_seen_on, model_seen_on, size_seen_on, done_on;
	int64_t unfit_part; /* the part that unfit_on is of */
	int64_t ensemble;
	bool failed; /* a row holds what the handbook does not know */
};

static const char *copy_at(const struct gathering *g, const struct cursor *c, int column) {
	return arena_strdup(g->arena, cursor_text(c, column));
}

static void take_component(struct gathering *g, const struct cursor *c) {
	struct component_facts *facts = g->facts;
	facts->kind = handbook_kind(g->handbook, cursor_text(c, 1));
	g->failed |= !facts->kind;
	label_date_parse(cursor_text(c, 2), &facts->made);
	facts->in_service_on = cursor_day(c, 3);
	facts->cbrn = cursor_int(c, 4) != 0;
	facts->reflective = cursor_int(c, 5) != 0;
	facts->withdrawn_reason = copy_at(g, c, 6);
	facts->retired_on = cursor_day(c, 7);
	facts->retired_reason = copy_at(g, c, 8);
	facts->is_assigned = !cursor_is_null(c, 9);
	g->ensemble = cursor_int(c, 10);
	facts->is_identified = cursor_int(c, 11) != 0;
	facts->life_months = (int)cursor_int(c, 12);
	facts->retired_ground = copy_at(g, c, 13);
	facts->disposed_on = cursor_day(c, 14);
	facts->training_on = cursor_day(c, 15);
}

static void take_issue(struct gathering *g, const struct cursor *c) {
	g->facts->issued_on = cursor_day(c, 1);
	if (g->facts->first_issued_on == DAY_NONE) g->facts->first_issued_on = cursor_day(c, 1);
	if (cursor_is_null(c, 2)) {
		g->facts->is_issued = true;
		return;
	}
	day returned = cursor_day(c, 2);
	if (returned < g->facts->last_returned_on) return;
	g->facts->last_returned_on = returned;
	g->facts->soiled_return_on = cursor_int(c, 3) ? returned : DAY_NONE;
	g->facts->damaged_return_on = cursor_int(c, 4) ? returned : DAY_NONE;
	g->facts->is_contaminated_return = cursor_int(c, 5) != 0;
}

static void keep_later(day *kept, day candidate) {
	if (candidate > *kept) *kept = candidate;
}

/* The latest look decides: by its day, on one day by the order of recording. An older
 * inspection that is recorded late changes nothing. */
static void take_answer(day *seen_on, day *no_on, const char *answer, day on) {
	if (!answer || strcmp(answer, "not_applicable") == 0 || on < *seen_on) return;
	*seen_on = on;
	*no_on = strcmp(answer, "no") == 0 ? on : DAY_NONE;
}

/* The first exposure by which it was contaminated when somebody inspected it, or NULL. */
static const struct exposure *tainted_by(const struct gathering *g, day inspected_on) {
	for (size_t i = 0; i < g->past_count; i++)
		if (exposure_taints(&g->past[i].exposure, g->past[i].ended_on, inspected_on))
			return &g->past[i].exposure;
	return NULL;
}

/* Was it looked at as what it is? Not where its kind was put right since. */
static bool is_of_its_kind(const struct gathering *g, int64_t checklist) {
	const struct checklist *list = handbook_checklist(g->handbook, checklist);
	return !list || !g->facts->kind || list->kind == g->facts->kind;
}

static void take_part(struct gathering *g, const struct cursor *c) {
	struct component_facts *facts = g->facts;
	int kind = word_find(inspection_kind_word, INSPECTION_KIND_COUNT, cursor_text(c, 1));
	day on = cursor_day(c, 2);
	const char *conclusion = cursor_text(c, 3), *clean = cursor_text(c, 4);
	const char *model = cursor_text(c, 5), *size = cursor_text(c, 6);
	if (kind < 0 || !conclusion) {
		g->failed = true;
		return;
	}
	if (strcmp(conclusion, "not_finished") == 0) return; /* it says nothing */
	const struct exposure *tainted = kind == INSPECTION_ROUTINE ? NULL : tainted_by(g, on);
	bool is_done = !tainted && strcmp(conclusion, "clean_first") != 0 &&
		       is_of_its_kind(g, cursor_int(c, 7));
	/* A part brought in has no answers, but its conclusion says whether it was clean. What was
	 * to be cleaned first because it was exposed meanwhile waits too, whatever was answered. */
	bool is_brought_in = cursor_is_null(c, 7);
	bool is_unfit = is_brought_in && (strcmp(conclusion, "out_of_service") == 0 ||
					  strcmp(conclusion, "retire") == 0);
	if (tainted || strcmp(conclusion, "clean_first") == 0) clean = "no";
	else if (is_brought_in && kind != INSPECTION_ROUTINE) clean = "yes";
	if (is_done && kind == INSPECTION_RETURN && on >= facts->inspected_on[kind])
		g->return_begun = cursor_int(c, 9);
	if (is_done && duty_done_by(DUTY_ADVANCED_INSPECTION, (enum inspection_kind)kind) &&
	    on >= g->thorough_on) {
		g->thorough_on = on;
		g->thorough_begun = cursor_int(c, 9);
	}
	if (is_done) keep_later(&facts->inspected_on[kind], on);
	take_answer(&g->clean_seen_on, &facts->not_clean_on, clean, on);
	if (facts->not_clean_on == on) facts->not_clean_by = tainted;
	take_answer(&g->model_seen_on, &facts->model_disagrees_on, model, on);
	take_answer(&g->size_seen_on, &facts->size_disagrees_on, size, on);
	/* A wearer's look does not undo what a trained person concluded; that it is not fit,
	 * everybody may say. */
	if (!is_done || (kind == INSPECTION_ROUTINE && !is_unfit)) return;
	take_answer(&g->done_on, &facts->unfit_on, is_unfit ? "no" : "yes", on);
	if (facts->unfit_on == on) g->unfit_part = cursor_int(c, 8);
}

static void take_cleaning(struct gathering *g, const struct cursor *c) {
	const char *class = cursor_text(c, 2);
	g->facts->washed_on = cursor_day(c, 1);
	if (cursor_int(c, 3)) g->facts->harmed_on = cursor_day(c, 1);
	if (cursor_int(c, 4)) g->facts->outside_on = cursor_day(c, 1);
	if (strcmp(class, "routine") == 0) return;
	g->facts->cleaned_before_on = g->facts->cleaned_on;
	g->facts->cleaned_on = cursor_day(c, 1);
	if (strcmp(class, "specialized") == 0) g->facts->specialized_on = g->facts->cleaned_on;
}

static void take_dispatch(struct gathering *g, const struct cursor *c) {
	if (strcmp(cursor_text(c, 1), "returned") == 0) {
		day back = cursor_day(c, 3);
		if (back > g->back_on) g->back_for = 0;
		keep_later(&g->back_on, back);
		if (back == g->back_on && cursor_day(c, 6) == back &&
		    cursor_int(c, 7) > g->back_for)
			g->back_for = cursor_int(c, 7);
		return;
	}
	g->facts->sent_on = cursor_day(c, 2);
	g->facts->dispatch_number = copy_at(g, c, 4);
	g->facts->provider_name = copy_at(g, c, 5);
}

static void take_replacement(struct gathering *g, const struct cursor *c) {
	keep_later(&g->back_on, cursor_day(c, 1));
}

/* Where it went by a ticket, too, it may have been looked at before somebody answered. */
static void take_sent_for_notice(struct gathering *g, const struct cursor *c) {
	if (g->facts->inspected_on[INSPECTION_RETURN] <= cursor_day(c, 1))
		keep_later(&g->back_on, cursor_day(c, 2));
}

/* Room for one more element of an array that lives in the arena. */
static bool grow(struct arena *a, void **array, size_t count, size_t *room, size_t bytes) {
	if (count < *room) return true;
	size_t wider = *room ? *room * 2 : 4;
	void *moved = arena_calloc(a, wider, bytes);
	if (!moved) return false;
	if (count) memcpy(moved, *array, count * bytes);
	*array = moved;
	*room = wider;
	return true;
}

static void take_finding(struct gathering *g, const struct cursor *c) {
	size_t *count = &g->facts->finding_count;
	void *array = g->finding;
	if (!grow(g->arena, &array, *count, &g->finding_room, sizeof *g->finding)) return;
	g->finding = array;
	const struct outcome *outcome = handbook_outcome(g->handbook, cursor_text(c, 6));
	g->failed |= !outcome;
	g->finding[(*count)++] = (struct open_finding){
	    .id = cursor_int(c, 1),
	    .check_point = copy_at(g, c, 2),
	    .defect = copy_at(g, c, 3),
	    .zone = copy_at(g, c, 4),
	    .place = copy_at(g, c, 5),
	    .outcome = outcome,
	    .found_on = cursor_day(c, 7),
	    .came_back_on = DAY_NONE, /* the way back is looked at where it can end one */
	};
	g->facts->finding = g->finding;
}

static void take_follow_up(struct gathering *g, const struct cursor *c) {
	size_t *count = &g->facts->follow_up_count;
	void *array = g->follow_up;
	if (!grow(g->arena, &array, *count, &g->follow_up_room, sizeof *g->follow_up)) return;
	g->follow_up = array;
	int duty = word_find(duty_word, DUTY_COUNT, cursor_text(c, 1));
	g->failed |= duty < 0;
	g->follow_up[(*count)++] = (struct open_follow_up){
	    .duty = (enum duty_code)(duty < 0 ? 0 : duty),
	    .due_on = cursor_day(c, 2),
	    .reason = copy_at(g, c, 3),
	    .raised_at = copy_at(g, c, 4),
	};
	g->facts->follow_up = g->follow_up;
}

static void take_problem(struct gathering *g, const struct cursor *c) {
	g->facts->problem_on = cursor_day(c, 1);
	g->problem_seen = cursor_int(c, 2);
}

/* DAY_NONE is none. */
static day earlier(day a, day b) { return a == DAY_NONE || (b != DAY_NONE && b < a) ? b : a; }

static void take_exposure(struct gathering *g, const struct cursor *c) {
	size_t *count = &g->facts->exposure_count;
	void *array = g->exposure, *past = g->past;
	if (!grow(g->arena, &array, *count, &g->exposure_room, sizeof *g->exposure) ||
	    !grow(g->arena, &past, g->past_count, &g->past_room, sizeof *g->past))
		return;
	g->exposure = array;
	g->past = past;
	int cause = word_find(exposure_cause_word, EXPOSURE_CAUSE_COUNT, cursor_text(c, 1));
	g->failed |= cause < 0;
	struct exposure e = {.id = cursor_int(c, 4),
			     .cause = (enum exposure_cause)(cause < 0 ? EXPOSURE_OTHER : cause),
			     .on = cursor_day(c, 2),
			     .incident = copy_at(g, c, 3)};
	g->facts->exposed_on = e.on;
	g->past[g->past_count++] =
	    (struct past_exposure){e, earlier(cursor_day(c, 6), cursor_day(c, 7))};
	if (cursor_is_null(c, 5)) g->exposure[(*count)++] = e;
	g->facts->exposure = g->exposure;
}

static void take_safety_notice(struct gathering *g, const struct cursor *c) {
	size_t *count = &g->facts->safety_notice_count;
	void *array = g->safety_notice;
	if (!grow(g->arena, &array, *count, &g->safety_notice_room, sizeof *g->safety_notice))
		return;
	g->safety_notice = array;
	int action = word_find(safety_action_word, SAFETY_ACTION_COUNT, cursor_text(c, 4));
	int hit = word_find(safety_hit_word, SAFETY_HIT_COUNT, cursor_text(c, 5));
	int state = word_find(safety_state_word, SAFETY_STATE_COUNT, cursor_text(c, 6));
	g->failed |= action < 0 || hit < 0 || state < 0;
	g->safety_notice[(*count)++] = (struct open_safety_notice){
	    .id = cursor_int(c, 1),
	    .number = copy_at(g, c, 2),
	    .title = copy_at(g, c, 3),
	    .action = (enum safety_action)(action < 0 ? 0 : action),
	    .hit = (enum safety_hit)(hit < 0 ? 0 : hit),
	    .state = (enum safety_state)(state < 0 ? 0 : state),
	    .reason = copy_at(g, c, 7),
	    .asked_on = cursor_day(c, 8),
	};
	g->facts->safety_notice = g->safety_notice;
}

static void take_barrier_work(struct gathering *g, const struct cursor *c) {
	g->facts->barrier_mended_on = cursor_day(c, 1);
	g->facts->barrier_sent_on = cursor_day(c, 2);
}

static void take_field_test(struct gathering *g, const struct cursor *c) {
	int test = word_find(field_test_word, TEST_COUNT, cursor_text(c, 1));
	int result = word_find(field_test_result_word, RESULT_COUNT, cursor_text(c, 3));
	g->failed |= test < 0 || result < 0;
	if (test < 0 || result < 0) return;
	const struct latest_test next = {.id = cursor_int(c, 5),
					 .on = cursor_day(c, 2),
					 .result = (enum field_test_result)result,
					 .because = copy_at(g, c, 4),
					 .by_provider = cursor_int(c, 6) != 0};
	bool of_barrier = test == TEST_LEAKAGE || test == TEST_WATER;
	if (of_barrier && result == RESULT_NOT_VALID && cursor_int(c, 7))
		g->facts->doubted_on = next.on;
	if (test == TEST_LIGHT && result == RESULT_SUSPECT) g->facts->suspected_on = next.on;
	if (test == TEST_LIGHT && result == RESULT_PASS && next.by_provider &&
	    next.on > g->facts->suspected_on)
		g->facts->suspected_on = DAY_NONE;
	latest_test_take(&g->facts->test[test], &next);
}

static void take_hold(struct gathering *g, const struct cursor *c) {
	g->facts->hold_incident = copy_at(g, c, 1);
	g->facts->held_on = cursor_day(c, 2);
}

static const struct {
	const struct sql *sql;
	void (*take)(struct gathering *, const struct cursor *);
} source[] = {
    {&facts_components, take_component},
    {&facts_issues, take_issue},
    {&facts_cleanings, take_cleaning},
    {&facts_exposures, take_exposure}, /* before the parts, which look at them */
    {&facts_parts, take_part},
    {&facts_dispatches, take_dispatch},
    {&facts_replacements, take_replacement},
    {&facts_sent_for_notices, take_sent_for_notice}, /* behind the parts, which it looks at */
    {&facts_findings, take_finding},
    {&facts_problems, take_problem},
    {&facts_follow_ups, take_follow_up},
    {&facts_holds, take_hold},
    {&facts_barrier_work, take_barrier_work},
    {&facts_field_tests, take_field_test},
    {&facts_safety_notices, take_safety_notice},
};
#define SOURCES (sizeof source / sizeof *source)

struct facts_run {
	struct store *store;
	const struct handbook *handbook;
	struct cursor cursor[SOURCES];
	bool more[SOURCES];
	int64_t component[SOURCES]; /* of the row each cursor stands on */
	int64_t ensemble;           /* of the last component given out */
};

static enum err step(struct facts_run *run, size_t i) {
	enum err err = cursor_next(&run->cursor[i], &run->more[i]);
	run->component[i] = err == ERR_OK && run->more[i] ? cursor_int(&run->cursor[i], 0) : 0;
	return err;
}

enum err facts_run_open(struct facts_run **opened, struct store *st, const struct handbook *hb,
			int64_t first_id, int64_t last_id, struct fault *f) {
	struct facts_run *run = calloc(1, sizeof *run);
	if (!run) return fault_set(f, ERR_MEMORY, NULL, "There is no memory left.");
	run->store = st;
	run->handbook = hb;
	enum err err = ERR_OK;
	for (size_t i = 0; err == ERR_OK && i < SOURCES; i++) {
		err = cursor_open(&run->cursor[i], st, source[i].sql, f, "ii", first_id, last_id);
		if (err == ERR_OK) err = step(run, i);
	}
	if (err != ERR_OK) facts_run_close(run);
	*opened = err == ERR_OK ? run : NULL;
	return err;
}

static enum err look_for_reason(struct store *st, struct gathering *g, struct fault *f) {
	int64_t is_explained = 0;
	if (g->facts->unfit_on == DAY_NONE) return ERR_OK;
	enum err err = store_number(st, &facts_explained, 0, &is_explained, f, "i", g->unfit_part);
	if (is_explained) g->facts->unfit_on = DAY_NONE;
	return err;
}

/* Is there a return inspection since it came back? Of two on one day only those count that began
 * after what it was sent for was found: one from before it went away saw nothing of the repair. */
static bool was_looked_at_since(const struct gathering *g) {
	day looked_on = g->facts->inspected_on[INSPECTION_RETURN];
	if (looked_on != g->back_on) return looked_on > g->back_on;
	return g->return_begun > g->back_for;
}

/* Of one day, the thorough inspection that began after the wearer's. */
static bool problem_was_looked_at(const struct gathering *g) {
	day on = g->facts->problem_on;
	return g->thorough_on == on ? g->thorough_begun > g->problem_seen : g->thorough_on > on;
}

enum err facts_run_next(struct facts_run *run, struct arena *a, int64_t *id,
			struct component_facts *facts, struct fault *f) {
	*id = run->component[0];
	if (!*id) return ERR_OK;
	*facts = component_facts_none();
	struct gathering g = {.handbook = run->handbook,
			      .arena = a,
			      .facts = facts,
			      .back_on = DAY_NONE,
			      .clean_seen_on = DAY_NONE,
			      .model_seen_on = DAY_NONE,
			      .size_seen_on = DAY_NONE,
			      .done_on = DAY_NONE,
			      .thorough_on = DAY_NONE};
	for (size_t i = 0; i < SOURCES; i++) {
		while (run->more[i] && run->component[i] <= *id) {
			if (run->component[i] == *id) source[i].take(&g, &run->cursor[i]);
			enum err err = step(run, i);
			if (err != ERR_OK) return err;
		}
	}
	run->ensemble = g.ensemble;
	if (!was_looked_at_since(&g)) facts->back_on = g.back_on;
	if (problem_was_looked_at(&g)) facts->problem_on = DAY_NONE;
	enum err err = look_for_reason(run->store, &g, f);
	if (err != ERR_OK) return err;
	if (g.failed)
		return fault_set(f, ERR_CORRUPT, NULL,
				 "Component %lld holds a word the handbook does not know.",
				 (long long)*id);
	return arena_failed(a) ? fault_set(f, ERR_MEMORY, NULL, "There is no memory left.")
			       : ERR_OK;
}

int64_t facts_run_ensemble(const struct facts_run *run) { return run->ensemble; }

void facts_run_close(struct facts_run *run) {
	if (!run) return;
	for (size_t i = 0; i < SOURCES; i++) cursor_close(&run->cursor[i]);
	free(run);
}

enum err facts_of_component(struct store *st, const struct handbook *hb, int64_t id,
			    struct arena *a, struct component_facts *facts, struct fault *f) {
	struct facts_run *run;
	int64_t found = 0;
	enum err err = facts_run_open(&run, st, hb, id, id, f);
	if (err != ERR_OK) return err;
	err = facts_run_next(run, a, &found, facts, f);
	facts_run_close(run);
	if (err == ERR_OK && !found)
		err = fault_set(f, ERR_NOT_FOUND, NULL, "There is no part %lld.", (long long)id);
	return err;
}

/* --- members --------------------------------------------------------------------- */

SQL(facts_member_ensembles, "SELECT id, code, hazard, line FROM ensemble"
			    " WHERE member_id = ?1 AND active = 1 ORDER BY hazard, line, id");

/* Parts of the member's ensembles, and parts issued to the member, each once. */
#define MEMBER_PART_COLUMNS                                                                        \
	"SELECT c.id, c.tag, c.kind, c.hazard, c.reflective, c.maker, c.model, c.size,"            \
	" c.ensemble_id, i.member_id, h.given_name || ' ' || h.family_name, s.state,"              \
	" s.ready_until, s.blockers ->> '$[0].text'"
#define MEMBER_PART_JOINS                                                                          \
	" JOIN standing s ON s.component_id = c.id"                                                \
	" LEFT JOIN member h ON h.id = i.member_id"
SQL(facts_member_parts, MEMBER_PART_COLUMNS
    " FROM ensemble e JOIN component c ON c.ensemble_id = e.id"
    " LEFT JOIN issue i ON i.component_id = c.id AND i.returned_on IS NULL" MEMBER_PART_JOINS
    " WHERE e.member_id = ?1 AND e.active = 1 AND c.retired_on IS NULL"
    " UNION ALL " MEMBER_PART_COLUMNS " FROM issue i JOIN component c ON c.id = i.component_id"
    " LEFT JOIN ensemble e ON e.id = c.ensemble_id AND e.active = 1" MEMBER_PART_JOINS
    " WHERE i.member_id = ?1 AND i.returned_on IS NULL AND c.retired_on IS NULL"
    " AND e.member_id IS NOT i.member_id ORDER BY 1");

static enum err read_ensembles(struct store *st, struct arena *a, struct member_facts *facts,
			       struct fault *f) {
	struct cursor c;
	enum err err = cursor_open(&c, st, &facts_member_ensembles, f, "i", facts->member);
	struct member_ensemble *ensemble = NULL;
	size_t room = 0;
	bool more;
	while (err == ERR_OK && (err = cursor_next(&c, &more)) == ERR_OK && more) {
		void *array = ensemble;
		if (!grow(a, &array, facts->ensemble_count, &room, sizeof *ensemble)) break;
		ensemble = array;
		int hazard = word_find(hazard_word, HAZARD_COUNT, cursor_text(&c, 2));
		int line = word_find(ensemble_line_word, LINE_COUNT, cursor_text(&c, 3));
		ensemble[facts->ensemble_count++] = (struct member_ensemble){
		    .id = cursor_int(&c, 0),
		    .code = arena_strdup(a, cursor_text(&c, 1)),
		    .hazard = (enum hazard)(hazard < 0 ? 0 : hazard),
		    .line = (enum ensemble_line)(line < 0 ? 0 : line),
		};
	}
	cursor_close(&c);
	facts->ensemble = ensemble;
	return err;
}

static void fill_part(struct member_part *p, const struct cursor *c, const struct handbook *hb,
		      struct arena *a) {
	int hazard = word_find(hazard_word, HAZARD_COUNT, cursor_text(c, 3));
	int state = word_find(service_state_word, STATE_COUNT, cursor_text(c, 11));
	const char *until = cursor_text(c, 12);
	*p = (struct member_part){
	    .component = cursor_int(c, 0),
	    .tag = arena_strdup(a, cursor_text(c, 1)),
	    .kind = handbook_kind(hb, cursor_text(c, 2)),
	    .hazard = (enum hazard)(hazard < 0 ? 0 : hazard),
	    .reflective = cursor_int(c, 4) != 0,
	    .label = {.maker = arena_strdup(a, cursor_text(c, 5)),
		      .model = arena_strdup(a, cursor_text(c, 6)),
		      .size = arena_strdup(a, cursor_text(c, 7))},
	    .ensemble = cursor_int(c, 8),
	    .holder = cursor_int(c, 9),
	    .holder_name = arena_strdup(a, cursor_text(c, 10)),
	    .state = (enum service_state)(state < 0 ? 0 : state),
	    .ready_until = day_parse(until),
	    .blocker_text = arena_strdup(a, cursor_text(c, 13)),
	};
}

static enum err read_parts(struct store *st, const struct handbook *hb, struct arena *a,
			   struct member_facts *facts, struct fault *f) {
	struct cursor c;
	enum err err = cursor_open(&c, st, &facts_member_parts, f, "i", facts->member);
	struct member_part *part = NULL;
	size_t room = 0;
	bool more;
	while (err == ERR_OK && (err = cursor_next(&c, &more)) == ERR_OK && more) {
		void *array = part;
		if (!grow(a, &array, facts->part_count, &room, sizeof *part)) break;
		part = array;
		fill_part(&part[facts->part_count], &c, hb, a);
		if (!part[facts->part_count].kind)
			err = fault_set(f, ERR_CORRUPT, NULL, "Component %s has an unknown kind.",
					part[facts->part_count].tag);
		facts->part_count++;
	}
	cursor_close(&c);
	facts->part = part;
	return err;
}

/* In the order of enum interface. */
SQL(facts_fit_checks, "SELECT id, hazard, checked_on, is_short, overlap_um, coat_trousers,"
		      " hood_collar, hood_facepiece, glove_sleeve, trousers_boots, helmet_hood,"
		      " shroud_coat, overcover_faceshield FROM fit_check"
		      " WHERE member_id = ?1 AND revoked_on IS NULL ORDER BY checked_on, id");
#define FIRST_INTERFACE 5

static void take_fit_check(struct member_facts *facts, const struct cursor *c, struct arena *a) {
	int hazard = word_find(hazard_word, HAZARD_COUNT, cursor_text(c, 1));
	struct fit_record r = {.id = cursor_int(c, 0),
			       .on = cursor_day(c, 2),
			       .is_short = cursor_int(c, 3) != 0,
			       .check = {.hazard = (enum hazard)(hazard < 0 ? 0 : hazard),
					 .has_overlap = !cursor_is_null(c, 4),
					 .overlap = cursor_int(c, 4)}};
	for (int i = 0; i < INTERFACE_COUNT; i++) {
		int answer = word_find(interface_answer_word, INTERFACE_ANSWER_COUNT,
				       cursor_text(c, FIRST_INTERFACE + i));
		r.check.answer[i] = answer < 0 ? INTERFACE_NOT_WORN : (enum interface_answer)answer;
	}
	fit_state_take(&facts->fit[r.check.hazard], &r, a);
}

static enum err read_fit_checks(struct store *st, struct arena *a, struct member_facts *facts,
				struct fault *f) {
	struct cursor c;
	bool more;
	enum err err = cursor_open(&c, st, &facts_fit_checks, f, "i", facts->member);
	while (err == ERR_OK && (err = cursor_next(&c, &more)) == ERR_OK && more)
		take_fit_check(facts, &c, a);
	cursor_close(&c);
	return err;
}

enum err facts_of_member(struct store *st, const struct handbook *hb, int64_t member,
			 struct arena *a, struct member_facts *facts, struct fault *f) {
	*facts = (struct member_facts){.member = member};
	enum err err = read_ensembles(st, a, facts, f);
	if (err == ERR_OK) err = read_parts(st, hb, a, facts, f);
	if (err == ERR_OK) err = read_fit_checks(st, a, facts, f);
	if (err == ERR_OK && arena_failed(a))
		err = fault_set(f, ERR_MEMORY, NULL, "There is no memory left.");
	return err;
}
