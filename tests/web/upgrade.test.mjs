// After a migration what follows from the facts is computed anew, once.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { join } from "node:path";
import { test } from "node:test";
import { Database } from "./sqlite.mjs";
import { Department, attempt, run } from "./harness.mjs";

test("derived rows of before a migration are computed anew at the next start, and only then", () => {
	const department = new Department().fill(), data = department.data;
	const change = (sql) => execFileSync("sqlite3", [join(data, "pegwarden.db"), sql]);
	const number = (sql) => Database.rows(data, sql)[0].n;
	const last = number("SELECT max(number) AS n FROM migration"), check = ["rebuild", "--check", "--data", data];
	assert.equal(number("SELECT user_version AS n FROM pragma_user_version"), last);
	change("UPDATE standing SET ready_until = '2199-01-01' WHERE component_id = 1; DELETE FROM duty WHERE component_id = 2");
	const wrong = attempt(check);
	assert.equal(wrong.code, 3, "nothing is computed anew without a migration");
	assert.match(wrong.out, /^[1-9]\d* components or members are not/);
	change("PRAGMA user_version = 1");
	assert.match(run(check), /^0 components or members are not/);
	assert.equal(number("SELECT user_version AS n FROM pragma_user_version"), last);
	assert.match(run(["verify", "--data", data]), /holds/);
	department.remove();
});
