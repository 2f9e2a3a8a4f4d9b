/*
 * The demo department, invented: Brackwater, a town with an airfield. Six
 * stations, 140 members, some 1,500 parts, three years of history.
 *
 *   generate FOLDER [YYYY-MM-DD]
 *
 * writes stations.csv, members.csv, providers.csv, components.csv,
 * cleanings.csv, inspections.csv and findings.csv for `pegwarden import`. The
 * same day gives the same files. All people, makers and places are made up.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>

#include "base/buf.h"
#include "base/csv.h"
#include "base/day.h"

/* --- chance, the same each time (a linear congruential generator of 64 bits) ------- */

struct dice {
	uint64_t state;
};

static uint32_t roll(struct dice *d, uint32_t sides) {
	d->state = d->state * 6364136223846793005u + 1442695040888963407u;
	return (uint32_t)(d->state >> 33) % sides;
}

/* --- tables being written -------------------------------------------------------------- */

enum { STATIONS, MEMBERS, PROVIDERS, COMPONENTS, CLEANINGS, INSPECTIONS, FINDINGS, TABLES };
static const struct {
	const char *name, *header;
} table[TABLES] = {
    {"stations.csv", "code,name,address,email"},
    {"members.csv",
     "badge,family_name,given_name,station,email,structural,proximity,trained_until,status"},
    {"providers.csv", "code,name,class,verified_until,email"},
    {"components.csv", "tag,kind,hazard,station,ensemble,line,serial,maker,model,size,made,"
		       "in_service_on,reflective,trim,cost,holder,issued_on"},
    {"cleanings.csv", "tag,cleaned_on,class,reason,performed_by,provider"},
    {"inspections.csv", "reference,kind,inspected_on,inspector,performer,tag,conclusion"},
    {"findings.csv", "reference,tag,check_point,defect,zone,face,side,place,severity,outcome,state,"
		     "closed_on,note"},
};

struct town {
	struct dice dice;
	day today;
	struct buf out[TABLES];
	int ensembles, inspections;
};

/* Cells, NULL-ended; NULL cannot stand for an empty one, "" does. */
static void add_row(struct buf *b, const char *const *cell) {
	for (size_t i = 0; cell[i]; i++) {
		if (i) csv_write_comma(b);
		csv_write_cell(b, cell[i]);
	}
	csv_write_end(b);
}
#define ROW(town, which, ...) add_row(&(town)->out[which], (const char *const[]){__VA_ARGS__, NULL})

/* --- the town ----------------------------------------------------------------------------- */

static const struct {
	const char *code, *name, *address;
	int members;
	bool airfield;
} station[] = {
    {"ST1", "Market Square", "1 Market Square, Brackwater", 30, false},
    {"ST2", "Harbour", "14 Quay Road, Brackwater", 26, false},
    {"ST3", "Airfield", "Gate 2, Brackwater Airfield", 28, true},
    {"ST4", "North Hill", "80 Hill Street, Brackwater", 22, false},
    {"ST5", "Mill Lane", "5 Mill Lane, Brackwater", 20, false},
    {"ST6", "Airfield South", "Gate 7, Brackwater Airfield", 14, true},
};
static const char *const family[] = {
    "Okafor", "Larsen",  "Moreau",    "Tanaka",  "Novak",   "Ibarra",   "Quist",  "Adeyemi",
    "Brandt", "Castell", "Dvorak",    "Eriksen", "Faraday", "Galani",   "Haddad", "Ilves",
    "Jansen", "Kovacs",  "Lindqvist", "Marek",   "Nasser",  "Oduya",    "Petrov", "Rahman",
    "Silva",  "Thorne",  "Ueda",      "Vargas",  "Weiss",   "Zielinski"};
static const char *const given[] = {"Ines", "Bo",    "Eva",   "Ken",  "Mila",  "Sol",  "Ada",
				    "Femi", "Jonas", "Clara", "Petr", "Liv",   "Rhys", "Nia",
				    "Omar", "Tiit",  "Wes",   "Zoe",  "Anton", "Ruth"};
