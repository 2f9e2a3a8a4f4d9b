/*
 * What is done with a component: issue, take back, clean, withdraw, release; its
 * end is in retirement.c. None of them can bring a part back into service around
 * what stands in the way, because its state follows from the facts.
 */
#include <string.h>

#include "handlers/app.h"
#include "handlers/component_act.h"
#include "handlers/performer.h"
#include "handlers/record.h"
#include "handlers/resources.h"
#include "handlers/routes.h"
#include "rules/cleaning.h"
#include "rules/duty.h"
#include "rules/unit.h"
#include "store/component.h"
#include "store/handbook.h"
#include "store/member.h"
#include "store/provider.h"

/* --- issue ------------------------------------------------------------------------ */

/* The department's own words for the condition at issue; the standard leaves them open. */
enum { ISSUE_MEMBER, ISSUE_CONDITION, ISSUE_ON, ISSUE_NOTE, ISSUE_FIELDS };
static const struct field issue_field[ISSUE_FIELDS] = {
    [ISSUE_MEMBER] = {.name = "member", .label = "Issued to", .kind = FIELD_ID, .required = true},
    [ISSUE_CONDITION] = {.name = "condition",
			 .label = "Condition at issue",
			 .kind = FIELD_CHOICE,
			 .required = true,
			 .choice = issue_condition_choice},
    [ISSUE_ON] = {.name = "on",
		  .label = "Day",
		  .help = "Today when left empty.",
		  .kind = FIELD_DAY},
    [ISSUE_NOTE] = {.name = "note", .label = "Note", .kind = FIELD_NOTE},
};
static const struct resource issue_resource = {"component_issue", "components", issue_field,
					       ISSUE_FIELDS};

/* Nothing makes it younger, and some things are owed before it is used. What else is due may be
 * done after the issue. */
static const char *forbids_issue(const struct doc *duty, struct arena *a) {
	const char *on = doc_text(duty, "due_on");
	if (duty_is_before_use(doc_text(duty, "rule"))) return "";
	if (!text_equal(doc_text(duty, "duty"), duty_word[DUTY_RETIREMENT]) ||
	    !doc_bool(duty, "is_overdue"))
		return NULL;
	return arena_printf(a, "it was to be used until %s and no longer. ", on);
}

static enum err check_duties(struct request *rq, const struct doc *row) {
	struct doc *duties = doc_list(&rq->arena);
	if (!duties) return fault_memory(&rq->fault);
	enum err err = component_duties(request_store(rq), doc_int(row, "id"), rq->today,
					&rq->arena, duties, &rq->fault);
	for (const struct doc *d = duties->first; err == ERR_OK && d; d = d->next) {
		const char *why = forbids_issue(d, &rq->arena);
		if (why)
			err = request_fail(rq, ERR_CONFLICT, "%s cannot be issued: %s%s",
					   doc_text(row, "tag"), why, doc_text(d, "reason"));
	}
	return err;
}

static enum err issue_check(struct request *rq, const struct doc *row) {
	enum err err = component_check_serves(rq, row);
	if (err != ERR_OK) return err;
	if (doc_int(row, "holder"))
		return request_fail(rq, ERR_CONFLICT, "%s is issued to %s. Take it back first.",
				    doc_text(row, "tag"), doc_text(row, "holder_name"));
	const struct doc *blockers = doc_get(row, "blockers");
	if (!doc_count(blockers)) return check_duties(rq, row);
	return request_fail(rq, ERR_CONFLICT, "%s cannot be issued: %s", doc_text(row, "tag"),
			    doc_text(blockers->first, "text"));
}

static enum err issue_apply(struct request *rq, const struct doc *row) {
	struct doc *member = NULL;
	enum err err = record_check_done(rq, ISSUE_ON);
	if (err == ERR_OK)
		err = member_get(request_store(rq), value_int(&rq->value[ISSUE_MEMBER], 0),
				 &rq->arena, &member, &rq->fault);
	if (err != ERR_OK) return err;
	if (!member || text_equal(doc_text(member, "status"), "left"))
		return request_field_fault(rq, "member", "Choose a member from the list.");
	const char *on = record_day(rq, &rq->value[ISSUE_ON]);
	bool meets = false;
	err = issue_meets(request_store(rq), doc_int(row, "id"), on, NULL, &meets, &rq->fault);
	if (err != ERR_OK) return err;
	if (meets)
		return request_field_fault(rq, "on",
					   "Somebody else had it then, or later: it came back "
					   "after %s.",
					   on);
	return issue_insert(request_store(rq), doc_int(row, "id"), doc_int(member, "id"), on,
			    value_text(&rq->value[ISSUE_CONDITION]),
			    value_text(&rq->value[ISSUE_NOTE]), &rq->fault);
}

