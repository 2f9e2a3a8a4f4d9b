#include "base/limits.h"
#include "base/text.h"
#include "rules.h"
#include "rules/safety_notice.h"
#include "rules/standing.h"

static struct arena arena;
static const struct handbook *hb;
static struct program p;

static void begin(void) {
	arena_init(&arena, LIMIT_ARENA_BYTES_MAX);
	hb = small_handbook(&arena);
	small_program(&p, hb, "ours", &arena);
}

static void end(void) { arena_clear(&arena); }

/* --- numbers ------------------------------------------------------------------------ */

/* Ascending; what stands on one line is equal. */
static const char *const ascending[][3] = {
    {"", "-", " "},
    {"0", "000", "0-"},
    {"2", "02", "2."},
    {"10", "010", NULL},
    {"10a", "10-a", "010 a"},
    {"10a2", "10-a-02", NULL},
    {"10a10", "10 a 10", NULL},
    {"10b", NULL, NULL},
    {"99999999999999999999", NULL, NULL},
    {"100000000000000000000", "0100000000000000000000", NULL},
    {"a", "a-", NULL},
    {"a1", "a01", "a-1"},
    {"a1b", NULL, NULL},
    {"ab", NULL, NULL},
    {"b", NULL, NULL},
    {"\xc3\xb8", NULL, NULL},
};
#define RANKS (sizeof ascending / sizeof *ascending)

START_TEST(numbers_in_their_natural_order) {
	for (size_t i = 0; i < RANKS; i++)
		for (size_t j = 0; j < RANKS; j++)
			for (size_t k = 0; k < 9; k++) {
				const char *a = ascending[i][k / 3], *b = ascending[j][k % 3];
				if (!a || !b) continue;
				int order = safety_serial_compare(a, b);
				ck_assert_msg((order > 0) - (order < 0) == (i > j) - (i < j),
					      "%s and %s: %d", a, b, order);
			}
	/* A sign between digits makes them two numbers. */
	ck_assert_int_lt(safety_serial_compare("1 0", "10"), 0);
	ck_assert_int_eq(safety_serial_compare("1|0", "1 0"), 0);
	ck_assert_int_eq(safety_serial_compare("a{1}", "a1"), 0);
}
END_TEST

static enum safety_hit serial_hits(struct safety_scope s, const char *serial) {
	const struct safety_label label = {.kind = "hood", .maker = "M", .serial = serial};
	const char *reason;
	s.maker = "m";
	return safety_scope_hits(&s, &label, &arena, &reason);
}

START_TEST(ranges_and_lists_of_numbers) {
	static const char *const list[] = {"k7", "k31-2"};
	const struct safety_scope range = {.serial_from = "k9", .serial_to = "k20"},
				  from = {.serial_from = "k9"}, to = {.serial_to = "k20"},
				  both = {.serial_from = "k9",
					  .serial_to = "k20",
					  .serial = list,
					  .serial_count = 2},
				  listed = {.serial = list, .serial_count = 2};
	static const struct {
		const char *serial;
		enum safety_hit range, from, to, both, listed;
	} row[] = {
	    {"K8", SAFETY_NO, SAFETY_NO, SAFETY_HIT, SAFETY_NO, SAFETY_NO},
	    {"K9", SAFETY_HIT, SAFETY_HIT, SAFETY_HIT, SAFETY_HIT, SAFETY_NO},
	    {"k-010", SAFETY_HIT, SAFETY_HIT, SAFETY_HIT, SAFETY_HIT, SAFETY_NO},
	    {"K20", SAFETY_HIT, SAFETY_HIT, SAFETY_HIT, SAFETY_HIT, SAFETY_NO},
	    {"K21", SAFETY_NO, SAFETY_HIT, SAFETY_NO, SAFETY_NO, SAFETY_NO},
	    {"K100", SAFETY_NO, SAFETY_HIT, SAFETY_NO, SAFETY_NO, SAFETY_NO},
	    {"K 07", SAFETY_NO, SAFETY_NO, SAFETY_HIT, SAFETY_HIT, SAFETY_HIT},
	    {"K31-2", SAFETY_POSSIBLE, SAFETY_POSSIBLE, SAFETY_POSSIBLE, SAFETY_HIT, SAFETY_HIT},
	    /* Written otherwise: nobody can say where it would stand. */
	    {"12", SAFETY_POSSIBLE, SAFETY_POSSIBLE, SAFETY_POSSIBLE, SAFETY_POSSIBLE,
	     SAFETY_POSSIBLE},
	    {"K", SAFETY_POSSIBLE, SAFETY_POSSIBLE, SAFETY_POSSIBLE, SAFETY_POSSIBLE,
	     SAFETY_POSSIBLE},
	    {"--", SAFETY_POSSIBLE, SAFETY_POSSIBLE, SAFETY_POSSIBLE, SAFETY_POSSIBLE,
	     SAFETY_POSSIBLE},
	    {NULL, SAFETY_POSSIBLE, SAFETY_POSSIBLE, SAFETY_POSSIBLE, SAFETY_POSSIBLE,
	     SAFETY_POSSIBLE},
	};
	for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
		const char *serial = row[i].serial;
		ck_assert_msg(serial_hits(range, serial) == row[i].range, "range, %s", serial);
		ck_assert_msg(serial_hits(from, serial) == row[i].from, "from, %s", serial);
		ck_assert_msg(serial_hits(to, serial) == row[i].to, "to, %s", serial);
		ck_assert_msg(serial_hits(both, serial) == row[i].both, "both, %s", serial);
		ck_assert_msg(serial_hits(listed, serial) == row[i].listed, "list, %s", serial);
	}
}
END_TEST

