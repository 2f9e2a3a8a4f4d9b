/*
 * The demo department, invented: Brackwater, a town with an airfield. Six
 * stations, 140 members, some 1,500 parts, three years of history.
 *
 *   generate FOLDER [YYYY-MM-DD]
 *
 * writes a table of each kind that `pegwarden import` reads. The same day gives
 * the same files. All people, makers and places are made up.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>

#include "base/csv.h"
#include "town.h"

uint32_t roll(struct dice *d, uint32_t sides) {
	d->state = d->state * 6364136223846793005u + 1442695040888963407u;
	return (uint32_t)(d->state >> 33) % sides;
}

/* --- tables being written -------------------------------------------------------------- */

static const struct {
	const char *name, *header;
} table[TABLES] = {
    [STATIONS] = {"stations.csv", "code,name,address,email"},
    [MEMBERS] =
	{"members.csv",
	 "badge,family_name,given_name,station,email,structural,proximity,trained_until,status"},
    [PROVIDERS] = {"providers.csv", "code,name,class,verified_until,email"},
    [COMPONENTS] = {"components.csv",
		    "tag,kind,hazard,station,ensemble,line,serial,maker,model,size,made,"
		    "in_service_on,reflective,trim,cost,holder,issued_on,condition,"
		    "withdrawn_reason,retired_on,retired_reason,disposed_on,disposal_method,"
		    "retired_ground,retired_by,disposal_way,disposal_witness,training_on,"
		    "training_by,training_mark"},
    [ISSUES] = {"issues.csv", "tag,badge,issued_on,condition,returned_on,condition_at_return,note"},
    [CLEANINGS] = {"cleanings.csv", "tag,cleaned_on,class,reason,performed_by,provider"},
    [INSPECTIONS] = {"inspections.csv",
		     "reference,kind,inspected_on,inspector,performer,tag,conclusion,worked_s"},
    [TOGETHER] = {"answered_together.csv",
		  "reference,tag,group_code,group_title,points,opened_at,answered_at,answered_by"},
    [FINDINGS] = {"findings.csv",
		  "reference,tag,check_point,defect,zone,face,side,place,length_mm,severity,"
		  "outcome,override_reason,state,closed_on,closed_reason,note"},
    [REPAIRS] = {"repairs.csv",
		 "number,provider,state,created_on,created_by,sent_on,expected_on,returned_on,"
		 "reference,tag,check_point,defect,result,work_done,cost,replacement"},
    [QUOTES] = {"quotes.csv", "number,reference,tag,check_point,defect,turn,quoted_on,quote"},
    [PRICES] = {"prices.csv", "kind,hazard,reflective,valid_from,price,note"},
    [COMPONENT_PRICES] = {"component_prices.csv", "tag,valid_from,price,note"},
    [EXPOSURES] = {"exposures.csv",
		   "tag,exposed_on,cause,incident,contaminants,reported_by,ended_on,revoked_on,"
		   "revoked_reason,note"},
    [FIELD_TESTS] =
	{"field_tests.csv",
	 "tag,test,tested_on,performed_by,provider,recorded_by,sign,compared,distance_um,"
	 "alcohol_ul,water_ul,amount_ul,time_ms,pressure_pa,material_spots,seam_spots,cuff_gap_um,"
	 "hem_gap_um,property,value_thousandths,zone,place,extent,result,note"},
    [FIT_CHECKS] =
	{"fit_checks.csv",
	 "badge,hazard,checked_on,checked_by,coat_trousers,hood_collar,hood_facepiece,glove_sleeve,"
	 "trousers_boots,helmet_hood,shroud_coat,overcover_faceshield,overlap_um,result,worn,note"},
    [SAFETY_NOTICES] =
	{"safety_notices.csv",
	 "number,issuer,reference,issued_on,title,wrong,action,action_text,due_on,recorded_on,"
	 "recorded_by,closed_on,closed_by,closed_reason,withdrawn,line,maker,kind,model,serials,"
	 "made_from,made_to,hazard"},
    [SAFETY_ANSWERS] = {"safety_answers.csv",
			"number,tag,turn,answer,note,answered_on,answered_by,action,hit,edition"},
    [HOLDS] = {"holds.csv",
	       "tag,incident,placed_on,placed_by,kept_where,container,released_on,released_by,"
	       "authority,release_reason"},
    [CUSTODY] = {"custody.csv",
		 "tag,placed_on,happened_on,time_of_day,recorded_at,who,purpose,note"},
};

