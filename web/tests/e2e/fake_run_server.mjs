// SPDX-License-Identifier: Apache-2.0
// A small stand-in for the program: it serves the built page and speaks the contract of a live run,
// so that what is hard to bring about with the real one (a lost link, a reply that gets lost, a
// silent stream) can be made to happen at will.
import { readFileSync } from "node:fs";
import { createServer } from "node:http";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const dist = join(dirname(fileURLToPath(import.meta.url)), "../../dist");
const files = {
  "/": ["index.html", "text/html; charset=utf-8"], "/app.js": ["app.js", "text/javascript; charset=utf-8"],
  "/app.css": ["app.css", "text/css; charset=utf-8"], "/icon.svg": ["icon.svg", "image/svg+xml"],
  "/worker.js": ["worker.js", "text/javascript; charset=utf-8"],
};
// As the program sends it: what it forbids must not be needed.
const policy = "default-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'; object-src 'none'";

export const devices = [
  { name: "Left landing light", states: ["off", "on"] }, { name: "Taxi light", states: ["off", "on"] },
  { name: "Pitot heat", states: ["off", "on"] }, { name: "Flaps", states: ["up", "half", "full"] },
  ...Array.from({ length: 16 }, (_, i) => ({ name: `Load number ${i + 1}`, states: ["off", "on"] })),
];

export const blank = {
  schema: "quietnorth/run/1", run: 4, procedure: "disturbance", aircraft: "Brindle", version: 1, now_s: 0,
  started_utc: "2026-05-14T16:03:11Z", phase: "ask", paused: false, stopped: false,
  sentence: "Switch the left landing light on.", caution: "", must_acknowledge: false,
  main: { label: "It is on", kind: "tap", ago_s: 0, device: "Left landing light", state: "on" }, second: { label: "It was a few seconds ago", kind: "tap", ago_s: 5, device: "Left landing light", state: "on" },
  members: [], held: "", noticed: "", next: "Switch the taxi light on.", device: "Left landing light", state: "on",
  say: "Switch the left landing light on.", say_number: 1, then: { sentence: "Switch the left landing light off.", label: "It is off", device: "Left landing light", state: "off" },
  step: 17, steps: 44, done: Array.from({ length: 44 }, (_, i) => i < 16), least_left_s: 560, most_left_s: 1500, since_s: 0, asked_s: 0,
  wait_s: null, devices, kept_until_s: 100, answer: null, you: "operate",
  links: [{ number: 1, address: "/dev/ttyUSB0@38400", alive: true, silent_s: 0, rate_Hz: 50, wrong: [], typed: false }],
};

export const safety = {
  phase: "safety", main: { label: "Read and done", kind: "acknowledge", ago_s: 0 }, second: { label: "Stop", kind: "stop", ago_s: 0 },
  must_acknowledge: true, sentence: "Read this before anything is worked.", device: "", state: "", then: null, step: 1,
  say: "Read the caution before anything is worked.",
  caution: "This plan advises. The aircraft's papers, the local rules and the licensed person who signs decide what may be worked on the ground, and how. One person works the switches, another writes down the times; either may stop the run. Ignition off and key out until a step starts the engine. Battery charged and its cover closed.",
};

export const waiting = {
  phase: "wait", main: null, second: { label: "Something went wrong: once more later", kind: "again", ago_s: 0 },
  sentence: "Left landing light stays as it is; touch nothing else.", say: "Leave it on.", wait_s: 22,
};