/* --- one scope and one component ------------------------------------------------------- */

enum { UNKNOWN, AGREES, DIFFERS, WAYS };

/* The next digit of a number that counts through all cases. */
static int next(int *left, int of) {
	int digit = *left % of;
	*left /= of;
	return digit;
}

/* Maker, model and number as people write them; folded as the store folds them. */
static const char *folded(const char *text) { return text ? text_fold(&arena, text) : NULL; }

static enum safety_hit hits(const struct safety_scope *s, const struct safety_label *l) {
	const char *reason;
	return safety_scope_hits(s, l, &arena, &reason);
}

static const struct {
	const char *from, *to, *serial;
	enum safety_hit hit;
} written[] = {
    {"L10", "L20", "L10", SAFETY_HIT}, /* both ends are in it */
    {"L10", "L20", "L20", SAFETY_HIT},
    {"L10", "L20", "L9", SAFETY_NO},
    {"L10", "L20", "L21", SAFETY_NO},
    {"L9", "L10", "L9", SAFETY_HIT}, /* as numbers, not as text */
    {"L9", "L10", "L11", SAFETY_NO},
    {"9", "100", "20", SAFETY_HIT},
    {"9", "100", "101", SAFETY_NO},
    {"L10", NULL, "L9", SAFETY_NO}, /* open at one end */
    {"L10", NULL, "L99999999999999999999999999", SAFETY_HIT},
    {NULL, "L10", "L0", SAFETY_HIT},
    {NULL, "L10", "L11", SAFETY_NO},
    {"L7", "L7", "L007", SAFETY_HIT}, /* one lot; zeros, case, signs, spaces do not count */
    {"L007", "L007", " l - 7 ", SAFETY_HIT},
    {"L7", "L7",
     "L\xe2\x80\x93"
     "7",
     SAFETY_HIT}, /* a dash of typography */
    {"L7", "L7",
     "L\xc2\xb7"
     "7",
     SAFETY_HIT},                                         /* a middle dot */
    {"L7", "L7", "\xef\xbc\xac\xef\xbc\x97", SAFETY_HIT}, /* full-width letters and digits */
    {"L0", "L0", "L000", SAFETY_HIT},
    {"L0", "L0", "L1", SAFETY_NO},
    {"A10-5", "A10-9", "A10-7", SAFETY_HIT}, /* the first run that differs decides */
    {"A10-5", "A10-9", "A11-7", SAFETY_NO},
    {"A10-5", "B10-1", "A99-9", SAFETY_HIT},
    {"A10-5", "B10-1", "B10-2", SAFETY_NO},
    {"AB10", "AD10", "AC99", SAFETY_HIT},
    {"AB10", "AD10", "A10", SAFETY_NO}, /* the shorter of two letter runs comes first */
    {"AB10", "AD10", "ABC5", SAFETY_HIT},
    {"AB10", "AD10", "ADA5", SAFETY_NO},
    {"\xd0\x96"
     "1",
     "\xd0\x96"
     "9",
     "\xd0\x96"
     "5",
     SAFETY_HIT}, /* letters beyond ASCII are letters */
    /* Written otherwise: nobody can tell. */
    {"L10", "L20", "15", SAFETY_POSSIBLE},
    {"L10", "L20", "99", SAFETY_POSSIBLE},
    {"L10", "L20", "L", SAFETY_POSSIBLE},
    {"L10", "L20", "L25A", SAFETY_POSSIBLE},
    {"L10", "L20", "15L", SAFETY_POSSIBLE},
    {"L10", NULL, "9", SAFETY_POSSIBLE},
    {NULL, "L10", "11", SAFETY_POSSIBLE},
    {"2104-10", "2104-20", "210499", SAFETY_POSSIBLE},
    {"21041", "21049", "2104-99", SAFETY_POSSIBLE},
    {"AB-C1", "AB-C9", "ABC99", SAFETY_POSSIBLE},
    /* Not on record. */
    {"L10", "L20", NULL, SAFETY_POSSIBLE},
    {"L10", "L20", "", SAFETY_POSSIBLE},
    {"L10", "L20", "  ", SAFETY_POSSIBLE},
    {"L10", "L20", "?", SAFETY_POSSIBLE},
    {"L", "M", "Unknown", SAFETY_POSSIBLE}, /* a word of the same runs as a number of letters */
    {"L", "M", "N/A", SAFETY_POSSIBLE},
    {"L", "M", "Z", SAFETY_NO},
};

