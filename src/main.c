/*
 * The command line: one function a verb.
 *
 * Exit codes: 0 done, 1 it could not be done (said on standard error), 2 the
 * command was not understood, 3 `verify` or `rebuild --check` found something.
 */
#include "config.h"

#include <getopt.h>
#include <pthread.h>
#include <signal.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "base/limits.h"
#include "handlers/app.h"
#include "handlers/import.h"
#include "handlers/routes.h"
#include "outbound/post.h"
#include "store/backup.h"
#include "store/data_dir.h"
#include "store/member.h"
#include "store/notice.h"
#include "store/session.h"
#include "store/setting.h"
#include "store/station.h"

struct options {
	const char *data, *share, *address, *badge, *name, *role, *password_file, *department, *zone,
	    *kind, *date_order, *to, *value, *reason, *given_name, *family_name, *station;
	int port, threads;
	bool check, dry_run, update, quiet, strict_templates, behind_tls, least;
	char **rest;
	int rest_count;
};

static int fail(const struct fault *f) {
	fprintf(stderr, "pegwarden: %s\n", f->message[0] ? f->message : err_word(f->code));
	return 1;
}

static const char *share_folder(const struct options *o) {
	const char *environment = getenv("PEGWARDEN_SHARE");
	return o->share ? o->share : environment ? environment : PEGWARDEN_DATADIR;
}

/* --- opening for one command -------------------------------------------------------- */

struct desk {
	int lock;
	struct store *store;
	struct signing_key key;
};

static enum err desk_open(struct desk *d, const struct options *o, struct fault *f) {
	char path[DATA_PATH_SIZE], migrations[DATA_PATH_SIZE];
	*d = (struct desk){.lock = -1};
	enum err err = data_dir_lock(o->data, &d->lock, f);
	if (err == ERR_OK) err = data_dir_path(o->data, DATA_KEY, path, f);
	if (err == ERR_OK) err = signing_key_load(&d->key, path, f);
	if (err == ERR_OK) err = data_dir_path(share_folder(o), "migrations", migrations, f);
	if (err == ERR_OK) err = store_open(&d->store, o->data, migrations, STORE_WRITE, f);
	return err;
}

static void desk_close(struct desk *d) {
	store_close(d->store);
	signing_key_clear(&d->key);
	data_dir_unlock(d->lock);
}

/* Runs one change by the system. */
static enum err desk_change(struct desk *d, enum err (*apply)(struct change *, struct store *),
			    void *context, const char *action, struct fault *f) {
	struct change c = {.apply = apply, .context = context};
	c.author = (struct author){0, "system", action, (int64_t)time(NULL)};
	enum err err = store_change(d->store, &d->key, &c);
	if (err != ERR_OK && f->code == ERR_OK) *f = c.fault;
	return err;
}

/* --- passwords ------------------------------------------------------------------------ */

static bool read_line(const char *path, char *line, size_t size) {
	FILE *file = strcmp(path, "-") == 0 ? stdin : fopen(path, "r");
	if (!file) return false;
	bool read = fgets(line, (int)size, file) != NULL;
	if (file != stdin) fclose(file);
	if (read) line[strcspn(line, "\r\n")] = '\0';
	return read;
}

/* --password-cost least is for tests and demonstrations: the cost stands in the hash. */
static enum err hash_password(const struct options *o, char hash[crypto_pwhash_STRBYTES],
			      struct fault *f) {
	char line[LIMIT_PASSWORD_BYTES_MAX + 2];
	if (!o->password_file)
		return fault_set(f, ERR_INVALID, NULL, "Give --password-file FILE (or - for standard "
						       "input) with the password on its first line.");
	if (!read_line(o->password_file, line, sizeof line))
		return fault_set(f, ERR_IO, NULL, "No password can be read from %s.", o->password_file);
	if (text_chars(line) < LIMIT_PASSWORD_CHARS_MIN)
		return fault_set(f, ERR_INVALID, NULL, "The password needs at least %d characters.",
				 LIMIT_PASSWORD_CHARS_MIN);
	unsigned long long work = o->least ? crypto_pwhash_OPSLIMIT_MIN : crypto_pwhash_OPSLIMIT_INTERACTIVE;
	size_t memory = o->least ? crypto_pwhash_MEMLIMIT_MIN : crypto_pwhash_MEMLIMIT_INTERACTIVE;
	int failed = crypto_pwhash_str(hash, line, strlen(line), work, memory);
	sodium_memzero(line, sizeof line);
	return failed ? fault_set(f, ERR_MEMORY, NULL, "There is no memory left.") : ERR_OK;
}

