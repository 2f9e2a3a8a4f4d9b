// node mutate.mjs RULES: do the tests of src/rules notice a fault? Puts one small fault after
// another into each file, links the check programs anew and runs them. `make mutate` says how
// to compile and what to link. MUTATE_SAMPLE=N takes N mutants a file, the same ones each time;
// MUTATE_FILES="duty.c fit.c" only those files.
//
// Not every survivor is a hole: some mutants do what the file does. Read each.
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';

import { mutantsOf } from './mutants.mjs';

const rules = process.argv[2];
const { MUTATE_COMPILE, MUTATE_LINK, MUTATE_RULES, MUTATE_TRADE, MUTATE_LIBS, MUTATE_SAMPLE, MUTATE_FILES } = process.env;
const SECONDS_MAX = 30; // the check programs take two; a loop that has no end is noticed too
const KIB_MAX = 4 * 1024 * 1024;

const folder = mkdtempSync(join(tmpdir(), 'pegwarden-mutate-'));
process.on('exit', () => rmSync(folder, { recursive: true, force: true }));
// A run that is stopped leaves nothing behind either: signals are heard between two mutants.
for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP']) process.on(signal, () => process.exit(1));
const hearSignals = () => new Promise((heard) => setImmediate(heard));

const sh = (command, env = {}) =>
	spawnSync('sh', ['-c', command], { env: { ...process.env, ...env }, timeout: SECONDS_MAX * 1000, killSignal: 'SIGKILL', encoding: 'utf8' });

const passes = (program) => sh(`ulimit -v ${KIB_MAX} -c 0; exec ${program}`, { CK_FORK: 'no' }).status === 0;

function link(objects, program) {
	const done = sh(`${MUTATE_LINK} -o ${program} ${folder}/mutant.o ${objects} ${MUTATE_LIBS}`);
	if (done.status !== 0) throw new Error(`cannot link:\n${done.stderr}`);
	return program;
}

// The mutant's object stands before the library, so the library's own is not taken.
function fate(source) {
	writeFileSync(`${folder}/mutant.c`, source);
	if (sh(`${MUTATE_COMPILE} -O0 -w -c -o ${folder}/mutant.o ${folder}/mutant.c`).status !== 0) return 'uncompiled';
	const noticed = !passes(link(MUTATE_RULES, `${folder}/rules`)) || !passes(link(MUTATE_TRADE, `${folder}/trade`));
	return noticed ? 'killed' : 'survived';
}

// Every n-th of a fixed shuffle.
function sampleOf(mutants) {
	if (!MUTATE_SAMPLE) return mutants;
	let seed = 1851;
	const key = () => (seed = (Math.imul(seed, 1103515245) + 12345) >>> 0);
	const chosen = mutants.map((mutant) => ({ mutant, key: key() })).sort((a, b) => a.key - b.key);
	return chosen.slice(0, Number(MUTATE_SAMPLE)).map(({ mutant }) => mutant).sort((a, b) => a.line - b.line);
}

const total = { killed: 0, survived: 0, uncompiled: 0 };
const say = (name, count) => {
	const share = (100 * count.killed) / (count.killed + count.survived || 1);
	console.log(`${name.padEnd(12)} ${count.killed} killed, ${count.survived} survived (${share.toFixed(1)} % killed), ${count.uncompiled} did not compile`);
};

for (const file of readdirSync(rules).filter((name) => name.endsWith('.c')).sort()) {
	if (MUTATE_FILES && !MUTATE_FILES.split(' ').includes(file)) continue;
	const source = readFileSync(join(rules, file), 'utf8');
	if (fate(source) !== 'survived') throw new Error(`${file} fails its tests as it is`);
	const count = { killed: 0, survived: 0, uncompiled: 0 };
	for (const mutant of sampleOf(mutantsOf(source))) {
		const end = fate(mutant.source);
		await hearSignals();
		count[end]++;
		total[end]++;
		if (end === 'survived') console.log(`survived: src/rules/${basename(file)}:${mutant.line}: ${mutant.was} -> ${mutant.by || '(nothing)'}`);
	}
	say(file, count);
}
say('all', total);