START_TEST(numbers_as_people_write_them) {
	const struct safety_scope s = {.maker = "nordhjelm",
				       .serial_from = folded(written[_i].from),
				       .serial_to = folded(written[_i].to)};
	const struct safety_label l = {.maker = "nordhjelm", .serial = folded(written[_i].serial)};
	ck_assert_int_eq(hits(&s, &l), written[_i].hit);
}
END_TEST

/* What could find nothing, or not what it means, is told before it is stored. */
static const struct {
	const char *maker, *model, *from, *to, *serial, *entry;
} scope[] = {
    {"Nordhjelm", NULL, NULL, NULL, NULL, NULL},
    {"--", NULL, NULL, NULL, NULL, "maker"},
    {"\xe2\x80\x93 .", NULL, NULL, NULL, NULL, "maker"}, /* a dash beyond ASCII */
    {"\xd0\x96", NULL, NULL, NULL, NULL, NULL},
    {"3", "?", NULL, NULL, NULL, "model"},
    {"N", "H-1", "#", "99", NULL, "serial_from"},
    {"N", NULL, NULL, "--", NULL, "serial_to"},
    {"N", NULL, NULL, NULL, "...", "serials"},
    {"N", NULL, NULL, NULL, "K-7", NULL},
    {"N", NULL, "AB100", "99", NULL, "serial_to"},
    {"N", NULL, "AB100", "AB", NULL, "serial_to"},
    {"N", NULL, "AB", "AB100", NULL, "serial_to"},
    {"N", NULL, "2104-10", "2104-9", NULL, "serial_to"},
    {"N", NULL, "2104-9", "2104-10", NULL, NULL},
    {"N", NULL, "AB-100", "B 200", NULL, NULL},
    {"N", NULL, "K7", "K7", NULL, NULL},
    {"N", NULL, "K7", NULL, NULL, NULL},
    {"N", NULL, NULL, "99", NULL, NULL},
};

START_TEST(scopes_that_find_nothing) {
	const char *serial = folded(scope[_i].serial), *entry;
	const struct safety_scope s = {.maker = folded(scope[_i].maker),
				       .model = folded(scope[_i].model),
				       .serial_from = folded(scope[_i].from),
				       .serial_to = folded(scope[_i].to),
				       .serial = &serial,
				       .serial_count = serial != NULL};
	const char *flaw = safety_scope_flaw(&s, &entry);
	ck_assert_int_eq(flaw != NULL, scope[_i].entry != NULL);
	if (flaw) ck_assert_uint_gt(strlen(flaw), 20);
	ck_assert_pstr_eq(entry, scope[_i].entry);
}
END_TEST

