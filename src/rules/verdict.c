#include "rules/verdict.h"

#include <string.h>

#include "base/text.h"
#include "rules/kind.h"

const char *const answer_word[ANSWER_COUNT] = {"", "sound", "finding", "not_applicable"};
const char *const agreement_word[AGREEMENT_COUNT] = {"", "yes", "no", "not_applicable"};
const char *const conclusion_word[CONCLUSION_COUNT] = {
    "not_finished", "clean_first", "return_to_service", "out_of_service", "retire"};
const char *const conclusion_label[CONCLUSION_COUNT] = {
    "Not finished", "Clean first", "Return to service", "Out of service", "Retire"};

/* --- what is asked ------------------------------------------------------------ */

static bool is_open_at(const struct part_subject *s, const char *check_point) {
	for (size_t i = 0; i < s->open_count; i++)
		if (strcmp(s->open[i].check_point, check_point) == 0) return true;
	return false;
}

bool point_is_asked(const struct check_point *point, const struct part_subject *s) {
	if (point->needs_trim && !s->trim) return false;
	if (point->reflective != WANTS_EITHER && (point->reflective == WANTS_YES) != s->reflective)
		return false;
	if (point->asked[s->inspection]) return true;
	return s->inspection == INSPECTION_RETURN && is_open_at(s, point->code);
}

/* Dirt hides damage, so all but the wearer's own check begin with clean gear. */
bool part_asks_clean(const struct part_subject *s) { return s->inspection != INSPECTION_ROUTINE; }

bool part_asks_labels(const struct handbook *hb, const struct part_subject *s) {
	if (s->inspection == INSPECTION_ROUTINE) return false;
	for (size_t i = 0; i < hb->fit_count; i++)
		if (hb->fit[i].shell == s->kind || hb->fit[i].part == s->kind) return true;
	return false;
}

static bool stood_before(const struct part_record *part, const char *code) {
	const struct standing *before = part->before;
	for (size_t i = 0; before && i < before->blocker_count; i++)
		if (strcmp(before->blocker[i].code, code) == 0) return true;
	return false;
}

bool part_waits_for_cleaning(const struct part_record *part) {
	const struct part_subject *s = &part->subject;
	if (!part->before || !part_asks_clean(s)) return false;
	if (stood_before(part, "contaminated") || stood_before(part, "came_back_soiled"))
		return true;
	for (size_t i = 0; i < s->open_count; i++)
		if (s->open[i].outcome && s->open[i].outcome->closed_by == CLOSED_BY_CLEANING)
			return true;
	return false;
}

/* Whatever the eye says. */
bool part_is_dirty(const struct part_record *part) {
	return part_waits_for_cleaning(part) ||
	       (part_asks_clean(&part->subject) && part->clean == AGREES_NO);
}

bool part_is_away(const struct part_record *part) {
	return part->has_left || stood_before(part, "at_provider");
}

/* --- a finding ------------------------------------------------------------------ */

size_t allowed_outcomes(const struct subject_defect *d,
			struct allowed_outcome allowed[ALLOWED_OUTCOMES_MAX]) {
	size_t count = 0;
	allowed[count++] = (struct allowed_outcome){.outcome = d->outcome, .is_default = true};
	for (size_t i = 0; d->or_outcome[i]; i++)
		allowed[count++] = (struct allowed_outcome){.outcome = d->or_outcome[i]};
	for (size_t i = 0; d->with_reason[i]; i++)
		allowed[count++] =
		    (struct allowed_outcome){.outcome = d->with_reason[i], .needs_reason = true};
	return count;
}

/* What a finding is checked with. */
struct check {
	const struct finding *fd;
	const struct handbook *hb;
	const struct checklist *list;
	const struct check_point *point;
	const struct subject_defect *defect;
	struct fault_list *faults;
	struct arena *a;
};

