// Looks into a database from outside, by the sqlite3 command.
import { execFileSync } from "node:child_process";
import { join } from "node:path";

export const Database = {
	rows(data, sql) {
		const text = execFileSync("sqlite3", ["-readonly", "-json", "-cmd", ".timeout 5000", join(data, "pegwarden.db"), sql], { encoding: "utf8", maxBuffer: 1 << 28 });
		return text.trim() ? JSON.parse(text) : [];
	},
	/** Of workings only, as if time had passed: facts have their audit entry. */
	change(data, sql) {
		execFileSync("sqlite3", ["-cmd", ".timeout 5000", join(data, "pegwarden.db"), sql]);
	},
	count(data, table) {
		return this.rows(data, `SELECT count(*) AS n FROM ${table}`)[0].n;
	},
};
