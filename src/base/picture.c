#include "base/picture.h"

#include <limits.h>
#include <png.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <turbojpeg.h>
#include <webp/decode.h>

#include "base/exif.h"
#include "base/limits.h"

/* Three bytes a pixel, line by line. */
struct raster {
	unsigned char *rgb; /* malloc */
	int width, height;
};

static void raster_release(struct raster *r) {
	free(r->rgb);
	*r = (struct raster){0};
}

/* step: bytes a pixel while it is read. */
static enum err raster_make(struct raster *r, int width, int height, size_t step, struct fault *f) {
	*r = (struct raster){.width = width, .height = height};
	r->rgb = malloc((size_t)width * (size_t)height * step);
	return r->rgb ? ERR_OK : fault_memory(f);
}

static int longer(int width, int height) { return width > height ? width : height; }

/* --- reading ------------------------------------------------------------------------ */

/* why: of a library, which says in words when memory ran out; NULL: nothing more is known. */
static enum err unreadable(const char *why, struct fault *f) {
	if (why && strcasestr(why, "memory")) return fault_memory(f);
	return fault_set(
	    f, ERR_INVALID, NULL,
	    "The picture is damaged or was cut off on its way. Take or send it again.");
}

/* Before its pixels are made: a small file may claim to be a very large picture. */
static enum err check_size(int64_t width, int64_t height, struct fault *f) {
	if (width < 1 || height < 1) return unreadable(NULL, f);
	if (width <= INT_MAX / 3 && height <= INT_MAX / 3 &&
	    width <= LIMIT_PHOTO_PIXELS_MAX / height)
		return ERR_OK;
	return fault_set(f, ERR_INVALID, NULL,
			 "The picture has %lld x %lld pixels; at most %d million are taken. Make "
			 "it smaller.",
			 (long long)width, (long long)height, LIMIT_PHOTO_PIXELS_MAX / 1000000);
}

/* A JPEG can be read at eighths of its size: the smallest that is still large enough. */
static tjscalingfactor jpeg_factor(int width, int height) {
	int count = 0, whole = longer(width, height);
	tjscalingfactor best = {1, 1};
	const tjscalingfactor *factor = tjGetScalingFactors(&count);
	for (int i = 0; factor && i < count; i++)
		if (TJSCALED(whole, factor[i]) >= LIMIT_PHOTO_EDGE &&
		    TJSCALED(whole, factor[i]) < TJSCALED(whole, best))
			best = factor[i];
	return best;
}

static bool ends_data(unsigned char after_ff) {
	return after_ff != 0 && (after_ff < 0xd0 || after_ff > 0xd7);
}

/* Up to the end of the picture; where something else than a segment stands, reading fails too. */
static size_t count_scans(const unsigned char *bytes, size_t length) {
	size_t count = 0, at = 2;
	while (at + 4 <= length && bytes[at] == 0xff && bytes[at + 1] != 0xd9) {
		unsigned char marker = bytes[at + 1];
		at += marker == 0xff ? 1 : 2 + ((size_t)bytes[at + 2] << 8 | bytes[at + 3]);
		if (marker != 0xda) continue;
		count++;
		while (at + 1 < length && !(bytes[at] == 0xff && ends_data(bytes[at + 1]))) at++;
	}
	return count;
}

static enum err read_jpeg(const unsigned char *bytes, size_t length, struct raster *r,
			  struct fault *f) {
	int width = 0, height = 0, sampling, colours;
	if (count_scans(bytes, length) > LIMIT_PHOTO_SCANS_MAX)
		return fault_set(f, ERR_INVALID, NULL,
				 "The picture is built up in too many steps to be read. Save it "
				 "anew as an ordinary JPEG.");
	tjhandle jpeg = tjInitDecompress();
	if (!jpeg) return fault_memory(f);
	enum err err = ERR_OK;
	if (tjDecompressHeader3(jpeg, bytes, length, &width, &height, &sampling, &colours) != 0)
		err = unreadable(tjGetErrorStr2(jpeg), f);
	if (err == ERR_OK) err = check_size(width, height, f);
	if (err == ERR_OK) {
		tjscalingfactor factor = jpeg_factor(width, height);
		err = raster_make(r, TJSCALED(width, factor), TJSCALED(height, factor), 3, f);
	}
	/* What is cut off is a warning to the library, and would be grey to people. */
	if (err == ERR_OK && tjDecompress2(jpeg, bytes, length, r->rgb, r->width, 0, r->height,
					   TJPF_RGB, TJFLAG_STOPONWARNING | TJFLAG_LIMITSCANS) != 0)
		err = unreadable(tjGetErrorStr2(jpeg), f);
	tjDestroy(jpeg);
	return err;
}

