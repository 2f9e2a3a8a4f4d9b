// `make bench`: everything measured in one run, the contenders of each figure taking turns, five
// rounds, medians; the ratios are what counts. See README.md beside this file.
//
//   node run.mjs TREE BUILD OUT          BENCH_DIR, BENCH_SCALE, BENCH_ROUNDS, BENCH_SECONDS
import { execFileSync, spawn } from "node:child_process";
import { cpSync, existsSync, mkdirSync, readFileSync, renameSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir, cpus } from "node:os";
import { join } from "node:path";

const [, , tree, build, out] = process.argv;
const scale = Number(process.env.BENCH_SCALE ?? 1), rounds = Number(process.env.BENCH_ROUNDS ?? 5), seconds = Number(process.env.BENCH_SECONDS ?? 5);
const folder = process.env.BENCH_DIR ?? join(tmpdir(), "pegwarden-bench");
const today = new Date().toISOString().slice(0, 10);
const env = { ...process.env, PEGWARDEN_SHARE: tree, TZ: "UTC" };
const program = (name) => join(build, name);
const call = (name, ...args) => execFileSync(program(name), args, { env, encoding: "utf8", stdio: ["ignore", "pipe", "pipe"], maxBuffer: 1 << 26 });
const median = (list) => [...list].sort((a, b) => a - b)[Math.floor(list.length / 2)];
const say = (text) => process.stderr.write(text + "\n");
mkdirSync(folder, { recursive: true });
writeFileSync(join(folder, "password"), "measuring only");

function init(data) {
	rmSync(data, { recursive: true, force: true });
	call("pegwarden", "init", "--data", data, "--password-file", join(folder, "password"), "--password-cost", "least", "--badge", "A1", "--department", "Measured", "--zone", "UTC");
	// Who records an advanced cleaning vouches for it, and must be trained.
	const administrator = join(folder, "administrator.csv");
	writeFileSync(administrator, "badge,family_name,given_name,station,trained_until\nA1,Administrator,First,HQ,2099-12-31\n");
	call("pegwarden", "import", "--data", data, "--kind", "members", "--update", administrator);
}

// The department is made once for a day; an older one is made anew, so that what is due stays alike.
function department() {
	const data = join(folder, `department-${scale}-${today}`);
	if (existsSync(data)) return data;
	say(`making the department in ${data} (some minutes)`);
	const unfinished = data + ".unfinished";
	init(unfinished);
	call("tests/bench/department", unfinished, today, String(scale));
	renameSync(unfinished, data);
	return data;
}

// --- servers and clients ---------------------------------------------------------------------

// Nothing that was started here outlives this program.
const running = new Set();
process.on("exit", () => { for (const child of running) child.kill("SIGKILL"); });
for (const signal of ["SIGINT", "SIGTERM"]) process.on(signal, () => process.exit(1));

async function start(command, args, more = {}) {
	const child = spawn(command, args, { env: { ...env, ...more }, stdio: ["ignore", "pipe", "inherit"] });
	running.add(child);
	child.once("exit", () => running.delete(child));
	const url = await new Promise((resolve, reject) => {
		let text = "";
		child.stdout.on("data", (chunk) => { text += chunk; const found = text.match(/(http:\S+)\n/); if (found) resolve(found[1]); });
		child.once("exit", () => reject(new Error(`${command} ended`)));
	});
	return { child, url, stop: () => new Promise((resolve) => { child.once("exit", resolve); child.kill(); }) };
}

const fail = (text) => { throw new Error(text); };
const milliseconds = (text) => { const [, number, unit] = text.match(/([\d.]+)(us|ms|s|m)/) ?? fail(`wrk said ${text}`); return number * { us: 0.001, ms: 1, s: 1000, m: 60000 }[unit]; };

function wrkResult(text) {
	const bad = text.match(/Non-2xx or 3xx responses: (\d+)/) ?? text.match(/Socket errors.*/);
	if (bad) throw new Error(`not every answer was good: ${bad[0]}`);
	return { rate: Number(text.match(/Requests\/sec:\s+(\S+)/)[1]), p50: milliseconds(text.match(/^ +50%\s+(\S+)/m)[1]), p99: milliseconds(text.match(/^ +99%\s+(\S+)/m)[1]) };
}

