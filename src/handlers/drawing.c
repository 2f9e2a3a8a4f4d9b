#include "handlers/drawing.h"

#include <string.h>

#include "base/buf.h"

#define DRAWING_BYTES_MAX (16u * 1024)

static enum err read_title(const char **title, const char *svg, const char *name, struct arena *a,
			   struct fault *f) {
	static const char opens[] = "<title>";
	const char *start = strstr(svg, opens);
	const char *end = start ? strstr(start, "</title>") : NULL;
	if (!end) return fault_set(f, ERR_CORRUPT, NULL, "The drawing %s has no title.", name);
	start += sizeof opens - 1;
	*title = arena_copy(a, start, (size_t)(end - start));
	return *title ? ERR_OK : fault_memory(f);
}

static enum err load(const char **title, const char *share_dir, const char *name, struct arena *a,
		     struct fault *f) {
	struct buf svg;
	buf_init(&svg, DRAWING_BYTES_MAX);
	const char *path = arena_printf(a, "%s/static/how/%s.svg", share_dir, name);
	enum err err = path ? buf_add_file(&svg, path, f) : fault_memory(f);
	if (err == ERR_OK) err = read_title(title, buf_text(&svg), name, a, f);
	buf_release(&svg);
	return err;
}

enum err drawings_load(const char *const **said, const char *share_dir, const struct handbook *hb,
		       struct arena *a, struct fault *f) {
	const char **title = arena_array(a, const char *, hb->point_count);
	*said = title;
	enum err err = title ? ERR_OK : fault_memory(f);
	for (size_t i = 0; err == ERR_OK && i < hb->point_count; i++)
		if (hb->point[i].drawing)
			err = load(&title[i], share_dir, hb->point[i].drawing, a, f);
	return err;
}
