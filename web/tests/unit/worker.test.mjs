// SPDX-License-Identifier: Apache-2.0
// The worker that keeps the page's own files: the network comes first, and nothing else is touched.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import test from "node:test";
import vm from "node:vm";
import { web } from "./load.mjs";

const page = "<script src=/app.js></script>";

/** The worker in a world of its own, whose network is `network` and can be changed. */
function world(network) {
  const handlers = {};
  const kept = new Map();
  const cache = { put: async (key, response) => { kept.set(key, await response.text()); }, match: async (key) => (kept.has(key) ? new Response(kept.get(key)) : undefined) };
  const own = {
    network, kept,
    fire: async (type, event = {}) => {
      const waits = [];
      let answer;
      handlers[type]({ ...event, waitUntil: (one) => waits.push(one), respondWith: (one) => { answer = one; } });
      await Promise.all(waits);
      return answer;
    },
  };
  own.get = (path, method = "GET") => own.fire("fetch", { request: { method, url: `https://host${path}` } });
  vm.runInNewContext(readFileSync(join(web, "src/worker.js"), "utf8"), {
    self: { addEventListener: (type, act) => { handlers[type] = act; }, skipWaiting: () => {}, clients: { claim: () => {} }, location: { origin: "https://host" } },
    caches: { open: async () => cache }, fetch: (request) => own.network(typeof request === "string" ? request : new URL(request.url).pathname),
    URL, AbortController, Response, setTimeout, clearTimeout, Promise, Error,
  });
  return own;
}

const up = async (path) => new Response(path === "/" ? page : `file ${path}`);
const down = async () => { throw new TypeError("no network"); };

test("all four files are kept, and come back when the network is away", async () => {
  const own = world(up);
  await own.fire("install");
  assert.deepEqual([...own.kept.keys()], ["/", "/app.js", "/app.css", "/icon.svg"]);
  own.network = async () => new Response("newer");
  assert.equal(await (await own.get("/app.js")).text(), "newer", "the network comes first");
  own.network = down;
  assert.equal(await (await own.get("/app.js")).text(), "file /app.js");
  assert.equal(await (await own.get("/")).text(), page);
});

test("the program's answers and everything that is sent pass untouched", async () => {
  const own = world(up);
  await own.fire("install");
  own.network = down;
  assert.equal(await own.get("/api/run"), undefined);
  assert.equal(await own.get("/", "POST"), undefined);
});

test("a page that only asks for a code is not kept in the place of this one", async () => {
  const own = world(up);
  await own.fire("install");
  own.network = async () => new Response("<input name=code>");
  await own.fire("message", { data: "fill" });
  assert.equal(own.kept.get("/"), page);
  const fresh = world(async () => new Response("<input name=code>"));
  await assert.rejects(fresh.fire("install"));
  assert.equal(fresh.kept.size, 0);
});
