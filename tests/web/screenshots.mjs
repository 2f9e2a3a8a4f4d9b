// Pictures of every kind of page at three widths, in light and dark, and on a tablet as out of
// doors, as the first of the demo department's people who finds it; those that people print as
// they are printed; and an index.html of them all.
//   node tests/web/screenshots.mjs FOLDER [WORD...]   only of paths with one of the words
import assert from "node:assert/strict";
import { mkdirSync, writeFileSync } from "node:fs";
import { join, resolve, sep } from "node:path";
import { browser, root, signIn } from "./harness.mjs";
import { Everywhere, people, shape } from "./everywhere.mjs";

// Who works with the pages first; the start page is another for each.
const roles = ["nobody", "inspector", "officer", "administrator", "member"];
const media = { light: { colorScheme: "light", media: "screen" }, dark: { colorScheme: "dark", media: "screen" }, print: { colorScheme: "light", media: "print" } };
const looks = [...["light", "dark"].flatMap((look) => [360, 800, 1280].map((width) => ({ width, look }))), { width: 800, look: "outdoors" }];
const paper = { width: 800, look: "print" };
const printed = /^\/(readiness|duties|dispatches\/\d+\/ticket|labels|inspections\/\d+(\/review)?$|components\/\d+\/(out-of-service-tag|record))/;
// What is not a page of its own: how to come there from a page.
const moments = [
	{ path: "/", name: "menu", role: "administrator", act: (page) => page.click(".menu > summary") },
	{ path: "/stations/new", name: "errors", role: "officer", act: async (page) => {
		await page.evaluate(() => { document.querySelector("main form").noValidate = true; });
		await Promise.all([page.waitForEvent("load"), page.click("main form button[type=submit]")]);
	} },
	{ path: "/components/999999", name: "missing", role: "member", act: () => {} },
];

const [folder, ...words] = process.argv.slice(2);
assert.ok(folder, "Name the folder that the pictures go to.");
const out = resolve(folder);
assert.ok(!(out + sep).startsWith(root + sep), "The pictures go to a folder outside the tree.");
mkdirSync(out, { recursive: true });

/** Each time the same name for the same page, though its numbers may grow. */
const names = new Map();
function nameOf(role, path) {
	const words = path.replace(/\d{4}-\d\d-\d\d/g, "day").replace(/[0-9]+/g, "n").replace(/[^A-Za-z]+/g, "-").replace(/^-|-$/g, "");
	const name = `${words || "home"}.${role}`, count = (names.get(name) ?? 0) + 1;
	names.set(name, count);
	return count > 1 ? `${name}.${count}` : name;
}

const place = await new Everywhere().start(), { department } = place;
const chrome = await browser(), taken = [];
/** The page as it is now; more than one screen high when it is. */
async function take(page, caption, name, wanted) {
	const files = [];
	for (const { width, look } of wanted) {
		const file = `${name}.${width}.${look}.png`;
		await page.setViewportSize({ width, height: width === 800 ? 1280 : 800 });
		await page.emulateMedia(media[look] ?? media.light);
		await page.evaluate((outdoors) => document.documentElement.classList.toggle("outdoors", outdoors), look === "outdoors");
		await page.screenshot({ path: join(out, file), fullPage: true });
		files.push(file);
	}
	taken.push({ caption, files });
}
const chosen = (path) => !words.length || words.some((word) => path.includes(word));

async function takeAll(role, seen) {
	const context = await chrome.newContext({ reducedMotion: "reduce" });
	const page = await context.newPage();
	if (role !== "nobody") await signIn(page, department, people[role]);
	for (const path of (await place.crawl(role)).keys()) {
		const kind = place.apart.includes(path) ? path : shape(path).split("?")[0];
		if ((path !== "/" && seen.has(kind)) || !chosen(path)) continue;
		seen.add(kind);
		const name = nameOf(role, path);
		const [cookie] = Object.values(place.cookie(path, role));
		if (cookie) await context.addCookies([{ name: cookie.split("=")[0], value: cookie.split("=")[1], url: department.url, sameSite: "Strict" }]);
		else await context.clearCookies({ name: "pegwarden_tablet" });
		await page.goto(department.url + path);
		await take(page, `${path} (${role})`, name, printed.test(path) ? [...looks, paper] : looks);
	}
	for (const moment of moments.filter((one) => one.role === role && chosen(one.name))) {
		await page.goto(department.url + moment.path);
		await moment.act(page);
		await take(page, `${moment.name} (${role})`, `${moment.name}.${role}`, looks);
	}
	await context.close();
}

try {
	const seen = new Set();
	for (const role of roles) await takeAll(role, seen);
} finally {
	await chrome.close();
	await place.finish();
}
const figure = (file) => `<figure><a href="${file}"><img loading="lazy" height="320" src="${file}" alt=""></a><figcaption>${file.split(".").slice(-3, -1).join(" ")}</figcaption></figure>`;
const escaped = (text) => text.replaceAll("&", "&amp;").replaceAll("<", "&lt;");
writeFileSync(join(out, "index.html"), `<!DOCTYPE html><html lang="en"><meta charset="utf-8"><title>Pages</title>
<style>section div { display: flex; gap: 1rem; overflow-x: auto; align-items: start } figure { margin: 0 } img { border: 1px solid #888 }</style>
${taken.map(({ caption, files }) => `<section><h2>${escaped(caption)}</h2><div>${files.map(figure).join("")}</div></section>`).join("\n")}
</html>
`);
console.log(`${taken.length} pages, ${taken.reduce((sum, one) => sum + one.files.length, 0)} pictures: ${join(out, "index.html")}`);