static const char *const maker[] = {"Harrow and Pell", "Northlight Textiles", "Corvane",
				    "Ostler Works"};

struct part {
	const char *kind, *stem;
	bool reflective, trim;
	int cost;
};
static const struct part structural[] = {
    {"coat_shell", "CS", false, true, 1450},
    {"coat_liner", "CL", false, false, 620},
    {"drd", "DR", false, false, 90},
    {"trouser_shell", "TS", false, true, 980},
    {"trouser_liner", "TL", false, false, 450},
    {"helmet", "HE", false, true, 390},
    {"faceshield", "FS", false, false, 85},
    {"hood", "HO", false, false, 110},
    {"gloves", "GL", false, false, 130},
    {"footwear", "FW", false, false, 420},
};
static const struct part proximity[] = {
    {"coat_shell", "CS", true, false, 1900},
    {"coat_liner", "CL", false, false, 620},
    {"drd", "DR", false, false, 90},
    {"trouser_shell", "TS", true, false, 1300},
    {"trouser_liner", "TL", false, false, 450},
    {"helmet", "HE", false, false, 430},
    {"faceshield", "FS", true, false, 240},
    {"overcover", "OC", true, false, 210},
    {"shroud", "SH", true, false, 260},
    {"hood", "HO", false, false, 110},
    {"gloves", "GL", false, false, 190},
    {"footwear", "FW", false, false, 460},
};

static const char *days_ago(const struct town *t, int days, char text[DAY_TEXT_SIZE]) {
	return day_format(t->today - days, text);
}

/* What can be found on a kind, by the handbook's codes. */
static const struct {
	const char *kind, *point, *defect, *zone, *place, *severity, *outcome;
} fault[] = {
    {"coat_shell", "hardware", "missing", "left_pocket", "pocket snap", "major", "repair"},
    {"coat_shell", "soiling", "soiled", "left_sleeve", "", "minor", "clean"},
    {"trouser_shell", "seams", "stitches_broken", "right_knee", "inner leg seam beside the knee",
     "major", "repair"},
    {"helmet", "shell", "cracked", "crown", "left of the ridge", "critical", "retire"},
    {"faceshield", "vision", "scratched", "centre", "", "major", "replace"},
    {"hood", "fabric", "hole", "crown", "", "major", "replace"},
    {"gloves", "label", "unreadable", "left_cuff", "", "minor", "ask_maker"},
};

/* --- the life of one part --------------------------------------------------------------------- */

struct set {
	const char *code, *hazard, *line, *station, *badge, *inspector;
	const char *size;
	int age_days; /* of the set when it was made */
	int last_inspection_days;
	bool retired_label; /* the label cannot tell when it was made */
};

static void add_finding(struct town *t, const char *reference, const char *tag, const char *kind,
			int found_days) {
	char closed[DAY_TEXT_SIZE];
	for (size_t i = 0; i < sizeof fault / sizeof *fault; i++) {
		if (strcmp(fault[i].kind, kind) != 0) continue;
		bool mended = found_days > 400;
		ROW(t, FINDINGS, reference, tag, fault[i].point, fault[i].defect, fault[i].zone,
		    "front", "outside", fault[i].place, fault[i].severity, fault[i].outcome,
		    mended ? "mended" : "open", mended ? days_ago(t, found_days - 30, closed) : "",
		    "");
		return;
	}
}

