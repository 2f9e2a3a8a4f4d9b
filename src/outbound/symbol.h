/*
 * Bar codes and QR codes: the grid of modules, as what a template draws.
 */
#ifndef PEGWARDEN_OUTBOUND_SYMBOL_H
#define PEGWARDEN_OUTBOUND_SYMBOL_H

#include "base/doc.h"
#include "base/fault.h"

enum symbology { SYMBOLOGY_QR, SYMBOLOGY_CODE_128 };

/*
 * Sets in map: symbology_label; modules_wide and modules_high, with the quiet zone that the
 * symbology asks for around it (a bar code is one module high, and drawn as high as is wished);
 * path, for an SVG path of lines one module wide, a stretch of dark modules a line.
 *
 * QR codes have error correction level M, bytes as they are. ERR_INVALID for a text that the
 * symbology cannot hold: Code 128 has no letters beyond Latin-1.
 */
enum err symbol_make(enum symbology symbology, const char *text, struct doc *map,
		     struct fault *f) MUST_CHECK;

#endif