static enum err read_png(const unsigned char *bytes, size_t length, struct raster *r,
			 struct fault *f) {
	static const png_color paper = {255, 255, 255};
	png_image png = {.version = PNG_IMAGE_VERSION};
	enum err err = png_image_begin_read_from_memory(&png, bytes, length)
			   ? check_size(png.width, png.height, f)
			   : unreadable(png.message, f);
	if (err == ERR_OK) err = raster_make(r, (int)png.width, (int)png.height, 3, f);
	png.format = PNG_FORMAT_RGB;
	if (err == ERR_OK && !png_image_finish_read(&png, &paper, r->rgb, 0, NULL))
		err = unreadable(png.message, f);
	png_image_free(&png);
	return err;
}

/* What shines through stands on white paper. Four bytes a pixel become three, in place. */
static void drop_alpha(struct raster *r) {
	size_t count = (size_t)r->width * (size_t)r->height;
	for (size_t i = 0; i < count; i++) {
		unsigned alpha = r->rgb[4 * i + 3];
		for (size_t c = 0; c < 3; c++)
			r->rgb[3 * i + c] = (unsigned char)((r->rgb[4 * i + c] * alpha +
							     255 * (255 - alpha) + 127) /
							    255);
	}
}

static enum err read_webp(const unsigned char *bytes, size_t length, struct raster *r,
			  struct fault *f) {
	WebPBitstreamFeatures seen;
	if (WebPGetFeatures(bytes, length, &seen) != VP8_STATUS_OK) return unreadable(NULL, f);
	if (seen.has_animation)
		return fault_set(f, ERR_INVALID, NULL, "This picture moves. Send one that stands.");
	size_t step = seen.has_alpha ? 4 : 3, line = step * (size_t)seen.width;
	enum err err = check_size(seen.width, seen.height, f);
	if (err == ERR_OK) err = raster_make(r, seen.width, seen.height, step, f);
	if (err != ERR_OK) return err;
	uint8_t *(*decode)(const uint8_t *, size_t, uint8_t *, size_t, int) =
	    seen.has_alpha ? WebPDecodeRGBAInto : WebPDecodeRGBInto;
	if (!decode(bytes, length, r->rgb, line * (size_t)seen.height, (int)line))
		return unreadable(NULL, f);
	if (seen.has_alpha) drop_alpha(r);
	return ERR_OK;
}

static bool starts(const unsigned char *bytes, size_t length, const char *what, size_t size) {
	return length >= size && memcmp(bytes, what, size) == 0;
}

static enum err read_any(const unsigned char *bytes, size_t length, struct raster *r,
			 struct fault *f) {
	if (starts(bytes, length, "\xff\xd8\xff", 3)) return read_jpeg(bytes, length, r, f);
	if (starts(bytes, length, "\x89PNG\r\n\x1a\n", 8)) return read_png(bytes, length, r, f);
	if (starts(bytes, length, "RIFF", 4) && length >= 12 && memcmp(bytes + 8, "WEBP", 4) == 0)
		return read_webp(bytes, length, r, f);
	return fault_set(f, ERR_INVALID, NULL,
			 "This is no picture that can be kept. Send a JPEG, a PNG or a WebP.");
}

/* --- smaller, and upright --------------------------------------------------------------- */

/* One line of n pixels as m of them, m <= n: each is the mean of what it covers. The steps are
 * from pixel to pixel. */
static void shrink_line(const unsigned char *from, size_t from_step, int n, unsigned char *to,
			size_t to_step, int m) {
	for (int i = 0; i < m; i++) {
		/* In parts of a pixel, m to one of before: it covers n of them. */
		int64_t first = (int64_t)i * n, last = first + n, sum[3] = {0};
		for (int64_t j = first / m; j * m < last; j++) {
			int64_t begin = j * m > first ? j * m : first;
			int64_t end = (j + 1) * m < last ? (j + 1) * m : last;
			for (size_t c = 0; c < 3; c++)
				sum[c] += (end - begin) * from[(size_t)j * from_step + c];
		}
		for (size_t c = 0; c < 3; c++)
			to[(size_t)i * to_step + c] = (unsigned char)((sum[c] + n / 2) / n);
	}
}

