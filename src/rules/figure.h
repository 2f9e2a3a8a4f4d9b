/*
 * The drawing of a kind of part: its pictures, and the shapes in them that say where.
 *
 * The drawing (static/figures/KIND.svg) is the only list of both. Its ids are
 *   VIEW.SIDE, or VIEW       the lines of a picture; with SIDE where zones have sides
 *   VIEW.ZONE, VIEW.ZONE.FACE  a shape; with FACE where the zone has faces and the view,
 *                            "below" or "side", is of both
 *   (a shape's id).mark      where what was found there is marked: d="M<x> <y>h0", in whole units
 * A view has the same shapes in each of its pictures. Ids without a dot that are no view are
 * the drawing's own. Every picture is drawn in a square of FIGURE_UNITS from 0 0.
 */
#ifndef PEGWARDEN_RULES_FIGURE_H
#define PEGWARDEN_RULES_FIGURE_H

#include "base/arena.h"
#include "rules/handbook.h"

#define FIGURE_UNITS 320

/* X(code, word, label) */
/* clang-format off */
#define FIGURE_VIEW_LIST(X) \
	X(FRONT, "front", "Front") \
	X(BACK, "back", "Back") \
	X(BELOW, "below", "From below") \
	X(SIDE, "side", "From the side")
/* clang-format on */
#define FIGURE_VIEW_CODE(code, word, label) VIEW_##code,
enum figure_view { FIGURE_VIEW_LIST(FIGURE_VIEW_CODE) VIEW_COUNT };
extern const char *const figure_view_word[VIEW_COUNT];

struct figure_picture {
	const char *id;
	enum figure_view view;
	const char *side; /* "outside", "inside"; NULL: the parts of this picture have no sides */
};

/* In the order of the drawing: later ones lie above. */
struct figure_shape {
	const char *id;
	enum figure_view view;
	const struct zone *zone;
	const char *face; /* "front", "back"; NULL where the zone has no faces */
	int mark_x, mark_y;
	bool has_mark; /* while reading */
};

struct figure {
	const struct kind *kind;
	const struct figure_picture *picture;
	size_t picture_count;
	const struct figure_shape *shape;
	size_t shape_count;
};

/* ERR_CORRUPT, naming the id or the place at fault, unless each place of the kind (zone, face,
 * side) has a shape in some picture, each shape is of a zone and has a mark, and each mark is of
 * a shape. svg is not needed afterwards. */
enum err figure_read(struct figure *figure, const struct kind *kind, const struct handbook *hb,
		     const char *svg, struct arena *a, struct fault *f) MUST_CHECK;

/* Does the place touch the shape in the picture? What is not said (NULL) may be any. */
bool figure_is_at(const struct figure_picture *picture, const struct figure_shape *shape,
		  const char *zone, const char *face, const char *side);

#endif
