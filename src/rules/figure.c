#include "rules/figure.h"

#include <string.h>

#include "base/text.h"

#define WORD(code, word, label) word,
const char *const figure_view_word[VIEW_COUNT] = {FIGURE_VIEW_LIST(WORD)};

/* --- reading ---------------------------------------------------------------------------- */

#define ID_PARTS_MAX 4

/* The parts of an id between its dots. */
struct id {
	const char *text;
	const char *part[ID_PARTS_MAX];
	size_t count;
	bool is_mark; /* its last part, which is not counted */
};

struct reading {
	struct figure *figure;
	const struct handbook *hb;
	struct figure_picture *picture;
	struct figure_shape *shape;
	struct arena *a;
	struct fault *f;
};

static enum err refuse(const struct reading *r, const char *id, const char *why) {
	return fault_set(r->f, ERR_CORRUPT, NULL, "The drawing of %s: %s %s.",
			 r->figure->kind->code, id, why);
}

/* No parts without memory; no more than there is room for. */
static void split(struct id *id, const char *text, struct arena *a) {
	*id = (struct id){.text = text};
	char *rest = arena_strdup(a, text);
	while (rest && id->count < ID_PARTS_MAX) {
		id->part[id->count++] = rest;
		rest = strchr(rest, '.');
		if (rest) *rest++ = '\0';
	}
	if (id->count > 1 && text_equal(id->part[id->count - 1], "mark")) {
		id->is_mark = true;
		id->count--;
	}
}

static enum err read_picture(struct reading *r, const struct id *id, enum figure_view view) {
	struct figure_picture *p = &r->picture[r->figure->picture_count++];
	*p = (struct figure_picture){.id = id->text, .view = view};
	if (id->count == 2) p->side = side_word[word_find(side_word, SIDE_COUNT, id->part[1])];
	return ERR_OK;
}

/* A whole number of units within the drawing, and what must follow it. */
static bool read_units(const char **at, const char *end, int *units) {
	const char *digit = *at;
	int number = 0;
	for (; *digit >= '0' && *digit <= '9' && number <= FIGURE_UNITS; digit++)
		number = 10 * number + (*digit - '0');
	if (digit == *at || number > FIGURE_UNITS || !text_starts(digit, end)) return false;
	*units = number;
	*at = digit + strlen(end);
	return true;
}

static bool read_place(const char *rest, struct figure_shape *shape) {
	static const char before[] = "\" d=\"M";
	if (!text_starts(rest, before)) return false;
	rest += sizeof before - 1;
	return read_units(&rest, " ", &shape->mark_x) && read_units(&rest, "h0\"", &shape->mark_y);
}

/* The mark follows its shape, and its id is followed by where it is. */
static enum err read_mark(struct reading *r, const char *text, const char *rest) {
	size_t count = r->figure->shape_count;
	struct figure_shape *last = count ? &r->shape[count - 1] : NULL;
	size_t length = last ? strlen(last->id) : 0;
	if (!last || last->has_mark || strncmp(last->id, text, length) != 0 ||
	    !text_equal(text + length, ".mark"))
		return refuse(r, text, "does not follow its shape");
	last->has_mark = true;
	return read_place(rest, last) ? ERR_OK : refuse(r, text, "does not say where it is");
}

static enum err read_shape(struct reading *r, const struct id *id, enum figure_view view) {
	const struct zone *zone = handbook_zone(r->hb, r->figure->kind, id->part[1]);
	if (!zone) return refuse(r, id->text, "names no zone of the handbook");
	const char *face = view == VIEW_FRONT  ? face_word[FACE_FRONT]
			   : view == VIEW_BACK ? face_word[FACE_BACK]
					       : NULL;
	bool says_face = id->count == 3;
	if (says_face) {
		int found = word_find(face_word, FACE_COUNT, id->part[2]);
		if (found < 0 || face || !zone->has_faces)
			return refuse(r, id->text, "says a face that it cannot have");
		face = face_word[found];
	}
	if (zone->has_faces && !face) return refuse(r, id->text, "does not say front or back");
	r->shape[r->figure->shape_count++] = (struct figure_shape){
	    .id = id->text, .view = view, .zone = zone, .face = zone->has_faces ? face : NULL};
	return ERR_OK;
}

