#include "verbs/desk.h"

#include <time.h>

#include "base/limits.h"
#include "handlers/import.h"
#include "store/setting.h"

static void progress(void *self, int64_t done, int64_t total) {
	(void)self;
	show_progress(done, total);
}

int verb_import(const struct options *o) {
	struct fault f = {0};
	struct desk d;
	struct arena a;
	const char *zone = "UTC";
	arena_init(&a, LIMIT_ARENA_BLOCK_BYTES);
	struct import_job job = {.kind = o->kind,
				 .date_order = o->date_order,
				 .dry_run = o->dry_run,
				 .update = o->update,
				 .file = o->rest,
				 .file_count = o->rest_count,
				 .progress = progress};
	enum err err = desk_open(&d, o, &f);
	if (err == ERR_OK) err = setting_text(d.store, "time_zone", "UTC", &a, &zone, &f);
	job.today = instant_day_in_zone((int64_t)time(NULL), zone);
	if (err == ERR_OK) err = import_files(d.store, &d.key, &job, &f);
	desk_close(&d);
	arena_clear(&a);
	return err == ERR_OK ? 0 : verb_failed(&f);
}
