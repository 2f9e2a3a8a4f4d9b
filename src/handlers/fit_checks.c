/*
 * Interface checks: a member wears the whole outfit, and where two elements meet somebody trained
 * looks whether skin or a gap shows (rules/fit_check.h). An overlap that nobody would believe is
 * asked about once more.
 */
#include "handlers/fit_checks.h"
#include "handlers/app.h"
#include "handlers/component_act.h"
#include "handlers/components.h"
#include "handlers/list.h"
#include "handlers/record.h"
#include "handlers/resources.h"
#include "handlers/revocation.h"
#include "handlers/routes.h"
#include "handlers/worn.h"
#include "store/component.h"
#include "store/fit_check.h"
#include "store/handbook.h"
#include "store/member.h"

static const struct list_column column[] = {{"badge", "badge"},
					    {"member_name", "member"},
					    {"station_code", "station"},
					    {"hazard", "hazard"},
					    {"checked_on", "checked_on"},
					    {"state", "result"},
					    {"because", "because"},
					    {"checked_by_name", "checked_by"},
					    {"note", "note"},
					    {"revoked_reason", "revoked_reason"},
					    {NULL, NULL}};
static void label_row(struct doc *row) {
	doc_set_text(row, "hazard_label", choice_label(hazard_choice, doc_text(row, "hazard")));
	doc_set_text(row, "state_label", choice_label(fit_state_choice, doc_text(row, "state")));
}

static void label_rows(struct doc *rows) {
	for (struct doc *r = rows->first; r; r = r->next) label_row(r);
}

static const struct list_page page = {
    .path = "/fit-checks",
    .title = "Interface checks",
    .source = &fit_check_list,
    .filter = {{.label = "Hazard", .choice = hazard_choice},
	       {.label = "Result", .choice = fit_state_choice},
	       {.label = "Station", .options = list_station_options}},
    .column = column,
    .label = label_row};

static enum err fit_check_index(struct request *rq) { return list_answer(rq, &page); }
static enum err fit_check_csv(struct request *rq) { return list_export(rq, &page); }

/* --- a new one ----------------------------------------------------------------------------- */

enum {
	MEMBER,
	HAZARD,
	COMPONENT,
	CHECKED_ON,
	FIRST_ANSWER,
	OVERLAP = FIRST_ANSWER + INTERFACE_COUNT,
	LEG,
	UNIT,
	NOTE,
	CONFIRMED,
	FIELDS
};
static const struct choice unit_choice[] = {{"in", "Inches"}, {"cm", "Centimetres"}, {NULL, NULL}};
#define INTERFACE_FIELD(interface, word, words, look_for)                                          \
	[FIRST_ANSWER + INTERFACE_##interface] = {.name = word,                                    \
						  .label = words,                                  \
						  .help = look_for,                                \
						  .kind = FIELD_CHOICE,                            \
						  .choice = interface_answer_choice,               \
						  .in_sight = true},
static const struct field field[FIELDS] = {
    [MEMBER] = {.name = "member", .label = "Member", .kind = FIELD_ID, .required = true},
    [HAZARD] = {.name = "hazard",
		.label = "Hazard",
		.kind = FIELD_CHOICE,
		.choice = hazard_choice,
		.required = true},
    [COMPONENT] = {.name = "component",
		   .label = "What is worn",
		   .kind = FIELD_ID_LIST,
		   .required = true},
    [CHECKED_ON] = {.name = "checked_on",
		    .label = "Day",
		    .help = "Today when left empty.",
		    .kind = FIELD_DAY},
    INTERFACE_LIST(INTERFACE_FIELD)[OVERLAP] =
	{.name = "overlap",
	 .label = "Overlap of coat and trousers",
	 .help = "Of all layers, where it is least in any of the movements.",
	 .kind = FIELD_DECIMAL},
    [LEG] = {.name = "leg",
	     .label = "Trouser legs over the boots",
	     .help = "If measured: how far they fall over them, usually 6 to 10 in (15 to 25 cm).",
	     .kind = FIELD_DECIMAL},
    [UNIT] = {.name = "unit",
	      .label = "Measured in",
	      .kind = FIELD_CHOICE,
	      .choice = unit_choice,
	      .in_sight = true},
    [NOTE] = {.name = "note",
	      .label = "Note",
	      .help = "Where it opens in several movements, name the others here.",
	      .kind = FIELD_NOTE},
    [CONFIRMED] = {.name = "confirmed", .label = "It really was so", .kind = FIELD_YES_NO},
};
static const struct resource resource = {"fit_check", "fit-checks", field, FIELDS};

