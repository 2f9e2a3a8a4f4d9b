/*
 * The rules the department follows (officers): the rule set, and where it differs.
 *
 * The field table is built for the rule set in use: two fields a rule.
 */
#include "rules/amend.h"

#include <stdio.h>
#include <string.h>

#include "base/limits.h"
#include "handlers/app.h"
#include "handlers/duties.h"
#include "handlers/performer.h"
#include "handlers/routes.h"
#include "handlers/settings.h"
#include "handlers/words.h"
#include "store/component.h"
#include "store/derive.h"
#include "store/duty_rows.h"
#include "store/handbook.h"
#include "store/setting.h"

#define ADJUSTMENTS "adjustments"

static const struct choice age_choice[] = {
    {"strict", "From the first day of the month of the limit on"},
    {"end_of_month", "To the end of the month of the limit"},
    {NULL, NULL}};
static const struct choice cleaning_choice[] = {
    {"interval", "One every so many months"}, {"count", "So many in any 12 months"}, {NULL, NULL}};

static const struct choice routine_choice[] = {
    {"no", "Done, and not written down"}, {"yes", "A duty on record"}, {NULL, NULL}};

static const struct choice *set_choices(struct arena *a, const struct handbook *hb) {
	struct choice *choice = arena_array(a, struct choice, hb->rule_set_count + 1);
	for (size_t i = 0; choice && i < hb->rule_set_count; i++)
		choice[i] = (struct choice){hb->rule_set[i].code, hb->rule_set[i].label};
	return choice;
}

static const char *thousandths_text(struct arena *a, int64_t n) {
	char text[32];
	snprintf(text, sizeof text, "%lld.%03lld", (long long)(n / 1000), (long long)(n % 1000));
	size_t length = strlen(text);
	while (text[length - 1] == '0') text[--length] = '\0';
	if (text[length - 1] == '.') text[--length] = '\0';
	return arena_strdup(a, text);
}

static struct field months_field(struct arena *a, const struct rule *rule, const char *suffix,
				 const char *words, int own) {
	return (struct field){
	    .name = arena_printf(a, "%s%s", rule->code, suffix),
	    .label = arena_printf(a, "%s: %s, in months", rule->label, words),
	    .help =
		own ? arena_printf(a, "Empty: %d, as the rule set says (%s).", own, rule->source)
		    : arena_printf(a, "Empty: not dated; the rule set names no time (%s).",
				   rule->source),
	    .kind = FIELD_INTEGER,
	    .min = 1,
	    .max = LIMIT_MONTHS_MAX};
}

static struct field limit_field(struct arena *a, const struct limit_value *l) {
	return (struct field){
	    .name = arena_printf(a, "limit_%s", l->code),
	    .label = arena_printf(a, "%s: at %s, in %s", l->label, l->is_minimum ? "least" : "most",
				  unit_label[l->unit]),
	    .help =
		arena_printf(a, "Empty: %s (%s).", thousandths_text(a, l->thousandths), l->source),
	    .kind = FIELD_DECIMAL,
	    .max = 10 * l->thousandths};
}

/* In the order of enum adjustments. */
static const struct choice adjustments_choice[] = {
    {"keep", "Keep them"}, {"drop", "Drop them"}, {NULL, NULL}};

