/*
 * Photos: given with an inspection that is a draft, shown wherever what they are of is shown, each
 * with a page of its own. A photo that is taken as the form is filled in comes before its finding:
 * it is of the check point then, and the finding takes it when it is written down.
 */
#include "handlers/photos.h"

#include "base/limits.h"
#include "handlers/app.h"
#include "handlers/inspection_view.h"
#include "handlers/list.h"
#include "handlers/routes.h"
#include "handlers/words.h"
#include "store/inspection.h"
#include "store/photo.h"

enum { PHOTO, FIELDS };
static const struct field field[FIELDS] = {
    [PHOTO] = {.name = "photo",
	       .label = "Photo",
	       .help = "JPEG, PNG or WebP.",
	       .kind = FIELD_FILE,
	       .required = true},
};
static const struct resource resource = {"photo", "photos", field, FIELDS};

/* --- on pages -------------------------------------------------------------------------- */

/* What is seen on it, for who cannot see it: kind and tag, then defect and place. */
static const char *alternative(const struct doc *row) {
	const char *defect = doc_text(row, "defect_label"), *point = doc_text(row, "check_point");
	const char *title = doc_text(row, "check_point_title");
	static const char *const where[] = {"zone_label", "face", "side", "place", NULL};
	struct arena *a = row->arena;
	const char *what = doc_text(row, "kind_label"), *tag = doc_text(row, "tag");
	if (!defect && !point) return arena_printf(a, "%s %s", what, tag);
	if (!defect) return arena_printf(a, "%s %s: %s", what, tag, title ? title : point);
	const char *text = arena_printf(a, "%s %s: %s", what, tag, defect);
	for (const char *const *key = where; text && *key; key++)
		if (doc_text(row, *key))
			text = arena_printf(a, "%s, %s", text, doc_text(row, *key));
	return text;
}

static void photo_document(const struct doc *row, struct doc *map) {
	long long id = (long long)doc_int(row, "id");
	doc_set_int(map, "id", id);
	doc_set_text(map, "alt", alternative(row));
	doc_set_printf(map, "url", "/photos/%lld", id);
	doc_set_printf(map, "picture", "/photos/%lld/picture.jpg", id);
	doc_set_printf(map, "small", "/photos/%lld/small.jpg", id);
	doc_set_int(map, "width", doc_int(row, "width"));
	doc_set_int(map, "height", doc_int(row, "height"));
}

static bool is_of(const struct doc *row, const struct photo_of *of) {
	if (!of) return true;
	if (of->finding || doc_int(row, "finding")) return doc_int(row, "finding") == of->finding;
	return doc_int(row, "component") == of->component &&
	       (!of->check_point || text_equal(doc_text(row, "check_point"), of->check_point));
}

void photos_show(struct doc *map, const struct doc *rows, const struct photo_of *of) {
	struct doc *list = doc_set_list(map, "photos");
	for (const struct doc *row = rows->first; row; row = row->next)
		if (is_of(row, of)) photo_document(row, doc_add_map(list));
	doc_set_bool(map, "has_photos", doc_count(list) > 0);
}

void photo_form(struct request *rq, const char *action, bool asks_point) {
	doc_set_null(rq->doc, "photo_form");
	if (!action) return;
	struct doc *form = doc_set_map(rq->doc, "photo_form");
	doc_set_text(form, "action", action);
	doc_set_bool(form, "asks_point", asks_point);
	doc_set_text(form, "error", fault_list_find(&rq->faults, field[PHOTO].name));
}

/* --- the list, and one ------------------------------------------------------------------- */

static const struct list_column column[] = {{"id", "photo"},
					    {"tag", "tag"},
					    {"kind_label", "kind"},
					    {"inspection", "inspection"},
					    {"inspection_state", "inspection_state"},
					    {"finding", "finding"},
					    {"check_point", "check_point"},
					    {"defect_label", "defect"},
					    {"zone_label", "zone"},
					    {"face", "face"},
					    {"side", "side"},
					    {"place", "place"},
					    {"recorded_by_name", "recorded_by"},
					    {"recorded_at", "recorded_at"},
					    {"type", "type"},
					    {"width", "width"},
					    {"height", "height"},
					    {"sha256", "sha256"},
					    {"withdrawn_at", "withdrawn_at"},
					    {NULL, NULL}};

