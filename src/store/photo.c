#include "store/photo.h"

#include <sodium.h>
#include <stdlib.h>
#include <string.h>

#include "store/internal.h"
#include "store/list.h"

#define PHOTO_COLUMNS                                                                              \
	"p.id, p.inspection_id AS inspection, i.state AS inspection_state, i.kind AS"              \
	" inspection_kind, p.component_id AS component, c.tag, k.label AS kind_label,"             \
	" p.finding_id AS finding, d.label AS defect_label, z.label AS zone_label, f.face, "       \
	"f.side,"                                                                                  \
	" f.place, p.check_point, t.title AS check_point_title, m.given_name || ' ' ||"            \
	" m.family_name AS recorded_by_name, p.recorded_at, p.type, p.width, p.height,"            \
	" p.content AS sha256, p.withdrawn_at IS NOT NULL AS is_withdrawn, p.withdrawn_at,"        \
	" (SELECT w.given_name || ' ' || w.family_name FROM member w WHERE w.id = p.withdrawn_by)" \
	" AS withdrawn_by_name, p.version"
#define PHOTO_JOINS                                                                                \
	" JOIN inspection i ON i.id = p.inspection_id JOIN component c ON c.id = p.component_id"   \
	" JOIN component_kind k ON k.code = c.kind JOIN member m ON m.id = p.recorded_by"          \
	" LEFT JOIN finding f ON f.id = p.finding_id LEFT JOIN defect d ON d.code = f.defect"      \
	" LEFT JOIN kind_zone z ON z.kind = c.kind AND z.code = f.zone"                            \
	" LEFT JOIN inspection_part n ON n.inspection_id = p.inspection_id"                        \
	"   AND n.component_id = p.component_id"                                                   \
	" LEFT JOIN check_point t ON t.checklist_id = n.checklist_id AND t.code = p.check_point"

SQL(photo_of_id, "SELECT " PHOTO_COLUMNS " FROM photo p" PHOTO_JOINS " WHERE p.id = ?1");
SQL(photo_inspection_rows, "SELECT " PHOTO_COLUMNS " FROM photo p" PHOTO_JOINS
			   " WHERE p.inspection_id = ?1 AND p.withdrawn_at IS NULL ORDER BY p.id");
SQL(photo_finding_rows, "SELECT " PHOTO_COLUMNS " FROM photo p" PHOTO_JOINS
			" WHERE p.finding_id = ?1 AND p.withdrawn_at IS NULL ORDER BY p.id");
SQL(photo_dispatch_rows,
    "SELECT " PHOTO_COLUMNS
    " FROM dispatch_item x JOIN photo p ON p.finding_id = x.finding_id" PHOTO_JOINS
    " WHERE x.dispatch_id = ?1 AND p.withdrawn_at IS NULL ORDER BY p.id");
SQL(photo_component_rows,
    "SELECT " PHOTO_COLUMNS " FROM photo p" PHOTO_JOINS
    " WHERE p.component_id = ?1 AND p.withdrawn_at IS NULL AND i.state = 'signed'"
    " ORDER BY p.id DESC LIMIT ?2");
SQL(photo_part_count, "SELECT count(*) FROM photo WHERE inspection_id = ?1 AND component_id = ?2"
		      " AND withdrawn_at IS NULL");
SQL(photo_picture, "SELECT k.bytes, p.type FROM photo p JOIN photo_content k ON k.hash = p.content"
		   " WHERE p.id = ?1");
SQL(photo_small, "SELECT k.bytes, p.type FROM photo p JOIN photo_content k ON k.hash = p.small"
		 " WHERE p.id = ?1");

SQL(photo_add, "INSERT INTO photo (component_id, inspection_id, finding_id, check_point,"
	       " recorded_by, recorded_at, content, small, type, width, height)"
	       " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, '" PICTURE_TYPE "', ?9, ?10)");
SQL(photo_content_add, "INSERT INTO photo_content (hash, bytes) VALUES (?1, ?2)"
		       " ON CONFLICT (hash) DO NOTHING");
SQL(photo_take, "UPDATE photo SET finding_id = ?1, version = version + 1"
		" WHERE finding_id IS NULL AND withdrawn_at IS NULL"
		" AND (inspection_id, component_id, check_point) ="
		" (SELECT inspection_id, component_id, check_point FROM finding WHERE id = ?1)");
SQL(photo_take_back, "UPDATE photo SET withdrawn_by = ?2, withdrawn_at = ?3,"
		     " version = version + 1 WHERE id = ?1");
SQL(photo_take_back_all, "UPDATE photo SET withdrawn_by = ?2, withdrawn_at = ?3,"
			 " version = version + 1 WHERE finding_id = ?1 AND withdrawn_at IS NULL");

/* --- reading -------------------------------------------------------------- */

enum err photo_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
		   struct fault *f) {
	return store_one(st, &photo_of_id, a, row, f, "i", id);
}

enum err photos_of_inspection(struct store *st, int64_t inspection, struct arena *a,
			      struct doc *list, struct fault *f) {
	return store_list(st, &photo_inspection_rows, a, list, f, "i", inspection);
}

enum err photos_of_finding(struct store *st, int64_t finding, struct arena *a, struct doc *list,
			   struct fault *f) {
	return store_list(st, &photo_finding_rows, a, list, f, "i", finding);
}

enum err photos_of_dispatch(struct store *st, int64_t dispatch, struct arena *a, struct doc *list,
			    struct fault *f) {
	return store_list(st, &photo_dispatch_rows, a, list, f, "i", dispatch);
}

enum err photos_of_component(struct store *st, int64_t component, int64_t limit, struct arena *a,
			     struct doc *list, struct fault *f) {
	return store_list(st, &photo_component_rows, a, list, f, "ii", component, limit);
}