/* Of whom, and against what; by the body or the address. */
struct wearer {
	struct doc *member;
	bool has_hazard;
	enum hazard hazard;
};

/* The hazard asked for, else the only one that the member is assigned to. */
static void choose_hazard(struct wearer *w, const char *word) {
	int hazard = word_find(hazard_word, HAZARD_COUNT, word), assigned = 0;
	for (int h = 0; hazard < 0 && h < HAZARD_COUNT; h++) {
		if (!doc_int(w->member, hazard_word[h])) continue;
		w->hazard = (enum hazard)h;
		assigned++;
	}
	if (hazard >= 0) w->hazard = (enum hazard)hazard;
	w->has_hazard = hazard >= 0 || assigned == 1;
}

static enum err load_subject(struct request *rq, struct wearer *w) {
	const struct value *v = request_values(rq, &resource);
	int64_t id = v && value_given(&v[MEMBER]) ? value_int(&v[MEMBER], 0) : 0;
	const char *word = v && value_given(&v[HAZARD]) ? value_text(&v[HAZARD]) : NULL;
	enum err err = ERR_OK;
	*w = (struct wearer){0};
	if (!id) err = request_query_int(rq, "member", 1, INT64_MAX >> 21, 0, &id);
	if (err == ERR_OK && !id)
		err = request_fail(rq, ERR_INVALID,
				   "Say of whom: open this form from the page of the member.");
	if (err == ERR_OK)
		err = member_get(request_store(rq), id, &rq->arena, &w->member, &rq->fault);
	if (err == ERR_OK && !w->member)
		err = request_fail(rq, ERR_NOT_FOUND, "There is no member %lld.", (long long)id);
	if (err != ERR_OK) return err;
	choose_hazard(w, word ? word : request_query(rq, "hazard"));
	return ERR_OK;
}

/* --- the form ------------------------------------------------------------------------------ */

/* Of what the member has, the outfit against that hazard. */
static enum err offer_worn(struct request *rq, const struct wearer *w) {
	const struct value *v = request_values(rq, &resource);
	enum err err =
	    worn_choices(rq, &field[COMPONENT], v ? &v[COMPONENT] : NULL, doc_int(w->member, "id"));
	if (err != ERR_OK) return err;
	struct doc *kept = doc_list(&rq->arena), *next;
	if (!kept) return ERR_MEMORY;
	for (struct doc *c = doc_get(rq->doc, "worn")->first; c; c = next) {
		next = c->next;
		if (text_equal(doc_text(c, "hazard"), hazard_word[w->hazard])) doc_add(kept, c);
	}
	doc_set(rq->doc, "worn", kept);
	doc_set_bool(rq->doc, "has_worn", doc_count(kept) > 0);
	return ERR_OK;
}

static void add_inputs(struct request *rq, const struct wearer *w, bool confirms) {
	struct doc *form = fields_form(&resource, &rq->arena, NULL, request_values(rq, &resource),
				       &rq->faults, rq->stale_form);
	static const size_t in_page[] = {MEMBER, HAZARD, COMPONENT};
	for (size_t i = 0; i < sizeof in_page / sizeof *in_page; i++)
		fields_form_remove(form, field[in_page[i]].name);
	for (int i = 0; i < INTERFACE_COUNT; i++)
		if (!interface_applies((enum interface)i, w->hazard))
			fields_form_remove(form, interface_word[i]);
	if (!confirms) fields_form_remove(form, field[CONFIRMED].name);
	/* Six answers side by side, so that a page holds more than one question. */
	for (struct doc *f = form->first; f; f = f->next) {
		doc_set_bool(f, "is_in_sight", false);
		if (word_find(interface_word, INTERFACE_COUNT, doc_text(f, "name")) >= 0)
			doc_set_bool(f, "required", true);
	}
	doc_set(rq->doc, "form", form);
}

