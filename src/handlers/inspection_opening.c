#include "handlers/inspection_opening.h"

#include <sodium.h>
#include <string.h>

#include "handlers/app.h"
#include "rules/work_time.h"
#include "store/inspection.h"

#define SEAL_BYTES 16
#define SEAL_HEX_SIZE (2 * SEAL_BYTES + 1)

/* A key of its own, which only whoever has the signing key can make. */
static void seal_key(const struct signing_key *signing, unsigned char key[32]) {
	static const char purpose[] = "pegwarden opening of a page";
	crypto_generichash(key, 32, (const unsigned char *)purpose, sizeof purpose - 1,
			   signing->secret, SEED_BYTES);
}

static const char *opening_make(struct request *rq, const struct part_view *p, const char *page,
				int64_t opened_s) {
	unsigned char key[32], seal[SEAL_BYTES];
	char hex[SEAL_HEX_SIZE];
	const char *what = arena_printf(&rq->arena, "%lld %lld %lld %s", (long long)p->id,
					(long long)rq->who.member, (long long)opened_s, page);
	if (!what) return NULL;
	seal_key(app_key(request_app(rq)), key);
	crypto_generichash(seal, sizeof seal, (const unsigned char *)what, strlen(what), key,
			   sizeof key);
	sodium_memzero(key, sizeof key);
	sodium_bin2hex(hex, sizeof hex, seal, sizeof seal);
	return arena_printf(&rq->arena, "%lld.%s", (long long)opened_s, hex);
}

bool inspection_opening_holds(struct request *rq, const struct part_view *p, const char *page,
			      const char *opening, int64_t *opened_s) {
	const char *dot = opening ? strchr(opening, '.') : NULL;
	const char *number = dot ? arena_copy(&rq->arena, opening, (size_t)(dot - opening)) : NULL;
	if (!number || !text_to_int(number, 1, rq->now_s, opened_s)) return false;
	const char *made = opening_make(rq, p, page, *opened_s);
	return made && text_equal_secret(opening, made);
}

void inspection_opening_document(struct request *rq, const struct part_view *p, const char *page,
				 const char *sent) {
	int64_t opened_s;
	bool holds = inspection_opening_holds(rq, p, page, sent, &opened_s);
	doc_set_text(rq->doc, "opening", holds ? sent : opening_make(rq, p, page, rq->now_s));
}

/* Pages of several parts may be open at once: whichever was saved last, its time is counted. */
static int64_t counted_until(const struct inspection_view *v) {
	int64_t latest = 0, until;
	for (size_t i = 0; i < v->part_count; i++)
		if (instant_parse(doc_text(v->part[i].row, "worked_until"), &until) &&
		    until > latest)
			latest = until;
	return latest;
}

enum err inspection_opening_count(struct request *rq, const struct inspection_view *v,
				  const struct part_view *p, const char *page,
				  const char *opening) {
	int64_t opened_s;
	char until[INSTANT_TEXT_SIZE];
	if (!inspection_opening_holds(rq, p, page, opening, &opened_s)) return ERR_OK;
	return inspection_part_work(request_store(rq), p->id,
				    work_time(opened_s, counted_until(v), rq->now_s),
				    instant_format(rq->now_s, until), &rq->fault);
}

const char *inspection_worked_words(struct arena *a, const struct doc *row) {
	const struct doc *worked = doc_get(row, "worked_s");
	if (!worked || worked->type != DOC_INT) return NULL;
	long long s = (long long)worked->integer;
	if (s < 60) return arena_printf(a, "%lld s", s);
	return arena_printf(a, "%lld min %lld s", s / 60, s % 60);
}