START_TEST(each_serial_of_a_list_is_looked_at) {
	static const char *const serial[] = {"A 1", "--"};
	const struct safety_scope s = {.maker = "n", .serial = serial, .serial_count = 2};
	const char *entry;
	ck_assert_ptr_nonnull(safety_scope_flaw(&s, &entry));
	ck_assert_str_eq(entry, "serials");
}
END_TEST

START_TEST(months_the_wrong_way_round) {
	const char *entry;
	struct safety_scope s = {.maker = "n", .made_from = {2024, 3, 0}, .made_to = {2024, 3, 0}};
	ck_assert_ptr_null(safety_scope_flaw(&s, &entry));
	s.made_from.day = s.made_to.day = 5;
	ck_assert_ptr_null(safety_scope_flaw(&s, &entry));
	s.made_from.day = s.made_to.day = 0;
	s.made_to.month = 2;
	ck_assert_ptr_nonnull(strstr(safety_scope_flaw(&s, &entry), "month"));
	ck_assert_str_eq(entry, "made_to");
	s.made_to.year = 0;
	ck_assert_ptr_null(safety_scope_flaw(&s, &entry));
	s.made_from.year = 0;
	s.made_to.year = 2023;
	ck_assert_ptr_null(safety_scope_flaw(&s, &entry));
}
END_TEST

/* What is no name, or is spelled otherwise, lets nobody off. */
static const struct {
	const char *wanted, *entry;
	enum safety_hit hit;
} spelling[] = {
    {"Nordhjelm Gear", "NORDHJELM  gear ", SAFETY_HIT},
    {"S\xc3\xbc"
     "dwerk",
     "Sudwerk", SAFETY_HIT},
    {"Nordhjelm Gear", "Nordhjelm-Gear", SAFETY_POSSIBLE},
    {"Nordhjelm Gear", "NordhjelmGear", SAFETY_POSSIBLE},
    {"Nordhjelm Gear", "Nordhjelm\xe2\x80\x93Gear.", SAFETY_POSSIBLE},
    {"Nordhjelm Gear\xc2\xae", "Nordhjelm Gear", SAFETY_POSSIBLE},
    {"Nordhjelm", "Nordhjelm Gear", SAFETY_NO},
    {"Nordhjelm Gear", "Nordhjelm", SAFETY_NO},
    {"Nordhjelm", "Sudwerk", SAFETY_NO},
    {"Nordhjelm", NULL, SAFETY_POSSIBLE},
    {"Nordhjelm", "", SAFETY_POSSIBLE},
    {"Nordhjelm", "--", SAFETY_POSSIBLE},
    {"Nordhjelm", "unknown", SAFETY_POSSIBLE},
    {"Nordhjelm", "Not known", SAFETY_POSSIBLE},
    {"Nordhjelm", "n/a", SAFETY_POSSIBLE},
    {"Nordhjelm", "N.A.", SAFETY_POSSIBLE},
    {"Nordhjelm", "(none)", SAFETY_POSSIBLE},
    {"Nordhjelm", "not legible", SAFETY_POSSIBLE},
    {"Nordhjelm", "Illegible", SAFETY_POSSIBLE},
    {"Nordhjelm", "unreadable", SAFETY_POSSIBLE},
    {"Nordhjelm", "bad \xff", SAFETY_POSSIBLE}, /* no text at all */
    {"None", "none", SAFETY_HIT},               /* somebody's name all the same */
};

START_TEST(names_as_people_spell_them) {
	struct safety_scope s = {.maker = folded(spelling[_i].wanted)};
	struct safety_label l = {.maker = folded(spelling[_i].entry)};
	ck_assert_int_eq(hits(&s, &l), spelling[_i].hit);
	s = (struct safety_scope){.maker = "nordhjelm", .model = s.maker};
	l = (struct safety_label){.maker = "nordhjelm", .model = l.maker};
	ck_assert_int_eq(hits(&s, &l), spelling[_i].hit);
}
END_TEST

/* Whatever is asked, whatever is on record: one entry that differs lets it off; else one that
 * is missing makes it possible; else it is hit, and the reason names every entry. */
