// Works out with LiteRT.js, the format's own interpreter, what the networks make of
// figure.png and hall.png, and prints it as golden.json:
//
//   npm install --prefix DIR --ignore-scripts --no-save @litertjs/core@2.5.3
//   node reference.mjs DIR ../../../../frontend/node_modules >golden.json
//
// It runs in Chromium, for which it is made.
import { createServer } from "node:http";
import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import path from "node:path";

const [runtime, modules] = process.argv.slice(2).map((dir) => path.resolve(dir));
const { chromium } = createRequire(path.join(modules, "x.js"))("playwright-core");
const at = {
  "/": "",
  "/runtime/": path.join(runtime, "node_modules/"),
  "/pose/": path.join(modules, "@mediapipe/pose/"),
  "/here/": import.meta.dirname + "/",
};
const kinds = { ".js": "text/javascript", ".wasm": "application/wasm", ".png": "image/png" };
const server = createServer(async (ask, answer) => {
  const place = Object.keys(at).findLast((p) => ask.url.startsWith(p));
  const file = at[place] + ask.url.slice(place.length);
  answer.setHeader("Content-Type", kinds[path.extname(file)] ?? (place === "/" ? "text/html" : "application/octet-stream"));
  answer.end(
    place === "/"
      ? '<script type="importmap">{"imports":{"@litertjs/wasm-utils":"/runtime/@litertjs/wasm-utils/dist/index.js"}}</script>'
      : await readFile(file).catch(() => ""),
  );
}).listen(0, "127.0.0.1");
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ["--no-sandbox"] });
const page = await browser.newPage();
page.on("console", (m) => console.error(m.text()));
await page.goto(`http://127.0.0.1:${server.address().port}/`);
const golden = await page.evaluate(async () => {
  const { loadLiteRt, loadAndCompile, Tensor } = await import("/runtime/@litertjs/core/dist/index.js");
  await loadLiteRt("/runtime/@litertjs/core/wasm/");
  const run = async (network, picture, scale, from) => {
    const model = await loadAndCompile(`/pose/${network}`, { accelerator: "wasm" });
    const image = await createImageBitmap(await (await fetch(`/here/${picture}`)).blob());
    const canvas = new OffscreenCanvas(image.width, image.height).getContext("2d");
    canvas.drawImage(image, 0, 0);
    const { data } = canvas.getImageData(0, 0, image.width, image.height);
    const input = new Float32Array(image.width * image.height * 3);
    for (let i = 0; i < input.length; i++) input[i] = data[Math.floor(i / 3) * 4 + (i % 3)] * scale + from;
    const results = await model.run(new Tensor(input, [1, image.height, image.width, 3]));
    return results.map((r) => [...r.toTypedArray()]);
  };
  const landmarks = await run("pose_landmark_full.tflite", "figure.png", 1 / 255, 0);
  const found = await run("pose_solution_packed_assets.data", "hall.png", 2 / 255, -1);
  // Of the 2,254 places of the detector every tenth, and those that may be a person.
  const places = found[1].flatMap((v, i) => (i % 10 === 0 || v > -3 ? [i] : []));
  return {
    landmarks: landmarks[0],
    score: landmarks[1][0],
    heat: landmarks[3].filter((_, i) => i % 997 === 0),
    places,
    boxes: places.map((i) => found[0].slice(12 * i, 12 * i + 12)),
    logits: places.map((i) => found[1][i]),
  };
});
console.log(JSON.stringify(golden, (_, v) => (typeof v === "number" ? Number(v.toPrecision(8)) : v)));
await browser.close();
server.close();