static void check_zone(const struct check *c) {
	const struct finding *fd = c->fd;
	const struct zone *zone = handbook_zone(c->hb, c->list->kind, fd->zone);
	if (fd->zone && !zone)
		fault_list_add(c->faults, c->a, "zone",
			       "Choose a place that this kind of part has.");
	if (fd->face &&
	    (word_find(face_word, FACE_COUNT, fd->face) < 0 || (zone && !zone->has_faces)))
		fault_list_add(c->faults, c->a, "face",
			       "Say front or back only where the place has both.");
	if (fd->side &&
	    (word_find(side_word, SIDE_COUNT, fd->side) < 0 || (zone && !zone->has_sides)))
		fault_list_add(c->faults, c->a, "side",
			       "Say outside or inside only where the place has both.");
}

/* Whoever mends a seam must find the spot again: zone, face and words. */
static void check_seam(const struct check *c) {
	const struct finding *fd = c->fd;
	const struct zone *zone = handbook_zone(c->hb, c->list->kind, fd->zone);
	if (!fd->zone)
		fault_list_add(c->faults, c->a, "zone", "Say where on the part the seam is.");
	if (zone && zone->has_faces && !fd->face)
		fault_list_add(c->faults, c->a, "face",
			       "Say whether it is on the front or the back.");
	if (text_empty(fd->place))
		fault_list_add(c->faults, c->a, "place",
			       "Describe the exact spot on the seam, so that it is found again.");
}

static const struct allowed_outcome *find_allowed(const struct allowed_outcome *allowed,
						  size_t count, const char *code) {
	for (size_t i = 0; code && i < count; i++)
		if (strcmp(allowed[i].outcome->code, code) == 0) return &allowed[i];
	return NULL;
}

bool finding_check_outcome(const struct finding *fd, const struct subject_defect *d,
			   struct fault_list *faults, struct arena *a) {
	struct allowed_outcome allowed[ALLOWED_OUTCOMES_MAX];
	size_t count = allowed_outcomes(d, allowed), before = faults->total;
	const struct allowed_outcome *chosen = find_allowed(allowed, count, fd->outcome);
	if (!chosen) {
		fault_list_add(faults, a, "outcome",
			       "This finding cannot have that outcome. The trade's own is \"%s\".",
			       d->outcome->label);
		return false;
	}
	if (chosen->needs_reason && text_empty(fd->override_reason))
		fault_list_add(
		    faults, a, "override_reason",
		    "The trade's own outcome is \"%s\". Give the department's reason for a "
		    "looser one.",
		    d->outcome->label);
	if (text_equal(fd->severity, severity_word[SEVERITY_CRITICAL]) && !chosen->outcome->blocks)
		fault_list_add(faults, a, "outcome",
			       "A part with critical damage cannot serve on.");
	return faults->total == before;
}

#define LENGTH_MM_MAX 5000 /* longer than any seam of a coat */

static void check_rest(const struct check *c) {
	if (word_find(severity_word, SEVERITY_COUNT, c->fd->severity) < 0)
		fault_list_add(c->faults, c->a, "severity", "Say minor, major or critical.");
	finding_check_outcome(c->fd, c->defect, c->faults, c->a);
	if (c->fd->length_mm < 0 || c->fd->length_mm > LENGTH_MM_MAX)
		fault_list_add(c->faults, c->a, "length_mm", "Give a length from 1 to %d mm.",
			       LENGTH_MM_MAX);
}

bool finding_check(const struct finding *fd, const struct handbook *hb,
		   const struct checklist *list, struct fault_list *faults, struct arena *a) {
	struct check c = {.fd = fd, .hb = hb, .list = list, .faults = faults, .a = a};
	size_t before = faults->total;
	c.point = checklist_point(list, fd->check_point);
	if (!c.point) {
		fault_list_add(faults, a, "check_point",
			       "Choose a check point of this part's check list.");
		return false;
	}
	check_zone(&c);
	if (c.point->is_seam) check_seam(&c);
	c.defect = subject_defect_find(c.point->subject, fd->defect);
	if (c.defect) check_rest(&c);
	else
		fault_list_add(faults, a, "defect",
			       "Choose what was found from the words for this check point.");
	return faults->total == before;
}

