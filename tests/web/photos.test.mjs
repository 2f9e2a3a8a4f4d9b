// Photos of an inspection: what is taken and what is not, that nothing but the picture is kept,
// once, and where it is shown.
import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { copyFileSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { Database } from "./sqlite.mjs";
import { Department, attempt, browser, run, signIn } from "./harness.mjs";
import { FormClient, answerPart, begin, prepare, sign, staffed } from "./inspecting.mjs";
import { Pictures, asPhoned, nearest, pngOfSize, pngWith, quarters, segments, webpWith } from "./pictures.mjs";

let department, inspector, member, officer, pictures, draft, part;
before(async () => {
	pictures = await Pictures.open();
	({ department, inspector, member, officer } = await staffed());
	draft = await begin(inspector, "advanced", "PX-COAT-SHELL");
	[part] = await prepare(inspector, draft);
	part = part.component;
});
after(async () => {
	await department?.finish();
});

/** Gives a photo as a page's script does: multipart, for a document. */
async function give(path, bytes, { client = inspector, key, type = "image/jpeg", name = "photo.jpg", field = "photo" } = {}) {
	const body = new FormData();
	if (bytes) body.set(field, new Blob([bytes], { type }), name);
	const sent = await fetch(department.url + path, { method: "POST", redirect: "manual", body,
		headers: { accept: "application/json", referer: department.url + "/inspections", ...(client ? { authorization: `Bearer ${client.token}` } : {}), ...(key ? { "idempotency-key": key } : {}) } });
	const text = await sent.text();
	let doc = null;
	try { doc = JSON.parse(text); } catch { /* not JSON */ }
	return { status: sent.status, headers: sent.headers, text, doc };
}
const bytesOf = async (path, client = inspector) => {
	const got = await fetch(department.url + path, { redirect: "manual", headers: client ? { authorization: `Bearer ${client.token}` } : {} });
	return { status: got.status, headers: got.headers, bytes: Buffer.from(await got.arrayBuffer()) };
};
const taken = async (path, bytes, how) => {
	const answer = await give(path, bytes, how);
	assert.equal(answer.status, 201, answer.text);
	return answer.doc.photo;
};
const count = (table) => Database.count(department.data, table);
const ofPart = () => `/inspections/${draft}/parts/${part}/photos`;

describe("a picture", () => {
	/** The colours of the quarters, in reading order, once it is upright, by Exif's orientation. */
	const upright = { 1: [0, 1, 2, 3], 2: [1, 0, 3, 2], 3: [3, 2, 1, 0], 4: [2, 3, 0, 1], 5: [0, 2, 1, 3], 6: [2, 0, 3, 1], 7: [3, 1, 2, 0], 8: [1, 3, 0, 2] };
	const kinds = {
		jpeg: async (orientation) => asPhoned(await pictures.make("image/jpeg", 96, 64), orientation, orientation % 2 === 0),
		png: async (orientation) => pngWith(await pictures.make("image/png", 96, 64), orientation),
		webp: async (orientation) => webpWith(await pictures.make("image/webp", 96, 64), orientation, 96, 64),
	};
	for (const [kind, make] of Object.entries(kinds))
		for (const orientation of kind === "jpeg" ? [1, 2, 3, 4, 5, 6, 7, 8] : [1, 6])
			test(`${kind}, orientation ${orientation}: stands upright, and nothing but the picture is kept`, async () => {
				const given = await make(orientation);
				assert.ok(given.includes("PEEPING"));
				const photo = await taken(ofPart(), given);
				for (const path of [photo.picture, photo.small]) {
					const { headers, bytes } = await bytesOf(path), seen = await pictures.look(bytes);
					assert.equal(headers.get("content-type"), "image/jpeg");
					assert.deepEqual([seen.width, seen.height], orientation >= 5 ? [64, 96] : [96, 64]);
					assert.deepEqual(nearest(seen.quarters), upright[orientation], JSON.stringify(seen.quarters));
					for (const word of ["PEEPING", "Exif", "xmp", "ICC_PROFILE", "script"]) assert.ok(!bytes.includes(word), word);
					const { markers, behind } = segments(bytes);
					assert.deepEqual([...new Set(markers)].filter((marker) => ![0xe0, 0xdb, 0xc0, 0xc4, 0xda].includes(marker)), [], "only what makes the picture");
					assert.equal(behind, 0);
				}
				assert.deepEqual([photo.width, photo.height], orientation >= 5 ? [64, 96] : [96, 64]);
				const { bytes } = await bytesOf(photo.picture);
				assert.equal(createHash("sha256").update(bytes).digest("hex"), photo.sha256);
			});
	test("is what its content says, whatever its name and type", async () => {
		const photo = await taken(ofPart(), await pictures.make("image/png", 30, 30), { type: "text/html", name: "../evil.svg" });
		assert.equal(photo.type, "image/jpeg");
	});
	test("larger than people look at is made smaller, and there is a small one", async () => {
		const photo = await taken(ofPart(), await pictures.make("image/jpeg", 4001, 1000));
		assert.deepEqual([photo.width, photo.height], [1600, 400]);
		const small = await pictures.look((await bytesOf(photo.small)).bytes);
		assert.deepEqual([small.width, small.height], [400, 100]);
		assert.deepEqual(nearest(small.quarters), [0, 1, 2, 3]);
	});
	test("keeps its colours, to a shade", async () => {
		const photo = await taken(ofPart(), await pictures.make("image/png", 300, 300));
		const seen = await pictures.look((await bytesOf(photo.picture)).bytes);
		seen.quarters.flat().forEach((value, i) => assert.ok(Math.abs(value - quarters.flat()[i]) < 8, JSON.stringify(seen.quarters)));
	});
	test("that shines through stands on white", async () => {
		const clear = await pictures.page.evaluate(() => { const c = document.createElement("canvas"); c.width = c.height = 20; return ["image/png", "image/webp"].map((type) => c.toDataURL(type).split(",")[1]); });
		for (const base64 of clear) {
			const photo = await taken(ofPart(), Buffer.from(base64, "base64"));
			assert.ok((await pictures.look((await bytesOf(photo.picture)).bytes)).quarters.flat().every((value) => value > 250));
		}
	});
});

describe("what is refused, and nothing stored of it", () => {
	const refuses = (name, make, says, status = 422) => test(name, async () => {
		const before = [count("photo"), count("photo_content"), count("audit_entry")];
		const answer = await give(ofPart(), await make());
		assert.equal(answer.status, status, answer.text);
		assert.match(answer.doc.errors?.[0]?.message ?? answer.doc.detail, says);
		if (status === 422) assert.equal(answer.doc.errors[0].field, "photo");
		assert.deepEqual([count("photo"), count("photo_content"), count("audit_entry")], before);
	});
	const cut = (type) => async () => { const whole = await pictures.make(type, 300, 200, { noise: true }); return whole.subarray(0, Math.floor(whole.length * .7)); };
	for (const type of ["jpeg", "png", "webp"]) refuses(`a ${type} that is cut off`, cut(`image/${type}`), /damaged or was cut off/);
	const broken = async () => { const png = Buffer.from(await pictures.make("image/png", 200, 200, { noise: true })); png[Math.floor(png.length / 2)] ^= 0x55; return png; };
	refuses("a PNG with wrong bytes in it", broken, /damaged/);
	refuses("a drawing in SVG", () => Buffer.from('<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'), /no picture that can be kept/);
	refuses("a page", () => Buffer.from("<!DOCTYPE html><title>x</title>"), /no picture that can be kept/);
	refuses("a GIF", () => Buffer.from("R0lGODlhAQABAAAAACwAAAAAAQABAAACAkQBADs=", "base64"), /Send a JPEG, a PNG or a WebP/);
	refuses("a page behind the first bytes of a JPEG", () => Buffer.concat([Buffer.from([0xff, 0xd8, 0xff, 0xe0]), Buffer.from("<script>alert(1)</script>".repeat(20))]), /damaged/);
	refuses("a picture of too many pixels", async () => pngOfSize(await pictures.make("image/png", 50, 50), 60000, 60000), /60000 x 60000 pixels; at most 50 million/);
	refuses("one that is as wide as no memory holds", async () => pngOfSize(await pictures.make("image/png", 50, 50), 0x7fffffff, 1), /pixels; at most|damaged/);
	refuses("a file too large", () => Buffer.alloc(21 * 1024 * 1024, 0xff), /larger than 20 MiB/, 413);
	refuses("an empty file", () => Buffer.alloc(0), /Take or choose a photo|photo/i);
	test("nothing, and a file under another name", async () => {
		assert.equal((await give(ofPart(), null)).status, 422);
		assert.equal((await give(ofPart(), await pictures.make("image/png", 9, 9), { field: "picture" })).status, 422);
		assert.equal((await inspector.send(ofPart(), { photo: "photo.jpg" }, null, 422)).doc.errors[0].message, "Take or choose a photo first.");
	});
	test("with words on the page and in the form, without scripts", async () => {
		const client = await new FormClient(department, inspector.token).signIn("2001"), body = new FormData();
		body.set("_token", client.formToken);
		body.set("photo", new Blob(["none"]), "a.jpg");
		const page = await fetch(department.url + ofPart(), { method: "POST", body, redirect: "manual", headers: { accept: "text/html", cookie: client.cookie } });
		const text = await page.text();
		assert.equal(page.status, 422);
		assert.match(text, /id="f-photo-error">This is no picture that can be kept/);
		assert.match(text, /id="errors"/);
		assert.doesNotMatch(text, /still in the form/);
		body.set("_token", "x");
		assert.equal((await fetch(department.url + ofPart(), { method: "POST", body, redirect: "manual", headers: { accept: "application/json", cookie: client.cookie } })).status, 403);
	});
	test("at places that are none", async () => {
		const bytes = await pictures.make("image/png", 9, 9);
		for (const [path, status] of [[`/inspections/999/parts/${part}/photos`, 404], [`/inspections/${draft}/parts/999/photos`, 404], [`/inspections/${draft}/findings/999/photos`, 404],
			[`/inspections/${draft}/parts/${part}/findings/photos`, 404], [`/inspections/${draft}/parts/${part}/findings/photos?point=nothing`, 404]])
			assert.equal((await give(path, bytes)).status, status, path);
	});
	test("from who may not", async () => {
		const bytes = await pictures.make("image/png", 9, 9);
		assert.equal((await give(ofPart(), bytes, { client: member })).status, 403);
		assert.equal((await give(ofPart(), bytes, { client: null })).status, 401);
	});
});

test("the same picture is kept once, however often; the same upload is one photo", async () => {
	const bytes = await pictures.make("image/jpeg", 333, 222), first = await taken(ofPart(), bytes);
	const before = [count("photo"), count("photo_content")];
	const again = await taken(ofPart(), asPhoned(bytes, 1));
	assert.equal(again.sha256, first.sha256, "whatever stands beside the picture");
	assert.notEqual(again.id, first.id);
	assert.deepEqual([count("photo"), count("photo_content")], [before[0] + 1, before[1]]);
	const twice = [await taken(ofPart(), bytes, { key: "once-1" }), await taken(ofPart(), bytes, { key: "once-1" })];
	assert.equal(twice[0].id, twice[1].id);
	assert.equal(count("photo"), before[0] + 2);
	assert.equal((await give(ofPart(), await pictures.make("image/png", 8, 8), { key: "once-1" })).status, 422, "the key is of that upload");
});

describe("the bytes", () => {
	let photo;
	before(async () => { photo = await taken(ofPart(), await pictures.make("image/png", 77, 55)); });
	test("are for those who are signed in, of this session, and never taken for anything else", async () => {
		for (const path of [photo.picture, photo.small]) {
			const { status, headers } = await bytesOf(path, member);
			assert.equal(status, 200);
			assert.equal(headers.get("x-content-type-options"), "nosniff");
			assert.equal(headers.get("cache-control"), "private, max-age=31536000, immutable");
			assert.match(headers.get("vary"), /Cookie/);
			assert.match(headers.get("content-security-policy"), /default-src 'none'.*img-src 'self'/);
			const nobody = await bytesOf(path, null);
			assert.equal(nobody.status, 401);
			assert.equal(nobody.headers.get("cache-control"), "no-store");
			assert.ok(!nobody.bytes.includes("JFIF"));
		}
		for (const path of [photo.url, "/photos", "/photos.csv"]) assert.equal((await bytesOf(path, null)).status, 401, path);
		for (const path of ["/photos/999", "/photos/999/picture.jpg", "/photos/999/small.jpg"]) {
			const none = await bytesOf(path);
			assert.equal(none.status, 404);
			assert.equal(none.headers.get("cache-control"), "no-store");
		}
	});
	test("are in the list with their hash, as JSON and CSV", async () => {
		const row = (await member.get("/photos?size=100")).rows.find((one) => one.id === photo.id);
		assert.equal(row.sha256, photo.sha256);
		assert.equal(row.alt, "Coat shell PX-COAT-SHELL");
		const csv = (await department.json("/photos.csv", { token: inspector.token })).text;
		assert.match(csv, /^photo,tag,kind,inspection,/);
		assert.match(csv, new RegExp(`^${photo.id},PX-COAT-SHELL,.*,77,55,${photo.sha256},`, "m"));
	});
});

/** An inspection of a part with a finding and its photos, one before and one after it was written down. */
async function found(tag, what, write = true) {
	const id = await begin(inspector, "advanced", tag), [{ component }] = await prepare(inspector, id);
	const point = `/inspections/${id}/parts/${component}/findings/photos?point=${what.check_point}&defect=${what.defect}`;
	const first = await taken(point, await pictures.make("image/jpeg", 640, 480));
	if (!write) return { id, component, first };
	await answerPart(inspector, id, component, what);
	const [finding] = Database.rows(department.data, `SELECT id, version FROM finding WHERE inspection_id = ${id}`);
	const second = await taken(`/inspections/${id}/findings/${finding.id}/photos`, await pictures.make("image/webp", 480, 640));
	return { id, component, finding: finding.id, version: finding.version, first, second };
}
const burn = { check_point: "aluminized", defect: "burnt", outcome: "repair", zone: "chest", place: "beside the reflective patch" };
const html = async (path) => (await department.json(path, { token: inspector.token, headers: { accept: "text/html" } })).text;

describe("a finding", () => {
	let one, ticket;
	test("takes the photos of its point, and has its own", async () => {
		one = await found("PX-TROUSER-SHELL", { ...burn, zone: "left_thigh" });
		assert.equal(one.first.alt, "Trouser shell PX-TROUSER-SHELL: " + one.first.check_point_title);
		const page = await inspector.get(`/inspections/${one.id}/findings/${one.finding}`);
		assert.deepEqual(page.photos.map((photo) => photo.id), [one.first.id, one.second.id]);
		assert.match(page.photos[0].alt, /^Trouser shell PX-TROUSER-SHELL: Burnt.*, front, outside, beside the reflective patch$/i);
		assert.equal((await inspector.get(one.first.url)).photo.finding, one.finding);
	});
	test("is shown with them in the record and on the ticket, each with words", async () => {
		await sign(inspector, one.id);
		ticket = await inspector.post("/dispatches", { provider: 1, finding: [one.finding] });
		for (const [path, which] of [[`/inspections/${one.id}`, "small"], [`/findings/${one.finding}`, "small"], [`/components/${one.component}`, "small"],
			[`/components/${one.component}/record`, "small"], [`${ticket}/ticket`, "picture"]]) {
			const page = await html(path);
			for (const photo of [one.first, one.second])
				assert.match(page, new RegExp(`<a href="${photo.url}"><img src="${photo[which]}" alt="Trouser shell PX-TROUSER-SHELL: [^"]+, beside the reflective patch" width="${photo.width}" height="${photo.height}"`), path);
		}
		assert.match(await html(one.first.url), new RegExp(`<img src="${one.first.picture}" alt="[^"]+"`));
	});
	test("keeps them for good once it is signed", async () => {
		const shown = await inspector.get(one.first.url);
		assert.equal(shown.can_withdraw, false);
		assert.match((await inspector.send(`${one.first.url}/withdraw`, {}, shown.version, 409)).doc.detail, /signed and stays as it is/);
		for (const path of [`/inspections/${one.id}/parts/${one.component}/photos`, `/inspections/${one.id}/findings/${one.finding}/photos`])
			assert.equal((await give(path, await pictures.make("image/png", 9, 9))).status, 409, path);
	});
	test("that is taken back takes its photos back; one photo alone is taken back too", async () => {
		const two = await found("PX-FACESHIELD", { check_point: "reflective", defect: "scratched", outcome: "replace", zone: "centre" });
		const shown = await inspector.get(two.second.url);
		assert.equal(shown.can_withdraw, true);
		await inspector.send(`${two.second.url}/withdraw`, {}, null, 428);
		await inspector.post(`${two.second.url}/withdraw`, {}, shown.version);
		await inspector.send(`${two.second.url}/withdraw`, {}, shown.version + 1, 409);
		const page = () => inspector.get(`/inspections/${two.id}`);
		assert.deepEqual((await page()).findings[0].photos.map((photo) => photo.id), [two.first.id]);
		await inspector.post(`/inspections/${two.id}/findings/${two.finding}/withdraw`, {}, two.version);
		assert.equal(Database.rows(department.data, `SELECT count(*) AS n FROM photo WHERE finding_id = ${two.finding} AND withdrawn_at IS NULL`)[0].n, 0);
		assert.equal((await give(`/inspections/${two.id}/findings/${two.finding}/photos`, await pictures.make("image/png", 9, 9))).status, 409);
		assert.equal((await bytesOf(two.second.picture)).status, 200, "nothing is deleted");
		assert.match(await html(two.second.url), /Taken back/);
		await inspector.post(`/inspections/${two.id}/abandon`, { reason: "a test" }, (await page()).inspection.version);
		assert.equal((await give(`/inspections/${two.id}/parts/${two.component}/photos`, await pictures.make("image/png", 9, 9))).status, 409);
	});
	test("not written down after all leaves its photos with the part", async () => {
		const three = await found("PX-HOOD", { check_point: "label", defect: "missing" }, false);
		const page = await inspector.get(`/inspections/${three.id}/parts/${three.component}`);
		assert.deepEqual(page.photos.map((photo) => photo.id), [three.first.id]);
		assert.deepEqual((await inspector.get(`/inspections/${three.id}`)).parts[0].photos.map((photo) => photo.id), [three.first.id]);
	});
});

test("every photo has its entry, signed with it, and a part has no more than anybody looks at", async () => {
	const id = await begin(inspector, "advanced", "PX-GLOVES"), [{ component }] = await prepare(inspector, id), bytes = await pictures.make("image/png", 5, 5);
	const path = `/inspections/${id}/parts/${component}/photos`, before = count("audit_entry");
	for (let i = 0; i < 60; i++) await taken(path, bytes);
	assert.equal(count("audit_entry"), before + 60);
	const [entry] = Database.rows(department.data, "SELECT action, records FROM audit_entry ORDER BY seq DESC LIMIT 1");
	assert.equal(entry.action, "add photo");
	assert.match(entry.records, /"table":"photo".*"content":"[0-9a-f]{64}","small":"[0-9a-f]{64}"/);
	assert.match((await give(path, bytes)).doc.detail, /has 60 photos/);
});

describe("in the browser", () => {
	const folder = mkdtempSync(join(tmpdir(), "pegwarden-photos-"));
	after(() => rmSync(folder, { recursive: true }));
	let files;
	before(async () => {
		files = [["large.jpg", asPhoned(await pictures.make("image/jpeg", 3000, 2000, { noise: true }), 6)], ["second.png", await pictures.make("image/png", 64, 64)], ["none.jpg", Buffer.from("none")]]
			.map(([name, bytes]) => { const path = join(folder, name); writeFileSync(path, bytes); return path; });
	});
	const open = async (how, tag, point, defect) => {
		const chrome = await browser(), page = await (await chrome.newContext({ viewport: { width: 800, height: 1280 }, hasTouch: true, ...how })).newPage();
		page.wrong = [];
		page.on("pageerror", (error) => page.wrong.push(error.message));
		page.on("console", (message) => { if (message.type() === "error" && /Content Security/.test(message.text())) page.wrong.push(message.text()); });
		const id = await begin(inspector, "advanced", tag), [{ component }] = await prepare(inspector, id);
		await signIn(page, department, "2001");
		await page.goto(`${department.url}/inspections/${id}/parts/${component}/findings?point=${point}&defect=${defect}`);
		return { chrome, page, id };
	};
	test("several at once are made small on the device, each tells how far it is, and the finding waits for them", async () => {
		const { chrome, page, id } = await open({}, "SX-COAT-SHELL", "seams", "seam_open");
		const sizes = [];
		page.on("request", (request) => { if (/photos/.test(request.url()) && request.method() === "POST") sizes.push(request.postDataBuffer()?.length ?? 0); });
		await page.fill("[name=place]", "left sleeve seam, 10 cm above the cuff");
		assert.equal(await page.locator("#f-photo").isVisible(), false);
		const chosen = page.waitForEvent("filechooser");
		await page.getByRole("button", { name: "Choose photos" }).click();
		assert.equal((await chosen).isMultiple(), true);
		await (await chosen).setFiles(files);
		await page.locator(".photos li:nth-child(2)").waitFor();
		await page.locator(".uploads .field-error").waitFor();
		assert.match(await page.locator(".uploads").textContent(), /^Photo 3 was not taken: This is no picture that can be kept\. Send a JPEG, a PNG or a WebP\. Leave it out$/, "to try again would not help");
		const heard = page.locator("#photos [role=status]");
		assert.match(await heard.textContent(), /^Photo 3 was not taken/);
		assert.equal((await heard.boundingBox()).height, 1, "seen in its line, and heard");
		await page.getByRole("button", { name: "Leave it out" }).click();
		await page.locator(".uploads li").waitFor({ state: "detached" });
		assert.equal(await page.inputValue("[name=place]"), "left sleeve seam, 10 cm above the cuff", "what was typed is still there");
		const rows = Database.rows(department.data, `SELECT width, height FROM photo WHERE inspection_id = ${id} ORDER BY id`);
		assert.deepEqual(rows, [{ width: 1067, height: 1600 }, { width: 64, height: 64 }]);
		await page.locator("button", { hasText: "Take a photo" }).waitFor();
		// Saved while one more is on its way: the form goes after it.
		let release;
		const gate = new Promise((done) => { release = done; });
		await page.route(/findings\/photos/, async (route) => { await gate; await route.continue(); });
		await page.locator("#f-photo").setInputFiles(files[1]);
		await page.selectOption("[name=zone]", { index: 1 });
		for (const name of ["Front", "Outside"]) await page.getByRole("radio", { name, exact: true }).check();
		await page.locator("label.choice", { hasText: "Major" }).click();
		await page.locator("fieldset", { hasText: "Outcome" }).locator("label.choice").first().click();
		await page.getByRole("button", { name: "Save finding" }).click();
		await page.locator("[data-keeping][data-state=saving]").waitFor();
		assert.equal(Database.rows(department.data, `SELECT count(*) AS n FROM finding WHERE inspection_id = ${id}`)[0].n, 0, "the finding waits for its photo");
		release();
		await page.waitForURL((url) => !url.pathname.endsWith("/findings"));
		const of = Database.rows(department.data, `SELECT count(*) AS n FROM photo p JOIN finding f ON f.id = p.finding_id WHERE p.inspection_id = ${id}`);
		assert.equal(of[0].n, 3);
		assert.deepEqual(page.wrong, []);
		await chrome.close();
	});
	test("is sent again by itself with the same key: one photo, though the answer was lost", async () => {
		const { chrome, page, id } = await open({}, "SX-HELMET", "label", "missing");
		// The second try waits until the page has said that the first one failed.
		let lost = 0, release;
		const gate = new Promise((done) => { release = done; });
		await page.route(/photos/, async (route) => {
			if (route.request().method() !== "POST") return route.continue();
			if (lost++) return gate.then(() => route.continue());
			await route.fetch();
			await route.abort();
		});
		await page.locator("#f-photo").setInputFiles(files[1]);
		await page.getByText("Photo 1 is kept on this tablet and will be sent.").waitFor();
		release();
		await page.locator(".photos li").waitFor();
		assert.equal(Database.rows(department.data, `SELECT count(*) AS n FROM photo WHERE inspection_id = ${id}`)[0].n, 1);
		await chrome.close();
	});
	test("what the browser kept is not shown to who takes the tablet next", async () => {
		const { chrome, page } = await open({}, "SX-GLOVES", "label", "missing");
		await page.locator("#f-photo").setInputFiles(files[1]);
		await page.locator(".photos img").waitFor();
		const picture = await page.locator(".photos img").getAttribute("src");
		const ask = () => page.evaluate(async (path) => (await fetch(path)).status, picture);
		assert.equal(await ask(), 200);
		await page.getByText("Menu").click();
		await page.getByRole("button", { name: /Sign out/ }).click();
		await page.waitForURL((url) => url.pathname === "/sign-in");
		assert.equal(await ask(), 401);
		await chrome.close();
	});
	test("without scripts a photo is sent as it is, by the form", async () => {
		const { chrome, page, id } = await open({ javaScriptEnabled: false }, "SX-HOOD", "label", "missing");
		assert.equal(await page.getAttribute("#f-photo", "capture"), "environment");
		await page.setInputFiles("#f-photo", files[0]);
		await page.getByRole("button", { name: "Add photo" }).click();
		await page.waitForURL(/#photos$/);
		assert.match(page.url(), /point=label&defect=missing/);
		assert.equal(await page.locator(".photos img").count(), 1);
		assert.deepEqual(Database.rows(department.data, `SELECT width, height FROM photo WHERE inspection_id = ${id}`), [{ width: 1067, height: 1600 }]);
		await page.setInputFiles("#f-photo", files[2]);
		await page.getByRole("button", { name: "Add photo" }).click();
		assert.match(await page.locator("#f-photo-error").textContent(), /no picture that can be kept/);
		await page.locator(".photos a").click();
		await page.getByRole("button", { name: "Take this photo back" }).click();
		await page.waitForURL(/#photos$/);
		assert.equal(await page.locator(".photos img").count(), 0);
		await chrome.close();
	});
});

describe("the proof", () => {
	const cheats = { "bytes that were changed": ["UPDATE photo_content SET bytes = zeroblob(10) WHERE id = 1", /bytes were changed/],
		"a picture put in the place of another": ["UPDATE photo SET content = (SELECT hash FROM photo_content WHERE id = 2) WHERE id = 1", /photo 1 is not as entry/],
		"a picture that is gone": ["PRAGMA foreign_keys = OFF; DELETE FROM photo_content WHERE id = 1", /picture of photo 1 is missing/],
		"a photo that is gone": ["PRAGMA foreign_keys = OFF; DELETE FROM photo WHERE id = 1", /photo 1 is missing/] };
	for (const [name, [sql, says]] of Object.entries(cheats))
		test(`finds ${name}, in a backup too`, () => {
			const copy = mkdtempSync(join(tmpdir(), "pegwarden-copy-"));
			run(["backup", "--data", department.data, "--to", join(copy, "pegwarden.db")]);
			copyFileSync(join(department.data, "signing.key"), join(copy, "signing.key"));
			assert.match(run(["verify", "--data", copy]), /holds/);
			assert.ok(Database.count(copy, "photo_content") > 10);
			Database.change(copy, sql);
			const result = attempt(["verify", "--data", copy]);
			assert.equal(result.code, 3, result.out + result.err);
			assert.match(result.err + result.out, says);
			rmSync(copy, { recursive: true });
		});
});