static void add_part(struct town *t, const struct set *s, const struct part *p) {
	char tag[40], serial[40], made[DAY_TEXT_SIZE], service[DAY_TEXT_SIZE], on[DAY_TEXT_SIZE],
	    cost[20];
	const char *by = maker[roll(&t->dice, 4)];
	/* The layers of one garment come from one maker. */
	if (strcmp(p->kind, "helmet") != 0) by = maker[(unsigned)s->age_days % 4];
	snprintf(tag, sizeof tag, "%s-%s", s->code, p->stem);
	snprintf(serial, sizeof serial, "%c%07u", by[0], roll(&t->dice, 10000000));
	snprintf(cost, sizeof cost, "%d.00", p->cost);
	int age = p->reflective && s->age_days > 1700 ? s->age_days % 1700 + 100 : s->age_days;
	days_ago(t, age, made);
	made[7] = '\0';
	if (s->retired_label && strcmp(p->kind, "gloves") == 0) made[0] = '\0';
	days_ago(t, age - 60 > 0 ? age - 60 : 1, service);
	ROW(t, COMPONENTS, tag, p->kind, s->hazard, s->station, s->code, s->line, serial, by,
	    strcmp(s->hazard, "proximity") == 0 ? "Lumen" : "Rampart", s->size, made, service,
	    p->reflective ? "yes" : "no", p->trim ? "yes" : "no", roll(&t->dice, 12) ? cost : "",
	    s->badge, *s->badge ? service : "");
	for (int days = s->last_inspection_days + 180; days > 0; days -= 180)
		if (days < age - 60 && days < 1100)
			ROW(t, CLEANINGS, tag, days_ago(t, days, on), "advanced", "half-yearly",
			    "Clearwater Wash", "WASH");
}

static void add_inspections(struct town *t, const struct set *s, const struct part *parts,
			    size_t count) {
	for (int year = 2; year >= 0; year--) {
		int days = s->last_inspection_days + year * 365;
		char on[DAY_TEXT_SIZE], reference[40], tag[40];
		if (days > s->age_days - 90 || days > 1095) continue;
		snprintf(reference, sizeof reference, "%s-%d", s->code, 3 - year);
		t->inspections++;
		for (size_t i = 0; i < count; i++) {
			bool bad = roll(&t->dice, year ? 60 : 45) == 0;
			bool has = false;
			for (size_t k = 0; k < sizeof fault / sizeof *fault; k++)
				has |= strcmp(fault[k].kind, parts[i].kind) == 0;
			snprintf(tag, sizeof tag, "%s-%s", s->code, parts[i].stem);
			/* What needed mending in years before was mended: the record says so. */
			bool open = bad && has && days <= 400;
			ROW(t, INSPECTIONS, reference, "advanced", days_ago(t, days, on),
			    s->inspector, "", tag, open ? "out_of_service" : "return_to_service");
			if (bad && has) add_finding(t, reference, tag, parts[i].kind, days);
		}
	}
}

/* Garments in service for three years have had their liners opened, most of them. */
static void add_liner_inspection(struct town *t, const struct set *s, const struct part *parts,
				 size_t count) {
	char on[DAY_TEXT_SIZE], reference[40], tag[40];
	if (s->age_days < 1095 || roll(&t->dice, 14) == 0) return;
	snprintf(reference, sizeof reference, "%s-L", s->code);
	for (size_t i = 0; i < count; i++) {
		if (!strstr(parts[i].kind, "liner")) continue;
		snprintf(tag, sizeof tag, "%s-%s", s->code, parts[i].stem);
		ROW(t, INSPECTIONS, reference, "liner", days_ago(t, s->last_inspection_days, on),
		    s->inspector, "", tag, "return_to_service");
	}
}

static void add_set(struct town *t, const struct set *s) {
	bool shiny = strcmp(s->hazard, "proximity") == 0;
	const struct part *parts = shiny ? proximity : structural;
	size_t count =
	    shiny ? sizeof proximity / sizeof *proximity : sizeof structural / sizeof *structural;
	for (size_t i = 0; i < count; i++) add_part(t, s, &parts[i]);
	add_inspections(t, s, parts, count);
	add_liner_inspection(t, s, parts, count);
	t->ensembles++;
}

/* --- people --- */

static void add_sets(struct town *t, size_t at, int number, const char *badge, bool airfield) {
	static const char *const size[] = {"S", "M", "L", "XL"};
	char code[40], inspector[20];
	snprintf(inspector, sizeof inspector, "%zu002", at + 1);
	struct set s = {.code = code,
			.hazard = airfield ? "proximity" : "structural",
			.line = "primary",
			.station = station[at].code,
			.badge = badge,
			.inspector = inspector,
			.size = size[roll(&t->dice, 4)],
			.age_days = 400 + (int)roll(&t->dice, 3200),
			.last_inspection_days = 20 + (int)roll(&t->dice, 375)};
	s.retired_label = roll(&t->dice, 40) == 0;
	/* The first fighter of the airfield is the one the tour meets: due soon, all sound. */
	if (airfield && at == 2 && number == 4) {
		s.age_days = 800;
		s.last_inspection_days = 335;
		s.retired_label = false;
	}
	snprintf(code, sizeof code, "%s-%s", airfield ? "PX" : "SX", badge);
	add_set(t, &s);
}

