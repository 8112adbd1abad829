"use strict";
const SILENT_MS = 6000;
const AGAIN_MS = 2000;
const SETTLE_MS = 800;
const MOST_BYTES = 20000000;
const LOST = "Not connected. What stands here may be old.";
const STOPPED = "The bench has stopped. What stands here is how it stood last.";
const at = (id) => document.getElementById(id);
let lastSign = Date.now();

function tell(id, text) {
  if (at(id).textContent !== text) at(id).textContent = text;
}

function same(id, told) {
  const key = JSON.stringify(told);
  if (at(id).dataset.told === key) return true;
  at(id).dataset.told = key;
  return false;
}

function list(id, texts) {
  if (same(id, texts)) return;
  at(id).replaceChildren(...texts.map((text) => Object.assign(document.createElement("li"), { textContent: text })));
}

function figures(all) {
  if (same("figures", all)) return;
  at("figures").replaceChildren(...all.map((figure) => {
    const pair = document.createElement("div");
    const number = Object.assign(document.createElement("dd"), { textContent: figure.digits });
    number.append(Object.assign(document.createElement("span"), { className: "unit", textContent: figure.unit }));
    pair.append(Object.assign(document.createElement("dt"), { textContent: figure.of }), number);
    return pair;
  }));
}

const SOURCES = { heard: "Heard", typed: "Typed", page: "From the page" };

function heard(line) {
  if (!line) return "";
  if (!line.text) return `Heard: ${line.why_not}`;
  const outcome = line.accepted ? "" : `not acted on: ${line.why_not}`;
  return `${SOURCES[line.source]}: ${[`“${line.text}”`, line.sureness, outcome].filter(Boolean).join(", ")}`;
}

function pictures(all) {
  if (same("pictures", all)) return;
  at("pictures").replaceChildren(...all.map((one) => {
    const figure = Object.assign(document.createElement("figure"), { className: one.taken ? "taken" : "" });
    const picture = Object.assign(document.createElement("img"), { src: `pictures/${one.id}`, alt: one.words });
    figure.append(picture, ...(one.taken ? [document.createElement("figcaption")] : []));
    if (one.taken) figure.lastChild.textContent = one.words;
    return figure;
  }));
}

let asked = 0;
let camera = Boolean(navigator.mediaDevices);

function askFor(number) {
  if (number === asked) return;
  asked = number;
  tell("camera", asked ? "A picture is asked for. Press Picture." : "");
  if (asked && camera) snap();
}

async function send(picture) {
  if (!picture) return;
  tell("camera", picture.size > MOST_BYTES ? "A picture has at most 20 MB; take a smaller one." : "Sending the picture.");
  if (picture.size > MOST_BYTES) return;
  try {
    const answer = await fetch(`picture?asked=${asked}`, { method: "POST", body: picture });
    tell("camera", answer.ok ? "" : `Not kept: ${await answer.text()}.`);
  } catch {
    tell("camera", "Not kept: the bench was not reached.");
  }
}

// Browsers lend the camera to pages of their own machine alone, or encrypted ones; elsewhere a file input asks for it.
async function snap() {
  if (!camera) return at("file").click();
  const finder = at("finder");
  try {
    finder.srcObject = await navigator.mediaDevices.getUserMedia({
      video: { facingMode: "environment", width: { ideal: 1600 } },
    });
    finder.hidden = false;
    await finder.play();
    await new Promise((done) => setTimeout(done, SETTLE_MS));
    const sheet = new OffscreenCanvas(finder.videoWidth, finder.videoHeight);
    sheet.getContext("2d").drawImage(finder, 0, 0);
    await send(await sheet.convertToBlob({ type: "image/jpeg", quality: 0.9 }));
  } catch {
    camera = false;
    tell("camera", "No camera here, or none allowed. Press Picture to choose one.");
  } finally {
    for (const track of finder.srcObject?.getTracks() ?? []) track.stop();
    finder.srcObject = null;
    finder.hidden = true;
  }
}

function show(shown) {
  const glance = shown.glance;
  for (const id of ["place", "counted", "step", "listening", "warning", "fastener", "gate", "halted", "question"]) {
    tell(id, glance[id]);
  }
  figures(glance.figures);
  list("cautions", glance.cautions);
  list("to_answer", glance.to_answer);
  list("coming", glance.coming);
  list("loose_by_side", glance.loose_by_side);
  pictures(shown.pictures);
  askFor(shown.picture_asked);
  tell("told", shown.told);
  tell("heard", heard(glance.heard));
  const count = glance.loose_at.reduce((sum, at) => sum + at.count, 0);
  const place = (at) => [at.axle, at.side].filter(Boolean).join(" ") || "no side";
  const where = glance.loose_at.filter((at) => at.count).map((at) => `${place(at)} ${at.count}`).join(", ");
  tell("loose", count ? `${count} loose: ${where}` : glance.begun ? "Nothing loose" : "");
  // The plan is of the bench's own making: fixed words and whole numbers.
  if (!same("plan", shown.plan)) at("plan").innerHTML = shown.plan;
  for (const button of document.querySelectorAll("[data-when]")) button.hidden = !glance[button.dataset.when];
  for (const button of document.querySelectorAll("[data-unless]")) button.hidden = Boolean(glance[button.dataset.unless]);
  tell("clock", [glance.phase_clock, ...glance.timers].filter(Boolean).join(" · "));
  at("share").hidden = glance.phase_share === null;
  at("share").value = Math.min(1, glance.phase_share ?? 0);
  return shown.over;
}

function lose(why) {
  tell("lost", why);
  at("lost").hidden = false;
}

function alive() {
  lastSign = Date.now();
  at("lost").hidden = true;
}

// A dropped connection comes back by itself; one that ended or was refused is asked for again, and a bench that was
// started anew wants its new code, which the reloaded page asks for.
function connect() {
  const stream = new EventSource("glances");
  stream.addEventListener("message", (event) => {
    alive();
    if (!show(JSON.parse(event.data))) return;
    stream.close();
    lose(STOPPED);
    setTimeout(connect, AGAIN_MS);
  });
  stream.addEventListener("beat", alive);
  stream.addEventListener("error", () => {
    lose(LOST);
    if (stream.readyState === EventSource.CLOSED) setTimeout(renew, AGAIN_MS);
  });
}

async function renew() {
  try {
    if ((await fetch("./")).ok) location.reload();
    else setTimeout(renew, AGAIN_MS);
  } catch {
    setTimeout(renew, AGAIN_MS);
  }
}

connect();
setInterval(() => { if (Date.now() - lastSign > SILENT_MS && at("lost").hidden) lose(LOST); }, 1000);

for (const button of document.querySelectorAll("nav button[value]")) {
  button.addEventListener("click", async () => {
    button.closest("details")?.removeAttribute("open");
    try {
      const answer = await fetch("say", { method: "POST", body: button.value });
      if (!answer.ok) location.reload();
    } catch {
      lose(LOST);
    }
  });
}

at("snap").addEventListener("click", snap);
at("file").addEventListener("change", () => {
  send(at("file").files[0]);
  at("file").value = "";
});
