// A change sent as a form that fails shows the form again, on every route, whatever
// else stands on its page: without a version, with a stale one, with a field too many.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { Database } from "./sqlite.mjs";
import { Department, run } from "./harness.mjs";
import { photoForm } from "./inspecting.mjs";
import { plainPng } from "./pictures.mjs";
import { enrolled } from "./tablet.mjs";

const routes = run(["routes"]).trim().split("\n").map((line) => line.match(/^(\S+)\s+(\S+)/).slice(1))
	.filter(([method]) => method === "POST").map(([, pattern]) => pattern);
// What each change needs to come as far as its version; the others need nothing.
const fields = {
	"/components/:id/issue": { member: 2, condition: "good" }, "/components/:id/return": { condition: "good" },
	"/components/:id/cleanings": { class: "routine", reason: "use", performed_by: "user" }, "/components/:id/withdraw": { reason: "Wet" },
	"/components/:id/release": { reason: "Dry" }, "/components/:id/retire": { ground: "age" }, "/components/:id/dispose": { way: "destroyed", witness: "Ines Okafor" },
	"/components/:id/prices": { price: "1.00" }, "/components/:id/training": { use: "non_live", marked: "yes" },
	"/findings/:id/answer": { answer: "Serves on" }, "/inspections/:id/abandon": { reason: "Called away" },
	"/holds/:id/custody": { who: "R. Okoye", purpose: "viewed" }, "/holds/:id/release": { authority: "Fire marshal", reason: "Closed" },
	"/safety-notices/:id/answers": { component: 1, answer: "done" }, "/safety-notices/:id/answers/:id/revoke": { reason: "Another one" },
	"/safety-notices/:id/scopes": { maker: "Ostrow" }, "/safety-notices/:id/scopes/:id/drop": { reason: "Read wrongly" },
	"/exposures/:id/revoke": { reason: "Stayed outside" },
	"/field-tests": { component: 1, test: "seam", sign: "no" }, "/field-tests/:id/revoke": { reason: "Another coat" },
	"/fit-checks": { member: 3, hazard: "structural" }, "/fit-checks/:id/revoke": { reason: "Another member" },
	"/dispatches/:id/items/:id/quote": { quote: "1.00" },
	"/inspections": { kind: "routine", ensemble: 1 }, "/inspections/:id/signature": { confirmed: "yes" },
};
// A file has to be chosen again.
const files = routes.filter((pattern) => pattern.endsWith("/photos"));
// They make something new, or change what nobody else can have changed meanwhile.
const unversioned = ["/sign-in", "/sign-out", "/look", "/password", "/pin", "/tablets", "/tablets/:id/people/:id/unlock", "/tablet/enrol", "/tablet/people/:id", "/accounts", "/accounts/:id/tokens/:id/revoke", "/tokens", "/tokens/:id/revoke",
	"/stations", "/members", "/ensembles", "/components", "/providers", "/prices", "/inspections", "/dispatches", "/holds", "/exposures", "/field-tests", "/fit-checks", "/safety-notices", "/safety-notices/preview", "/notices/:id/retry", "/imports", "/imports/:id/run", ...files];

// Buttons and files: nothing is typed, so nothing can be kept.
const buttons = ["/sign-out", "/look", "/tablets/:id/code", "/tablets/:id/revoke", "/tablets/:id/people/:id/unlock", "/accounts/:id/tokens/:id/revoke", "/tokens/:id/revoke", "/inspections/:id/take-over", "/inspections/:id/findings/:id/withdraw",
	"/dispatches/:id/send", "/dispatches/:id/cancel", "/notices/:id/retry", "/imports/:id/run", "/photos/:id/withdraw", ...files];
// What is asked for in the address.
const asked = { "/inspections/:id/parts/:id/findings/photos": "?point=label" };

let department, token, ids, tablet;
const send = (pattern, body) => {
	const id = [...(ids[pattern] ?? [1, 1])], path = pattern.replaceAll(":id", () => id.shift()) + (asked[pattern] ?? "");
	return department.json(path, { token, body: new URLSearchParams(body).toString(),
		headers: { accept: "text/html", "content-type": "application/x-www-form-urlencoded",
			// From anywhere but a tablet the page of a person is not there.
			...(pattern.startsWith("/tablet/") ? { cookie: `pegwarden_tablet=${tablet.cookies.get("pegwarden_tablet")}` } : {}) } });
};