/* --- init --------------------------------------------------------------------------------- */

struct first {
	const struct options *options;
	const char *hash;
};

static enum err write_first(struct change *c, struct store *st) {
	const struct first *first = c->context;
	const struct options *o = first->options;
	struct arena a;
	arena_init(&a, 1024 * 1024);
	int64_t station = 0, member = 0, account;
	struct station_row s = {.code = "HQ", .name = "Headquarters", .active = true};
	struct member_row m = {.badge = o->badge,
			       .family_name = o->family_name ? o->family_name : "Administrator",
			       .given_name = o->given_name ? o->given_name : "First",
			       .status = "active"};
	enum err err = setting_put(st, "department", o->department, NULL, &c->fault);
	if (err == ERR_OK) err = setting_put(st, "time_zone", o->zone, NULL, &c->fault);
	if (err == ERR_OK) err = station_save(st, &s, &a, &station, &c->fault);
	m.station = station;
	if (err == ERR_OK) err = member_save(st, &m, &a, &member, &c->fault);
	if (err == ERR_OK)
		err = account_put(st, member, "administrator", first->hash, &account, &c->fault);
	arena_clear(&a);
	return err;
}

static int verb_init(const struct options *o) {
	struct fault f = {0};
	struct desk d = {.lock = -1};
	char path[DATA_PATH_SIZE], hash[crypto_pwhash_STRBYTES];
	struct options with = *o;
	if (!with.department) with.department = "Fire Department";
	if (!with.zone) with.zone = "UTC";
	if (!with.badge) with.badge = "1";
	if (instant_day_in_zone(0, with.zone) == DAY_NONE) {
		fprintf(stderr, "pegwarden: %s is no time zone; say it like America/Chicago.\n", with.zone);
		return 1;
	}
	enum err err = hash_password(o, hash, &f);
	if (err == ERR_OK) err = data_dir_create(o->data, &f);
	if (err == ERR_OK) err = data_dir_path(o->data, DATA_KEY, path, &f);
	struct signing_key key;
	if (err == ERR_OK) err = signing_key_create(&key, path, &f);
	if (err == ERR_OK) err = desk_open(&d, o, &f);
	struct first first = {&with, hash};
	if (err == ERR_OK) err = desk_change(&d, write_first, &first, "set up the department", &f);
	desk_close(&d);
	if (err != ERR_OK) return fail(&f);
	printf("%s is ready. Keep a copy of %s apart from the database.\n", o->data, path);
	return 0;
}

/* --- serve ----------------------------------------------------------------------------------- */

static int verb_serve(const struct options *o) {
	struct fault f = {0};
	struct app *app;
	sigset_t stops;
	sigemptyset(&stops);
	sigaddset(&stops, SIGTERM);
	sigaddset(&stops, SIGINT);
	pthread_sigmask(SIG_BLOCK, &stops, NULL); /* before any thread is started */
	signal(SIGPIPE, SIG_IGN);
	const char *address = o->address ? o->address : "127.0.0.1";
	if (!o->behind_tls && !text_starts(address, "127.")) {
		fprintf(stderr, "pegwarden: %s is reached from other machines, and passwords would cross the "
				"network unprotected. Put a TLS proxy in front and say --behind-tls.\n",
			address);
		return 1;
	}
	struct app_config ac = {.data_dir = o->data, .share_dir = share_folder(o), .quiet = o->quiet};
	if (app_start(&app, &ac, &f) != ERR_OK) return fail(&f);
	char templates[DATA_PATH_SIZE], statics[DATA_PATH_SIZE];
	struct http_config hc = {.address = address, .port = o->port, .threads = o->threads,
				 .strict_templates = o->strict_templates, .secure_cookies = o->behind_tls,
				 .templates = templates, .statics = statics};
	hc.tables = all_routes(&hc.table_count);
	app_host(app, &hc.host);
	struct http_server *server = NULL;
	if (data_dir_path(share_folder(o), "templates", templates, &f) == ERR_OK &&
	    data_dir_path(share_folder(o), "static", statics, &f) == ERR_OK)
		server = http_server_start(&hc, &f);
	int code = server ? 0 : fail(&f);
	if (server) {
		printf("Pegwarden serves on http://%s:%d/\n", address, http_server_port(server));
		fflush(stdout);
		int stop;
		sigwait(&stops, &stop);
		http_server_stop(server);
	}
	app_stop(app);
	return code;
}