static enum err issue_options(struct request *rq, struct doc *form) {
	struct doc *members = doc_list(&rq->arena);
	enum err err = member_options(request_store(rq), &rq->arena, members, &rq->fault);
	if (err == ERR_OK) fields_form_options(form, "member", members);
	return err;
}

/* --- take back ---------------------------------------------------------------------- */

enum { BACK_CONDITION, BACK_ON, BACK_FIELDS };
static const struct field back_field[BACK_FIELDS] = {
    [BACK_CONDITION] = {.name = "condition",
			.label = "Condition at return",
			.kind = FIELD_CHOICE,
			.required = true,
			.choice = return_condition_choice},
    [BACK_ON] = {.name = "on", .label = "Day", .help = "Today when left empty.", .kind = FIELD_DAY},
};
static const struct resource back_resource = {"component_return", "components", back_field,
					      BACK_FIELDS};

static enum err back_check(struct request *rq, const struct doc *row) {
	if (doc_int(row, "holder")) return ERR_OK;
	return request_fail(rq, ERR_CONFLICT, "%s is not issued to anybody.", doc_text(row, "tag"));
}

/* Damaged or contaminated gear is set aside at once: nobody may take it from the shelf. */
static enum err back_apply(struct request *rq, const struct doc *row) {
	const char *condition = value_text(&rq->value[BACK_CONDITION]);
	const char *on = record_day(rq, &rq->value[BACK_ON]);
	enum err err = record_check_done(rq, BACK_ON);
	if (err != ERR_OK) return err;
	if (on && doc_text(row, "issued_on") && strcmp(on, doc_text(row, "issued_on")) < 0)
		return request_field_fault(rq, "on",
					   "It was issued on %s; it cannot come back before.",
					   doc_text(row, "issued_on"));
	err = issue_end(request_store(rq), doc_int(row, "issue"), on, condition, &rq->fault);
	const char *why = text_equal(condition, "damaged")
			      ? "Came back damaged: inspect before it serves again."
			  : text_equal(condition, "contaminated")
			      ? "Came back contaminated: clean before it serves again."
			      : NULL,
		   *before = doc_text(row, "withdrawn_reason");
	if (err != ERR_OK || !why) return err;
	/* Whoever ends a withdrawal reads all that it was for. */
	if (before) why = arena_printf(&rq->arena, "%s %s", why, before);
	return component_withdraw(request_store(rq), doc_int(row, "id"), why, &rq->fault);
}

/* --- cleaning ------------------------------------------------------------------------ */

#define FORCE_MAX_G 2000 /* more is a slip of the pen */
static const struct choice degree_choice[] = {{"f", "°F"}, {"c", "°C"}, {NULL, NULL}};

