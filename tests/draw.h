/* Random draws, the same from the same seed on every machine. */
#ifndef PEGWARDEN_TESTS_DRAW_H
#define PEGWARDEN_TESTS_DRAW_H

#include <stdbool.h>
#include <stdint.h>

/* The next number, by splitmix64 (public domain); counts the seed on. */
static inline uint64_t draw(uint64_t *seed) {
	uint64_t z = *seed += 0x9e3779b97f4a7c15u;
	z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
	z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
	return z ^ (z >> 31);
}

static inline int draw_below(uint64_t *seed, int limit) {
	return (int)(draw(seed) % (uint64_t)limit);
}
static inline bool draw_chance(uint64_t *seed, int percent) {
	return draw_below(seed, 100) < percent;
}

#endif