static enum err add_form(struct request *rq, const struct wearer *w) {
	const struct value *v = request_values(rq, &resource);
	const struct limit_value *limit = &app_handbook(request_app(rq))->limit[LIMIT_OF_OVERLAP];
	struct program *p;
	enum err err = program_load(request_store(rq), app_handbook(request_app(rq)), &rq->arena,
				    &p, &rq->fault);
	if (err == ERR_OK) err = offer_worn(rq, w);
	if (err != ERR_OK) return err;
	doc_set_text(rq->doc, "hazard", hazard_word[w->hazard]);
	doc_set_text(rq->doc, "limit_label", limit->label);
	doc_set_text(rq->doc, "limit", program_limit_text(p, LIMIT_OF_OVERLAP, &rq->arena));
	doc_set_text(rq->doc, "limit_source", limit->source);
	add_inputs(rq, w,
		   fault_list_find(&rq->faults, "confirmed") || (v && value_given(&v[CONFIRMED])));
	return ERR_OK;
}

static enum err fit_check_new(struct request *rq) {
	struct wearer w;
	rq->doc = doc_map(&rq->arena);
	enum err err = load_subject(rq, &w);
	if (err != ERR_OK) return err;
	doc_set_int(rq->doc, "member", doc_int(w.member, "id"));
	doc_set_text(rq->doc, "member_name", doc_text(w.member, "name"));
	doc_set_bool(rq->doc, "is_chosen", w.has_hazard);
	doc_set_text(rq->doc, "hazard_label",
		     w.has_hazard ? choice_label(hazard_choice, hazard_word[w.hazard]) : NULL);
	rq->title = arena_printf(&rq->arena, "Interface check of %s", doc_text(w.member, "name"));
	return w.has_hazard ? add_form(rq, &w) : ERR_OK;
}

/* --- reading ------------------------------------------------------------------------------- */

static enum err read_answer(struct request *rq, enum interface i, struct fit_check *c) {
	const char *word = value_text(&rq->value[FIRST_ANSWER + i]);
	int answer = word_find(interface_answer_word, INTERFACE_ANSWER_COUNT, word);
	c->answer[i] = INTERFACE_NOT_WORN;
	if (!interface_applies(i, c->hazard))
		return answer < 0 ? ERR_OK
				  : request_field_fault(rq, interface_word[i],
							"A %s outfit has no such interface.",
							hazard_word[c->hazard]);
	if (answer < 0)
		return request_field_fault(rq, interface_word[i],
					   "Say what you saw, or that it was not worn.");
	c->answer[i] = (enum interface_answer)answer;
	return ERR_OK;
}

/* A length in the unit that was chosen. */
static enum err read_length(struct request *rq, size_t at, int64_t *um) {
	const struct value *unit = &rq->value[UNIT];
	if (!value_given(unit))
		return request_field_fault(rq, "unit",
					   "Say in what it was measured: inches or centimetres.");
	bool inches = text_equal(value_text(unit), unit_word[UNIT_INCH]);
	if (unit_keep(inches ? UNIT_INCH : UNIT_CENTIMETRE, value_int(&rq->value[at], 0), um))
		return ERR_OK;
	return request_field_fault(rq, field[at].name, "That is out of all range.");
}

/* Measured where coat and trousers are worn, and only there. */
static enum err read_overlap(struct request *rq, struct fit_check *c) {
	bool worn = c->answer[INTERFACE_COAT_TROUSERS] != INTERFACE_NOT_WORN;
	if (worn != value_given(&rq->value[OVERLAP]))
		return request_field_fault(rq, "overlap",
					   worn ? "Measure the overlap of coat and trousers."
						: "Coat and trousers were not worn together.");
	c->has_overlap = worn;
	return worn ? read_length(rq, OVERLAP, &c->overlap) : ERR_OK;
}

static enum err read_leg(struct request *rq, struct fit_check *c) {
	c->has_leg = value_given(&rq->value[LEG]);
	if (!c->has_leg) return ERR_OK;
	if (c->answer[INTERFACE_TROUSERS_BOOTS] == INTERFACE_NOT_WORN)
		return request_field_fault(rq, "leg", "Trousers and boots were not worn together.");
	enum err err = read_length(rq, LEG, &c->leg);
	if (err != ERR_OK || (c->leg >= 0 && c->leg <= LEG_UM_MAX)) return err;
	return request_field_fault(rq, "leg", "No leg is as long as that.");
}

