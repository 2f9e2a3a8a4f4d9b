// What is retired was taken back first, is disposed of afterwards, and its record stays as it is.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { Department } from "./harness.mjs";
import { JsonClient, componentOf, idOf } from "./inspecting.mjs";
import { Database } from "./sqlite.mjs";

let department, officer;
before(async () => {
	department = new Department().fill();
	officer = new JsonClient(department, department.token("2003"));
	await department.start();
});
after(() => department?.finish());
const act = async (tag, path, body, wanted) => officer.send(`/components/${await idOf(officer, tag)}/${path}`, body, (await componentOf(officer, tag)).version, wanted);

test("taken back, retired, disposed of, in this order", async () => {
	assert.match((await act("PX-HOOD", "retire", { reason: "worn out" }, 409)).doc.detail, /issued to Ines Okafor\. Take it back first/);
	await act("PX-HOOD", "return", { condition: "damaged" });
	await act("PX-HOOD", "dispose", { method: "cut up" }, 409);
	await act("PX-HOOD", "retire", { reason: "worn out", on: "2026-06-10" });
	assert.equal((await act("PX-HOOD", "dispose", { method: "cut up", on: "2026-06-09" }, 422)).doc.errors[0].field, "on");
	await act("PX-HOOD", "dispose", { method: "cut up", on: "2026-06-10" });
	await act("PX-HOOD", "dispose", { method: "burnt", on: "2026-06-11" }, 409);
});

test("a table says the same of its end, or nothing", async () => {
	await department.stop();
	const ended = () => Database.rows(department.data, "SELECT retired_on, retired_reason, disposed_on, disposal_method FROM component WHERE tag = 'PX-HOOD'")[0];
	const before = ended(), same = ["2026-06-10", "worn out", "2026-06-10", "cut up"];
	const bring = (tag, cells) => department.import("components",
		`tag,kind,hazard,station,retired_on,retired_reason,disposed_on,disposal_method\n${tag},hood,proximity,ST1,${cells.join()}\n`, ["--update"]);
	assert.equal(bring("PX-HOOD", same).code, 0);
	for (const [column, cells] of [["retired_on", same.with(0, "2026-06-09")], ["retired_reason", same.with(1, "lost")],
		["disposed_on", same.with(2, "2026-06-12")], ["disposal_method", same.with(3, "given away")]])
		assert.match(bring("PX-HOOD", cells).err, new RegExp(`column ${column}: On record it is .*, and stays so`));
	assert.match(bring("NEW-1", same.with(2, "2026-06-09")).err, /column disposed_on: It was retired on 2026-06-10/);
	assert.match(bring("NEW-1", same.with(0, "2099-01-01").with(2, "2099-01-02")).err, /in the future/);
	assert.deepEqual(ended(), before);
	await department.start();
});