static struct resource *rules_of(struct arena *a, const struct handbook *hb,
				 const struct program *p) {
	const struct rule_set *set = p->set;
	struct field *field =
	    arena_array(a, struct field, 10 + 2 * set->rule_count + LIMIT_OF_LAB_FIRST);
	struct resource *r = arena_new(a, struct resource);
	if (!field || !r) return NULL;
	size_t n = 0;
	field[n++] = (struct field){.name = "rule_set",
				    .label = "Rule set",
				    .help = "Which edition or rule the department follows; the "
					    "fields below follow it.",
				    .kind = FIELD_CHOICE,
				    .required = true,
				    .choice = set_choices(a, hb)};
	field[n++] =
	    (struct field){.name = ADJUSTMENTS,
			   .label = "The times of its own that the department has",
			   .help = "They were set beside the rule set before. What the new "
				   "one has no rule for is dropped.",
			   .kind = FIELD_CHOICE,
			   .choice = adjustments_choice};
	field[n++] = (struct field){.name = "own_rules_name",
				    .label = "Name of the department's rules",
				    .help = "Shown beside the rule set; empty: none.",
				    .kind = FIELD_TEXT,
				    .max = LIMIT_NAME_CHARS_MAX,
				    .example = "Harbor rules 2027"};
	field[n++] = (struct field){
	    .name = RISK_REVIEWED_ON,
	    .label = "Risk assessment behind the choice of gear, last reviewed on",
	    .help =
		"Texas asks for a review every five years at least (37 Tex. Admin. Code 435.1). "
		"Empty: not on record.",
	    .kind = FIELD_DAY};
	field[n++] = (struct field){.name = "age_reading",
				    .label = "Retired by age",
				    .kind = FIELD_CHOICE,
				    .required = true,
				    .choice = age_choice};
	field[n++] = (struct field){.name = "cleaning_reading",
				    .label = "Advanced cleanings are asked for as",
				    .kind = FIELD_CHOICE,
				    .required = true,
				    .choice = cleaning_choice};
	field[n++] =
	    (struct field){.name = "routine_on_issue",
			   .label = "Routine inspection when gear is issued",
			   .help = "2020 asks for the look; no edition for a record of it.",
			   .kind = FIELD_CHOICE,
			   .required = true,
			   .choice = routine_choice};
	field[n++] = (struct field){.name = "routine_after_exposure",
				    .label = "Routine inspection after an exposure on record",
				    .kind = FIELD_CHOICE,
				    .required = true,
				    .choice = routine_choice};
	field[n++] =
	    (struct field){.name = "routine_duty_days",
			   .label = "Routine inspection at the beginning of duty, days between "
				    "looks on record",
			   .help = "Of what a member holds: the longest time from one duty period "
				   "to the next. 0: done, and not written down.",
			   .kind = FIELD_INTEGER,
			   .required = true,
			   .max = LIMIT_DUTY_DAYS_MAX};
	for (size_t i = 0; i < set->rule_count; i++) {
		const struct rule *rule = &set->rule[i];
		bool once = rule->duty == DUTY_RETIREMENT;
		field[n++] =
		    months_field(a, rule, "_first_months",
				 once ? "from manufacture" : "the first time", rule->first_months);
		if (once) continue;
		field[n++] =
		    months_field(a, rule, "_repeat_months", "each next time",
				 rule->repeat_months ? rule->repeat_months : rule->first_months);
	}
	for (int i = 0; i < LIMIT_OF_LAB_FIRST; i++) field[n++] = limit_field(a, &hb->limit[i]);
	field[n++] = (struct field){.name = "reason",
				    .label = "Reason",
				    .help = "Needed where something becomes looser than the rule "
					    "set says, or the rule set than the one before; it "
					    "is recorded.",
				    .kind = FIELD_TEXT};
	*r = (struct resource){"rules", "rules", field, n};
	return r;
}

static enum err rule_resource(struct request *rq, const struct resource **resource) {
	const struct handbook *hb = app_handbook(request_app(rq));
	struct program *p;
	enum err err = program_load(request_store(rq), hb, &rq->arena, &p, &rq->fault);
	if (err != ERR_OK) return err;
	*resource = rules_of(&rq->arena, hb, p);
	return *resource ? ERR_OK : request_fail(rq, ERR_MEMORY, "There is no memory left.");
}

/* --- the table of rules ------------------------------------------------------------------ */

static const char *months_words(struct arena *a, enum duty_code duty, int first, int repeat) {
	if (!first) return "not dated";
	if (duty == DUTY_RETIREMENT) return arena_printf(a, "%d months from manufacture", first);
	if (!repeat || first == repeat) return arena_printf(a, "every %d months", first);
	return arena_printf(a, "after %d months, then every %d", first, repeat);
}

static const char *reason_for(const struct doc *reasons, const char *name) {
	for (const struct doc *r = reasons->first; name && r; r = r->next)
		if (text_equal(doc_text(r, "name"), name)) return doc_text(r, "reason");
	return NULL;
}

