/*
 * Photos of what was found in an inspection, and the pictures they show.
 *
 * A picture is kept once for each content, named by the SHA-256 of its bytes; a photo names it, so
 * that the signed entries about the photo hold the picture too. In a draft a photo is taken back;
 * nothing is ever deleted.
 */
#ifndef PEGWARDEN_STORE_PHOTO_H
#define PEGWARDEN_STORE_PHOTO_H

#include "base/picture.h"
#include "store/store.h"

/* --- reading -------------------------------------------------------------- */

/* id inspection inspection_state inspection_kind component tag kind_label finding defect_label
 * zone_label face side place check_point check_point_title recorded_by_name recorded_at type width
 * height sha256 is_withdrawn withdrawn_at withdrawn_by_name version; NULL when there is none. */
enum err photo_get(struct store *st, int64_t id, struct arena *a, struct doc **row,
		   struct fault *f) MUST_CHECK;
/* Those not taken back, in the order they were given; same columns. */
enum err photos_of_inspection(struct store *st, int64_t inspection, struct arena *a,
			      struct doc *list, struct fault *f) MUST_CHECK;
enum err photos_of_finding(struct store *st, int64_t finding, struct arena *a, struct doc *list,
			   struct fault *f) MUST_CHECK;
/* Of the findings on a repair ticket. */
enum err photos_of_dispatch(struct store *st, int64_t dispatch, struct arena *a, struct doc *list,
			    struct fault *f) MUST_CHECK;
/* Of a component's signed inspections, the latest first. */
enum err photos_of_component(struct store *st, int64_t component, int64_t limit, struct arena *a,
			     struct doc *list, struct fault *f) MUST_CHECK;
/* How many a part has in an inspection. */
enum err photos_of_part(struct store *st, int64_t inspection, int64_t component, int64_t *count,
			struct fault *f) MUST_CHECK;

/* The bytes of its picture, or of the small one (malloc: the caller frees them), and their type
 * (arena memory); *bytes is NULL when there is no such photo. */
enum err photo_bytes(struct store *st, int64_t id, bool small, struct arena *a, char **bytes,
		     size_t *length, const char **type, struct fault *f) MUST_CHECK;

/* --- writing -------------------------------------------------------------- */

#define PHOTO_HASH_SIZE 65 /* hexadecimal, with its NUL */
/* How a picture is named: the SHA-256 of its bytes. Slow work, for outside of a change. */
void photo_hash(const struct picture *p, char hash[PHOTO_HASH_SIZE]);

struct photo_row {
	int64_t component, inspection;
	int64_t finding;         /* 0: none */
	const char *check_point; /* NULL: of the part as a whole */
	int64_t recorded_by;
	const char *recorded_at;
	const struct picture *picture, *small;
	const char *hash, *small_hash; /* of those */
};
/* Bytes that are kept already are not kept twice. */
enum err photo_insert(struct store *st, const struct photo_row *r, int64_t *id,
		      struct fault *f) MUST_CHECK;
/* A finding takes the photos that were given at its check point before it was written down. */
enum err photos_to_finding(struct store *st, int64_t finding, struct fault *f) MUST_CHECK;
enum err photo_withdraw(struct store *st, int64_t id, int64_t by, const char *at,
			struct fault *f) MUST_CHECK;
/* Those of a finding that is taken back. */
enum err photos_withdraw_of_finding(struct store *st, int64_t finding, int64_t by, const char *at,
				    struct fault *f) MUST_CHECK;

#endif
