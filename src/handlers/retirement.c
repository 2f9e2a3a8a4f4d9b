/*
 * The end of a component: retire, dispose of, mark for training. There is no way back.
 */
#include "handlers/retirement.h"

#include <string.h>

#include "handlers/app.h"
#include "handlers/component_act.h"
#include "handlers/record.h"
#include "handlers/routes.h"
#include "handlers/words.h"
#include "store/member.h"
#include "store/retirement.h"

void retirement_words(struct doc *row, struct arena *a) {
	doc_set_text(
	    row, "retired_text",
	    retirement_text(doc_text(row, "retired_ground"), doc_text(row, "retired_reason"), a));
	doc_set_text(
	    row, "disposal_text",
	    disposal_text(doc_text(row, "disposal_way"), doc_text(row, "disposal_method"), a));
}

/* What stands in the way is listed instead of the form; once it was sent, its faults tell that. */
static void obstacles_document(struct request *rq, const struct blocker *obstacle, size_t count) {
	struct doc *list = doc_set_list(rq->doc, "obstacles");
	for (size_t i = 0; i < count; i++) {
		struct doc *o = doc_add_map(list);
		doc_set_text(o, "code", obstacle[i].code);
		doc_set_text(o, "text", obstacle[i].text);
	}
	doc_set_bool(rq->doc, "has_obstacles", count > 0 && !rq->value);
}

/* Only training is weighed; the others are refused whole. */
static enum err no_obstacles(struct request *rq, struct doc *form) {
	(void)form;
	obstacles_document(rq, NULL, 0);
	return ERR_OK;
}

/* --- retire ----------------------------------------------------------------------------- */

enum { RETIRE_GROUND, RETIRE_REASON, RETIRE_ON, RETIRE_FIELDS };
static const struct field retire_field[RETIRE_FIELDS] = {
    [RETIRE_GROUND] = {.name = "ground",
		       .label = "Ground",
		       .kind = FIELD_CHOICE,
		       .required = true,
		       .in_sight = true,
		       .choice = retirement_ground_choice},
    [RETIRE_REASON] = {.name = "reason",
		       .label = "In words",
		       .help = "Only where the ground does not say it all.",
		       .kind = FIELD_TEXT},
    [RETIRE_ON] = {.name = "on",
		   .label = "Day",
		   .help = "Today when left empty.",
		   .kind = FIELD_DAY},
};
static const struct resource retire_resource = {"component_retire", "components", retire_field,
						RETIRE_FIELDS};

/* Who still has it would go on wearing it. */
static enum err check_taken_back(struct request *rq, const struct doc *row) {
	enum err err = component_check_serves(rq, row);
	if (err != ERR_OK || !doc_int(row, "holder")) return err;
	return request_fail(rq, ERR_CONFLICT,
			    "%s is issued to %s. Take it back first, then retire it.",
			    doc_text(row, "tag"), doc_text(row, "holder_name"));
}

enum err retirement_check(struct request *rq, const struct doc *row, const char *on) {
	struct doc *hindrance = NULL;
	enum err err = check_taken_back(rq, row);
	if (err == ERR_OK)
		err = retirement_hindrance(request_store(rq), doc_int(row, "id"), on, &rq->arena,
					   &hindrance, &rq->fault);
	if (err != ERR_OK) return err;
	if (doc_int(hindrance, "draft"))
		return request_fail(rq, ERR_CONFLICT,
				    "%s is being inspected, in inspection %lld. Sign or abandon "
				    "that one first.",
				    doc_text(row, "tag"), (long long)doc_int(hindrance, "draft"));
	if (doc_bool(hindrance, "is_used_later"))
		return request_fail(
		    rq, ERR_CONFLICT,
		    "%s was issued, inspected or tested after %s. It was retired later.",
		    doc_text(row, "tag"), on);
	return ERR_OK;
}

static enum err retire_apply(struct request *rq, const struct doc *row) {
	const struct value *ground = &rq->value[RETIRE_GROUND];
	struct retirement_row r = {.component = doc_int(row, "id"),
				   .on = record_day(rq, &rq->value[RETIRE_ON]),
				   .ground = value_text(ground),
				   .reason = value_text(&rq->value[RETIRE_REASON]),
				   .by = rq->who.member};
	enum err err = record_check_done(rq, RETIRE_ON);
	if (err != ERR_OK) return err;
	if (!r.reason && retirement_needs_words((enum retirement_ground)value_int(ground, 0)))
		return request_field_fault(rq, "reason", "Say in words why it is retired.");
	err = retirement_check(rq, row, r.on);
	return err == ERR_OK ? component_retire(request_store(rq), &r, &rq->fault) : err;
}

