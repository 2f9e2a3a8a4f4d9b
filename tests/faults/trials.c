/* The operations: opening, changing, importing, verifying, backing up. */
#include <check.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "handlers/import.h"
#include "store/backup.h"
#include "store/component.h"
#include "store/station.h"
#include "trial.h"

/* --- opening ------------------------------------------------------------------------------ */

static enum err open_store(struct scene *s, struct fault *f) { return scene_open(s, f); }

const struct trial trial_open = {.name = "opening", .run = open_store};
const struct trial trial_migrate = {.name = "a new record", .empty = true, .run = open_store};

/* --- one change ----------------------------------------------------------------------------- */

/* Two records, so that half of it would be seen; the second changes what is derived. */
static enum err withdraw(struct change *c, struct store *st) {
	struct arena a;
	int64_t id;
	struct station_row station = {.code = "ST2", .name = "Two", .active = true};
	arena_init(&a, 1024 * 1024);
	enum err err = station_save(st, &station, &a, &id, &c->fault);
	if (err == ERR_OK) err = component_withdraw(st, 1, "Notice of its maker", &c->fault);
	arena_clear(&a);
	return err;
}

static enum err change_once(struct scene *s, struct fault *f) {
	return scene_change(s, withdraw, f);
}

const struct trial trial_change = {
    .name = "a change", .opened = true, .changes = true, .run = change_once};

/* --- an import ------------------------------------------------------------------------------- */

static const char table[] = "tag,kind,hazard,station,ensemble,made,in_service_on,note\r\n"
			    "P1,coat_shell,structural,ST1,E1,2023-01,2023-03-01,\"first, one\"\r\n"
			    "P2,coat_liner,structural,ST1,E1,2023-01,2023-03-01,\r\n"
			    "P3,trouser_shell,structural,ST1,,2023-02,2023-03-01,Größe geändert\r\n"
			    "P4,footwear,structural,ST1,,2023-02,2023-03-01,\r\n";

static enum err import(struct change *c, struct store *st) {
	struct import_job job = {.kind = "components", .today = DAY_MAX};
	struct arena a;
	arena_init(&a, 1024 * 1024);
	struct doc *report = doc_map(&a);
	enum err err = report ? import_table(c, st, &job, "parts.csv", table, strlen(table), report)
			      : fault_memory(&c->fault);
	arena_clear(&a);
	return err;
}

static enum err import_once(struct scene *s, struct fault *f) { return scene_change(s, import, f); }

const struct trial trial_import = {
    .name = "an import", .opened = true, .changes = true, .run = import_once};

/* --- verifying ------------------------------------------------------------------------------- */

static enum err verify_once(struct scene *s, struct fault *f) {
	return store_verify(s->store, s->key.public_key, NULL, NULL, f);
}

const struct trial trial_verify = {.name = "verifying", .opened = true, .run = verify_once};

/* --- a backup -------------------------------------------------------------------------------- */

static enum err backup_once(struct scene *s, struct fault *f) {
	char path[sizeof s->copy + 20];
	snprintf(path, sizeof path, "%s/pegwarden.db", s->copy);
	return store_backup(s->data, path, f);
}

/* Either a whole copy, or none that somebody could take for one. */
static void check_backup(struct scene *s, enum err outcome, const char *when) {
	char path[4096], last[HASH_HEX_SIZE];
	bool is_there = access(path_of(path, s->copy, "pegwarden.db"), F_OK) == 0;
	ck_assert_msg(is_there == (outcome == ERR_OK), "%s: %s, but the file is %s", when,
		      err_word(outcome), is_there ? "there" : "missing");
	if (is_there) scene_folder_holds(s, s->copy, when, last);
}

/* SQLite's check of a copy has one word for a page that is bad and one that cannot be read. */
const struct trial trial_backup = {
    .name = "a backup", .also_told = ERR_CORRUPT, .run = backup_once, .after = check_backup};