/* --- accounts and tokens ------------------------------------------------------------------------ */

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
		return fault_set(&c->fault, ERR_NOT_FOUND, NULL, "There is no member with the badge %s.",
				 g->options->badge);
	if (err == ERR_OK) err = account_put(st, member, role, g->hash, &account, &c->fault);
	if (err == ERR_OK && g->hash) err = session_end_all(st, account, &c->fault);
	return err;
}

static int verb_account(const struct options *o) {
	struct fault f = {0};
	struct desk d = {.lock = -1};
	char hash[crypto_pwhash_STRBYTES];
	if (!o->badge) {
		fputs("pegwarden: say whose account: --badge BADGE\n", stderr);
		return 2;
	}
	enum err err = hash_password(o, hash, &f);
	if (err == ERR_OK) err = desk_open(&d, o, &f);
	struct grant g = {o, hash, NULL};
	if (err == ERR_OK) err = desk_change(&d, write_account, &g, "set account", &f);
	desk_close(&d);
	return err == ERR_OK ? 0 : fail(&f);
}

static enum err write_token(struct change *c, struct store *st) {
	const struct grant *g = c->context;
	struct arena a;
	arena_init(&a, 65536);
	struct doc *account = NULL;
	int64_t id;
	char at[INSTANT_TEXT_SIZE];
	enum err err = account_by_badge(st, g->options->badge, &a, &account, &c->fault);
	if (err == ERR_OK && !account)
		err = fault_set(&c->fault, ERR_NOT_FOUND, NULL, "The badge %s has no account.",
				g->options->badge);
	if (err == ERR_OK)
		err = token_insert(st, doc_int(account, "id"), g->options->name, g->token,
				   instant_format(c->author.now_s, at), &id, &c->fault);
	arena_clear(&a);
	return err;
}

static int verb_token(const struct options *o) {
	struct fault f = {0};
	struct desk d = {.lock = -1};
	struct arena a;
	if (!o->badge || !o->name) {
		fputs("pegwarden: say whose token and what for: --member BADGE --name TEXT\n", stderr);
		return 2;
	}
	arena_init(&a, 65536);
	struct grant g = {o, NULL, secret_new(&a)};
	enum err err = desk_open(&d, o, &f);
	if (err == ERR_OK) err = desk_change(&d, write_token, &g, "make API token", &f);
	desk_close(&d);
	if (err == ERR_OK) puts(g.token);
	arena_clear(&a);
	return err == ERR_OK ? 0 : fail(&f);
}

/* --- looking after the record ------------------------------------------------------------------ */

static int verb_routes(const struct options *o) {
	size_t count;
	const struct route_table *table = all_routes(&count);
	(void)o;
	for (size_t t = 0; t < count; t++)
		for (size_t i = 0; i < table[t].count; i++) {
			const struct route *r = &table[t].route[i];
			printf("%-4s %-46s %-13s %s\n", r->method == METHOD_POST ? "POST" : "GET",
			       r->pattern, role_word(r->role), r->summary);
		}
	return 0;
}

static void show_progress(int64_t done, int64_t total) {
	if (isatty(STDERR_FILENO))
		fprintf(stderr, "\r%lld of %lld%s", (long long)done, (long long)total,
			done == total ? "\n" : "");
}