static void add_rule(struct doc *list, const struct program_rule *r, const struct doc *reasons) {
	struct arena *a = list->arena;
	const struct rule *rule = r->rule;
	int again = rule->repeat_months ? rule->repeat_months : rule->first_months;
	bool once = rule->duty == DUTY_RETIREMENT;
	bool differs =
	    r->first_months != rule->first_months || (!once && r->repeat_months != again);
	bool looser = rule->first_months &&
		      (r->first_months > rule->first_months || (!once && r->repeat_months > again));
	struct doc *m = doc_add_map(list);
	doc_set_text(m, "code", rule->code);
	doc_set_text(m, "label", rule->label);
	doc_set_text(m, "duty", rule->duty_code);
	doc_set_text(m, "set_value",
		     months_words(a, rule->duty, rule->first_months, rule->repeat_months));
	doc_set_text(m, "own_value",
		     differs ? months_words(a, rule->duty, r->first_months, r->repeat_months)
			     : NULL);
	doc_set_text(m, "effect", !differs ? NULL : looser ? "looser" : "tighter");
	const char *why = reason_for(reasons, arena_printf(a, "%s_first_months", rule->code));
	if (!why) why = reason_for(reasons, arena_printf(a, "%s_repeat_months", rule->code));
	doc_set_text(m, "reason", looser ? why : NULL);
	doc_set_text(m, "source", rule->source);
	doc_set_text(m, "confidence", rule->confidence);
	doc_set_text(m, "confidence_words", choice_label(confidence_choice, rule->confidence));
	doc_set_bool(m, "is_low", text_equal(rule->confidence, "low"));
}

/* What is measured, and where it ends; of a laboratory's values for reading only. */
static void add_limit(struct doc *list, const struct program *p, enum limit_code code,
		      const struct doc *reasons) {
	struct arena *a = list->arena;
	const struct limit_value *l = &p->handbook->limit[code];
	int64_t own = p->limit[code];
	bool differs = own != l->thousandths, looser = l->is_minimum == (own < l->thousandths);
	int64_t kept = 0;
	struct doc *m = doc_add_map(list);
	doc_set_text(m, "code", l->code);
	doc_set_text(m, "label", l->label);
	doc_set_null(m, "duty");
	doc_set_printf(m, "set_value", "at %s %s", l->is_minimum ? "least" : "most",
		       unit_keep(l->unit, l->thousandths, &kept) ? unit_text(l->unit, kept, a)
								 : "");
	doc_set_text(m, "own_value", differs ? program_limit_text(p, code, a) : NULL);
	doc_set_text(m, "effect", !differs ? NULL : looser ? "looser" : "tighter");
	doc_set_text(m, "reason",
		     differs && looser ? reason_for(reasons, arena_printf(a, "limit_%s", l->code))
				       : NULL);
	doc_set_text(m, "source", l->source);
	doc_set_text(m, "confidence", l->confidence);
	doc_set_text(m, "confidence_words", choice_label(confidence_choice, l->confidence));
	doc_set_bool(m, "is_low", text_equal(l->confidence, "low"));
}

/* How ages and cleanings are read: the department's, whatever rule set it follows. */
static void add_reading(struct doc *list, const char *name, const char *label, bool is_looser,
			const struct choice *words, const struct doc *reasons) {
	struct doc *m = doc_add_map(list);
	doc_set_text(m, "code", name);
	doc_set_text(m, "label", label);
	doc_set_null(m, "duty");
	doc_set_text(m, "set_value", words[0].label);
	doc_set_text(m, "own_value", is_looser ? words[1].label : NULL);
	doc_set_text(m, "effect", is_looser ? "looser" : NULL);
	doc_set_text(m, "reason", is_looser ? reason_for(reasons, name) : NULL);
	doc_set_text(m, "source", "decided here: the stricter reading");
	doc_set_text(m, "confidence", "medium");
	doc_set_text(m, "confidence_words", choice_label(confidence_choice, "medium"));
	doc_set_bool(m, "is_low", false);
}

