/*
 * The PIN that a person has on the shared tablets of the station: its hash, the lock after
 * wrong ones, and how many were wrong where.
 *
 * A fact: the argon2id hash and since when it is locked, columns of the account. The count of
 * wrong ones, by person and tablet, is workings.
 */
#ifndef PEGWARDEN_STORE_PIN_H
#define PEGWARDEN_STORE_PIN_H

#include "store/store.h"

/* account name badge station pin_hash has_pin is_locked failures last_s (of this tablet); *row is
 * NULL unless the account is open and its member in service. */
enum err pin_of_account(struct store *st, int64_t account, int64_t tablet, struct arena *a,
			struct doc **row, struct fault *f) MUST_CHECK;
/* A new one is not locked; sessions begun with the old one end, but for this one (may be
 * NULL). */
enum err pin_set(struct store *st, int64_t account, const char *pin_hash, const char *session,
		 struct fault *f) MUST_CHECK;
/* Counts a wrong one. */
enum err pin_failed(struct store *st, int64_t account, int64_t tablet, int64_t now_s,
		    struct fault *f) MUST_CHECK;
enum err pin_held(struct store *st, int64_t account, int64_t tablet, struct fault *f) MUST_CHECK;
enum err pin_lock(struct store *st, int64_t account, const char *at, struct fault *f) MUST_CHECK;
/* Wrong ones are forgotten too. *was_locked may be NULL. */
enum err pin_unlock(struct store *st, int64_t account, bool *was_locked,
		    struct fault *f) MUST_CHECK;

#endif
