#include "verbs/desk.h"

#include <stdio.h>

#include "store/account.h"
#include "store/member.h"
#include "store/pin.h"
#include "store/session.h"

struct grant {
	const struct options *options;
	const char *hash;
	const char *token;
};

static enum err write_account(struct change *c, struct store *st) {
	const struct grant *g = c->context;
	const char *role = g->options->role ? g->options->role : "member";
	int64_t member, account;
	enum err err = member_by_badge(st, g->options->badge, &member, &c->fault);
	if (err == ERR_OK && !member)
		return fault_set(&c->fault, ERR_NOT_FOUND, NULL,
				 "There is no member with the badge %s.", g->options->badge);
	if (err == ERR_OK) err = account_put(st, member, role, g->hash, &account, &c->fault);
	if (err == ERR_OK && g->hash) err = session_end_all(st, account, &c->fault);
	return err;
}

/* Sets a secret that is hashed before the record is opened. */
static int grant_secret(const struct options *o, const char *whose,
			enum err (*hash_of)(const struct options *, char *, struct fault *),
			enum err (*write)(struct change *, struct store *), const char *action) {
	struct fault f = {0};
	struct desk d = {.lock = -1};
	char hash[PASSWORD_HASH_SIZE];
	if (!o->badge) {
		fprintf(stderr, "pegwarden: say whose %s: --badge BADGE\n", whose);
		return 2;
	}
	enum err err = hash_of(o, hash, &f);
	if (err == ERR_OK) err = desk_open(&d, o, &f);
	struct grant g = {o, hash, NULL};
	if (err == ERR_OK) err = desk_change(&d, write, &g, action, &f);
	desk_close(&d);
	return err == ERR_OK ? 0 : verb_failed(&f);
}

int verb_account(const struct options *o) {
	return grant_secret(o, "account", hash_password, write_account, "set account");
}

static enum err find_account(struct change *c, struct store *st, int64_t *id) {
	const struct grant *g = c->context;
	struct arena a;
	arena_init(&a, 65536);
	struct doc *account = NULL;
	enum err err = account_by_badge(st, g->options->badge, &a, &account, &c->fault);
	if (err == ERR_OK && !account)
		err = fault_set(&c->fault, ERR_NOT_FOUND, NULL, "The badge %s has no account.",
				g->options->badge);
	*id = doc_int(account, "id");
	arena_clear(&a);
	return err;
}

static enum err write_pin(struct change *c, struct store *st) {
	const struct grant *g = c->context;
	int64_t account;
	enum err err = find_account(c, st, &account);
	return err == ERR_OK ? pin_set(st, account, g->hash, NULL, &c->fault) : err;
}

int verb_pin(const struct options *o) {
	return grant_secret(o, "PIN", hash_pin, write_pin, "set PIN");
}

static enum err write_token(struct change *c, struct store *st) {
	const struct grant *g = c->context;
	int64_t account, id;
	char at[INSTANT_TEXT_SIZE];
	enum err err = find_account(c, st, &account);
	return err == ERR_OK ? token_insert(st, account, g->options->name, g->token,
					    instant_format(c->author.now_s, at), &id, &c->fault)
			     : err;
}

int verb_token(const struct options *o) {
	struct fault f = {0};
	struct desk d = {.lock = -1};
	struct arena a;
	if (!o->badge || !o->name) {
		fputs("pegwarden: say whose token and what for: --member BADGE --name TEXT\n",
		      stderr);
		return 2;
	}
	arena_init(&a, 65536);
	struct grant g = {o, NULL, secret_new(&a)};
	enum err err = desk_open(&d, o, &f);
	if (err == ERR_OK) err = desk_change(&d, write_token, &g, "make API token", &f);
	desk_close(&d);
	if (err == ERR_OK) puts(g.token);
	arena_clear(&a);
	return err == ERR_OK ? 0 : verb_failed(&f);
}