before(async () => {
	department = new Department().fill();
	department.account("2001", "administrator");
	token = department.token("2001");
	await department.start();
	const json = async (path, body, version) => {
		const answer = await department.json(path, { token, body, headers: version ? { "if-match": `"${version}"` } : {} });
		assert.ok(answer.status < 300, `${path}: ${answer.status} ${answer.text}`);
		return answer;
	};
	const home = Database.rows(department.data, "SELECT a.id, m.station_id AS station FROM account a JOIN member m ON m.id = a.member_id WHERE m.badge = '2001'")[0];
	tablet = await enrolled(department, token, home.station, "Bay 1");
	// An inspection that was signed left an open finding and a ticket; another is a draft with one.
	const inspect = async (tag) => {
		const component = (await json(`/search?q=${tag}`)).doc.component;
		const begun = (await json("/inspections", { kind: "routine", component: [component] })).doc.inspection.id;
		const part = `/inspections/${begun}/parts/${component}`;
		for (const { code } of (await json(part)).doc.groups) {
			const shown = (await json(`${part}?group=${code}`)).doc;
			const last = (await json(`${part}?group=${code}`, Object.fromEntries(shown.points.map((point) => [point.code, "sound"])), shown.version)).doc;
			if (code !== (await json(part)).doc.groups[0].code) continue;
			const point = shown.points[0].code, defect = (await json(`${part}/findings?point=${point}`)).doc.defects[0].code;
			const form = (await json(`${part}/findings?point=${point}&defect=${defect}`)).doc;
			fields["/inspections/:id/findings/:id"] = { check_point: point, defect, zone: form.zones[0].value, severity: "major", outcome: form.outcomes[0].value, place: "inside" };
			fields["/inspections/:id/parts/:id/findings"] = fields["/inspections/:id/findings/:id"];
			await json(`${part}/findings`, fields["/inspections/:id/findings/:id"], last.version);
		}
		return [begun, component];
	};
	const [signed] = await inspect("PX-HOOD");
	await json(`/inspections/${signed}/signature`, { confirmed: true }, (await json(`/inspections/${signed}/review`)).doc.inspection.version);
	const [draft, component] = await inspect("SX-HOOD");
	const finding = Database.rows(department.data, `SELECT id FROM finding WHERE inspection_id = ${draft}`)[0].id;
	const open = (await json("/dispatches/new")).doc.candidates.map((one) => one.finding);
	const ticket = (await json("/dispatches", { provider: 1, finding: open })).headers.get("location").split("/")[2];
	const items = Database.rows(department.data, `SELECT id FROM dispatch_item WHERE dispatch_id = ${ticket}`);
	fields["/dispatches/:id/return"] = Object.fromEntries(items.map((item) => [`result.${item.id}`, "repaired"]));
	await json("/prices", { kind: "hood", hazard: "proximity", reflective: false, valid_from: "2026-01-01", price: "90.00" });
	const part = async (tag) => (await json(`/search?q=${tag}`)).doc.component;
	const worn = (await json("/components?q=SX-&size=50")).doc.rows.map((row) => row.id);
	await json("/fit-checks", { member: 3, hazard: "structural", component: worn, overlap: "6", unit: "in", ...Object.fromEntries(
		["coat_trousers", "hood_collar", "hood_facepiece", "glove_sleeve", "trousers_boots", "helmet_hood"].map((one) => [one, "closed"])) });
	await json("/holds", { component: [await part("PX-SHROUD")], incident: "2026-0117", kept_where: "Locker", container: "paper" });
	await json("/safety-notices", { issuer: "Harrow and Pell", issued_on: "2026-01-05", title: "Laces", wrong: "They tear.", action: "inform", maker: "Harrow and Pell" });
	await json("/exposures", { component: [await part("PX-OVERCOVER")], cause: "fuels" });
	await json("/field-tests", { component: 1, test: "seam", sign: false });
	await json(`/inspections/${draft}/findings/${finding}/photos`, photoForm(plainPng()));
	const table = new FormData();
	table.set("kind", "stations");
	table.set("table", new Blob(["code,name\r\nST9,Nine\r\n"]), "stations.csv");
	const given = await fetch(department.url + "/imports", { method: "POST", body: table, headers: { accept: "application/json", authorization: `Bearer ${token}` } });
	assert.equal(given.status, 201, await given.text());
	ids = { "/tablet/people/:id": [home.id], "/tablets/:id/people/:id/unlock": [tablet.id, home.id], "/inspections/:id/findings/:id": [draft, finding], "/inspections/:id/findings/:id/withdraw": [draft, finding], "/inspections/:id/findings/:id/photos": [draft, finding] };
	for (const pattern of routes) if (pattern.startsWith("/inspections/:id")) ids[pattern] ??= [draft, component];
	for (const pattern of routes) if (pattern.startsWith("/dispatches/:id")) ids[pattern] = [ticket, items[0].id];
});
after(async () => {
	await department.stop();
	department.remove();
});

describe("a form that fails", () => {
	for (const pattern of routes)
		test(pattern, async () => {
			const count = () => Database.count(department.data, "audit_entry"), before = count();
			const is = async (body, status, what) => {
				const answer = await send(pattern, body);
				const seen = `${pattern}, ${what}: ${answer.status} ${answer.text.slice(answer.text.indexOf("<main"), 600)} ${department.log}`;
				assert.equal(answer.status, status, seen);
				assert.match(answer.headers.get("content-type"), /^text\/html/, seen);
				return answer.text;
			};
			const valid = fields[pattern] ?? {};
			const extra = await is({ ...valid, _version: 1, no_such_field: "x" }, 422, "a field too many");
			assert.match(extra, /no_such_field/);
			assert.match(extra, /id="errors"/);
			assert.equal(/still in the form/.test(extra), !buttons.includes(pattern), pattern);
			if (!unversioned.includes(pattern)) {
				await is(valid, 428, "no version");
				const stale = await is({ ...valid, _version: 999 }, 412, "a stale version");
				assert.match(stale, /<form [^>]*method="post"/, pattern);
			}
			assert.equal(count(), before, "nothing was stored");
		});
	test("and the service runs on", async () => {
		assert.equal((await department.json("/health")).status, 200);
	});
});
