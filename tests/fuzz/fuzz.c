/* For libFuzzer; FUZZ_TARGET in the environment says which target. See tests/fuzz/run. */
#include <stdlib.h>
#include <string.h>

#include "targets.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length);

static const struct fuzz_target *chosen(void) {
	const char *name = getenv("FUZZ_TARGET");
	for (size_t i = 0; name && i < fuzz_target_count; i++)
		if (strcmp(fuzz_target[i].name, name) == 0) return &fuzz_target[i];
	fuzz_require(0, "FUZZ_TARGET names a target");
	return NULL;
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length) {
	static const struct fuzz_target *target;
	if (!target) target = chosen();
	char *text = malloc(length + 1);
	if (!text) return 0;
	memcpy(text, bytes, length);
	text[length] = '\0';
	target->run(text, length);
	free(text);
	return 0;
}