START_TEST(every_entry_in_every_way) {
	static const struct {
		const char *name, *asked, *agrees, *differs;
	} entry[] = {{"maker", "harrow", "HARROW", "Ostrow"},
		     {"model", "h1", "H\xef\xbc\x91", "H2"}, /* a full-width digit folds */
		     {"lot or serial", "k7", "K-07", "K8"}};
	const struct label_date made[WAYS] = {{0}, {2024, 2, 17}, {2024, 4, 0}};
	for (int n = 0; n < 8 * 81 * 16; n++) {
		int left = n;
		int asks[4] = {1, 0, 0, 0}, is[4], kind_asked, kind_agrees, hazard_asked, agrees;
		for (int i = 1; i < 4; i++) asks[i] = next(&left, 2);
		for (int i = 0; i < 4; i++) is[i] = next(&left, 3);
		kind_asked = next(&left, 2);
		kind_agrees = next(&left, 2);
		hazard_asked = next(&left, 2);
		agrees = next(&left, 2);
		const char *const one[] = {"k7"};
		struct safety_scope s = {.kind = kind_asked ? "hood" : NULL,
					 .hazard = hazard_asked ? "proximity" : NULL,
					 .maker = entry[0].asked,
					 .model = asks[1] ? entry[1].asked : NULL,
					 .serial = one,
					 .serial_count = (size_t)asks[2]};
		if (asks[3]) s.made_from = s.made_to = (struct label_date){2024, 2, 0};
		const char *value[3];
		for (int i = 0; i < 3; i++)
			value[i] = is[i] == UNKNOWN  ? NULL
				   : is[i] == AGREES ? entry[i].agrees
						     : entry[i].differs;
		const struct safety_label label = {.kind = kind_agrees ? "hood" : "gloves",
						   .hazard = agrees ? "proximity" : "structural",
						   .maker = value[0],
						   .model = value[1],
						   .serial = value[2],
						   .made = made[is[3]]};
		enum safety_hit wanted = SAFETY_HIT;
		for (int i = 0; i < 4; i++)
			if (asks[i] && is[i] == UNKNOWN) wanted = SAFETY_POSSIBLE;
		for (int i = 0; i < 4; i++)
			if (asks[i] && is[i] == DIFFERS) wanted = SAFETY_NO;
		if ((kind_asked && !kind_agrees) || (hazard_asked && !agrees)) wanted = SAFETY_NO;
		const char *reason;
		enum safety_hit hit = safety_scope_hits(&s, &label, &arena, &reason);
		ck_assert_msg(hit == wanted, "case %d: %s, not %s", n, safety_hit_word[hit],
			      safety_hit_word[wanted]);
		ck_assert_int_eq(reason == NULL, hit == SAFETY_NO);
		for (int i = 0; reason && i < 3; i++)
			ck_assert_msg(!asks[i] || strstr(reason, entry[i].name),
				      "case %d: \"%s\" lacks %s", n, reason, entry[i].name);
		if (reason && asks[3]) ck_assert_ptr_nonnull(strstr(reason, "manufacture"));
		arena_reset(&arena);
	}
	ck_assert(!arena_failed(&arena));
}
END_TEST

START_TEST(months_belong_to_both_ends) {
	static const struct {
		const char *from, *to, *made;
		enum safety_hit hit;
	} row[] = {
	    {"2024-02", "2024-04", "2024-01-31", SAFETY_NO},
	    {"2024-02", "2024-04", "2024-02", SAFETY_HIT},
	    {"2024-02", "2024-04", "2024-04-30", SAFETY_HIT},
	    {"2024-02", "2024-04", "2024-05", SAFETY_NO},
	    {"2024-02-20", NULL, "2024-02-01", SAFETY_HIT}, /* the month counts */
	    {"2024-02", NULL, "2030-01", SAFETY_HIT},
	    {"2024-02", NULL, "2023-12", SAFETY_NO},
	    {NULL, "2024-02", "1999-12", SAFETY_HIT},
	    {NULL, "2024-02", "2024-03", SAFETY_NO},
	    {NULL, "2024-02", NULL, SAFETY_POSSIBLE},
	};
	for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
		struct safety_scope s = {.maker = "m"};
		struct safety_label label = {.kind = "hood", .maker = "M"};
		const char *reason;
		label_date_parse(row[i].from, &s.made_from);
		label_date_parse(row[i].to, &s.made_to);
		label_date_parse(row[i].made, &label.made);
		ck_assert_int_eq(safety_scope_hits(&s, &label, &arena, &reason), row[i].hit);
	}
}
END_TEST

