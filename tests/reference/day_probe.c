/*
 * Answers questions about days, one a line, for the comparison with a
 * general-purpose date library:
 *   m DAY MONTHS   the day so many months later
 *   y DAY YEARS    the day so many years later
 *   d DAY DAY      days from the first to the second
 *   l LABEL        first and last day a label date can mean
 */
#include <stdio.h>
#include <string.h>

#include "base/day.h"
#include "base/text.h"

static void answer_label(const char *text) {
	struct label_date date;
	char first[DAY_TEXT_SIZE], last[DAY_TEXT_SIZE], back[DAY_TEXT_SIZE];
	label_date_parse(text, &date);
	printf("%s %s %s\n", day_format(label_date_first(date), first),
	       day_format(label_date_last(date), last), label_date_format(date, back));
}

static void answer(char question, const char *first, const char *second) {
	char text[DAY_TEXT_SIZE];
	int64_t number = 0;
	day d = day_parse(first);
	if (question == 'l') {
		answer_label(first);
		return;
	}
	if (question == 'd') {
		printf("%d\n", day_parse(second) - d);
		return;
	}
	if (!text_to_int(second, -10000, 10000, &number)) number = 0;
	d = question == 'm' ? day_add_months(d, (int)number) : day_add_years(d, (int)number);
	printf("%s\n", day_format(d, text));
}

int main(void) {
	char line[100];
	while (fgets(line, sizeof line, stdin)) {
		line[strcspn(line, "\n")] = '\0';
		char *first = line + 2, *space = strchr(first, ' ');
		if (space) *space = '\0';
		answer(line[0], first, space ? space + 1 : "");
	}
	return 0;
}
