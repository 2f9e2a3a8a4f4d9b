/*
 * The command line: one function a verb.
 */
#include <stdio.h>

int main(void) {
	puts("pegwarden");
	return 0;
}