enum {
	CLEAN_CLASS,
	CLEAN_REASON,
	CLEAN_BY,
	CLEAN_PROVIDER,
	CLEAN_ON,
	CLEAN_AFTER,
	CLEAN_SANITIZED,
	CLEAN_METHOD,
	CLEAN_WASHER,
	CLEAN_LOAD,
	CLEAN_PREPARED,
	CLEAN_WATER,
	CLEAN_WATER_UNIT,
	CLEAN_PH,
	CLEAN_FORCE,
	CLEAN_RADIUS,
	CLEAN_TURNS,
	CLEAN_BLEACH,
	CLEAN_DRIED,
	CLEAN_DRY,
	CLEAN_DRY_UNIT,
	CLEAN_NOTE,
	CLEAN_CONFIRMED,
	CLEAN_FIELDS
};
static const struct field clean_field[CLEAN_FIELDS] = {
    [CLEAN_CLASS] = {.name = "class",
		     .label = "Class of cleaning",
		     .kind = FIELD_CHOICE,
		     .required = true,
		     .choice = cleaning_class_choice},
    [CLEAN_REASON] = {.name = "reason", .label = "Reason", .kind = FIELD_TEXT, .required = true},
    [CLEAN_BY] = {.name = "performed_by", .label = "Done by", .kind = FIELD_TEXT, .required = true},
    [CLEAN_PROVIDER] = {.name = "provider",
			.label = "Provider",
			.help = "When somebody outside, or the department's workshop, did "
				"it. Else who records it vouches for it.",
			.kind = FIELD_ID},
    [CLEAN_ON] = {.name = "on",
		  .label = "Day",
		  .help = "Today when left empty.",
		  .kind = FIELD_DAY},
    [CLEAN_AFTER] = {.name = "done_after",
		     .label = "Done after what was recorded of that day",
		     .help = "Say yes when it was exposed or found soiled and then cleaned on the "
			     "same day, in this order; a cleaning of a later day is after it "
			     "anyway.",
		     .kind = FIELD_YES_NO},
    [CLEAN_SANITIZED] = {.name = "sanitized",
			 .label = "Sanitized (soft gear) or disinfected (hard) too",
			 .help = "Treated against germs, beside being cleaned. Sanitizing is for "
				 "verified ones; helmets, faceshields and goggles are disinfected.",
			 .kind = FIELD_YES_NO},
    [CLEAN_METHOD] = {.name = "method",
		      .label = "Washed",
		      .kind = FIELD_CHOICE,
		      .choice = wash_method_choice},
    [CLEAN_WASHER] = {.name = "washer",
		      .label = "Washer",
		      .help = "By machine: the 2020 edition takes top-loaders no longer.",
		      .kind = FIELD_CHOICE,
		      .choice = washer_choice},
    [CLEAN_LOAD] = {.name = "load_percent",
		    .label = "How full the drum was, %",
		    .help = "At most 75 %.",
		    .kind = FIELD_INTEGER,
		    .min = 1,
		    .max = 100},
    [CLEAN_PREPARED] = {.name = "prepared",
			.label = "Made ready for washing",
			.help = "Shell and liner apart, the liner with its barrier inside, the "
				"drag rescue device out, closures fastened.",
			.kind = FIELD_YES_NO},
    [CLEAN_WATER] = {.name = "water",
		     .label = "Wash water, degrees",
		     .help = "At most 105 °F (40 °C).",
		     .kind = FIELD_INTEGER,
		     .min = 1,
		     .max = 212},
    [CLEAN_WATER_UNIT] = {.name = "water_unit",
			  .label = "Unit of the water's degrees",
			  .kind = FIELD_CHOICE,
			  .choice = degree_choice},
    [CLEAN_PH] = {.name = "ph",
		  .label = "pH of the detergent",
		  .help = "6.0 to 10.5.",
		  .kind = FIELD_MONEY,
		  .max = 1400},
    [CLEAN_FORCE] = {.name = "force_g",
		     .label = "Extraction, in g",
		     .help = "At most 100 g; or give radius and turns of the drum below.",
		     .kind = FIELD_INTEGER,
		     .min = 1,
		     .max = FORCE_MAX_G},
    [CLEAN_RADIUS] = {.name = "drum_radius_cm",
		      .label = "Radius of the drum, in cm",
		      .kind = FIELD_INTEGER,
		      .min = 5,
		      .max = 200},
    [CLEAN_TURNS] = {.name = "drum_turns",
		     .label = "Turns of the drum in a minute",
		     .kind = FIELD_INTEGER,
		     .min = 1,
		     .max = 3000},
    [CLEAN_BLEACH] = {.name = "bleach",
		      .label = "Chlorine bleach or a solvent was used",
		      .kind = FIELD_YES_NO},
    [CLEAN_DRIED] = {.name = "dried",
		     .label = "Dried",
		     .kind = FIELD_CHOICE,
		     .choice = drying_choice},
    [CLEAN_DRY] = {.name = "dry",
		   .label = "Air it was dried in, degrees",
		   .help = "At most 105 °F (40 °C); not in the sun.",
		   .kind = FIELD_INTEGER,
		   .min = 1,
		   .max = 482},
    [CLEAN_DRY_UNIT] = {.name = "dry_unit",
			.label = "Unit of the air's degrees",
			.kind = FIELD_CHOICE,
			.choice = degree_choice},
    [CLEAN_NOTE] = {.name = "note", .label = "Note", .kind = FIELD_NOTE},
    [CLEAN_CONFIRMED] = {.name = "confirmed", .label = "It really was so", .kind = FIELD_YES_NO},
};
static const struct resource clean_resource = {"component_cleaning", "components", clean_field,
					       CLEAN_FIELDS};

