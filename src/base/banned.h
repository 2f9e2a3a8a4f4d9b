/*
 * Functions nobody calls here, and what to use in their place.
 *
 * Force-included into every file of the program (see Makefile.am), so a call
 * is a compile error wherever it is written.
 *
 *   strcpy strcat strncpy sprintf   buf_*, arena_printf: they know their bounds
 *   strtok                          text_split: it keeps no state between calls
 *   atoi strtol sscanf              text_to_int: it refuses what is not a number
 *   gmtime localtime                day_*, instant_*: no shared buffer, no locale
 *   system popen                    nothing: the program starts no other program
 *   rand                            clock and randomness come through the app
 */
#ifndef PEGWARDEN_BASE_BANNED_H
#define PEGWARDEN_BASE_BANNED_H

/* The library's own declarations come first, so that only calls are caught. */
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

/* With _FORTIFY_SOURCE some of them are macros. */
#undef strcpy
#undef strcat
#undef strncpy
#undef sprintf
#undef vsprintf
#undef strtok_r

#pragma GCC poison strcpy strcat strncpy sprintf vsprintf strtok strtok_r
#pragma GCC poison atoi atol atoll strtol strtoll strtoul strtoull sscanf
#pragma GCC poison gmtime localtime asctime ctime
#pragma GCC poison system popen rand srand

#endif
