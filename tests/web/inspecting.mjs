// Whole inspections by HTTP, for tests that need what follows from them.
import assert from "node:assert/strict";
import { Department } from "./harness.mjs";
import { password } from "./harness.mjs";

/** The form that gives a photo. */
export function photoForm(bytes, fields = {}) {
	const form = new FormData();
	for (const [name, value] of Object.entries(fields)) form.set(name, value);
	form.set("photo", new Blob([bytes]), "photo");
	return form;
}

/** Asks and changes by JSON with an API token. */
export class JsonClient {
	constructor(department, token) { Object.assign(this, { department, token }); }
	async get(path) {
		const answer = await this.department.json(path, { token: this.token });
		assert.equal(answer.status, 200, `${path}: ${answer.text}`);
		return answer.doc;
	}
	/** The answer, whose status must be one of those wanted. */
	async send(path, body, version, wanted = [200, 201]) {
		const answer = await this.department.json(path, { token: this.token, body, headers: version ? { "if-match": `"${version}"` } : {} });
		assert.ok([].concat(wanted).includes(answer.status), `${path}: ${answer.status} ${answer.text}`);
		return answer;
	}
	/** Gives a photo: the bytes of a picture. */
	async give(path, bytes) { return this.post(path, photoForm(bytes)); }
	/** Where what was changed is. */
	async post(path, body, version) { return (await this.send(path, body, version)).headers.get("location"); }
}

/** Reads what pages hold from their documents, but changes things only by forms. */
export class FormClient extends JsonClient {
	async signIn(badge) {
		const answer = await fetch(this.department.url + "/sign-in", { method: "POST", redirect: "manual",
			headers: { accept: "text/html", "content-type": "application/x-www-form-urlencoded" }, body: new URLSearchParams({ badge, password }) });
		assert.equal(answer.status, 303);
		this.cookie = answer.headers.get("set-cookie").split(";")[0];
		const page = await (await fetch(this.department.url + "/", { headers: { accept: "text/html", cookie: this.cookie } })).text();
		this.formToken = page.match(/name="_token" value="([^"]+)"/)[1];
		return this;
	}
	/** The page that answers, and its text. */
	async submit(path, fields, version) {
		const body = new URLSearchParams({ _token: this.formToken });
		if (version) body.set("_version", version);
		for (const [name, value] of Object.entries(fields))
			for (const one of [].concat(value)) body.append(name, typeof one === "boolean" ? (one ? "yes" : "no") : one);
		const answer = await fetch(this.department.url + path, { method: "POST", redirect: "manual",
			headers: { accept: "text/html", cookie: this.cookie, "content-type": "application/x-www-form-urlencoded" }, body });
		return { status: answer.status, headers: answer.headers, text: await answer.text() };
	}
	async give(path, bytes) {
		const answer = await fetch(this.department.url + path, { method: "POST", redirect: "manual",
			headers: { accept: "text/html", cookie: this.cookie }, body: photoForm(bytes, { _token: this.formToken }) });
		assert.equal(answer.status, 303, `${path}: ${answer.status}`);
		return answer.headers.get("location");
	}
	async post(path, fields, version) {
		const answer = await this.submit(path, fields, version);
		assert.equal(answer.status, 303, `${path}: ${answer.text.slice(0, 1500)}`);
		return answer.headers.get("location");
	}
}

/** A department that is served, and its people by JSON: an inspector, a member, an officer. */
export async function staffed() {
	const department = new Department().fill();
	const [inspector, member, officer] = ["2001", "2002", "2003"].map((badge) => new JsonClient(department, department.token(badge)));
	await department.start();
	return { department, inspector, member, officer };
}

/** The day so many days ago. */
export const earlier = (days) => new Date(Date.now() - days * 86400000).toISOString().slice(0, 10);
export const idOf = async (client, tag) => (await client.get(`/search?q=${tag}`)).component;
export const componentOf = async (client, tag) => (await client.get(`/components/${await idOf(client, tag)}`)).component;

/** Starts an inspection of these parts, or of what `start` says. */
export async function begin(client, kind, ...tags) {
	const start = typeof kind === "object" ? kind : { kind, component: await Promise.all(tags.map((tag) => idOf(client, tag))) };
	return Number((await client.post("/inspections", start)).split("/")[2]);
}

/** Yes to every question before the points, but for those given: { tag: { clean: "no" } }. */
export async function prepare(client, id, other = {}) {
	const doc = await client.get(`/inspections/${id}/preparation`), answers = {};
	for (const part of doc.preparation)
		for (const { name } of part.questions) answers[name] = other[part.tag]?.[name.split(".")[0]] ?? "yes";
	await client.post(`/inspections/${id}/preparation`, answers, doc.inspection.version);
	return doc.parts;
}

/** Every point of a part sound, but for the one with the finding. */
export async function answerPart(client, id, component, found) {
	const path = `/inspections/${id}/parts/${component}`;
	for (const { code } of (await client.get(path)).groups) {
		const page = await client.get(`${path}?group=${code}`);
		const answers = Object.fromEntries(page.points.map((point) => [point.code, found?.check_point === point.code ? "finding" : "sound"]));
		await client.post(`${path}?group=${code}`, answers, page.version);
	}
	if (!found) return;
	const page = await client.get(`${path}/findings?point=${found.check_point}&defect=${found.defect}`);
	const zone = page.zones.find((one) => one.value === found.zone);
	await client.post(`${path}/findings`, { severity: "major", ...(zone.has_faces ? { face: "front" } : {}),
		...(zone.has_sides ? { side: "outside" } : {}), ...found }, page.version);
}

/** All of it, with findings by tag. */
export async function answer(client, id, found = {}) {
	for (const part of await prepare(client, id)) await answerPart(client, id, part.component, found[part.tag]);
}

/** The review as it was before the signature. */
export async function sign(client, id) {
	const review = await client.get(`/inspections/${id}/review`);
	await client.post(`/inspections/${id}/signature`, { confirmed: true }, review.inspection.version);
	return review;
}

export async function inspect(client, kind, tags, found) {
	const id = await begin(client, kind, ...tags);
	await answer(client, id, found);
	return sign(client, id);
}
