/*
 * The lives of the parts of a set: when made and by whom, cleaned, inspected,
 * what was found, how it went to repair and back.
 */
#include <stdio.h>
#include <string.h>

#include "town.h"

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

/* What is found on a kind, by the handbook's codes; outer: on which outer only. */
static const struct flaw {
	const char *kind;
	enum { ANY, PLAIN, SHINY } outer;
	const char *point, *defect, *zone, *place, *severity, *outcome;
} flaw[] = {
    {"coat_shell", ANY, "hardware", "missing", "left_pocket", "pocket snap", "minor", "repair"},
    {"coat_shell", ANY, "seams", "stitches_missing", "right_underarm", "sleeve seam, 40 mm",
     "major", "repair"},
    {"coat_shell", ANY, "soiling", "contaminated", "left_sleeve", "", "major", "clean"},
    {"coat_shell", PLAIN, "trim", "faded", "chest", "", "minor", "repair"},
    {"coat_shell", PLAIN, "heat", "heat_discolored", "shoulders", "", "minor", "serve_on"},
    {"coat_shell", SHINY, "aluminized", "burnt", "chest", "below the radio pocket", "critical",
     "repair"},
    {"coat_shell", SHINY, "reflection", "discolored", "back", "", "minor", "serve_on"},
    {"coat_shell", ANY, "changes", "unapproved", "chest", "name patch sewn on", "major",
     "ask_maker"},
    {"coat_liner", ANY, "light", "light_spot", "left_underarm", "", "major", "test"},
    {"coat_liner", ANY, "wristlets", "runs", "left_wristlet", "", "major", "renew"},
    {"coat_liner", ANY, "attachments", "does_not_close", "collar", "upper snap", "major", "repair"},
    {"coat_liner", ANY, "size_match", "gap_too_large", "hem", "", "major", "hold"},
    {"drd", ANY, "strap", "frayed", "back_strap", "", "major", "replace"},
    {"drd", ANY, "routing", "misrouted", "left_loop", "", "major", "repair"},
    {"trouser_shell", ANY, "seams", "stitches_broken", "right_knee", "inner leg seam", "major",
     "repair"},
    {"trouser_shell", ANY, "reinforcements", "worn", "left_knee", "", "minor", "repair"},
    {"trouser_shell", ANY, "suspenders", "elastic_weak", "suspenders", "", "minor", "renew"},
    {"trouser_shell", ANY, "heat", "heat_discolored", "left_cuff", "", "minor", "serve_on"},
    {"trouser_shell", ANY, "strength", "brittle", "seat", "", "critical", "retire"},
    {"trouser_liner", ANY, "thermal", "quilting_loose", "left_knee", "", "minor", "repair"},
    {"trouser_liner", ANY, "seams", "tape_lifting", "crotch", "crotch seam", "major", "repair"},
    {"trouser_liner", ANY, "leakage", "leaks", "right_knee", "", "critical", "repair"},
    {"helmet", ANY, "shell", "cracked", "crown", "left of the ridge", "critical", "retire"},
    {"helmet", ANY, "chin_strap", "worn", "chin_strap", "", "minor", "repair"},
    {"helmet", ANY, "shell", "discolored", "brim", "", "minor", "ask_maker"},
    {"faceshield", PLAIN, "vision", "scratched", "centre", "", "major", "replace"},
    {"faceshield", SHINY, "reflective", "scratched", "centre", "", "major", "replace"},
    {"faceshield", ANY, "mounts", "loose", "mount", "", "major", "repair"},
    {"overcover", ANY, "elastic", "elastic_weak", "brim_elastic", "", "major", "repair"},
    {"overcover", ANY, "aluminized", "abrasion", "left_side", "", "major", "repair"},
    {"shroud", ANY, "closure", "does_not_close", "throat_closure", "", "major", "repair"},
    {"shroud", ANY, "reflection", "stained", "neck", "", "minor", "clean"},
    {"hood", ANY, "fabric", "hole", "crown", "", "major", "replace"},
    {"hood", ANY, "soiling", "soiled", "bib", "", "minor", "clean"},
    {"hood", ANY, "fabric", "discolored", "bib", "", "minor", "serve_on"},
    {"gloves", ANY, "shell", "discolored", "left_back", "", "minor", "serve_on"},
    {"gloves", ANY, "label", "unreadable", "left_cuff", "", "major", "ask_maker"},
    {"gloves", ANY, "shell", "hole", "right_fingers", "tip of the first finger", "major",
     "replace"},
    {"footwear", ANY, "sole", "tread_worn", "left_sole", "", "major", "replace"},
    {"footwear", ANY, "soiling", "odour", "right_shaft", "", "minor", "clean"},
};
#define FLAWS (sizeof flaw / sizeof *flaw)

