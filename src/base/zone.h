/*
 * The bytes of a compiled time zone (RFC 8536, version 2 and later).
 *
 * day.h has what callers want; this is its reader, apart so that it can be
 * tried with any bytes.
 */
#ifndef PEGWARDEN_BASE_ZONE_H
#define PEGWARDEN_BASE_ZONE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Seconds east of UTC at an instant; false when the bytes are no zone. */
bool zone_offset(const unsigned char *bytes, size_t length, int64_t instant_s, int64_t *offset_s);

#endif