/* --- how far it is followed ----------------------------------------------------------------- */

/* Everything there is: it is let go only by what is named here. */
START_TEST(only_an_answer_that_counts_lets_go) {
	for (int n = 0; n < 5 * 2 * 2 * 2 * 5 * 5 * 2 * 2; n++) {
		int left = n;
		struct safety_case c = {.edition = 2};
		c.action = (enum safety_action)next(&left, 5);
		c.is_withdrawn = next(&left, 2);
		c.hit = (enum safety_hit)(SAFETY_POSSIBLE + next(&left, 2));
		c.is_retired = next(&left, 2);
		c.answer = (enum safety_answer)next(&left, 5);
		c.answered_action = (enum safety_action)next(&left, 5);
		c.answered_hit = (enum safety_hit)(SAFETY_POSSIBLE + next(&left, 2));
		c.answered_edition = 1 + left;
		bool same_action = c.action == c.answered_action;
		bool was_it = c.answered_edition == c.edition &&
			      !(c.hit == SAFETY_HIT && c.answered_hit == SAFETY_POSSIBLE);
		enum safety_state wanted =
		    c.action == SAFETY_INFORM ? SAFETY_INFORMED : SAFETY_LEFT;
		if (c.answer == SAFETY_ANSWER_NOT_AFFECTED && was_it) wanted = SAFETY_NOT_AFFECTED;
		if (c.answer == SAFETY_ANSWER_SENT && same_action) wanted = SAFETY_SENT;
		if (c.answer == SAFETY_ANSWER_DONE && same_action)
			wanted = c.action == SAFETY_STOP_USE ? SAFETY_OUT_OF_USE : SAFETY_DONE;
		if (c.is_withdrawn) wanted = SAFETY_WITHDRAWN;
		if (c.is_retired) wanted = SAFETY_RETIRED;
		enum safety_state state = safety_state_of(&c);
		ck_assert_msg(state == wanted, "case %d: %s, not %s", n, safety_state_word[state],
			      safety_state_word[wanted]);
	}
	for (int s = 0; s < SAFETY_STATE_COUNT; s++) {
		bool left = s == SAFETY_LEFT || s == SAFETY_SENT;
		ck_assert_int_eq(safety_state_is_left((enum safety_state)s), left);
		ck_assert_int_eq(safety_state_blocks((enum safety_state)s),
				 left || s == SAFETY_OUT_OF_USE);
	}
}
END_TEST

/* --- what follows for the component ------------------------------------------------------------
 */

static struct component_facts sound(const char *kind) {
	struct component_facts c = no_facts(hb, kind);
	c.in_service_on = on("2020-05-10");
	c.is_issued = true;
	c.issued_on = on("2020-05-10");
	for (int k = 0; k < INSPECTION_KIND_COUNT; k++) c.inspected_on[k] = on("2025-03-15");
	label_date_parse("2019-11", &c.made);
	return c;
}

static struct standing standing_of(const struct component_facts *c, struct duty_list *duties) {
	struct standing s;
	duty_list_make(duties, c, &p, &arena);
	standing_make(&s, c, duties, hb, &arena);
	return s;
}

