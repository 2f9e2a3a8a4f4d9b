#include "outbound/symbol.h"

#include <zint.h>

#include "base/buf.h"

#define LEVEL_M 2 /* as zint counts the levels of error correction */
#define PATH_BYTES_MAX (256 * 1024)

/* Modules of white on each side: ISO/IEC 18004 and ISO/IEC 15417 (from memory). */
static const struct {
	const char *label;
	int zint, input, option, quiet_x, quiet_y;
} known[] = {
    [SYMBOLOGY_QR] = {"QR code", BARCODE_QRCODE, DATA_MODE, LEVEL_M, 4, 4},
    [SYMBOLOGY_CODE_128] = {"Code 128", BARCODE_CODE128, UNICODE_MODE, -1, 10, 0},
};

static bool is_dark(const struct zint_symbol *symbol, int x, int y) {
	return symbol->encoded_data[y][x / 8] >> (x % 8) & 1;
}

/* One row: where a stretch begins seen from where the last one ended, and how long it is. */
static void add_row(struct buf *b, const struct zint_symbol *symbol, int y, int quiet_x,
		    int quiet_y) {
	int x = 0, last = 0;
	while (x < symbol->width) {
		if (!is_dark(symbol, x, y)) {
			x++;
			continue;
		}
		int begin = x;
		while (x < symbol->width && is_dark(symbol, x, y)) x++;
		if (last) buf_printf(b, "m%d 0", begin - last);
		else buf_printf(b, "M%d %d.5", begin + quiet_x, y + quiet_y);
		buf_printf(b, "h%d", x - begin);
		last = x;
	}
}

static enum err describe(enum symbology symbology, const struct zint_symbol *symbol,
			 struct doc *map, struct fault *f) {
	int quiet_x = known[symbology].quiet_x, quiet_y = known[symbology].quiet_y;
	struct buf b;
	buf_init(&b, PATH_BYTES_MAX);
	for (int y = 0; y < symbol->rows; y++) add_row(&b, symbol, y, quiet_x, quiet_y);
	doc_set_text(map, "symbology_label", known[symbology].label);
	doc_set_int(map, "modules_wide", symbol->width + 2 * quiet_x);
	doc_set_int(map, "modules_high", symbol->rows + 2 * quiet_y);
	bool failed = buf_failed(&b);
	if (!failed) doc_set_copy(map, "path", buf_text(&b));
	buf_release(&b);
	return failed ? fault_set(f, ERR_MEMORY, NULL, "There is no memory left.") : ERR_OK;
}

enum err symbol_make(enum symbology symbology, const char *text, struct doc *map, struct fault *f) {
	struct zint_symbol *symbol = ZBarcode_Create();
	if (!symbol) return fault_set(f, ERR_MEMORY, NULL, "There is no memory left.");
	symbol->symbology = known[symbology].zint;
	symbol->input_mode = known[symbology].input;
	symbol->option_1 = known[symbology].option;
	int outcome = ZBarcode_Encode(symbol, (const unsigned char *)text, 0);
	enum err err = outcome == ZINT_ERROR_MEMORY
			   ? fault_set(f, ERR_MEMORY, NULL, "There is no memory left.")
		       : outcome >= ZINT_ERROR
			   ? fault_set(f, ERR_INVALID, NULL, "No %s can hold \"%.40s\".",
				       known[symbology].label, text)
			   : describe(symbology, symbol, map, f);
	ZBarcode_Delete(symbol);
	return err;
}
