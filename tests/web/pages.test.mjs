// Every page of the demo department: found by following links, one of each kind
// looked at closely: valid HTML, accessible in light and dark, fits 360 px.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { Department, browser, run, signIn } from "./harness.mjs";
import { enrolled } from "./tablet.mjs";

const require = createRequire(import.meta.url);
let department, token, tablet, draft, ticket, hold, exposure, notice, ended, pages = new Map();

/** Links of a page that stay here, without what sorts, searches and pages on. */
const links = (html) => [...html.matchAll(/<a [^>]*href="(\/[^"#]*)"/g)].map((match) => match[1].replaceAll("&amp;", "&"))
	.filter((path) => !path.startsWith("/static") && !/\.csv/.test(path));
/** The pages of a tablet's people are there for the tablet only. */
const cookieOf = (path) => (path.startsWith("/tablet/") || path.includes("names=") ? { cookie: `pegwarden_tablet=${tablet.cookies.get("pegwarden_tablet")}` } : {});
const shape = (path) => path.replace(/\d{4}-\d\d-\d\d/g, "D").replace(/\d+/g, "N").replace(/=[^&]*/g, "=");

before(async () => {
	department = new Department("9001").fillDemo();
	department.account("3004", "inspector");
	token = department.token("9001");
	const inspector = department.token("3004");
	await department.start();
	const airfield = (await department.json("/members?q=3004", { token })).doc.rows[0];
	tablet = await enrolled(department, token, airfield.station, "Bay 1");
	// A draft with a finding, and a ticket, so that their pages exist.
	const scanned = await department.json("/search?q=PX-3004-CS", { token: inspector });
	const begun = await department.json("/inspections", { token: inspector, body: { kind: "advanced", component: [scanned.doc.component] } });
	assert.equal(begun.status, 201, begun.text);
	draft = begun.doc.inspection.id;
	const waiting = await department.json("/dispatches/new", { token: inspector });
	const sent = await department.json("/dispatches", { token: inspector,
		body: { provider: 1, finding: waiting.doc.candidates.slice(0, 3).map((candidate) => candidate.finding) } });
	assert.equal(sent.status, 201, sent.text);
	ticket = sent.headers.get("location");
	const priced = await department.json("/prices", { token, body: { kind: "hood", hazard: "proximity", reflective: false, valid_from: "2026-01-01", price: "90.00" } });
	assert.equal(priced.status, 201, priced.text);
	const wrong = { issuer: "Harrow and Pell", reference: "HP-2026-7", issued_on: "2026-01-05", title: "Buckles may break", wrong: "A spring was left out.", action: "send", action_text: "To the works.", due_on: "2027-01-01", maker: "Ostler Works", serial_from: "O1", serial_to: "O09999999", made_from: "2015-01" };
	const recall = await department.json("/safety-notices", { token, body: wrong });
	assert.equal(recall.status, 201, recall.text);
	notice = recall.headers.get("location");
	const hit = (await department.json(`${notice}/items?left=yes`, { token })).doc.rows;
	assert.ok(hit.length > 2);
	const answered = await department.json(`${notice}/answers`, { token, body: { component: hit.slice(0, 2).map((row) => row.component), answer: "not_affected", note: "read by the inspector" }, headers: { "if-match": "1" } });
	assert.equal(answered.status, 200, answered.text);
	const smoky = await department.json("/search?q=SX-1001-CS", { token: inspector });
	const exposed = await department.json("/exposures", { token: inspector, body: { component: [smoky.doc.component], cause: "cbrn", contaminants: "powder" } });
	assert.equal(exposed.status, 201, exposed.text);
	exposure = `/exposures/${(await department.json("/exposures", { token: inspector })).doc.rows[0].id}`;
	const held = await department.json("/search?q=SX-1001-HO", { token: inspector });
	const holding = await department.json("/holds", { token: inspector,
		body: { component: [held.doc.component], incident: "2026-0117, hangar 2", kept_where: "Evidence locker", container: "paper" } });
	assert.equal(holding.status, 201, holding.text);
	hold = holding.headers.get("location");
	// Parts that may still be retired, may be marked for training, may not, and are.
	const spare = (await department.json("/components?state=in_stores", { token })).doc.rows.map((row) => row.id);
	for (const [i, ground] of ["age", "lost"].entries()) {
		const end = await department.json(`/components/${spare[i]}/retire`, { token, body: { ground }, headers: { "if-match": "1" } });
		assert.equal(end.status, 200, end.text);
	}
	const marked = (await department.json("/components?state=training_only", { token })).doc.rows[0].id;
	ended = [`/components/${marked}`, `/components/${spare[2]}/retire`, `/components/${spare[0]}/training`, `/components/${spare[1]}/training`, `/components/${spare[0]}/dispose`];
	await department.json(`${ticket}/send`, { token: inspector, body: {}, headers: { "if-match": "1" } });
});
after(async () => {
	await department?.stop();
	department?.remove();
});

describe("pages", () => {
	test("every link leads to a page", async () => {
		const waiting = ["/", "/sign-in", "/sign-in?names=yes", "/tablet/enrol", "/tablets", "/tablets/new", "/pin", ...ended, `/inspections/${draft}`, `/inspections/${draft}/preparation`, `/inspections/${draft}/review`, `/inspections/${draft}/abandon`, `${ticket}/return`, hold, exposure, notice, "/safety-notices/new", `${notice}/scopes/1/drop`, `/exposures/new?component=${(await department.json(exposure, { token })).doc.exposure.component}`, "/exposures/new", `/components/${(await department.json(hold, { token })).doc.hold.component}`, "/holds/new?component=9", "/holds/new", "/stations/new", "/components/new",
			"/members/new", "/providers/new", "/prices", "/prices/new", "/prices/1", "/components/9/prices", "/components?state=held", "/search?q=fall", "/ensembles/new", "/dispatches/new", "/search", "/search?q=PX-3OO4-CS", "/audit/5", "/tokens",
			"/accounts", "/accounts/new", "/accounts/1/edit", "/accounts/2/password", "/settings", "/rules", "/password"];
		const seen = new Map();
		while (waiting.length) {
			const path = waiting.shift(), kind = shape(path);
			if ((seen.get(kind) ?? 0) >= 2) continue;
			seen.set(kind, (seen.get(kind) ?? 0) + 1);
			const page = await department.json(path, { token, headers: { accept: "text/html", ...cookieOf(path) } });
			if (page.status === 303) continue;
			assert.equal(page.status, 200, `${path}: ${page.text.slice(0, 300)} ${department.log}`);
			pages.set(path, page.text);
			const doc = await department.json(path, { token, headers: cookieOf(path) });
			assert.ok(doc.doc, `${path} as JSON`);
			waiting.push(...links(page.text));
		}
		console.log(`${pages.size} pages of ${seen.size} kinds`);
		assert.ok(seen.size > 60);
	});

	test("valid HTML", () => {
		const folder = join(department.folder, "html");
		mkdirSync(folder);
		const names = new Map();
		for (const [path, html] of pages) {
			const name = `${names.size}.html`;
			names.set(name, path);
			writeFileSync(join(folder, name), html);
		}
		const jar = require.resolve("vnu-jar/build/dist/vnu.jar");
		try {
			execFileSync("java", ["-Xss4m", "-jar", jar, "--errors-only", "--format", "gnu", folder], { encoding: "utf8", stdio: ["ignore", "pipe", "pipe"], maxBuffer: 1 << 26 });
		} catch (error) {
			assert.fail(error.stderr.split("\n").slice(0, 20).map((line) => line.replace(/.*\/(\d+\.html)"?/, (_, name) => names.get(name))).join("\n"));
		}
	});

	test("accessible, in both colour schemes, and no wider than the screen", async () => {
		const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
		const chrome = await browser();
		const context = await chrome.newContext({ viewport: { width: 360, height: 740 }, bypassCSP: true, reducedMotion: "reduce" });
		await context.addCookies([{ name: "pegwarden_tablet", value: tablet.cookies.get("pegwarden_tablet"), url: department.url, sameSite: "Strict" }]);
		const page = await context.newPage();
		const wrong = [];
		page.on("pageerror", (error) => wrong.push(`${page.url()}: ${error.message}`));
		await signIn(page, department, "9001");
		const kinds = new Map([...pages.keys()].map((path) => [shape(path).split("?")[0], path]));
		for (const path of kinds.values()) {
			await page.goto(department.url + path);
			for (const scheme of ["light", "dark"]) {
				await page.emulateMedia({ colorScheme: scheme });
				await page.evaluate(axe);
				const result = await page.evaluate(() => globalThis.axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] }));
				for (const v of result.violations) wrong.push(`${path} ${scheme}: ${v.id} ${v.nodes[0].html.slice(0, 140)} ${v.nodes[0].failureSummary.slice(0, 200)}`);
			}
			const wide = await page.evaluate(() => document.documentElement.scrollWidth);
			if (wide > 360) wrong.push(`${path}: ${wide} px wide`);
		}
		await chrome.close();
		console.log(`${kinds.size} kinds of pages`);
		assert.deepEqual(wrong, []);
	});

	test("touch targets of the inspection pages are 48 px", async () => {
		const chrome = await browser();
		const page = await (await chrome.newContext({ viewport: { width: 800, height: 1280 } })).newPage();
		await signIn(page, department, "3004");
		const small = [];
		const parts = [...pages.keys()].filter((path) => path.startsWith(`/inspections/${draft}`));
		assert.ok(parts.length > 4);
		for (const path of ["/", ...parts]) {
			await page.goto(department.url + path);
			small.push(...await page.evaluate((path) => [...document.querySelectorAll("main button, main a.button, main label.choice, main summary, main select, main input:not([type=radio]):not([type=checkbox]):not([type=hidden]), header a, header button, header input, header summary")]
				.filter((element) => element.checkVisibility() && !element.matches(".skip"))
				.map((element) => [path, element.textContent.trim().slice(0, 30), Math.round(element.getBoundingClientRect().height)])
				.filter(([, , height]) => height < 48), path));
		}
		await chrome.close();
		assert.deepEqual(small, []);
	});

	test("a number leads to just as many", async () => {
		let followed = 0;
		for (const path of ["/", "/duties"])
			for (const [, href, number] of pages.get(path).matchAll(/<a href="(\/(?:duties|components)\?[^"]*)">(?:<b>)?(\d+)(?:<\/b>|<\/a>)/g)) {
				const list = await department.json(href.replaceAll("&amp;", "&"), { token });
				assert.equal(list.doc.total, Number(number), `${path} says ${number}, ${href} has ${list.doc.total}`);
				followed++;
			}
		const owed = await department.json("/duties?size=100", { token });
		assert.ok(owed.doc.rows.length > 50 && owed.doc.rows.every((row) => row.reason && row.source), "every duty says why, and by which source");
		assert.ok(followed > 20, `${followed} numbers`);
		assert.equal((await department.json("/duties?when=soon", { token })).status, 422);
		assert.equal((await department.json("/duties.csv?when=2026-13-01", { token })).status, 422);
	});

	test("the OpenAPI document is valid", async () => {
		const { Validator } = await import("@seriousme/openapi-schema-validator");
		const answer = await department.json("/openapi.json");
		const result = await new Validator().validate(answer.doc);
		assert.ok(result.valid, JSON.stringify(result.errors)?.slice(0, 2000));
		assert.equal(run(["routes"]).trim().split("\n").length, Object.values(answer.doc.paths).flatMap(Object.keys).length);
	});
});