static bool same(const char *a, const char *b) { return strcmp(a, b) == 0; }

/* One of before must have had an end that leaves the part in service. */
static bool may_have(const struct flaw *f, const struct part *p, bool open) {
	if (!same(f->kind, p->kind)) return false;
	if (f->outer != ANY && (f->outer == SHINY) != p->reflective) return false;
	return open || !(same(f->outcome, "retire") || same(f->outcome, "replace"));
}

/* A fault of this part; every kind of part has one that ended. */
static const struct flaw *pick_flaw(struct town *t, const struct part *p, bool open) {
	const struct flaw *can[FLAWS];
	uint32_t count = 0;
	for (size_t i = 0; i < FLAWS; i++)
		if (may_have(&flaw[i], p, open)) can[count++] = &flaw[i];
	return can[roll(&t->dice, count)];
}

static bool goes_to_a_ticket(const struct flaw *f) {
	return same(f->outcome, "repair") || same(f->outcome, "test") ||
	       same(f->outcome, "replace") || same(f->outcome, "renew");
}

/* --- repair tickets --- */

static void number_ticket(struct town *t, char *number, size_t size, int made_days) {
	char on[DAY_TEXT_SIZE];
	snprintf(number, size, "R-%.4s-%04d", days_ago(t, made_days, on), ++t->tickets);
}

/* Who mends what: cleaners mend nothing. */
static const char *mender(const struct flaw *f) {
	return same(f->outcome, "test") ? "CORVANE" : "REMEND";
}

static const struct {
	const char *state;
	bool sent, back;
	const char *work, *cost;
} way_row[WAYS] = {
    [WAY_DRAFT] = {"draft", false, false, "", ""},
    [WAY_SENT] = {"sent", true, false, "", ""},
    [WAY_BACK] = {"returned", true, true, "as the ticket says", "65.00"},
    [WAY_CANCELLED] = {"cancelled", false, false, "", ""},
};

static const char *result_of(const struct flaw *f, enum way way) {
	if (way != WAY_BACK) return "";
	return same(f->outcome, "replace") ? "not_repaired" : "repaired";
}

/* What the provider asks; asked again, it asks less. */
static void add_quotes(struct town *t, const struct ticket *k, const struct flaw *f,
		       const char *reference, const char *tag) {
	static const char *const quote[][2] = {
	    {"45.00", NULL}, {"480.00", "415.00"}, {"95.50", NULL}};
	char on[DAY_TEXT_SIZE];
	const char *const *of = quote[k->findings % 3];
	ROW(t, QUOTES, k->number, reference, tag, f->point, f->defect, "1", days_ago(t, 10, on),
	    of[0]);
	if (of[1])
		ROW(t, QUOTES, k->number, reference, tag, f->point, f->defect, "2",
		    days_ago(t, 8, on), of[1]);
}

/* Found this year and not back in service: waits, on a draft, away, or back uninspected. */
static void add_open_repair(struct town *t, const struct set *s, const struct flaw *f,
			    const char *reference, const char *tag) {
	char made[DAY_TEXT_SIZE], sent[DAY_TEXT_SIZE], wanted[DAY_TEXT_SIZE], back[DAY_TEXT_SIZE];
	uint32_t way = roll(&t->dice, WAYS + 1);
	if (way == WAYS) return;
	struct ticket *k = &t->open[s->at][way];
	if (k->findings++ % 3 == 0) number_ticket(t, k->number, sizeof k->number, 15);
	/* Some are late. */
	days_ago(t, s->at % 2 ? 2 : -9, wanted);
	ROW(t, REPAIRS, k->number, "REMEND", way_row[way].state, days_ago(t, 15, made),
	    s->inspector, way_row[way].sent ? days_ago(t, 14, sent) : "", wanted,
	    way_row[way].back ? days_ago(t, 1, back) : "", reference, tag, f->point, f->defect,
	    result_of(f, (enum way)way), way_row[way].work, way_row[way].cost, "");
	if (way == WAY_SENT) add_quotes(t, k, f, reference, tag);
}

