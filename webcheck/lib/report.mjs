// Every checker speaks the same way: one line per problem on standard output,
// one closing line, exit code 0 (clean), 1 (problems) or 2 (could not check).

/** Collects problems; equal ones are said once, with how often they were met. */
export class Report {
  #checker;
  #problems = new Map();
  #started = process.hrtime.bigint();

  constructor(checker) {
    this.#checker = checker;
  }

  /** where: a file of the site, or file:line:column; what: one sentence. */
  problem(where, what) {
    const line = `${where}: ${String(what).replace(/\s+/g, " ").trim()}`;
    this.#problems.set(line, (this.#problems.get(line) ?? 0) + 1);
  }

  get count() {
    return this.#problems.size;
  }

  /** Prints all, sorted so that two runs can be compared, and sets the exit code. */
  close(summary) {
    for (const line of [...this.#problems.keys()].sort()) {
      const times = this.#problems.get(line);
      console.log(times > 1 ? `${line} (${times} times)` : line);
    }
    const seconds = Number((process.hrtime.bigint() - this.#started) / 1_000_000n) / 1000;
    const verdict = this.count === 0 ? "no problem" : this.count === 1 ? "1 problem" : `${this.count} problems`;
    console.log(`${this.#checker}: ${verdict}; ${summary} (${seconds.toFixed(1)} s)`);
    process.exitCode = this.count === 0 ? 0 : 1;
  }
}

/** Ends a checker that could not do its work: neither a pass nor a finding. */
export function giveUp(checker, why) {
  console.error(`${checker}: error: ${why}`);
  process.exit(2);
}

/**
 * Reads the command line of a checker: `values` takes an argument, `flags` takes none, the rest is in `rest`.
 * An unknown option is an error, so that a misspelt one never passes for a check.
 */
export function commandLine(checker, usage, { values = [], flags = [] } = {}) {
  const out = { rest: [] };
  const args = process.argv.slice(2);
  while (args.length > 0) {
    const arg = args.shift();
    if (arg === "--help") {
      console.log(usage);
      process.exit(0);
    }
    if (!arg.startsWith("--")) {
      out.rest.push(arg);
      continue;
    }
    const [name, ...given] = arg.slice(2).split("=");
    if (flags.includes(name)) out[name] = true;
    else if (values.includes(name)) {
      out[name] = given.length > 0 ? given.join("=") : args.shift();
      if (out[name] === undefined) giveUp(checker, `--${name} needs a value`);
    } else giveUp(checker, `unknown option "${arg}"\n${usage}`);
  }
  if (out.rest.length === 0) giveUp(checker, `no site folder named\n${usage}`);
  return out;
}