/* A number of degrees and the field of their unit behind it; *given is false without a number. */
static enum err read_degrees(struct request *rq, const struct resource *r, size_t number,
			     bool *given, int64_t *mf) {
	const struct value *v = &rq->value[number], *unit = v + 1;
	*given = value_given(v);
	if (!*given) return ERR_OK;
	if (!value_given(unit))
		return request_field_fault(rq, r->field[number + 1].name,
					   "Say degrees of what: °F or °C.");
	bool celsius = text_equal(value_text(unit), "c");
	if (unit_keep(celsius ? UNIT_CELSIUS : UNIT_FAHRENHEIT, 1000 * value_int(v, 0), mf))
		return ERR_OK;
	return request_field_fault(rq, r->field[number].name, "Nothing is that hot.");
}

/* How it was washed and dried; half of a pair of values is refused. */
static enum err read_washing(struct request *rq, const struct doc *row, struct washing *w) {
	const struct value *v = rq->value;
	bool radius = value_given(&v[CLEAN_RADIUS]), turns = value_given(&v[CLEAN_TURNS]);
	*w = (struct washing){
	    .kind = handbook_kind(app_handbook(request_app(rq)), doc_text(row, "kind")),
	    .reflective = doc_int(row, "reflective") != 0,
	    .ph_hundredths = (int)value_int(&v[CLEAN_PH], 0),
	    .force_g = (int)value_int(&v[CLEAN_FORCE], 0),
	    .by_machine = text_equal(value_text(&v[CLEAN_METHOD]), "machine"),
	    .top_loader = text_equal(value_text(&v[CLEAN_WASHER]), "top"),
	    .load_percent = (int)value_int(&v[CLEAN_LOAD], 0),
	    .unprepared = value_given(&v[CLEAN_PREPARED]) && !value_yes(&v[CLEAN_PREPARED]),
	    .machine_dried = text_equal(value_text(&v[CLEAN_DRIED]), "machine"),
	    .bleach = value_yes(&v[CLEAN_BLEACH])};
	enum err err = read_degrees(rq, &clean_resource, CLEAN_WATER, &w->has_water, &w->water_mf);
	if (err == ERR_OK)
		err = read_degrees(rq, &clean_resource, CLEAN_DRY, &w->has_dry, &w->dry_mf);
	if (err != ERR_OK) return err;
	if (value_given(&v[CLEAN_WASHER]) && !w->by_machine)
		return request_field_fault(rq, "washer",
					   "A washer is for what was washed by machine.");
	if (radius != turns)
		return request_field_fault(rq, radius ? "drum_turns" : "drum_radius_cm",
					   "The force follows from radius and turns together.");
	if (radius && w->force_g)
		return request_field_fault(rq, "force_g",
					   "Give the force, or radius and turns of the drum.");
	if (radius)
		w->force_g = cleaning_force_g(10 * (int)value_int(&v[CLEAN_RADIUS], 0),
					      (int)value_int(&v[CLEAN_TURNS], 0));
	if (radius && (w->force_g < 1 || w->force_g > FORCE_MAX_G))
		return request_field_fault(rq, "drum_turns",
					   "That makes %d g, which no washer does. Correct radius "
					   "or turns.",
					   w->force_g);
	if (w->water_mf > 212000)
		return request_field_fault(rq, "water", "No wash water is hotter than 100 °C.");
	if (w->dry_mf > 482000)
		return request_field_fault(rq, "dry", "No gear is dried hotter than 250 °C.");
	return ERR_OK;
}

/* What is beyond a limit is asked about once more, and stored only when it is confirmed. */
static enum err check_washing(struct request *rq, const struct washing *w, bool *beyond) {
	struct cleaning_limit limit[CLEANING_LIMITS];
	struct program *p;
	enum err err = program_load(request_store(rq), app_handbook(request_app(rq)), &rq->arena,
				    &p, &rq->fault);
	if (err != ERR_OK) return err;
	size_t count = cleaning_beyond(w, p, &rq->arena, limit);
	*beyond = count > 0;
	if (!count || (value_yes(&rq->value[CLEAN_CONFIRMED]) &&
		       !text_empty(value_text(&rq->value[CLEAN_NOTE]))))
		return ERR_OK;
	if (value_yes(&rq->value[CLEAN_CONFIRMED]))
		return request_field_fault(rq, "note", "Write down how that came about.");
	const char *text = limit[0].text;
	for (size_t i = 1; i < count; i++)
		text = arena_printf(&rq->arena, "%s; %s", text, limit[i].text);
	return request_field_fault(
	    rq, "confirmed",
	    "Beyond what gear stands: %s (%s). Correct it; or say that it "
	    "really was so and note how: then an advanced inspection is due.",
	    text, limit[0].source);
}

