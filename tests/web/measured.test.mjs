// The department that is measured with, at a thousandth of its size: a valid record. And a page,
// kept in one view from request to request, shows a change as soon as it is answered.
import { test } from "node:test";
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { dirname, join } from "node:path";
import { Department, root, run } from "./harness.mjs";

test("the measured department holds; every change is seen by the next reader", async () => {
	const department = new Department("9001");
	const generator = join(dirname(process.env.GENERATE ?? join(root, "build/demo/generate")), "../tests/bench/department");
	execFileSync(generator, [department.data, "2026-02-28", "1000"], { env: { ...process.env, PEGWARDEN_SHARE: root }, stdio: "pipe" });
	assert.match(run(["verify", "--data", department.data]), /holds/);
	assert.match(run(["rebuild", "--data", department.data]), /^0 components or members/);
	const trained = department.import("members", "badge,family_name,given_name,station,trained_until\n9001,Administrator,First,HQ,2099-12-31\n", ["--update"]);
	assert.equal(trained.code, 0, trained.err);
	const token = department.token("9001");
	await department.start();
	for (let id = 1; id <= 40; id++) {
		const body = { class: "advanced", reason: `soot, call ${id}`, performed_by: "Mila Novak" };
		const before = await department.json(`/components/${id}`, { token });
		const change = await department.json(`/components/${id}/cleanings`, { token, body, headers: { "If-Match": `"${before.doc.version}"` } });
		assert.ok(change.status < 300, `${change.status} ${JSON.stringify(change.doc)}`);
		const after = await department.json(`/components/${id}`, { token });
		assert.equal(after.doc.cleanings.length, before.doc.cleanings.length + 1);
		assert.equal(after.doc.cleanings.filter((c) => c.reason === body.reason).length, 1);
	}
	await department.stop();
	assert.match(run(["rebuild", "--data", department.data]), /^0 components or members/);
	assert.match(run(["verify", "--data", department.data]), /holds/);
	department.remove();
});
