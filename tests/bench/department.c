/*
 * The department that is measured with, invented: 80 stations, 20,000 members,
 * 24,000 ensembles of 10 parts, ten years of yearly inspections.
 *
 *   department DATA YYYY-MM-DD [SCALE]
 *
 * fills the freshly made data folder DATA with a valid record as of that day:
 * `pegwarden verify` holds, `pegwarden rebuild` changes nothing. With SCALE n
 * there is an n-th of everything but the length of a life.
 *
 * At scale 1: 240,000 components, 2,000,000 looks at a component in 224,000
 * inspections, 400,000 findings, 200,000 issues, 500,000 cleanings, 1,200,000
 * signed entries.
 */
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "audit/key.h"
#include "base/limits.h"
#include "base/text.h"
#include "store/change.h"
#include "store/component.h"
#include "store/data_dir.h"
#include "store/ensemble.h"
#include "store/history.h"
#include "store/internal.h"
#include "store/member.h"
#include "store/station.h"

#define STATIONS 80
#define MEMBERS 20000
#define SECONDS 4000 /* members with a second ensemble */
#define PARTS 10
#define YEARS 10

static const struct {
	const char *kind, *stem, *point, *defect, *zone, *place, *severity, *outcome;
} part[PARTS] = {
    {"coat_shell", "CS", "hardware", "missing", "left_pocket", "pocket snap", "major", "repair"},
    {"coat_liner", "CL", NULL, NULL, NULL, NULL, NULL, NULL},
    {"drd", "DR", NULL, NULL, NULL, NULL, NULL, NULL},
    {"trouser_shell", "TS", "seams", "stitches_broken", "right_knee",
     "inner leg seam beside the knee", "major", "repair"},
    {"trouser_liner", "TL", NULL, NULL, NULL, NULL, NULL, NULL},
    {"helmet", "HE", "shell", "cracked", "crown", "left of the ridge", "major", "replace"},
    {"faceshield", "FS", "vision", "scratched", "centre", NULL, "major", "replace"},
    {"hood", "HO", "fabric", "hole", "crown", NULL, "major", "replace"},
    {"gloves", "GL", "label", "unreadable", "left_cuff", NULL, "minor", "ask_maker"},
    {"footwear", "FW", NULL, NULL, NULL, NULL, NULL, NULL},
};

/* Chance, the same each time (a linear congruential generator of 64 bits). */
static uint32_t roll(uint64_t *dice, uint32_t sides) {
	*dice = *dice * 6364136223846793005u + 1442695040888963407u;
	return (uint32_t)(*dice >> 33) % sides;
}

struct town {
	struct store *store;
	struct change *change; /* the one that runs */
	struct arena scratch;
	uint64_t dice;
	day today;
	int64_t scale, stations, members, ensembles;
	int64_t first_station, first_member, first_component; /* ids follow one another */
};

static int64_t tag_of(char text[32], int64_t ensemble, int p) {
	snprintf(text, 32, "B%05lld-%s", (long long)ensemble, part[p].stem);
	return ensemble * PARTS + p;
}

/* One entry about what was done since the last one, on that day. */
static enum err enter(struct town *t, const char *action, day on) {
	t->change->author.action = action;
	t->change->author.now_s = (int64_t)on * 86400 + 43200;
	arena_reset(&t->scratch);
	return change_entry(t->change, t->store);
}

/* --- people and gear ------------------------------------------------------------ */

static enum err add_people(struct change *c, struct store *st) {
	struct town *t = c->context;
	enum err err = ERR_OK;
	char code[32], badge[32];
	int64_t id;
	t->change = c;
	for (int64_t i = 0; err == ERR_OK && i < t->stations; i++) {
		snprintf(code, sizeof code, "ST%02lld", (long long)i + 1);
		struct station_row s = {.code = code, .name = code, .active = true};
		err = station_save(st, &s, &t->scratch, &id, &c->fault);
		if (i == 0) t->first_station = id;
		if (err == ERR_OK) err = enter(t, "add station", t->today - 3650);
	}
	for (int64_t i = 0; err == ERR_OK && i < t->members; i++) {
		snprintf(badge, sizeof badge, "%06lld", (long long)i + 1);
		struct member_row m = {.badge = badge,
				       .family_name = "Novak",
				       .given_name = "Mila",
				       .status = "active",
				       .station = t->first_station + i % t->stations,
				       .structural = true};
		err = member_save(st, &m, &t->scratch, &id, &c->fault);
		if (i == 0) t->first_member = id;
		if (err == ERR_OK) err = enter(t, "add member", t->today - 3650);
	}
	return err;
}

