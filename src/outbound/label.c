#include "outbound/label.h"

#include <string.h>

#include "base/text.h"

/* See label.h */
#define PLACE_WIDTH_MIN 2000
#define PLACE_HEIGHT_MIN 1000
#define MODULE_MIN 19
#define MODULE_MAX 50 /* wider bars only fill the label */
/* Heights of letters. Below the least a line is cut. */
#define TAG_SIZE_MAX 600
#define LINE_SIZE_MAX 320
#define SIZE_MIN 160
/* Advance of a character in hundredths of its size: of the fixed pitch that tags are set in,
 * and of ordinary text at its widest. */
#define TAG_PITCH 61
#define LINE_PITCH 60

static int64_t smaller(int64_t a, int64_t b) { return a < b ? a : b; }
static int64_t larger(int64_t a, int64_t b) { return a > b ? a : b; }

/* --- sheets ------------------------------------------------------------------------- */

static int64_t place_size(int64_t paper, int64_t margin, int64_t gap, int64_t count) {
	return (paper - 2 * margin - gap * (count - 1)) / count;
}

enum err label_sheet_check(const struct label_sheet *sheet, struct fault *f) {
	struct label_box first = label_place(sheet, 0);
	if (first.width < PLACE_WIDTH_MIN)
		return fault_set(f, ERR_INVALID, "columns",
				 "So many columns leave less than %d mm for a label.",
				 PLACE_WIDTH_MIN / 100);
	if (first.height < PLACE_HEIGHT_MIN)
		return fault_set(f, ERR_INVALID, "rows",
				 "So many rows leave less than %d mm for a label.",
				 PLACE_HEIGHT_MIN / 100);
	return ERR_OK;
}

struct label_box label_place(const struct label_sheet *s, int64_t number) {
	struct label_box box = {.width = place_size(s->width, s->left, s->gap_x, s->columns),
				.height = place_size(s->height, s->top, s->gap_y, s->rows)};
	box.x = s->left + number % s->columns * (box.width + s->gap_x);
	box.y = s->top + number / s->columns * (box.height + s->gap_y);
	return box;
}

/* --- one label ---------------------------------------------------------------------- */

/* Bytes of the first characters of a text. */
static int head(const char *text, int64_t chars) {
	const char *end = text;
	for (; *end && chars > 0; chars--) {
		end++;
		while ((*end & 0xC0) == 0x80) end++;
	}
	return (int)(end - text);
}

/* The largest size in which so many characters are as wide as the box. */
static int64_t size_across(const struct label_box *box, int64_t pitch, int64_t chars) {
	return box->width * 100 / (pitch * larger(chars, 1));
}

/* Below what stands at y already. */
static void put(struct doc *texts, const struct label_box *box, int64_t *y, int64_t size,
		const char *text, bool is_tag) {
	struct doc *t = doc_add_map(texts);
	*y += size;
	doc_set_int(t, "x", box->x);
	doc_set_int(t, "y", *y);
	doc_set_int(t, "size", size);
	doc_set_text(t, "text", text);
	doc_set_bool(t, "is_tag", is_tag);
	*y += size / 4;
}

/* In as many rows as it takes: a tag is never cut. */
static void put_tag(struct doc *texts, const struct label_box *box, int64_t *y, int64_t most,
		    const char *tag) {
	int64_t chars = (int64_t)text_chars(tag);
	int64_t across = larger(box->width * 100 / (TAG_PITCH * SIZE_MIN), 1);
	int64_t rows = (chars + across - 1) / across, in_row = (chars + rows - 1) / rows;
	int64_t size = smaller(larger(most / rows, SIZE_MIN), size_across(box, TAG_PITCH, in_row));
	while (*tag) {
		int bytes = head(tag, in_row);
		put(texts, box, y, size, arena_printf(texts->arena, "%.*s", bytes, tag), true);
		tag += bytes;
	}
}

