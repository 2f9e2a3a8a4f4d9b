#include "store/duty_rows.h"

#include "store/list.h"
#include "store/price.h"

/* ?2 is "when": due by that day, due in the span "DAY..DAY", or "none": cannot be dated. */
#define DUTY_WHERE                                                                                 \
	" FROM duty d JOIN component c ON c.id = d.component_id"                                   \
	" JOIN component_kind k ON k.code = c.kind JOIN duty_kind y ON y.code = d.duty"            \
	" JOIN station s ON s.id = c.station_id"                                                   \
	" WHERE (?1 IS NULL OR c.search_key LIKE ?1 ESCAPE '\\')"                                  \
	" AND (?2 IS NULL OR CASE WHEN ?2 = 'none' THEN d.due_on IS NULL"                          \
	"  WHEN length(?2) > 10 THEN d.due_on BETWEEN substr(?2, 1, 10) AND substr(?2, 13)"        \
	"  ELSE d.due_on <= ?2 END)"                                                               \
	" AND (?3 IS NULL OR d.duty = ?3) AND (?4 IS NULL OR c.station_id = ?4)"                   \
	" AND (?5 IS NULL OR c.kind = ?5)"
#define DUTY_ROWS(order)                                                                           \
	"SELECT c.id AS component, c.tag, k.label AS kind_label, s.code AS station_code, d.duty,"  \
	" y.label AS duty_label, d.due_on, d.rule, d.fact, d.fact_on, d.reason, "                  \
	"c.cost_cents" DUTY_WHERE " ORDER BY " order " LIMIT ?6 OFFSET ?7"
/* Filters combine freely; the usual one, by day, is a range of the index. */
SQL_SCAN(duties_count, "SELECT count(*) AS total" DUTY_WHERE);
SQL_SCAN(duties_by_day, DUTY_ROWS("d.due_on IS NULL, d.due_on, c.tag"));
SQL_SCAN(duties_by_tag, DUTY_ROWS("c.tag, d.due_on"));
SQL_SCAN(duties_by_station, DUTY_ROWS("s.code, d.due_on, c.tag"));

const struct list_source duty_list_source = {
    .count = &duties_count,
    .filter = {"when", "duty", "station", "kind"},
    .sort = {{"day", "Due day", &duties_by_day},
	     {"tag", "Tag", &duties_by_tag},
	     {"station", "Station", &duties_by_station}},
};

SQL_SCAN(duty_horizon, /* of the kinds of duty */
	 "SELECT k.code AS duty, k.label AS duty_label,"
	 " (SELECT count(*) FROM duty d WHERE d.duty = k.code AND d.due_on < ?1) AS overdue,"
	 " (SELECT count(*) FROM duty d WHERE d.duty = k.code AND d.due_on BETWEEN ?1 AND"
	 "  date(?1, '+30 days')) AS days_30,"
	 " (SELECT count(*) FROM duty d WHERE d.duty = k.code AND d.due_on BETWEEN ?1 AND"
	 "  date(?1, '+365 days')) AS days_365,"
	 " (SELECT count(*) FROM duty d WHERE d.duty = k.code AND d.due_on IS NULL) AS undated"
	 " FROM duty_kind k WHERE ?1 IS NOT NULL ORDER BY k.position");
/* At the replacement price valid today where there is one, else at the price once paid. */
SQL(retirement_quarters,
    "SELECT strftime('%Y', due_on) || ' Q' || ((strftime('%m', due_on) + 2) / 3) AS quarter,"
    " min(due_on) || '..' || max(due_on) AS span, count(*) AS total,"
    " sum(new_cents IS NOT NULL) AS at_replacement,"
    " sum(new_cents IS NULL AND paid_cents IS NOT NULL) AS at_paid,"
    " sum(coalesce(new_cents, paid_cents, 0)) AS cost_cents,"
    " sum(coalesce(new_cents, paid_cents) IS NULL) AS unknown_cost"
    " FROM (SELECT d.due_on, c.cost_cents AS paid_cents, " PRICE_OF_NEW(
	"?1") " AS new_cents"
	      "  FROM duty d JOIN component c ON c.id = d.component_id"
	      "  WHERE d.due_on BETWEEN ?1 AND date(?1, '+365 days') AND d.duty = 'retirement')"
	      " GROUP BY 1 ORDER BY 1");

SQL_SCAN(duties_by_kind, "SELECT duty, count(*) AS total FROM duty GROUP BY duty");

enum err duty_counts(struct store *st, struct arena *a, struct doc *list, struct fault *f) {
	return store_list(st, &duties_by_kind, a, list, f, "");
}

enum err duty_summary(struct store *st, day today, struct arena *a, struct doc *list,
		      struct fault *f) {
	return store_list(st, &duty_horizon, a, list, f, "d", today);
}

enum err duty_retirements(struct store *st, day today, struct arena *a, struct doc *list,
			  struct fault *f) {
	return store_list(st, &retirement_quarters, a, list, f, "d", today);
}
