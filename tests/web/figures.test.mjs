// The drawings: each place of each kind is in them and can be tapped; what is tapped is what is
// stored; the list says the same; what was found in a part's life is shown, and on a repair ticket
// what is on the ticket.
import assert from "node:assert/strict";
import { cpSync, mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { Database } from "./sqlite.mjs";
import { Department, browser, root, signIn } from "./harness.mjs";
import { Network } from "./network.mjs";
import { begin, componentOf, earlier, idOf, prepare, staffed } from "./inspecting.mjs";

const require = createRequire(import.meta.url);
let department, client, chrome, tablet, inspection, kinds;
const coat = "SX-COAT-SHELL", helmet = "SX-HELMET";

before(async () => {
	({ department, inspector: client } = await staffed());
	await department.stop();
	const found = (where, state, closed, note) => `OLD-1,${coat},heat,ember_burn,${where},minor,${state === "accepted" ? "serve_on" : "repair"},${state},${closed},${note}`;
	const strap = (place) => `OLD-1,${helmet},chin_strap,cut,chin_strap,,,minor,repair,open,,${place}`;
	const tables = {
		components: "tag,kind,hazard,station,maker,model,size,made,in_service_on\nSX-GOGGLES,goggles,structural,ST1,Harrow and Pell,E1,M,2024-02,2026-01-10\n",
		inspections: `reference,kind,inspected_on,inspector,tag,conclusion\n${[coat, helmet].map((tag) => `OLD-1,advanced,${earlier(60)},2001,${tag},out_of_service\n`).join("")}OLD-2,return,${earlier(30)},2001,${coat},out_of_service\n`,
		findings: ["reference,tag,check_point,defect,zone,face,side,severity,outcome,state,closed_on,place",
			found("left_sleeve,back,outside", "mended", earlier(30), "above the cuff"), found("left_sleeve,back,outside", "open", "", "at the seam"),
			found("chest,,inside", "open", "", ""), found("hem,,", "mended", earlier(30), "all around"), found(",,", "open", "", "nobody said where"), strap("at the buckle"), strap("at the clip")].join("\n") + "\n",
	};
	for (const [kind, text] of Object.entries(tables)) {
		const made = department.import(kind, text);
		assert.equal(made.code, 0, `${kind}: ${made.err}`);
	}
	await department.start();
	kinds = Database.rows(department.data, "SELECT k.code AS kind, (SELECT tag FROM component c WHERE c.kind = k.code ORDER BY tag DESC LIMIT 1) AS tag FROM component_kind k ORDER BY position");
	inspection = await begin(client, "advanced", ...kinds.map(({ tag }) => tag));
	await prepare(client, inspection);
	chrome = await browser();
	const context = await chrome.newContext({ viewport: { width: 800, height: 1280 }, hasTouch: true, reducedMotion: "reduce" });
	await context.addInitScript(readPlaces);
	tablet = await context.newPage();
	await signIn(tablet, department, "2001");
});
after(async () => {
	await chrome?.close();
	await department?.finish();
});

const zonesOf = (kind) => Database.rows(department.data, `SELECT code, has_faces, has_sides FROM kind_zone WHERE kind = '${kind}'`);
/** Every place that a finding of the kind can be at, as words. */
const placesOf = (kind) => zonesOf(kind).flatMap(({ code, has_faces, has_sides }) =>
	(has_faces ? ["front", "back"] : [""]).flatMap((face) => (has_sides ? ["outside", "inside"] : [""]).map((side) => `${code} ${face} ${side}`)));
const sorted = (words) => [...new Set(words)].sort();
/** The form of a finding of a part at a check point of it. */
async function formOf(tag, point, defect) {
	const path = `/inspections/${inspection}/parts/${await idOf(client, tag)}`;
	point ??= (await client.get(path)).points[0].code;
	defect ??= (await client.get(`${path}/findings?point=${point}`)).defects[0].code;
	return `${path}/findings?point=${point}&defect=${defect}`;
}
const open = async (page, path) => {
	await page.goto(department.url + path, { waitUntil: "networkidle" });
};
/** In the page: the place that a drawn shape says, by the grammar of its ids, and what is asked of its zone. */
function readPlaces() {
	const words = (use) => use.getAttribute("href").split("#")[1].split(".");
	globalThis.placeOf = (use) => {
		const [view, zone, face = view] = words(use), [, side = ""] = words(use.ownerSVGElement.querySelector(".lines"));
		const asked = document.querySelector(`#f-zone-pick option[value="${zone}"]`)?.dataset ?? {};
		return { shape: words(use).join("."), zone, face: "faces" in asked ? face : "", side: "sides" in asked ? side : "" };
	};
}
/** Where on the page the mark of a shape would be. */
const marked = (page, id) => page.evaluate(async (id) => {
	const use = [...document.querySelectorAll("use.zone, .asks use:not(.lines, .mark)")].find((one) => placeOf(one).shape === id.shape && placeOf(one).side === id.side);
	globalThis.drawn ??= new DOMParser().parseFromString(await (await fetch(use.getAttribute("href").split("#")[0])).text(), "image/svg+xml");
	const [, x, y] = globalThis.drawn.getElementById(`${id.shape}.mark`).getAttribute("d").match(/^M([\d.]+) ([\d.]+)h0$/);
	use.scrollIntoView({ block: "center" });
	const at = new DOMPoint(x, y).matrixTransform(use.ownerSVGElement.getScreenCTM());
	const box = use.getBoundingClientRect();
	const hit = document.elementFromPoint(at.x, at.y), step = 4;
	// The side of the largest square in which every step of the way hits it.
	let square = 0, above = [];
	for (let y = box.top; y < box.bottom; y += step) {
		const row = [];
		for (let x = box.left; x < box.right; x += step) {
			const i = row.length;
			row.push(document.elementFromPoint(x, y) === use ? 1 + Math.min(above[i] ?? 0, row[i - 1] ?? 0, above[i - 1] ?? 0) : 0);
			square = Math.max(square, row[i] * step);
		}
		above = row;
	}
	return { x: at.x, y: at.y, width: box.width, height: box.height, square, hits: hit === use, instead: hit?.getAttribute("href") };
}, id);
const shapes = (page) => page.evaluate(() => [...document.querySelectorAll(".asks use:not(.lines, .mark)")].map((use) => placeOf(use)));
const chosen = (page) => page.evaluate(() => [...document.querySelectorAll("use.chosen")].map((use) => placeOf(use)).map(({ zone, face, side }) => `${zone} ${face} ${side}`));
async function accessible(paths) {
	const context = await chrome.newContext({ viewport: { width: 800, height: 1280 }, bypassCSP: true, reducedMotion: "reduce" }), page = await context.newPage();
	await signIn(page, department, "2001");
	for (const path of paths)
		for (const colorScheme of ["light", "dark"]) {
			await page.emulateMedia({ colorScheme });
			await open(page, path);
			await page.evaluate(readFileSync(require.resolve("axe-core/axe.min.js"), "utf8"));
			const { violations } = await page.evaluate(() => globalThis.axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] }));
			assert.deepEqual(violations.map((one) => `${one.id} ${one.nodes[0].html.slice(0, 200)}`), [], path);
		}
	await context.close();
}
const picked = (page) => page.evaluate(() => ["zone", "face", "side"].map((name) => document.querySelector("form[data-keep]").elements[name]?.value ?? "").join(" "));

