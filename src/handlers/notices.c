/*
 * Notices: what was mailed to whom, what waits, what failed and why.
 */
#include "handlers/app.h"
#include "handlers/list.h"
#include "handlers/routes.h"
#include "store/notice.h"

static const struct choice mail_state[] = {
    {"waiting", "Waiting"}, {"sent", "Sent"}, {"failed", "Failed"}, {NULL, NULL}};
static const struct list_column column[] = {
    {"recipient", "recipient"},   {"subject", "subject"},
    {"state", "state"},           {"notice_count", "notices"},
    {"created_at", "created_at"}, {"sent_at", "sent_at"},
    {"last_error", "error"},      {NULL, NULL}};
static const struct list_page page = {.path = "/notices",
				      .title = "Reminders sent",
				      .source = &mail_list,
				      .filter = {{.label = "State", .choice = mail_state}},
				      .column = column,
				      .rows = 20}; /* with the words of each mail */

static enum err notice_index(struct request *rq) { return list_answer(rq, &page); }
static enum err notice_csv(struct request *rq) { return list_export(rq, &page); }

static enum err notice_retry(struct request *rq) {
	enum err err = mail_retry(request_store(rq), rq->id[0], &rq->fault);
	if (err == ERR_OK) request_go(rq, false, "/notices");
	return err;
}

static const char *const list_query[] = {LIST_QUERY, "state", NULL};

static const struct route route[] = {
    {METHOD_GET, "/notices", ROLE_OFFICER, RUN_READ, .handle = notice_index,
     .template_name = "notices", .query = list_query,
     .summary = "Reminders and the mail they went by"},
    {METHOD_GET, "/notices.csv", ROLE_OFFICER, RUN_READ, .handle = notice_csv, .query = list_query,
     .summary = "The list of notices as CSV"},
    {METHOD_POST, "/notices/:id/retry", ROLE_OFFICER, RUN_CHANGE, .handle = notice_retry,
     .summary = "Try a mail again that failed"},
};
const struct route_table notice_routes = {route, sizeof route / sizeof *route};
