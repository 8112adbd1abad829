"use strict";
document.getElementById("pair").addEventListener("submit", async (event) => {
  event.preventDefault();
  const refused = document.getElementById("refused");
  try {
    const answer = await fetch("pair", { method: "POST", body: document.getElementById("code").value });
    if (answer.ok) location.reload();
    else refused.textContent = await answer.text();
  } catch {
    refused.textContent = "The bench does not answer.";
  }
});
