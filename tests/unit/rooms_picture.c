/* Pictures as cameras write them, and how they were held. */
#include "rooms.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <turbojpeg.h>

#include "base/exif.h"
#include "base/limits.h"
#include "base/picture.h"

static struct arena arena;

static void begin(void) { arena_init(&arena, LIMIT_ARENA_BYTES_MAX); }
static void end(void) { arena_clear(&arena); }

/* One of the pictures that the fuzzer begins with. */
static size_t corpus(const char *name, unsigned char bytes[4096]) {
	char path[4096];
	snprintf(path, sizeof path, "%s/tests/fuzz/corpus/picture/%s", PEGWARDEN_SRCDIR, name);
	FILE *file = fopen(path, "rb");
	ck_assert_msg(file != NULL, "%s", path);
	size_t length = fread(bytes, 1, 4096, file);
	fclose(file);
	ck_assert_uint_lt(length, 4096);
	return length;
}

static enum err take(const void *bytes, size_t length, struct picture *p, struct picture *small) {
	struct fault f = {0};
	enum err err = picture_take(bytes, length, &arena, p, small, &f);
	if (err != ERR_OK) ck_assert_msg(f.message[0] != '\0', "without a word");
	return err;
}

static const struct {
	const char *name;
	int orientation;
} held[] = {{"jpeg-turned", 6}, {"jpeg-little-endian", 3}, {"png-turned", 8},
	    {"webp-turned", 5}, {"png-clear", 1},          {"webp-clear", 1}};
enum { HELD = sizeof held / sizeof *held };

START_TEST(how_the_camera_was_held_is_read) {
	unsigned char bytes[4096];
	size_t length = corpus(held[_i].name, bytes);
	ck_assert_int_eq(exif_orientation(bytes, length), held[_i].orientation);
	/* Cut anywhere it is either still read, or upright; nothing beyond the end is looked at. */
	for (size_t cut = 0; cut < length; cut++) {
		unsigned char *exact = malloc(cut + 1);
		memcpy(exact, bytes, cut);
		int found = exif_orientation(exact, cut);
		ck_assert(found == 1 || found == held[_i].orientation);
		free(exact);
	}
}
END_TEST

START_TEST(an_orientation_that_there_is_not_is_upright) {
	unsigned char bytes[4096];
	size_t length = corpus("jpeg-turned", bytes), changed = 0;
	static const unsigned char entry[] = {0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, 6};
	for (size_t i = 0; i + sizeof entry < length; i++)
		if (memcmp(bytes + i, entry, sizeof entry) == 0) changed = i + sizeof entry - 1;
	ck_assert_uint_gt(changed, 0);
	bytes[changed] = 9;
	ck_assert_int_eq(exif_orientation(bytes, length), 1);
	bytes[changed] = 0;
	ck_assert_int_eq(exif_orientation(bytes, length), 1);
	bytes[changed] = 8;
	ck_assert_int_eq(exif_orientation(bytes, length), 8);
}
END_TEST

START_TEST(what_comes_out_stands_upright_and_has_nothing_else) {
	unsigned char bytes[4096];
	size_t length = corpus(held[_i].name, bytes);
	struct picture p, small, again;
	ck_assert_int_eq(take(bytes, length, &p, &small), ERR_OK);
	int turned = held[_i].orientation >= 5;
	if (strstr(held[_i].name, "clear")) ck_assert_int_eq(p.width, 9);
	else ck_assert_int_eq(turned ? p.height : p.width, 24);
	ck_assert_int_eq(small.width, p.width); /* none is made larger */
	ck_assert_ptr_null(memmem(p.bytes, p.length, "Exif", 4));
	ck_assert_ptr_null(memmem(p.bytes, p.length, "PEEPING", 7));
	ck_assert_int_eq(take(bytes, length, &again, &small), ERR_OK);
	ck_assert_uint_eq(again.length, p.length);
	ck_assert_int_eq(memcmp(again.bytes, p.bytes, p.length), 0);
}
END_TEST

START_TEST(what_is_cut_off_is_refused) {
	unsigned char bytes[4096];
	size_t length = corpus(held[_i].name, bytes);
	struct picture p, small;
	for (size_t cut = 0; cut < length / 2; cut++)
		ck_assert_int_eq(take(bytes, cut, &p, &small), ERR_INVALID);
}
END_TEST

static const char *const none[] = {"jpeg-cut", "png-claims-too-much"};
START_TEST(what_is_none_is_refused) {
	unsigned char bytes[4096];
	struct picture p, small;
	size_t length = corpus(none[_i], bytes);
	ck_assert_int_eq(take(bytes, length, &p, &small), ERR_INVALID);
}
END_TEST

