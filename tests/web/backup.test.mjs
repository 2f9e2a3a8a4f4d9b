// A copy made while changes go on, put into a new folder with the key, is a whole record.
import { test } from "node:test";
import assert from "node:assert/strict";
import { copyFileSync, existsSync, mkdirSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { spawn } from "node:child_process";
import { Department, attempt, binary, run } from "./harness.mjs";
import { Database } from "./sqlite.mjs";

test("a copy while it is served", async () => {
	const department = new Department().fill();
	const token = department.token("2001");
	await department.start();
	let stopped = false, recorded = 0;
	const recording = (async () => {
		const { doc } = await department.json("/components/1", { token });
		while (!stopped) {
			const answer = await department.json("/components/1/cleanings", { token, headers: { "If-Match": `"${doc.version}"` },
				body: { class: "advanced", reason: `call ${recorded}`, performed_by: "Ines Okafor" } });
			assert.ok(answer.status < 300, answer.text);
			recorded++;
		}
	})();
	while (recorded < 5) await new Promise(setImmediate);
	const before = recorded, copy = join(department.folder, "copy.db");
	const child = spawn(binary, ["backup", "--data", department.data, "--to", copy], { stdio: "ignore" });
	assert.equal(await new Promise((done) => child.once("exit", done)), 0);
	stopped = true;
	await recording;
	await department.stop();
	assert.equal(statSync(copy).mode & 0o777, 0o600);

	const restored = join(department.folder, "restored");
	mkdirSync(restored, { mode: 0o700 });
	copyFileSync(copy, join(restored, "pegwarden.db"));
	copyFileSync(join(department.data, "signing.key"), join(restored, "signing.key"));
	assert.match(run(["verify", "--data", restored]), /holds/);
	const kept = Database.count(restored, "cleaning");
	assert.ok(kept >= before && kept <= recorded, `${before} <= ${kept} <= ${recorded}`);
	assert.match(run(["rebuild", "--data", restored]), /^0 components or members/);

	const again = attempt(["backup", "--data", department.data, "--to", copy]);
	assert.equal(again.code, 1);
	assert.match(again.err, /there already/);
	const nowhere = join(department.folder, "no/such/folder.db");
	assert.equal(attempt(["backup", "--data", department.data, "--to", nowhere]).code, 1);
	writeFileSync(join(restored, "pegwarden.db"), "no database at all, but long enough to be read as one ".repeat(40));
	const broken = attempt(["backup", "--data", restored, "--to", join(department.folder, "broken.db")]);
	assert.equal(broken.code, 1);
	assert.ok(!existsSync(join(department.folder, "broken.db")));
	department.remove();
});
