#include "handlers/identify.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "handlers/app.h"
#include "store/session.h"
#include "store/tablet.h"

/* --- when they were last seen ----------------------------------------------------------- */

struct seen {
	struct change change;
	char session_hash[65]; /* "": none */
	int64_t tablet;        /* 0: none */
};

static enum err mark_seen(struct change *c, struct store *st) {
	struct seen *s = c->context;
	int64_t now_s = c->author.now_s;
	enum err err = ERR_OK;
	if (s->session_hash[0]) err = session_seen(st, s->session_hash, now_s, &c->fault);
	if (err == ERR_OK && s->tablet) err = tablet_used(st, s->tablet, now_s, &c->fault);
	return err;
}

static void seen_is_done(struct change *c, enum err outcome) {
	(void)outcome; /* the next request tries again */
	free(c->context);
}

/* By the way: nobody waits for it. */
static void note_seen(struct request *rq, const char *session_hash, int64_t tablet) {
	struct seen *s = calloc(1, sizeof *s);
	if (!s) return;
	snprintf(s->session_hash, sizeof s->session_hash, "%s", session_hash ? session_hash : "");
	s->tablet = tablet;
	s->change = (struct change){.apply = mark_seen,
				    .done = seen_is_done,
				    .context = s,
				    .author = {0, "system", "seen", rq->now_s}};
	if (app_submit(request_app(rq), &s->change) != ERR_OK) free(s);
}

/* --- the tablet ------------------------------------------------------------------------- */

static enum err identify_tablet(struct request *rq, struct tablet *tablet) {
	*tablet = (struct tablet){0};
	if (text_empty(rq->cookie_tablet)) return ERR_OK;
	enum err err =
	    tablet_find(request_store(rq), rq->cookie_tablet, &rq->arena, tablet, &rq->fault);
	if (err != ERR_OK || !tablet->id) return err;
	rq->device = (struct device){
	    .tablet = tablet->id,
	    .name = tablet->name,
	    .station = tablet->station,
	    .station_name = tablet->station_name,
	    .lock_s = tablet->lock_s,
	};
	char minute_ago[INSTANT_TEXT_SIZE];
	instant_format(rq->now_s - 60, minute_ago);
	if (!tablet->seen_at || strcmp(tablet->seen_at, minute_ago) < 0)
		note_seen(rq, NULL, tablet->id);
	return ERR_OK;
}

/* --- the session ------------------------------------------------------------------------ */

static struct principal principal_of(const struct session *s) {
	return (struct principal){
	    .account = s->account,
	    .member = s->member,
	    .role = role_of_word(s->role),
	    .name = s->name,
	    .badge = s->badge,
	    .station = s->station,
	    .form_token = s->form_token,
	};
}

/* Is it somebody's turn on this tablet, at this time? */
static bool is_at_hand(struct request *rq, const struct session *s, int64_t lock_s) {
	if (!s->tablet) return true;
	if (s->tablet != rq->device.tablet) return false;
	if (rq->now_s - s->seen_s < lock_s) return true;
	rq->device.locked = s->account;
	return false;
}

/* An idle time of a minute is measured in tenths of it; others need no more than minutes. */
static void touch(struct request *rq, const struct session *s) {
	if (rq->now_s - s->seen_s >= (s->tablet ? 6 : 60)) note_seen(rq, s->hash, 0);
}

static enum err identify_session(struct request *rq, int64_t lock_s) {
	struct session session;
	enum err err = session_find(request_store(rq), rq->cookie_session, rq->now_s, &rq->arena,
				    &session, &rq->fault);
	if (err != ERR_OK || !session.account || !is_at_hand(rq, &session, lock_s)) return err;
	rq->who = principal_of(&session);
	rq->who.session = session.hash;
	rq->who.by_pin = session.tablet != 0;
	/* Six digits are enough to inspect with, and for nothing beyond. */
	if (rq->who.by_pin && rq->who.role > ROLE_INSPECTOR) rq->who.role = ROLE_INSPECTOR;
	touch(rq, &session);
	return ERR_OK;
}

enum err request_identify_session(struct request *rq) {
	struct tablet tablet;
	enum err err = identify_tablet(rq, &tablet);
	if (err != ERR_OK || text_empty(rq->cookie_session)) return err;
	return identify_session(rq, tablet.lock_s);
}

static enum err identify_token(struct request *rq) {
	struct session session;
	struct tablet tablet;
	rq->who.by_token = true;
	enum err err =
	    session_of_token(request_store(rq), rq->bearer, &rq->arena, &session, &rq->fault);
	if (err == ERR_OK) err = identify_tablet(rq, &tablet);
	if (err != ERR_OK) return err;
	if (!session.account)
		return request_fail(rq, ERR_UNAUTHENTICATED,
				    "The API token does not hold (any more).");
	rq->who = principal_of(&session);
	rq->who.by_token = true;
	return ERR_OK;
}

enum err identify(void *self, struct request *rq) {
	struct app *app = self;
	rq->now_s = app_now(app);
	rq->today = app_today(app, rq->now_s);
	if (!rq->bearer && !rq->cookie_session && !rq->cookie_tablet) return ERR_OK;
	return app_read(app, rq, rq->bearer ? identify_token : request_identify_session);
}