/* Mended long ago: sent, back, inspected, in service again. */
static void add_past_repair(struct town *t, const struct set *s, const struct flaw *f,
			    const char *reference, const char *tag, int found_days) {
	char number[20], made[DAY_TEXT_SIZE], sent[DAY_TEXT_SIZE], wanted[DAY_TEXT_SIZE],
	    back[DAY_TEXT_SIZE], on[DAY_TEXT_SIZE], cost[20], seen[60];
	number_ticket(t, number, sizeof number, found_days - 2);
	snprintf(cost, sizeof cost, "%u.50", 20 + roll(&t->dice, 160));
	ROW(t, REPAIRS, number, mender(f), "returned", days_ago(t, found_days - 2, made),
	    s->inspector, days_ago(t, found_days - 4, sent), days_ago(t, found_days - 24, wanted),
	    days_ago(t, found_days - 26, back), reference, tag, f->point, f->defect,
	    roll(&t->dice, 9) ? "repaired" : "no_fault_found", "mended as the maker says", cost,
	    "");
	snprintf(seen, sizeof seen, "%s-R-%s", reference, tag + strlen(s->code) + 1);
	ROW(t, INSPECTIONS, seen, "return", days_ago(t, found_days - 30, on), s->inspector, "", tag,
	    "return_to_service", "");
}

/* --- findings --- */

static const char *state_of(const struct flaw *f, bool open) {
	if (same(f->outcome, "serve_on")) return "accepted";
	if (open) return "open";
	return same(f->outcome, "ask_maker") || same(f->outcome, "hold") ? "withdrawn" : "mended";
}

/* Is it still in the way? */
static bool add_finding(struct town *t, const struct set *s, const struct part *p,
			const char *reference, const char *tag, int found_days) {
	char closed[DAY_TEXT_SIZE];
	bool open = found_days <= 400;
	const struct flaw *f = pick_flaw(t, p, open);
	const char *state = state_of(f, open);
	bool ended = same(state, "mended") || same(state, "withdrawn");
	ROW(t, FINDINGS, reference, tag, f->point, f->defect, f->zone, "front", "outside", f->place,
	    same(f->defect, "stitches_missing") ? "40" : "", f->severity, f->outcome, "", state,
	    ended ? days_ago(t, found_days - 30, closed) : "",
	    same(state, "withdrawn") ? "The maker answered: may serve on." : "", "");
	if (open && goes_to_a_ticket(f)) add_open_repair(t, s, f, reference, tag);
	if (!open && goes_to_a_ticket(f)) add_past_repair(t, s, f, reference, tag, found_days);
	return same(state, "open");
}

/* --- what came before a part: retired, most of it disposed of --- */

static void add_predecessor(struct town *t, const struct set *s, const struct part *p, int age) {
	char tag[40], serial[40], made[DAY_TEXT_SIZE], service[DAY_TEXT_SIZE],
	    retired[DAY_TEXT_SIZE], disposed[DAY_TEXT_SIZE], back[DAY_TEXT_SIZE],
	    marked[DAY_TEXT_SIZE];
	snprintf(tag, sizeof tag, "%s-%s-0", s->code, p->stem);
	snprintf(serial, sizeof serial, "X%07u", roll(&t->dice, 10000000));
	days_ago(t, age + 3580, made);
	made[7] = '\0';
	days_ago(t, age, retired);
	/* Coats serve the recruits afterwards; the oldest records are words only. */
	bool trains = same(p->kind, "coat_shell"), gone = roll(&t->dice, 3) != 0 && !trains;
	bool old = age > 600;
	ROW(t, COMPONENTS, tag, p->kind, s->hazard, s->station, "", "", serial, maker[1], "Bastion",
	    s->size, made, days_ago(t, age + 3500, service), p->reflective ? "yes" : "no",
	    p->trim ? "yes" : "no", "", "", "", "", "", retired,
	    old ? "Ten years since it was made." : "", gone ? days_ago(t, age - 20, disposed) : "",
	    gone && old ? "Cut up at the yard, two witnesses" : "", old ? "" : "age",
	    old ? "" : "1003", gone && !old ? "destroyed" : "",
	    gone && !old ? "Noor Haas, yard keeper" : "",
	    trains ? days_ago(t, age - 10, marked) : "", trains ? "1003" : "",
	    trains ? "TRAINING ONLY across the back, red paint" : "");
	if (*s->badge)
		ROW(t, ISSUES, tag, s->badge, service, "new", days_ago(t, age, back), "serviceable",
		    "");
}

