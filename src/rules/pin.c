#include "rules/pin.h"

#include <stdbool.h>
#include <string.h>

static int different_digits(const char *pin) {
	int count = 0;
	for (char digit = '0'; digit <= '9'; digit++) count += strchr(pin, digit) != NULL;
	return count;
}

/* 890123 steps by one too: after nine comes nought. */
static bool has_equal_steps(const char *pin, size_t length) {
	int step = (pin[1] - pin[0] + 10) % 10;
	for (size_t i = 2; i < length; i++)
		if ((pin[i] - pin[i - 1] + 10) % 10 != step) return false;
	return true;
}

static bool repeats(const char *pin, size_t length) {
	for (size_t group = 1; group <= length / 2; group++)
		if (length % group == 0 && strncmp(pin, pin + group, length - group) == 0)
			return true;
	return false;
}

/* 112233, 111222333: three runs or more of one length, each of one digit. */
static bool has_equal_runs(const char *pin, size_t length) {
	for (size_t run = 2; run <= length / 3; run++) {
		size_t i = 1;
		while (i < length && (i % run == 0 || pin[i] == pin[i - 1])) i++;
		if (i == length && length % run == 0) return true;
	}
	return false;
}

const char *pin_fault(const char *pin, const char *badge) {
	size_t length = strlen(pin);
	if (strspn(pin, "0123456789") != length || length < PIN_DIGITS_MIN ||
	    length > PIN_DIGITS_MAX)
		return "A PIN is 6 to 12 digits and nothing else.";
	if (different_digits(pin) < 3)
		return "This PIN is too easily guessed. Use at least three different digits.";
	if (has_equal_steps(pin, length))
		return "This PIN is too easily guessed: its digits go up or down in equal steps. "
		       "Choose another.";
	if (repeats(pin, length))
		return "This PIN is too easily guessed: it says the same digits again. Choose "
		       "another.";
	if (has_equal_runs(pin, length))
		return "This PIN is too easily guessed: each of its digits is doubled or tripled. "
		       "Choose another.";
	if (badge && strlen(badge) > 2 && strstr(pin, badge))
		return "Your badge is in this PIN, and everybody knows it. Choose another.";
	return NULL;
}

int pin_wait_s(int failures) {
	if (failures < 2) return 0;
	return failures < PIN_FAILURES_MAX ? 1 << (failures - 1) : 1 << (PIN_FAILURES_MAX - 1);
}