static void add_rules(struct doc *page, const struct program *p, const struct doc *reasons) {
	struct doc *list = doc_set_list(page, "rules");
	for (size_t i = 0; i < p->set->rule_count; i++) add_rule(list, &p->rule[i], reasons);
	add_reading(list, "age_reading", "How an age limit is read", p->end_of_month, age_choice,
		    reasons);
	add_reading(list, "cleaning_reading", "How cleanings are counted", p->count_cleanings,
		    cleaning_choice, reasons);
	struct doc *limits = doc_set_list(page, "limits"), *new = doc_set_list(page, "new_product");
	for (int i = 0; i < LIMIT_OF_COUNT; i++)
		add_limit(i < LIMIT_OF_LAB_FIRST ? limits : new, p, (enum limit_code)i, reasons);
}

/* --- showing and storing ------------------------------------------------------------------- */

/* Asked only where another rule set leaves something to decide: then there is a fault, or
 * somebody has answered already. */
static void ask_adjustments(struct request *rq, const struct resource *r, struct doc *form) {
	const struct value *v = request_values(rq, r);
	bool answered = false;
	for (size_t i = 0; v && i < r->field_count; i++)
		answered |= text_equal(r->field[i].name, ADJUSTMENTS) && value_text(&v[i]);
	if (!answered && !fault_list_find(&rq->faults, ADJUSTMENTS))
		fields_form_remove(form, ADJUSTMENTS);
}

static bool text_ends(const char *text, const char *end) {
	size_t length = strlen(text), tail = strlen(end);
	return length >= tail && strcmp(text + length - tail, end) == 0;
}

/* The many numbers fold away by kind; one that the department set, or that is wrong, is in sight.
 */
static void fold_numbers(struct doc *page, struct doc *form) {
	bool times_open = false, limits_open = false;
	for (struct doc *m = form ? form->first : NULL; m; m = m->next) {
		const char *name = doc_text(m, "name");
		bool shows = !text_empty(doc_text(m, "value")) || doc_text(m, "error");
		bool time = text_ends(name, "_months"), limit = text_starts(name, "limit_");
		bool last = text_equal(name, "reason");
		times_open |= time && shows;
		limits_open |= limit && shows;
		doc_set_bool(m, "is_time", time);
		doc_set_bool(m, "is_limit", limit);
		doc_set_bool(m, "is_last", last);
		doc_set_bool(m, "is_first", !time && !limit && !last);
	}
	doc_set_bool(page, "times_open", times_open);
	doc_set_bool(page, "limits_open", limits_open);
}

static enum err rule_show(struct request *rq) {
	const struct handbook *hb = app_handbook(request_app(rq));
	struct doc *current, *page = rq->doc = doc_map(&rq->arena);
	struct doc *reasons = doc_set_list(page, "reasons");
	struct program *p;
	enum err err = program_load(request_store(rq), hb, &rq->arena, &p, &rq->fault);
	if (err == ERR_OK) err = settings_current(rq, &current, reasons);
	if (err == ERR_OK) err = setting_version(request_store(rq), &rq->version, &rq->fault);
	if (err != ERR_OK) return err;
	if ((err = duty_rules_named(rq, page)) != ERR_OK) return err;
	if ((err = risk_review_document(rq, page)) != ERR_OK) return err;
	if ((err = performer_table(request_store(rq), page, &rq->fault)) != ERR_OK) return err;
	doc_set_text(current, "rule_set", p->set->code);
	/* The form is for the fields that were read, where any were. */
	const struct resource *r = rq->value ? rq->resource : rules_of(&rq->arena, hb, p);
	if (!r) return request_fail(rq, ERR_MEMORY, "There is no memory left.");
	struct doc *form =
	    fields_form(r, &rq->arena, current, request_values(rq, r), &rq->faults, rq->stale_form);
	ask_adjustments(rq, r, form);
	fold_numbers(page, form);
	doc_set(page, "form", form);
	doc_set_text(page, "rule_set", p->set->code);
	doc_set_text(page, "set_reason", reason_for(reasons, "rule_set"));
	doc_set_text(page, "source", p->set->source);
	doc_set_int(page, "version", rq->version);
	add_rules(page, p, reasons);
	doc_set_null(page, "preview");
	rq->title = "Rules";
	return ERR_OK;
}

/* What is asked of the rules; the name is a setting by itself. */
struct asking {
	struct settings rules;
	enum adjustments choice;
	const char *reason, *name, *reviewed_on;
};

