/*
 * Every limit of the program, each with its reason. Units stand last in the
 * name; a name ending in _max is the largest value that is still accepted.
 */
#ifndef PEGWARDEN_BASE_LIMITS_H
#define PEGWARDEN_BASE_LIMITS_H

/* --- memory of one request --------------------------------------------- */

/* A list page of 200 rows with its form builds less than 1 MiB; beyond this a
 * handler has a fault, and the request fails instead of the whole service. */
#define LIMIT_ARENA_BYTES_MAX (32u * 1024 * 1024)
/* The first block holds an ordinary page, so most requests allocate once. */
#define LIMIT_ARENA_BLOCK_BYTES (64u * 1024)
/* Notices given in one change: its audit entry has the state of each, about 300 bytes, and
 * with them it must stay within what one statement may carry (LIMIT_PAGE_BYTES_MAX). */
#define LIMIT_NOTICES_ROUND_MAX 20000
/* The longest page: a printed record of an item with a long life. */
#define LIMIT_PAGE_BYTES_MAX (8u * 1024 * 1024)

/* --- requests ----------------------------------------------------------- */

/* Request line and header lines together; the longest of ours is under 2 KiB. */
#define LIMIT_HEADER_BYTES_MAX (24u * 1024)
/* A path has at most this many segments; our deepest has six. */
#define LIMIT_PATH_SEGMENTS_MAX 12
/* One decoded path segment or query value. */
#define LIMIT_SEGMENT_BYTES_MAX 200
/* Query parameters, and fields of a form or a JSON object. */
#define LIMIT_FIELDS_MAX 400
/* A form or a JSON body, unless the route says otherwise. */
#define LIMIT_BODY_BYTES_MAX (64u * 1024)
/* An imported table: 240,000 components are about 30 MiB. */
#define LIMIT_IMPORT_BYTES_MAX (64u * 1024 * 1024)
/* A photo as it is sent: the largest that phones write, 50 million pixels, have 10 to 20 MiB. */
#define LIMIT_PHOTO_BYTES_MAX (20u * 1024 * 1024)
/* Pixels of a photo: 150 to 200 MiB while one of that size is read, one at a time. */
#define LIMIT_PHOTO_PIXELS_MAX 50000000
/* Scans of a progressive JPEG: writers use about ten, and each goes over the whole picture. */
#define LIMIT_PHOTO_SCANS_MAX 64
/* The longer side of a photo as it is kept, in pixels: a stitch of a seam is seen on it, and it
 * has about 400 KiB. A tablet that runs scripts makes it that small before it sends it. */
#define LIMIT_PHOTO_EDGE 1600
/* The same for lists: twice what a page shows, for fine screens; about 20 KiB. */
#define LIMIT_PHOTO_SMALL_EDGE 400
/* Of JPEG, 1 to 100: beyond it files grow and nobody sees more. */
#define LIMIT_PHOTO_QUALITY 85
/* Photos of one part in one inspection: more than anybody looks at. */
#define LIMIT_PHOTOS_OF_PART_MAX 60
/* Uploads on their way into memory at the same time, by the length they announce: two of the
 * longest. Past this an upload is answered 503 before its body. */
#define LIMIT_UPLOADS_BYTES_MAX (2u * LIMIT_IMPORT_BYTES_MAX)
/* A table given in the browser that is worked on before the answer: some 2,000 rows, a second. */
#define LIMIT_IMPORT_AT_ONCE_BYTES (256u * 1024)
/* What was typed and goes along through the sign-in. Escaped once more in that form it must
 * stay within LIMIT_BODY_BYTES_MAX; a note of the longest sort in any script fits. */
#define LIMIT_RESEND_BYTES_MAX (24u * 1024)
/* Nesting of a JSON body: ours are flat. */
#define LIMIT_JSON_DEPTH_MAX 8

/* --- connections -------------------------------------------------------- */

/* A department of 80 stations with ten tablets each, and room. */
#define LIMIT_CONNECTIONS_MAX 1000
#define LIMIT_CONNECTION_MEMORY_BYTES (32u * 1024)
/* Idle or stalled connections are dropped after this. */
#define LIMIT_CONNECTION_TIMEOUT_S 30
/* Changes waiting for the writer; past this a change is answered 503. */
#define LIMIT_CHANGES_WAITING_MAX 512
/* Changes committed together: more only lengthens everybody's wait. */
#define LIMIT_CHANGES_GROUP_MAX 64

/* --- text --------------------------------------------------------------- */

#define LIMIT_NAME_CHARS_MAX 80
#define LIMIT_LINE_CHARS_MAX 200
#define LIMIT_NOTE_CHARS_MAX 2000
/* Tags and serials: what a barcode of a label holds. */
#define LIMIT_TAG_CHARS_MAX 40
/* A CSV cell, before the field's own limit is asked. */
#define LIMIT_CELL_BYTES_MAX (16u * 1024)
#define LIMIT_CSV_COLUMNS_MAX 64

/* --- lists --------------------------------------------------------------- */

#define LIMIT_PAGE_ROWS 50
#define LIMIT_PAGE_ROWS_MAX 200
/* Faults listed for one import; the count goes on. */
#define LIMIT_FAULTS_LISTED_MAX 200

/* --- sign-in ------------------------------------------------------------- */

/* argon2id takes about 64 MiB each time: never more at once than this. */
#define LIMIT_PASSWORD_CHECKS_AT_ONCE 1
#define LIMIT_PASSWORD_CHARS_MIN 10
#define LIMIT_PASSWORD_BYTES_MAX 200
/* A session ends this long after its last use ... */
#define LIMIT_SESSION_IDLE_S (60 * 60)
/* ... and this long after sign-in, used or not: one shift. */
#define LIMIT_SESSION_LIFE_S (12 * 60 * 60)
/* Failures before the next try has to wait, and the longest wait. */
#define LIMIT_SIGN_IN_FAILURES_FREE 4
#define LIMIT_SIGN_IN_WAIT_S_MAX (15 * 60)

/* Intervals and limits of life, in months: no gear lives for 50 years. */
#define LIMIT_MONTHS_MAX 600
/* Days from one duty period to the next: nobody who holds gear is away from duty for longer. */
#define LIMIT_DUTY_DAYS_MAX 31

/* The time worked on a part in a table, in seconds: 115 days, more than pages of ten minutes at
 * most ever come to. */
#define LIMIT_WORKED_S_MAX 10000000

/* --- safe repetition ------------------------------------------------------ */

#define LIMIT_IDEMPOTENCY_KEY_CHARS_MAX 64
/* A tablet that was out of reach for a day still gets its first answer. */
#define LIMIT_IDEMPOTENCY_LIFE_S (7 * 24 * 60 * 60)

/* --- mail ----------------------------------------------------------------- */

#define LIMIT_MAIL_ATTEMPTS_MAX 8
#define LIMIT_MAIL_RETRY_S_FIRST 60
#define LIMIT_MAIL_TIMEOUT_S 30

#endif