/* Of one day, only who did it knows what was first: that is asked where it decides something. */
static enum err check_order(struct request *rq, const struct doc *row, const char *on) {
	bool meets = false;
	if (value_given(&rq->value[CLEAN_AFTER]) ||
	    text_equal(value_text(&rq->value[CLEAN_CLASS]), "routine"))
		return ERR_OK;
	enum err err =
	    cleaning_meets(request_store(rq), doc_int(row, "id"), on, &meets, &rq->fault);
	if (err != ERR_OK || !meets) return err;
	return request_field_fault(
	    rq, "done_after",
	    "It was exposed or found soiled on that day too (%s). Say "
	    "whether this cleaning was done after that: only then it ends it.",
	    on);
}

/* is_hard: of the part. */
static enum err check_cleaner(struct request *rq, day on, bool is_hard, struct performer *p) {
	enum err err = performer_find(request_store(rq), value_int(&rq->value[CLEAN_PROVIDER], 0),
				      rq->who.member, on, &rq->arena, p, &rq->fault);
	if (err == ERR_INVALID) return request_fault_to_field(rq);
	if (err != ERR_OK) return err;
	const char *no =
	    performer_refusal(p, work_of_cleaning(value_text(&rq->value[CLEAN_CLASS])), &rq->arena);
	const char *field = value_given(&rq->value[CLEAN_PROVIDER]) ? "provider" : "class";
	if (!no && !is_hard && value_yes(&rq->value[CLEAN_SANITIZED])) {
		no = performer_refusal(p, WORK_SANITIZATION, &rq->arena);
		field = "sanitized";
	}
	return no ? request_field_fault(rq, field, "%s", no) : ERR_OK;
}

static enum err clean_apply(struct request *rq, const struct doc *row) {
	struct washing washing;
	struct performer cleaner;
	bool beyond = false;
	const char *on = record_day(rq, &rq->value[CLEAN_ON]);
	enum err err = record_check_done(rq, CLEAN_ON);
	if (err == ERR_OK) err = check_order(rq, row, on);
	if (err == ERR_OK) err = read_washing(rq, row, &washing);
	if (err == ERR_OK) err = check_washing(rq, &washing, &beyond);
	if (err == ERR_OK) err = check_cleaner(rq, day_parse(on), washing.kind->is_hard, &cleaner);
	if (err != ERR_OK) return err;
	struct cleaning_row cleaning = {
	    .component = doc_int(row, "id"),
	    .cleaned_on = on,
	    .class = value_text(&rq->value[CLEAN_CLASS]),
	    .reason = value_text(&rq->value[CLEAN_REASON]),
	    .performed_by = value_text(&rq->value[CLEAN_BY]),
	    .provider = value_int(&rq->value[CLEAN_PROVIDER], 0),
	    .performer_class = performer_word(&cleaner),
	    .sanitized = value_yes(&rq->value[CLEAN_SANITIZED]),
	    .method = value_text(&rq->value[CLEAN_METHOD]),
	    .washer = value_text(&rq->value[CLEAN_WASHER]),
	    .load_percent = washing.load_percent,
	    .has_prepared = value_given(&rq->value[CLEAN_PREPARED]),
	    .prepared = value_yes(&rq->value[CLEAN_PREPARED]),
	    .has_water = washing.has_water,
	    .water_mf = washing.water_mf,
	    .ph_hundredths = washing.ph_hundredths,
	    .force_g = washing.force_g,
	    .has_bleach = value_given(&rq->value[CLEAN_BLEACH]),
	    .bleach = washing.bleach,
	    .dried = value_text(&rq->value[CLEAN_DRIED]),
	    .has_dry = washing.has_dry,
	    .dry_mf = washing.dry_mf,
	    .beyond = beyond,
	    .done_after = value_yes(&rq->value[CLEAN_AFTER]),
	    .note = value_text(&rq->value[CLEAN_NOTE]),
	};
	return cleaning_insert(request_store(rq), &cleaning, &rq->fault);
}

