#include "handlers/import_work.h"

#include <stdio.h>
#include <stdlib.h>

#include "base/limits.h"
#include "handlers/import.h"
#include "store/import_run.h"

/* One try or run: what it needs beside the change. */
struct work {
	struct import_job job;
	const char *name;
	struct buf table;
	struct doc *report;
	void *context; /* of the change */
};

static enum err run_table(struct change *c, struct store *st) {
	const struct work *w = c->context;
	return import_table(c, st, &w->job, w->name, buf_text(&w->table), w->table.length,
			    w->report);
}

/* Tries the whole import and takes it back, so that the preview says what storing does. */
static enum err check(struct change *c, struct store *st, int64_t id, struct work *w) {
	enum err err = change_try(c, st, run_table);
	if (err != ERR_OK && err != ERR_INVALID) return err;
	fault_clear(&c->fault);
	struct arena *a = w->report->arena;
	struct import_check result = {.state = err == ERR_OK ? "ready" : "faulty",
				      .faults = doc_json(doc_get(w->report, "faults"), a),
				      .preview = doc_json(doc_get(w->report, "preview"), a),
				      .rows = doc_int(w->report, "rows"),
				      .faults_total = doc_int(w->report, "fault_count")};
	if (!result.faults || !result.preview) return fault_memory(&c->fault);
	return import_run_checked(st, id, &result, &c->fault);
}

static enum err store_table(struct change *c, struct store *st, int64_t id, struct work *w) {
	enum err err = run_table(c, st);
	if (err == ERR_INVALID) fault_clear(&c->fault);
	if (err == ERR_INVALID)
		return fault_set(&c->fault, err, NULL,
				 "The records changed since the table was checked, and it does not "
				 "fit any more. Give it again.");
	if (err != ERR_OK) return err;
	return import_run_done(st, id, doc_int(w->report, "changed"), &c->fault);
}

static void show_percent(void *self, int64_t done, int64_t total) {
	struct import_progress *p = self;
	p->percent = total ? (int)(done * 100 / total) : 100;
}

static enum err work(struct change *c, struct store *st, int64_t id, day today,
		     struct import_progress *progress, struct arena *a) {
	struct doc *row = NULL;
	struct work w = {.report = doc_map(a)};
	enum err err = import_run_get(st, id, a, &row, &c->fault);
	/* Its request was undone, or it was worked on already. */
	if (err != ERR_OK || !row || !doc_bool(row, "is_working")) return err;
	w.name = doc_text(row, "filename");
	w.job = (struct import_job){.kind = doc_text(row, "kind"),
				    .date_order = doc_text(row, "date_order"),
				    .today = today,
				    .update = true,
				    .progress = progress ? show_percent : NULL,
				    .progress_self = progress};
	buf_init(&w.table, LIMIT_IMPORT_BYTES_MAX);
	err = w.report ? import_run_content(st, id, &w.table, &c->fault) : fault_memory(&c->fault);
	void *kept = c->context;
	c->context = &w;
	if (err == ERR_OK)
		err = text_equal(doc_text(row, "state"), "checking") ? check(c, st, id, &w)
								     : store_table(c, st, id, &w);
	c->context = kept;
	buf_release(&w.table);
	return err;
}

enum err import_work_now(struct change *c, struct store *st, int64_t id, day today) {
	struct arena a;
	arena_init(&a, LIMIT_ARENA_BYTES_MAX);
	enum err err = work(c, st, id, today, NULL, &a);
	arena_clear(&a);
	return err;
}

/* --- as a change of its own --- */

struct later {
	struct change change;
	struct app *app;
	int64_t id;
	bool was_tried, gives_up;
	char why[sizeof((struct fault *)0)->message];
	char actor[LIMIT_LINE_CHARS_MAX];
};

static enum err apply_later(struct change *c, struct store *st) {
	struct later *l = c->context;
	struct import_progress *progress = app_import_progress(l->app);
	struct arena a;
	if (l->gives_up) return import_run_failed(st, l->id, l->why, &c->fault);
	arena_init(&a, LIMIT_ARENA_BYTES_MAX);
	progress->percent = 0;
	progress->id = l->id;
	enum err err = work(c, st, l->id, app_today(l->app, c->author.now_s), progress, &a);
	arena_clear(&a);
	return err;
}

/* What was undone is told on the page of the import. */
static void later_is_done(struct change *c, enum err outcome) {
	struct later *l = c->context;
	app_import_progress(l->app)->id = 0;
	if (outcome != ERR_OK)
		fprintf(stderr, "pegwarden: import %lld: %s\n", (long long)l->id, c->fault.message);
	/* What is not of the table's making, such as another change of the same commit that the
	 * disk refused, may be over by now. */
	if (outcome != ERR_OK && outcome != ERR_INVALID && !l->was_tried) {
		l->was_tried = true;
		fault_clear(&c->fault);
		if (app_submit(l->app, c) == ERR_OK) return;
	}
	if (outcome != ERR_OK && !l->gives_up) {
		l->gives_up = true;
		snprintf(l->why, sizeof l->why, "%s", c->fault.message);
		fault_clear(&c->fault);
		if (app_submit(l->app, c) == ERR_OK) return;
	}
	free(l);
}

enum err import_work_later(struct app *app, int64_t id, const struct author *author,
			   struct fault *f) {
	struct later *l = calloc(1, sizeof *l);
	if (!l) return fault_memory(f);
	l->app = app;
	l->id = id;
	snprintf(l->actor, sizeof l->actor, "%s", author->actor);
	l->change = (struct change){.apply = apply_later,
				    .done = later_is_done,
				    .context = l,
				    .author = {author->account, l->actor, "import", author->now_s}};
	enum err err = app_submit(app, &l->change);
	if (err == ERR_OK) return err;
	free(l);
	return fault_set(f, err, NULL, "Too much waits to be stored. Try again in a minute.");
}

/* In the name of whoever asked for what is being done. */
static enum err resume_one(struct app *app, struct store *st, int64_t id, struct arena *a,
			   struct fault *f) {
	struct doc *row = NULL;
	enum err err = import_run_get(st, id, a, &row, f);
	if (err != ERR_OK || !row) return err;
	struct author author = {doc_int(row, "wanted_by"), doc_text(row, "wanted_by_actor"),
				"import", app_now(app)};
	return import_work_later(app, id, &author, f);
}

enum err import_work_resume(struct app *app, struct fault *f) {
	struct arena a;
	struct store *st;
	enum err err = store_pool_take(app_readers(app), &st, f);
	if (err != ERR_OK) return err;
	arena_init(&a, LIMIT_ARENA_BYTES_MAX);
	struct doc *list = doc_list(&a);
	err = import_run_unfinished(st, &a, list, f);
	for (const struct doc *run = err == ERR_OK ? list->first : NULL; run && err == ERR_OK;
	     run = run->next)
		err = resume_one(app, st, doc_int(run, "id"), &a, f);
	arena_clear(&a);
	store_pool_give(app_readers(app), st);
	return err;
}

int import_work_percent(struct app *app, int64_t id) {
	const struct import_progress *p = app_import_progress(app);
	return p->id == id ? p->percent : -1;
}