/* The words and addresses beside what the row has. */
static void label(struct doc *row) { photo_document(row, row); }

static const struct list_page page = {.path = "/photos",
				      .title = "Photos",
				      .source = &photo_list,
				      .filter = {{.label = "Kind", .choice = kind_choice}},
				      .column = column,
				      .label = label};

static enum err photo_index(struct request *rq) { return list_answer(rq, &page); }
static enum err photo_csv(struct request *rq) { return list_export(rq, &page); }

static enum err no_such_photo(struct request *rq) {
	return request_fail(rq, ERR_NOT_FOUND, "There is no photo %lld.", (long long)rq->id[0]);
}

/* With the inspection that it was given with. */
static enum err load(struct request *rq, int64_t id, struct doc **row, struct inspection_view *v) {
	enum err err = photo_get(request_store(rq), id, &rq->arena, row, &rq->fault);
	if (err != ERR_OK) return err;
	if (!*row) return no_such_photo(rq);
	label(*row);
	return inspection_view_load(rq, doc_int(*row, "inspection"), v);
}

static enum err answer_photo(struct request *rq, int64_t id) {
	struct doc *row;
	struct inspection_view v;
	enum err err = load(rq, id, &row, &v);
	if (err != ERR_OK) return err;
	rq->version = doc_int(row, "version");
	struct doc *d = rq->doc = doc_map(&rq->arena);
	doc_set(d, "photo", row);
	doc_set_text(row, "inspection_kind_label", inspection_kind_label[v.kind]);
	doc_set_int(d, "version", rq->version);
	doc_set_bool(d, "can_withdraw",
		     v.is_draft && !doc_bool(row, "is_withdrawn") &&
			 inspection_is_open_to(rq->who.role, v.kind));
	rq->title = arena_printf(&rq->arena, "Photo %lld", (long long)id);
	return ERR_OK;
}

static enum err photo_show(struct request *rq) { return answer_photo(rq, rq->id[0]); }

static enum err answer_bytes(struct request *rq, bool small) {
	char *bytes;
	size_t length;
	const char *type;
	enum err err = photo_bytes(request_store(rq), rq->id[0], small, &rq->arena, &bytes, &length,
				   &type, &rq->fault);
	if (err != ERR_OK) return err;
	if (!bytes) return no_such_photo(rq);
	request_bytes(rq, bytes, length, type);
	return ERR_OK;
}

static enum err photo_picture(struct request *rq) { return answer_bytes(rq, false); }
static enum err photo_small_picture(struct request *rq) { return answer_bytes(rq, true); }

static enum err photo_take_back(struct request *rq) {
	struct doc *row;
	struct inspection_view v;
	char now[INSTANT_TEXT_SIZE];
	enum err err = load(rq, rq->id[0], &row, &v);
	if (err == ERR_OK) err = inspection_view_check_draft(rq, &v);
	if (err == ERR_OK) err = request_check_version(rq, doc_int(row, "version"));
	if (err != ERR_OK) return err;
	if (doc_bool(row, "is_withdrawn"))
		return request_fail(rq, ERR_CONFLICT, "This photo was taken back already.");
	err = photo_withdraw(request_store(rq), rq->id[0], rq->who.member,
			     instant_format(rq->now_s, now), &rq->fault);
	if (err != ERR_OK) return err;
	request_action(rq, "take back photo");
	int64_t finding = doc_int(row, "finding");
	request_go(rq, false,
		   finding ? "/inspections/%lld/findings/%lld#photos"
			   : "/inspections/%lld/parts/%lld#photos",
		   (long long)v.id, (long long)(finding ? finding : doc_int(row, "component")));
	return photo_show(rq);
}

/* --- giving one ---------------------------------------------------------------------------- */

struct taken {
	struct picture picture, small;
	char hash[PHOTO_HASH_SIZE], small_hash[PHOTO_HASH_SIZE];
};

