/*
 * Accounts: who may sign in, as what; for administrators.
 *
 * A password is hashed on the slow thread before the change. Without one typed,
 * one is made and shown in that answer, and nowhere else.
 */
#include "base/limits.h"
#include "handlers/app.h"
#include "handlers/list.h"
#include "handlers/record.h"
#include "handlers/routes.h"
#include "store/account.h"
#include "store/member.h"

#define ROLE_CHOICE(code, word, label) {word, label},
static const struct choice role_choice[] = {ROLE_LIST(ROLE_CHOICE){NULL, NULL}};

#define ROLE_FIELD                                                                                 \
	{                                                                                          \
		.name = "role", .label = "Role",                                                   \
		.help =                                                                            \
		    "Each role includes those before it: a member reads and looks gear over, an "  \
		    "inspector inspects and sends to repair, an officer runs the program, an "     \
		    "administrator has accounts and settings.",                                    \
		.kind = FIELD_CHOICE, .required = true, .choice = role_choice                      \
	}
#define PASSWORD_FIELD                                                                             \
	{                                                                                          \
		.name = "password", .label = "Password",                                           \
		.help =                                                                            \
		    "Left empty, one is made and shown once. At least 10 characters otherwise.",   \
		.kind = FIELD_PASSWORD, .min = LIMIT_PASSWORD_CHARS_MIN                            \
	}
#define AGAIN_FIELD                                                                                \
	{                                                                                          \
		.name = "password_again", .label = "The password again", .kind = FIELD_PASSWORD,   \
		.min = LIMIT_PASSWORD_CHARS_MIN                                                    \
	}
_Static_assert(LIMIT_PASSWORD_CHARS_MIN == 10, "the help says so");

enum { NEW_MEMBER, NEW_ROLE, NEW_PASSWORD, NEW_AGAIN, NEW_FIELDS };
static const struct field new_field[NEW_FIELDS] = {
    [NEW_MEMBER] = {.name = "member",
		    .label = "Member",
		    .help = "Those in service who have no account yet.",
		    .kind = FIELD_ID,
		    .required = true},
    [NEW_ROLE] = ROLE_FIELD,
    [NEW_PASSWORD] = PASSWORD_FIELD,
    [NEW_AGAIN] = AGAIN_FIELD,
};
static const struct resource new_resource = {"new_account", "accounts", new_field, NEW_FIELDS};

enum { ACCOUNT_ROLE, ACCOUNT_ACTIVE, ACCOUNT_FIELDS };
static const struct field account_field[ACCOUNT_FIELDS] = {
    [ACCOUNT_ROLE] = ROLE_FIELD,
    [ACCOUNT_ACTIVE] = {.name = "active",
			.label = "May sign in",
			.help = "No ends the sessions of the account and stops its API tokens.",
			.kind = FIELD_YES_NO,
			.required = true},
};
static const struct resource account_resource = {"account", "accounts", account_field,
						 ACCOUNT_FIELDS};

enum { PASSWORD, AGAIN, PASSWORD_FIELDS };
static const struct field password_field[PASSWORD_FIELDS] = {
    [PASSWORD] = PASSWORD_FIELD,
    [AGAIN] = AGAIN_FIELD,
};
static const struct resource password_resource = {"account_password", "accounts", password_field,
						  PASSWORD_FIELDS};

/* --- passwords, on the slow thread ----------------------------------------------------- */

struct prepared {
	const char *made; /* to be shown; NULL when one was typed */
	char hash[PASSWORD_HASH_SIZE];
};

static enum err prepare(struct request *rq, size_t password_at, size_t again_at) {
	struct prepared *p = arena_new(&rq->arena, struct prepared);
	if (!p) return request_fail(rq, ERR_MEMORY, "There is no memory left.");
	rq->prepared = p;
	/* An answer kept for repetition would keep the password, or a fast hash of it. */
	rq->idempotency_key = NULL;
	const char *typed = value_text(&rq->value[password_at]);
	if (!text_equal(typed, value_text(&rq->value[again_at])))
		return request_field_fault(rq, "password_again",
					   "The two passwords differ. Type the same one twice, or "
					   "leave both empty.");
	if (!typed) p->made = password_new(&rq->arena, PASSWORD_GROUPS);
	const char *password = typed ? typed : p->made;
	return password ? password_hash(password, false, p->hash, &rq->fault) : ERR_MEMORY;
}

static enum err create_prepare(struct request *rq) { return prepare(rq, NEW_PASSWORD, NEW_AGAIN); }
static enum err password_prepare(struct request *rq) { return prepare(rq, PASSWORD, AGAIN); }

