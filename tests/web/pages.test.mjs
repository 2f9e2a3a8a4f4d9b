// Every page of the demo department, as each of its people finds it by following links:
// valid HTML, accessible in each look, fits 360 px, small, and all of it from this server.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { browser, root, run, signIn } from "./harness.mjs";
import { Database } from "./sqlite.mjs";
import { Everywhere, people, said, shape } from "./everywhere.mjs";

const require = createRequire(import.meta.url);
let place, department, token;
/** Path and HTML of what each role finds; and of all of it what differs, first for those who see most. */
const found = {}, distinct = [];

before(async () => {
	place = await new Everywhere().start();
	department = place.department;
	token = place.tokens.administrator;
});
after(() => place?.finish());

/** A browser signed in as somebody of this role, on a shared tablet. */
async function browserOf(role, options = {}) {
	const chrome = await browser();
	const context = await chrome.newContext({ viewport: { width: 360, height: 740 }, reducedMotion: "reduce", ...options });
	await context.addCookies([{ name: "pegwarden_tablet", value: place.tablet.cookies.get("pegwarden_tablet"), url: department.url, sameSite: "Strict" }]);
	const page = await context.newPage();
	if (people[role]) await signIn(page, department, people[role]);
	return { chrome, page };
}

/** Labels of the cells of a list on a phone that lie over what comes after them. In the page. */
function crowdedLabels() {
	const cells = [...document.querySelectorAll(".cards td[data-label]")].filter((cell) => cell.checkVisibility());
	return cells.filter((cell) => {
		const { fontSize, lineHeight, width } = getComputedStyle(cell, "::before"), label = document.createElement("div");
		label.textContent = cell.dataset.label;
		Object.assign(label.style, { fontSize, lineHeight, width, position: "absolute" });
		document.body.append(label);
		const high = label.offsetHeight, top = cell.getBoundingClientRect().top, list = cell.querySelector("ul");
		label.remove();
		return cell.clientHeight < high || (list && list.getBoundingClientRect().top < top + high);
	}).map((cell) => cell.dataset.label);
}