/* On the slow thread: reading a picture takes as long as many changes. */
static enum err photo_prepare(struct request *rq) {
	struct fault f = {0};
	struct taken *t = arena_new(&rq->arena, struct taken);
	if (!t) return request_fail(rq, ERR_MEMORY, "There is no memory left.");
	if (!text_equal(rq->upload.name, field[PHOTO].name) || !rq->upload.length)
		return request_field_fault(rq, field[PHOTO].name, "Take or choose a photo first.");
	enum err err = picture_take(rq->upload.bytes, rq->upload.length, &rq->arena, &t->picture,
				    &t->small, &f);
	if (err == ERR_INVALID) return request_field_fault(rq, field[PHOTO].name, "%s", f.message);
	if (err != ERR_OK) return request_fail(rq, err, "%s", f.message);
	photo_hash(&t->picture, t->hash);
	photo_hash(&t->small, t->small_hash);
	rq->prepared = t;
	return ERR_OK;
}

static enum err check_room(struct request *rq, const struct inspection_view *v,
			   const struct part_view *p) {
	int64_t count;
	enum err err = photos_of_part(request_store(rq), v->id, p->component, &count, &rq->fault);
	if (err != ERR_OK || count < LIMIT_PHOTOS_OF_PART_MAX) return err;
	return request_fail(rq, ERR_CONFLICT,
			    "%s has %d photos in this inspection, and more are not taken. Take one "
			    "back first.",
			    p->tag, LIMIT_PHOTOS_OF_PART_MAX);
}

/* back: the page with the form, where a browser goes next. */
static enum err photo_store(struct request *rq, const struct inspection_view *v,
			    const struct part_view *p, int64_t finding, const char *check_point,
			    const char *back) {
	const struct taken *t = rq->prepared;
	char now[INSTANT_TEXT_SIZE];
	int64_t id;
	enum err err = inspection_view_check_draft(rq, v);
	if (err == ERR_OK) err = check_room(rq, v, p);
	if (err != ERR_OK) return err;
	struct photo_row row = {
	    .component = p->component,
	    .inspection = v->id,
	    .finding = finding,
	    .check_point = check_point,
	    .recorded_by = rq->who.member,
	    .recorded_at = instant_format(rq->now_s, now),
	    .picture = &t->picture,
	    .small = &t->small,
	    .hash = t->hash,
	    .small_hash = t->small_hash,
	};
	err = photo_insert(request_store(rq), &row, &id, &rq->fault);
	if (err == ERR_OK) err = answer_photo(rq, id);
	if (err != ERR_OK) return err;
	request_action(rq, "add photo");
	if (rq->wants_html) request_go(rq, true, "%s#photos", back);
	else request_go(rq, true, "/photos/%lld", (long long)id);
	return ERR_OK;
}

static enum err load_part(struct request *rq, struct inspection_view *v, struct part_view **p) {
	enum err err = inspection_view_load(rq, rq->id[0], v);
	if (err != ERR_OK) return err;
	*p = inspection_view_part(rq, v, rq->id[1]);
	return *p ? ERR_OK : ERR_NOT_FOUND;
}

/* One of the pages of the part's check points. */
static bool has_group(const struct part_view *p, const char *code) {
	for (size_t i = 0; i < p->group_count; i++)
		if (text_equal(p->group[i].code, code)) return true;
	return false;
}

/* Of the part as a whole: its label, its dirt, what it looks like. */
static enum err photo_of_part(struct request *rq) {
	struct inspection_view v;
	struct part_view *p;
	enum err err = load_part(rq, &v, &p);
	if (err != ERR_OK) return err;
	const char *group = request_query(rq, "group");
	const char *back = arena_printf(&rq->arena, "/inspections/%lld/parts/%lld", (long long)v.id,
					(long long)p->component);
	if (has_group(p, group)) back = arena_printf(&rq->arena, "%s?group=%s", back, group);
	return photo_store(rq, &v, p, 0, NULL, back);
}

/* Before the finding is written down. */
static enum err photo_of_point(struct request *rq) {
	struct inspection_view v;
	struct part_view *p;
	enum err err = load_part(rq, &v, &p);
	if (err != ERR_OK) return err;
	const char *code = request_query(rq, "point"), *defect = request_query(rq, "defect");
	const struct check_point *point =
	    code && p->record.checklist ? checklist_point(p->record.checklist, code) : NULL;
	if (!point || !point_is_asked(point, &p->record.subject))
		return request_fail(rq, ERR_NOT_FOUND, "There is no such check point here.");
	const char *back =
	    arena_printf(&rq->arena, "/inspections/%lld/parts/%lld/findings?point=%s",
			 (long long)v.id, (long long)p->component, point->code);
	if (defect && subject_defect_find(point->subject, defect))
		back = arena_printf(&rq->arena, "%s&defect=%s", back, defect);
	return photo_store(rq, &v, p, 0, point->code, back);
}

