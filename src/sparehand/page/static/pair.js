"use strict";
const code = document.getElementById("code");

async function pair() {
  const refused = document.getElementById("refused");
  try {
    const answer = await fetch("pair", { method: "POST", body: code.value });
    if (answer.ok) location.reload();
    else refused.textContent = await answer.text();
  } catch {
    refused.textContent = "The bench does not answer.";
  }
}

document.getElementById("pair").addEventListener("submit", (event) => {
  event.preventDefault();
  pair();
});

// The terminal's QR code brings the digits behind a "#", which no browser sends to anyone.
if (/^#\d+$/.test(location.hash)) {
  code.value = location.hash.slice(1);
  history.replaceState(null, "", location.pathname);
  pair();
}
