/*
 * PINs on a shared tablet: which ones are too easily guessed, and what wrong ones lead to.
 *
 * A PIN opens a session only together with the secret of an enrolled tablet, so whoever
 * guesses stands in the station. Lengths, what is too easily guessed, waits and the lock: common
 * practice, no source.
 */
#ifndef PEGWARDEN_RULES_PIN_H
#define PEGWARDEN_RULES_PIN_H

#define PIN_DIGITS_MIN 6
#define PIN_DIGITS_MAX 12
/* So many wrong ones after another, of one person on one tablet, lock the PIN everywhere. */
#define PIN_FAILURES_MAX 5
/* A tablet that nobody touches for so many minutes asks for the PIN again; a setting. */
#define PIN_LOCK_MINUTES 5
/* A session ends after an hour without use in any case. */
#define PIN_LOCK_MINUTES_MAX 60

/* Why this may be nobody's PIN, as a sentence that says what to do; NULL when it may be one.
 * Refused: other than 6 to 12 digits, fewer than three different digits (111111, 121212),
 * equal steps from digit to digit (123456, 987654, 890123, 246802), a group of digits again
 * and again (123123), every digit doubled or tripled (112233, 550077), and the badge in it.
 * badge NULL: not asked. */
const char *pin_fault(const char *pin, const char *badge);

/* Seconds until the next try after so many wrong ones: the first is anybody's slip, then 2,
 * 4, 8 ... */
int pin_wait_s(int failures);

#endif