/* Retired gear is cleaned too, for training, until it is gone. */
static enum err clean_check(struct request *rq, const struct doc *row) {
	if (!doc_text(row, "disposed_on")) return ERR_OK;
	return request_fail(rq, ERR_CONFLICT, "%s was disposed of on %s.", doc_text(row, "tag"),
			    doc_text(row, "disposed_on"));
}

static enum err clean_options(struct request *rq, struct doc *form) {
	struct doc *providers = doc_list(&rq->arena);
	enum err err = provider_options(request_store(rq), &rq->arena, providers, &rq->fault);
	if (err == ERR_OK) fields_form_options(form, "provider", providers);
	/* Asked only where something is to be confirmed. */
	if (!fault_list_find(&rq->faults, "confirmed") && !fault_list_find(&rq->faults, "note"))
		fields_form_remove(form, "confirmed");
	return err;
}

/* --- withdraw, release ------------------------------------------------------------------ */

enum { REASON, REASON_FIELDS };
static const struct field reason_field[REASON_FIELDS] = {
    [REASON] = {.name = "reason", .label = "Reason", .kind = FIELD_TEXT, .required = true},
};
static const struct resource withdraw_resource = {"component_withdraw", "components", reason_field,
						  REASON_FIELDS};
static const struct resource release_resource = {"component_release", "components", reason_field,
						 REASON_FIELDS};

static enum err withdraw_check(struct request *rq, const struct doc *row) {
	enum err err = component_check_serves(rq, row);
	if (err != ERR_OK || !doc_text(row, "withdrawn_reason")) return err;
	return request_fail(rq, ERR_CONFLICT, "%s is withdrawn already: %s", doc_text(row, "tag"),
			    doc_text(row, "withdrawn_reason"));
}

static enum err withdraw_apply(struct request *rq, const struct doc *row) {
	return component_withdraw(request_store(rq), doc_int(row, "id"),
				  value_text(&rq->value[REASON]), &rq->fault);
}

static enum err release_check(struct request *rq, const struct doc *row) {
	if (doc_text(row, "withdrawn_reason")) return ERR_OK;
	return request_fail(rq, ERR_CONFLICT, "%s is not withdrawn.", doc_text(row, "tag"));
}

/* Only the withdrawal ends; every other blocker stays. */
static enum err release_apply(struct request *rq, const struct doc *row) {
	return component_withdraw(request_store(rq), doc_int(row, "id"), NULL, &rq->fault);
}

/* --- the acts and their routes -------------------------------------------------------------- */

COMPONENT_ACT(issue, "issue", .title = "Issue", .resource = &issue_resource, .check = issue_check,
	      .apply = issue_apply, .options = issue_options, .action = "issue component")
COMPONENT_ACT(back, "return", .title = "Take back", .resource = &back_resource, .check = back_check,
	      .apply = back_apply, .action = "take back component")
COMPONENT_ACT(clean, "cleanings", .title = "Record a cleaning", .resource = &clean_resource,
	      .check = clean_check, .apply = clean_apply, .options = clean_options,
	      .action = "record cleaning")
COMPONENT_ACT(withdraw, "withdraw", .title = "Withdraw", .resource = &withdraw_resource,
	      .check = withdraw_check, .apply = withdraw_apply, .action = "withdraw component")
COMPONENT_ACT(release, "release", .title = "End the withdrawal", .resource = &release_resource,
	      .check = release_check, .apply = release_apply, .action = "release component",
	      .is_only_entered = true)

static const struct route route[] = {
    COMPONENT_ACT_ROUTES(issue, "issue", ROLE_INSPECTOR, "form", "Form to issue a component",
			 "Issue a component to a member"),
    COMPONENT_ACT_ROUTES(back, "return", ROLE_INSPECTOR, "form-used-gear",
			 "Form to take a component back", "Take a component back from its holder"),
    COMPONENT_ACT_ROUTES(clean, "cleanings", ROLE_INSPECTOR, "form-used-gear",
			 "Form to record a cleaning", "Record a cleaning"),
    COMPONENT_ACT_ROUTES(withdraw, "withdraw", ROLE_OFFICER, "form", "Form to withdraw a component",
			 "Withdraw a component from service"),
    COMPONENT_ACT_ROUTES(release, "release", ROLE_OFFICER, "form", "Form to end a withdrawal",
			 "End a withdrawal; other blockers stay"),
};
const struct route_table component_act_routes = {route, sizeof route / sizeof *route};