/* A JPEG of that size, its left half black and its right half white. */
static unsigned char *halves(int width, int height, unsigned long *length) {
	unsigned char *rgb = calloc(3, (size_t)width * (size_t)height), *jpeg = NULL;
	for (int y = 0; y < height; y++)
		memset(rgb + 3 * ((size_t)y * (size_t)width + (size_t)width / 2), 255,
		       3 * (size_t)(width - width / 2));
	tjhandle tj = tjInitCompress();
	ck_assert_int_eq(tjCompress2(tj, rgb, width, 0, height, TJPF_RGB, &jpeg, length, TJSAMP_444,
				     90, TJFLAG_PROGRESSIVE),
			 0);
	tjDestroy(tj);
	free(rgb);
	return jpeg;
}

/* Its last scan as often as that: each would be read over the whole picture. */
static enum err repeat_scan(size_t times, struct fault *f) {
	unsigned long length = 0;
	unsigned char *jpeg = halves(16, 16, &length), *longer;
	size_t from = length - 2;
	while (jpeg[from] != 0xff || jpeg[from + 1] != 0xda) from--;
	size_t scan = length - 2 - from;
	longer = malloc(length + times * scan);
	memcpy(longer, jpeg, length);
	for (size_t i = 0; i <= times; i++) memcpy(longer + from + i * scan, jpeg + from, scan);
	memcpy(longer + length - 2 + times * scan, "\xff\xd9", 2);
	struct picture p, small;
	enum err err = picture_take(longer, length + times * scan, &arena, &p, &small, f);
	tjFree(jpeg);
	free(longer);
	return err;
}

START_TEST(scans_beyond_counting_are_refused_before_they_are_read) {
	struct fault f = {0};
	ck_assert_int_eq(repeat_scan(0, &f), ERR_OK);
	ck_assert_int_eq(repeat_scan(LIMIT_PHOTO_SCANS_MAX, &f), ERR_INVALID);
	ck_assert_msg(strstr(f.message, "too many steps") != NULL, "%s", f.message);
}
END_TEST

static const struct {
	int width, height, to_width, to_height, small_width, small_height;
} sizes[] = {
    {1600, 1200, 1600, 1200, 400, 300},
    {1601, 1200, 1600, 1199, 400, 300},
    {4000, 3000, 1600, 1200, 400, 300},
    {3000, 6001, 800, 1600, 200, 400},
    {9000, 2, 1600, 1, 400, 1},
    {401, 1, 401, 1, 400, 1},
    {1, 1, 1, 1, 1, 1},
};
START_TEST(none_is_larger_than_people_look_at) {
	unsigned long length = 0;
	unsigned char *jpeg = halves(sizes[_i].width, sizes[_i].height, &length);
	struct picture p, small;
	ck_assert_int_eq(take(jpeg, length, &p, &small), ERR_OK);
	tjFree(jpeg);
	ck_assert_int_eq(p.width, sizes[_i].to_width);
	ck_assert_int_eq(p.height, sizes[_i].to_height);
	ck_assert_int_eq(small.width, sizes[_i].small_width);
	ck_assert_int_eq(small.height, sizes[_i].small_height);
	/* Where black and white meet stays in the middle. */
	unsigned char *grey = calloc((size_t)p.width, (size_t)p.height);
	tjhandle tj = tjInitDecompress();
	ck_assert_int_eq(
	    tjDecompress2(tj, p.bytes, p.length, grey, p.width, 0, p.height, TJPF_GRAY, 0), 0);
	tjDestroy(tj);
	if (p.width > 100) {
		ck_assert_int_lt(grey[p.width / 2 - 20], 40);
		ck_assert_int_gt(grey[p.width / 2 + 20], 215);
	}
	free(grey);
}
END_TEST

Suite *picture_suite(void) {
	Suite *suite = suite_create("picture");
	TCase *t = tcase_create("picture");
	tcase_add_checked_fixture(t, begin, end);
	tcase_set_timeout(t, 60);
	tcase_add_loop_test(t, how_the_camera_was_held_is_read, 0, HELD);
	tcase_add_test(t, an_orientation_that_there_is_not_is_upright);
	tcase_add_loop_test(t, what_comes_out_stands_upright_and_has_nothing_else, 0, HELD);
	tcase_add_loop_test(t, what_is_cut_off_is_refused, 0, HELD);
	tcase_add_loop_test(t, what_is_none_is_refused, 0, sizeof none / sizeof *none);
	tcase_add_test(t, scans_beyond_counting_are_refused_before_they_are_read);
	tcase_add_loop_test(t, none_is_larger_than_people_look_at, 0, sizeof sizes / sizeof *sizes);
	suite_add_tcase(suite, t);
	return suite;
}
