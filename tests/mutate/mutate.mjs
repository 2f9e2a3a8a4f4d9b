// node mutate.mjs RULES: do the tests of src/rules notice a fault? Puts one small fault after
// another into each file, links the check programs anew and runs them. `make mutate` says how
// to compile and what to link. MUTATE_SAMPLE=N takes N mutants a file, the same ones each time;
// MUTATE_FILES="duty.c fit.c" only those files; MUTATE_AGAIN=LOG only those that LOG, what an
// earlier run said, has as survivors.
//
// Not every survivor is a hole: some mutants do what the file does. Read each.
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

import { mutantsOf } from './mutants.mjs';

const rules = process.argv[2];
const { MUTATE_COMPILE, MUTATE_LINK, MUTATE_RULES, MUTATE_TRADE, MUTATE_LIBS, MUTATE_SAMPLE, MUTATE_FILES, MUTATE_AGAIN } = process.env;
// The check programs take two seconds; a loop that has no end is noticed too. Processor time counts,
// so that a machine with other work kills nobody; only what waits for ever is ended by the clock.
const CPU_SECONDS_MAX = 30, SECONDS_MAX = 900;
// A mutant that reads beyond the end of something is noticed by that.
const SANITIZE = '-fsanitize=address,undefined -fno-sanitize-recover=all';
const ENV = { CK_FORK: 'no', ASAN_OPTIONS: 'detect_leaks=0:hard_rss_limit_mb=2048' };

const folder = mkdtempSync(join(tmpdir(), 'pegwarden-mutate-'));
process.on('exit', () => rmSync(folder, { recursive: true, force: true }));
// A run that is stopped leaves nothing behind either: signals are heard between two mutants.
for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP']) process.on(signal, () => process.exit(1));
const hearSignals = () => new Promise((heard) => setImmediate(heard));

const sh = (command, env = {}) =>
	spawnSync('sh', ['-c', command], { env: { ...process.env, ...env }, timeout: SECONDS_MAX * 1000, killSignal: 'SIGKILL', encoding: 'utf8' });

const passes = (program, env = {}) => sh(`ulimit -c 0; ulimit -t ${CPU_SECONDS_MAX}; exec ${program}`, { ...ENV, ...env }).status === 0;

const compiles = (source, object, flags) => sh(`${MUTATE_COMPILE} -w ${flags} -c -o ${folder}/${object} ${source}`).status === 0;

// The mutant's object stands before the library, so the library's own is not taken.
function link(objects, program, flags = '') {
	const done = sh(`${MUTATE_LINK} ${flags} -o ${folder}/${program} ${objects} ${MUTATE_LIBS}`);
	if (done.status !== 0) throw new Error(`cannot link:\n${done.stderr}`);
	return join(folder, program);
}

// The same machine code is the same program, however it is written.
const codeOf = (source) => (writeFileSync(`${folder}/code.c`, source), compiles(`${folder}/code.c`, 'code.o', '-O2 -g0'), readFileSync(`${folder}/code.o`));

// The sanitizer looks at the mutant, and at what lies between the pieces of an arena.
function isNoticedBySanitizer() {
	compiles(`${folder}/mutant.c`, 'watched.o', `-O0 ${SANITIZE}`);
	const watched = (objects) => link(`${folder}/watched.o ${folder}/arena.o ${objects}`, 'watched', SANITIZE);
	return !passes(watched(MUTATE_RULES), { CK_EXCLUDE_TAGS: 'long' }) || !passes(watched(MUTATE_TRADE));
}

// What takes longer only when nothing else noticed.
function fate(source, code) {
	writeFileSync(`${folder}/mutant.c`, source);
	if (!compiles(`${folder}/mutant.c`, 'mutant.o', '-O0')) return 'uncompiled';
	const rules = link(`${folder}/mutant.o ${MUTATE_RULES}`, 'rules');
	if (!passes(rules, { CK_EXCLUDE_TAGS: 'long' })) return 'killed';
	if (!passes(link(`${folder}/mutant.o ${MUTATE_TRADE}`, 'trade'))) return 'killed';
	if (code?.equals(codeOf(source))) return 'same';
	return isNoticedBySanitizer() || !passes(rules, { CK_INCLUDE_TAGS: 'long' }) ? 'killed' : 'survived';
}

const saying = (file, mutant) => `survived: src/rules/${file}:${mutant.line}: ${mutant.was} -> ${mutant.by || '(nothing)'}`;
const survivors = MUTATE_AGAIN ? new Set(readFileSync(MUTATE_AGAIN, 'utf8').split('\n')) : null;

// Every n-th of a fixed shuffle.
function sampleOf(mutants) {
	if (!MUTATE_SAMPLE) return mutants;
	let seed = 1851;
	const key = () => (seed = (Math.imul(seed, 1103515245) + 12345) >>> 0);
	const chosen = mutants.map((mutant) => ({ mutant, key: key() })).sort((a, b) => a.key - b.key);
	return chosen.slice(0, Number(MUTATE_SAMPLE)).map(({ mutant }) => mutant).sort((a, b) => a.line - b.line);
}

compiles(join(rules, '../base/arena.c'), 'arena.o', `-O1 ${SANITIZE}`);
const nothing = { killed: 0, survived: 0, same: 0, uncompiled: 0 };
const total = { ...nothing };
const say = (name, count) => {
	const share = (100 * count.killed) / (count.killed + count.survived || 1);
	console.log(`${name.padEnd(12)} ${count.killed} killed, ${count.survived} survived (${share.toFixed(1)} % killed), ${count.same} are the same program, ${count.uncompiled} did not compile`);
};

for (const file of readdirSync(rules).filter((name) => name.endsWith('.c')).sort()) {
	if (MUTATE_FILES && !MUTATE_FILES.split(' ').includes(file)) continue;
	const source = readFileSync(join(rules, file), 'utf8');
	const mutants = mutantsOf(source).filter((mutant) => !survivors || survivors.has(saying(file, mutant)));
	if (!mutants.length) continue;
	if (fate(source) !== 'survived') throw new Error(`${file} fails its tests as it is`);
	const count = { ...nothing }, code = codeOf(source);
	for (const mutant of sampleOf(mutants)) {
		const end = fate(mutant.source, code);
		await hearSignals();
		count[end]++;
		total[end]++;
		if (end === 'survived') console.log(saying(file, mutant));
	}
	say(file, count);
}
say('all', total);