function wrkOnce(url, file, clients, duration) {
	return new Promise((resolve) => {
		const child = spawn("wrk", ["-t1", `-c${clients}`, `-d${duration}s`, "--latency", "-s", file, url]);
		running.add(child);
		const late = setTimeout(() => child.kill("SIGKILL"), (duration + 10) * 1000);
		let text = "";
		child.stdout.on("data", (chunk) => { text += chunk; });
		child.once("exit", (code) => { clearTimeout(late); running.delete(child); resolve(code === 0 ? text : null); });
	});
}

// Now and then wrk does not end; such a run is none, and is repeated.
async function wrk(url, script, clients, duration = seconds) {
	const file = join(folder, `script-${process.pid}-${Math.random()}.lua`);
	writeFileSync(file, script);
	let text = null;
	for (let tries = 0; text === null && tries < 3; tries++) text = await wrkOnce(url, file, clients, duration);
	rmSync(file);
	return wrkResult(text ?? fail("wrk did not end, three times"));
}

// Ten parts for each member and for each of the second sets, as department.c makes them.
const components = 10 * (Math.ceil(20000 / scale) + Math.ceil(4000 / scale));
const head = (token) => `wrk.headers["Authorization"]="Bearer ${token}"\nmath.randomseed(7)\n`;
const pages = (token) => `${head(token)}wrk.headers["Accept"]="text/html"\nrequest=function() return wrk.format("GET","/components/"..math.random(1,${components})) end`;
const one = (token, path) => `${head(token)}wrk.headers["Accept"]="text/html"\nrequest=function() return wrk.format("GET","${path}") end`;
const changes = (token) => `${head(token)}wrk.headers["Accept"]="application/json"\nwrk.headers["Content-Type"]="application/json"\nwrk.headers["If-Match"]="\\"1\\""
request=function() local c=math.random(1,${components}) return wrk.format("POST","/components/"..c.."/cleanings",nil,'{"class":"advanced","reason":"measured","performed_by":"Mila Novak"}') end`;
const bareChanges = `math.randomseed(7)\nrequest=function() local c=math.random(1,${components}) return wrk.format("POST","/",nil,'{"component":'..c..',"class":"advanced","reason":"measured","performed_by":"Mila Novak"}') end`;

const serve = (data) => start(program("pegwarden"), ["serve", "--data", data, "--port", "0", "--quiet"]);
const serveBare = (data) => start(program("tests/bench/bare_server"), [data]);
const tokenOf = (data) => call("pegwarden", "token", "--data", data, "--member", "A1", "--name", "bench").match(/[A-Za-z0-9_-]{30,}/)[0];
const anonymousKiB = (child) => Number(readFileSync(`/proc/${child.pid}/status`, "utf8").match(/RssAnon:\s+(\d+)/)[1]);

// --- the figures --------------------------------------------------------------------------------

const figures = [];
const figure = (name, value, unit, wanted, holds) => { figures.push({ name, value, unit, wanted, holds }); say(`${holds ? "      " : "missed"} ${name}: ${value.toFixed(3)} ${unit} (${wanted})`); };

async function pageRound(data, token, all) {
	const bare = await serveBare(data);
	all.bare.push((await wrk(bare.url, "request=function() return wrk.format('GET','/') end", 32)).rate);
	await bare.stop();
	const ours = await serve(data);
	await wrk(ours.url, pages(token), 32, 3);
	const page = await wrk(ours.url, pages(token), 32);
	all.ours.push(page.rate);
	all.readiness.push((await wrk(ours.url, one(token, "/readiness"), 1, 2)).p50);
	all.memory.push(anonymousKiB(ours.child) / 1024);
	all.bareReadiness.push(Number(call("tests/bench/bare_passes", "readiness", data, today)));
	await ours.stop();
	const peer = await start("node", [join(tree, "tests/bench/peer/peer.mjs"), data, tree, today]);
	await wrk(peer.url, pages(token), 32, 3);
	all.peer.push((await wrk(peer.url, pages(token), 32)).rate);
	await peer.stop();
}