enum repair_class finding_repair_class(const struct subject_defect *d, int length_mm) {
	if (d->repair_class != REPAIR_BASIC || d->basic_up_to_mm == 0) return d->repair_class;
	return length_mm > 0 && length_mm <= d->basic_up_to_mm ? REPAIR_BASIC : REPAIR_ADVANCED;
}

/* --- the verdict ------------------------------------------------------------------ */

struct work {
	const struct part_record *part;
	const struct handbook *hb;
	struct arena *a;
	struct blocker *blocker;
	size_t blocker_count;
	struct unanswered *unanswered;
	size_t unanswered_count;
	struct follow_up *follow_up;
	size_t follow_up_count;
	bool retires;
};

static bool has_finding(const struct part_record *part, const char *check_point) {
	for (size_t i = 0; i < part->finding_count; i++)
		if (strcmp(part->finding[i].check_point, check_point) == 0) return true;
	return false;
}

/* What is still to do at a point; NULL when it is answered. */
static const char *point_lacks(const struct part_record *part, const struct check_point *point) {
	bool found = has_finding(part, point->code);
	switch (part->answer[point->index]) {
	case ANSWER_SOUND:
		return found ? "Answered sound, but a finding is written down. Correct one." : NULL;
	case ANSWER_FINDING: return found ? NULL : "Write down what was found.";
	case ANSWER_NOT_APPLICABLE:
		if (!point->is_optional) return "Every part of this kind has it: look at it.";
		return found
			   ? "Answered not applicable, but a finding is written down. Correct one."
			   : NULL;
	default: return "Not answered.";
	}
}

static void lack(struct work *w, const struct check_point *point, const char *code,
		 const char *text) {
	w->unanswered[w->unanswered_count++] = (struct unanswered){point, code, text};
}

static void gather_unanswered(struct work *w) {
	const struct part_record *part = w->part;
	const struct part_subject *s = &part->subject;
	if (part_is_dirty(part) || part_is_away(part)) return;
	if (part_asks_clean(s) && part->clean == AGREES_UNANSWERED)
		lack(w, NULL, "clean", "Is it clean?");
	if (part_asks_labels(w->hb, s)) {
		if (part->model_agrees == AGREES_UNANSWERED)
			lack(w, NULL, "model_agrees", "Do the labels agree in model?");
		if (part->size_agrees == AGREES_UNANSWERED)
			lack(w, NULL, "size_agrees", "Do the labels agree in size?");
	}
	for (size_t i = 0; i < part->checklist->point_count; i++) {
		const struct check_point *point = &part->checklist->point[i];
		const char *text = point_is_asked(point, s) ? point_lacks(part, point) : NULL;
		if (text) lack(w, point, point->code, text);
	}
}

static void block(struct work *w, const char *code, int64_t finding, const char *text) {
	w->blocker[w->blocker_count++] =
	    (struct blocker){.code = code, .text = text, .finding = finding};
}

static void gather_preparation(struct work *w) {
	if (w->part->has_left)
		block(
		    w, "left_meanwhile", 0,
		    "It left for a provider while it was being inspected: this inspection is none "
		    "of it. When it is back, inspect it anew.");
	if (part_is_dirty(w->part))
		block(w, "not_clean", 0,
		      "Not clean: dirt hides damage. Clean it, then inspect it.");
	if (!part_asks_labels(w->hb, &w->part->subject)) return;
	if (w->part->model_agrees == AGREES_NO)
		block(w, "labels_disagree", 0,
		      "Labels disagree in model: HOLD. Ask the maker or a verified provider.");
	if (w->part->size_agrees == AGREES_NO)
		block(w, "labels_disagree", 0,
		      "Labels disagree in size: HOLD. Ask the maker or a verified provider.");
}