/* --- dispose of --------------------------------------------------------------------------- */

enum { DISPOSE_WAY, DISPOSE_METHOD, DISPOSE_WITNESS, DISPOSE_ON, DISPOSE_FIELDS };
static const struct field dispose_field[DISPOSE_FIELDS] = {
    [DISPOSE_WAY] = {.name = "way",
		     .label = "Method of disposal",
		     .kind = FIELD_CHOICE,
		     .required = true,
		     .in_sight = true,
		     .choice = disposal_way_choice},
    [DISPOSE_METHOD] = {.name = "method",
			.label = "In words",
			.help = "Only where the method does not say it all.",
			.kind = FIELD_TEXT},
    [DISPOSE_WITNESS] = {.name = "witness",
			 .label = "Witness",
			 .help = "Who saw it: the badge of a member, or a name.",
			 .kind = FIELD_TEXT,
			 .required = true},
    [DISPOSE_ON] = {.name = "on",
		    .label = "Day",
		    .help = "Today when left empty.",
		    .kind = FIELD_DAY},
};
static const struct resource dispose_resource = {"component_dispose", "components", dispose_field,
						 DISPOSE_FIELDS};

static enum err check_left(struct request *rq, const struct doc *row) {
	if (!doc_text(row, "retired_on"))
		return request_fail(rq, ERR_CONFLICT, "%s must be retired first.",
				    doc_text(row, "tag"));
	if (!doc_text(row, "disposed_on")) return ERR_OK;
	return request_fail(rq, ERR_CONFLICT, "%s was disposed of on %s.", doc_text(row, "tag"),
			    doc_text(row, "disposed_on"));
}

/* A day on which something was done with it after it was retired, or was marked. */
static enum err check_after(struct request *rq, const char *on, const char *since,
			    const char *what) {
	if (!since || strcmp(on, since) >= 0) return ERR_OK;
	return request_field_fault(rq, "on", "It was %s on %s; this was not before.", what, since);
}

/* A badge stands for the member's name, which stays readable when the badge is another's. */
static enum err name_witness(struct request *rq, const char **witness) {
	struct doc *member = NULL;
	int64_t id = 0;
	enum err err = member_by_badge(request_store(rq), *witness, &id, &rq->fault);
	if (err == ERR_OK && id)
		err = member_get(request_store(rq), id, &rq->arena, &member, &rq->fault);
	if (err == ERR_OK && member)
		*witness =
		    arena_printf(&rq->arena, "%s %s, badge %s", doc_text(member, "given_name"),
				 doc_text(member, "family_name"), doc_text(member, "badge"));
	return err;
}

static enum err dispose_apply(struct request *rq, const struct doc *row) {
	const struct value *way = &rq->value[DISPOSE_WAY];
	struct disposal_row r = {.component = doc_int(row, "id"),
				 .on = record_day(rq, &rq->value[DISPOSE_ON]),
				 .way = value_text(way),
				 .method = value_text(&rq->value[DISPOSE_METHOD]),
				 .witness = value_text(&rq->value[DISPOSE_WITNESS])};
	enum err err = record_check_done(rq, DISPOSE_ON);
	if (err == ERR_OK) err = check_after(rq, r.on, doc_text(row, "retired_on"), "retired");
	if (err == ERR_OK)
		err = check_after(rq, r.on, doc_text(row, "training_on"), "marked for training");
	if (err != ERR_OK) return err;
	if (!r.method && disposal_needs_words((enum disposal_way)value_int(way, 0)))
		return request_field_fault(rq, "method", "Say in words how it was disposed of.");
	err = name_witness(rq, &r.witness);
	return err == ERR_OK ? component_dispose(request_store(rq), &r, &rq->fault) : err;
}

/* --- mark for training ---------------------------------------------------------------------- */

