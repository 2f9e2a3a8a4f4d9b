// Looks into a database from outside, by the sqlite3 command.
import { execFileSync } from "node:child_process";
import { join } from "node:path";

export const Database = {
	rows(data, sql) {
		const text = execFileSync("sqlite3", ["-readonly", "-json", "-cmd", ".timeout 5000", join(data, "pegwarden.db"), sql], { encoding: "utf8", maxBuffer: 1 << 28 });
		return text.trim() ? JSON.parse(text) : [];
	},
	count(data, table) {
		return this.rows(data, `SELECT count(*) AS n FROM ${table}`)[0].n;
	},
};