describe("pages", () => {
	test("every link leads to a page, and the page is a document too", async () => {
		const told = new Set();
		for (const role of Object.keys(people).reverse()) {
			found[role] = await place.crawl(role);
			for (const [path, html] of found[role]) {
				const document = await department.json(path, { token: place.tokens[role], headers: place.cookie(path, role) });
				assert.ok(document.doc, `${path} as JSON, as ${role}`);
				if (told.has(said(html))) continue;
				told.add(said(html));
				distinct.push({ role, path, html });
			}
		}
		const kinds = new Set([...found.administrator.keys()].map(shape)).size;
		console.log(`${distinct.length} pages, of ${kinds} kinds for an administrator`);
		assert.ok(kinds > 60 && distinct.length > 300);
	});

	test("valid HTML", () => {
		const folder = join(department.folder, "html");
		mkdirSync(folder);
		for (const [i, { html }] of distinct.entries()) writeFileSync(join(folder, `${i}.html`), html);
		const jar = require.resolve("vnu-jar/build/dist/vnu.jar");
		try {
			execFileSync("java", ["-Xss4m", "-jar", jar, "--errors-only", "--format", "gnu", folder], { encoding: "utf8", stdio: ["ignore", "pipe", "pipe"], maxBuffer: 1 << 26 });
		} catch (error) {
			const named = (line) => line.replace(/.*\/(\d+)\.html"?/, (_, i) => `${distinct[i].path} (${distinct[i].role})`);
			assert.fail(error.stderr.split("\n").slice(0, 20).map(named).join("\n"));
		}
	});

	// As they are sent: files packed, pages not. Photographs are files of their own; sheets of
	// labels are drawn in their page, as many as are printed at a time.
	const sheet = /<svg class="sheet[\s\S]*?<\/svg>\n(?=<svg class="sheet|<\/div>)/g;
	/** What a page loads, and what that loads: the scripts of what is kept too, for there may be something. */
	function filesOf(html) {
		const files = new Set([...html.matchAll(/<(?:link|script)[^>]* (?:href|src)="\/static\/([^"]*)"/g)].map(([, name]) => name).concat("keeping.js"));
		if (/data-keep="answers"/.test(html)) files.add("keeping-answers.js");
		if (/data-keep="(finding|change)"/.test(html)) files.add("keeping-finding.js");
		if (/data-keep="sign"/.test(html)) files.add("keeping-sign.js");
		// A set goes on with what is added to it meanwhile.
		for (const name of files) if (name.endsWith(".js"))
			for (const [, other] of readFileSync(join(root, "static", name), "utf8").matchAll(/ from "\.\/([\w-]+\.js)"/g)) files.add(other);
		return [...files];
	}
	test("no page is over 100 KB with its stylesheet and all its scripts, no script over 20 KB", async () => {
		const names = readdirSync(join(root, "static")).filter((name) => /\.\w+$/.test(name)), size = {};
		for (const name of names) {
			const bytes = statSync(join(root, "static", name)).size, answer = await fetch(`${department.url}/static/${name}`);
			assert.ok(!name.endsWith(".js") || bytes <= 20_000, `${name}: ${bytes} bytes`);
			size[name] = Number(answer.headers.get("content-length"));
			assert.ok(size[name] > 0 && (answer.headers.get("content-encoding") === "gzip" ? size[name] < bytes : size[name] === bytes), name);
		}
		let largest = { bytes: 0 };
		for (const { path, html } of distinct) {
			const files = filesOf(html);
			const bytes = Buffer.byteLength(html.replace(sheet, "")) + files.reduce((sum, name) => sum + size[name], 0);
			assert.ok(bytes <= 100_000, `${path}: ${bytes} bytes with ${files}`);
			if (bytes > largest.bytes) largest = { path, bytes, files: files.length };
		}
		console.log(`largest: ${largest.path}, ${largest.bytes} bytes with ${largest.files} files`);
	});

	// Those that neither serve, stop, wait, are elsewhere nor have ended.
	const rest = ["cleaned", "in_stores", "informed", "released", "returned"];
	test("each state has the shape of its family, and no other word has one", () => {
		const wordsOf = (text, pattern) => [...text.matchAll(pattern)].flatMap(([, list]) => list.match(/\w+/g));
		const schema = Database.rows(department.data, "SELECT sql FROM sqlite_schema WHERE sql NOT NULL AND name <> 'dispatch_item'").map((row) => row.sql).join("\n");
		const shown = distinct.flatMap(({ html }) => wordsOf(html, / state-(\w+)/g));
		const states = new Set([...wordsOf(schema, /\b(?:state|conclusion|result) IN \(([^)]*)\)/g), ...shown]);
		const family = new Set(wordsOf(readFileSync(join(root, "static/pegwarden.css"), "utf8"), /\.state-(\w+)/g));
		assert.deepEqual([...states].filter((word) => !family.has(word)).sort(), rest);
		assert.deepEqual([...family].filter((word) => !states.has(word)), []);
	});

	test("a page is painted with its one stylesheet: scripts wait", () => {
		for (const { path, html } of distinct) {
			assert.equal(html.match(/<link [^>]*stylesheet/g)?.length, 1, path);
			assert.deepEqual([...html.matchAll(/<script[^>]*>/g)].filter(([tag]) => !/ (defer|type="module")>/.test(tag)), [], path);
			assert.doesNotMatch(html, /<style| style="/, path);
		}
	});

	test("accessible in light, dark and out of doors, no wider than the screen, all from here", async () => {
		const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
		const standards = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"], wrong = [], kinds = new Set();
		for (const role of Object.keys(people).reverse()) {
			const { chrome, page } = await browserOf(role, { bypassCSP: true });
			page.on("pageerror", (error) => wrong.push(`${page.url()}: ${error.message}`));
			page.on("request", (request) => { if (new URL(request.url()).host !== new URL(department.url).host && !request.url().startsWith("data:")) wrong.push(`${page.url()} asks for ${request.url()}`); });
			const violations = async (path, look, runOnly) => {
				const result = await page.evaluate((runOnly) => globalThis.axe.run(document, { runOnly, resultTypes: ["violations"] }), runOnly);
				for (const v of result.violations) wrong.push(`${path} ${look}: ${v.id} ${v.nodes[0].html.slice(0, 140)} ${v.nodes[0].failureSummary.slice(0, 200)}`);
			};
			for (const path of found[role].keys()) {
				const kind = path === "/" ? role : shape(path).split("?")[0];
				if (kinds.has(kind)) continue;
				kinds.add(kind);
				await page.emulateMedia({ colorScheme: "light", contrast: "no-preference" });
				await page.goto(department.url + path);
				await page.evaluate(axe);
				await violations(path, "light", standards);
				// Another look has other colours, and nothing else.
				await page.emulateMedia({ colorScheme: "dark" });
				await violations(path, "dark", ["color-contrast"]);
				await page.emulateMedia({ contrast: "more" });
				await violations(path, "dark, high contrast", ["color-contrast-enhanced"]);
				for (const look of ["", "outdoors"]) {
					await page.evaluate((look) => { document.documentElement.className = look; }, look);
					const wide = await page.evaluate(() => document.documentElement.scrollWidth);
					if (wide > 360) wrong.push(`${path} ${look}: ${wide} px wide`);
					wrong.push(...(await page.evaluate(crowdedLabels)).map((label) => `${path} ${look}: no room for "${label}"`));
				}
				await violations(path, "out of doors", ["color-contrast-enhanced"]);
			}
			await chrome.close();
		}
		console.log(`${kinds.size} kinds of pages`);
		assert.deepEqual(wrong, []);
	});

	test("a page shows the time of the department's clocks, a document the instant", async () => {
		const { started_at } = (await department.json("/", { token: place.tokens.inspector })).doc.drafts[0];
		assert.match(started_at, /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ$/);
		assert.ok(found.inspector.get("/").includes(`begun <span class="day">${started_at.slice(0, 16).replace("T", " ")}<`), "which are set to UTC here");
	});

	test("out of doors is a setting of the device, without scripts", async () => {
		const { chrome, page } = await browserOf("inspector", { javaScriptEnabled: false });
		const look = () => page.getAttribute("html", "class");
		const press = async (name) => {
			await page.click(".menu > summary");
			await page.getByRole("button", { name }).click();
		};
		const path = "/components?state=held";
		await page.goto(department.url + path);
		assert.equal(await look(), null);
		await press("Out of doors");
		assert.equal(page.url(), department.url + path);
		assert.equal(await look(), "outdoors");
		await press("Hand over");
		assert.equal(await look(), "outdoors", "whoever takes the device next still stands in the sun");
		await signIn(page, department, people.inspector);
		await press("Back indoors");
		assert.equal(await look(), null);
		const elsewhere = await page.request.post(`${department.url}/look`, { headers: { authorization: `Bearer ${token}`, accept: "text/html" }, form: { outdoors: "yes", next: "//example.org/" }, maxRedirects: 0 });
		assert.deepEqual([elsewhere.status(), elsewhere.headers().location], [303, "/"]);
		await chrome.close();
	});

	test("touch targets of a tablet's pages are 48 px", async () => {
		const small = [];
		for (const [role, paths] of [["nobody", [...found.nobody.keys()]], ["inspector", [...found.inspector.keys()].filter((path) => path === "/" || path.startsWith(place.draft))]]) {
			assert.ok(paths.length > 4);
			const { chrome, page } = await browserOf(role);
			for (const [path, width] of paths.flatMap((path) => [[path, 360], [path, 800]])) {
				await page.setViewportSize({ width, height: 1000 });
				await page.goto(department.url + path);
				small.push(...await page.evaluate((path) => [...document.querySelectorAll("main button, main a.button, main label.choice, main summary, main select, main input:not([type=radio]):not([type=checkbox]):not([type=hidden]), header a, header button, header input, header summary")]
					.filter((element) => element.checkVisibility() && !element.matches(".skip"))
					.map((element) => [path, element.textContent.trim().slice(0, 30), ...["width", "height"].map((side) => Math.round(element.getBoundingClientRect()[side]))])
					.filter(([, , ...sides]) => Math.min(...sides) < 48), path));
			}
			await chrome.close();
		}
		assert.deepEqual(small, []);
	});

	test("a number leads to just as many", async () => {
		let followed = 0;
		for (const path of ["/", "/duties"])
			for (const [, href, number] of found.administrator.get(path).matchAll(/<a href="(\/(?:duties|components)\?[^"]*)">(?:<b>)?(\d+)(?:<\/b>|<\/a>)/g)) {
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
