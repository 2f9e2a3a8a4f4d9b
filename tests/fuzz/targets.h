/*
 * Fuzz targets: one for every parser that reads what others wrote. Each checks
 * more than that nothing breaks: what is accepted can be printed and read again.
 */
#ifndef PEGWARDEN_FUZZ_TARGETS_H
#define PEGWARDEN_FUZZ_TARGETS_H

#include <stddef.h>
#include <stdint.h>

struct fuzz_target {
	const char *name;                             /* also of its folder under corpus/ */
	void (*run)(const char *text, size_t length); /* NUL-terminated; may hold NULs */
};
extern const struct fuzz_target fuzz_target[];
extern const size_t fuzz_target_count;

/* Ends the program when a property does not hold. */
void fuzz_require(int holds, const char *property);
#define REQUIRE(property) fuzz_require((property) != 0, #property)

#endif