export async function startFake() {
  const begun = Date.now();
  const now_s = () => 600 + (Date.now() - begun) / 1000;
  const fake = {
    view: { ...blank }, running: true, answers: [], asked: [], typed: [], started: [], revoked: [], lost: false, loseReplies: 0, mute: false, stuck: false,
    book: { name: "brindle.qnbook", aircraft: "Brindle", devices: 20, running: false, ports: [
      { address: "/dev/serial/by-id/usb-sensor-if00@38400", what: "a serial port" }, { address: "typed", what: "readings of a display, typed" }],
      runs: [{ id: 3, procedure: "disturbance", started_utc: "2026-05-13T16:03:11Z", can_go_on: true }] },
    pairing: { url: "https://192.168.4.2:8230/", code: "482 615", expires_s: 300, fingerprint: "3F:A2:91:0C:77:5E:D4:18 B6:2D:09:EE:53:C1:8A:40 12:9F:6B:E7:A5:38:D0:C4 7B:26:F1:9D:04:8E:5A:63",
      qr_svg: `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 29 29"><rect width="29" height="29" fill="#fff"/><path fill="#000" d="${Array.from({ length: 29 * 29 }, (_, i) => ((i * i * 7 + i) % 5 < 2 ? `M${i % 29} ${Math.floor(i / 29)}h1v1h-1z` : "")).join("")}"/><script>alert(1)</script></svg>`,
      paired: [{ id: "a1", name: "Tablet in the cockpit", role: "operate", since_utc: "2026-05-14T16:01:00Z", seen_s: 2 }, { id: "b2", name: "Phone at the wing tip", role: "look_on", since_utc: "2026-05-14T16:02:00Z", seen_s: 400 }] },
  };
  const streams = new Set();
  const sockets = new Set();
  const shown = () => ({ ...fake.view, now_s: now_s() });
  const event = (stream, name, data) => { if (!fake.mute) stream.write(`event: ${name}\ndata: ${JSON.stringify(data)}\n\n`); };
  const field = (t) => {
    const on = t % 40 > 22 ? 1.27 : 0;
    return [17.2 + on + 0.05 * Math.sin(97 * t), -4.1 + 0.4 * on + 0.05 * Math.sin(71 * t), 41.3 - 0.6 * on + 0.04 * Math.cos(83 * t)];
  };
  const traceOf = (long_s) => {
    const to_s = now_s();
    const time_s = Array.from({ length: long_s * 10 }, (_, i) => Math.round((to_s - long_s) * 10 + i) / 10);
    const points = time_s.map(field);
    return { to_s, time_s, field_uT: [0, 1, 2].map((axis) => points.map((point) => point[axis])) };
  };
  const timer = setInterval(() => streams.forEach((stream) => event(stream, "trace", traceOf(3))), 100);

  /** The view changes, as after something that happened. */
  fake.show = (part) => {
    fake.view = { ...fake.view, ...part, version: fake.view.version + 1 };
    if (part.say) fake.view.say_number += 1;
    streams.forEach((stream) => event(stream, "view", shown()));
  };
  /** What an answer does; a test may put its own here. */
  fake.react = (said) => {
    const view = fake.view;
    if (said.kind === "stop") fake.show({ phase: "over", stopped: true, main: null, second: null, sentence: "Stopped. What was recorded is kept.", say: "Stopped.", device: "", then: null });
    else if (said.kind === "pause") fake.show({ paused: true, before: view, main: { label: "Go on", kind: "resume", ago_s: 0 }, second: null, sentence: "Paused. Nothing is lost.", say: "Paused." });
    else if (said.kind === "resume") fake.show({ ...view.before, say_number: view.say_number, say: view.before.say, version: view.version });
    else if (said.kind === "acknowledge") fake.show({ ...blank, step: 1, say_number: view.say_number, version: view.version });
    else if (said.kind === "tap" && view.phase === "ask") fake.show({ ...waiting, since_s: said.at_s ?? now_s() });
    else if (said.kind === "tap") fake.show({ phase: "wait", main: null, sentence: "Everything rests; touch nothing.", device: "", state: "", then: null, since_s: said.at_s ?? now_s(), wait_s: 15, say: "Let it rest." });
    else if (said.kind === "another") fake.show({ ...waiting, sentence: `${said.device} stays as it is; touch nothing else.`, device: said.device, state: said.state });
    else fake.show({ noticed: `Noted: ${said.kind}.` });
  };

  const json = (response, status, body) => {
    response.writeHead(status, { "Content-Type": "application/json", "Cache-Control": "no-store" });
    response.end(JSON.stringify(body));
  };
  const error = (response, status, what) => json(response, status, { what, where: "this run", expected: "a run that is going on", remedy: "begin one" });
  const bodyOf = async (request) => {
    let text = "";
    for await (const piece of request) text += piece;
    return text ? JSON.parse(text) : {};
  };
  const routes = {
    "GET /api/about": (_, response) => json(response, 200, { version: "0.5.0", upload_limit_bytes: 2e9 }),
    "GET /api/book": (_, response) => (fake.book ? json(response, 200, { ...fake.book, running: fake.running }) : error(response, 404, "no book is open")),
    "POST /api/runs": async (request, response) => {
      if (fake.running) return error(response, 409, "a run is going on already");
      fake.started.push(await bodyOf(request));
      fake.running = true;
      json(response, 201, shown());
    },
    "GET /api/run": (_, response) => !fake.stuck && (fake.running ? json(response, 200, shown()) : error(response, 404, "no run is going on")),
    // stuck: taken, and never answered
    "GET /api/run/clock": (_, response) => !fake.stuck && json(response, 200, { now_s: now_s(), speed: 1 }),
    "GET /api/run/events": (request, response) => {
      if (!fake.running) return error(response, 404, "no run is going on");
      response.writeHead(200, { "Content-Type": "text/event-stream", "Cache-Control": "no-store" });
      response.write(": \n\n");
      streams.add(response);
      request.on("close", () => streams.delete(response));
      event(response, "view", shown());
      event(response, "trace", traceOf(120));
    },
    "POST /api/run/answers": async (request, response) => {
      const said = await bodyOf(request);
      fake.asked.push(said);
      if (!fake.answers.some((one) => one.key === said.key)) {
        fake.answers.push(said);
        fake.react(said);
      }
      if (fake.loseReplies > 0) {
        fake.loseReplies -= 1;
        request.socket.destroy();
      } else json(response, 200, shown());
    },
    "POST /api/run/typed": async (request, response) => { fake.typed.push(await bodyOf(request)); json(response, 200, {}); },
    "GET /api/pairing": (_, response) => (fake.pairing ? json(response, 200, fake.pairing) : error(response, 404, "not open to the network")),
    "POST /api/pairing": async (request, response) => { fake.pairing = { ...fake.pairing, code: "771 302", role: (await bodyOf(request)).role }; json(response, 200, fake.pairing); },
  };

  const server = createServer((request, response) => {
    const { pathname } = new URL(request.url, "http://fake");
    response.setHeader("Content-Security-Policy", policy);
    const file = files[pathname];
    if (file && request.method === "GET") {
      response.writeHead(200, { "Content-Type": file[1], "Cache-Control": "no-store" });
      response.end(readFileSync(join(dist, file[0])));
    } else if (pathname === "/favicon.ico") {
      response.writeHead(204);
      response.end();
    } else if (pathname.startsWith("/api/pairing/") && request.method === "DELETE") {
      fake.revoked.push(pathname.slice(13));
      fake.pairing = { ...fake.pairing, paired: fake.pairing.paired.filter((one) => one.id !== pathname.slice(13)) };
      response.writeHead(204);
      response.end();
    } else {
      const route = routes[`${request.method} ${pathname}`];
      if (route) void route(request, response);
      else error(response, 404, "no such address");
    }
  });
  server.on("connection", (socket) => {
    if (fake.lost) return socket.destroy();
    sockets.add(socket);
    socket.on("close", () => sockets.delete(socket));
  });
  await new Promise((resolve) => server.listen(0, "127.0.0.1", resolve));
  fake.address = `http://127.0.0.1:${server.address().port}/`;
  /** The network goes; every connection with it. */
  fake.lose = () => {
    fake.lost = true;
    sockets.forEach((socket) => socket.destroy());
  };
  fake.comeBack = () => { fake.lost = false; };
  fake.now_s = now_s;
  /** As new, for the next test. */
  fake.reset = (part = {}) => {
    Object.assign(fake, { view: { ...blank, ...part, version: fake.view.version + 1, say_number: fake.view.say_number + 1 }, running: true, answers: [], asked: [], typed: [], lost: false, loseReplies: 0, mute: false, stuck: false });
  };
  fake.stop = () => new Promise((resolve) => {
    clearInterval(timer);
    server.close(resolve);
    sockets.forEach((socket) => socket.destroy());
  });
  return fake;
}