static int verb_verify(const struct options *o) {
	struct fault f = {0};
	struct store *st = NULL;
	struct signing_key key;
	char path[DATA_PATH_SIZE];
	enum err err = data_dir_path(o->data, DATA_KEY, path, &f);
	if (err == ERR_OK) err = signing_key_load(&key, path, &f);
	if (err == ERR_OK) err = store_open(&st, o->data, NULL, STORE_READ, &f);
	if (err == ERR_OK) err = store_verify(st, key.public_key, show_progress, &f);
	store_close(st);
	if (err == ERR_OK) {
		puts("Every audit entry and every record holds.");
		return 0;
	}
	fprintf(stderr, "pegwarden: %s\n", f.message);
	return err == ERR_CORRUPT ? 3 : 1;
}

static int verb_rebuild(const struct options *o) {
	struct fault f = {0};
	struct desk d;
	int64_t differences = 0;
	enum err err = desk_open(&d, o, &f);
	if (err == ERR_OK) err = store_rebuild(d.store, !o->check, &differences, &f);
	desk_close(&d);
	if (err != ERR_OK) return fail(&f);
	printf("%lld components or members %s.\n", (long long)differences,
	       o->check ? "are not as the rules compute them" : "were computed anew");
	return o->check && differences ? 3 : 0;
}

/* --- notices and settings ------------------------------------------------------------------------ */

static enum err desk_office_change(void *self, struct change *c) {
	struct desk *d = self;
	return store_change(d->store, &d->key, c);
}

static enum err desk_office_take(void *self, struct store **st, struct fault *f) {
	(void)f;
	*st = ((struct desk *)self)->store;
	return ERR_OK;
}

static void desk_office_give(void *self, struct store *st) { (void)self, (void)st; }

static enum err show_pending(struct desk *d, day today, struct fault *f) {
	struct arena a;
	arena_init(&a, LIMIT_ARENA_BYTES_MAX);
	struct doc *list = doc_list(&a);
	enum err err = notices_pending(d->store, today, &a, list, f);
	for (const struct doc *n = err == ERR_OK ? list->first : NULL; n; n = n->next)
		printf("%s: %s of %s, %s, %s\n", doc_text(n, "recipient"), doc_text(n, "duty_label"),
		       doc_text(n, "tag"), doc_text(n, "due_on"), doc_text(n, "threshold"));
	arena_clear(&a);
	return err;
}

static int verb_notify(const struct options *o) {
	struct fault f = {0};
	struct desk d;
	struct arena a;
	const char *zone = "UTC";
	int64_t now_s = (int64_t)time(NULL), count = 0, sent = 0, failed = 0;
	arena_init(&a, 65536);
	enum err err = desk_open(&d, o, &f);
	struct post_office office = {&d, desk_office_change, desk_office_take, desk_office_give};
	if (err == ERR_OK) err = setting_text(d.store, "time_zone", "UTC", &a, &zone, &f);
	day today = instant_day_in_zone(now_s, zone);
	if (err == ERR_OK && o->dry_run) err = show_pending(&d, today, &f);
	if (err == ERR_OK && !o->dry_run) err = post_notices(&office, today, now_s, &count, &f);
	if (err == ERR_OK && !o->dry_run) err = post_deliver(&office, now_s, &sent, &failed, &f);
	desk_close(&d);
	arena_clear(&a);
	if (err != ERR_OK) return fail(&f);
	if (!o->dry_run)
		printf("%lld new notices; %lld mails sent, %lld not.\n", (long long)count, (long long)sent,
		       (long long)failed);
	return 0;
}

static enum err write_setting(struct change *c, struct store *st) {
	const struct options *o = c->context;
	return setting_change(st, o->name, o->value, o->reason, &c->fault);
}

static int verb_setting(const struct options *o) {
	struct fault f = {0};
	struct desk d = {.lock = -1};
	if (!o->name || !o->value) {
		fputs("pegwarden: say which setting and its value: --name NAME --value VALUE\n", stderr);
		return 2;
	}
	enum err err = desk_open(&d, o, &f);
	if (err == ERR_OK)
		err = desk_change(&d, write_setting, (void *)(uintptr_t)o, "change setting", &f);
	desk_close(&d);
	return err == ERR_OK ? 0 : fail(&f);
}