START_TEST(each_action_holds_back) {
	static const enum safety_state blocking[] = {SAFETY_LEFT, SAFETY_SENT, SAFETY_OUT_OF_USE};
	for (int n = 0; n < SAFETY_INFORM * 3 * 2; n++) {
		struct component_facts c = sound("coat_shell");
		struct open_safety_notice notice = {.id = 7,
						    .number = "S-2026-0007",
						    .title = "Seams",
						    .action = (enum safety_action)(n / 6),
						    .state = blocking[n % 3],
						    .hit = n / 3 % 2 ? SAFETY_HIT : SAFETY_POSSIBLE,
						    .reason = "Not on record: model.",
						    .asked_on = on("2025-06-01")};
		struct duty_list duties;
		c.safety_notice = &notice;
		c.safety_notice_count = 1;
		struct standing s = standing_of(&c, &duties);
		bool waits = notice.action == SAFETY_INSPECT && notice.state == SAFETY_LEFT;
		ck_assert_uint_eq(s.blocker_count, 1);
		ck_assert_str_eq(s.blocker[0].code, "safety_notice");
		ck_assert_int_eq(s.blocker[0].safety_notice, 7);
		ck_assert_int_eq(s.state, waits ? STATE_AWAITING_INSPECTION : STATE_OUT_OF_SERVICE);
		ck_assert_int_eq(s.ready_until, DAY_NONE);
		ck_assert_ptr_nonnull(
		    strstr(s.blocker[0].text, safety_action_label[notice.action]));
		ck_assert_int_eq(strstr(s.blocker[0].text, "may concern it") != NULL,
				 notice.hit == SAFETY_POSSIBLE);
		ck_assert_int_eq(strstr(s.blocker[0].text, notice.reason) != NULL,
				 notice.hit == SAFETY_POSSIBLE);
		const struct duty *d = duty_list_find(&duties, DUTY_ADVANCED_INSPECTION);
		ck_assert_int_eq(strcmp(d->rule, "safety_notice") == 0, waits);
	}
}
END_TEST

/* Due since it is asked, until an inspection of a later day; a liner is opened for it. */
START_TEST(the_inspection_asked_for_is_due) {
	struct open_safety_notice notice = {.number = "S-2026-0007",
					    .title = "Seams",
					    .action = SAFETY_INSPECT,
					    .state = SAFETY_LEFT,
					    .hit = SAFETY_HIT,
					    .reason = "",
					    .asked_on = on("2025-06-01")};
	static const struct {
		const char *kind;
		enum inspection_kind by;
		enum duty_code duty;
	} row[] = {{"coat_shell", INSPECTION_ADVANCED, DUTY_ADVANCED_INSPECTION},
		   {"coat_liner", INSPECTION_LINER, DUTY_LINER_INSPECTION}};
	for (size_t i = 0; i < 2; i++) {
		struct component_facts c = sound(row[i].kind);
		struct duty_list duties;
		c.safety_notice = &notice;
		c.safety_notice_count = 1;
		standing_of(&c, &duties);
		const struct duty *d = duty_list_find(&duties, row[i].duty);
		ck_assert_str_eq(d->rule, "safety_notice");
		ck_assert_int_eq(d->due_on, notice.asked_on);
		ck_assert_str_eq(d->fact_on, "2025-06-01");
		ck_assert_ptr_nonnull(strstr(d->reason, "S-2026-0007"));
		ck_assert_ptr_nonnull(duty_source(&p, d->rule));
		c.inspected_on[row[i].by] = notice.asked_on;
		standing_of(&c, &duties);
		ck_assert_str_eq(duty_list_find(&duties, row[i].duty)->rule, "safety_notice");
		c.inspected_on[row[i].by] = notice.asked_on + 1;
		struct standing s = standing_of(&c, &duties);
		ck_assert_str_ne(duty_list_find(&duties, row[i].duty)->rule, "safety_notice");
		ck_assert_uint_eq(s.blocker_count, 1);
	}
}
END_TEST

Suite *rules_safety_suite(void) {
	Suite *suite = suite_create("rules/safety_notice");
	TCase *c = tcase_create("all");
	tcase_add_checked_fixture(c, begin, end);
	tcase_add_test(c, numbers_in_their_natural_order);
	tcase_add_test(c, ranges_and_lists_of_numbers);
	tcase_add_loop_test(c, numbers_as_people_write_them, 0, sizeof written / sizeof *written);
	tcase_add_loop_test(c, scopes_that_find_nothing, 0, sizeof scope / sizeof *scope);
	tcase_add_test(c, each_serial_of_a_list_is_looked_at);
	tcase_add_test(c, months_the_wrong_way_round);
	tcase_add_loop_test(c, names_as_people_spell_them, 0, sizeof spelling / sizeof *spelling);
	tcase_add_test(c, every_entry_in_every_way);
	tcase_add_test(c, months_belong_to_both_ends);
	tcase_add_test(c, only_an_answer_that_counts_lets_go);
	tcase_add_test(c, each_action_holds_back);
	tcase_add_test(c, the_inspection_asked_for_is_due);
	suite_add_tcase(suite, c);
	return suite;
}
