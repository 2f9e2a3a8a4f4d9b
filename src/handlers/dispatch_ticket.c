/*
 * The ticket as it leaves the house: to print, with its code, and as a table for the provider.
 */
#include "base/csv.h"
#include "base/limits.h"
#include "handlers/app.h"
#include "handlers/dispatch.h"
#include "handlers/photos.h"
#include "handlers/routes.h"
#include "outbound/symbol.h"
#include "store/photo.h"
#include "store/setting.h"

static enum err dispatch_ticket(struct request *rq) {
	enum err err = dispatch_show(rq);
	if (err != ERR_OK) return err;
	const char *number = doc_text(doc_get(rq->doc, "dispatch"), "number"), *base = NULL;
	err = setting_text(request_store(rq), "public_address", "", &rq->arena, &base, &rq->fault);
	if (err != ERR_OK) return err;
	struct doc *photos = doc_list(&rq->arena);
	if (!photos) return ERR_MEMORY;
	err = photos_of_dispatch(request_store(rq), rq->id[0], &rq->arena, photos, &rq->fault);
	if (err != ERR_OK) return err;
	for (struct doc *item = doc_get(rq->doc, "items")->first; item; item = item->next)
		photos_show(item, photos, &(struct photo_of){.finding = doc_int(item, "finding")});
	const char *text =
	    *base ? arena_printf(&rq->arena, "%s/dispatches/%lld", base, (long long)rq->id[0])
		  : number;
	doc_set_text(rq->doc, "qr_text", text);
	return symbol_make(SYMBOLOGY_QR, text, doc_set_map(rq->doc, "qr"), &rq->fault);
}

static enum err ticket_csv(struct request *rq) {
	static const char *const key[] = {
	    "number",        "tag",          "serial", "kind_label",   "maker",
	    "model",         "size",         "made",   "defect_label", "zone_label",
	    "face",          "side",         "place",  "length_mm",    "severity",
	    "outcome_label", "repair_label", "note",   "contaminated", NULL};
	struct doc *row, *items = doc_list(&rq->arena);
	enum err err = dispatch_load(rq, &row, items);
	if (err != ERR_OK) return err;
	dispatch_label_repairs(items);
	struct buf b;
	buf_init(&b, LIMIT_PAGE_BYTES_MAX);
	csv_write_cell(&b, "ticket");
	for (const char *const *k = key; *k; k++) {
		csv_write_comma(&b);
		csv_write_cell(&b, *k);
	}
	csv_write_end(&b);
	for (const struct doc *i = items->first; i; i = i->next) {
		csv_write_guarded(&b, doc_text(row, "number"));
		for (const char *const *k = key; *k; k++) {
			const struct doc *d = doc_get(i, *k);
			csv_write_comma(&b);
			if (d && d->type == DOC_INT) buf_add_int(&b, d->integer);
			else csv_write_guarded(&b, doc_text(i, *k));
		}
		csv_write_end(&b);
	}
	return request_csv(rq, &b, arena_printf(&rq->arena, "%s.csv", doc_text(row, "number")));
}

static const struct route route[] = {
    {METHOD_GET, "/dispatches/:id/ticket", ROLE_INSPECTOR, RUN_READ, .handle = dispatch_ticket,
     .template_name = "dispatch-ticket", .summary = "The ticket to print, with its code"},
    {METHOD_GET, "/dispatches/:id/ticket.csv", ROLE_INSPECTOR, RUN_READ, .handle = ticket_csv,
     .summary = "The ticket as CSV for the provider"},
};
const struct route_table dispatch_ticket_routes = {route, sizeof route / sizeof *route};
