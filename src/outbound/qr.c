#include "outbound/qr.h"

#include <qrencode.h>

#include "base/buf.h"

#define QUIET_ZONE 4 /* modules of white around the code, as ISO/IEC 18004 asks */

enum err qr_svg(const char *text, struct arena *a, struct doc *map, const char *key,
		struct fault *f) {
	QRcode *code = QRcode_encodeString8bit(text, 0, QR_ECLEVEL_M);
	if (!code) return fault_set(f, ERR_INTERNAL, NULL, "The QR code cannot be made.");
	int size = code->width + 2 * QUIET_ZONE;
	struct buf b;
	buf_init(&b, 1024 * 1024);
	buf_printf(
	    &b,
	    "<svg class=\"qr\" xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %d %d\" "
	    "role=\"img\" aria-label=\"QR code of this ticket\" shape-rendering=\"crispEdges\">"
	    "<rect width=\"%d\" height=\"%d\" fill=\"#fff\"/><path fill=\"#000\" d=\"",
	    size, size, size, size);
	for (int y = 0; y < code->width; y++)
		for (int x = 0; x < code->width; x++)
			if (code->data[y * code->width + x] & 1)
				buf_printf(&b, "M%d %dh1v1h-1z", x + QUIET_ZONE, y + QUIET_ZONE);
	buf_add_text(&b, "\"/></svg>");
	QRcode_free(code);
	const char *svg = buf_failed(&b) ? NULL : arena_copy(a, buf_text(&b), b.length);
	buf_release(&b);
	if (!svg) return fault_set(f, ERR_MEMORY, NULL, "There is no memory left.");
	doc_set_text(map, key, svg);
	return ERR_OK;
}