/* Every answer that is missing is named at once. */
static enum err read_check(struct request *rq, struct fit_check *c) {
	enum err err = ERR_OK;
	bool is_worn = false;
	for (int i = 0; i < INTERFACE_COUNT; i++) {
		enum err one = read_answer(rq, (enum interface)i, c);
		if (one != ERR_OK) err = one;
		is_worn = is_worn || c->answer[i] != INTERFACE_NOT_WORN;
	}
	if (err != ERR_OK) return err;
	if (!is_worn)
		return request_field_fault(rq, interface_word[0],
					   "Nothing was worn, so nothing was checked.");
	err = read_overlap(rq, c);
	if (err == ERR_OK) err = read_leg(rq, c);
	if (err != ERR_OK) return err;
	return record_check_doubt(rq, field[OVERLAP].label, fit_check_doubtful(c, &rq->arena),
				  CONFIRMED, NOTE);
}

static enum err check_part(struct request *rq, int64_t id, enum hazard hazard) {
	struct doc *row = NULL;
	enum err err = component_get(request_store(rq), id, &rq->arena, &row, &rq->fault);
	if (err == ERR_OK) err = component_check_serves(rq, row);
	if (err != ERR_OK) return err;
	if (!text_equal(doc_text(row, "hazard"), hazard_word[hazard]))
		return request_field_fault(rq, "component", "%s is not of a %s outfit.",
					   doc_text(row, "tag"), hazard_word[hazard]);
	if (!component_has_blocker(row, "contaminated")) return ERR_OK;
	return request_fail(rq, ERR_CONFLICT,
			    "%s is contaminated: have it cleaned before anybody puts it on.",
			    doc_text(row, "tag"));
}

static enum err check_worn(struct request *rq, enum hazard hazard) {
	const struct value *chosen = &rq->value[COMPONENT];
	enum err err = worn_check(rq, chosen);
	for (size_t i = 0; err == ERR_OK && i < chosen->list_count; i++)
		err = check_part(rq, chosen->list[i], hazard);
	return err;
}

/* --- storing ------------------------------------------------------------------------------- */

static enum err show(struct request *rq);

static enum err store_check(struct request *rq, const struct wearer *w, const struct fit_check *c,
			    int64_t *id) {
	const struct value *v = rq->value;
	struct program *p;
	struct fit_verdict verdict;
	enum err err = program_load(request_store(rq), app_handbook(request_app(rq)), &rq->arena,
				    &p, &rq->fault);
	if (err != ERR_OK) return err;
	fit_check_judge(&verdict, c, p, &rq->arena);
	if (!verdict.because) return request_fail(rq, ERR_MEMORY, "There is no memory left.");
	struct fit_check_row row = {.member = doc_int(w->member, "id"),
				    .checked_by = rq->who.member,
				    .checked_on = record_day(rq, &v[CHECKED_ON]),
				    .note = value_text(&v[NOTE]),
				    .check = c,
				    .verdict = &verdict,
				    .component = v[COMPONENT].list,
				    .component_count = v[COMPONENT].list_count};
	return fit_check_insert(request_store(rq), &row, id, &rq->fault);
}

static enum err fit_check_post(struct request *rq) {
	struct wearer w;
	int64_t id = 0;
	enum err err = load_subject(rq, &w);
	struct fit_check c = {.hazard = w.hazard};
	if (err == ERR_OK && text_equal(doc_text(w.member, "status"), "left"))
		err = request_fail(rq, ERR_CONFLICT, "%s has left the department.",
				   doc_text(w.member, "name"));
	if (err == ERR_OK) err = record_check_done(rq, CHECKED_ON);
	if (err == ERR_OK) err = check_worn(rq, w.hazard);
	if (err == ERR_OK) err = read_check(rq, &c);
	if (err == ERR_OK) err = store_check(rq, &w, &c, &id);
	if (err != ERR_OK) return err;
	request_action(rq, "record interface check");
	rq->id[0] = id;
	request_go(rq, true, "/fit-checks/%lld", (long long)id);
	return show(rq);
}

/* --- one of them --------------------------------------------------------------------------- */

static const struct revocable revocable = {"interface check", "/fit-checks", fit_check_get,
					   fit_check_revoke, show};

static enum err add_changes(struct request *rq, int64_t check, struct doc *to) {
	struct doc *changes = doc_set_list(to, "changes");
	enum err err = fit_check_changes(request_store(rq), check, &rq->arena, changes, &rq->fault);
	doc_set_bool(to, "has_changes", doc_count(changes) > 0);
	return err;
}

