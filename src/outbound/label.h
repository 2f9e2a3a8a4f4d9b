/*
 * Labels for gear, and the sheets they are printed on: where everything stands.
 *
 * Lengths are whole hundredths of a millimetre, the unit of the drawing that a template makes of
 * it. Nothing here knows what a component is.
 */
#ifndef PEGWARDEN_OUTBOUND_LABEL_H
#define PEGWARDEN_OUTBOUND_LABEL_H

#include "outbound/symbol.h"

struct label_sheet {
	int64_t width, height; /* of the paper */
	int64_t columns, rows;
	int64_t left, top; /* margins; those at the right and at the bottom are as wide */
	int64_t gap_x, gap_y;
};
/* The sheet has places, all of them on the paper and large enough: 20 x 10 mm. Otherwise
 * ERR_INVALID and a fault in words, at the field "columns" or "rows". */
enum err label_sheet_check(const struct label_sheet *sheet, struct fault *f) MUST_CHECK;

struct label_box {
	int64_t x, y, width, height;
};
/* Place number 0 .. columns * rows - 1, along the rows from the left top. */
struct label_box label_place(const struct label_sheet *sheet, int64_t number);

#define LABEL_LINES_MAX 4
struct label {
	const char *tag;                   /* what the symbol holds, and the largest line */
	const char *line[LABEL_LINES_MAX]; /* below it; NULL after the last */
};
/*
 * Sets in map: texts [{x y size text is_tag}] (y: of the base line) and symbol {x y width height,
 * and what symbol_make sets}. A line too
 * long for its place is smaller, then cut, and left out where there is no room; a tag goes on in
 * the next row.
 *
 * A bar code whose bars would be narrower than 0.19 mm (the least that office printers and
 * hand-held scanners manage; common practice, no source), or that cannot hold the tag, gives
 * way to a QR code: is_instead is true then.
 */
enum err label_draw(const struct label *label, const struct label_box *place,
		    enum symbology symbology, struct doc *map, struct fault *f) MUST_CHECK;

#endif