static const char *finding_text(const struct work *w, const struct finding *fd,
				const struct check_point *point, const struct subject_defect *d,
				const struct outcome *outcome) {
	const struct zone *zone = handbook_zone(w->hb, w->part->subject.kind, fd->zone);
	return arena_printf(w->a, "%s: %s%s%s%s%s. %s.", point->title, d->defect->label,
			    zone ? ", " : "", zone ? zone->label : "",
			    text_empty(fd->place) ? "" : ", ",
			    text_empty(fd->place) ? "" : fd->place, outcome->label);
}

static void follow_beneath(struct work *w, const struct finding *fd,
			   const struct subject_defect *d) {
	const struct kind *above = w->part->subject.kind;
	for (size_t i = 0; i < w->hb->kind_count; i++) {
		const struct kind *k = &w->hb->kind[i];
		if (!kind_is_beneath(w->hb, above, k)) continue;
		w->follow_up[w->follow_up_count++] = (struct follow_up){
		    .finding = fd,
		    .kind = k,
		    .duty = kind_thorough_duty(k),
		    .reason = arena_printf(w->a,
					   "%s above it: %s. Damage may have gone through; "
					   "inspect it thoroughly before use.",
					   above->label, d->defect->label)};
	}
}

static void gather_findings(struct work *w) {
	for (size_t i = 0; i < w->part->finding_count; i++) {
		const struct finding *fd = &w->part->finding[i];
		const struct check_point *point =
		    checklist_point(w->part->checklist, fd->check_point);
		const struct subject_defect *d =
		    point ? subject_defect_find(point->subject, fd->defect) : NULL;
		const struct outcome *outcome = handbook_outcome(w->hb, fd->outcome);
		if (!d || !outcome) { /* cannot have passed finding_check: never let it through */
			block(w, "finding", fd->id, "A finding that the handbook does not know.");
			continue;
		}
		if (outcome->blocks)
			block(w, outcome->retires ? "retire_finding" : "finding", fd->id,
			      finding_text(w, fd, point, d, outcome));
		w->retires = w->retires || outcome->retires;
		if (d->beneath_due) follow_beneath(w, fd, d);
	}
}

bool verdict_can_mend(const struct part_record *part, const struct open_finding *open) {
	const struct check_point *point = checklist_point(part->checklist, open->check_point);
	bool may_end = open->outcome && open->outcome->closed_by == CLOSED_BY_RETURN &&
		       open->came_back_on != DAY_NONE && open->came_back_on <= part->on;
	return may_end && !part_is_dirty(part) && !part_is_away(part) &&
	       part->subject.inspection == INSPECTION_RETURN && point &&
	       point_is_asked(point, &part->subject);
}

bool verdict_mends(const struct part_record *part, const struct open_finding *open) {
	if (!verdict_can_mend(part, open)) return false;
	const struct check_point *point = checklist_point(part->checklist, open->check_point);
	return part->answer[point->index] == ANSWER_SOUND && !has_finding(part, open->check_point);
}

static bool lifts_finding(const struct work *w, int64_t finding) {
	const struct part_subject *s = &w->part->subject;
	for (size_t i = 0; i < s->open_count; i++)
		if (s->open[i].id == finding) return verdict_mends(w->part, &s->open[i]);
	return false;
}

/* What was answered before the damage above it was known does not count; nor does it when
 * nobody can say when that was. */
static bool became_due_meanwhile(const struct part_record *part, const struct blocker *b) {
	return part->started_at && (!b->raised_at || strcmp(b->raised_at, part->started_at) > 0);
}

/* Yes ends what stood before, no has been said afresh; "does not apply" settles nothing. */
static bool settles(enum agreement answer) { return answer == AGREES_YES || answer == AGREES_NO; }

static bool lifts_labels(const struct work *w, const struct blocker *b) {
	if (!part_asks_labels(w->hb, &w->part->subject)) return false;
	if (text_equal(b->question, "model_agrees")) return settles(w->part->model_agrees);
	return text_equal(b->question, "size_agrees") && settles(w->part->size_agrees);
}