/* --- importing ------------------------------------------------------------------------------------ */

static int verb_import(const struct options *o) {
	struct fault f = {0};
	struct desk d;
	struct import_job job = {.kind = o->kind, .date_order = o->date_order, .dry_run = o->dry_run,
				 .update = o->update, .file = o->rest, .file_count = o->rest_count,
				 .progress = show_progress};
	enum err err = desk_open(&d, o, &f);
	if (err == ERR_OK) err = import_files(d.store, &d.key, &job, &f);
	desk_close(&d);
	return err == ERR_OK ? 0 : fail(&f);
}

/* --- a copy ----------------------------------------------------------------------------------------- */

static int verb_backup(const struct options *o) {
	struct fault f = {0};
	if (!o->to) {
		fputs("pegwarden: say where the copy goes: --to FILE\n", stderr);
		return 2;
	}
	if (store_backup(o->data, o->to, &f) != ERR_OK) return fail(&f);
	printf("%s is a whole copy of the record. The signing key is not in it: keep a copy of %s/%s "
	       "in another place.\n",
	       o->to, o->data, DATA_KEY);
	return 0;
}

/* --- which verb -------------------------------------------------------------------------------- */

static const struct verb {
	const char *name;
	int (*run)(const struct options *);
	bool needs_data;
	const char *help;
} verbs[] = {
    {"init", verb_init, true,
     "--data DIR --password-file FILE [--department NAME] [--zone ZONE] [--badge BADGE]\n"
     "           make a data folder with its key and the first administrator"},
    {"serve", verb_serve, true,
     "--data DIR [--port N] [--address A] [--behind-tls]\n           serve until SIGTERM"},
    {"import", verb_import, true,
     "--data DIR --kind KIND [--date-order iso|day_first|month_first] [--dry-run] [--update] FILE...\n"
     "           read stations, members, providers, components or history from CSV"},
    {"notify", verb_notify, true,
     "--data DIR [--dry-run]\n           give the day's notices and send what waits"},
    {"setting", verb_setting, true,
     "--data DIR --name NAME --value VALUE [--reason TEXT]\n"
     "           department, time_zone, officer_email, mail_url, mail_from, public_address, or\n"
     "           a rule of the program (rule_set, age_reading, ...); loosening needs a reason"},
    {"account", verb_account, true,
     "--data DIR --badge BADGE [--role ROLE] --password-file FILE\n"
     "           set the role and password of a member's account"},
    {"token", verb_token, true,
     "--data DIR --member BADGE --name TEXT\n           print a new API token, once"},
    {"verify", verb_verify, true,
     "--data DIR\n           check every audit entry and every record; 3 when one does not hold"},
    {"rebuild", verb_rebuild, true,
     "--data DIR [--check]\n           compute every derived row from the facts"},
    {"backup", verb_backup, true,
     "--data DIR --to FILE\n           copy the whole record, also while it is served"},
    {"routes", verb_routes, false, "\n           print every address with the role it needs"},
};

static int usage(int code) {
	FILE *out = code ? stderr : stdout;
	fputs("Pegwarden " PACKAGE_VERSION ": inspection records of protective clothing.\n"
	      "It keeps records; it certifies nothing.\n\n",
	      out);
	for (size_t i = 0; i < sizeof verbs / sizeof *verbs; i++)
		fprintf(out, "pegwarden %s %s\n", verbs[i].name, verbs[i].help);
	return code;
}

enum { O_DATA = 256, O_SHARE, O_ADDRESS, O_PORT, O_THREADS, O_BADGE, O_NAME, O_ROLE, O_PASSWORD,
       O_COST, O_DEPARTMENT, O_ZONE, O_KIND, O_ORDER, O_CHECK, O_DRY, O_UPDATE, O_QUIET, O_STRICT,
       O_TLS, O_GIVEN, O_FAMILY, O_VALUE, O_REASON, O_TO };

