/*
 * The drawing of a kind on a page: where something was found on a part in its life, and where
 * something is found now.
 */
#ifndef PEGWARDEN_HANDLERS_FIGURE_H
#define PEGWARDEN_HANDLERS_FIGURE_H

#include "http/request.h"
#include "rules/figure.h"

/* Reads static/figures/KIND.svg of every kind; figures: by the kind's index. */
enum err figures_load(const struct figure **figures, const char *share_dir,
		      const struct handbook *hb, struct arena *a, struct fault *f) MUST_CHECK;

/* A place that is asked for; what is not chosen yet is NULL. */
struct figure_place {
	const char *zone, *face, *side;
};

/*
 * Sets page["figure"] for templates/parts/figure.html and figure-places.html: file, is_asked,
 * pictures (label, lines, shapes and marks in them), places (zones with findings).
 * findings: rows of component_findings. asked: the place to be chosen, or NULL where the
 * figure only shows.
 */
void figure_document(struct request *rq, struct doc *page, const struct kind *kind,
		     const struct doc *findings, const struct figure_place *asked);

/*
 * Sets map["figure"] for templates/parts/figure-numbered.html: file, and the pictures (label, said,
 * shapes, marks {number x y}) in which something is; null when it is nowhere in the drawing.
 * rows: zone, face, side, component and number of each; those of that component are in it.
 */
void figure_numbered(struct request *rq, struct doc *map, const struct kind *kind,
		     const struct doc *rows, int64_t component);

#endif