// The same words on both pages, but for what only one of them has.
async function comparePages(data, token) {
	const text = (html) => html.replace(/<nav[\s\S]*?<\/nav>|<[^>]*>/g, " ").replace(/\s+/g, " ").trim();
	const ours = await serve(data), peer = await start("node", [join(tree, "tests/bench/peer/peer.mjs"), data, tree, today]);
	for (const id of [1, 7, Math.floor(components / 2), components]) {
		const headers = { Authorization: `Bearer ${token}`, Accept: "text/html" };
		const [a, b] = await Promise.all([ours, peer].map(async (s) => (await fetch(`${s.url}components/${id}`, { headers })).text()));
		if (text(a) !== text(b)) throw new Error(`the pages of component ${id} differ:\n${text(a)}\n${text(b)}`);
		say(`component ${id}: ${a.length} bytes, the same words`);
	}
	await ours.stop();
	await peer.stop();
}

async function measurePages(data, token) {
	const all = { bare: [], ours: [], peer: [], readiness: [], bareReadiness: [], memory: [] };
	await comparePages(data, token);
	for (let i = 0; i < rounds; i++) await pageRound(data, token, all);
	const bare = median(all.bare), ours = median(all.ours), peer = median(all.peer), readiness = median(all.readiness), least = median(all.bareReadiness);
	say(`pages a second: bare ${bare}, ours ${ours}, peer ${peer}`);
	figure("component page to bare server", ours / bare, "", ">= 0.30", ours / bare >= 0.3);
	figure("component page to Node peer", ours / peer, "", ">= 3", ours / peer >= 3);
	figure("readiness page to bare queries", readiness / least, "", "<= 1.5", readiness / least <= 1.5);
	figure("readiness page", readiness, "ms", "< 10", readiness < 10);
	figure("private memory while serving", median(all.memory), "MiB", "<= 64", median(all.memory) <= 64);
}

// On the disk before anything is measured: what is still to be written would slow the first.
function copyOf(data, name) {
	const copy = join(folder, name);
	rmSync(copy, { recursive: true, force: true });
	cpSync(data, copy, { recursive: true });
	execFileSync("sync");
	return copy;
}

async function changeRound(bareCopy, copy, token, all) {
	const bare = await serveBare(bareCopy);
	all.bare.push((await wrk(bare.url, bareChanges, 64)).rate);
	await bare.stop();
	const ours = await serve(copy);
	await wrk(ours.url, pages(token), 4, 2);
	all.calm.push((await wrk(ours.url, pages(token), 4)).p99);
	all.ours.push((await wrk(ours.url, changes(token), 64)).rate);
	const [busy] = await Promise.all([wrk(ours.url, pages(token), 4), wrk(ours.url, changes(token), 64)]);
	all.busy.push(busy.p99);
	await ours.stop();
}

async function measureChanges(data, token) {
	const copies = ["changed-bare", "changed"].map((name) => copyOf(data, name)), all = { bare: [], ours: [], calm: [], busy: [] };
	// The day's notices are given at the first start, once; they are not what is measured here.
	call("pegwarden", "notify", "--data", copies[1]);
	for (let i = 0; i < rounds; i++) await changeRound(...copies, token, all);
	say(`changes a second: bare ${median(all.bare)}, ours ${median(all.ours)}; readers' p99 ${median(all.calm)} ms, meanwhile ${median(all.busy)} ms`);
	figure("durable change to bare group commit", median(all.ours) / median(all.bare), "", ">= 0.7", median(all.ours) / median(all.bare) >= 0.7);
	figure("readers' p99 while 64 write", median(all.busy) / median(all.calm), "", "<= 2", median(all.busy) / median(all.calm) <= 2);
	say(call("pegwarden", "rebuild", "--data", copies[1]).trim());
	for (const copy of copies) rmSync(copy, { recursive: true, force: true });
}

