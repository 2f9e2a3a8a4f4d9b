/*
 * What pages with duties share: the spans of days that duties are counted in, as
 * values of the filter "when" of /duties, so that a number leads to just the duties
 * it counts; and where their rules come from.
 */
#ifndef PEGWARDEN_HANDLERS_DUTIES_H
#define PEGWARDEN_HANDLERS_DUTIES_H

#include "base/day.h"
#include "base/doc.h"
#include "http/request.h"

/* Sets when_overdue (before today), when_30 and when_365 (from today on). */
void duty_spans(struct doc *d, day today);

/* Sets "source" of each row that has a "rule": where the rule comes from. */
enum err duty_sources(struct request *rq, struct doc *rows) MUST_CHECK;

#define RISK_REVIEWED_ON "risk_reviewed_on" /* a setting */
/* Sets risk_reviewed_on, risk_review_due_on (null: not on record) and is_risk_review_overdue, which
 * is told to those who see the rules. */
enum err risk_review_document(struct request *rq, struct doc *d) MUST_CHECK;

/* Sets own_rules_name, as the department calls its rules, and rule_set_label: by what rules
 * the duties are dated. For parts/rules-name. */
enum err duty_rules_named(struct request *rq, struct doc *d) MUST_CHECK;

#endif
