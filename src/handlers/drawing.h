/*
 * How check points are looked at, drawn: static/how/NAME.svg. What a drawing says in words is its
 * title, and stands nowhere else.
 */
#ifndef PEGWARDEN_HANDLERS_DRAWING_H
#define PEGWARDEN_HANDLERS_DRAWING_H

#include "base/arena.h"
#include "rules/handbook.h"

/* Reads the title of each check point's drawing; said: by the point's place in hb->point, NULL
 * where there is no drawing. A drawing without a title is refused. */
enum err drawings_load(const char *const **said, const char *share_dir, const struct handbook *hb,
		       struct arena *a, struct fault *f) MUST_CHECK;

#endif