void add_row(struct buf *b, const char *const *cell) {
	for (size_t i = 0; cell[i]; i++) {
		if (i) csv_write_comma(b);
		csv_write_cell(b, cell[i]);
	}
	csv_write_end(b);
}
const char *days_ago(const struct town *t, int days, char text[DAY_TEXT_SIZE]) {
	return day_format(t->today - days, text);
}

/* --- the town ----------------------------------------------------------------------------- */

static const struct {
	const char *code, *name, *address;
	int members;
	bool airfield;
} station[TOWN_STATIONS] = {
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
/* --- people --- */

static struct set set_of(struct town *t, size_t at, const char *badge, const char *inspector) {
	static const char *const size[] = {"S", "M", "L", "XL"};
	return (struct set){.hazard = station[at].airfield ? "proximity" : "structural",
			    .line = "primary",
			    .station = station[at].code,
			    .at = (int)at,
			    .badge = badge,
			    .inspector = inspector,
			    .size = size[roll(&t->dice, 4)],
			    .age_days = 400 + (int)roll(&t->dice, 3260),
			    .last_inspection_days = 20 + (int)roll(&t->dice, 375)};
}

/* The first three of an airfield station go out to houses too, and wear structural gear. */
static void add_sets(struct town *t, size_t at, int number, const char *badge, bool airfield) {
	char code[40], inspector[20];
	snprintf(inspector, sizeof inspector, "%zu002", at + 1);
	struct set s = set_of(t, at, badge, inspector);
	s.code = code;
	s.hazard = airfield ? "proximity" : "structural";
	s.blurred_label = roll(&t->dice, 40) == 0;
	/* The first fighter of the airfield is the one the tour meets: due soon, all sound. */
	if (airfield && at == 2 && number == 4) {
		s.age_days = 800;
		s.last_inspection_days = 335;
		s.blurred_label = false;
		s.is_sound = true;
	}
	snprintf(code, sizeof code, "%s-%s", airfield ? "PX" : "SX", badge);
	add_set(t, &s);
	if (number != 5) return;
	s = set_of(t, at, badge, inspector);
	s.line = "second";
	s.hazard = airfield ? "proximity" : "structural";
	snprintf(code, sizeof code, "%s-%s-2", airfield ? "PX" : "SX", badge);
	s.code = code;
	add_set(t, &s);
}

static void add_members(struct town *t, size_t at) {
	for (int number = 1; number <= station[at].members; number++) {
		char badge[20], email[60], trained[DAY_TEXT_SIZE];
		const char *f = family[roll(&t->dice, 30)], *g = given[roll(&t->dice, 20)];
		snprintf(badge, sizeof badge, "%zu%03d", at + 1, number);
		snprintf(email, sizeof email, "%s@example.org", badge);
		/* Of each station the second member inspects, at the airfield the fourth too; the
		 * third leads; all wear gear too. */
		bool airfield = station[at].airfield && number > 3, gone = number == 19;
		bool inspects = number == 2 || (station[at].airfield && number == 4);
		ROW(t, MEMBERS, badge, f, g, station[at].code, email, airfield ? "no" : "yes",
		    airfield ? "yes" : "no", inspects ? day_format(t->today + 400, trained) : "",
		    gone          ? "left"
		    : number == 9 ? "leave"
				  : "active");
		if (!gone) add_sets(t, at, number, badge, airfield);
	}
}

static void add_reserve(struct town *t) {
	for (size_t at = 0; at < TOWN_STATIONS; at++) {
		char code[40], inspector[20];
		snprintf(code, sizeof code, "RX-%s", station[at].code);
		snprintf(inspector, sizeof inspector, "%zu002", at + 1);
		struct set s = set_of(t, at, "", inspector);
		s.code = code;
		s.line = "reserve";
		s.age_days = 900 + (int)roll(&t->dice, 900);
		s.last_inspection_days = 420;
		add_set(t, &s);
	}
}

/* What gear came into contact with: some of it cleaned since, some of it waits. */
static const struct {
	const char *tag, *by;
	int days;
	const char *cause, *incident, *contaminants;
	int specialized_days; /* a specialized cleaning so many days ago; -1: none */
	const char *revoked;
} exposure[] = {
    {"SX-2001-CS", "2001", 400, "combustion", "dwelling, Quay Road", "smoke, soot", -1, ""},
    {"SX-2001-HO", "2001", 400, "combustion", "dwelling, Quay Road", "smoke, soot", -1, ""},
    {"SX-2006-CS", "2006", 2, "combustion", "warehouse, Dock 3", "smoke", -1, ""},
    {"SX-2006-HO", "2006", 2, "combustion", "warehouse, Dock 3", "smoke", -1, ""},
    {"SX-2006-GL", "2006", 2, "combustion", "warehouse, Dock 3", "smoke", -1, ""},
    {"SX-4001-GL", "4001", 30, "body_fluids", "road accident, Hill Street", "blood", 27, ""},
    {"SX-5003-TS", "5003", 1, "chemicals", "mill, Mill Lane", "caustic cleaner", -1, ""},
    {"PX-3006-CS", "3006", 60, "fuels", "hangar 2", "jet fuel", 60, ""},
    {"SX-1003-HO", "1003", 100, "cbrn", "Market Square", "white powder", -1,
     "An exercise: it was flour."},
    {"SX-1007-FW", "1007", 3, "other", "farm, North Hill", "pesticide, label photographed", -1, ""},
};

static void add_exposures(struct town *t) {
	for (size_t i = 0; i < sizeof exposure / sizeof *exposure; i++) {
		char on[DAY_TEXT_SIZE], cleaned[DAY_TEXT_SIZE] = "", revoked[DAY_TEXT_SIZE] = "";
		bool same_day = exposure[i].specialized_days == exposure[i].days;
		if (*exposure[i].revoked) days_ago(t, exposure[i].days - 1, revoked);
		if (exposure[i].specialized_days >= 0)
			ROW(t, CLEANINGS, exposure[i].tag,
			    days_ago(t, exposure[i].specialized_days, cleaned), "specialized",
			    exposure[i].contaminants, "Remend Works", "REMEND");
		ROW(t, EXPOSURES, exposure[i].tag, days_ago(t, exposure[i].days, on),
		    exposure[i].cause, exposure[i].incident, exposure[i].contaminants,
		    exposure[i].by, same_day ? cleaned : "", revoked, exposure[i].revoked, "");
	}
}

/* What was measured at the stations and elsewhere: one of each sort, and what came of it. */
static const struct {
	const char *tag;
	int days;
	const char *test, *by, *provider, *inspector;
	const char *sign, *measures; /* from distance_um to value_thousandths */
	const char *zone, *extent, *result, *note;
} field_test[] = {
    {"SX-2001-CS", 70, "trim", "2002", "", "2002", "no", "yes,12192000,,,,,,,,,,,", "", "", "pass",
     ""},
    {"SX-1006-TS", 12, "trim", "1002", "", "1002", "yes", "yes,12500000,,,,,,,,,,,", "left_cuff",
     "", "fail", "Both cuffs, beside a strip from the roll."},
    {"SX-2001-CL", 70, "light", "2002", "", "2002", "no", ",,,,,,,,,,,,", "", "", "pass", ""},
    {"SX-4001-TL", 5, "light", "4002", "", "4002", "yes", ",,,,,,,,,,,,", "left_knee", "",
     "suspect", "Bright where he kneels."},
    {"SX-2001-CL", 70, "leakage", "2002", "", "2002", "no", ",,120000,720000,240000,180000,,4,,,,,",
     "", "", "pass", ""},
    {"SX-5003-CL", 40, "leakage", "5002", "", "5002", "no", ",,100000,600000,240000,120000,,3,,,,,",
     "", "", "not_valid", "Called out after two minutes."},
    {"SX-3003-CL", 25, "water", "Corvane Service", "CORVANE", "3002", "yes",
     ",,,,,15000,6895,3,3,,,,", "shoulders", "pinhole", "fail", "One droplet at a seam."},
    {"SX-2003-CL", 90, "water", "Corvane Service", "CORVANE", "2002", "no",
     ",,,,,15000,6895,3,3,,,,", "", "", "pass", ""},
    {"SX-2003-CL", 90, "liner_gap", "2002", "", "2002", "", ",,,,,,,,,19050,63500,,", "", "",
     "pass", ""},
    {"SX-2006-GL", 70, "seam", "2002", "", "2002", "no", ",,,,,,,,,,,,", "", "", "pass", ""},
    {"PX-3006-CS", 200, "laboratory", "Laboratory of Corvane", "CORVANE", "3002", "",
     ",,,,,,,,,,,lab_tpp,41000", "", "", "above", "Of a panel cut at the repair."},
};

static void add_field_tests(struct town *t) {
	for (size_t i = 0; i < sizeof field_test / sizeof *field_test; i++) {
		char on[DAY_TEXT_SIZE], measure[13][20] = {{0}};
		size_t at = 0, length = 0;
		for (const char *c = field_test[i].measures; *c; c++) {
			if (*c == ',') at++, length = 0;
			else measure[at][length++] = *c;
		}
		ROW(t, FIELD_TESTS, field_test[i].tag, field_test[i].test,
		    days_ago(t, field_test[i].days, on), field_test[i].by, field_test[i].provider,
		    field_test[i].inspector, field_test[i].sign, measure[0], measure[1], measure[2],
		    measure[3], measure[4], measure[5], measure[6], measure[7], measure[8],
		    measure[9], measure[10], measure[11], measure[12], field_test[i].zone, "",
		    field_test[i].extent, field_test[i].result, field_test[i].note);
	}
}

/* Outfits looked at while worn: closed, with a gap, and without the hood. */
static const struct {
	const char *badge, *hazard;
	int days;
	const char *inspector;
	const char *answer[8]; /* in the order of the columns */
	const char *overlap_um, *result, *worn, *note;
} fit_check[] = {
    {"2001",
     "structural",
     70,
     "2002",
     {"closed", "closed", "closed", "closed", "closed", "closed"},
     "127000",
     "closed",
     "SX-2001-CS SX-2001-TS SX-2001-HE SX-2001-HO SX-2001-GL SX-2001-FW",
     ""},
    {"3006",
     "proximity",
     21,
     "3002",
     {"closed", "closed", "closed", "closed", "closed", "closed", "reach", "closed"},
     "88900",
     "gap",
     "PX-3006-CS PX-3006-TS PX-3006-HE PX-3006-HO PX-3006-GL PX-3006-FW",
     "A longer shroud is asked for."},
    {"4001",
     "structural",
     5,
     "4002",
     {"closed", "not_worn", "not_worn", "closed", "closed", "not_worn"},
     "101600",
     "not_whole",
     "SX-4001-CS SX-4001-TS SX-4001-GL SX-4001-FW",
     "The hood was at the wash."},
};

static void add_fit_checks(struct town *t) {
	for (size_t i = 0; i < sizeof fit_check / sizeof *fit_check; i++) {
		const char *const *answer = fit_check[i].answer;
		char on[DAY_TEXT_SIZE];
		ROW(t, FIT_CHECKS, fit_check[i].badge, fit_check[i].hazard,
		    days_ago(t, fit_check[i].days, on), fit_check[i].inspector, answer[0],
		    answer[1], answer[2], answer[3], answer[4], answer[5],
		    answer[6] ? answer[6] : "", answer[7] ? answer[7] : "", fit_check[i].overlap_um,
		    fit_check[i].result, fit_check[i].worn, fit_check[i].note);
	}
}

/* A cell of a part's row; "" when there is none. */
static const char *cell_of(const struct town *t, const char *tag, int column, char text[60]) {
	char start[60];
	snprintf(start, sizeof start, "\n%s,", tag);
	const char *at = strstr(buf_text(&t->out[COMPONENTS]), start);
	for (at = at ? at + 1 : ""; column; column--) at += strcspn(at, ",") + (*at != '\0');
	snprintf(text, 60, "%.*s", (int)strcspn(at, ",\r\n"), at);
	return text;
}
enum { CELL_SERIAL = 6, CELL_MAKER, CELL_MODEL, CELL_MADE = 10 };

/* A recall that was followed to the last helmet, one that is open, and one to know of. */
static void add_safety_notices(struct town *t) {
	static const char *const helmet[] = {"SX-2001-HE", "SX-4001-HE"};
	char on[DAY_TEXT_SIZE], done[DAY_TEXT_SIZE], due[DAY_TEXT_SIZE], number[20];
	char maker[60], serial[60], made[60], line[4];
	days_ago(t, 300, on);
	days_ago(t, 280, done);
	snprintf(number, sizeof number, "S-%.4s-0001", on);
	for (size_t i = 0; i < sizeof helmet / sizeof *helmet; i++) {
		snprintf(line, sizeof line, "%zu", i + 1);
		ROW(t, SAFETY_NOTICES, number, "Brackwater Safety Laboratory", "BSL 71", on,
		    "Chin straps of two lots", "The strap was sewn with too thin a thread.",
		    "replace", "The strap comes free of charge.", days_ago(t, 240, due), on, "3003",
		    done, "3003", "", "no", line, cell_of(t, helmet[i], CELL_MAKER, maker),
		    "helmet", "", cell_of(t, helmet[i], CELL_SERIAL, serial), "", "", "");
		ROW(t, SAFETY_ANSWERS, number, helmet[i], "1", "done", "strap replaced", done,
		    "1002", "replace", "hit", "2");
	}
	days_ago(t, 12, on);
	snprintf(number, sizeof number, "S-%.4s-0002", on);
	cell_of(t, "SX-2006-GL", CELL_MAKER, maker);
	cell_of(t, "SX-2006-GL", CELL_MADE, made);
	ROW(t, SAFETY_NOTICES, number, maker, "notice 3", on, "Seam between the fingers",
	    "The seam may open when the glove is wet.", "inspect",
	    "Turn each finger out and look at the whole seam.", days_ago(t, -20, due), on, "3003",
	    "", "", "", "no", "1", maker, "gloves", "", "", made, made, "");
	cell_of(t, "SX-1007-HO", CELL_MAKER, maker);
	cell_of(t, "SX-1007-HO", CELL_MODEL, serial);
	snprintf(number, sizeof number, "S-%.4s-0003", on);
	ROW(t, SAFETY_NOTICES, number, maker, "", on, "New washing instructions",
	    "The label names a hotter programme than the maker allows now.", "inform",
	    "Wash at the temperature of the new instructions.", "", on, "3003", "", "", "", "no",
	    "1", maker, "hood", serial, "", "", "", "");
}

/* A fall at the mill last week; what was worn then is held as it was found. One hold of last
 * year has ended. */
static void add_holds(struct town *t) {
	static const char *const worn[] = {"SX-5011-CS", "SX-5011-CL", "SX-5011-HE", "SX-5011-GL"};
	char on[DAY_TEXT_SIZE], seen[DAY_TEXT_SIZE], at[40];
	days_ago(t, 6, on);
	days_ago(t, 4, seen);
	for (size_t i = 0; i < sizeof worn / sizeof *worn; i++) {
		ROW(t, HOLDS, worn[i], "fall from height, Mill Lane", on, "5003",
		    "evidence locker, key with the chief", "paper", "", "", "", "");
		snprintf(at, sizeof at, "%sT21:10:00Z", on);
		ROW(t, CUSTODY, worn[i], on, on, "15:40", at, "Station officer 5003", "placed", "");
		snprintf(at, sizeof at, "%sT15:30:00Z", seen);
		ROW(t, CUSTODY, worn[i], on, seen, "09:30", at, "State fire marshal, two deputies",
		    "photographed", "unopened");
	}
	days_ago(t, 420, on);
	days_ago(t, 300, seen);
	snprintf(at, sizeof at, "%sT08:00:00Z", on);
	ROW(t, HOLDS, "PX-6011-HE", "vehicle, Gate 7", on, "6003", "evidence locker", "cardboard",
	    seen, "6003", "State fire marshal, letter", "Investigation closed.");
	ROW(t, CUSTODY, "PX-6011-HE", on, on, "", at, "Station officer 6003", "placed", "");
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
	add_exposures(&t);
	add_field_tests(&t);
	add_fit_checks(&t);
	add_safety_notices(&t);
	add_holds(&t);
	add_prices(&t);
	return write_tables(&t, argv[1]);
}