/* Does this inspection, once signed, take a blocker from before out of the way? */
static bool lifts(const struct work *w, const struct blocker *b) {
	const struct part_subject *s = &w->part->subject;
	if (part_is_away(w->part)) return false;
	if (strcmp(b->code, "not_clean") == 0) return part_asks_clean(s) && settles(w->part->clean);
	if (strcmp(b->code, "labels_disagree") == 0) return lifts_labels(w, b);
	if (part_is_dirty(w->part)) return false;
	if (strcmp(b->code, "return_inspection") == 0)
		return duty_done_by(DUTY_RETURN_INSPECTION, s->inspection);
	if (strcmp(b->code, "thorough_inspection") == 0)
		return duty_done_by(kind_thorough_duty(s->kind), s->inspection) &&
		       !became_due_meanwhile(w->part, b);
	if (strcmp(b->code, "finding") == 0) return lifts_finding(w, b->finding);
	if (strcmp(b->code, "came_back_damaged") == 0)
		return duty_done_by(DUTY_ADVANCED_INSPECTION, s->inspection);
	if (strcmp(b->code, "unfit") == 0) return s->inspection != INSPECTION_ROUTINE;
	return false;
}

static void gather_before(struct work *w) {
	const struct standing *before = w->part->before;
	for (size_t i = 0; before && i < before->blocker_count; i++) {
		const struct blocker *b = &before->blocker[i];
		if (lifts(w, b)) continue;
		w->blocker[w->blocker_count++] = *b;
		w->retires = w->retires || strcmp(b->code, "retire_finding") == 0;
	}
}

static enum conclusion conclude(const struct work *w) {
	if (part_is_away(w->part)) return CONCLUSION_NOT_FINISHED;
	if (part_is_dirty(w->part)) return CONCLUSION_CLEAN_FIRST;
	if (w->unanswered_count) return CONCLUSION_NOT_FINISHED;
	if (w->retires) return CONCLUSION_RETIRE;
	return w->blocker_count ? CONCLUSION_OUT_OF_SERVICE : CONCLUSION_RETURN_TO_SERVICE;
}

#define QUESTIONS 3 /* clean, model, size */
#define LEFT 1

void verdict_make(struct verdict *v, const struct part_record *part, const struct handbook *hb,
		  struct arena *a) {
	struct work w = {.part = part, .hb = hb, .a = a};
	*v = (struct verdict){.conclusion = CONCLUSION_NOT_FINISHED};
	size_t before = part->before ? part->before->blocker_count : 0;
	w.blocker = arena_array(a, struct blocker, QUESTIONS + LEFT + part->finding_count + before);
	w.unanswered = arena_array(a, struct unanswered, QUESTIONS + part->checklist->point_count);
	w.follow_up = arena_array(a, struct follow_up, part->finding_count * hb->kind_count + 1);
	if (arena_failed(a)) return; /* the arena remembers; not finished is the safe answer */
	gather_unanswered(&w);
	gather_preparation(&w);
	gather_findings(&w);
	gather_before(&w);
	*v = (struct verdict){.conclusion = conclude(&w),
			      .blocker = w.blocker,
			      .blocker_count = w.blocker_count,
			      .unanswered = w.unanswered,
			      .unanswered_count = w.unanswered_count,
			      .follow_up = w.follow_up,
			      .follow_up_count = w.follow_up_count};
}

void verdict_lies_beneath(struct verdict *v, const struct follow_up *u, const char *above,
			  struct arena *a) {
	if (v->conclusion == CONCLUSION_RETURN_TO_SERVICE)
		v->conclusion = CONCLUSION_OUT_OF_SERVICE;
	struct blocker *more = arena_array(a, struct blocker, v->blocker_count + 1);
	if (!more) return; /* the arena remembers */
	for (size_t i = 0; i < v->blocker_count; i++) more[i] = v->blocker[i];
	more[v->blocker_count++] = (struct blocker){
	    .code = "thorough_inspection", .text = arena_printf(a, "%s (%s)", u->reason, above)};
	v->blocker = more;
}