/* The password that was made is in this answer and nowhere else. */
static void show_made(struct request *rq) {
	const struct prepared *p = rq->prepared;
	if (!p->made) return;
	doc_set_text(rq->doc, "secret", p->made);
	rq->template_name = "account";
	if (rq->wants_html) rq->location = NULL;
}

/* --- one account ----------------------------------------------------------------------- */

static enum err get(struct request *rq, int64_t id, struct doc **row) {
	return account_by_id(request_store(rq), id, &rq->arena, row, &rq->fault);
}

static enum err extend(struct request *rq, const struct doc *row, struct doc *page) {
	struct doc *tokens = doc_set_list(page, "tokens");
	doc_set_text(page, "role_label", choice_label(role_choice, doc_text(row, "role")));
	doc_set_text(page, "secret", NULL);
	doc_set_int(page, "account_id", doc_int(row, "id"));
	doc_set_bool(page, "is_own", doc_int(row, "id") == rq->who.account);
	enum err err =
	    token_list(request_store(rq), doc_int(row, "id"), &rq->arena, tokens, &rq->fault);
	doc_set_bool(page, "has_tokens", doc_count(tokens) > 0);
	return err;
}

static enum err create(struct request *rq, const struct doc *none, int64_t *id) {
	(void)none;
	const struct prepared *p = rq->prepared;
	struct store *st = request_store(rq);
	int64_t member = value_int(&rq->value[NEW_MEMBER], 0);
	struct doc *row = NULL;
	enum err err = member_get(st, member, &rq->arena, &row, &rq->fault);
	if (err == ERR_OK && (!row || text_equal(doc_text(row, "status"), "left")))
		return request_field_fault(rq, "member", "Choose a member from the list.");
	if (err == ERR_OK) err = account_of_member(st, member, id, &rq->fault);
	if (err == ERR_OK && *id)
		return request_field_fault(rq, "member", "%s has an account already.",
					   doc_text(row, "name"));
	return err == ERR_OK ? account_put(st, member, value_text(&rq->value[NEW_ROLE]), p->hash,
					   id, &rq->fault)
			     : err;
}

static enum err save(struct request *rq, const struct doc *row, int64_t *id) {
	*id = doc_int(row, "id");
	return account_change(request_store(rq), *id, keep_text(rq, ACCOUNT_ROLE, row),
			      keep_int(rq, ACCOUNT_ACTIVE, row, 1) != 0, &rq->fault);
}

static enum err member_choices(struct request *rq, struct doc *form) {
	struct doc *members = doc_list(&rq->arena);
	enum err err = account_member_options(request_store(rq), &rq->arena, members, &rq->fault);
	if (err == ERR_OK) fields_form_options(form, "member", members);
	return err;
}

static const struct record new_record = {.path = "/accounts",
					 .word = "account",
					 .resource = &new_resource,
					 .get = get,
					 .save = create,
					 .extend = extend,
					 .options = member_choices,
					 .title_key = "name",
					 .unique = "member"};
static const struct record record = {.path = "/accounts",
				     .word = "account",
				     .resource = &account_resource,
				     .get = get,
				     .save = save,
				     .extend = extend,
				     .title_key = "name",
				     .unique = "member"};

static enum err account_create(struct request *rq) {
	enum err err = record_store(rq, &new_record);
	if (err == ERR_OK) show_made(rq);
	return err;
}

/* --- a new password -------------------------------------------------------------------- */

static enum err password_form(struct request *rq) {
	struct doc *row;
	enum err err = record_load(rq, &record, &row);
	if (err != ERR_OK) return err;
	struct doc *page = rq->doc = doc_map(&rq->arena);
	doc_set(page, "form",
		fields_form(&password_resource, &rq->arena, NULL,
			    request_values(rq, &password_resource), &rq->faults, false));
	doc_set_printf(page, "action", "/accounts/%lld/password", (long long)rq->id[0]);
	doc_set_printf(page, "back", "/accounts/%lld", (long long)rq->id[0]);
	rq->version = doc_int(row, "version");
	rq->title = arena_printf(&rq->arena, "New password for %s", doc_text(row, "name"));
	return ERR_OK;
}

static enum err password_store(struct request *rq) {
	const struct prepared *p = rq->prepared;
	struct doc *row;
	enum err err = record_load(rq, &record, &row);
	if (err == ERR_OK && rq->id[0] == rq->who.account)
		return request_fail(rq, ERR_CONFLICT,
				    "This is your own account. Change your password on the page "
				    "\"Your password\", which asks for the old one.");
	if (err == ERR_OK) err = request_check_version(rq, doc_int(row, "version"));
	if (err == ERR_OK)
		err = account_set_password(request_store(rq), rq->id[0], p->hash, &rq->fault);
	if (err != ERR_OK) return err;
	request_action(rq, "set password of account");
	request_go(rq, false, "/accounts/%lld", (long long)rq->id[0]);
	err = record_show(rq, &record);
	if (err == ERR_OK) show_made(rq);
	return err;
}

