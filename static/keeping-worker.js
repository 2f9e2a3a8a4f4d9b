// Keeps the pages of an inspection that was opened, and answers with them when the network does
// not. What is kept is one person's: another who takes the tablet is shown nothing of it.
// Form tokens and keys are taken out before a page is kept.
"use strict";

const PATIENCE = 3000; // ms that the network has to answer where a kept page could
const AWAY = 15000; // ms for which it is not waited for again after that
const FILES = "files", HERE = "here";
let awaySince = 0;

addEventListener("install", () => skipWaiting());
addEventListener("activate", (event) => event.waitUntil(clients.claim()));

// --- who is here ---------------------------------------------------------------------------------

// { who, lock: seconds after which the tablet asks who it is, or 0, touched: ms }
async function whoIsHere() {
	const kept = await (await caches.open(HERE)).match("/here");
	return kept ? kept.json() : { who: "" };
}
async function setHere(here) {
	await (await caches.open(HERE)).put("/here", new Response(JSON.stringify({ ...here, touched: Date.now() })));
}
const isLeft = ({ lock, touched }) => lock > 0 && Date.now() - touched > lock * 1000;

// --- keeping -------------------------------------------------------------------------------------

const withoutSecrets = (html) => html.replace(/(name="(?:_token|_key)" value=")[^"]*/g, "$1");
const isOf = (html, who) => who && html.includes(` data-who="${who}"`);

// Inspections that are over: a page of one that was still on its way is not kept after all.
const forgotten = new Set();
const isForgotten = (path) => forgotten.has(path.match(/^\/inspections\/\d+/)?.[0]);

