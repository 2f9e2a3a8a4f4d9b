#include "verbs/desk.h"

#include <stdio.h>
#include <time.h>

#include "base/limits.h"
#include "outbound/post.h"
#include "store/notice.h"
#include "store/setting.h"

static enum err desk_office_change(void *self, struct change *c) {
	struct desk *d = self;
	return store_change(d->store, &d->key, c);
}

static enum err desk_office_take(void *self, struct store **st, struct fault *f) {
	(void)f;
	*st = ((struct desk *)self)->store;
	return ERR_OK;
}

static void desk_office_give(void *self, struct store *st) { (void)self, (void)st; }

static enum err show_pending(struct desk *d, day today, struct fault *f) {
	struct arena a;
	arena_init(&a, LIMIT_ARENA_BYTES_MAX);
	struct doc *list = doc_list(&a);
	enum err err = notices_pending(d->store, today, &a, list, f);
	for (const struct doc *n = err == ERR_OK ? list->first : NULL; n; n = n->next)
		printf("%s: %s of %s, %s, %s\n", doc_text(n, "recipient"),
		       doc_text(n, "duty_label"), doc_text(n, "tag"), doc_text(n, "due_on"),
		       doc_text(n, "threshold"));
	arena_clear(&a);
	return err;
}

int verb_notify(const struct options *o) {
	struct fault f = {0};
	struct desk d;
	struct arena a;
	const char *zone = "UTC";
	int64_t now_s = (int64_t)time(NULL), count = 0, sent = 0, failed = 0;
	arena_init(&a, 65536);
	enum err err = desk_open(&d, o, &f);
	struct post_office office = {&d, desk_office_change, desk_office_take, desk_office_give};
	if (err == ERR_OK) err = setting_text(d.store, "time_zone", "UTC", &a, &zone, &f);
	day today = instant_day_in_zone(now_s, zone);
	if (err == ERR_OK && o->dry_run) err = show_pending(&d, today, &f);
	if (err == ERR_OK && !o->dry_run) err = post_notices(&office, today, now_s, &count, &f);
	if (err == ERR_OK && !o->dry_run) err = post_deliver(&office, now_s, &sent, &failed, &f);
	desk_close(&d);
	arena_clear(&a);
	if (err != ERR_OK) return verb_failed(&f);
	if (!o->dry_run)
		printf("%lld new notices; %lld mails sent, %lld not.\n", (long long)count,
		       (long long)sent, (long long)failed);
	return 0;
}

static enum err write_setting(struct change *c, struct store *st) {
	const struct options *o = c->context;
	return setting_change(st, o->name, o->value, o->reason, &c->fault);
}

int verb_setting(const struct options *o) {
	struct fault f = {0};
	struct desk d = {.lock = -1};
	if (!o->name || !o->value) {
		fputs("pegwarden: say which setting and its value: --name NAME --value VALUE\n",
		      stderr);
		return 2;
	}
	enum err err = desk_open(&d, o, &f);
	if (err == ERR_OK)
		err = desk_change(&d, write_setting, (void *)(uintptr_t)o, "change setting", &f);
	desk_close(&d);
	return err == ERR_OK ? 0 : verb_failed(&f);
}