describe("the drawings", () => {
	test("there is one for each kind, and of each place a shape that is not empty", async () => {
		assert.deepEqual(readdirSync(join(root, "static/figures")).sort(), kinds.map(({ kind }) => `${kind}.svg`).sort());
		const page = await chrome.newPage();
		for (const { kind } of kinds) {
			await page.goto(`${department.url}/static/figures/${kind}.svg`);
			const ids = await page.evaluate(() => [...document.querySelectorAll("[id*='.']")].map((one) => [one.id, one.getBBox()]).map(([id, { width, height }]) => [id, width, height]));
			const zones = new Map(zonesOf(kind).map((zone) => [zone.code, zone]));
			for (const [id, width, height] of ids) {
				const [, second] = id.split(".");
				if (id.endsWith(".mark")) assert.ok(ids.some(([shape]) => `${shape}.mark` === id), `${kind}: ${id} marks nothing`);
				else if (["outside", "inside"].includes(second)) assert.ok(width > 100, `${kind}: ${id} is empty`);
				else {
					assert.ok(zones.has(second), `${kind}: ${id} is of no zone`);
					assert.ok(width > 10 && height > 10, `${kind}: ${id} is empty`);
				}
			}
		}
		await page.close();
	});

	test("each place of each kind is on its page, where its mark is, and large enough for a finger", async () => {
		const small = [];
		for (const { kind, tag } of kinds) {
			await open(tablet, await formOf(tag));
			const drawn = await shapes(tablet);
			assert.deepEqual(sorted(drawn.map(({ zone, face, side }) => `${zone} ${face} ${side}`)), sorted(placesOf(kind)), kind);
			assert.deepEqual(sorted(drawn.map(({ zone }) => zone)), sorted(await tablet.$$eval("#f-zone-pick option", (all) => all.map((one) => one.value).filter(Boolean))), `${kind}: the list`);
			for (const one of drawn) {
				const at = await marked(tablet, one);
				assert.ok(at.hits, `${kind}: the mark of ${one.shape} lies on ${at.instead}`);
				// Slanted and next to others, it still has a square of its own (WCAG 2.2, 2.5.8).
				if (Math.min(at.width, at.height) < 48 || at.square < 24) small.push([kind, one.shape, at.width, at.height, at.square].join(" "));
			}
		}
		assert.deepEqual(small, []);
	});
});