/* rest: what follows the id. */
static enum err read_id(struct reading *r, const char *text, const char *rest) {
	struct id id;
	split(&id, text, r->a);
	if (!id.count) return fault_memory(r->f);
	int view = word_find(figure_view_word, VIEW_COUNT, id.part[0]);
	if (view < 0 && id.count == 1 && !id.is_mark) return ERR_OK; /* the drawing's own */
	if (view < 0) return refuse(r, text, "begins with no view");
	if (id.count > 3) return refuse(r, text, "has too many parts");
	if (id.is_mark) return read_mark(r, text, rest);
	bool is_picture = id.count == 1 || word_find(side_word, SIDE_COUNT, id.part[1]) >= 0;
	return is_picture ? read_picture(r, &id, (enum figure_view)view)
			  : read_shape(r, &id, (enum figure_view)view);
}

static const char id_begins[] = " id=\"";

static size_t count_ids(const char *svg) {
	size_t count = 0;
	while ((svg = strstr(svg, id_begins)) != NULL) {
		svg += sizeof id_begins - 1;
		count++;
	}
	return count;
}

static enum err read_ids(struct reading *r, const char *svg) {
	enum err err = ERR_OK;
	while (err == ERR_OK && (svg = strstr(svg, id_begins)) != NULL) {
		svg += sizeof id_begins - 1;
		size_t length = strcspn(svg, "\"");
		const char *id = arena_copy(r->a, svg, length);
		err = id ? read_id(r, id, svg + length) : fault_memory(r->f);
	}
	return err;
}

/* --- is it whole? ------------------------------------------------------------------------ */

static bool is_drawn(const struct figure *fig, const struct zone *zone, const char *face,
		     const char *side) {
	for (size_t p = 0; p < fig->picture_count; p++)
		for (size_t s = 0; s < fig->shape_count; s++)
			if (fig->picture[p].view == fig->shape[s].view &&
			    fig->shape[s].zone == zone && text_equal(fig->shape[s].face, face) &&
			    (!side || text_equal(fig->picture[p].side, side)))
				return true;
	return false;
}

static enum err check_zone(const struct reading *r, const struct zone *zone) {
	for (size_t face = 0; face < (zone->has_faces ? FACE_COUNT : 1); face++)
		for (size_t side = 0; side < (zone->has_sides ? SIDE_COUNT : 1); side++) {
			const char *front = zone->has_faces ? face_word[face] : NULL;
			const char *out = zone->has_sides ? side_word[side] : NULL;
			if (is_drawn(r->figure, zone, front, out)) continue;
			return fault_set(r->f, ERR_CORRUPT, NULL,
					 "The drawing of %s has no shape for %s%s%s%s%s.",
					 r->figure->kind->code, zone->code, front ? ", " : "",
					 front ? front : "", out ? ", " : "", out ? out : "");
		}
	return ERR_OK;
}

static enum err check_shape(const struct reading *r, const struct figure_shape *s) {
	if (!s->has_mark) return refuse(r, s->id, "has no mark");
	bool is_in = false;
	for (size_t p = 0; p < r->figure->picture_count; p++) {
		const struct figure_picture *picture = &r->figure->picture[p];
		if (picture->view != s->view) continue;
		is_in = true;
		if (s->zone->has_sides && !picture->side)
			return refuse(r, s->id, "is in a picture that says no side");
	}
	return is_in ? ERR_OK : refuse(r, s->id, "is in no picture");
}

static enum err check(const struct reading *r) {
	enum err err = ERR_OK;
	for (size_t i = 0; err == ERR_OK && i < r->figure->shape_count; i++)
		err = check_shape(r, &r->shape[i]);
	for (size_t i = 0; err == ERR_OK && i < r->hb->zone_count; i++)
		if (r->hb->zone[i].kind == r->figure->kind) err = check_zone(r, &r->hb->zone[i]);
	return err;
}

enum err figure_read(struct figure *figure, const struct kind *kind, const struct handbook *hb,
		     const char *svg, struct arena *a, struct fault *f) {
	size_t count = count_ids(svg) + 1;
	*figure = (struct figure){.kind = kind};
	struct reading r = {.figure = figure,
			    .hb = hb,
			    .picture = arena_array(a, struct figure_picture, count),
			    .shape = arena_array(a, struct figure_shape, count),
			    .a = a,
			    .f = f};
	figure->picture = r.picture;
	figure->shape = r.shape;
	if (arena_failed(a)) return fault_memory(f);
	enum err err = read_ids(&r, svg);
	return err == ERR_OK ? check(&r) : err;
}

/* --- where -------------------------------------------------------------------------------- */

static bool may_be(const char *said, const char *word) {
	return !said || !word || text_equal(said, word);
}

bool figure_is_at(const struct figure_picture *picture, const struct figure_shape *shape,
		  const char *zone, const char *face, const char *side) {
	return picture->view == shape->view && text_equal(shape->zone->code, zone) &&
	       may_be(face, shape->face) &&
	       (!shape->zone->has_sides || may_be(side, picture->side));
}
