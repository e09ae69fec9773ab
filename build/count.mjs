// Reads what a test runner wrote and prints "PASSED FAILED"; the output of each
// failed test goes to stderr, the rest stays in the file.
//
//   node build/count.mjs go FILE        `go test -json`
//   node build/count.mjs vitest FILE    `vitest --reporter=json`
//   node build/count.mjs lines FILE     lines "ok NAME" and "not ok NAME"
import { readFileSync } from "node:fs";

const [kind, file] = process.argv.slice(2);
const text = readFileSync(file, "utf8");
const counters = { go: countGo, vitest: countVitest, lines: countLines };
const { passed, failed } = counters[kind](text);
console.log(`${passed} ${failed}`);

// One test is one that has no subtests of its own, so that a table counts once
// a row. A package that fails with no failed test in it (it did not compile, or
// died) counts as one failure.
function countGo(text) {
  const ends = new Map();
  const output = new Map();
  const packages = new Map();
  for (const line of text.split("\n")) {
    if (!line.startsWith("{")) {
      if (line) console.error(line);
      continue;
    }
    const e = JSON.parse(line);
    const name = e.Package ?? e.ImportPath;
    const key = e.Test ? `${name} ${e.Test}` : name;
    if (e.Action === "output" || e.Action === "build-output") {
      output.set(key, (output.get(key) ?? "") + e.Output);
    } else if (["pass", "fail", "build-fail"].includes(e.Action)) {
      (e.Test ? ends : packages).set(key, e.Action);
    }
  }
  const parents = new Set();
  for (const key of ends.keys()) {
    for (let i = key.lastIndexOf("/"); i > key.indexOf(" "); i = key.lastIndexOf("/", i - 1)) parents.add(key.slice(0, i));
  }
  let passed = 0;
  let failed = 0;
  const blamed = new Set();
  for (const [key, action] of ends) {
    if (action === "fail") {
      blamed.add(key.split(" ")[0]);
      console.error(output.get(key) ?? `${key} failed`);
    }
    if (parents.has(key) && action === "pass") continue;
    if (action === "pass") passed++;
    else if (!parents.has(key) || !anyFails(ends, key)) failed++;
  }
  for (const [name, action] of packages) {
    if (action === "pass" || blamed.has(name)) continue;
    if (action === "fail") failed++;
    console.error(output.get(name) ?? `${name} failed`);
  }
  return { passed, failed };
}

function anyFails(ends, parent) {
  return [...ends].some(([key, action]) => action === "fail" && key.startsWith(parent + "/"));
}

function countVitest(text) {
  const report = JSON.parse(text);
  let failed = report.numFailedTests;
  for (const suite of report.testResults) {
    const broken = suite.assertionResults.filter((a) => a.status === "failed");
    for (const a of broken) console.error(`${a.fullName}\n${a.failureMessages.join("\n")}`);
    if (suite.status === "failed" && broken.length === 0) {
      failed++; // the file itself did not load
      console.error(`${suite.name}\n${suite.message}`);
    }
  }
  return { passed: report.numPassedTests, failed };
}

function countLines(text) {
  const lines = text.split("\n");
  const broken = lines.filter((l) => l.startsWith("not ok "));
  for (const l of broken) console.error(l);
  return { passed: lines.filter((l) => l.startsWith("ok ")).length, failed: broken.length };
}
