#include "verbs/desk.h"

#include <stdio.h>

#include "store/account.h"
#include "store/data_dir.h"
#include "store/member.h"
#include "store/setting.h"
#include "store/station.h"

struct first {
	const struct options *options;
	const char *hash;
};

static enum err write_first(struct change *c, struct store *st) {
	const struct first *first = c->context;
	const struct options *o = first->options;
	struct arena a;
	arena_init(&a, 1024 * 1024);
	int64_t station = 0, member = 0, account;
	struct station_row s = {.code = "HQ", .name = "Headquarters", .active = true};
	struct member_row m = {.badge = o->badge,
			       .family_name = o->family_name ? o->family_name : "Administrator",
			       .given_name = o->given_name ? o->given_name : "First",
			       .status = "active"};
	enum err err = setting_put(st, "department", o->department, NULL, &c->fault);
	if (err == ERR_OK) err = setting_put(st, "time_zone", o->zone, NULL, &c->fault);
	if (err == ERR_OK) err = station_save(st, &s, &a, &station, &c->fault);
	m.station = station;
	if (err == ERR_OK) err = member_save(st, &m, &a, &member, &c->fault);
	if (err == ERR_OK)
		err = account_put(st, member, "administrator", first->hash, &account, &c->fault);
	arena_clear(&a);
	return err;
}

int verb_init(const struct options *o) {
	struct fault f = {0};
	struct desk d = {.lock = -1};
	char path[DATA_PATH_SIZE], hash[PASSWORD_HASH_SIZE];
	struct options with = *o;
	if (!with.department) with.department = "Fire Department";
	if (!with.zone) with.zone = "UTC";
	if (!with.badge) with.badge = "1";
	if (instant_day_in_zone(0, with.zone) == DAY_NONE) {
		fprintf(stderr, "pegwarden: %s is no time zone; say it like America/Chicago.\n",
			with.zone);
		return 1;
	}
	enum err err = hash_password(o, hash, &f);
	if (err == ERR_OK) err = data_dir_create(o->data, &f);
	if (err == ERR_OK) err = data_dir_path(o->data, DATA_KEY, path, &f);
	struct signing_key key;
	if (err == ERR_OK) err = signing_key_create(&key, path, &f);
	if (err == ERR_OK) err = desk_open(&d, o, &f);
	struct first first = {&with, hash};
	if (err == ERR_OK) err = desk_change(&d, write_first, &first, "set up the department", &f);
	desk_close(&d);
	if (err != ERR_OK) return verb_failed(&f);
	printf("%s is ready. Keep a copy of %s apart from the database.\n", o->data, path);
	return 0;
}