/* One replaced on a ticket 200 days ago by the part that is there now. */
static void add_replaced(struct town *t, const struct set *s, const struct part *p,
			 const char *new_tag) {
	char tag[40], number[20], reference[48], seen[48], made[DAY_TEXT_SIZE],
	    found[DAY_TEXT_SIZE], on[4][DAY_TEXT_SIZE];
	const struct flaw *f = pick_flaw(t, p, true);
	snprintf(tag, sizeof tag, "%s-%s-1", s->code, p->stem);
	snprintf(reference, sizeof reference, "%s-F", tag);
	snprintf(seen, sizeof seen, "%s-B", tag);
	number_ticket(t, number, sizeof number, 228);
	days_ago(t, 1500, made);
	made[7] = '\0';
	ROW(t, COMPONENTS, tag, p->kind, s->hazard, s->station, "", "", "", maker[2], "Bastion",
	    s->size, made, days_ago(t, 1400, on[0]), p->reflective ? "yes" : "no",
	    p->trim ? "yes" : "no", "", "", "", "", "", days_ago(t, 200, on[1]), "", "", "",
	    "replaced", "1003", "", "", "", "", "");
	ROW(t, INSPECTIONS, reference, "advanced", days_ago(t, 230, found), s->inspector, "", tag,
	    "out_of_service", "");
	ROW(t, FINDINGS, reference, tag, f->point, f->defect, f->zone, "front", "outside", f->place,
	    "", f->severity, "replace", "", "replaced", on[1], "Replaced.", "");
	ROW(t, REPAIRS, number, "CORVANE", "returned", days_ago(t, 228, on[0]), s->inspector,
	    days_ago(t, 226, on[2]), "", on[1], reference, tag, f->point, f->defect, "replaced", "",
	    "180.00", new_tag);
	ROW(t, INSPECTIONS, seen, "return", days_ago(t, 199, on[3]), s->inspector, "", new_tag,
	    "return_to_service", "");
}

/* After the last cleaning most coats were looked at for their drag rescue device. */
static void add_look_after_cleaning(struct town *t, const struct set *s, const char *tag, int age) {
	int cleaned = (s->last_inspection_days + 179) % 180 + 1, days = cleaned - 2;
	char reference[48], on[DAY_TEXT_SIZE], worked[12], opened[32], answered[32];
	if (days < 1 || cleaned > s->last_inspection_days || cleaned >= age - 60 || age % 12 == 0)
		return;
	snprintf(reference, sizeof reference, "%s-D", tag);
	snprintf(worked, sizeof worked, "%d", 40 + age % 90);
	ROW(t, INSPECTIONS, reference, "routine", days_ago(t, days, on), s->inspector, "", tag,
	    "return_to_service", worked);
	if (age % 3) return;
	snprintf(opened, sizeof opened, "%sT11:05:00Z", on);
	snprintf(answered, sizeof answered, "%sT11:05:%02dZ", on, 20 + age % 40);
	ROW(t, TOGETHER, reference, tag, "closures", "Collar and closures",
	    "collar front_closure hardware", opened, answered, s->inspector);
}

/* --- a part --- */