function measureDuties(data) {
	const all = { bare: [], ours: [] };
	for (let i = 0; i < rounds; i++) {
		all.bare.push(Number(call("tests/bench/bare_passes", "duties", data)));
		const began = performance.now();
		call("pegwarden", "rebuild", "--data", data);
		all.ours.push(performance.now() - began);
	}
	say(`duties: bare ${median(all.bare)} ms, ours ${median(all.ours).toFixed(0)} ms`);
	figure("duties rebuilt to bare pass", median(all.ours) / median(all.bare), "", "<= 2", median(all.ours) / median(all.bare) <= 2);
}

function writeTables() {
	const kinds = [["coat_shell", "CS"], ["coat_liner", "CL"], ["drd", "DR"], ["trouser_shell", "TS"], ["trouser_liner", "TL"], ["helmet", "HE"], ["faceshield", "FS"], ["hood", "HO"], ["gloves", "GL"], ["footwear", "FW"]];
	const stations = ["code,name"], members = ["badge,family_name,given_name,station"], parts = ["tag,kind,hazard,station,ensemble,line,serial,maker,model,size,made,in_service_on"];
	for (let s = 1; s <= Math.ceil(80 / scale); s++) stations.push(`ST${s},Station ${s}`);
	for (let m = 1; m <= Math.ceil(20000 / scale); m++) members.push(`${m + 100000},Novak,Mila,ST${1 + m % Math.ceil(80 / scale)}`);
	for (let e = 1; e <= Math.ceil(24000 / scale); e++)
		for (const [kind, stem] of kinds) parts.push(`M${e}-${stem},${kind},structural,ST${1 + e % Math.ceil(80 / scale)},M${e},primary,S${e}${stem},Northlight Textiles,Rampart,L,2021-0${1 + e % 9},2022-01-15`);
	for (const [name, rows] of Object.entries({ stations, members, components: parts })) writeFileSync(join(folder, `${name}.csv`), rows.join("\r\n") + "\r\n");
}

function measureImport() {
	const before = join(folder, "before"), after = join(folder, "after"), copied = join(folder, "copied"), all = { bare: [], ours: [] };
	writeTables();
	init(before);
	for (const kind of ["stations", "members"]) call("pegwarden", "import", "--data", before, "--kind", kind, join(folder, `${kind}.csv`));
	for (let i = 0; i < Math.min(rounds, 3); i++) {
		rmSync(after, { recursive: true, force: true });
		rmSync(copied, { recursive: true, force: true });
		cpSync(before, after, { recursive: true });
		cpSync(before, copied, { recursive: true });
		const began = performance.now();
		call("pegwarden", "import", "--data", after, "--kind", "components", join(folder, "components.csv"));
		all.ours.push(performance.now() - began);
		all.bare.push(Number(call("tests/bench/bare_passes", "import", after, copied)));
	}
	say(`import: bare ${median(all.bare)} ms, ours ${median(all.ours).toFixed(0)} ms`);
	figure("import to bare inserts", median(all.bare) / median(all.ours), "", ">= 0.7", median(all.bare) / median(all.ours) >= 0.7);
	for (const data of [before, after, copied]) rmSync(data, { recursive: true, force: true });
}

const only = (process.env.BENCH_ONLY ?? "pages changes duties import").split(" ");
const data = only.some((part) => part !== "import") ? department() : null;
const token = data && tokenOf(data);
if (only.includes("pages")) await measurePages(data, token);
if (only.includes("changes")) await measureChanges(data, token);
if (only.includes("duties")) measureDuties(data);
if (only.includes("import")) measureImport();
const lines = figures.map((f) => `| ${f.name} | ${f.value.toFixed(2)} ${f.unit} | ${f.wanted} | ${f.holds ? "holds" : "missed"} |`);
const report = `${cpus().length} processors, ${cpus()[0].model}, ${components} components, ${rounds} rounds of ${seconds} s\n\n| figure | median | wanted | |\n| --- | --- | --- | --- |\n${lines.join("\n")}\n`;
writeFileSync(out, report);
console.log(report);