enum err photos_of_part(struct store *st, int64_t inspection, int64_t component, int64_t *count,
			struct fault *f) {
	return store_number(st, &photo_part_count, 0, count, f, "ii", inspection, component);
}

enum err photo_bytes(struct store *st, int64_t id, bool small, struct arena *a, char **bytes,
		     size_t *length, const char **type, struct fault *f) {
	struct cursor c;
	bool more = false;
	*bytes = NULL;
	enum err err = cursor_open(&c, st, small ? &photo_small : &photo_picture, f, "i", id);
	if (err == ERR_OK) err = cursor_next(&c, &more);
	if (err == ERR_OK && more) {
		const void *kept = cursor_bytes(&c, 0, length);
		*type = arena_strdup(a, cursor_text(&c, 1));
		*bytes = kept ? malloc(*length) : NULL;
		if (*bytes) memcpy(*bytes, kept, *length);
		if (!*bytes) err = fault_memory(f);
	}
	cursor_close(&c);
	return err;
}

/* --- writing -------------------------------------------------------------- */

static void hash_bytes(const void *bytes, size_t length, char hash[PHOTO_HASH_SIZE]) {
	unsigned char sum[crypto_hash_sha256_BYTES];
	crypto_hash_sha256(sum, bytes, length);
	sodium_bin2hex(hash, PHOTO_HASH_SIZE, sum, sizeof sum);
}

void photo_hash(const struct picture *p, char hash[PHOTO_HASH_SIZE]) {
	hash_bytes(p->bytes, p->length, hash);
}

static enum err keep_content(struct store *st, const struct picture *p, const char *hash,
			     struct fault *f) {
	return store_run(st, &photo_content_add, f, "tx", hash, (const void *)p->bytes, p->length);
}

enum err photo_insert(struct store *st, const struct photo_row *r, int64_t *id, struct fault *f) {
	enum err err = keep_content(st, r->picture, r->hash, f);
	if (err == ERR_OK) err = keep_content(st, r->small, r->small_hash, f);
	if (err == ERR_OK)
		err = store_run(st, &photo_add, f, "ii0titttii", r->component, r->inspection,
				r->finding, r->check_point, r->recorded_by, r->recorded_at, r->hash,
				r->small_hash, (int64_t)r->picture->width,
				(int64_t)r->picture->height);
	*id = store_inserted(st);
	return err;
}

enum err photos_to_finding(struct store *st, int64_t finding, struct fault *f) {
	return store_run(st, &photo_take, f, "i", finding);
}

enum err photo_withdraw(struct store *st, int64_t id, int64_t by, const char *at, struct fault *f) {
	return store_run(st, &photo_take_back, f, "iit", id, by, at);
}

enum err photos_withdraw_of_finding(struct store *st, int64_t finding, int64_t by, const char *at,
				    struct fault *f) {
	return store_run(st, &photo_take_back_all, f, "iit", finding, by, at);
}

/* --- does it hold? ----------------------------------------------------------- */

SQL_SCAN(photo_contents, "SELECT hash, bytes FROM photo_content ORDER BY id");
SQL_SCAN(photo_without, "SELECT min(p.id) FROM photo p WHERE"
			" NOT EXISTS (SELECT 1 FROM photo_content k WHERE k.hash = p.content)"
			" OR NOT EXISTS (SELECT 1 FROM photo_content k WHERE k.hash = p.small)");

static enum err check_content(const struct cursor *c, struct fault *f) {
	char hash[PHOTO_HASH_SIZE];
	size_t length;
	const void *bytes = cursor_bytes(c, 1, &length);
	const char *name = cursor_text(c, 0);
	if (!name || (!bytes && length)) return fault_memory(f);
	hash_bytes(bytes, length, hash);
	if (strcmp(hash, name) == 0) return ERR_OK;
	return fault_set(f, ERR_CORRUPT, NULL,
			 "The picture %s is not the one that was stored: its bytes were changed.",
			 name);
}

enum err photos_verify(struct store *st, struct fault *f) {
	struct cursor c;
	bool more;
	int64_t id = 0;
	enum err err = cursor_open(&c, st, &photo_contents, f, "");
	while (err == ERR_OK && (err = cursor_next(&c, &more)) == ERR_OK && more)
		err = check_content(&c, f);
	cursor_close(&c);
	if (err == ERR_OK) err = store_number(st, &photo_without, 0, &id, f, "");
	if (err == ERR_OK && id)
		err = fault_set(f, ERR_CORRUPT, NULL,
				"The picture of photo %lld is missing: it was taken out.",
				(long long)id);
	return err;
}

/* --- the list ---------------------------------------------------------------- */

#define PHOTO_WHERE                                                                                \
	" WHERE (?1 IS NULL OR c.search_key LIKE ?1 ESCAPE '\\') AND (?2 IS NULL OR c.kind = ?2)"
SQL_SCAN(
    photos_count,
    "SELECT count(*) AS total FROM photo p JOIN component c ON c.id = p.component_id" PHOTO_WHERE);
SQL_SCAN(photos_by_day, "SELECT " PHOTO_COLUMNS " FROM photo p" PHOTO_JOINS PHOTO_WHERE
			" ORDER BY p.id DESC LIMIT ?3 OFFSET ?4");
SQL_SCAN(photos_by_tag, "SELECT " PHOTO_COLUMNS " FROM photo p" PHOTO_JOINS PHOTO_WHERE
			" ORDER BY c.tag, p.id LIMIT ?3 OFFSET ?4");
const struct list_source photo_list = {
    .count = &photos_count,
    .filter = {"kind"},
    .sort = {{"day", "Newest first", &photos_by_day}, {"tag", "Tag", &photos_by_tag}},
};