static int shrunk(int side, int longest, int edge) {
	int64_t now = ((int64_t)side * edge + longest / 2) / longest;
	return now < 1 ? 1 : (int)now;
}

/* A copy whose longer side is the edge, or as it is when that is longer. */
static enum err raster_shrink(const struct raster *r, int edge, struct raster *to,
			      struct fault *f) {
	int longest = longer(r->width, r->height);
	if (longest <= edge) edge = longest;
	int width = shrunk(r->width, longest, edge), height = shrunk(r->height, longest, edge);
	struct raster narrow = {0};
	enum err err = raster_make(&narrow, width, r->height, 3, f);
	if (err == ERR_OK) err = raster_make(to, width, height, 3, f);
	size_t from_line = 3 * (size_t)r->width, line = 3 * (size_t)width;
	for (int y = 0; err == ERR_OK && y < r->height; y++)
		shrink_line(r->rgb + (size_t)y * from_line, 3, r->width,
			    narrow.rgb + (size_t)y * line, 3, width);
	for (int x = 0; err == ERR_OK && x < width; x++)
		shrink_line(narrow.rgb + 3 * (size_t)x, line, r->height, to->rgb + 3 * (size_t)x,
			    line, height);
	raster_release(&narrow);
	return err;
}

/* As Exif counts: where the first line and the first column of the picture lie. */
static enum err raster_turn(const struct raster *r, int orientation, struct raster *to,
			    struct fault *f) {
	bool swaps = orientation >= 5;
	bool from_right =
	    orientation == 2 || orientation == 3 || orientation == 7 || orientation == 8;
	bool from_below =
	    orientation == 3 || orientation == 4 || orientation == 6 || orientation == 7;
	enum err err =
	    raster_make(to, swaps ? r->height : r->width, swaps ? r->width : r->height, 3, f);
	unsigned char *pixel = to->rgb;
	for (int y = 0; err == ERR_OK && y < to->height; y++)
		for (int x = 0; x < to->width; x++, pixel += 3) {
			int column = swaps ? y : x, row = swaps ? x : y;
			if (from_right) column = r->width - 1 - column;
			if (from_below) row = r->height - 1 - row;
			memcpy(pixel,
			       r->rgb + 3 * ((size_t)row * (size_t)r->width + (size_t)column), 3);
		}
	return err;
}

/* --- writing --------------------------------------------------------------------------- */

static enum err write_jpeg(const struct raster *r, struct arena *a, struct picture *p,
			   struct fault *f) {
	unsigned char *bytes = NULL;
	unsigned long length = 0;
	tjhandle jpeg = tjInitCompress();
	if (!jpeg) return fault_memory(f);
	bool written = tjCompress2(jpeg, r->rgb, r->width, 0, r->height, TJPF_RGB, &bytes, &length,
				   TJSAMP_420, LIMIT_PHOTO_QUALITY, 0) == 0;
	*p = (struct picture){.length = length, .width = r->width, .height = r->height};
	if (written) p->bytes = (const unsigned char *)arena_copy(a, (const char *)bytes, length);
	tjFree(bytes);
	tjDestroy(jpeg);
	/* What can be in memory can be written. */
	return p->bytes ? ERR_OK : fault_memory(f);
}

/* Made smaller first: then there is less to turn. */
static enum err write_upright(const struct raster *r, int edge, int orientation, struct arena *a,
			      struct picture *p, struct fault *f) {
	struct raster smaller = {0}, upright = {0};
	enum err err = raster_shrink(r, edge, &smaller, f);
	if (err == ERR_OK) err = raster_turn(&smaller, orientation, &upright, f);
	if (err == ERR_OK) err = write_jpeg(&upright, a, p, f);
	raster_release(&smaller);
	raster_release(&upright);
	return err;
}

enum err picture_take(const void *bytes, size_t length, struct arena *a, struct picture *picture,
		      struct picture *small, struct fault *f) {
	struct raster r = {0};
	int orientation = exif_orientation(bytes, length);
	enum err err = read_any(bytes, length, &r, f);
	if (err == ERR_OK) err = write_upright(&r, LIMIT_PHOTO_EDGE, orientation, a, picture, f);
	if (err == ERR_OK)
		err = write_upright(&r, LIMIT_PHOTO_SMALL_EDGE, orientation, a, small, f);
	raster_release(&r);
	return err;
}