static enum err show(struct request *rq) {
	struct doc *row, *d = rq->doc = doc_map(&rq->arena);
	enum err err = revocable_load(rq, &revocable, &row);
	if (err != ERR_OK) return err;
	label_row(doc_set(d, "fit_check", row));
	err = fit_check_parts(request_store(rq), rq->id[0], &rq->arena, doc_set_list(d, "worn"),
			      &rq->fault);
	if (err == ERR_OK) err = add_changes(rq, rq->id[0], d);
	doc_set_bool(d, "is_gap", text_equal(doc_text(row, "state"), "gap"));
	doc_set_bool(d, "is_part", text_equal(doc_text(row, "state"), "not_whole"));
	revocation_form(rq, row, d);
	rq->title = arena_printf(&rq->arena, "Interface check of %s", doc_text(row, "member_name"));
	return err;
}

static enum err revoke(struct request *rq) { return revocation_apply(rq, &revocable); }

/* --- on the page of the member ------------------------------------------------------------- */

/* The latest check against a hazard that counts; they stand newest first. */
static const struct doc *latest_of(const struct doc *checks, const char *hazard) {
	for (const struct doc *c = checks->first; c; c = c->next)
		if (text_equal(doc_text(c, "hazard"), hazard) && !doc_text(c, "revoked_on"))
			return c;
	return NULL;
}

static enum err add_latest(struct request *rq, const struct doc *checks, const char *hazard,
			   struct doc *fit) {
	const struct doc *latest = latest_of(checks, hazard);
	doc_set_text(fit, "hazard", hazard);
	doc_set_text(fit, "hazard_label", choice_label(hazard_choice, hazard));
	if (!latest) {
		doc_set_null(fit, "latest");
		return ERR_OK;
	}
	doc_set_int(fit, "latest", doc_int(latest, "id"));
	doc_set_text(fit, "checked_on", doc_text(latest, "checked_on"));
	return add_changes(rq, doc_int(latest, "id"), fit);
}

enum err fit_checks_extend(struct request *rq, const struct doc *member, struct doc *to) {
	struct doc *checks = doc_set_list(to, "fit_checks"), *fit = doc_set_list(to, "fit");
	enum err err = fit_checks_of_member(request_store(rq), doc_int(member, "id"), &rq->arena,
					    checks, &rq->fault);
	if (err != ERR_OK) return err;
	label_rows(checks);
	for (int h = 0; err == ERR_OK && h < HAZARD_COUNT; h++)
		if (doc_int(member, hazard_word[h]))
			err = add_latest(rq, checks, hazard_word[h], doc_add_map(fit));
	return err;
}

static const char *const list_query[] = {LIST_QUERY, "hazard", "state", "station", NULL};
static const char *const new_query[] = {"member", "hazard", "component", NULL};

static const struct route route[] = {
    {METHOD_GET, "/fit-checks", ROLE_MEMBER, RUN_READ, .handle = fit_check_index,
     .template_name = "fit-checks", .query = list_query,
     .summary = "Interface checks: whether skin or a gap shows where elements of an outfit meet"},
    {METHOD_GET, "/fit-checks.csv", ROLE_MEMBER, RUN_READ, .handle = fit_check_csv,
     .query = list_query, .summary = "The list of interface checks as CSV"},
    {METHOD_GET, "/fit-checks/new", ROLE_INSPECTOR, RUN_READ, .handle = fit_check_new,
     .template_name = "fit-check-new", .query = new_query,
     .summary = "Form for an interface check of a member"},
    {METHOD_POST, "/fit-checks", ROLE_INSPECTOR, RUN_CHANGE, .handle = fit_check_post,
     .form = fit_check_new, .template_name = "fit-check-new", .resource = &resource,
     .summary = "Record an interface check; what it came to is worked out"},
    {METHOD_GET, "/fit-checks/:id", ROLE_MEMBER, RUN_READ, .handle = show,
     .template_name = "fit-check", .summary = "One interface check, and why it came to that"},
    {METHOD_POST, "/fit-checks/:id/revoke", ROLE_OFFICER, RUN_CHANGE, .handle = revoke,
     .form = show, .template_name = "fit-check", .resource = &revocation_resource,
     .summary = "Take back an interface check recorded in error"},
};
const struct route_table fit_check_routes = {route, sizeof route / sizeof *route};
