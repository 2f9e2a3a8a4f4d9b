#include "store/search.h"

#include <string.h>

#include "base/buf.h"
#include "base/likeness.h"

SQL(component_of_tag, "SELECT id FROM component WHERE tag = ?1");
SQL(component_of_serial,
    "SELECT CASE count(*) WHEN 1 THEN min(id) END FROM component WHERE serial = ?1");
SQL(search_matches,
    "SELECT s.kind, s.record_id AS id, CASE s.kind WHEN 'safety_notice' THEN (SELECT number ||"
    "  ': ' || title FROM safety_notice WHERE id = s.record_id) ELSE s.text END AS label,"
    " CASE s.kind WHEN 'component' THEN (SELECT k.label || ', ' || replace(t.state, '_', ' ') FROM "
    "component c"
    "   JOIN component_kind k ON k.code = c.kind JOIN standing t ON t.component_id = c.id"
    "   WHERE c.id = s.record_id)"
    "  WHEN 'member' THEN (SELECT st.code || ' ' || st.name FROM member m JOIN station st"
    "   ON st.id = m.station_id WHERE m.id = s.record_id)"
    "  WHEN 'ensemble' THEN (SELECT hazard || ', ' || line FROM ensemble WHERE id = s.record_id)"
    "  WHEN 'dispatch' THEN (SELECT state FROM dispatch WHERE id = s.record_id)"
    "  WHEN 'safety_notice' THEN (SELECT issuer || ', ' || iif(closed_on IS NULL, 'open',"
    "   'closed') FROM safety_notice WHERE id = s.record_id)"
    "  WHEN 'hold' THEN (SELECT k.label || ' ' || c.tag || ', ' || iif(h.released_on IS NULL,"
    "   'held', 'released') FROM hold h JOIN component c ON c.id = h.component_id"
    "   JOIN component_kind k ON k.code = c.kind WHERE h.id = s.record_id) END AS detail"
    " FROM search s WHERE search MATCH ?1 AND (?2 OR s.kind <> 'hold') ORDER BY s.rank LIMIT ?3");
/* Only for a tag that is nowhere: any could look like it. */
SQL_SCAN(every_tag, "SELECT id, tag FROM component");
SQL(similar_component, "SELECT c.id, c.tag, k.label AS kind_label, t.state FROM component c"
		       " JOIN component_kind k ON k.code = c.kind"
		       " JOIN standing t ON t.component_id = c.id WHERE c.id = ?1");

enum err search_tag(struct store *st, const char *text, int64_t *component, struct fault *f) {
	enum err err = store_number(st, &component_of_tag, 0, component, f, "t", text);
	if (err == ERR_OK && !*component)
		err = store_number(st, &component_of_serial, 0, component, f, "t", text);
	return err;
}

/* Each word quoted (so that nothing in it is query syntax) and taken as a beginning. */
static void add_words(struct buf *b, const char *text) {
	while (*text) {
		text += strspn(text, " \t\r\n");
		size_t length = strcspn(text, " \t\r\n");
		if (!length) break;
		buf_add_text(b, b->length ? " \"" : "\"");
		for (size_t i = 0; i < length; i++) {
			if (text[i] == '"') buf_add_char(b, '"');
			buf_add_char(b, text[i]);
		}
		buf_add_text(b, "\"*");
		text += length;
	}
}

enum err search_words(struct store *st, const char *text, bool with_holds, int64_t limit,
		      struct arena *a, struct doc *list, struct fault *f) {
	struct buf query;
	buf_init(&query, 4096);
	add_words(&query, text);
	enum err err = ERR_OK;
	if (query.length && !buf_failed(&query))
		err = store_list(st, &search_matches, a, list, f, "tbi", buf_text(&query),
				 with_holds, limit);
	buf_release(&query);
	return err;
}

struct similar {
	int64_t id;
	int unlike;
};

/* Keeps the most alike, in order; of equals the one that came first. */
static void keep_similar(struct similar *kept, size_t *count, struct similar one) {
	size_t at = *count;
	while (at > 0 && kept[at - 1].unlike > one.unlike) at--;
	if (at == SIMILAR_MAX) return;
	if (*count < SIMILAR_MAX) ++*count;
	memmove(kept + at + 1, kept + at, (*count - 1 - at) * sizeof *kept);
	kept[at] = one;
}

static enum err find_similar(struct store *st, const char *text, struct similar *kept,
			     size_t *count, struct fault *f) {
	struct cursor c;
	bool more = true;
	enum err err = cursor_open(&c, st, &every_tag, f, "");
	while (err == ERR_OK && (err = cursor_next(&c, &more)) == ERR_OK && more) {
		int unlike = likeness_of_tags(text, cursor_text(&c, 1));
		if (unlike != UNLIKE)
			keep_similar(kept, count, (struct similar){cursor_int(&c, 0), unlike});
	}
	cursor_close(&c);
	return err;
}

enum err search_similar(struct store *st, const char *text, struct arena *a, struct doc *list,
			struct fault *f) {
	struct similar kept[SIMILAR_MAX];
	size_t count = 0;
	enum err err = find_similar(st, text, kept, &count, f);
	for (size_t i = 0; err == ERR_OK && i < count; i++)
		err = store_list(st, &similar_component, a, list, f, "i", kept[i].id);
	return err;
}
