// The door of a class and the desk of its instructor: a word to come in, and buttons that move the projector.

const why = document.getElementById("why");

async function post(path, body) {
  const answer = await fetch(path, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(body),
  });
  const said = await answer.json().catch(() => ({}));
  why.textContent = answer.ok ? "" : (said.problem?.what ?? answer.statusText);
  return answer.ok;
}

const form = document.querySelector("form");
form?.addEventListener("submit", async (event) => {
  event.preventDefault();
  if (await post(form.dataset.to, { word: form.word.value })) location.assign(form.dataset.then);
});

for (const button of document.querySelectorAll("[data-do]")) {
  button.addEventListener("click", () => post("/desk/do", { do: button.dataset.do }));
}

const at = document.getElementById("at");
if (at) {
  new EventSource("/class/events").addEventListener("at", (event) => {
    const { title, question } = JSON.parse(event.data);
    if (title) at.textContent = [title, question].filter(Boolean).join(" - ");
  });
}
