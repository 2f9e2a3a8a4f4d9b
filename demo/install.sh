# Installs what is missing of the packages of the groups named: top=TREE; . demo/install.sh; install_packages build
# Root is asked for only when something is missing.

install_packages() {
	packages_file=$top/demo/packages
	missing=""
	for group in "$@"; do
		for package in $(sed -n "s/^$group \([^ ]*\).*/\1/p" "$packages_file"); do
			# A node or java from elsewhere serves as well.
			case $package in
			nodejs) command -v node >/dev/null 2>&1 && continue ;;
			npm) command -v npm >/dev/null 2>&1 && continue ;;
			default-jre-headless) command -v java >/dev/null 2>&1 && continue ;;
			esac
			dpkg-query -W -f '${Status}' "$package" 2>/dev/null | grep -q 'ok installed' || missing="$missing $package"
		done
	done
	[ -n "$missing" ] || return 0
	echo "Installing what is missing:$missing"
	if [ "$(id -u)" = 0 ]; then as_root=""; elif command -v sudo >/dev/null 2>&1; then as_root=sudo; else
		echo "Run this as root, then start again:" >&2
		echo "  apt-get update && apt-get install --no-install-recommends$missing" >&2
		return 1
	fi
	$as_root apt-get update -qq </dev/null &&
		$as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $missing </dev/null >/dev/null
}

# build_in FOLDER CONFIGURE-OPTIONS...: builds out of the tree, quietly; the log is shown when it fails.
build_in() {
	build_folder=$1
	shift
	mkdir -p "$build_folder"
	log=$build_folder/build.log
	{
		if [ ! -x "$top/configure" ] || [ "$top/configure.ac" -nt "$top/configure" ] || [ "$top/Makefile.am" -nt "$top/Makefile.in" ]; then
			(cd "$top" && autoreconf -fi)
		fi &&
			cd "$build_folder" &&
			{ [ -f Makefile ] || "$top/configure" "$@"; } &&
			make -j"$(nproc)"
	} >"$log" 2>&1 || { tail -40 "$log" >&2; echo "The build in $build_folder failed; its log is $log." >&2; return 1; }
}