static enum err add_parts(struct town *t, int64_t e, int64_t ensemble, int64_t member) {
	enum err err = ERR_OK;
	char tag[32], made[DAY_TEXT_SIZE], service[DAY_TEXT_SIZE];
	day born = t->today - 200 - (day)roll(&t->dice, 3200);
	day_format(born, made);
	made[7] = '\0';
	day_format(born + 60, service);
	for (int p = 0; err == ERR_OK && p < PARTS; p++) {
		tag_of(tag, e, p);
		struct component_row row = {.tag = tag,
					    .serial = tag + 1,
					    .kind = part[p].kind,
					    .hazard = "structural",
					    .maker = "Northlight Textiles",
					    .model = "Rampart",
					    .size = "L",
					    .made = made,
					    .in_service_on = service,
					    .ensemble = ensemble,
					    .station = t->first_station +
						       (member - t->first_member) % t->stations,
					    .cost_cents = 45000};
		int64_t id;
		err = component_save(t->store, &row, &t->scratch, &id, &t->change->fault);
		if (e == 0 && p == 0) t->first_component = id;
		if (err == ERR_OK) err = enter(t, "add component", born);
		if (err != ERR_OK || e >= t->members) continue;
		err = issue_insert(t->store, id, member, service, "new", NULL, &t->change->fault);
		if (err == ERR_OK) err = enter(t, "issue component", born + 60);
	}
	return err;
}

static enum err add_gear(struct change *c, struct store *st) {
	struct town *t = c->context;
	enum err err = ERR_OK;
	t->change = c;
	for (int64_t e = 0; err == ERR_OK && e < t->ensembles; e++) {
		char code[32];
		int64_t id, member = t->first_member + e % t->members;
		snprintf(code, sizeof code, "B%05lld", (long long)e);
		struct ensemble_row row = {.code = code,
					   .hazard = "structural",
					   .line = e < t->members ? "primary" : "second",
					   .station =
					       t->first_station + e % t->members % t->stations,
					   .member = member,
					   .active = true};
		err = ensemble_save(st, &row, &id, &c->fault);
		if (err == ERR_OK) err = enter(t, "add ensemble", t->today - 3650);
		if (err == ERR_OK) err = add_parts(t, e, id, member);
	}
	return err;
}

/* --- ten years -------------------------------------------------------------------- */

static enum err add_finding(struct town *t, const struct history_part *h, int p, day on,
			    bool open) {
	char closed[DAY_TEXT_SIZE];
	struct history_finding f = {.inspection = h->inspection,
				    .check_point = part[p].point,
				    .defect = part[p].defect,
				    .zone = part[p].zone,
				    .face = "front",
				    .side = "outside",
				    .place = part[p].place,
				    .severity = part[p].severity,
				    .outcome = part[p].outcome,
				    .state = open ? "open" : "mended",
				    .component = h->component};
	if (!open) f.closed_on = day_format(on + 14, closed);
	return history_add_finding(t->store, &f, &t->change->fault);
}

/* What was found was mended on the spot, but for one in a hundred of the last year. */
static enum err add_look(struct town *t, struct history_part *h, int64_t e, int p, day on) {
	bool bad = part[p].defect && roll(&t->dice, 3) == 0;
	bool open = bad && on > t->today - 365 && roll(&t->dice, 100) == 0;
	h->conclusion = open ? "out_of_service" : "return_to_service";
	h->component = t->first_component + e * PARTS + p;
	enum err err = history_add_part(t->store, h, &t->change->fault);
	if (err != ERR_OK || !bad) return err;
	return add_finding(t, h, p, on, open);
}

static enum err add_inspection(struct town *t, int64_t e, int number, const char *kind, day on) {
	char reference[40], text[DAY_TEXT_SIZE];
	snprintf(reference, sizeof reference, "B%05lld-%d", (long long)e, number);
	struct history_inspection made = {.reference = reference,
					  .kind = kind,
					  .inspected_on = day_format(on, text),
					  .inspector = t->first_member + e % t->stations,
					  .component = t->first_component + e * PARTS};
	struct history_part h = {.kind = kind};
	enum err err = history_add_inspection(t->store, &made, &h.inspection, &t->change->fault);
	for (int p = 0; err == ERR_OK && p < PARTS; p++) {
		if (*kind == 'l' && strstr(part[p].kind, "liner") == NULL) continue;
		err = add_look(t, &h, e, p, on);
	}
	return err == ERR_OK ? enter(t, "sign inspection", on) : err;
}

static enum err add_inspections(struct change *c, struct store *st) {
	struct town *t = c->context;
	enum err err = ERR_OK;
	(void)st;
	t->change = c;
	for (int64_t e = 0; err == ERR_OK && e < t->ensembles; e++) {
		int count = e % 3 ? YEARS - 2 : YEARS - 1; /* eight and a third each */
		day last = t->today - 5 - (day)roll(&t->dice, 370);
		for (int n = 0; err == ERR_OK && n < count; n++)
			err = add_inspection(t, e, n, "advanced", last - (count - 1 - n) * 365);
		if (err == ERR_OK) err = add_inspection(t, e, count, "liner", last);
	}
	return err;
}