static enum err token_end(struct request *rq) {
	char at[INSTANT_TEXT_SIZE];
	enum err err = token_revoke(request_store(rq), rq->id[0], rq->id[1],
				    instant_format(rq->now_s, at), &rq->fault);
	if (err != ERR_OK) return err;
	request_action(rq, "revoke API token of account");
	request_go(rq, false, "/accounts/%lld", (long long)rq->id[0]);
	return record_show(rq, &record);
}

/* --- all of them ----------------------------------------------------------------------- */

static const struct choice open_choice[] = {{"yes", "Yes"}, {"no", "No"}, {NULL, NULL}};
static const struct list_column column[] = {{"badge", "badge"},
					    {"name", "name"},
					    {"role", "role"},
					    {"is_open", "may_sign_in"},
					    {"has_password", "password"},
					    {"last_sign_in", "last_sign_in"},
					    {"token_count", "tokens"},
					    {NULL, NULL}};
static const struct list_page page = {.path = "/accounts",
				      .title = "Accounts",
				      .source = &account_list,
				      .filter = {{.label = "Role", .choice = role_choice},
						 {.label = "May sign in", .choice = open_choice}},
				      .column = column};

static enum err account_index(struct request *rq) { return list_answer(rq, &page); }
static enum err account_csv(struct request *rq) { return list_export(rq, &page); }
static enum err account_show(struct request *rq) { return record_show(rq, &record); }

/* A link may name the member: chosen then as if it had been typed. */
static enum err account_new(struct request *rq) {
	enum err err = record_offer(rq, &new_resource, NEW_MEMBER);
	return err == ERR_OK ? record_form(rq, &new_record) : err;
}

static enum err account_form(struct request *rq) { return record_form(rq, &record); }
static enum err account_store(struct request *rq) { return record_store(rq, &record); }

static const char *const new_query[] = {"member", NULL};
static const char *const list_query[] = {LIST_QUERY, "role", "open", NULL};

static const struct route route[] = {
    {METHOD_GET, "/accounts", ROLE_ADMINISTRATOR, RUN_READ, .handle = account_index,
     .template_name = "accounts", .query = list_query, .summary = "Accounts"},
    {METHOD_GET, "/accounts.csv", ROLE_ADMINISTRATOR, RUN_READ, .handle = account_csv,
     .query = list_query, .summary = "The list of accounts as CSV"},
    {METHOD_GET, "/accounts/new", ROLE_ADMINISTRATOR, RUN_READ, .handle = account_new,
     .template_name = "form", .query = new_query, .summary = "Form for a new account"},
    {METHOD_POST, "/accounts", ROLE_ADMINISTRATOR, RUN_SLOW_CHANGE, .handle = account_create,
     .prepare = create_prepare, .form = account_new, .template_name = "form",
     .resource = &new_resource, .summary = "Make an account; a password made for it is shown once"},
    {METHOD_GET, "/accounts/:id", ROLE_ADMINISTRATOR, RUN_READ, .handle = account_show,
     .template_name = "account", .summary = "One account and its API tokens"},
    {METHOD_GET, "/accounts/:id/edit", ROLE_ADMINISTRATOR, RUN_READ, .handle = account_form,
     .template_name = "form", .summary = "Form to change an account"},
    {METHOD_POST, "/accounts/:id", ROLE_ADMINISTRATOR, RUN_CHANGE, .handle = account_store,
     .form = account_form, .template_name = "form", .resource = &account_resource, .partial = true,
     .summary = "Change an account's role, close or open it"},
    {METHOD_GET, "/accounts/:id/password", ROLE_ADMINISTRATOR, RUN_READ, .handle = password_form,
     .template_name = "form", .summary = "Form for a new password of an account"},
    {METHOD_POST, "/accounts/:id/password", ROLE_ADMINISTRATOR, RUN_SLOW_CHANGE,
     .handle = password_store, .prepare = password_prepare, .form = password_form,
     .template_name = "form", .resource = &password_resource,
     .summary = "Give an account a new password; one made is shown once"},
    {METHOD_POST, "/accounts/:id/tokens/:id/revoke", ROLE_ADMINISTRATOR, RUN_CHANGE,
     .handle = token_end, .summary = "Revoke an API token of an account"},
};
const struct route_table account_routes = {route, sizeof route / sizeof *route};
