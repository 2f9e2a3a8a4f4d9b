#!/bin/sh
# Who may include whom: reads the #include lines below the folder given.
source=${1:-src}
bad=0
allowed() {
	case $1 in
	base) echo "base" ;;
	rules) echo "base rules" ;;
	audit) echo "base audit" ;;
	store) echo "base rules audit store" ;;
	http) echo "base http" ;;
	outbound) echo "base store audit outbound" ;;
	handlers) echo "base rules audit store http outbound handlers" ;;
	verbs) echo "base rules audit store http outbound handlers verbs" ;;
	esac
}
for room in base rules audit store http outbound handlers verbs; do
	[ -d "$source/$room" ] || continue
	may=" $(allowed $room) "
	for line in $(grep -Hno '^#include "[a-z]*/' "$source/$room"/*.[ch] | sed 's/#include "//; s/\/$//'); do
		other=${line##*:}
		case $may in
		*" $other "*) ;;
		*) echo "$line: $room may not include $other"; bad=1 ;;
		esac
	done
	[ $room = store ] && continue
	grep -HnE '"(SELECT|INSERT INTO|UPDATE|DELETE FROM) ' "$source/$room"/*.c && { echo "SQL outside the store"; bad=1; }
done
exit $bad