static enum err take_asked(struct request *rq, void *context, const char *name, const char *value) {
	struct asking *ask = context;
	(void)rq;
	if (text_equal(name, "reason")) ask->reason = value;
	else if (text_equal(name, ADJUSTMENTS))
		ask->choice = text_equal(value, "keep")   ? ADJUSTMENTS_KEEP
			      : text_equal(value, "drop") ? ADJUSTMENTS_DROP
							  : ADJUSTMENTS_UNASKED;
	else if (text_equal(name, "own_rules_name")) ask->name = value;
	else if (text_equal(name, RISK_REVIEWED_ON)) ask->reviewed_on = value;
	else ask->rules.setting[ask->rules.count++] = (struct program_setting){name, value};
	return ERR_OK;
}

static enum err read_asking(struct request *rq, struct asking *ask) {
	*ask = (struct asking){0};
	ask->rules.setting =
	    arena_array(&rq->arena, struct program_setting, rq->resource->field_count);
	if (!ask->rules.setting) return request_fail(rq, ERR_MEMORY, "There is no memory left.");
	enum err err = settings_changed(rq, take_asked, ask);
	if (err == ERR_OK && ask->reviewed_on && day_parse(ask->reviewed_on) > rq->today)
		err = request_field_fault(rq, RISK_REVIEWED_ON,
					  "This day is in the future. Give the day it was done.");
	return err;
}

static enum err rule_store(struct request *rq) {
	struct asking ask;
	struct store *st = request_store(rq);
	enum err err = read_asking(rq, &ask);
	if (err == ERR_OK && ask.name)
		err = setting_change(st, "own_rules_name", ask.name, NULL, &rq->fault);
	if (err == ERR_OK && ask.reviewed_on)
		err = setting_change(st, RISK_REVIEWED_ON, ask.reviewed_on, NULL, &rq->fault);
	if (err == ERR_OK) err = rules_change(st, &ask.rules, ask.choice, ask.reason, &rq->fault);
	if (err == ERR_INVALID) return request_fault_to_field(rq);
	if (err != ERR_OK) return err;
	request_action(rq, "change rules of the program");
	request_settings_changed(rq);
	request_go(rq, false, "/rules");
	rq->value = NULL;
	return rule_show(rq);
}

/* --- what a change would do ----------------------------------------------------------------- */

#define OVERDUE_LISTED 100

struct outlook {
	struct request *rq;
	struct doc *overdue; /* the first of them */
	struct {
		int64_t earlier, later, added, gone;
	} count[DUTY_COUNT];
	int64_t moved, overdue_count;
};

static bool is_overdue(const struct outlook *o, bool owed, day on) {
	return owed && on != DAY_NONE && on < o->rq->today;
}

static enum err list_overdue(struct outlook *o, const struct duty_move *m) {
	struct request *rq = o->rq;
	struct doc *row = NULL;
	char was[DAY_TEXT_SIZE], is[DAY_TEXT_SIZE];
	enum err err = component_get(request_store(rq), m->component, &rq->arena, &row, &rq->fault);
	if (err != ERR_OK || !row) return err;
	struct doc *d = doc_add_map(o->overdue);
	doc_set_int(d, "component", m->component);
	doc_set_text(d, "tag", doc_text(row, "tag"));
	doc_set_text(d, "kind_label", doc_text(row, "kind_label"));
	doc_set_text(d, "duty", duty_word[m->duty]);
	doc_set_text(d, "duty_label", app_handbook(request_app(rq))->duty[m->duty].label);
	doc_set_copy(d, "was_on", day_format(m->was_on, was));
	doc_set_copy(d, "is_on", day_format(m->is_on, is));
	return ERR_OK;
}

static enum err count_move(void *context, const struct duty_move *m) {
	struct outlook *o = context;
	o->moved++;
	if (!m->was) o->count[m->duty].added++;
	else if (!m->is) o->count[m->duty].gone++;
	else if (m->is_on < m->was_on) o->count[m->duty].earlier++;
	else o->count[m->duty].later++;
	if (!is_overdue(o, m->is, m->is_on) || is_overdue(o, m->was, m->was_on)) return ERR_OK;
	return o->overdue_count++ < OVERDUE_LISTED ? list_overdue(o, m) : ERR_OK;
}

