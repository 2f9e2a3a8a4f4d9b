#!/bin/sh
# sh tests/care.sh asan|tsan|valgrind|coverage|branches: the check programs once more, in a build folder
# of their own (build-asan, ...), under something that watches them. branches: only those of the rules,
# and it fails when a branch of the rules was never taken.
top=$(cd "$(dirname "$0")/.." && pwd)
cd "$top" || exit 1
. demo/install.sh
what=$1
folder=$top/build-$what
[ "$what" != branches ] || folder=$top/build-coverage

programs() { sed -n '/^TESTS = /,/[^\\]$/p' "$top/Makefile.am" | sed -n 's/^\t\([^ ]*\).*/\1/p'; }

# In one process: what valgrind finds in a forked test would be lost with it.
run_valgrind() {
	for program in $(programs); do
		echo "$program"
		CK_FORK=no CK_DEFAULT_TIMEOUT=0 FAULTS_FINENESS=1 HISTORY_EVENTS=5 srcdir=$top valgrind --quiet \
			--leak-check=full --show-leak-kinds=definite --errors-for-leak-kinds=definite --error-exitcode=1 \
			"./$program" || return 1
	done
}

# Lines of each room that the check programs ran; a file that none of them links counts too.
print_coverage() {
	for room in "$top"/src/*/; do
		room=$(basename "$room")
		gcov -n "src/$room"/*.gcno 2>/dev/null | awk -v room="$room" '
			/^File / { ours = index($0, "/src/" room "/") && /\.c\x27$/ }
			/^Lines executed:/ && ours {
				split($0, part, /[:% ]+/)
				of = $NF; total += of; ran += of * part[3] / 100; ours = 0
			}
			END { printf "%-10s %5.1f %% of %d lines\n", room, total ? 100 * ran / total : 0, total }'
	done
}

# Branches of the rules that were taken, file by file, and each that never was.
print_branches() {
	for notes in src/rules/*.gcno; do
		gcov -t -b -c "$notes" 2>/dev/null | awk -v file="src/rules/$(basename "$notes" .gcno).c" '
			/:Source:/ { ours = index($0, "/" file) || index($0, ":" file) }
			/^ *[-#=0-9*]+: *[0-9]+:/ { split($0, part, ":"); line = part[2] + 0 }
			ours && /^branch / {
				of++
				if (/taken [1-9]/) ran++
				else never = never sprintf("never taken: %s:%d branch %d\n", file, line, $2)
			}
			END { printf "%-22s %5.1f %% of %d branches\n%s", file, of ? 100 * ran / of : 100, of, never }'
	done
}

install_packages build $([ "$what" != valgrind ] || echo care) || exit 1
case $what in
asan) build_in "$folder" --enable-developer --enable-sanitizers=address,undefined CFLAGS="-O1 -g" ;;
tsan) build_in "$folder" --enable-developer --enable-sanitizers=thread CFLAGS="-O1 -g" ;;
valgrind) build_in "$folder" --enable-developer CFLAGS="-O1 -g" ;;
coverage | branches) build_in "$folder" CFLAGS="-O0 -g --coverage" LDFLAGS=--coverage ;;
*) sed -n 2,4p "$0" && exit 2 ;;
esac || exit 1
cd "$folder" || exit 1
case $what in
asan | tsan) make -s check ;;
valgrind) make -s check TESTS= && run_valgrind ;;
coverage)
	find . -name '*.gcda' -delete
	make -s check && print_coverage && print_branches
	;;
branches)
	find . -name '*.gcda' -delete
	make -s check TESTS="tests/unit/rules tests/reference/trade" && print_branches | tee branches.txt && ! grep -q '^never taken' branches.txt
	;;
esac
