// Is the markup right? Two checkers that know different things: the Nu HTML
// checker (the standard's grammar, CSS, SVG) and html-validate (structure,
// accessibility, what a strict policy forbids).
import { spawnSync } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { FileSystemConfigLoader, HtmlValidate } from "html-validate";
import { commandLine, giveUp, Report } from "./lib/report.mjs";
import { isFolder, siteFiles } from "./lib/site.mjs";

const usage = `usage: node validate.mjs SITE [--skip-css]
Checks every HTML, SVG and CSS file of a site folder. Needs Java.`;
const options = commandLine("validate", usage, { flags: ["skip-css"] });
const root = resolve(options.rest[0]);
if (!isFolder(root)) giveUp("validate", `"${options.rest[0]}" is not a folder`);

const report = new Report("validate");
const files = siteFiles(root);
const pages = files.filter((file) => file.endsWith(".html"));
const pictures = files.filter((file) => file.endsWith(".svg"));
const styles = options["skip-css"] ? [] : files.filter((file) => file.endsWith(".css"));
if (pages.length === 0) giveUp("validate", "the folder holds no .html file");

// What the Nu checker says and is let pass.
const letPassRules = [
  // CSS that browsers have and this checker does not know yet. That the rules
  // work is seen in the browser checks; that the rest is well formed is seen here.
  /^CSS: .*“(container(-type|-name)?|paint-order|vector-effect|field-sizing|text-box(-trim|-edge)?|interpolate-size|anchor-name|position-anchor|view-transition-name)”: Property “[^”]*” doesn't exist/,
  /^CSS: .*Unrecognized at-rule “@(container|property|starting-style|view-transition)”/,
  // SVG 2 has it, and so have the browsers.
  /^Attribute “vector-effect” not allowed on element/,
  // It takes every file: address for another origin than 'self', and a block of
  // data for a script. The browser checks see what the policy really blocks.
  /^(Resource|Inline script) violates Content Security Policy/,
];

const letPassed = nuChecker([...pages, ...pictures, ...styles]);
await htmlValidate();
report.close(`${pages.length} pages, ${pictures.length} SVG and ${styles.length} CSS files, ${letPassed} remarks let pass`);

/** Runs the Nu checker over the files in one process; errors and warnings are problems; gives how many remarks were let pass. */
function nuChecker(names) {
  const jar = fileURLToPath(new URL("node_modules/vnu-jar/build/dist/vnu.jar", import.meta.url));
  if (!existsSync(jar)) giveUp("validate", `the Nu HTML checker is not installed: run "npm ci" in webcheck first`);
  // A large site has more names than a command line holds: Java takes its arguments from a file.
  const work = mkdtempSync(join(tmpdir(), "webcheck-"));
  const list = join(work, "files");
  const quoted = names.map((name) => `"${join(root, name).replace(/["\\]/g, "\\$&")}"`);
  writeFileSync(list, ["-jar", jar, "--format", "json", "--stdout", "--also-check-css", "--also-check-svg", ...quoted].join("\n"));
  const run = spawnSync("java", ["-Xss4m", `@${list}`], { encoding: "utf8", maxBuffer: 1 << 30 });
  rmSync(work, { recursive: true });
  if (run.error) giveUp("validate", `running java: ${run.error.message}`);
  let messages;
  try {
    messages = JSON.parse(run.stdout).messages;
  } catch {
    giveUp("validate", `the Nu HTML checker gave no result: ${(run.stderr || run.stdout).slice(0, 2000)}`);
  }
  let letPass = 0;
  const prefix = pathToFileURL(root).href + "/";
  for (const message of messages) {
    const isRemark = message.type === "info" && message.subType !== "warning";
    if (isRemark || letPassRules.some((rule) => rule.test(message.message))) {
      letPass++;
      continue;
    }
    const url = message.url ?? "";
    let file = decodeURI(url.replace(/^file:\/+/, "file:///"));
    if (file.startsWith(decodeURI(prefix))) file = file.slice(decodeURI(prefix).length);
    const place = message.lastLine ? `${file}:${message.lastLine}:${message.firstColumn ?? message.lastColumn ?? 1}` : file;
    report.problem(place, `${message.message} [nu]`);
  }
  return letPass;
}

/** Runs html-validate with the rules below. */
async function htmlValidate() {
  const config = {
    root: true,
    extends: ["html-validate:recommended", "html-validate:document", "html-validate:prettier"],
    rules: {
      // The policy blocks inline styles, whatever their content.
      "no-inline-style": "error",
      "no-trailing-whitespace": "off",
      // The standard's own rule; the stricter default would have a footnote's "fn:1" be an error.
      "valid-id": ["error", { relaxed: true }],
      // A search engine's wish, not a fault; a report's title is its author's.
      "long-title": "off",
      // Telephone numbers are not what a bench publishes, figures are.
      "tel-non-breaking": "off",
      // Nothing is loaded from elsewhere, and files change with every publication.
      "require-sri": "off",
      // A scrolling table is a region with a name, without being a section of the text.
      "prefer-native-element": ["error", { exclude: ["region"] }],
      // role="list" and the like put back what some browsers drop with list-style: none.
      "no-redundant-role": "off",
    },
  };
  const checker = new HtmlValidate(new FileSystemConfigLoader(config));
  for (const page of pages) {
    const result = await checker.validateString(readFileSync(join(root, page), "utf8"), page, config);
    for (const { messages } of result.results) {
      for (const message of messages) {
        if (message.severity < 2) continue;
        report.problem(`${page}:${message.line}:${message.column}`, `${message.message} [${message.ruleId}]`);
      }
    }
  }
}
