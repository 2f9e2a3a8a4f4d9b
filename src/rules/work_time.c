#include "rules/work_time.h"

int64_t work_time(int64_t opened_s, int64_t counted_until_s, int64_t now_s) {
	int64_t from = opened_s > counted_until_s ? opened_s : counted_until_s;
	if (now_s <= from) return 0;
	return now_s - from < WORK_PAGE_S_MAX ? now_s - from : WORK_PAGE_S_MAX;
}