static void add_part(struct town *t, const struct set *s, const struct part *p) {
	char tag[40], serial[40], made[DAY_TEXT_SIZE], service[DAY_TEXT_SIZE], on[DAY_TEXT_SIZE],
	    cost[20];
	const char *by = maker[roll(&t->dice, 4)];
	/* The layers of one garment come from one maker. */
	if (!same(p->kind, "helmet")) by = maker[(unsigned)s->age_days % 4];
	snprintf(tag, sizeof tag, "%s-%s", s->code, p->stem);
	snprintf(serial, sizeof serial, "%c%07u", by[0], roll(&t->dice, 10000000));
	snprintf(cost, sizeof cost, "%d.00", p->cost);
	int age = p->reflective && s->age_days > 1700 ? s->age_days % 1700 + 100 : s->age_days;
	days_ago(t, age, made);
	made[7] = '\0';
	if (s->blurred_label && same(p->kind, "gloves")) made[0] = '\0';
	days_ago(t, age - 60 > 0 ? age - 60 : 1, service);
	bool aside = roll(&t->dice, 250) == 0 && !s->is_sound;
	ROW(t, COMPONENTS, tag, p->kind, s->hazard, s->station, s->code, s->line, serial, by,
	    same(s->hazard, "proximity") ? "Lumen" : "Rampart", s->size, made, service,
	    p->reflective ? "yes" : "no", p->trim ? "yes" : "no", roll(&t->dice, 12) ? cost : "",
	    s->badge, *s->badge ? service : "", *s->badge ? "new" : "",
	    aside ? "Kept for the inquiry into the fire at the mill." : "", "", "", "", "", "", "",
	    "", "", "", "", "");
	for (int days = s->last_inspection_days + 180; days > 0; days -= 180)
		if (days < age - 60 && days < 1100)
			ROW(t, CLEANINGS, tag, days_ago(t, days, on), "advanced", "half-yearly",
			    "Clearwater Wash", "WASH");
	if (same(p->kind, "coat_shell")) add_look_after_cleaning(t, s, tag, age);
	if (age < 900 && age > 120 && roll(&t->dice, 6) == 0) add_predecessor(t, s, p, age - 60);
	if (age > 400 && roll(&t->dice, 200) == 0 && !s->is_sound) add_replaced(t, s, p, tag);
}

static void add_inspections(struct town *t, const struct set *s, const struct part *parts,
			    size_t count) {
	for (int year = 2; year >= 0; year--) {
		int days = s->last_inspection_days + year * 365;
		char on[DAY_TEXT_SIZE], reference[40], tag[40], worked[12];
		if (days > s->age_days - 90 || days > 1095) continue;
		snprintf(reference, sizeof reference, "%s-%d", s->code, 3 - year);
		for (size_t i = 0; i < count; i++) {
			bool bad = roll(&t->dice, year ? 40 : 50) == 0 && !s->is_sound;
			snprintf(tag, sizeof tag, "%s-%s", s->code, parts[i].stem);
			bool blocks = bad && add_finding(t, s, &parts[i], reference, tag, days);
			snprintf(worked, sizeof worked, "%d",
				 150 + (s->age_days + 37 * (int)i) % 400);
			ROW(t, INSPECTIONS, reference, "advanced", days_ago(t, days, on),
			    s->inspector, "", tag, blocks ? "out_of_service" : "return_to_service",
			    worked);
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
		    s->inspector, "", tag, "return_to_service", "");
	}
}

void add_set(struct town *t, const struct set *s) {
	bool shiny = same(s->hazard, "proximity");
	const struct part *parts = shiny ? proximity : structural;
	size_t count =
	    shiny ? sizeof proximity / sizeof *proximity : sizeof structural / sizeof *structural;
	for (size_t i = 0; i < count; i++) add_part(t, s, &parts[i]);
	add_inspections(t, s, parts, count);
	add_liner_inspection(t, s, parts, count);
}

/* --- what new ones cost --- */

static void price(struct town *t, const struct part *p, const char *hazard, int days, int percent,
		  const char *note) {
	char on[DAY_TEXT_SIZE], cost[20];
	snprintf(cost, sizeof cost, "%d.%02d", p->cost * percent / 100, p->cost * percent % 100);
	ROW(t, PRICES, p->kind, hazard, p->reflective ? "yes" : "no", days_ago(t, days, on), cost,
	    note);
}

static void price_parts(struct town *t, const struct part *p, size_t count, const char *hazard) {
	for (size_t i = 0; i < count; i++) {
		price(t, &p[i], hazard, 800, 100, "price list");
		price(t, &p[i], hazard, 170, 107, "frame contract");
	}
}

/* By the year's frame contract; of one coat, whose size is made to order, an offer is known. */
void add_prices(struct town *t) {
	char on[DAY_TEXT_SIZE];
	price_parts(t, structural, sizeof structural / sizeof *structural, "structural");
	price_parts(t, proximity, sizeof proximity / sizeof *proximity, "proximity");
	ROW(t, COMPONENT_PRICES, "PX-3004-CS", days_ago(t, 400, on), "2150.00", "offer");
	ROW(t, COMPONENT_PRICES, "PX-3004-CS", days_ago(t, 30, on), "2290.00",
	    "offer, made to order");
}