static void add_members(struct town *t, size_t at) {
	for (int number = 1; number <= station[at].members; number++) {
		char badge[20], email[60], trained[DAY_TEXT_SIZE];
		const char *f = family[roll(&t->dice, 30)], *g = given[roll(&t->dice, 20)];
		snprintf(badge, sizeof badge, "%zu%03d", at + 1, number);
		snprintf(email, sizeof email, "%s@example.org", badge);
		/* Of each station the second member inspects, the third leads; both wear gear too.
		 */
		bool airfield = station[at].airfield && number > 3;
		ROW(t, MEMBERS, badge, f, g, station[at].code, email, airfield ? "no" : "yes",
		    airfield ? "yes" : "no", number == 2 ? day_format(t->today + 400, trained) : "",
		    number == 9 ? "leave" : "active");
		add_sets(t, at, number, badge, airfield);
	}
}

static void add_reserve(struct town *t) {
	for (size_t at = 0; at < sizeof station / sizeof *station; at++) {
		char code[40], inspector[20];
		snprintf(code, sizeof code, "RX-%s", station[at].code);
		snprintf(inspector, sizeof inspector, "%zu002", at + 1);
		struct set s = {.code = code,
				.hazard = station[at].airfield ? "proximity" : "structural",
				.line = "reserve",
				.station = station[at].code,
				.badge = "",
				.inspector = inspector,
				.size = "L",
				.age_days = 900 + (int)roll(&t->dice, 900),
				.last_inspection_days = 420};
		add_set(t, &s);
	}
}

/* --- writing them out --- */

static int write_tables(struct town *t, const char *folder) {
	int failed = 0;
	for (int i = 0; i < TABLES; i++) {
		char path[4096];
		snprintf(path, sizeof path, "%s/%s", folder, table[i].name);
		FILE *file = buf_failed(&t->out[i]) ? NULL : fopen(path, "wb");
		if (!file ||
		    fwrite(t->out[i].bytes, 1, t->out[i].length, file) != t->out[i].length ||
		    fclose(file) != 0) {
			fprintf(stderr, "generate: %s cannot be written\n", path);
			failed = 1;
		}
		buf_release(&t->out[i]);
	}
	return failed;
}

int main(int argc, char **argv) {
	struct town t = {.dice = {20180611}, .today = (day)(time(NULL) / 86400)};
	if (argc > 2) t.today = day_parse(argv[2]);
	if (argc < 2 || t.today == DAY_NONE) {
		fputs("usage: generate FOLDER [YYYY-MM-DD]\n", stderr);
		return 2;
	}
	mkdir(argv[1], 0700);
	for (int i = 0; i < TABLES; i++) {
		buf_init(&t.out[i], 64u * 1024 * 1024);
		buf_printf(&t.out[i], "%s\r\n", table[i].header);
	}
	char until[DAY_TEXT_SIZE];
	day_format(t.today + 500, until);
	ROW(&t, PROVIDERS, "REMEND", "Remend Works", "verified_provider", until,
	    "desk@remend.example.org");
	ROW(&t, PROVIDERS, "CORVANE", "Corvane Service", "manufacturer", "",
	    "service@corvane.example.org");
	ROW(&t, PROVIDERS, "WASH", "Clearwater Wash", "verified_cleaner", until,
	    "wash@example.org");
	for (size_t at = 0; at < sizeof station / sizeof *station; at++) {
		char email[60];
		snprintf(email, sizeof email, "%s@example.org", station[at].code);
		ROW(&t, STATIONS, station[at].code, station[at].name, station[at].address, email);
		add_members(&t, at);
	}
	add_reserve(&t);
	return write_tables(&t, argv[1]);
}
