#include "base/exif.h"

#include <stdbool.h>
#include <stdint.h>
#include <string.h>

/* Bytes with their end; what lies behind it reads as zero. */
struct bytes {
	const unsigned char *at;
	size_t length;
	bool is_little; /* the least byte stands first */
};

static uint32_t number_at(const struct bytes *b, size_t offset, size_t size) {
	uint32_t number = 0;
	if (offset > b->length || size > b->length - offset) return 0;
	for (size_t i = 0; i < size; i++)
		number = number << 8 | b->at[offset + (b->is_little ? size - 1 - i : i)];
	return number;
}

static bool starts(const struct bytes *b, size_t offset, const char *what, size_t length) {
	return offset <= b->length && length <= b->length - offset &&
	       memcmp(b->at + offset, what, length) == 0;
}

/* A part of it, cut off at its end. */
static struct bytes part_of(const struct bytes *b, size_t offset, size_t length) {
	if (offset > b->length) offset = b->length;
	if (length > b->length - offset) length = b->length - offset;
	return (struct bytes){.at = b->at + offset, .length = length};
}

#define EXIF_MARK "Exif\0"
#define EXIF_MARK_BYTES 6 /* with the second zero */

/* The segments of a JPEG before its picture. */
static struct bytes in_jpeg(const struct bytes *b) {
	size_t at = 2;
	while (number_at(b, at, 1) == 0xff) {
		uint32_t marker = number_at(b, at + 1, 1);
		size_t length = number_at(b, at + 2, 2);
		if (marker == 0xff) { /* a fill byte */
			at++;
			continue;
		}
		if (marker == 0xda || length < 2) break; /* the picture begins */
		if (marker == 0xe1 && starts(b, at + 4, EXIF_MARK, EXIF_MARK_BYTES))
			return part_of(b, at + 4, length - 2);
		at += 2 + length;
	}
	return (struct bytes){0};
}

/* The chunks of a PNG (length, name, content, checksum) or a WebP (name, length, content). */
static struct bytes in_chunks(const struct bytes *b, size_t at, const char *name, bool is_png) {
	while (at < b->length && b->length - at > 8) {
		size_t length = number_at(b, at + (is_png ? 0 : 4), 4);
		if (starts(b, at + (is_png ? 4 : 0), name, 4)) return part_of(b, at + 8, length);
		/* A WebP's contents are padded to an even length. */
		at += 8 + length + (is_png ? 4 : length % 2);
	}
	return (struct bytes){0};
}

static struct bytes find_exif(const void *picture, size_t length) {
	struct bytes b = {.at = picture, .length = length};
	if (starts(&b, 0, "\xff\xd8", 2)) return in_jpeg(&b);
	if (starts(&b, 0, "\x89PNG", 4)) return in_chunks(&b, 8, "eXIf", true);
	b.is_little = true;
	return starts(&b, 0, "RIFF", 4) ? in_chunks(&b, 12, "EXIF", false) : (struct bytes){0};
}

#define TAG_ORIENTATION 0x0112
#define TYPE_SHORT 3

int exif_orientation(const void *picture, size_t length) {
	struct bytes tiff = find_exif(picture, length);
	if (starts(&tiff, 0, EXIF_MARK, EXIF_MARK_BYTES))
		tiff = part_of(&tiff, EXIF_MARK_BYTES, tiff.length);
	tiff.is_little = starts(&tiff, 0, "II", 2);
	if (number_at(&tiff, 2, 2) != 42) return 1;
	size_t directory = number_at(&tiff, 4, 4), count = number_at(&tiff, directory, 2);
	for (size_t i = 0; i < count; i++) {
		size_t entry = directory + 2 + 12 * i;
		if (number_at(&tiff, entry, 2) != TAG_ORIENTATION) continue;
		uint32_t orientation = number_at(&tiff, entry + 8, 2);
		bool is_one = number_at(&tiff, entry + 2, 2) == TYPE_SHORT && orientation >= 1;
		return is_one && orientation <= 8 ? (int)orientation : 1;
	}
	return 1;
}