static enum err photo_of_finding(struct request *rq) {
	struct inspection_view v;
	struct doc *row = NULL;
	int64_t finding = rq->id[1];
	enum err err = inspection_view_load(rq, rq->id[0], &v);
	if (err == ERR_OK)
		err = inspection_finding_get(request_store(rq), v.id, finding, &rq->arena, &row,
					     &rq->fault);
	if (err != ERR_OK) return err;
	if (!row) return request_fail(rq, ERR_NOT_FOUND, "There is no such finding.");
	const struct part_view *p = inspection_view_part(rq, &v, doc_int(row, "component"));
	if (!p) return ERR_NOT_FOUND;
	if (v.is_draft && text_equal(doc_text(row, "state"), "withdrawn"))
		return request_fail(rq, ERR_CONFLICT, "This finding was taken back.");
	return photo_store(rq, &v, p, finding, doc_text(row, "check_point"),
			   arena_printf(&rq->arena, "/inspections/%lld/findings/%lld",
					(long long)v.id, (long long)finding));
}

static const char *const list_query[] = {LIST_QUERY, "kind", NULL};
static const char *const group_query[] = {"group", NULL};
static const char *const point_query[] = {"point", "defect", NULL};

static const struct route route[] = {
    {METHOD_GET, "/photos", ROLE_MEMBER, RUN_READ, .handle = photo_index, .template_name = "photos",
     .query = list_query, .summary = "Photos"},
    {METHOD_GET, "/photos.csv", ROLE_MEMBER, RUN_READ, .handle = photo_csv, .query = list_query,
     .summary = "The list of photos as CSV"},
    {METHOD_GET, "/photos/:id", ROLE_MEMBER, RUN_READ, .handle = photo_show,
     .template_name = "photo", .summary = "One photo at full size, and what it is of"},
    {METHOD_GET, "/photos/:id/picture.jpg", ROLE_MEMBER, RUN_READ, .handle = photo_picture,
     .summary = "The picture of a photo"},
    {METHOD_GET, "/photos/:id/small.jpg", ROLE_MEMBER, RUN_READ, .handle = photo_small_picture,
     .summary = "The picture of a photo, small, for lists"},
    {METHOD_POST, "/photos/:id/withdraw", ROLE_MEMBER, RUN_CHANGE, .handle = photo_take_back,
     .form = photo_show, .template_name = "photo", .summary = "Take back a photo of a draft"},
    {METHOD_POST, "/inspections/:id/parts/:id/photos", ROLE_MEMBER, RUN_SLOW_CHANGE,
     .prepare = photo_prepare, .handle = photo_of_part, .form = inspection_part_page,
     .template_name = "inspection-part", .resource = &resource, .query = group_query,
     .upload_bytes_max = LIMIT_PHOTO_BYTES_MAX, .summary = "Add a photo of a part"},
    {METHOD_POST, "/inspections/:id/parts/:id/findings/photos", ROLE_MEMBER, RUN_SLOW_CHANGE,
     .prepare = photo_prepare, .handle = photo_of_point, .form = inspection_finding_new_page,
     .template_name = "inspection-finding", .resource = &resource, .query = point_query,
     .upload_bytes_max = LIMIT_PHOTO_BYTES_MAX,
     .summary = "Add a photo of a check point; the finding written down there next takes it"},
    {METHOD_POST, "/inspections/:id/findings/:id/photos", ROLE_MEMBER, RUN_SLOW_CHANGE,
     .prepare = photo_prepare, .handle = photo_of_finding, .form = inspection_finding_page,
     .template_name = "inspection-finding", .resource = &resource,
     .upload_bytes_max = LIMIT_PHOTO_BYTES_MAX, .summary = "Add a photo of a finding of a draft"},
};
const struct route_table photo_routes = {route, sizeof route / sizeof *route};