async function putPage(path, html, headers, who) {
	const kept = new Headers(headers), pages = await caches.open(`pages:${who}`);
	kept.set("x-kept", new Date().toISOString());
	if (!isForgotten(path)) await pages.put(path, new Response(withoutSecrets(html), { headers: kept }));
	if (isForgotten(path)) await pages.delete(path);
}
/** The text of a page of this person, kept; "" when it is not to be had. */
async function fetchPage(path, who) {
	const answer = await fetch(path, { headers: { accept: "text/html" } });
	const html = await answer.text();
	if (!answer.ok || answer.redirected || !isOf(html, who)) return "";
	await putPage(path, html, answer.headers, who);
	return html;
}
async function keepFiles(html) {
	const files = await caches.open(FILES);
	for (const [, path] of html.matchAll(/(?:src|href)="(\/static\/[^"#?]+)/g))
		if (!await files.match(path)) await files.add(path);
}
/** What an inspection's pages link to and is needed to go on, off line too. */
function linksOf(html, inspection) {
	const paths = [...html.matchAll(/href="([^"]+)"/g)].map((match) => match[1]);
	const needed = paths.filter((path) => path.startsWith(inspection) && /^(\/preparation|\/parts\/\d+(\?group=\w+)?|\/findings\/\d+)?$/.test(path.slice(inspection.length)));
	return [...needed, ...needed.filter((path) => /\/parts\/\d+$/.test(path)).map((path) => `${path}/findings`)];
}
async function keepInspection(inspection, who) {
	const pages = await caches.open(`pages:${who}`), waiting = ["/", "/kept", inspection], seen = new Set(waiting);
	for (let path = waiting.shift(); path; path = waiting.shift()) {
		const kept = await pages.match(path), html = kept ? await kept.text() : await fetchPage(path, who);
		await keepFiles(html);
		for (const link of linksOf(html, inspection)) if (!seen.has(link)) waiting.push(link), seen.add(link);
	}
}
/** Again what these changes, which were stored, have made old. */
async function refresh(paths, who) {
	const pages = await caches.open(`pages:${who}`), old = new Set(["/kept"]);
	for (const path of paths) {
		const part = path.split("?")[0].replace(/\/findings(\/\d+)?$/, "");
		for (const one of [path, part, `${part}/findings`, part.match(/^\/inspections\/\d+/)[0]]) old.add(one);
	}
	for (const path of old) if (await pages.match(path)) await fetchPage(path, who);
}

async function forgetInspection(inspection, who) {
	forgotten.add(inspection);
	const pages = await caches.open(`pages:${who}`);
	for (const request of await pages.keys()) if (`${new URL(request.url).pathname}/`.startsWith(`${inspection}/`)) await pages.delete(request);
}

addEventListener("message", (event) => event.waitUntil((async () => {
	const { who, lock = 0, keep, forget, refresh: paths, touched } = event.data;
	if (touched !== undefined) {
		const here = await whoIsHere();
		if (here.who === touched && !isLeft(here)) await setHere(here);
	} else if (paths) await refresh(paths, who).catch(() => {});
	else {
		await setHere({ who, lock });
		if (forget) await forgetInspection(forget, who);
		forgotten.delete(keep);
		if (keep) await keepInspection(keep, who).catch(() => {}); // the rest when it is opened again
	}
})()));

// --- answering ------------------------------------------------------------------------------------

function say(title, words, back = "/") {
	const html = `<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><title>${title} · Pegwarden</title><link rel="stylesheet" href="/static/pegwarden.css"></head><body><header class="top"><a class="brand" href="/">Pegwarden</a></header><main><h1>${title}</h1><p class="notice">${words}</p><p><a class="button" href="${back}">Back</a></p></main></body></html>`;
	return new Response(html, { status: 503, headers: { "content-type": "text/html; charset=utf-8",
		"content-security-policy": "default-src 'none'; style-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'" } });
}
/** The page kept for who is here, marked as such, or undefined. */
async function keptPage(url, here) {
	if (!here.who || isLeft(here) || !await caches.has(`pages:${here.who}`)) return undefined;
	const pages = await caches.open(`pages:${here.who}`);
	// The form for any finding of a part serves for each of its points.
	const page = await pages.match(url.pathname + url.search) ?? (url.pathname.endsWith("/findings") ? await pages.match(url.pathname) : undefined);
	if (!page) return undefined;
	const html = (await page.text()).replace("<body", `<body data-kept="${page.headers.get("x-kept")}"`);
	return new Response(html, { headers: page.headers });
}
function sayNotKept(url, here) {
	const inspection = url.pathname.match(/^\/inspections\/\d+/)?.[0] ?? "/";
	if (isLeft(here)) return say("The network is away", "This tablet was left alone, so it asks who you are as soon as the network answers. What you wrote is kept.");
	if (url.pathname.endsWith("/review")) return say("The network is away", "Reviewing and signing need the network. What you answered is kept on this tablet and will be sent.", inspection);
	return say("The network is away", "This page is not kept on this tablet. Inspections that were opened on line go on without the network.", inspection);
}
/** The network's answer; an error when it has none within so many ms (0: however long it takes). */
function ask(request, ms) {
	const late = ms ? [new Promise((_, failed) => setTimeout(failed, ms, new Error("late")))] : [];
	// After going back to what a form was answered with, the browser would ask only what it has kept itself.
	const asked = request.cache === "only-if-cached" ? fetch(request.url, { headers: request.headers, redirect: "manual" }) : fetch(request);
	const answer = asked.then((one) => {
		if (one.status === 502 || one.status === 504) throw new Error("no server"); // says the proxy before it
		awaySince = 0;
		return one;
	});
	return Promise.race([answer, ...late]);
}
const patience = () => (Date.now() - awaySince < AWAY ? 300 : PATIENCE);

async function page(event) {
	const url = new URL(event.request.url), here = await whoIsHere(), kept = await keptPage(url, here);
	try {
		const answer = await ask(event.request, kept && patience());
		if (kept && answer.ok && answer.type === "basic") {
			const copy = answer.clone();
			event.waitUntil(copy.text().then((html) => isOf(html, here.who) && putPage(url.pathname + url.search, html, copy.headers, here.who)).catch(() => {}));
		}
		return answer;
	} catch {
		awaySince = Date.now();
		return kept ?? sayNotKept(url, here);
	}
}
async function change(request) {
	// Back to what a form was answered with: nothing is sent again, the form's page is shown.
	if (request.isHistoryNavigation) return Response.redirect(request.referrer || "/", 303);
	try {
		return await fetch(request);
	} catch {
		const leaves = new URL(request.url).pathname === "/sign-out";
		if (leaves) await setHere({ who: "" }); // nobody else is shown what is kept
		return leaves ? say("Not handed over yet", "The network is away, so the session is still open on the server. The pages kept here are closed until somebody opens Pegwarden with the network. Hand over again then.")
			: say("The network is away", "This needs the network. Nothing was stored; go back and try again later.", new URL(request.referrer || "/", location).pathname);
	}
}
async function file(request) {
	const files = await caches.open(FILES), kept = await files.match(request.url);
	try {
		const answer = await ask(request, kept && patience());
		if (answer.ok) await files.put(request.url, answer.clone());
		return answer;
	} catch (error) {
		awaySince = Date.now();
		if (kept) return kept;
		throw error;
	}
}
addEventListener("fetch", (event) => {
	const { request } = event, url = new URL(request.url);
	if (url.origin !== location.origin) return;
	if (request.mode === "navigate") event.respondWith(request.method === "GET" ? page(event) : change(request));
	else if (url.pathname.startsWith("/static/") && request.method === "GET") event.respondWith(file(request));
});