static int64_t stored_duties(const struct doc *counts, const char *duty) {
	for (const struct doc *c = counts->first; c; c = c->next)
		if (text_equal(doc_text(c, "duty"), duty)) return doc_int(c, "total");
	return 0;
}

static enum err outlook_document(struct outlook *o, struct doc *preview) {
	struct request *rq = o->rq;
	const struct handbook *hb = app_handbook(request_app(rq));
	struct doc *counts = doc_list(&rq->arena);
	enum err err = duty_counts(request_store(rq), &rq->arena, counts, &rq->fault);
	if (err != ERR_OK) return err;
	struct doc *duties = doc_set_list(preview, "duties");
	for (int i = 0; i < DUTY_COUNT; i++) {
		if (!(o->count[i].earlier + o->count[i].later + o->count[i].added +
		      o->count[i].gone))
			continue;
		struct doc *d = doc_add_map(duties);
		doc_set_text(d, "duty", duty_word[i]);
		doc_set_text(d, "duty_label", hb->duty[i].label);
		doc_set_int(d, "earlier", o->count[i].earlier);
		doc_set_int(d, "later", o->count[i].later);
		doc_set_int(d, "added", o->count[i].added);
		doc_set_int(d, "gone", o->count[i].gone);
		doc_set_int(d, "unchanged",
			    stored_duties(counts, duty_word[i]) - o->count[i].earlier -
				o->count[i].later - o->count[i].gone);
	}
	doc_set_int(preview, "moved", o->moved);
	doc_set_bool(preview, "has_moved", o->moved > 0);
	doc_set_int(preview, "overdue_count", o->overdue_count);
	doc_set_bool(preview, "has_more_overdue", o->overdue_count > OVERDUE_LISTED);
	return ERR_OK;
}

/* What was looked at is what is stored: the same values once more, not to be edited. */
static void keep_values(const struct request *rq, struct doc *values) {
	for (size_t i = 0; i < rq->resource->field_count; i++) {
		if (!rq->value[i].raw) continue;
		struct doc *v = doc_add_map(values);
		doc_set_text(v, "name", rq->resource->field[i].name);
		doc_set_text(v, "value", rq->value[i].raw);
	}
}

/* Runs as a change, for only there nothing moves meanwhile, and stores nothing. */
static enum err rule_preview(struct request *rq) {
	struct asking ask;
	struct program *next;
	enum err err = read_asking(rq, &ask);
	if (err == ERR_OK)
		err = rules_try(request_store(rq), &ask.rules, ask.choice, ask.reason, &rq->arena,
				&next, &rq->fault);
	if (err == ERR_INVALID) return request_fault_to_field(rq);
	if (err == ERR_OK) err = rule_show(rq);
	if (err != ERR_OK) return err;
	struct doc *preview = doc_set_map(rq->doc, "preview");
	struct outlook o = {.rq = rq, .overdue = doc_set_list(preview, "overdue")};
	doc_set_text(preview, "rule_set_label", next->set->label);
	keep_values(rq, doc_set_list(preview, "values"));
	err = derive_moves(request_store(rq), next, count_move, &o, &rq->fault);
	if (err == ERR_OK) err = outlook_document(&o, preview);
	rq->title = "What the change of rules would do";
	return err;
}

static const struct route route[] = {
    {METHOD_POST, "/rules/preview", ROLE_OFFICER, RUN_CHANGE, .handle = rule_preview,
     .form = rule_show, .template_name = "rules", .resource_of = rule_resource, .partial = true,
     .summary = "What a change of rules would move, and what becomes overdue; nothing is stored"},
    {METHOD_GET, "/rules", ROLE_OFFICER, RUN_READ, .handle = rule_show, .template_name = "rules",
     .summary = "The rules the department follows, and where it differs from its rule set"},
    {METHOD_POST, "/rules", ROLE_OFFICER, RUN_CHANGE, .handle = rule_store, .form = rule_show,
     .template_name = "rules", .resource_of = rule_resource, .partial = true,
     .summary = "Change rules; a looser one needs a reason"},
};
const struct route_table rule_routes = {route, sizeof route / sizeof *route};
