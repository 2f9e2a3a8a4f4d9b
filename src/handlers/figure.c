#include "handlers/figure.h"

#include "base/buf.h"
#include "handlers/app.h"
#include "handlers/words.h"

/* --- at start ------------------------------------------------------------------------- */

#define FIGURE_BYTES_MAX (64u * 1024)

static enum err load(struct figure *figure, const char *share_dir, const struct kind *kind,
		     const struct handbook *hb, struct arena *a, struct fault *f) {
	struct buf svg;
	buf_init(&svg, FIGURE_BYTES_MAX);
	const char *path = arena_printf(a, "%s/static/figures/%s.svg", share_dir, kind->code);
	enum err err = path ? buf_add_file(&svg, path, f) : fault_memory(f);
	if (err == ERR_OK) err = figure_read(figure, kind, hb, buf_text(&svg), a, f);
	buf_release(&svg);
	return err;
}

enum err figures_load(const struct figure **figures, const char *share_dir,
		      const struct handbook *hb, struct arena *a, struct fault *f) {
	struct figure *figure = arena_array(a, struct figure, hb->kind_count);
	*figures = figure;
	enum err err = figure ? ERR_OK : fault_memory(f);
	for (size_t i = 0; err == ERR_OK && i < hb->kind_count; i++)
		err = load(&figure[i], share_dir, &hb->kind[i], hb, a, f);
	return err;
}

/* --- marks ---------------------------------------------------------------------------- */

/* How a finding is marked: told apart by shape as by colour, in the stylesheet's words. */
enum mark { MARK_DRAFT, MARK_OPEN, MARK_ACCEPTED, MARK_ENDED, MARK_COUNT };
static const struct {
	const char *word;
	bool is_hollow;
} mark_table[MARK_COUNT] = {{"draft", true}, {"open", false}, {"accepted", true}, {"ended", false}};
#define MARK_STEP 18 /* between marks at one place, in units of the drawing */

static enum mark mark_of(const struct doc *finding) {
	static const char *const same[] = {"draft", "open", "accepted"};
	int found = word_find(same, 3, doc_text(finding, "state"));
	return found < 0 ? MARK_ENDED : (enum mark)found;
}

/* Marks of a shape stand side by side. Returns how many findings they are for. */
static size_t add_marks(const struct figure_picture *picture, const struct figure_shape *shape,
			const struct doc *findings, struct doc *marks) {
	size_t count[MARK_COUNT] = {0}, found = 0;
	int kinds = 0, step = 0;
	for (const struct doc *f = findings->first; f; f = f->next)
		if (figure_is_at(picture, shape, doc_text(f, "zone"), doc_text(f, "face"),
				 doc_text(f, "side"))) {
			kinds += count[mark_of(f)]++ == 0;
			found++;
		}
	for (int i = 0; i < MARK_COUNT; i++) {
		if (!count[i]) continue;
		struct doc *m = doc_add_map(marks);
		doc_set_text(m, "shape", shape->id);
		doc_set_text(m, "word", mark_table[i].word);
		doc_set_bool(m, "is_hollow", mark_table[i].is_hollow);
		doc_set_int(m, "x", (2 * step++ - (kinds - 1)) * MARK_STEP / 2);
	}
	return found;
}

/* --- pictures ------------------------------------------------------------------------- */

static void add_shape(const struct figure_picture *picture, const struct figure_shape *shape,
		      const struct figure_place *asked, size_t found, struct doc *shapes) {
	struct doc *m = doc_add_map(shapes);
	const char *side = shape->zone->has_sides ? picture->side : NULL;
	doc_set_text(m, "id", shape->id);
	doc_set_text(m, "zone", shape->zone->code);
	doc_set_text(m, "zone_label", shape->zone->label);
	doc_set_text(m, "face", shape->face);
	doc_set_text(m, "side", side);
	doc_set_int(m, "found", (int64_t)found);
	doc_set_bool(m, "is_chosen",
		     asked && figure_is_at(picture, shape, asked->zone, asked->face, asked->side));
}

static const char *file_of(const struct kind *kind, struct arena *a) {
	return arena_printf(a, "/static/figures/%s.svg", kind->code);
}

static struct doc *picture_document(const struct figure_picture *picture, struct doc *pictures) {
	struct doc *m = doc_add_map(pictures);
	const char *view = choice_label(figure_view_choice, figure_view_word[picture->view]);
	doc_set_text(m, "lines", picture->id);
	doc_set_printf(m, "label", "%s%s%s", view, picture->side ? ", " : "",
		       picture->side ? picture->side : "");
	return m;
}

static void add_picture(const struct figure *figure, const struct figure_picture *picture,
			const struct doc *findings, const struct figure_place *asked,
			struct doc *pictures) {
	struct doc *m = picture_document(picture, pictures);
	struct doc *shapes = doc_set_list(m, "shapes"), *marks = doc_set_list(m, "marks");
	for (size_t i = 0; i < figure->shape_count; i++) {
		const struct figure_shape *shape = &figure->shape[i];
		if (shape->view != picture->view) continue;
		size_t found = add_marks(picture, shape, findings, marks);
		add_shape(picture, shape, asked, found, shapes);
	}
}

/* --- places --------------------------------------------------------------------------- */

static void add_finding(struct doc *list, const struct doc *row) {
	static const char *const same[] = {"defect_label", "face",     "side",     "place",
					   "state",        "found_on", "closed_on"};
	struct doc *m = doc_add_map(list);
	const char *state = doc_text(row, "state"),
		   *label = choice_label(finding_state_choice, state);
	doc_set_int(m, "id", doc_int(row, "id"));
	for (size_t i = 0; i < sizeof same / sizeof *same; i++)
		doc_set_text(m, same[i], doc_text(row, same[i]));
	doc_set_text(m, "state_label", mark_of(row) == MARK_DRAFT ? "Written down now" : label);
}