enum { TRAIN_USE, TRAIN_MARKED, TRAIN_MARK, TRAIN_ON, TRAIN_FIELDS };
static const struct field training_field[TRAIN_FIELDS] = {
    [TRAIN_USE] = {.name = "use",
		   .label = "What it is to serve for",
		   .kind = FIELD_CHOICE,
		   .required = true,
		   .in_sight = true,
		   .choice = training_use_choice},
    [TRAIN_MARKED] = {.name = "marked",
		      .label = "It is clean, undamaged and clearly marked: not for live fire",
		      .kind = FIELD_YES_NO,
		      .required = true},
    [TRAIN_MARK] = {.name = "mark",
		    .label = "Where and how it is marked",
		    .kind = FIELD_TEXT,
		    .example = "TRAINING ONLY across the back, red paint"},
    [TRAIN_ON] = {.name = "on",
		  .label = "Day",
		  .help = "Today when left empty.",
		  .kind = FIELD_DAY},
};
static const struct resource training_resource = {"component_training", "components",
						  training_field, TRAIN_FIELDS};

static enum err training_check(struct request *rq, const struct doc *row) {
	enum err err = check_left(rq, row);
	if (err != ERR_OK || !doc_text(row, "training_on")) return err;
	return request_fail(rq, ERR_CONFLICT, "%s was marked for training on %s.",
			    doc_text(row, "tag"), doc_text(row, "training_on"));
}

/* Every obstacle is told, each as a fault of what it was to serve for; what is held is not even
 * weighed. */
static enum err check_sound(struct request *rq, const struct doc *row) {
	const struct blocker *obstacle;
	size_t count;
	enum err err = component_training_obstacles(
	    request_store(rq), app_handbook(request_app(rq)), doc_int(row, "id"), &rq->arena,
	    &obstacle, &count, &rq->fault);
	if (err != ERR_OK) return err;
	if (count && text_equal(obstacle[0].code, "special_incident_hold"))
		return request_fail(rq, ERR_CONFLICT, "%s cannot serve for training. %s",
				    doc_text(row, "tag"), obstacle[0].text);
	for (size_t i = 0; i < count; i++)
		err = request_field_fault(rq, "use", "%s", obstacle[i].text);
	return err;
}

static enum err training_apply(struct request *rq, const struct doc *row) {
	const char *refusal =
	    training_refusal((enum training_use)value_int(&rq->value[TRAIN_USE], 0));
	struct training_row r = {.component = doc_int(row, "id"),
				 .on = record_day(rq, &rq->value[TRAIN_ON]),
				 .by = rq->who.member,
				 .mark = value_text(&rq->value[TRAIN_MARK])};
	if (refusal) return request_field_fault(rq, "use", "%s", refusal);
	enum err err = check_sound(rq, row);
	if (err != ERR_OK) return err;
	if (!value_yes(&rq->value[TRAIN_MARKED]))
		return request_field_fault(rq, "marked",
					   "Clean it and mark it clearly first: everybody has to "
					   "see that it is for training without live fire only.");
	err = record_check_done(rq, TRAIN_ON);
	if (err == ERR_OK) err = check_after(rq, r.on, doc_text(row, "retired_on"), "retired");
	return err == ERR_OK ? component_mark_training(request_store(rq), &r, &rq->fault) : err;
}

static enum err training_options(struct request *rq, struct doc *form) {
	const struct blocker *obstacle;
	size_t count;
	(void)form;
	enum err err =
	    component_training_obstacles(request_store(rq), app_handbook(request_app(rq)),
					 rq->id[0], &rq->arena, &obstacle, &count, &rq->fault);
	if (err == ERR_OK) obstacles_document(rq, obstacle, count);
	return err;
}

COMPONENT_ACT(retire, "retire", .title = "Retire", .resource = &retire_resource,
	      .check = check_taken_back, .apply = retire_apply, .options = no_obstacles,
	      .action = "retire component")
COMPONENT_ACT(dispose, "dispose", .title = "Dispose of", .submit = "Record the disposal",
	      .resource = &dispose_resource, .check = check_left, .apply = dispose_apply,
	      .options = no_obstacles, .action = "dispose of component")
COMPONENT_ACT(training, "training", .title = "Mark for training", .resource = &training_resource,
	      .check = training_check, .apply = training_apply, .options = training_options,
	      .action = "mark component for training")

static const struct route route[] = {
    COMPONENT_ACT_ROUTES(retire, "retire", ROLE_OFFICER, "retirement", "Form to retire a component",
			 "Retire a component for good"),
    COMPONENT_ACT_ROUTES(dispose, "dispose", ROLE_OFFICER, "retirement",
			 "Form to dispose of a component",
			 "Record how a retired component was disposed of"),
    COMPONENT_ACT_ROUTES(training, "training", ROLE_OFFICER, "retirement",
			 "Form to mark a retired component for training without live fire",
			 "Mark a retired component for training without live fire"),
};
const struct route_table retirement_routes = {route, sizeof route / sizeof *route};
