/*
 * How a camera was held: the one thing of a picture's metadata that matters here.
 *
 * It stands in Exif (CIPA DC-008): in a JPEG behind "Exif" in its first segments, in a PNG in the
 * chunk eXIf, in a WebP in the chunk EXIF.
 */
#ifndef PEGWARDEN_BASE_EXIF_H
#define PEGWARDEN_BASE_EXIF_H

#include <stddef.h>

/* 1 to 8, as Exif counts them; 1, upright, where the picture says nothing that can be read. */
int exif_orientation(const void *picture, size_t length);

#endif
