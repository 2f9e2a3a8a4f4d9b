// Lighthouse with the five pages that most of the work is done on, as a station's tablet shows
// them: speed, accessibility and good practice score 95 of 100 at least.
import assert from "node:assert/strict";
import { once } from "node:events";
import { createServer } from "node:net";
import { after, before, describe, test } from "node:test";
import lighthouse from "lighthouse";
import { Everywhere, people } from "./everywhere.mjs";
import { browser } from "./harness.mjs";
import { Device } from "./tablet.mjs";

/**
 * Ten inches, held upright, some years old, at the far end of the station's Wi-Fi: four times
 * slower than the machine that this runs on, 1.6 Mbit/s, 150 ms to and fro (Lighthouse's own
 * figures for a telephone). Lighthouse watches a load at full speed and computes what it would
 * have been there.
 */
const tablet = {
	formFactor: "mobile",
	screenEmulation: { mobile: true, width: 800, height: 1280, deviceScaleFactor: 1.5, disabled: false },
	throttlingMethod: "simulate",
	throttling: { cpuSlowdownMultiplier: 4, rttMs: 150, throughputKbps: 1638.4, requestLatencyMs: 0, downloadThroughputKbps: 0, uploadThroughputKbps: 0 },
};
const least = 95;
const config = { extends: "lighthouse:default", settings: { ...tablet, onlyCategories: ["performance", "accessibility", "best-practices"], disableFullPageScreenshot: true } };

let place, device, port, paths;
before(async () => {
	place = await new Everywhere().start();
	device = new Device(place.department);
	assert.equal((await device.signIn(people.inspector)).status, 303);
	const [{ component }] = (await place.ask(place.draft, "inspector")).doc.parts;
	paths = { start: "/", component: `/components/${component}`, "part form": `${place.draft}/parts/${component}`, review: `${place.draft}/review`, readiness: "/readiness" };
	const server = createServer().listen(0, "127.0.0.1");
	await once(server, "listening");
	({ port } = server.address());
	server.close();
	await once(server, "close");
	await browser([`--remote-debugging-port=${port}`]);
});
after(() => place?.finish());

async function look(path) {
	const { lhr } = await lighthouse(place.department.url + path, { port, logLevel: "error",
		extraHeaders: { Cookie: [...device.cookies].map((pair) => pair.join("=")).join("; ") } }, config);
	if (!lhr.runtimeError) assert.equal(new URL(lhr.finalDisplayedUrl).pathname, path, "signed in");
	return lhr;
}

/** What cost points: the audits that count and are not perfect. */
const losses = (lhr, category) => lhr.categories[category].auditRefs.filter(({ id, weight }) => weight > 0 && lhr.audits[id].score < 1)
	.map(({ id }) => `${id} ${lhr.audits[id].displayValue ?? ""}`).join(", ");

describe("Lighthouse", () => {
	for (const name of ["start", "component", "part form", "review", "readiness"])
		test(name, async () => {
			// A busy machine makes a load slower, never faster, or keeps Lighthouse from watching it whole:
			// the best of three is nearest to the page's own.
			let best, failure;
			for (let i = 0; i < 3 && !(best?.categories.performance.score * 100 >= least); i++) {
				const lhr = await look(paths[name]);
				if (lhr.runtimeError) console.log(`${name}: ${failure = lhr.runtimeError.message}`);
				else if (!best || lhr.categories.performance.score > best.categories.performance.score) best = lhr;
			}
			assert.ok(best, failure);
			const scores = Object.entries(best.categories).map(([category, { score }]) => [category, Math.round(score * 100)]);
			console.log(`${name}: ${scores.map((pair) => pair.join(" ")).join(", ")}; painted after ${best.audits["largest-contentful-paint"].displayValue}`);
			for (const [category, score] of scores) assert.ok(score >= least, `${name}: ${category} ${score}: ${losses(best, category)}`);
		});
});