static const struct option known[] = {
    {"data", required_argument, NULL, O_DATA},	   {"share", required_argument, NULL, O_SHARE},
    {"address", required_argument, NULL, O_ADDRESS}, {"port", required_argument, NULL, O_PORT},
    {"threads", required_argument, NULL, O_THREADS}, {"badge", required_argument, NULL, O_BADGE},
    {"member", required_argument, NULL, O_BADGE},  {"name", required_argument, NULL, O_NAME},
    {"role", required_argument, NULL, O_ROLE},
    {"password-file", required_argument, NULL, O_PASSWORD},
    {"password-cost", required_argument, NULL, O_COST},
    {"department", required_argument, NULL, O_DEPARTMENT},
    {"zone", required_argument, NULL, O_ZONE},	   {"kind", required_argument, NULL, O_KIND},
    {"to", required_argument, NULL, O_TO},
    {"date-order", required_argument, NULL, O_ORDER}, {"check", no_argument, NULL, O_CHECK},
    {"dry-run", no_argument, NULL, O_DRY},	   {"update", no_argument, NULL, O_UPDATE},
    {"quiet", no_argument, NULL, O_QUIET},	   {"strict-templates", no_argument, NULL, O_STRICT},
    {"behind-tls", no_argument, NULL, O_TLS},	   {"given-name", required_argument, NULL, O_GIVEN},
    {"family-name", required_argument, NULL, O_FAMILY}, {"value", required_argument, NULL, O_VALUE},
    {"reason", required_argument, NULL, O_REASON}, {NULL, 0, NULL, 0}};

static bool take_number(const char *text, int64_t max, int *number) {
	int64_t value;
	if (!text_to_int(text, 0, max, &value)) return false;
	*number = (int)value;
	return true;
}

static bool take_option(struct options *o, int option, const char *value) {
	switch (option) {
	case O_DATA: o->data = value; return true;
	case O_SHARE: o->share = value; return true;
	case O_ADDRESS: o->address = value; return true;
	case O_PORT: return take_number(value, 65535, &o->port);
	case O_THREADS: return take_number(value, 64, &o->threads);
	case O_BADGE: o->badge = value; return true;
	case O_NAME: o->name = value; return true;
	case O_ROLE: o->role = value; return true;
	case O_PASSWORD: o->password_file = value; return true;
	case O_COST: o->least = strcmp(value, "least") == 0; return true;
	case O_DEPARTMENT: o->department = value; return true;
	case O_ZONE: o->zone = value; return true;
	case O_KIND: o->kind = value; return true;
	case O_ORDER: o->date_order = value; return true;
	case O_CHECK: o->check = true; return true;
	case O_DRY: o->dry_run = true; return true;
	case O_UPDATE: o->update = true; return true;
	case O_QUIET: o->quiet = true; return true;
	case O_STRICT: o->strict_templates = true; return true;
	case O_TLS: o->behind_tls = true; return true;
	case O_GIVEN: o->given_name = value; return true;
	case O_FAMILY: o->family_name = value; return true;
	case O_VALUE: o->value = value; return true;
	case O_REASON: o->reason = value; return true;
	case O_TO: o->to = value; return true;
	default: return false;
	}
}

int main(int argc, char **argv) {
	struct options o = {.port = 8080};
	/* Every page carries fresh random bytes: seeded from the kernel, not a call each. */
	randombytes_set_implementation(&randombytes_internal_implementation);
	if (sodium_init() < 0) return 1;
	if (argc < 2) return usage(2);
	if (strcmp(argv[1], "help") == 0 || strcmp(argv[1], "--help") == 0) return usage(0);
	if (strcmp(argv[1], "--version") == 0) return puts("pegwarden " PACKAGE_VERSION) < 0;
	int option;
	while ((option = getopt_long(argc - 1, argv + 1, "", known, NULL)) != -1)
		if (!take_option(&o, option, optarg)) return usage(2);
	o.rest = argv + 1 + optind;
	o.rest_count = argc - 1 - optind;
	for (size_t i = 0; i < sizeof verbs / sizeof *verbs; i++) {
		if (strcmp(verbs[i].name, argv[1]) != 0) continue;
		if (verbs[i].needs_data && !o.data) {
			fputs("pegwarden: say where the data are: --data DIR\n", stderr);
			return 2;
		}
		return verbs[i].run(&o);
	}
	return usage(2);
}
