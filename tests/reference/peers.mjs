// What the comparisons share: the probes, the peers, and chance that repeats.
import { execFileSync } from "node:child_process";
import { createRequire } from "node:module";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";

const here = dirname(fileURLToPath(import.meta.url));
export const peer = createRequire(join(here, "../web/package.json"));
const probes = process.env.PROBES ?? resolve(here, "../../build/tests/reference");

export const ask = (probe, input, ...args) => execFileSync(join(probes, probe), args, { input, encoding: "utf8", maxBuffer: 1 << 28 });

/** Numbers below n, the same for the same seed: a linear congruential generator of 48 bits. */
export function dice(seed) {
	console.log(`seed ${seed}`);
	let state = BigInt(seed);
	return (n) => {
		state = (state * 25214903917n + 11n) & 0xffffffffffffn;
		return Number(state >> 17n) % n;
	};
}
