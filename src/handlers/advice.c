#include "handlers/advice.h"

#include "base/text.h"
#include "handlers/app.h"
#include "rules/advice.h"
#include "rules/duty.h"
#include "store/advice.h"
#include "store/handbook.h"
#include "store/setting.h"

static int64_t cents(const struct doc *row, const char *key) {
	const struct doc *d = doc_get(row, key);
	return d && d->type == DOC_INT ? d->integer : -1;
}

static enum err share_percent(struct request *rq, int *percent) {
	const char *text;
	int64_t value = ADVICE_SHARE_DEFAULT;
	enum err err = setting_text(request_store(rq), "repair_share_percent", NULL, &rq->arena,
				    &text, &rq->fault);
	if (err == ERR_OK && text && !text_to_int(text, 1, 100, &value))
		err = request_fail(rq, ERR_CORRUPT,
				   "The setting repair_share_percent is no "
				   "percentage. Set it again.");
	*percent = (int)value;
	return err;
}

/* The age at which such a part is retired; 0: neither the program nor the maker names one. */
static enum err limit_months(struct request *rq, const struct doc *row, int *months) {
	const struct handbook *hb = app_handbook(request_app(rq));
	struct program *p;
	enum err err = program_load(request_store(rq), hb, &rq->arena, &p, &rq->fault);
	if (err != ERR_OK) return err;
	const char *rule;
	*months = duty_life_months(p, handbook_kind(hb, doc_text(row, "kind")),
				   doc_int(row, "reflective") != 0, doc_int(row, "cbrn") != 0,
				   (int)doc_int(row, "life_months"), &rule);
	return ERR_OK;
}

static void show_rule(struct doc *rules, const struct advice_rule *r) {
	struct doc *m = doc_add_map(rules);
	doc_set_text(m, "outcome", advice_word[r->outcome]);
	doc_set_text(m, "label", advice_label[r->outcome]);
	doc_set_text(m, "arithmetic", r->arithmetic);
	doc_set_text(m, "source", r->source);
}

enum err advice_document(struct request *rq, struct doc *page, int64_t component,
			 int64_t quote_cents) {
	struct doc *row = NULL;
	struct advice_facts facts = {.quote_cents = quote_cents, .today = rq->today};
	struct advice advice;
	enum err err =
	    advice_row(request_store(rq), component, rq->today, &rq->arena, &row, &rq->fault);
	if (err == ERR_OK) err = share_percent(rq, &facts.share_percent);
	if (err == ERR_OK) err = limit_months(rq, row, &facts.limit_months);
	if (err != ERR_OK) return err;
	facts.paid_cents = cents(row, "paid_cents");
	facts.replacement_cents = cents(row, "replacement_cents");
	facts.repaired_cents = doc_int(row, "repaired_cents");
	facts.unpriced = doc_int(row, "unpriced");
	label_date_parse(doc_text(row, "made"), &facts.made);
	advice_make(&advice, &facts, &rq->arena);
	/* Where nothing was mended, quoted or priced, there is nothing to weigh. */
	doc_set_bool(page, "has_advice",
		     quote_cents >= 0 || facts.repaired_cents || facts.unpriced ||
			 facts.replacement_cents >= 0);
	struct doc *d = doc_set_map(page, "advice");
	doc_set_text(d, "outcome", advice_word[advice.outcome]);
	doc_set_text(d, "label", advice_label[advice.outcome]);
	struct doc *rules = doc_set_list(d, "rules");
	show_rule(rules, &advice.value);
	show_rule(rules, &advice.share);
	return ERR_OK;
}
