#include "handlers/performer.h"

#include "base/text.h"
#include "handlers/words.h"
#include "rules/verdict.h"
#include "store/member.h"
#include "store/provider.h"
#include "store/setting.h"

static enum err department_is_verified(struct store *st, struct arena *a, bool *is,
				       struct fault *f) {
	const char *value;
	enum err err = setting_text(st, VERIFIED_ORGANIZATION, "no", a, &value, f);
	*is = err == ERR_OK && text_equal(value, "yes");
	return err;
}

enum err performer_member(struct store *st, int64_t member, day on, struct arena *a,
			  struct performer *p, struct fault *f) {
	struct doc *row = NULL;
	bool verified;
	*p = (struct performer){0};
	enum err err = member_get(st, member, a, &row, f);
	if (err == ERR_OK) err = department_is_verified(st, a, &verified, f);
	if (err != ERR_OK) return err;
	const char *until = doc_text(row, "trained_until");
	p->name =
	    arena_printf(a, "%s %s", doc_text(row, "given_name"), doc_text(row, "family_name"));
	p->class = performer_of_department(day_parse(until), verified, on);
	if (p->class != PERFORMER_MEMBER) return ERR_OK;
	p->ended = until
		       ? arena_printf(a, "The training as an inspector was valid until %s.", until)
		       : "Until when the training as an inspector is valid is not on record.";
	return ERR_OK;
}

enum err performer_provider(struct store *st, const struct doc *provider, day on, struct arena *a,
			    struct performer *p, struct fault *f) {
	const char *until = doc_text(provider, "verified_until");
	struct provider_standing standing = {.class_word = doc_text(provider, "class"),
					     .in_house = doc_bool(provider, "in_house"),
					     .verified_until = day_parse(until)};
	bool verified;
	*p = (struct performer){.name = doc_text(provider, "name")};
	enum err err = department_is_verified(st, a, &verified, f);
	if (err != ERR_OK) return err;
	p->is_classless = !performer_of_provider(&standing, verified, on, &p->class);
	if (p->is_classless)
		p->ended = arena_printf(a,
					"%s was verified until %s. Ask for the new certificate and "
					"record its day first, or choose another provider.",
					p->name, until ? until : "no day");
	return ERR_OK;
}

enum err performer_find(struct store *st, int64_t provider, int64_t member, day on, struct arena *a,
			struct performer *p, struct fault *f) {
	struct doc *row = NULL;
	if (!provider) return performer_member(st, member, on, a, p, f);
	enum err err = provider_get(st, provider, a, &row, f);
	if (err == ERR_OK && !row)
		err = fault_set(f, ERR_INVALID, "provider", "Choose a provider from the list.");
	return err == ERR_OK ? performer_provider(st, row, on, a, p, f) : err;
}

const char *performer_refusal(const struct performer *p, enum work work, struct arena *a) {
	if (p->is_classless) return p->ended;
	const char *no = qualification_refusal(p->name, p->class, work, a);
	return no && p->ended ? arena_printf(a, "%s %s", no, p->ended) : no;
}

const char *performer_word(const struct performer *p) {
	return p->is_classless ? NULL : performer_class_word[p->class];
}

enum repair_class performer_repair(const struct doc *item) {
	int word = word_find(repair_class_word, REPAIR_CLASS_COUNT, doc_text(item, "repair_class"));
	if (word < 0) return REPAIR_ADVANCED;
	struct subject_defect d = {.repair_class = (enum repair_class)word,
				   .basic_up_to_mm = (int)doc_int(item, "basic_up_to_mm")};
	return finding_repair_class(&d, (int)doc_int(item, "length_mm"));
}

enum work performer_work(const struct doc *item) {
	return work_of_outcome(doc_text(item, "outcome"), performer_repair(item));
}

static void add_class(struct doc *list, enum performer_class class) {
	struct doc *m = doc_add_map(list), *works = doc_set_list(m, "works");
	doc_set_text(m, "word", performer_class_word[class]);
	doc_set_text(m, "label", performer_class_label[class]);
	doc_set_text(m, "rule", qualification_rule(class));
	for (int w = 0; w < WORK_COUNT; w++) {
		const struct qualification *q = qualification_of(class, (enum work)w);
		struct doc *row = doc_add_map(works);
		doc_set_text(row, "label", work_label[w]);
		doc_set_bool(row, "allowed", q->allowed);
		doc_set_text(row, "source", q->source);
		doc_set_text(row, "confidence", q->confidence);
		doc_set_text(row, "confidence_words",
			     choice_label(confidence_choice, q->confidence));
	}
}

static void add_work(struct doc *list, enum work work) {
	struct doc *m = doc_add_map(list), *cells = doc_set_list(m, "cells");
	doc_set_text(m, "word", work_word[work]);
	doc_set_text(m, "label", work_label[work]);
	for (int c = 0; c < PERFORMER_CLASS_COUNT; c++) {
		struct doc *cell = doc_add_map(cells);
		doc_set_text(cell, "class_label", performer_class_label[c]);
		doc_set_bool(cell, "allowed",
			     qualification_of((enum performer_class)c, work)->allowed);
	}
}

enum err performer_table(struct store *st, struct doc *page, struct fault *f) {
	bool verified;
	struct doc *who = doc_set_map(page, "who_may");
	enum err err = department_is_verified(st, page->arena, &verified, f);
	if (err != ERR_OK) return err;
	doc_set_text(who, "department_label",
		     performer_class_label[verified ? PERFORMER_VERIFIED_ORGANIZATION
						    : PERFORMER_TRAINED_ORGANIZATION]);
	struct doc *works = doc_set_list(who, "works"), *classes = doc_set_list(who, "classes");
	for (int w = 0; w < WORK_COUNT; w++) add_work(works, (enum work)w);
	for (int c = 0; c < PERFORMER_CLASS_COUNT; c++) add_class(classes, (enum performer_class)c);
	return ERR_OK;
}

void performer_remark(struct doc *row) {
	int word = word_find(performer_class_word, PERFORMER_CLASS_COUNT,
			     doc_text(row, "performer_class"));
	doc_set_text(row, "performer_remark", word < 0 ? NULL : performer_class_remark[word]);
}

void performer_remarks(const struct doc *list) {
	for (struct doc *row = list->first; row; row = row->next) performer_remark(row);
}