describe("the page of a finding", () => {
	test("one tap says zone, face and side, and so it is stored", async () => {
		await open(tablet, await formOf(coat, "heat", "ember_burn"));
		const at = await marked(tablet, { shape: "back.left_sleeve", side: "outside" });
		await tablet.touchscreen.tap(at.x, at.y);
		assert.equal(await picked(tablet), "left_sleeve back outside");
		assert.deepEqual(await chosen(tablet), ["left_sleeve back outside"]);
		await tablet.check("[name=severity][value=minor]");
		await tablet.check("[name=outcome]");
		await tablet.click("form[data-keep] button[type=submit]");
		await tablet.waitForURL((url) => !url.pathname.includes("findings"));
		const [stored] = Database.rows(department.data, `SELECT zone, face, side, state FROM finding WHERE inspection_id = ${inspection}`);
		assert.deepEqual(stored, { zone: "left_sleeve", face: "back", side: "outside", state: "draft" });
	});

	test("the list and the drawing agree, and only what the place has is asked", async () => {
		await open(tablet, await formOf(coat, "heat", "ember_burn"));
		await tablet.selectOption("#f-zone-pick", "right_cuff");
		assert.equal((await chosen(tablet)).length, 4, "front and back, outside and inside");
		await tablet.check("[name=face][value=front]");
		await tablet.check("[name=side][value=inside]");
		assert.deepEqual(await chosen(tablet), ["right_cuff front inside"]);
		await tablet.selectOption("#f-zone-pick", "chest");
		assert.equal(await picked(tablet), "chest  inside");
		assert.ok(!await tablet.isVisible("[name=face][value=front]"));
		assert.deepEqual(await chosen(tablet), ["chest  inside"]);
		await tablet.selectOption("#f-zone-pick", "");
		assert.deepEqual(await chosen(tablet), []);
		assert.ok(await tablet.isVisible("[name=face][value=front]"));
	});

	test("what was found before is marked, open and mended by their shapes, and said where it was", async () => {
		await open(tablet, await formOf(coat, "heat", "ember_burn"));
		const marks = await tablet.$$eval(".figure use.mark:not(.hole)", (all) => all.map((one) => [one.getAttribute("href").split("#")[1], one.classList[1], getComputedStyle(one).strokeLinecap].join(" ")));
		assert.deepEqual(sorted(marks), sorted(["back.left_sleeve.mark draft square", "back.left_sleeve.mark open square", "back.left_sleeve.mark ended round", "front.chest.mark open square",
			"front.hem.mark ended round", "back.hem.mark ended round"]));
		assert.equal(marks.length, 3 + 1 + 4, "the hem's face and side were not said: it is marked in all four pictures");
		const places = () => tablet.$$eval(".places > li", (all) => all.filter((one) => one.checkVisibility()).map((one) => one.innerText.replace(/\s+/g, " ")));
		assert.equal((await places()).length, 4);
		const at = await marked(tablet, { shape: "front.left_sleeve", side: "inside" });
		await tablet.touchscreen.tap(at.x, at.y);
		const [sleeve, ...others] = await places();
		assert.deepEqual(others, []);
		assert.match(sleeve, /^Left sleeve: 3 found .*Written down now/);
		assert.match(sleeve, new RegExp(`${earlier(60)} Ember burn[^,]*, back, outside, at the seam Open`));
		assert.match(sleeve, new RegExp(`${earlier(60)} Ember burn[^,]*, back, outside, above the cuff Mended on ${earlier(30)}`));
		await tablet.selectOption("#f-zone-pick", "collar");
		assert.deepEqual(await places(), []);
		assert.ok(await tablet.isVisible("text=Nothing on record at this place."));
	});

	test("without scripts the list does it, and the drawing shows what was chosen", async () => {
		const context = await chrome.newContext({ javaScriptEnabled: false, viewport: { width: 800, height: 1280 } }), page = await context.newPage();
		await signIn(page, department, "2001");
		await open(page, await formOf(coat, "heat", "ember_burn"));
		await page.selectOption("#f-zone-pick", "left_elbow");
		await page.check("[name=face][value=front]");
		await page.check("[name=side][value=outside]");
		await page.check("[name=severity][value=minor]");
		await page.check("[name=outcome]");
		const save = async () => {
			await page.click("form[data-keep] button[type=submit]");
			await page.waitForLoadState();
		};
		await save();
		assert.match(await page.innerText("#errors"), /Say front or back only where the place has both/);
		assert.match(await page.getAttribute("use.chosen", "href"), /#back.left_elbow$/);
		assert.equal(await page.$("[name=face]:checked"), null, "nobody can take it back otherwise");
		await save();
		const stored = Database.rows(department.data, `SELECT zone, face, side FROM finding WHERE inspection_id = ${inspection} AND zone = 'left_elbow'`);
		assert.deepEqual(stored, [{ zone: "left_elbow", face: null, side: "outside" }]);
		await context.close();
	});

	test("while the network is away the drawing is there, too", async () => {
		const network = await new Network(department).start();
		const context = await chrome.newContext({ viewport: { width: 800, height: 1280 }, hasTouch: true }), page = await context.newPage();
		await signIn(page, network, "2001");
		const path = `/inspections/${inspection}/parts/${await idOf(client, coat)}/findings`;
		await page.goto(network.url + path.replace("/findings", ""));
		await page.evaluate(async (wanted) => {
			for (const one of wanted) while (!await caches.match(one)) await new Promise(requestAnimationFrame);
		}, [path, "/static/figures/coat_shell.svg", "/static/figure.js"]);
		network.set("gone");
		await page.goto(network.url + path);
		await page.waitForFunction(() => document.querySelector(".asks use").getBoundingClientRect().width > 48);
		await page.waitForSelector("text=this page is the one that this tablet kept");
		await page.locator("svg:has(.lines[href$='#front.outside']) [href$='.right_pocket']").tap();
		assert.equal(await picked(page), "right_pocket  outside");
		await context.close();
		network.stop();
	});

	test("is small", async () => {
		for (const path of [await formOf(coat, "heat", "ember_burn"), `/components/${await idOf(client, coat)}`]) {
			const page = await department.json(path, { token: client.token, headers: { accept: "text/html" } });
			const files = ["figure.js", "figures/coat_shell.svg"].map((name) => readFileSync(join(root, "static", name)).length);
			assert.ok(page.text.length < 100_000, `${path}: ${page.text.length}`);
			assert.ok(files.every((size) => size < 20_000), `${files}`);
		}
	});
});

test("the page of a component draws its life, each place linked to what was found there", async () => {
	await open(tablet, `/components/${(await componentOf(client, coat)).id}`);
	const links = await tablet.$$eval(".figure a", (all) => all.map((one) => `${one.getAttribute("href")} ${one.getAttribute("aria-label")}`));
	assert.deepEqual(sorted(links), sorted(["#at-left_sleeve Left sleeve, back, outside: 2 found", "#at-chest Chest, inside: 1 found",
		...["front", "back"].flatMap((face) => ["outside", "inside"].map((side) => `#at-hem Hem, ${face}, ${side}: 1 found`))]));
	assert.equal((await tablet.$$(".figure use.mark.draft")).length, 0, "a draft is not of its life yet");
	const at = await marked(tablet, { shape: "back.left_sleeve", side: "" });
	await tablet.touchscreen.tap(at.x, at.y);
	await tablet.waitForURL(/#at-left_sleeve$/);
	assert.equal(await tablet.locator("#at-left_sleeve a").count(), 2);
	assert.match(await tablet.innerText(".places > li:last-child"), /Place not said: 1 found/);
	await tablet.click("#at-left_sleeve a >> nth=0");
	await tablet.waitForURL(/\/findings\/\d+$/);
});

describe("a repair ticket", () => {
	let ticket, items;
	const make = async (wanted) => {
		const { candidates } = await client.get("/dispatches/new");
		return client.post("/dispatches", { provider: 1, finding: candidates.filter(wanted).map((one) => one.finding) });
	};
	/** Each picture: what it says of itself, its numbers, and which of these are off the shapes that are marked. */
	const drawn = (page) => page.$$eval(".picture svg", (all) => all.map((svg) => {
		const boxes = [...svg.querySelectorAll("use.zone, .asks use:not(.lines, .mark)")].map((one) => one.getBoundingClientRect()), numbers = [...svg.querySelectorAll("text.number")];
		const off = numbers.filter((one) => {
			const box = one.getBoundingClientRect(), x = (box.left + box.right) / 2, y = (box.top + box.bottom) / 2;
			return !boxes.some((shape) => x > shape.left - 20 && x < shape.right + 20 && y > shape.top - 20 && y < shape.bottom + 20);
		});
		return { said: svg.getAttribute("aria-label"), numbers: numbers.map((one) => one.textContent), off: off.length, width: svg.getBoundingClientRect().width };
	}));
	const words = (page) => page.$$eval(".cards tbody tr, section.card", (all) => all.map((one) => one.innerText.replace(/\s+/g, " ")));

	test("of what nobody said where has no drawing, and says so", async () => {
		const path = await make((one) => one.place === "nobody said where"), { items: [item], version } = await client.get(path);
		assert.equal(item.figure, null);
		for (const page of [path, `${path}/ticket`]) {
			await open(tablet, page);
			assert.equal(await tablet.locator(".figure").count(), 0);
			assert.match((await words(tablet)).join(), /Place not said, nobody said where/);
		}
		await client.post(`${path}/cancel`, {}, version);
	});

	test("shows its findings and no others, by the numbers that stand beside the words, on the page and in print", async () => {
		ticket = await make(() => true);
		({ items } = await client.get(ticket));
		const [sleeve, chest, nowhere, buckle, clip] = ["at the seam", null, "nobody said where", "at the buckle", "at the clip"].map((place) => items.find((one) => one.place === place).number);
		assert.deepEqual(sorted([sleeve, chest, nowhere, buckle, clip]), [1, 2, 3, 4, 5]);
		const wanted = [`Front, inside: ${chest} Chest`, `Back, outside: ${sleeve} Left sleeve`];
		for (const [path, media] of [[ticket, "screen"], [`${ticket}/ticket`, "screen"], [`${ticket}/ticket`, "print"]]) {
			await tablet.emulateMedia({ media });
			await open(tablet, path);
			const pictures = await drawn(tablet), ofStrap = pictures.filter(({ said }) => said.endsWith(`: ${buckle} Chin strap, ${clip} Chin strap`));
			assert.deepEqual(sorted(pictures.filter((one) => !ofStrap.includes(one)).map(({ said }) => said)), sorted(wanted), path);
			assert.ok(ofStrap.length > 0, `${path}: ${pictures.map(({ said }) => said)}`);
			for (const { said, numbers, off, width } of pictures) {
				assert.deepEqual(numbers.map(Number), said.match(/\d+/g).map(Number), said);
				assert.equal(off, 0, said);
				assert.ok(width > 200, `${said}: ${width}`);
			}
			const said = await words(tablet);
			for (const item of items) assert.ok(said.some((text) => new RegExp(`\\b${item.number}\\b`).test(text) && text.includes(item.tag) && text.includes(item.zone_label ?? "Place not said") && text.includes(item.place ?? "")), `${path}: ${item.number} in ${said}`);
		}
		await tablet.emulateMedia({ media: "screen" });
	});

	test("numbers at one place stand side by side", async () => {
		await open(tablet, ticket);
		const overlap = await tablet.$$eval(".picture svg", (all) => all.flatMap((svg) => {
			const marks = [...svg.querySelectorAll("g[transform]")].map((one) => one.getAttribute("transform").match(/\d+/g).map(Number));
			return marks.flatMap(([x, y], i) => marks.slice(i + 1).filter(([u, v]) => Math.abs(x - u) < 22 && Math.abs(y - v) < 22));
		}));
		assert.deepEqual(overlap, []);
		assert.ok(await tablet.$$eval(".picture svg", (all) => all.some((svg) => svg.querySelectorAll("path.mark").length > 1)));
	});

	test("has the numbers in its table, too, and weighs little", async () => {
		const [header, ...rows] = (await department.json(`${ticket}/ticket.csv`, { token: client.token })).text.trim().split("\r\n").map((line) => line.split(","));
		const at = (name) => header.indexOf(name);
		assert.deepEqual(rows.map((row) => [Number(row[at("number")]), row[at("tag")]]), items.map((one) => [one.number, one.tag]));
		const sheet = readFileSync(join(root, "static/pegwarden.css")).length;
		for (const path of [ticket, `${ticket}/ticket`]) {
			const { text } = await department.json(path, { token: client.token, headers: { accept: "text/html" } });
			assert.ok(text.length + sheet < 60_000, `${path}: ${text.length}`);
			// What a drawing costs beside the words of its findings.
			assert.ok(text.match(/<div class="figure">.*?<\/div>/gs).every((one) => one.length < 3000));
		}
	});

	test("the drawings are accessible", async () => {
		await accessible([ticket, `${ticket}/ticket`]);
		for (const forcedColors of ["active", "none"]) {
			await tablet.emulateMedia({ forcedColors });
			const colours = await tablet.$$eval("text.number", (all) => all.map((one) => [getComputedStyle(one).fill, getComputedStyle(one.previousElementSibling).stroke]));
			assert.ok(colours.length > 1 && colours.every(([number, mark]) => number !== mark), `${forcedColors}: ${colours}`);
		}
	});
});

test("both pages are accessible, light and dark", async () => {
	await accessible([await formOf(coat, "heat", "ember_burn"), `/components/${await idOf(client, coat)}`]);
});

describe("how a point is looked at", () => {
	const files = readdirSync(join(root, "static/how")).sort();
	const points = () => Database.rows(department.data, "SELECT drawing, in_routine + in_advanced + in_liner + in_return AS asked FROM check_point WHERE drawing IS NOT NULL");

	test("each drawing is used, and each that is used is there", () => {
		assert.deepEqual(sorted(points().filter(({ asked }) => asked).map(({ drawing }) => `${drawing}.svg`)), files);
	});

	test("the form of a part shows them", async () => {
		const shown = new Set();
		for (const { tag } of kinds) {
			const path = `/inspections/${inspection}/parts/${await idOf(client, tag)}`, { groups } = await client.get(path);
			for (const at of groups.map(({ code }) => `${path}?group=${code}`))
				for (const { drawing, drawing_said, code } of (await client.get(at)).points.filter((one) => one.drawing && !shown.has(one.drawing))) {
					await open(tablet, at);
					await tablet.locator("section", { has: tablet.locator(`[name="${code}"]`) }).locator("summary", { hasText: "How, and why" }).click();
					await tablet.waitForFunction((drawing) => document.querySelector(`img[src="/static/how/${drawing}.svg"]`)?.naturalWidth > 0, drawing);
					assert.equal(drawing_said, readFileSync(join(root, `static/how/${drawing}.svg`), "utf8").match(/<title>(.+)<\/title>/)[1]);
					assert.equal(await tablet.getAttribute(`img[src="/static/how/${drawing}.svg"]`, "alt"), drawing_said, "what is drawn is said, too");
					shown.add(drawing);
				}
		}
		// The liner is opened, and its barrier tested, at a complete inspection only; these parts have no trim.
		assert.deepEqual(files.filter((one) => !shown.has(one.slice(0, -4))), ["flashlight.svg", "inside.svg", "water.svg"]);
	});

	test("the server does not start with one that says nothing", async () => {
		const share = mkdtempSync(join(tmpdir(), "pegwarden-share-")), other = new Department();
		for (const one of ["migrations", "static", "templates"]) cpSync(join(root, one), join(share, one), { recursive: true });
		writeFileSync(join(share, "static/how/sole.svg"), readFileSync(join(root, "static/how/sole.svg"), "utf8").replace(/<title>.*<\/title>/, ""));
		await assert.rejects(other.start(["--share", share]), /The drawing sole has no title/);
		other.remove();
		rmSync(share, { recursive: true });
	});

	test("each is small, and has words that are large enough and within it on a telephone", async () => {
		const page = await chrome.newPage({ viewport: { width: 360, height: 740 } });
		for (const file of files) {
			const text = readFileSync(join(root, "static/how", file), "utf8");
			assert.ok(text.length < 3000, `${file}: ${text.length}`);
			assert.doesNotMatch(text, /<(script|style|image|foreignObject)|https?:(?!\/\/www\.w3\.org\/2000\/svg")/, file);
			await page.goto(`${department.url}/static/how/${file}`);
			const { outermost, width, words } = await page.evaluate(() => ({
				outermost: document.documentElement.tagName,
				width: document.documentElement.viewBox.baseVal.width,
				words: [...document.querySelectorAll("text")].map((one) => ({ said: one.textContent, size: parseFloat(getComputedStyle(one).fontSize), ends: [one.getBBox().x, one.getBBox().x + one.getBBox().width] })),
			}));
			assert.equal(outermost, "svg", file);
			// A telephone leaves a drawing some 280 px, less than it is drawn in.
			for (const { said, size, ends } of words)
				assert.ok(size * 280 / width > 10 && ends[0] >= 0 && ends[1] <= width, `${file}: "${said}" ${size} ${ends}`);
		}
		await page.close();
	});
});
