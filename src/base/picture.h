/*
 * Pictures that somebody took: read whole, turned upright, made no larger than people look at, and
 * written anew as JPEG.
 *
 * Of the bytes that came in none is kept: no position, no name of a camera, no comment, no colour
 * profile, and nothing that hides behind the picture. What a picture is, its content says, never a
 * name or a declared type. Colours are taken for sRGB, as cameras write them by default.
 */
#ifndef PEGWARDEN_BASE_PICTURE_H
#define PEGWARDEN_BASE_PICTURE_H

#include "base/arena.h"
#include "base/fault.h"

#define PICTURE_TYPE "image/jpeg" /* what comes out */

struct picture {
	const unsigned char *bytes; /* arena memory */
	size_t length;
	int width, height;
};

/*
 * From a JPEG, PNG or WebP: the picture, of LIMIT_PHOTO_EDGE at most, and a small one for lists.
 * ERR_INVALID, with a sentence for who gave it, when it is none, is cut off or damaged, moves, or
 * has more than LIMIT_PHOTO_PIXELS_MAX. The same bytes always give the same pictures.
 */
enum err picture_take(const void *bytes, size_t length, struct arena *a, struct picture *picture,
		      struct picture *small, struct fault *f) MUST_CHECK;

#endif
