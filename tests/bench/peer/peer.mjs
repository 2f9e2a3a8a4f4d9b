// The component page as a department's own developer would make it today: Node, better-sqlite3
// and mustache, two processes. It reads the same database and renders the same templates, so its
// page can be compared word for word.
//
//   node peer.mjs DATA TREE TODAY        prints its address once both processes listen
import cluster from "node:cluster";
import { createServer } from "node:http";
import { createHash, randomBytes } from "node:crypto";
import { readFileSync, readdirSync } from "node:fs";
import Database from "better-sqlite3";
import mustache from "mustache";

const [, , data, tree, today] = process.argv;

if (cluster.isPrimary) {
	let listening = 0;
	cluster.on("listening", (worker, address) => { if (++listening === 2) console.log(`http://127.0.0.1:${address.port}/`); });
	cluster.fork();
	cluster.fork();
	process.on("SIGTERM", () => { for (const worker of Object.values(cluster.workers)) worker.kill(); process.exit(0); });
} else {
	const db = new Database(`${data}/pegwarden.db`, { readonly: true });
	db.pragma("mmap_size = 2147418112");
	const words = (text) => text?.replaceAll("_", " ");
	const partials = {};
	for (const name of readdirSync(`${tree}/templates/parts`)) partials[`parts/${name.replace(".html", "")}`] = readFileSync(`${tree}/templates/parts/${name}`, "utf8");
	const page = readFileSync(`${tree}/templates/component.html`, "utf8");
	const hazards = { structural: "Structural", proximity: "Proximity" };
	const roles = ["member", "inspector", "officer", "administrator"];

	const session = db.prepare(`SELECT a.id AS account, a.role, m.id AS member, m.badge, m.given_name || ' ' || m.family_name AS name
		FROM token t JOIN account a ON a.id = t.account_id JOIN member m ON m.id = a.member_id
		WHERE t.token_hash = ? AND t.revoked_at IS NULL AND a.active = 1`);
	const department = db.prepare("SELECT value FROM setting WHERE name = 'department'");
	const component = db.prepare(`SELECT c.*, k.label AS kind_label, e.code AS ensemble, e.line, c.station_id AS station,
		st.code || ' ' || st.name AS station_label, t.state, t.blockers, nullif(t.ready_until, '') AS ready_until,
		i.id AS issue, i.member_id AS holder, h.given_name || ' ' || h.family_name AS holder_name, i.issued_on, i.condition_at_issue,
		(SELECT tag FROM component r WHERE r.id = c.replaced_by) AS replaced_by_tag
		FROM component c JOIN component_kind k ON k.code = c.kind JOIN station st ON st.id = c.station_id
		JOIN standing t ON t.component_id = c.id LEFT JOIN ensemble e ON e.id = c.ensemble_id
		LEFT JOIN issue i ON i.component_id = c.id AND i.returned_on IS NULL LEFT JOIN member h ON h.id = i.member_id WHERE c.id = ?`);
	const duties = db.prepare(`SELECT k.label AS duty_label, d.due_on, d.reason, d.due_on < ? AS is_overdue, d.due_on IS NULL AS is_undated,
		(SELECT r.source FROM rule r WHERE r.code = d.rule AND r.rule_set = coalesce((SELECT value FROM setting WHERE name = 'rule_set'),
			(SELECT code FROM rule_set WHERE is_default))) AS source
		FROM duty d JOIN duty_kind k ON k.code = d.duty WHERE d.component_id = ? ORDER BY d.due_on IS NULL DESC, d.due_on`);
	const inspections = db.prepare(`SELECT inspection_id AS inspection, kind, inspected_on, inspector_name, conclusion, signed AS is_signed
		FROM inspection_part WHERE id BETWEEN (? << 20) AND (? << 20) + 1048575 ORDER BY id DESC LIMIT 20`);
	const findings = db.prepare(`SELECT f.id, d.label AS defect_label, z.label AS zone_label, f.face, f.side, f.place, f.severity,
		o.label AS outcome_label, o.to_ticket, f.state, f.closed_on FROM finding f JOIN component c ON c.id = f.component_id
		JOIN defect d ON d.code = f.defect JOIN outcome o ON o.code = f.outcome LEFT JOIN kind_zone z ON z.kind = c.kind AND z.code = f.zone
		WHERE f.component_id = ? AND f.state NOT IN ('draft', 'withdrawn') ORDER BY f.id DESC`);
	const issues = db.prepare(`SELECT i.member_id AS member, m.given_name || ' ' || m.family_name AS name, i.issued_on, i.condition_at_issue,
		i.returned_on, i.condition_at_return FROM issue i JOIN member m ON m.id = i.member_id WHERE i.component_id = ? ORDER BY i.issued_on DESC, i.id DESC`);
	const cleanings = db.prepare(`SELECT c.cleaned_on, c.class, c.reason, c.performed_by, p.name AS provider_name
		FROM cleaning c LEFT JOIN provider p ON p.id = c.provider_id WHERE c.component_id = ? ORDER BY c.cleaned_on DESC, c.id DESC`);
	const repairs = db.prepare(`SELECT d.id AS dispatch, d.number, p.name AS provider_name, d.sent_on, d.returned_on, i.result, i.work_done,
		df.label AS defect_label FROM dispatch_item i JOIN dispatch d ON d.id = i.dispatch_id JOIN provider p ON p.id = d.provider_id
		JOIN finding f ON f.id = i.finding_id JOIN defect df ON df.code = f.defect WHERE i.component_id = ? ORDER BY d.id DESC, i.id`);

	function may(row, role, open) {
		const at = (least) => role >= roles.indexOf(least);
		const retired = row.retired_on !== null, held = row.holder !== null, away = row.state === "at_provider";
		return { inspect: at("inspector") && !retired && !away, look: !retired && !away, issue: at("inspector") && !retired && !away && !held,
			take_back: at("inspector") && held, expose: !retired, hold: at("inspector"), clean: at("inspector") && !retired, withdraw: at("officer") && !retired && !row.withdrawn_reason,
			release: at("officer") && !!row.withdrawn_reason, retire: at("officer") && !retired && !held, dispose: at("officer") && retired && !row.disposed_on,
			change: at("officer") && !retired, dispatch: at("inspector") && open && !away };
	}

	function documentOf(id, who) {
		const row = component.get(id);
		if (!row) return null;
		const found = findings.all(id).map((f) => ({ ...f, state_label: words(f.state) }));
		const role = roles.indexOf(who.role), washed = cleanings.all(id);
		return { component: { ...row, blockers: JSON.parse(row.blockers), state_label: words(row.state) }, duties: duties.all(today, id),
			inspections: inspections.all(id, id).map((i) => ({ ...i, conclusion_label: words(i.conclusion) })), findings: found, issues: issues.all(id),
			cleanings: washed.map((c) => ({ ...c, class_label: words(c.class) })), cleaning_count: washed.filter((c) => c.class !== "routine").length,
			repairs: repairs.all(id).map((r) => ({ ...r, result_label: words(r.result) })), hazard_label: hazards[row.hazard],
			state_label: words(row.state).replace(/^./, (c) => c.toUpperCase()), can: may(row, role, found.some((f) => f.state === "open" && f.to_ticket)) };
	}

	const menu = JSON.parse(process.env.NAVIGATION ?? "[]");
	const chromeOf = (who, path, title) => ({ page_title: title, path, department: department.get().value, today, q: "", signed_in: true,
		form_key: randomBytes(16).toString("hex"), form_token: null, errors: [], has_errors: false, problem: null,
		user: { name: who.name, badge: who.badge, role_word: who.role }, navigation: menu });

	createServer((request, response) => {
		const match = request.url.match(/^\/components\/(\d+)$/);
		const bearer = request.headers.authorization?.replace("Bearer ", "");
		const who = bearer && session.get(createHash("sha256").update(bearer).digest("hex"));
		const document = who && match && documentOf(Number(match[1]), who);
		if (!document) return response.writeHead(who ? 404 : 401).end();
		const html = mustache.render(page, { ...chromeOf(who, request.url, document.component.tag), ...document }, partials);
		response.writeHead(200, { "Content-Type": "text/html; charset=utf-8", "Content-Length": Buffer.byteLength(html), "X-Content-Type-Options": "nosniff", "Cache-Control": "no-store" }).end(html);
	}).listen(0, "127.0.0.1");
}