static void put_line(struct doc *texts, const struct label_box *box, int64_t *y, int64_t most,
		     const char *line) {
	int64_t size = smaller(most, size_across(box, LINE_PITCH, (int64_t)text_chars(line)));
	if (size < SIZE_MIN) {
		size = SIZE_MIN;
		int64_t chars = box->width * 100 / (LINE_PITCH * size) - 1;
		if (chars < (int64_t)text_chars(line))
			line = arena_printf(texts->arena, "%.*s…", head(line, chars), line);
	}
	if (*y + size <= box->y + box->height) put(texts, box, y, size, line, false);
}

/* The tag twice as large as the lines below it, of which those stand there that fit. */
static void draw_texts(const struct label *label, const struct label_box *box, struct doc *texts) {
	int64_t lines = 0, y = box->y;
	while (lines < LABEL_LINES_MAX && label->line[lines]) lines++;
	int64_t unit = box->height * 4 / (5 * (lines + 2));
	put_tag(texts, box, &y, smaller(2 * unit, TAG_SIZE_MAX), label->tag);
	for (int64_t i = 0; i < lines; i++)
		put_line(texts, box, &y, smaller(unit, LINE_SIZE_MAX), label->line[i]);
}

static void set_box(struct doc *map, const struct label_box *box) {
	doc_set_int(map, "x", box->x);
	doc_set_int(map, "y", box->y);
	doc_set_int(map, "width", box->width);
	doc_set_int(map, "height", box->height);
}

/* All lines as one: bars leave little height and much width. */
static const char *joined(struct arena *a, const struct label *label) {
	const char *line = label->line[0];
	for (size_t i = 1; i < LABEL_LINES_MAX && label->line[i]; i++)
		line = arena_printf(a, "%s, %s", line, label->line[i]);
	return line;
}

/* The square at the left; the texts beside it. */
static void place_qr(struct label_box *inner, struct label_box *symbol) {
	int64_t side = smaller(inner->height, inner->width * 45 / 100);
	*symbol = (struct label_box){inner->x, inner->y + (inner->height - side) / 2, side, side};
	*inner =
	    (struct label_box){inner->x + side + 100, symbol->y, inner->width - side - 100, side};
}

/* The bars below, the texts above them. */
static void place_bars(struct label_box *inner, struct label_box *symbol, int64_t modules) {
	int64_t width = smaller(inner->width, modules * MODULE_MAX);
	int64_t height = inner->height * 45 / 100;
	*symbol = (struct label_box){inner->x + (inner->width - width) / 2,
				     inner->y + inner->height - height, width, height};
	inner->height -= height + 50;
}

enum err label_draw(const struct label *label, const struct label_box *place,
		    enum symbology symbology, struct doc *map, struct fault *f) {
	int64_t edge = smaller(place->width, place->height) / 12;
	struct label_box inner = {place->x + edge, place->y + edge, place->width - 2 * edge,
				  place->height - 2 * edge};
	struct doc *texts = doc_set_list(map, "texts"), *symbol = doc_set_map(map, "symbol");
	if (!symbol) return fault_set(f, ERR_MEMORY, NULL, "There is no memory left.");
	bool bars = symbology == SYMBOLOGY_CODE_128, held = false;
	if (bars) {
		struct fault unheld = {0};
		enum err err = symbol_make(symbology, label->tag, symbol, &unheld);
		if (err != ERR_OK && err != ERR_INVALID)
			return fault_set(f, err, NULL, "%s", unheld.message);
		held = err == ERR_OK && doc_int(symbol, "modules_wide") * MODULE_MIN <= inner.width;
	}
	enum err err = held ? ERR_OK : symbol_make(SYMBOLOGY_QR, label->tag, symbol, f);
	if (err != ERR_OK) return err;
	struct label_box box;
	struct label words = *label;
	if (held) {
		place_bars(&inner, &box, doc_int(symbol, "modules_wide"));
		words.line[0] = joined(map->arena, label);
		words.line[1] = NULL;
	} else place_qr(&inner, &box);
	set_box(symbol, &box);
	draw_texts(&words, &inner, texts);
	doc_set_bool(map, "is_instead", bars && !held);
	return ERR_OK;
}
