/*
 * The command line: one function a verb.
 *
 * Exit codes: 0 done, 1 it could not be done (said on standard error), 2 the
 * command was not understood, 3 `verify` or `rebuild --check` found something.
 */
#include "config.h"

#include <getopt.h>
#include <sodium.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "verbs/verbs.h"

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
     "--data DIR --kind KIND [--date-order iso|day_first|month_first] [--dry-run] [--update] "
     "FILE...\n"
     "           read a table of one of the kinds that `pegwarden kinds` prints"},
    {"export", verb_export, true,
     "--data DIR --kind KIND [--to FILE]\n"
     "           write what is on record as a table that import reads; photos are in\n"
     "           none, only a backup keeps those"},
    {"kinds", verb_kinds, false,
     "\n           print the kinds of table in the order in which import takes them"},
    {"notify", verb_notify, true,
     "--data DIR [--dry-run]\n           give the day's notices and send what waits"},
    {"setting", verb_setting, true,
     "--data DIR --name NAME --value VALUE [--reason TEXT]\n"
     "           a setting of the department (department, time_zone, mail_url, ...) or a rule of\n"
     "           the program (rule_set, age_reading, ...); loosening needs a reason"},
    {"account", verb_account, true,
     "--data DIR --badge BADGE [--role ROLE] --password-file FILE\n"
     "           set the role and password of a member's account"},
    {"pin", verb_pin, true,
     "--data DIR --badge BADGE --pin-file FILE\n"
     "           set the PIN of a member for the station's shared tablets"},
    {"token", verb_token, true,
     "--data DIR --member BADGE --name TEXT\n           print a new API token, once"},
    {"verify", verb_verify, true,
     "--data DIR [--checkpoint FILE]...\n"
     "           check every audit entry and every record, and that the record still contains\n"
     "           what the checkpoints stated; 3 when something does not hold"},
    {"checkpoint", verb_checkpoint, true,
     "--data DIR\n           print what the record states of itself, signed, to compare later"},
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

enum {
	O_DATA = 256,
	O_SHARE,
	O_ADDRESS,
	O_PORT,
	O_THREADS,
	O_BADGE,
	O_NAME,
	O_ROLE,
	O_PASSWORD,
	O_COST,
	O_DEPARTMENT,
	O_ZONE,
	O_KIND,
	O_ORDER,
	O_CHECK,
	O_DRY,
	O_UPDATE,
	O_QUIET,
	O_STRICT,
	O_TLS,
	O_GIVEN,
	O_FAMILY,
	O_VALUE,
	O_REASON,
	O_TO,
	O_CHECKPOINT
};

static const struct option known[] = {{"data", required_argument, NULL, O_DATA},
				      {"share", required_argument, NULL, O_SHARE},
				      {"address", required_argument, NULL, O_ADDRESS},
				      {"port", required_argument, NULL, O_PORT},
				      {"threads", required_argument, NULL, O_THREADS},
				      {"badge", required_argument, NULL, O_BADGE},
				      {"member", required_argument, NULL, O_BADGE},
				      {"name", required_argument, NULL, O_NAME},
				      {"role", required_argument, NULL, O_ROLE},
				      {"password-file", required_argument, NULL, O_PASSWORD},
				      {"pin-file", required_argument, NULL, O_PASSWORD},
				      {"password-cost", required_argument, NULL, O_COST},
				      {"department", required_argument, NULL, O_DEPARTMENT},
				      {"zone", required_argument, NULL, O_ZONE},
				      {"kind", required_argument, NULL, O_KIND},
				      {"to", required_argument, NULL, O_TO},
				      {"checkpoint", required_argument, NULL, O_CHECKPOINT},
				      {"date-order", required_argument, NULL, O_ORDER},
				      {"check", no_argument, NULL, O_CHECK},
				      {"dry-run", no_argument, NULL, O_DRY},
				      {"update", no_argument, NULL, O_UPDATE},
				      {"quiet", no_argument, NULL, O_QUIET},
				      {"strict-templates", no_argument, NULL, O_STRICT},
				      {"behind-tls", no_argument, NULL, O_TLS},
				      {"given-name", required_argument, NULL, O_GIVEN},
				      {"family-name", required_argument, NULL, O_FAMILY},
				      {"value", required_argument, NULL, O_VALUE},
				      {"reason", required_argument, NULL, O_REASON},
				      {NULL, 0, NULL, 0}};

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
	case O_CHECKPOINT:
		if (o->checkpoint_count == CHECKPOINT_FILES_MAX) return false;
		o->checkpoint[o->checkpoint_count++] = value;
		return true;
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
