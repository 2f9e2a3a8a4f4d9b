/*
 * A QR code as an SVG picture: the one place where markup is computed.
 */
#ifndef PEGWARDEN_OUTBOUND_QR_H
#define PEGWARDEN_OUTBOUND_QR_H

#include "base/doc.h"
#include "base/fault.h"

/* Sets map[key] to the SVG element for the text (error correction level M). */
enum err qr_svg(const char *text, struct arena *a, struct doc *map, const char *key,
		struct fault *f) MUST_CHECK;

#endif