static enum err add_cleanings(struct change *c, struct store *st) {
	struct town *t = c->context;
	enum err err = ERR_OK;
	t->change = c;
	for (int64_t i = 0; err == ERR_OK && i < t->ensembles * PARTS; i++) {
		int count = i % 12 ? 2 : 3; /* two and a twelfth each */
		for (int n = 0; err == ERR_OK && n < count; n++) {
			char text[DAY_TEXT_SIZE];
			day on = t->today - 10 - n * 180 - (day)roll(&t->dice, 170);
			struct cleaning_row row = {.component = t->first_component + i,
						   .cleaned_on = day_format(on, text),
						   .class = "advanced",
						   .reason = "half-yearly",
						   .performed_by = "Clearwater Wash"};
			err = cleaning_insert(st, &row, &c->fault);
			if (err == ERR_OK) err = enter(t, "record cleaning", on);
		}
	}
	return err;
}

/* --- all ----------------------------------------------------------------------------- */

static enum err fill(struct town *t, const struct signing_key *key, struct fault *f) {
	static const struct {
		const char *what;
		enum err (*apply)(struct change *, struct store *);
	} stage[] = {{"people", add_people},
		     {"gear", add_gear},
		     {"inspections", add_inspections},
		     {"cleanings", add_cleanings}};
	/* Nothing is lost when it is cut off: it is made anew. */
	enum err err = store_script(t->store,
				    "PRAGMA journal_mode = MEMORY; PRAGMA synchronous = OFF;"
				    " PRAGMA cache_size = -400000",
				    "setting up", f);
	for (size_t i = 0; err == ERR_OK && i < sizeof stage / sizeof *stage; i++) {
		struct change c = {.apply = stage[i].apply,
				   .context = t,
				   .author = {0, "system", stage[i].what, 0}};
		fprintf(stderr, "%s\n", stage[i].what);
		err = store_change(t->store, key, &c);
		if (err != ERR_OK) *f = c.fault;
	}
	if (err == ERR_OK)
		err = store_script(t->store, "PRAGMA synchronous = FULL; PRAGMA journal_mode = WAL",
				   "settling", f);
	return err;
}

/* As after a restored backup: each table lies together. */
static enum err put_in_order(const char *data, struct fault *f) {
	char path[DATA_PATH_SIZE];
	sqlite3 *db = NULL;
	enum err err = data_dir_path(data, DATA_DATABASE, path, f);
	if (err == ERR_OK && (sqlite3_open(path, &db) != SQLITE_OK ||
			      sqlite3_exec(db, "VACUUM", NULL, NULL, NULL) != SQLITE_OK))
		err = fault_set(f, ERR_IO, NULL, "%s: %s", path, sqlite3_errmsg(db));
	sqlite3_close(db);
	return err;
}

int main(int argc, char **argv) {
	const char *share = getenv("PEGWARDEN_SHARE");
	struct town t = {.dice = 20180611, .scale = 1};
	struct fault f = {0};
	struct signing_key key;
	char path[DATA_PATH_SIZE], migrations[DATA_PATH_SIZE];
	if (argc > 2) t.today = day_parse(argv[2]);
	bool scaled = argc < 4 || text_to_int(argv[3], 1, MEMBERS, &t.scale);
	if (argc < 3 || !share || t.today == DAY_NONE || !scaled || sodium_init() < 0) {
		fputs("usage: PEGWARDEN_SHARE=TREE department DATA YYYY-MM-DD [SCALE]\n", stderr);
		return 2;
	}
	t.stations = (STATIONS + t.scale - 1) / t.scale;
	t.members = (MEMBERS + t.scale - 1) / t.scale;
	t.ensembles = t.members + (SECONDS + t.scale - 1) / t.scale;
	arena_init(&t.scratch, LIMIT_ARENA_BYTES_MAX);
	enum err err = data_dir_path(argv[1], DATA_KEY, path, &f);
	if (err == ERR_OK) err = signing_key_load(&key, path, &f);
	if (err == ERR_OK) err = data_dir_path(share, "migrations", migrations, &f);
	if (err == ERR_OK) err = store_open(&t.store, argv[1], migrations, STORE_WRITE, &f);
	if (err == ERR_OK) err = fill(&t, &key, &f);
	store_close(t.store);
	if (err == ERR_OK) err = put_in_order(argv[1], &f);
	arena_clear(&t.scratch);
	if (err != ERR_OK) fprintf(stderr, "department: %s\n", f.message);
	return err != ERR_OK;
}