/* zone: NULL for those of which nobody said where. */
static void add_place(const struct zone *zone, const struct doc *findings, struct doc *places) {
	struct doc *m = NULL, *list = NULL;
	for (const struct doc *f = findings->first; f; f = f->next) {
		if (!text_equal(doc_text(f, "zone"), zone ? zone->code : NULL)) continue;
		if (!m) {
			m = doc_add_map(places);
			doc_set_text(m, "zone", zone ? zone->code : NULL);
			doc_set_text(m, "zone_label", zone ? zone->label : "Place not said");
			list = doc_set_list(m, "findings");
		}
		add_finding(list, f);
	}
	if (m) doc_set_int(m, "count", (int64_t)doc_count(list));
}

void figure_document(struct request *rq, struct doc *page, const struct kind *kind,
		     const struct doc *findings, const struct figure_place *asked) {
	struct app *app = request_app(rq);
	const struct handbook *hb = app_handbook(app);
	const struct figure *figure = app_figure(app, kind);
	struct doc *m = doc_set_map(page, "figure");
	doc_set_text(m, "file", file_of(kind, m->arena));
	doc_set_bool(m, "is_asked", asked != NULL);
	struct doc *pictures = doc_set_list(m, "pictures");
	for (size_t i = 0; i < figure->picture_count; i++)
		add_picture(figure, &figure->picture[i], findings, asked, pictures);
	struct doc *places = doc_set_list(m, "places");
	for (size_t i = 0; i < hb->zone_count; i++)
		if (hb->zone[i].kind == kind) add_place(&hb->zone[i], findings, places);
	add_place(NULL, findings, places);
	doc_set_bool(m, "has_places", doc_count(places) > 0);
}

/* --- numbered ------------------------------------------------------------------------- */

/* In units of the drawing: numbers at one place stand in rows, inside of the picture. */
#define NUMBER_STEP 26
#define NUMBERS_IN_ROW 4
#define NUMBER_EDGE 12

static int clamp(int value, int from, int to) {
	return value < from ? from : value > to ? to : value;
}

/* Where the i-th of count numbers at a shape stands. */
static void place_number(const struct figure_shape *shape, int i, int count, struct doc *mark) {
	int row = i / NUMBERS_IN_ROW, before = row * NUMBERS_IN_ROW,
	    width = NUMBER_STEP * (clamp(count - before, 1, NUMBERS_IN_ROW) - 1),
	    left =
		clamp(shape->mark_x - width / 2, NUMBER_EDGE, FIGURE_UNITS - NUMBER_EDGE - width);
	doc_set_int(mark, "x", left + NUMBER_STEP * (i - before));
	doc_set_int(mark, "y", shape->mark_y + NUMBER_STEP * row);
}

struct numbered {
	const struct figure *figure;
	const struct doc *rows;
	int64_t component;
};

static bool is_numbered_at(const struct numbered *n, const struct figure_picture *picture,
			   const struct figure_shape *shape, const struct doc *row) {
	return doc_int(row, "component") == n->component &&
	       figure_is_at(picture, shape, doc_text(row, "zone"), doc_text(row, "face"),
			    doc_text(row, "side"));
}

/* Those at a shape; said is what was said of the picture before, and then of these. */
static const char *add_numbers(const struct numbered *n, const struct figure_picture *picture,
			       const struct figure_shape *shape, struct doc *marks,
			       const char *said) {
	int count = 0, i = 0;
	for (const struct doc *row = n->rows->first; row; row = row->next)
		count += is_numbered_at(n, picture, shape, row);
	for (const struct doc *row = n->rows->first; row; row = row->next) {
		if (!is_numbered_at(n, picture, shape, row)) continue;
		struct doc *m = doc_add_map(marks);
		long long number = (long long)doc_int(row, "number");
		doc_set_int(m, "number", number);
		place_number(shape, i++, count, m);
		said = arena_printf(marks->arena, "%s%s%lld %s", said, *said ? ", " : "", number,
				    shape->zone->label);
	}
	return said;
}

/* A picture in which nothing is, is left out. */
static void add_numbered_picture(const struct numbered *n, const struct figure_picture *picture,
				 struct doc *pictures) {
	struct doc *shapes = doc_list(pictures->arena), *marks = doc_list(pictures->arena);
	const char *said = "";
	for (size_t i = 0; i < n->figure->shape_count; i++) {
		const struct figure_shape *shape = &n->figure->shape[i];
		size_t before = doc_count(marks);
		said = add_numbers(n, picture, shape, marks, said);
		if (doc_count(marks) > before) doc_set_text(doc_add_map(shapes), "id", shape->id);
	}
	if (doc_count(marks) == 0) return;
	struct doc *m = picture_document(picture, pictures);
	doc_set_text(m, "said", said);
	doc_set(m, "shapes", shapes);
	doc_set(m, "marks", marks);
}

void figure_numbered(struct request *rq, struct doc *map, const struct kind *kind,
		     const struct doc *rows, int64_t component) {
	const struct numbered n = {app_figure(request_app(rq), kind), rows, component};
	struct doc *m = doc_map(map->arena), *pictures = doc_set_list(m, "pictures");
	doc_set_text(m, "file", file_of(kind, m->arena));
	for (size_t i = 0; i < n.figure->picture_count; i++)
		add_numbered_picture(&n, &n.figure->picture[i], pictures);
	if (doc_count(pictures)) doc_set(map, "figure", m);
	else doc_set_null(map, "figure");
}
